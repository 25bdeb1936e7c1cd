"""What a person types into a sheet, and where: small words for the recipes."""

from xlcalc.workbook.formulas import column_letters

from .draft import Cell, Draft
from .layout import Layout, Table


def text(words: str) -> Cell:
    """A typed text."""
    return Cell().typed(words)


def number(value: float) -> Cell:
    """A typed number."""
    return Cell().typed(float(value))


def formula(written: str) -> Cell:
    """A formula whose value is worked out later."""
    return Cell().worked(written, 0.0)


def table(draft: Draft, sheet: str, which: int = 0) -> Table:
    """A table of a sheet."""
    return Layout(draft).on(sheet)[which]


def lettered(draft: Draft, at: Table, head: str) -> str:
    """The letters of a column with a header."""
    column = Layout(draft).column(at, head)
    assert column is not None, head
    return column_letters(column)


def spare_columns(draft: Draft, at: Table, count: int) -> list[int]:
    """Columns to the right of all that is used in a table's sheet."""
    last = max(column for _, column in draft.look(at.sheet).cells)
    return list(range(last + 2, last + 2 + count))
