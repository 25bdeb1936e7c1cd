"""What stands in the rows of a sheet, by column: texts and numbers that were typed, and formulas."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.file.values import Value

Cell = tuple[int, int]
"""Row and column."""


@dataclass(frozen=True)
class SheetRow:
    """What stands in a row of a sheet, by column: texts and numbers that were typed, and formulas."""

    texts: dict[int, str]
    formulas: dict[int, Pattern]
    numbers: dict[int, float]

    def kind(self, column: int) -> str:
        """What stands in a column, in a form in which cells of one kind are the same; empty for a blank cell."""
        if column in self.formulas:
            return self.formulas[column].key
        return "text" if column in self.texts else "number" if column in self.numbers else ""

    @property
    def filled(self) -> set[int]:
        """The columns that hold something."""
        return {*self.texts, *self.formulas, *self.numbers}


def rows(formulas: Mapping[Cell, Pattern], typed: Mapping[Cell, Value]) -> dict[int, SheetRow]:
    """The rows of a sheet that hold anything, from its formulas and what is typed into its other cells."""
    found: dict[int, SheetRow] = defaultdict(lambda: SheetRow({}, {}, {}))
    for (row, column), pattern in formulas.items():
        found[row].formulas[column] = pattern
    for (row, column), value in typed.items():
        into = found[row]
        if isinstance(value, str):
            into.texts[column] = value
        elif isinstance(value, float | int):
            into.numbers[column] = value
    return dict(found)


def same_table(row: SheetRow, beside: SheetRow, column: int, *, first: bool = False) -> bool:
    """True for two rows of one table: formulas, texts and numbers stand in the same columns; `column` counts for sure.

    A blank in one of them is no difference as long as most is the same. `first` says that a row would be the first of
    the table: other formulas are no difference then, as a running total begins with one of its own.
    """
    if row.kind(column) and beside.kind(column) and row.kind(column) != beside.kind(column):
        return False
    columns = row.filled | beside.filled
    alike = sum(row.kind(each) == beside.kind(each) for each in columns)
    apart = sum(bool(row.kind(each) and beside.kind(each)) for each in columns) - alike
    if first:
        both = row.formulas.keys() & beside.formulas.keys()
        apart -= sum(row.kind(each) != beside.kind(each) for each in both)
    return alike > 0 and not apart and 2 * alike >= len(columns)
