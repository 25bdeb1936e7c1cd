"""A small workbook before and after it is worked out."""

from pathlib import Path

from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

from .books import book, formula, number, row

OLD = book(row(1, number("A1", 3), formula("B1", "A1*2", "1")))
PACKAGE = Package.from_bytes(OLD, "book.xlsx")
EDITS = compute(PACKAGE).edits
NEW = PACKAGE.edited(EDITS)


def placed(folder: Path) -> Path:
    """The small workbook in a folder."""
    place = folder / "book.xlsx"
    place.write_bytes(OLD)
    return place
