"""What stands above a cell: the header and unit of its column, on any sheet."""

from collections import Counter

from xlcalc.core.errors import CalcError
from xlcalc.core.units import unit
from xlcalc.workbook.recalc import Report

DEEPEST = 15  # rows from the top in which a header row is looked for
WIDEST = 150
FEWEST = 2  # texts that make a row of headers


class Headers:
    """The headers of one sheet: the row with the most texts near the top, the units in the row below it."""

    def __init__(self, report: Report, sheet: str) -> None:
        self._report, self._sheet = report, sheet
        counts = Counter[int]()
        for row in range(1, DEEPEST + 1):
            counts[row] = sum(isinstance(report.value(sheet, row, column), str) and
                              bool(report.value(sheet, row, column)) and not report.formula(sheet, row, column)
                              for column in range(1, WIDEST))  # fmt: skip
        row, texts = counts.most_common(1)[0]
        self.row = row if texts >= FEWEST else 0  # a title by itself heads no column
        below = [text for column in range(1, WIDEST) if (text := self._text(self.row + 1, column))]
        named = sum(is_unit(text) for text in below)
        self._units = bool(below) and named * 2 >= len(below)

    def _text(self, row: int, column: int) -> str:
        value = self._report.value(self._sheet, row, column)
        return value if isinstance(value, str) else ""

    def head(self, row: int, column: int) -> str:
        """The header above a cell; empty where there is none."""
        return self._text(self.row, column) if row > self.row > 0 else ""

    def unit(self, row: int, column: int) -> str:
        """The unit of its column; empty where there is none."""
        return self._text(self.row + 1, column) if self._units and row > self.row + 1 else ""

    def band(self, column: int) -> str:
        """The title of the group of columns that a column belongs to."""
        for place in range(column, 0, -1) if self.row > 1 else ():
            if text := self._text(self.row - 1, place):
                return text
        return ""


def is_unit(text: str) -> bool:
    """True for a text that names a unit, such as `L/min` or `mm2/s (cSt)`."""
    try:
        unit(text.partition("(")[0].strip() or text)
    except CalcError:
        return False
    return True
