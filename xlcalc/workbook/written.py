"""The formulas of a book as its file spells them, shared ones in full, and the cells that they look at."""

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from xlcalc.workbook import cells
from xlcalc.workbook.facts import DIGITS
from xlcalc.workbook.formulas import (
    LAST_COLUMN,
    LAST_ROW,
    Reference,
    column_letters,
    column_number,
    corners,
    references,
    spliced,
    tokens,
    unquoted,
)
from xlcalc.workbook.package import Package, Sheet
from xlcalc.workbook.prepare import AREA, SHARED_GROUP
from xlcalc.workbook.values import plain_text

DATA_TABLE = "TABLE()"  # what a spreadsheet shows for a cell of a data table
NAMES_IN_NAMES = 8  # a name may stand for another name; a circle of names ends here
ROW_NUMBER = re.compile(rb"<row\s[^<>]*?\br=[\"']([0-9]{1,7})[\"']")
CORNER = re.compile(r"(\$?)([A-Za-z]{1,3})?(\$?)([0-9]{1,7})?")

Place = tuple[str, int, int]
"""Sheet, row and column."""


class Look(NamedTuple):
    """An area that a formula looks at, on a named sheet; `by` is how the formula writes it: `$A$1` or a name."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int
    by: str

    @property
    def single(self) -> bool:
        """True for one cell."""
        return (self.top, self.left) == (self.bottom, self.right)

    def covers(self, place: Place) -> bool:
        """True when it covers a cell."""
        sheet, row, column = place
        return self.sheet == sheet and self.top <= row <= self.bottom and self.left <= column <= self.right


class Written:
    """The formulas of a book. Raises FileRefused where a sheet's XML cannot be read."""

    def __init__(self, package: Package) -> None:
        self._package = package
        self._sheets = {sheet.name: sheet for sheet in package.worksheets()}
        self._folded = {name.casefold(): name for name in self._sheets}
        self._names = {(name.sheet, name.name.casefold()): name.text for name in package.defined_names()}
        self._texts: dict[str, dict[tuple[int, int], str]] = {}
        self._arrays: dict[str, list[tuple[tuple[int, int, int, int], str]]] = {}
        self._patterns: dict[tuple[str, str], list[tuple[int, int, str]]] = {}

    def formula(self, place: Place) -> str:
        """The formula of a cell without `=`, also of the further cells of an array; empty where there is none."""
        sheet, row, column = place
        if text := self._of(sheet).get((row, column), ""):
            return text
        areas = self._arrays[sheet]
        return next((text for (top, left, bottom, right), text in areas if top <= row <= bottom
                     and left <= column <= right), "")  # fmt: skip

    def formulas(self) -> Iterator[tuple[Place, str]]:
        """Every formula cell of the book with its formula, in the order of sheets and cells."""
        for sheet in self._sheets:
            for (row, column), text in self._of(sheet).items():
                yield (sheet, row, column), text

    def last_row(self, sheet: str) -> int:
        """The last row of a sheet that holds anything; a formula may name a sheet that is not there."""
        if sheet not in self._sheets:
            return 1
        return max(map(int, ROW_NUMBER.findall(self._package.read(self._sheets[sheet].part))), default=1)

    def looks(self, formula: str, sheet: str) -> list[Look]:
        """The areas that a formula on a sheet looks at, in its order, defined names followed."""
        pattern = self._patterns.get((sheet, key := formula.translate(DIGITS)))
        if pattern is None:
            pieces = [each for each in tokens(formula) if each.kind in ("reference", "name")]
            pattern = [(each.start, each.start + len(each.text), each.kind) for each in pieces]
            self._patterns[sheet, key] = pattern
        found: list[Look] = []
        for start, end, kind in pattern:
            text = formula[start:end]
            if kind == "name":
                found += (look._replace(by=text) for look in self._behind(text, sheet, NAMES_IN_NAMES))
            else:
                found += (self._look(area, sheet, text) for area in area_of(text))
        return found

    def meaning(self, text: str, sheet: str) -> str:
        """What a defined name stands for; any other text as it is."""
        before, _, name = text.rpartition("!")
        owner = self._folded.get(unquoted(before).casefold()) if before else sheet
        return self._names.get((owner, name.casefold()), self._names.get((None, name.casefold()), text))

    def name_of(self, place: Place) -> str:
        """The name that stands for just this cell; empty where there is none."""
        for name in self._package.defined_names():
            looks = self.looks(name.text, name.sheet or place[0])
            if len(looks) == 1 and looks[0].single and looks[0].covers(place) and looks[0].by == name.text:
                return name.name
        return ""

    @property
    def book(self) -> str:
        """The file's name."""
        return self._package.path.name

    @property
    def sheets(self) -> list[str]:
        """The sheets that have cells, in the order of the tabs."""
        return list(self._sheets)

    @property
    def names(self) -> list[str]:
        """The defined names that a person sees."""
        return [name.name for name in self._package.defined_names() if not name.hidden]

    def _behind(self, name: str, sheet: str, deep: int) -> Iterator[Look]:
        text = self.meaning(name, sheet)
        if text == name or not deep:
            return
        for piece in tokens(text):
            if piece.kind == "name":
                yield from self._behind(piece.text, sheet, deep - 1)
            elif piece.kind == "reference":
                yield from (self._look(area, sheet, piece.text) for area in area_of(piece.text))

    def _look(self, area: Reference, sheet: str, text: str) -> Look:
        named = area.sheet or sheet
        return Look(self._folded.get(named.casefold(), named), area.top, area.left, area.bottom, area.right, text)

    def _of(self, sheet: str) -> dict[tuple[int, int], str]:
        if sheet not in self._texts:
            self._arrays[sheet] = []
            self._texts[sheet] = dict(self._read(self._sheets[sheet])) if sheet in self._sheets else {}
        return self._texts[sheet]

    def _read(self, sheet: Sheet) -> Iterator[tuple[tuple[int, int], str]]:
        label = f"{self.book}, sheet {sheet.name}"
        source = cells.formula_cells(self._package.read(sheet.part), label)
        shared: dict[bytes, tuple[tuple[int, int], str]] = {}
        for cell, place in zip(source.cells, cells.places(source), strict=True) if source else ():
            attributes, text = cell[cells.FORMULA_ATTRIBUTES] or b"", plain_text(cell[cells.FORMULA] or b"")
            group, area = SHARED_GROUP.search(attributes), AREA.search(attributes)
            if b"dataTable" in attributes:
                text = DATA_TABLE
            elif group and text:
                shared[group[1]] = place, text
            elif group and group[1] in shared:
                (row, column), first = shared[group[1]]
                text = moved(first, place[0] - row, place[1] - column)
            if area and not group:
                self._arrays[sheet.name].append((corners(area[1].decode()), text))
            yield place, text.removeprefix("=")


