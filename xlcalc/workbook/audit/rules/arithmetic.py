"""Arithmetic that does not hold: values in the file that are not what their formulas give."""

import math
from collections.abc import Iterator

from xlcalc.core.errors import CalcError
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.place import place_of
from xlcalc.workbook.values import Value
from xlcalc.workbook.workings import shown

CLOSE = 1e-9  # two programs differ by less in the same arithmetic


def stale_values(book: Book) -> Iterator[Finding]:
    """Cells that show another value than their formula gives, without those that only follow from another such cell."""
    wrong = {}
    for change in book.report.changes:
        if not alike(change.old, change.new):
            wrong[place_of(book.written, change.cell)] = change
    for place, change in wrong.items():
        looks = book.written.looks(book.formula(place), place)
        if not any(look.covers(other) for other in wrong if other != place for look in looks):
            yield Finding(
                "stale-value",
                (place,),
                f"the file shows {shown(change.old)}",
                f"its formula gives {shown(change.new)}",
                "whoever reads the file without recalculating it reads a wrong value",
                "run `xlcalc recalc` on the workbook, or recalculate it in the spreadsheet and save it",
                Sure.CERTAIN,
                Weight.WRONG,
            )


def alike(old: Value, new: Value) -> bool:
    """True for values that two programs may give for the same formula."""
    if isinstance(old, float) and isinstance(new, float):
        return math.isclose(old, new, rel_tol=CLOSE, abs_tol=1e-12)
    if isinstance(old, CalcError) and isinstance(new, CalcError):
        return old.code == new.code
    return (old or "") == (new or "")
