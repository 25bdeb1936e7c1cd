"""The stamp of a book against this version of the program and its data."""

from collections.abc import Iterator

from xlcalc.core.tables import fingerprint
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.stamp import stamp_of

WHERE = "the workbook's properties"


def stamps(book: Book) -> Iterator[Finding]:
    """A stamp that was edited, or one of another version or of other data."""
    from xlcalc import __version__  # noqa: PLC0415  (the package's version, known once it is loaded)

    stamp = stamp_of(book.package)
    if stamp is None:
        return  # a book of somebody else's making
    if not stamp.whole:
        yield Finding(
            "stamp-edited", (),
            f"version {stamp.version or 'missing'}, data {stamp.data or 'missing'}, check {stamp.seal or 'missing'}",
            "a check that belongs to both",
            "the book no longer says which data its numbers were made with",
            "take the figures of Fluids, Hoses and Fittings from a new workbook (xlcalc new), and move the job into it",
            Sure.CERTAIN, Weight.WEAK, WHERE,
        )  # fmt: skip
    elif book.other_version:
        yield Finding(
            "other-version", (),
            f"made with version {stamp.version}, data {stamp.data}",
            f"version {__version__}, data {fingerprint()}, which are installed here",
            "figures of fluids, hoses and fittings in it may not be those of this version",
            "compare its figures with a new workbook (xlcalc new) before it is quoted from",
            Sure.CERTAIN, Weight.NOTE, WHERE,
        )  # fmt: skip
