"""What changed since an older copy of a book: its findings, and what was done to the book itself."""

from typing import NamedTuple

from xlcalc.workbook.audit.audit import Audit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.limits_used import limits_used, places_of
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.since.book_changes import BookChange, book_changes
from xlcalc.workbook.audit.since.formula_changes import FormulaChange, formula_changes
from xlcalc.workbook.audit.since.limit_changes import LimitChange, limit_changes
from xlcalc.workbook.audit.since.pairing import Pairing
from xlcalc.workbook.audit.since.typed_changes import TypedChanges, typed_changes


class Changes(NamedTuple):
    """What was changed in a book since an older copy of it, whatever was sorted, put in, moved or renamed.

    `around` is what changed around the cells: sheets, names, settings, stamp.
    """

    around: list[BookChange]
    formulas: list[FormulaChange]
    limits: list[LimitChange]
    typed: TypedChanges

    @property
    def nothing(self) -> bool:
        """True where nothing was changed."""
        return not (self.around or self.formulas or self.limits or any(self.typed))


class Since(NamedTuple):
    """Findings that are new, those that are gone, those that were there before, and what was changed in the book."""

    new: dict[str, Finding]
    gone: dict[str, Finding]
    still: dict[str, Finding]
    changes: Changes


def since(old: Audit, new: Audit) -> Since:
    """Compare two audits of the same book; what was accepted in the meantime is gone."""
    fresh = {code: each for code, each in new.findings.items() if code not in old.findings}
    still = {code: each for code, each in new.findings.items() if code in old.findings}
    gone = {code: each for code, each in old.findings.items() if code not in new.findings}
    return Since(fresh, gone, still, changes(old.book, new.book))


def changes(old: Book, new: Book) -> Changes:
    """What was changed in a book since an older copy of it."""
    pairing = Pairing(old, new)
    limits = limits_used(old), limits_used(new)
    return Changes(
        book_changes(pairing), formula_changes(pairing), list(limit_changes(*limits)),
        typed_changes(pairing, (places_of(limits[0]), places_of(limits[1]))),
    )  # fmt: skip
