"""The formulas of a book as its file spells them, shared ones in full, and the cells that they look at."""

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

from xlcalc.workbook.calculation.structured import Tables
from xlcalc.workbook.file import cells
from xlcalc.workbook.file.cell_xml import AREA
from xlcalc.workbook.file.package import Package, Sheet
from xlcalc.workbook.file.values import plain_text
from xlcalc.workbook.formulas import corners, pattern, tokens, unquoted

DATA_TABLE = "TABLE()"  # what a spreadsheet shows for a cell of a data table
LOOKING = ("reference", "name", "structured")  # kinds of pieces of a formula that look at cells
NAMES_IN_NAMES = 8  # a name may stand for another name; a circle of names ends here
ROW_NUMBER = re.compile(rb"<row\s[^<>]*?\br=[\"']([0-9]{1,7})[\"']")

Place = tuple[str, int, int]
"""Sheet, row and column."""

Source = Callable[[str], cells.SheetCells | None]
"""Gives the formula cells of a sheet where they are known already."""


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
    """The formulas of a book. Raises FileRefused where a sheet's XML cannot be read.

    `source` gives what was found in a sheet of this name before, such as by working the book out.
    """

    def __init__(self, package: Package, source: Source = lambda _: None) -> None:
        self._package = package
        self._source = source
        self._sheets = {sheet.name: sheet for sheet in package.worksheets()}
        self._folded = {name.casefold(): name for name in self._sheets}
        self._names = {(name.sheet, name.name.casefold()): name.text for name in package.defined_names()}
        self._texts: dict[str, dict[tuple[int, int], str]] = {}
        self._arrays: dict[str, list[tuple[tuple[int, int, int, int], str]]] = {}
        self._tables = Tables(package.tables())
        self._prefixes: dict[str, str] = {}  # what stands in front of `!`, and the sheet that it is
        self._last_rows: dict[str, int] = {}
        self._patterns: dict[bytes, list[tuple[int, int, str]]] = {}

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
        if sheet not in self._last_rows:
            numbers = map(int, ROW_NUMBER.findall(self._package.read(self._sheets[sheet].part)))
            self._last_rows[sheet] = max(numbers, default=1)
        return self._last_rows[sheet]

    def looks(self, formula: str, place: Place) -> list[Look]:
        """The areas that the formula of a cell looks at, in its order; defined names are followed."""
        known = self._patterns.get(key := pattern(formula))
        if known is None:
            pieces = [each for each in tokens(formula) if each.kind in LOOKING]
            known = self._patterns[key] = [(each.start, each.start + len(each.text), each.kind) for each in pieces]
        found: list[Look] = []
        begun = last = 0  # where the area before this one begins and ends
        for start, end, kind in known:
            text = formula[start:end]
            if kind == "reference":
                these = self._direct(text, place[0])
            else:
                these = [look._replace(by=text) for look in self._behind(text, kind, place, NAMES_IN_NAMES)]
            if found and formula[last:start] == ":" and len(these) == 1:
                these = [spanned(found.pop(), these[0], formula[begun:end])]
            else:
                begun = start
            found += these
            last = end
        return found

    def alone(self, text: str, place: Place) -> Look | None:
        """The area that a text stands for in a formula, where it is a reference or a name and nothing else."""
        kinds = [(each.kind, each.text) for each in tokens(self.meaning(text, place[0]))]
        looks = self.looks(text, place) if len(kinds) == 1 and kinds[0][0] in LOOKING else []
        return looks[0] if looks else None

    def astray(self, formula: str, place: Place, code: str) -> str:
        """Why a reference to a table in the formula of a cell is this error value; empty where none is."""
        meanings = (self._tables.meaning(each.text, *place) for each in tokens(formula) if each.kind == "structured")
        return next((meaning.why for meaning in meanings if meaning.error == code), "")

    def meaning(self, text: str, sheet: str) -> str:
        """What a defined name stands for; any other text as it is."""
        before, _, name = text.rpartition("!")
        owner = self._folded.get(unquoted(before).casefold()) if before else sheet
        return self._names.get((owner, name.casefold()), self._names.get((None, name.casefold()), text))

    def name_of(self, place: Place) -> str:
        """The name that stands for just this cell; empty where there is none."""
        for name in self._package.defined_names():
            looks = self.looks(name.text, (name.sheet or place[0], *place[1:]))
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

    def _behind(self, text: str, kind: str, place: Place, deep: int) -> Iterator[Look]:
        """The areas behind a reference, a name or a table."""
        if kind == "reference":
            yield from self._direct(text, place[0])
        elif kind == "structured" or text in self._tables:
            meaning = self._tables.meaning(text, *place)
            if not meaning.why:
                yield Look(meaning.sheet, *meaning.area, text)
        elif kind == "name" and deep and (behind := self.meaning(text, place[0])) != text:
            for piece in tokens(behind):
                yield from self._behind(piece.text, piece.kind, place, deep - 1)

    def _direct(self, text: str, sheet: str) -> list[Look]:
        """The area of a reference; nothing for one that leads out of the book, to several sheets or nowhere."""
        before, mark, area = text.rpartition("!")
        if mark:
            sheet = self._prefixes.get(before) or self._prefixes.setdefault(before, self._named(before))
        return [Look(sheet, *corners(area), text)] if sheet and "#" not in text else []

    def _named(self, before: str) -> str:
        """The sheet that is written in front of a reference; empty for one of another book and for several."""
        name = unquoted(before)
        return "" if "[" in before or ":" in before else self._folded.get(name.casefold(), name)

    def _of(self, sheet: str) -> dict[tuple[int, int], str]:
        if sheet not in self._texts:
            self._arrays[sheet] = []
            self._texts[sheet] = dict(self._read(self._sheets[sheet])) if sheet in self._sheets else {}
        return self._texts[sheet]

    def _read(self, sheet: Sheet) -> Iterator[tuple[tuple[int, int], str]]:
        label = f"{self.book}, sheet {sheet.name}"
        source = cells.formula_cells(self._package.read(sheet.part), label, self._source(sheet.name))
        if source is None:
            return
        for (attributes, raw, first), place in zip(source.cells.shared(), cells.places(source), strict=True):
            text = plain_text(raw) if first is None else cells.moved_here(source, first, *place)
            if attributes and (area := AREA.search(attributes)):  # that of a shared formula holds formulas itself
                if b"dataTable" in attributes:
                    text = DATA_TABLE
                    self._arrays[sheet.name].append((cells.rectangle(area[1], label), text))
                elif b"array" in attributes:
                    self._arrays[sheet.name].append((cells.area(area[1], label), text))
            yield place, text.removeprefix("=")


def spanned(first: Look, last: Look, by: str) -> Look:
    """The area from one to another, as `A1:Rate` has it."""
    top, left = min(first.top, last.top), min(first.left, last.left)
    return Look(first.sheet, top, left, max(first.bottom, last.bottom), max(first.right, last.right), by)
