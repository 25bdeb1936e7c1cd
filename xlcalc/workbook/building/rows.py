"""Tables of a sheet, declared: their columns, where they stand, and how a formula names the cells of a row.

Rows of the sheet: what it decides, job, counts, bands, headers, units, a thin guard row, the data, and a last
guard row that says where new rows go. Every range runs from guard to guard, so that it grows with rows put in anywhere.
`workbook/building/rows_on_sheet` writes them.
In a formula `{key}` is this row's cell, `[key]` the whole column, `<key>` the header of a column. A sheet may hold
several tables under each other (`workbook/building/blocks`); each starts at its own row.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName

from xlcalc.workbook.formulas import column_letters
from xlcalc.workbook.landmarks import MARKER

BAND_ROW, HEAD_ROW, UNIT_ROW, GUARD_ROW, FIRST_ROW = 4, 5, 6, 7, 8
_REFERENCE = re.compile(r"\{(\w+)\}|\[(\w+)\]|<(\w+)>")
ROW_OPEN = "\x00"  # stands for the row's number in a prepared formula


@dataclass(frozen=True)
class Column:
    """One column. `spec` is the formula of a worked-out column, or what a list offers (a name or words).

    `kind`: input, list, worked (shown), words (a verdict), gap (empty), folded or reason (both folded away). `low`
    and `high` bound a bare number; text is let through where `words` is true. `reads`: of a typed cell as a plain
    number, the key of that cell and the unit that it is asked in. `shrink`: a name that is read whole, on one line.
    """

    key: str
    band: str
    head: str
    unit: str
    kind: str
    width: float
    spec: str = ""
    help: str = ""
    low: float | None = None
    high: float | None = None
    words: bool = True
    text: bool = False
    format: str = ""
    wrap: bool = False
    small: bool = False
    shrink: bool = False
    reads: tuple[str, str] | None = None

    @property
    def typed(self) -> bool:
        """True where a person fills it in."""
        return self.kind in ("input", "list")

    @property
    def folded(self) -> bool:
        """True where the column is folded away."""
        return self.kind in ("folded", "reason")


@dataclass(frozen=True)
class RowSheet:
    """A sheet of rows: its title says what it decides.

    `cited` is a formula pattern that holds in a row of published figures: its inputs stay plain. `marker` is what
    stands in the row below the data, words or a formula pattern.
    """

    name: str
    title: str
    columns: Sequence[Column]
    marker_key: str
    frozen: int
    cited: str = "FALSE"
    top: int = BAND_ROW
    marker: str = MARKER

    @property
    def head_row(self) -> int:
        """The row of the headers."""
        return self.top + HEAD_ROW - BAND_ROW

    @property
    def unit_row(self) -> int:
        """The row of the units."""
        return self.top + UNIT_ROW - BAND_ROW

    @property
    def guard_row(self) -> int:
        """The thin row above the data, where every range starts."""
        return self.top + GUARD_ROW - BAND_ROW

    @property
    def first_row(self) -> int:
        """The first row of data."""
        return self.top + FIRST_ROW - BAND_ROW

    @cached_property
    def places(self) -> Mapping[str, int]:
        """Key of a column -> its number, from 1. Raises ValueError where two columns have one key."""
        found: dict[str, int] = {}
        for place, column in enumerate(self.columns, start=1):
            if column.key in found:
                raise ValueError(f"two columns of {self.name} have the key {column.key!r}")
            found[column.key] = place
        return found

    def letter(self, key: str) -> str:
        """Letters of a column."""
        return column_letters(self.places[key])

    def area(self, key: str, count: int, sheet: bool = True) -> str:
        """A column from guard to guard, e.g. `Lines!$A$7:$A$68`."""
        letter = self.letter(key)
        span = f"${letter}${self.guard_row}:${letter}${self.first_row + count}"
        return f"{quoted(self.name)}!{span}" if sheet else span

    def counted(self, count: int) -> str:
        """The folded cell below the rows that counts those that are named or filled in."""
        return f"${self.letter('otherwords')}${self.first_row + count}"


def quoted(name: str) -> str:
    """A sheet's name as a formula writes it."""
    return name if name.isidentifier() else f"'{name}'"


def prepared(spec: str, made: RowSheet, count: int) -> str:
    """A formula with the cells of its row written in, the row's number left open."""

    def reference(found: re.Match[str]) -> str:
        if found[1]:
            return f"${made.letter(found[1])}{ROW_OPEN}"
        if found[2]:
            return made.area(found[2], count, sheet=False)
        return f"${made.letter(found[3])}${made.head_row}"

    return _REFERENCE.sub(reference, spec)


def name_areas(book: Workbook, made: RowSheet, names: Iterable[tuple[str, str]], count: int) -> None:
    """Give names to columns: (name, key), each from guard to guard."""
    for name, key in names:
        book.defined_names[name] = DefinedName(name, attr_text=made.area(key, count))


def name_list(book: Workbook, made: RowSheet, name: str, key: str, count: int) -> None:
    """A name for a drop-down: a column down to its last filled cell, so that a row left empty cuts none off."""
    area = made.area(key, count)
    last = f'SUMPRODUCT(MAX(({area}<>"")*ROW({area})))-ROW(INDEX({area},1))+1'
    text = f"INDEX({area},2):INDEX({area},MAX(2,{last}))"
    book.defined_names[name] = DefinedName(name, attr_text=text)
