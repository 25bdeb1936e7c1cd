"""Defined names that stand in the way of another: called like one of our functions, or like a name of the book."""

from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.naming import PRINTING
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.names import used_names
from xlcalc.workbook.file.package import DefinedName


def called_like_functions(book: Book) -> Iterator[Finding]:
    """Names that are called like one of our functions."""
    for each in book.package.defined_names():
        if each.name.upper() in book.ours:
            yield finding(
                each, f"it stands for {each.text}", "no name that is called like a function",
                f"a spreadsheet takes the name where {each.name.upper()} is called: another answer, or an error",
                Weight.WRONG,
            )  # fmt: skip


def names_of_sheets(book: Book) -> Iterator[Finding]:
    """Names of one sheet that are called like one of the book and stand for something else.

    A sheet that was copied brings names of its own for its own cells along: those are left alone.
    """
    known = {each.name.casefold(): each for each in book.package.defined_names() if each.sheet is None}
    for each in book.package.defined_names():
        whole = known.get(each.name.casefold())
        if each.sheet is None or whole is None or each.name.startswith(PRINTING) or each.text == whole.text:
            continue
        looks, others = (book.written.looks(text, (each.sheet, 1, 1)) for text in (each.text, whole.text))
        if looks and [look[:5] for look in looks] == [look[:5] for look in others]:
            continue  # the same cells, spelled otherwise
        copied = all(look.sheet == each.sheet for look in looks) and book.canon.match(each.sheet) is None
        if not (looks and copied):
            used = each.sheet in book.sheets and bool(used_names(book, {each.name}, [each.sheet]))
            yield finding(
                each, f"on {each.sheet} it stands for {each.text}", f"{whole.text}, as everywhere else in the book",
                f"formulas of {each.sheet} that use it take another cell than those of the other sheets" if used else
                f"no formula of {each.sheet} uses it yet; the first that does takes another cell than one elsewhere",
                Weight.WRONG if used else Weight.NOTE,
            )  # fmt: skip


def finding(each: DefinedName, there: str, expected: str, why: str, weight: Weight) -> Finding:
    """A finding about a name."""
    on = f" of the sheet {each.sheet}" if each.sheet else ""
    return Finding(
        "name-shadows", (), f"name {each.name}: {there}", expected, why,
        f"delete the name {each.name}{on} under Formulas > Name Manager, or call it otherwise",
        Sure.CERTAIN, weight, f"the name {each.name}{on}",
    )  # fmt: skip
