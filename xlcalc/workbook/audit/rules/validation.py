"""Cells that have lost the check on what may be typed into them, which the cells above and below have."""

from collections.abc import Iterator

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.allowed import checks
from xlcalc.workbook.audit.evidence.naming import CELL, named
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import Listing

NEAR = 3  # columns beside a cell in which its row must have a check too
SILENT = (None, "0", "false")  # of a check that lets everything pass
MOST = 200_000  # cells of a sheet with a check


def lost_validation(book: Book) -> Iterator[Finding]:
    """Cells that have lost the check on what may be typed into them, each once."""
    seen: set[Place] = set()
    for rule in (lost_in_tables, lost_on_named_cells, lost_beside_labels, holes):
        for each in rule(book):
            if not seen.intersection(each.cells):
                seen.update(each.cells)
                yield each


def lost_in_tables(book: Book) -> Iterator[Finding]:
    """Typed cells of a table without a check on what is typed, in a row and a column where others have one."""
    rows = list(raw_rows("audit/known_checks"))
    known = {(row["table"], row["head"]) for row in rows}
    places = {(row["sheet"], int(row["row"]), int(row["column"])) for row in rows}
    for sheet in book.sheets:
        checked, match = with_checks(book, sheet), book.canon.match(sheet)
        for table in book.tables(sheet):
            typed = Typed(table, checked, set(book.formulas(sheet)))
            first = match and match.rows.get(table.rows[0])
            at = {each: match and (match.known.name, first, match.columns.get(each)) for each in table.columns.values()}
            gone = [column for column in at if at[column] in places]
            if typed.none and gone:
                expected = "the checks that this table has in a new workbook, in all its columns"
                yield lost(sheet, gone[0], table.rows, expected)
            for head, column in table.columns.items():
                bare, all_of_it = typed.bare(head)
                if bare and (not all_of_it or (table.head(), head) in known or at[column] in places):
                    like = "this column has in a new workbook" if all_of_it else "the other rows of the column have"
                    yield lost(sheet, column, bare, f"the check that {like}")


def lost_on_named_cells(book: Book) -> Iterator[Finding]:
    """Cells with a name of a new workbook that have lost the check on what is typed there."""
    wanted = {row["name"]: row["head"] for row in raw_rows("audit/known_names") if row["checked"]}
    checked = {sheet: with_checks(book, sheet) for sheet in book.sheets}
    for name, each in named(book).items():
        cell = each.top, each.left
        if each.kind == CELL and each.head == wanted.get(name) and cell not in checked[each.sheet]:
            yield lost(each.sheet, each.left, [each.top], f"the check that {name} has in a new workbook")


def lost_beside_labels(book: Book) -> Iterator[Finding]:
    """Cells outside of tables that have lost the check which they have in a new workbook, wherever they stand now."""
    known: dict[str, list[tuple[int, int]]] = {}
    for each in raw_rows("audit/known_cells"):
        known.setdefault(each["sheet"], []).append((int(each["row"]), int(each["column"])))
    for sheet in book.sheets:
        if match := book.canon.match(sheet):
            checked, formulas = with_checks(book, sheet), book.formulas(sheet)
            for row, column in known.get(match.known.name, ()):
                here = match.column_of.get(column, 0)
                for there in match.rows_of.get(row, ()) if here else ():
                    if (there, here) not in checked and (there, here) not in formulas:
                        yield lost(sheet, here, [there], "the check that this cell has in a new workbook")


def holes(book: Book) -> Iterator[Finding]:
    """Cells without a check on what is typed in a column where the two above and the two below have one."""
    for sheet in book.sheets:
        checked, formulas = with_checks(book, sheet), book.formulas(sheet)
        for row, column in sorted((row + 1, column) for row, column in checked):
            around = all((row + step, column) in checked for step in (-2, -1, 1, 2))
            beside = any((row, near) in checked for near in range(column - NEAR, column + NEAR + 1))
            if around and beside and (row, column) not in checked and (row, column) not in formulas:
                yield lost(sheet, column, [row], "the check that the cells above and below have")


class Typed:
    """The typed cells of a table, those with a check on what is typed and those without.

    Only rows count in which some cell has a check: a row that was put in whole has none at all.
    """

    def __init__(self, table: Listing, checked: set[tuple[int, int]], formulas: set[tuple[int, int]]) -> None:
        self._table, self._checked, self._formulas = table, checked, formulas
        columns = table.columns.values()
        self._rows = [row for row in table.rows if any((row, column) in checked for column in columns)]

    @property
    def none(self) -> bool:
        """True where no cell of the table has a check."""
        return not self._rows

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
    """Row and column of every cell of a sheet that has a check on what is typed; one that says nothing is none."""
    found: set[tuple[int, int]] = set()
    for rule, areas in checks(book, sheet):
        stops = rule.get("type", "none") != "none" and rule.get("showErrorMessage") not in SILENT
        for top, left, bottom, right in areas if stops else ():
            if (bottom - top + 1) * (right - left + 1) + len(found) < MOST:
                found.update((row, column) for row in range(top, bottom + 1) for column in range(left, right + 1))
    return found
