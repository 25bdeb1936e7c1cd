"""What a cell is called: the header of its table; elsewhere the label of its row and the header of its block.

So a message names a cell to a person. `headers` knows no labels: it says what stands above a cell, whatever that is.
"""

from collections.abc import Collection

from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.explained.headers import LONGEST, WIDEST, Headers, is_unit
from xlcalc.workbook.explained.listing import marker
from xlcalc.workbook.formulas import LAST_ROW

UNIT_WITHIN = 4  # columns to the right in which a label's unit stands
MADE_WITHIN = 3  # columns to the left in which a label may be worked out, as in "Total   Incomplete"
HEADS_WITHIN = 3  # rows from the top of a block in which its headers stand: below a title and a second one
FEWEST_HEADS = 3  # a label with its value and a remark is no row of headers
APART = 3  # columns without a header between two blocks that stand side by side


class Labels:
    """The names of the cells of one sheet; `fields` are those that a name of the book stands for.

    A cell with a name of its own belongs to a form, also where the form stands below the headers of a list.
    """

    def __init__(self, report: Report, sheet: str, heads: Headers, fields: Collection[tuple[int, int]] = ()) -> None:
        self._report, self._sheet, self._heads, self._fields = report, sheet, heads, fields
        self._last = max((row for row, _ in report.places(sheet)), default=0)
        self._ends: dict[int, int] = {}

    def named(self, row: int, column: int) -> tuple[str, str]:
        """The words for a cell and its unit; empty where the sheet says none.

        In a table these are header and unit of its column. Elsewhere, as on a form, they are the label on the left,
        joined with the header at the top of the block where there is one, and the unit on the right.
        """
        table = (row, column) not in self._fields and self._in_table(row)
        if table and (head := self._heads.head(row, column)):
            return head, self._heads.unit(row, column)
        top = self._head_row(row, column)
        words = [self._first(row, column, top) if top else self._beside(row, column), self._text(top, column)]
        named = ", ".join(dict.fromkeys(filter(None, words)))
        return named, self._unit(row, column, past_numbers=bool(top)) if named else ""

    def over(self, row: int, column: int) -> tuple[str, str]:
        """Header and unit over an area whose first row of data this is; empty where nothing heads it."""
        if self._in_table(row):
            return self._heads.head(row, column), self._heads.unit(row, column)
        return self._text(self._head_row(row, column), column), ""

    def _in_table(self, row: int) -> bool:
        """True below the headers of a table down to the row that ends it."""
        top = self._heads.above(row)
        if not top or not (self._heads.checked(top) or len(self._heads.rows) == 1):
            return False
        if top not in self._ends:
            below = next((each for each in self._heads.rows if each > top), LAST_ROW + 1)
            searched = min(below, self._last + 2)
            end = marker(self._report, self._sheet, top, searched)
            self._ends[top] = below if end == searched else end
        return row <= self._ends[top]

    def _head_row(self, row: int, column: int) -> int:
        """The row of headers over a cell within its block; 0 where there is none."""
        top = self._heads.block(row)
        for place in range(top, min(top + (1 if column == 1 else HEADS_WITHIN), row)):
            heads = self._heads.typed(place, column) and (place, column) not in self._fields
            if heads and (column == 1 or self._heads_of(place) >= FEWEST_HEADS):
                return place
        return 0

    def _heads_of(self, row: int) -> int:
        return sum(self._heads.typed(row, each) and not is_unit(self._text(row, each)) for each in range(1, WIDEST))

    def _first(self, row: int, column: int, top: int) -> str:
        """The label that begins a row under headers; none where the headers break off on the way to it."""
        gap = 0
        for near in range(column - 1, 0, -1):
            gap = 0 if self._text(top, near) else gap + 1
            if gap > APART:
                return ""
        return next((self._text(row, near) for near in range(1, column) if self._heads.typed(row, near)), "")

    def _beside(self, row: int, column: int) -> str:
        """The first of the texts on the left of a cell that no other value parts from it, without units.

        A text that is worked out is a value like a number; only right before a number it may be the label of that.
        """
        found = ""
        for near in range(column - 1, 0, -1):
            value, text = self._report.value(self._sheet, row, near), self._text(row, near)
            if isinstance(value, float | bool):
                break
            if self._report.is_formula(self._sheet, row, near):
                if text and len(text) <= LONGEST and column - near <= MADE_WITHIN:
                    return found if found or self._text(row, column) else text
            elif text and not is_unit(text):
                found = text
        return found

    def _unit(self, row: int, column: int, *, past_numbers: bool) -> str:
        """The unit on the right of a cell; it may be that of several numbers where headers part them."""
        for near in range(column + 1, column + 1 + UNIT_WITHIN):
            if is_unit(text := self._text(row, near)) and text:
                return text
            if not past_numbers and isinstance(self._report.value(self._sheet, row, near), float):
                break
        return ""

    def _text(self, row: int, column: int) -> str:
        value = self._report.value(self._sheet, row, column) if row else None
        return value.strip() if isinstance(value, str) else ""
