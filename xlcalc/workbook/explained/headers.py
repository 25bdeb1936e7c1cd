"""What stands above a cell: the header and unit of its column, on any sheet, also in tables under each other.

What a person calls a cell, on a form too, is told by `labels`, which rests on this.
"""

from bisect import bisect_left
from collections import Counter
from functools import lru_cache

from xlcalc.core.errors import CalcError
from xlcalc.core.units import unit
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.landmarks import MARKER

DEEPEST = 15  # rows from the top in which a header row is looked for
WIDEST = 150
FEWEST = 2  # texts that make a row of headers
LONGEST = 40  # letters of a header; longer texts are sentences beside a cell
CHECK = "check"  # the header of a verdict; a row with it heads a table wherever it stands
BLOCK_WIDTH = 16  # columns in which a row that is not empty holds something
LONGEST_BLOCK = 500  # rows of a form without an empty one between
LEFTMOST = 12  # columns in which a Check further down the sheet is looked for


class Headers:
    """The header rows of one sheet, each with the units in the row below it.

    The first is the row with the most texts near the top; every row below it with the header Check is another.
    """

    def __init__(self, report: Report, sheet: str) -> None:
        self._report, self._sheet = report, sheet
        counts = Counter[int]()
        for row in range(1, DEEPEST + 1):
            counts[row] = sum(self.typed(row, column) for column in range(1, WIDEST))
        row, texts = counts.most_common(1)[0]
        self.row = row if texts >= FEWEST else 0  # a title by itself heads no column
        last = max((row for row, _ in report.places(sheet)), default=0)
        candidates = sorted(report.rows_saying(sheet, CHECK)) if self.row else []
        below = (row for row in candidates if self.row < row < last and self._heads(row))
        self.rows = [row for row in (self.row, *below) if row]
        self._units = {row: self._unit_row(row) for row in self.rows}

    def _text(self, row: int, column: int) -> str:
        value = self._report.value(self._sheet, row, column)
        return value if isinstance(value, str) else ""

    def typed(self, row: int, column: int) -> bool:
        """True for a text that may be a header or a label: not worked out, and no sentence."""
        length = len(self._text(row, column))
        return 0 < length <= LONGEST and not self._report.is_formula(self._sheet, row, column)

    def _heads(self, row: int) -> bool:
        """True for a row with the header Check among other headers."""
        places = [place for place in range(1, LEFTMOST + 1) if self._text(row, place).casefold() == CHECK]
        return bool(places) and self.typed(row, places[0]) and (
            sum(self.typed(row, place) for place in range(1, LEFTMOST + 1)) >= FEWEST
        )

    def _unit_row(self, row: int) -> bool:
        below = [text for column in range(1, WIDEST) if (text := self._text(row + 1, column))]
        return bool(below) and 2 * sum(is_unit(text) for text in below) >= len(below)

    def above(self, row: int) -> int:
        """The header row that a row stands under; 0 where there is none."""
        place = bisect_left(self.rows, row)
        return self.rows[place - 1] if place else 0

    def checked(self, top: int) -> bool:
        """True for a row of headers that heads a table with a Check."""
        return any(self._text(top, place).casefold() == CHECK for place in range(1, LEFTMOST + 1))

    def block(self, row: int) -> int:
        """The first of the filled rows that stand together: an empty one or the end of a table parts them."""
        for top in range(row, max(1, row - LONGEST_BLOCK), -1):
            if not self.joined(top - 1):
                return top
        return 1 if row <= LONGEST_BLOCK else row  # so long a run of rows is a table of its own, and no form

    def joined(self, row: int) -> bool:
        """True for a row that belongs to the one below it: it holds something and does not end a table."""
        held = [self._report.value(self._sheet, row, place) for place in range(1, BLOCK_WIDTH + 1)]
        return MARKER not in held and any(value not in (None, "") for value in held)

    def head(self, row: int, column: int) -> str:
        """The header above a cell; empty where there is none."""
        top = self.above(row)
        return self._text(top, column) if top else ""

    def unit(self, row: int, column: int) -> str:
        """The unit of its column; empty where there is none."""
        top = self.above(row)
        return self._text(top + 1, column) if top and self._units[top] and row > top + 1 else ""

    def band(self, row: int, column: int) -> str:
        """The title of the group of columns that a cell belongs to."""
        top = self.above(row)
        for place in range(column, 0, -1) if top > 1 else ():
            if text := self._text(top - 1, place):
                return text
        return ""


@lru_cache(4096)
def is_unit(text: str) -> bool:
    """True for a text that names a unit, such as `L/min` or `mm2/s (cSt)`."""
    try:
        unit(text.partition("(")[0].strip() or text)
    except CalcError:
        return False
    return True