@lru_cache(50_000)
def area_of(text: str) -> tuple[Reference, ...]:
    """A reference as an area; nothing for one that leads out of the book."""
    return references(text)


def moved(formula: str, down: int, right: int) -> str:
    """A formula as it reads so many cells further down and to the right: what has no `$` moves along."""
    edits = []
    for piece in tokens(formula):
        if piece.kind == "reference" and "#" not in piece.text:
            start = piece.start + piece.text.rfind("!") + 1
            end = piece.start + len(piece.text)
            corners_moved = (moved_corner(corner, down, right) for corner in formula[start:end].split(":"))
            edits.append((start, end, ":".join(corners_moved)))
    return spliced(formula, edits)


def moved_corner(corner: str, down: int, right: int) -> str:
    """`A$1` moved; a spreadsheet lets a reference that leaves the sheet come in again on the other side."""
    match = CORNER.fullmatch(corner)
    if match is None:
        return corner
    fixed_column, letters, fixed_row, digits = match.groups()
    if letters and not fixed_column:
        letters = column_letters((column_number(letters.upper()) - 1 + right) % LAST_COLUMN + 1)
    if digits and not (fixed_row or (not letters and fixed_column)):
        digits = str((int(digits) - 1 + down) % LAST_ROW + 1)
    return f"{fixed_column}{letters or ''}{fixed_row}{digits or ''}"
