"""Where the tables of a book stand, whatever their columns and sheets are called now: found by the header Check."""

from functools import cached_property
from typing import NamedTuple

from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.values import Value

from .draft import Draft

CHECK_WITHIN = 12
WIDEST = 150


class Table(NamedTuple):
    """A table: its header row (units below it, then a thin row), the column of its Check, its rows."""

    sheet: str
    head: int
    check: int
    rows: tuple[int, ...]


class Layout:
    """The tables of a book, and what a column of one holds."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft

    @cached_property
    def tables(self) -> list[Table]:
        """All tables, in the order of sheets and rows."""
        return [table for sheet in self.draft.names for table in self._of(sheet)]

    def _of(self, sheet: str) -> list[Table]:
        grid = self.draft.look(sheet)
        heads = sorted(
            place for place, cell in grid.cells.items()
            if place[1] <= CHECK_WITHIN and cell.formula is None and cell.kind != b"n" and grid.value(*place) == "Check"
        )  # fmt: skip
        found = []
        for index, (head, check) in enumerate(heads):
            below = heads[index + 1][0] if index + 1 < len(heads) else 10**7
            rows = tuple(sorted(
                row for row, column in grid.cells
                if column == check and head < row < below and grid.cells[row, column].formula is not None
            ))  # fmt: skip
            if rows and grid.value(head, 1):
                found.append(Table(sheet, head, check, rows))
        return found

    def on(self, sheet: str) -> list[Table]:
        """The tables of one sheet."""
        return [table for table in self.tables if table.sheet == sheet]

    def text(self, sheet: str, row: int, column: int) -> str:
        """The text of a cell; empty for anything else."""
        value = self.draft.look(sheet).value(row, column)
        return value if isinstance(value, str) else ""

    def columns(self, table: Table) -> dict[int, str]:
        """The columns with a header."""
        return {
            column: head for column in range(1, WIDEST) if (head := self.text(table.sheet, table.head, column).strip())
        }

    def unit(self, table: Table, column: int) -> str:
        """The unit in the row below the header."""
        return self.text(table.sheet, table.head + 1, column)

    def typed(self, table: Table, column: int) -> bool:
        """True for a column that is filled in by hand."""
        cells = self.draft.look(table.sheet).cells
        return all((cell := cells.get((row, column))) is None or cell.formula is None for row in table.rows)

    def filled(self, table: Table) -> list[int]:
        """The rows that have a name, or the first figures beside a name that is worked out."""
        grid = self.draft.look(table.sheet)
        return [row for row in table.rows if any(grid.value(row, column) not in (None, "") for column in (1, 4))]

    def table_at(self, place: Place) -> Table | None:
        """The table that a cell belongs to."""
        sheet, row, _ = place
        return next((table for table in self.on(sheet) if table.rows[0] <= row <= table.rows[-1]), None)

    def column(self, table: Table, head: str) -> int | None:
        """The column with a header; headers are compared without case."""
        heads = ((column, text.casefold()) for column, text in self.columns(table).items())
        return next((column for column, text in heads if text == head.casefold()), None)


def is_number(value: Value) -> bool:
    """True for a number that is not true or false."""
    return isinstance(value, float)
