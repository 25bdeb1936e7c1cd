"""Which table of a sheet a row belongs to, and the formula columns of each table."""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.explained.headers import Headers


class Sections:
    """The tables of a sheet, by its header rows and by `ends`: the rows that end a table, from top to bottom."""

    def __init__(self, heads: Headers, ends: Sequence[int]) -> None:
        self._heads, self._ends = heads, ends

    def of(self, row: int) -> tuple[int, bool]:
        """The header row above, and whether a row that ends its table stands between."""
        top = self._heads.above(row)
        return top, bisect_left(self._ends, row) > bisect_left(self._ends, top)


class Column(NamedTuple):
    """The formula cells of one column of one table, from top to bottom.

    `top` is the header row that they stand under, 0 where there is none; `after` is True for what stands below the
    row that ends the table.
    """

    sheet: str
    column: int
    top: int
    after: bool
    rows: list[int]
    patterns: list[Pattern]

    def groups(self) -> dict[str, list[int]]:
        """The places in `rows` by the key of their pattern, the most frequent first."""
        found: dict[str, list[int]] = {}
        for place, pattern in enumerate(self.patterns):
            found.setdefault(pattern.key, []).append(place)
        return dict(sorted(found.items(), key=lambda each: -len(each[1])))


def columns(sheet: str, formulas: Mapping[tuple[int, int], Pattern], sections: Sections) -> list[Column]:
    """The formula columns of every table of a sheet, from top to bottom and left to right."""
    found: dict[tuple[int, bool], dict[int, Column]] = {}
    last, section, here = 0, (0, False), dict[int, Column]()
    for row, column in sorted(formulas):
        if row != last:
            last, section = row, sections.of(row)
            here = found.setdefault(section, {})
        into = here.get(column) or here.setdefault(column, Column(sheet, column, *section, [], []))
        into.rows.append(row)
        into.patterns.append(formulas[row, column])
    return [of_section[column] for _, of_section in sorted(found.items()) for column in sorted(of_section)]
