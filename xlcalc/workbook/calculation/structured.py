"""Structured references of tables, such as `Prices[[#This Row],[Cost]]`: read them, find the cells that they mean.

The rules are those of Excel: a table's name alone is its rows without headers and totals, `[#This Row]` and `@`
are the row of the formula, capitals do not count, and `'` stands before a bracket, `#`, `@` or `'` that belongs to
a column's name.
"""

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from xlcalc.workbook.file.package import Table
from xlcalc.workbook.formulas import LAST_COLUMN, LAST_ROW, NAME, SHEET, column_letters, corners, quoted

WHOLE = re.compile(rf"(?P<before>{SHEET})?(?P<table>{NAME})?(?:\[(?P<inside>.*)\])?", re.DOTALL)
PART = re.compile(r"\s*\[((?:[^\[\]']|'.)*)\]\s*([,:]?)", re.DOTALL)
ESCAPE = re.compile(r"'(.)", re.DOTALL)
THIS_ROW, GONE = "#this row", "#ref!"
ROWS: dict[frozenset[str], tuple[str, str]] = {
    frozenset(): ("data", "data"),
    frozenset({"#data"}): ("data", "data"),
    frozenset({THIS_ROW}): ("data", "data"),
    frozenset({"#all"}): ("headers", "totals"),
    frozenset({"#headers"}): ("headers", "headers"),
    frozenset({"#totals"}): ("totals", "totals"),
    frozenset({"#headers", "#data"}): ("headers", "data"),
    frozenset({"#data", "#totals"}): ("data", "totals"),
}
"""What may stand together: the first and the last part of the table that it takes in."""

ROW_HERE = "\0"
"""Stands for the number of the formula's row where one answer serves a whole column."""

Box = tuple[int, int, int, int]
"""Top, left, bottom and right of an area."""

EVERYWHERE: Box = (1, 1, LAST_ROW, LAST_COLUMN)


class Spec(NamedTuple):
    """A structured reference as written. `table` is empty where none is named; no columns are all of them."""

    before: str  # `Sheet1!` or `[1]!` in front of the table
    table: str
    items: frozenset[str]
    columns: tuple[str, ...]
    readable: bool


class Meaning(NamedTuple):
    """What a structured reference stands for, for a formula in one of the cells `holds` of its sheet.

    `area` on `sheet`, or the error value that it is and `why`, or only why it cannot be told. `moves`: its row is the
    formula's.
    """

    sheet: str = ""
    area: Box = EVERYWHERE
    error: str = ""
    why: str = ""
    moves: bool = False
    holds: Box = EVERYWHERE

    @property
    def single(self) -> bool:
        """True for one cell, and for an error value."""
        return bool(self.error) or self.area[:2] == self.area[2:]

    def written(self, on: str) -> str:
        """As cells, for a formula on the sheet `on`; its own row as `ROW_HERE`."""
        if self.error:
            return self.error
        top, left, bottom, right = self.area
        rows = (ROW_HERE, ROW_HERE) if self.moves else (f"${top}", f"${bottom}")
        first, last = f"${column_letters(left)}{rows[0]}", f"${column_letters(right)}{rows[1]}"
        sheet = "" if self.sheet == on else f"{quoted(self.sheet)}!"
        return f"{sheet}{first}" if first == last else f"{sheet}{first}:{last}"


@lru_cache(10_000)
def read(text: str) -> Spec:
    """The parts of a structured reference, or of the bare name of a table."""
    match = WHOLE.fullmatch(text)
    before, table, inside = match.group("before", "table", "inside") if match else ("", "", "")
    spec = Spec(before or "", table or "", frozenset(), (), match is not None)
    inside = (inside or "").strip()
    if inside.startswith("@"):
        spec, inside = spec._replace(items=frozenset({THIS_ROW})), inside[1:].strip()
    if not inside:
        return spec
    if not inside.startswith("["):
        inside = f"[{inside}]"
    items, place, mark = set(spec.items), 0, ","
    columns: list[str] = []
    while mark and (part := PART.match(inside, place)):
        if part[1].startswith("#"):
            items.add(part[1].strip().lower())
        elif not columns or mark == ":":
            columns.append(ESCAPE.sub(r"\1", part[1]))
        else:
            break
        place, mark = part.end(), part[2]
    whole = spec.readable and place == len(inside) and not mark and len(columns) < 3
    return spec._replace(items=frozenset(items), columns=tuple(columns), readable=whole)


class Placed(NamedTuple):
    """A table, its whole area and the places of its columns, counted from 0."""

    table: Table
    area: Box
    columns: dict[str, int]


