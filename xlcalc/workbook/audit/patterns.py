"""Formulas as patterns that fill down: two cells have the same pattern where filling one down gives the other.

A pattern is read once and then only compared as text, since a column of ten thousand rows holds one or two.
"""

import re
from collections.abc import Container, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from xlcalc.workbook import cells
from xlcalc.workbook.formulas import CORNER, column_number, moved, plain_name, tokens
from xlcalc.workbook.package import Package, Sheet
from xlcalc.workbook.prepare import SHARED_GROUP
from xlcalc.workbook.values import plain_text

ARRAY = re.compile(rb"""\st=["']array["']""")
MOST_TRIED = 4  # patterns of a column that are tried as text before a formula is read anew


@dataclass(frozen=True, eq=False)
class Pattern:
    """What a formula is, apart from the row and column it stands in.

    `key` is the same for two cells that say the same of their surroundings, `R[0]C[-2]*2`, with names upper
    case and our functions under their plain names. `pieces` spell it for a cell of `column`: texts, and
    distances of rows. `ours` are those of our functions that it calls.
    """

    key: str
    column: int
    pieces: tuple[str | int, ...]
    ours: frozenset[str] = frozenset()
    array: bool = False

    @cached_property
    def _form(self) -> tuple[str, tuple[int, ...]]:
        text = "".join("%d" if isinstance(piece, int) else piece.replace("%", "%%") for piece in self.pieces)
        return text, tuple(piece for piece in self.pieces if isinstance(piece, int))

    def at(self, row: int) -> str:
        """The formula that this pattern gives in a row of its column, without `=`."""
        form, distances = self._form
        return form % tuple([row + distance for distance in distances])


class Formula(NamedTuple):
    """A formula cell of a sheet: where it stands and what pattern it has."""

    row: int
    column: int
    pattern: Pattern


class Shared:
    """A formula that a spreadsheet wrote once for many cells: its pattern in every column that it runs through."""

    def __init__(self, pattern: Pattern, row: int) -> None:
        self._first, self._row = pattern, row
        self._by_column = {pattern.column: pattern}

    def in_column(self, column: int, ours: Container[str], others: Container[str]) -> Pattern:
        """The pattern spelled for a column."""
        if column not in self._by_column:
            text = moved(self._first.at(self._row), 0, column - self._first.column)
            self._by_column[column] = read(text, self._row, column, ours, others, array=self._first.array)
        return self._by_column[column]


def formulas(
    package: Package, sheet: Sheet, ours: Container[str], others: Container[str] = ()
) -> Iterator[Formula]:
    """The formula cells of a sheet in the order of the file; a shared formula has the pattern of its first cell.

    `ours` holds the names of our functions, `others` the links of the book that lead to other files. Raises
    FileRefused where the sheet's XML cannot be read.
    """
    source = cells.formula_cells(package.read(sheet.part), f"{package.path.name}, sheet {sheet.name}")
    if source is None:
        return
    known: dict[int, list[Pattern]] = {}
    shared: dict[bytes, Shared] = {}
    for cell, (row, column) in zip(source.cells, cells.places(source), strict=True):
        attributes, raw = cell[cells.FORMULA_ATTRIBUTES] or b"", cell[cells.FORMULA]
        group = SHARED_GROUP.search(attributes) if attributes else None
        if not raw and group and group[1] in shared:
            yield Formula(row, column, shared[group[1]].in_column(column, ours, others))
            continue
        text = plain_text(raw or b"").removeprefix("=")
        pattern = _remembered(text, row, known.setdefault(column, []), array := bool(ARRAY.search(attributes)))
        if pattern is None:
            pattern = read(text, row, column, ours, others, array=array)
            known[column].insert(0, pattern)
        if group:
            shared[group[1]] = Shared(pattern, row)
        yield Formula(row, column, pattern)


def _remembered(text: str, row: int, known: list[Pattern], array: bool) -> Pattern | None:
    for place, pattern in enumerate(known[:MOST_TRIED]):
        if pattern.array == array and pattern.at(row) == text:
            if place:
                known.insert(0, known.pop(place))
            return pattern
    return None


def read(
    formula: str, row: int, column: int, ours: Container[str] = (), others: Container[str] = (), *, array: bool = False
) -> Pattern:
    """The pattern of a formula that stands in a cell."""
    key: list[str] = ["{"] if array else []
    pieces: list[str | int] = []
    called: set[str] = set()
    for token in tokens(formula):
        if token.kind == "reference" and "#" not in token.text:
            before, sign, area = token.text.rpartition("!")
            pieces.append(before + sign)
            key.append(before.upper() + sign)
            for place, corner in enumerate(area.split(":")):
                if place:
                    pieces.append(":")
                    key.append(":")
                _add_corner(corner, row, column, pieces, key)
            continue
        pieces.append(token.text)
        if token.kind == "space":
            continue
        if token.kind == "call" and (name := plain_name(token.text, others)) in ours:
            key.append(f"{name}(")
            called.add(name)
        else:
            key.append(token.text if token.kind == "text" else token.text.upper())
    return Pattern("".join(key), column, tuple(pieces), frozenset(called), array)


def _add_corner(corner: str, row: int, column: int, pieces: list[str | int], key: list[str]) -> None:
    match = CORNER.fullmatch(corner)
    fixed_column, letters, fixed_row, digits = match.groups() if match else ("", corner, "", "")
    if digits and not letters:  # a whole row: its sign stands where that of a column would
        fixed_column, fixed_row = "", fixed_column or fixed_row
    if letters:
        pieces.append(f"{fixed_column}{letters}")
        there = column_number(letters.upper())
        key.append(f"C{there}" if fixed_column else f"C[{there - column}]")
    if digits and fixed_row:
        pieces.append(f"${digits}")
        key.append(f"R{digits}")
    elif digits:
        pieces.append(int(digits) - row)
        key.append(f"R[{int(digits) - row}]")
