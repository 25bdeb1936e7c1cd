"""Where the formula cells of a sheet stand in its XML: searched once, remembered in 20 bytes a cell.

Only `<v>` and the type of a cell are ever changed; everything between the cells stays byte for byte.
"""

import itertools
from array import array
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from xlcalc.workbook.file.cell_xml import (
    ATTRIBUTES,
    DIGITS,
    ELEMENT,
    FORMULA,
    FORMULA_CELL,
    LETTERS,
    SHARED_GROUP,
    Cell,
)
from xlcalc.workbook.file.values import Value, type_and_element, with_type
from xlcalc.workbook.formulas import column_number


class Columns(dict[bytes, int]):
    """Column numbers by their letters, each worked out once."""

    def __missing__(self, letters: bytes) -> int:
        number = self[letters] = column_number(letters.decode())
        return number


LOST = -1
"""In place of the index of a cell that is not there."""


class FormulaCells(Sequence[Cell]):
    """The formula cells of a sheet in the order of the file.

    The XML is searched once; where the pieces of each cell stand is remembered in 20 bytes. A match with all of them
    is made again when it is asked for, which takes half a microsecond.
    """

    def __init__(self, xml: bytes, start: int, stop: int) -> None:
        self._xml, self._start, self._stop = xml, start, stop
        self.rows, self.columns = array("l"), array("l")
        columns, spans = Columns(), array("I")
        row, column, span = self.rows.append, self.columns.append, spans.extend
        for cell in FORMULA_CELL.finditer(xml, start, stop):
            letters, digits = cell.group(LETTERS, DIGITS)
            row(int(digits))
            column(columns[letters])
            text, element = cell.start(FORMULA), cell.end(ELEMENT)
            span((cell.start(), cell.end(ATTRIBUTES), element if text < 0 else text, element, cell.end()))
        self._begins, self._heads, self._texts, self._elements, self._ends = (spans[i::5] for i in range(5))

    def __len__(self) -> int:
        return len(self.rows)

    def __getitem__(self, index: Any) -> Any:
        return FORMULA_CELL.match(self._xml, self._begins[index], self._stop)

    def __iter__(self) -> Iterator[Cell]:
        return FORMULA_CELL.finditer(self._xml, self._start, self._stop)

    def formulas(self) -> Iterator[tuple[bytes, bytes]]:
        """The attributes of each formula and its text, empty where it has none."""
        xml = self._xml
        for head, text, end in zip(self._heads, self._texts, self._elements, strict=True):
            bare = text - head == len(b"><f>")
            attributes = b"" if bare else xml[xml.index(b"<f", head) + len(b"<f") : text - len(b">")]
            yield attributes, xml[text : end - len(b"</f>")]

    def shared(self) -> Iterator[tuple[bytes, bytes, int | None]]:
        """As `formulas`, with the index of the cell whose formula a cell without one shares, moved to its own place.

        None for a cell that shares none, `LOST` where no cell before it has the formula.
        """
        firsts: dict[bytes, int] = {}
        for index, (attributes, text) in enumerate(self.formulas()):
            group = SHARED_GROUP.search(attributes) if attributes else None
            if group and text:
                firsts[group[1]] = index
            yield attributes, text, firsts.get(group[1], LOST) if group and not text else None

    def held(self) -> Iterator[tuple[bytes, bytes]]:
        """The attributes of each cell and the element with its cached value, empty where it has none."""
        xml = self._xml
        for begin, head, element, end in zip(self._begins, self._heads, self._elements, self._ends, strict=True):
            yield xml[begin + len(b"<c") : head], xml[element:end]

    def blank(self, index: int) -> bool:
        """True for a cell with neither a cached value nor a type, as most programs write what they do not work out."""
        bare = self._xml.find(b"t=", self._begins[index], self._heads[index]) < 0
        return bare and self._elements[index] == self._ends[index]

    def rewritten(self, values: Iterable[tuple[int, Value]]) -> Iterator[tuple[int, int, bytes]]:
        """The changes that put values into cells: (start, end, new bytes)."""
        xml = self._xml
        begins, heads, elements, ends = self._begins, self._heads, self._elements, self._ends
        for index, value in values:
            begin, head, element = begins[index], heads[index], elements[index]
            kind, new = type_and_element(value)
            attributes = xml[begin + len(b"<c") : head]
            if (changed := with_type(attributes, kind)) is not attributes:
                yield begin, ends[index], b"<c%s%s%s" % (changed, xml[head:element], new)
            else:
                yield element, ends[index], new


class Places(Sequence[tuple[int, int]]):
    """Row and column of each formula cell; `rising` where they stand in order, so that one is found at once."""

    def __init__(self, cells: FormulaCells) -> None:
        self._rows, self._columns = cells.rows, cells.columns
        self.rising = all(before < after for before, after in itertools.pairwise(self))

    def find(self, place: tuple[int, int]) -> int | None:
        """Which formula cell stands at a place; None where there is none."""
        if not self.rising:
            return self.index(place) if place in self else None
        index = bisect_left(self, place)
        return index if index < len(self) and self[index] == place else None

    def __len__(self) -> int:
        return len(self._rows)

    def __getitem__(self, index: Any) -> Any:
        return self._rows[index], self._columns[index]

    def __iter__(self) -> Iterator[tuple[int, int]]:
        return zip(self._rows, self._columns, strict=True)
