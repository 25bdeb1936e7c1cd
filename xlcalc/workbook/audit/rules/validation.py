"""Cells that have lost the check on what may be typed into them, which the cells above and below have."""

from collections.abc import Iterator

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.formulas import corners
from xlcalc.workbook.listing import listings
from xlcalc.workbook.package import MAIN

MOST = 200_000  # cells of a sheet with a check


def lost_validation(book: Book) -> Iterator[Finding]:
    """Typed cells of a table without a check on what is typed, in a row and a column where others have one."""
    known = {(row["head"], row["neighbour"]) for row in raw_rows("audit/known_checks")}
    for sheet in book.sheets:
        checked = with_checks(book, sheet)
        for table in listings(book.report, sheet, book.headers(sheet)):
            rows = [row for row in table.rows if any((row, column) in checked for column in table.columns.values())]
            named = {head for head, column in table.columns.items() if any((row, column) in checked for row in rows)}
            for head, column in table.columns.items():
                bare = [row for row in rows if (row, column) not in checked and (row, column) not in book.formulas(sheet)]
                if not bare:
                    continue
                whole = len(bare) == len([row for row in rows if (row, column) not in book.formulas(sheet)])
                if head in named and not whole:
                    expected = "the check that the other rows of the column have"
                elif whole and any((head, other) in known for other in named):
                    expected = "the check that this column has in a new workbook"
                else:
                    continue
                yield Finding(
                    "validation-removed", tuple((sheet, row, column) for row in bare),
                    "anything can be typed here: the cell has no list and no limits", expected,
                    "a wrong word or a number out of all bounds goes in without a word",
                    "copy a row with its lists from above (Paste Special > Validation)",
                    Sure.LIKELY, Weight.WEAK,
                )  # fmt: skip


def with_checks(book: Book, sheet: str) -> set[tuple[int, int]]:
    """Row and column of every cell of a sheet that has a check on what is typed."""
    found: set[tuple[int, int]] = set()
    for rule in book.package.tree(book.sheets[sheet].part).iter(f"{MAIN}dataValidation"):
        if rule.get("type", "none") == "none":
            continue
        for area in (rule.get("sqref") or "").split():
            top, left, bottom, right = corners(area)
            if (bottom - top + 1) * (right - left + 1) + len(found) < MOST:
                found.update((row, column) for row in range(top, bottom + 1) for column in range(left, right + 1))
    return found
