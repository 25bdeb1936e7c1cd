"""Cells that have lost the check on what may be typed into them, which the cells above and below have."""

from collections.abc import Iterator

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.allowed import checks
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.listing import Listing

MOST = 200_000  # cells of a sheet with a check


def lost_validation(book: Book) -> Iterator[Finding]:
    """Typed cells of a table without a check on what is typed, in a row and a column where others have one."""
    known = {(row["table"], row["head"]) for row in raw_rows("audit/known_checks")}
    for sheet in book.sheets:
        checked = with_checks(book, sheet)
        for table in book.tables(sheet):
            typed = Typed(table, checked, set(book.formulas(sheet)))
            for head in table.columns:
                bare, all_of_it = typed.bare(head)
                if bare and (not all_of_it or (table.head(), head) in known):
                    like = "this column has in a new workbook" if all_of_it else "the other rows of the column have"
                    yield lost(sheet, table.columns[head], bare, f"the check that {like}")


class Typed:
    """The typed cells of a table, those with a check on what is typed and those without.

    Only rows count in which some cell has a check: a row that was put in whole has none at all.
    """

    def __init__(self, table: Listing, checked: set[tuple[int, int]], formulas: set[tuple[int, int]]) -> None:
        self._table, self._checked, self._formulas = table, checked, formulas
        columns = table.columns.values()
        self._rows = [row for row in table.rows if any((row, column) in checked for column in columns)]

    def bare(self, head: str) -> tuple[list[int], bool]:
        """The rows whose cell under a header has no check, and whether these are all rows that there are."""
        column = self._table.columns[head]
        typed = [row for row in self._rows if (row, column) not in self._formulas]
        bare = [row for row in typed if (row, column) not in self._checked]
        return bare, len(bare) == len(typed)


def lost(sheet: str, column: int, rows: list[int], expected: str) -> Finding:
    """A finding about cells of a column without a check."""
    return Finding(
        "validation-removed", tuple((sheet, row, column) for row in rows),
        "anything can be typed here: the cell has no list and no limits", expected,
        "a wrong word or a number out of all bounds goes in without a word",
        "copy the cell of a row that has the check, and paste its validation (Paste Special)",
        Sure.LIKELY, Weight.WEAK,
    )  # fmt: skip


def with_checks(book: Book, sheet: str) -> set[tuple[int, int]]:
    """Row and column of every cell of a sheet that has a check on what is typed."""
    found: set[tuple[int, int]] = set()
    for rule, areas in checks(book, sheet):
        for top, left, bottom, right in areas if rule.get("type", "none") != "none" else ():
            if (bottom - top + 1) * (right - left + 1) + len(found) < MOST:
                found.update((row, column) for row in range(top, bottom + 1) for column in range(left, right + 1))
    return found