class Tables:
    """The tables of a book, asked what a structured reference means."""

    def __init__(self, tables: Iterable[Table] = ()) -> None:
        self._placed = [Placed(table, corners(table.area), numbered(table.columns)) for table in tables]
        self._by_name = {each.table.name.lower(): each for each in self._placed}

    def __contains__(self, name: str) -> bool:
        return name.lower() in self._by_name

    def meaning(self, text: str, sheet: str, row: int, column: int) -> Meaning:
        """What a reference means in a formula at a place. Rows and columns count from 1."""
        spec = read(text)
        if "[" in spec.before or ".xl" in spec.before.lower():
            return Meaning(why=f"external link {spec.before.removesuffix('!')}")
        if GONE in spec.items:
            return Meaning(error="#REF!", why=f"{text} names a column that is gone")
        if not spec.readable or spec.items not in ROWS:
            return Meaning(why=f"structured reference that cannot be read: {text}")
        if spec.table:
            named = self._by_name.get(spec.table.lower())
            lost = Meaning(why=f"there is no table {spec.table}")
            return meaning_in(named, spec, EVERYWHERE, row) if named else lost
        return self._around(text, spec, sheet, row, column)

    def _around(self, text: str, spec: Spec, sheet: str, row: int, column: int) -> Meaning:
        """What a reference without a table's name means: the table is the one that the formula stands in."""
        outside = EVERYWHERE
        for each in self._placed:
            if each.table.sheet == sheet:
                if within(each.area, row, column):
                    return meaning_in(each, spec, each.area, row)
                outside = beside(each.area, outside, row, column)
        return Meaning(why=f"{text} names no table and stands in none", holds=outside)


def meaning_in(placed: Placed, spec: Spec, holds: Box, row: int) -> Meaning:
    """What a reference means to this table in a formula on a row; `holds` is where it is a reference to this table."""
    table, (top, left, bottom, right), known = placed
    for name in spec.columns:
        if folded(name) not in known:
            return Meaning(why=f"the table {table.name} has no column {name}", holds=holds)
    if spec.columns:
        wanted = sorted(left + known.get(name.lower(), known[folded(name)]) for name in spec.columns)
        left, right = wanted[0], wanted[-1]
    top, bottom = rows(table, top, bottom, *ROWS[spec.items])
    if top > bottom:
        return Meaning(error="#REF!", why=f"the table {table.name} has no row of {named_rows(spec)}", holds=holds)
    if THIS_ROW not in spec.items:
        return Meaning(table.sheet, (top, left, bottom, right), holds=holds)
    its_rows = top, 1, bottom, LAST_COLUMN
    if not top <= row <= bottom:
        why = f"the row of the formula is none of the table {table.name}, which has its rows from {top} to {bottom}"
        return Meaning(error="#VALUE!", why=why, holds=beside(its_rows, holds, row, left))
    return Meaning(table.sheet, (row, left, row, right), moves=True, holds=crossing(holds, its_rows))


def named_rows(spec: Spec) -> str:
    """`totals`, the part of a table that a reference asks for."""
    return " and ".join(sorted(item.removeprefix("#") for item in spec.items)) or "data"


def rows(table: Table, top: int, bottom: int, first: str, last: str) -> tuple[int, int]:
    """The rows from one part of a table to another; the first after the last where the table has none."""
    data, totals = top + table.header_rows, bottom - table.totals_rows + 1
    starts = {"headers": top, "data": data, "totals": totals}
    ends = {"headers": data - 1, "data": totals - 1, "totals": bottom}
    return starts[first], ends[last]


def numbered(columns: Iterable[str]) -> dict[str, int]:
    """The places of columns by their names in small letters, and with every white space as one blank."""
    exact = {name.lower(): place for place, name in enumerate(columns)}
    return {folded(name): place for name, place in exact.items()} | exact


def folded(name: str) -> str:
    """A column's name in small letters, every white space as one blank."""
    return " ".join(name.lower().split())


def within(box: Box, row: int, column: int) -> bool:
    """True when a cell lies in an area."""
    return box[0] <= row <= box[2] and box[1] <= column <= box[3]


def crossing(one: Box, other: Box) -> Box:
    """The cells that two areas share."""
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


def beside(box: Box, around: Box, row: int, column: int) -> Box:
    """A part of `around` with a cell in it that lies outside `box`, and nothing of `box`."""
    top, left, bottom, right = around
    if row < box[0]:
        bottom = min(bottom, box[0] - 1)
    elif row > box[2]:
        top = max(top, box[2] + 1)
    elif column < box[1]:
        right = min(right, box[1] - 1)
    else:
        left = max(left, box[3] + 1)
    return top, left, bottom, right
