"""A workbook as it can be edited for a test: every sheet as cells, everything else as its XML.

The parts that nobody touches stay as they are. A copy shares what it does not change, so that planting one fault in a
large book costs one sheet and not eighteen.
"""

import io
import re
import zipfile
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import (
    TYPE,
    Value,
    decoded,
    plain_text,
    type_and_element,
    type_of,
    typed_element,
    xml_text,
)
from xlcalc.workbook.formulas import column_letters, column_number, moved

ROW = re.compile(rb"<row((?:\s[^<>]*?)?)\s*(?:/>|>(.*?)</row>)", re.DOTALL)
CELL = re.compile(rb"<c((?:\s[^<>]*?)?)\s*(?:/>|>(.*?)</c>)", re.DOTALL)
REF = re.compile(rb"""\sr=["']([A-Z]+)([0-9]+)["']""")
ROW_REF = re.compile(rb"""\sr=["']([0-9]+)["']""")
SPANS = re.compile(rb"""\sspans=["'][^"']*["']""")
FORMULA = re.compile(rb"<f((?:\s[^<>]*?)?)\s*(?:/>|>([^<]*)</f>)")
VALUE = re.compile(rb"<v(?:\s[^<>]*)?>([^<]*)</v>|<v\s*/>|<is>(.*?)</is>", re.DOTALL)
TEXT = re.compile(rb"<t(?:\s[^<>]*)?>([^<]*)</t>")
GROUP = re.compile(rb"""\ssi=["']([0-9]+)["']""")


Masters = dict[int, tuple[tuple[int, int], str]]
"""Where a shared formula stands in full, by its number, and the formula."""


class Cell(NamedTuple):
    """A cell: its attributes without place and type, type, value element, its formula in full and how it is shared.

    `group` is the number of a shared formula, or -1; `array` are the attributes of an array formula.
    """

    look: bytes = b""
    kind: bytes = b"n"
    element: bytes = b""
    formula: str | None = None
    group: int = -1
    array: bytes = b""

    def shows(self, value: Value) -> "Cell":
        """The same cell with another cached or typed value."""
        kind, element = typed_element(value) if self.formula is None else type_and_element(value)
        return self._replace(kind=kind, element=element)

    def typed(self, value: Value) -> "Cell":
        """The cell after a person typed a value over whatever stood there."""
        return Cell(self.look).shows(value)

    def worked(self, formula: str, value: Value) -> "Cell":
        """The cell after a person typed a formula."""
        return Cell(self.look, formula=formula).shows(value)


class Grid:
    """A sheet: its cells by row and column, the attributes of its rows, and the XML before and after them."""

    def __init__(self, xml: bytes, strings: Iterable[str]) -> None:
        start, stop = xml.index(b"<sheetData"), xml.rindex(b"</sheetData>")
        inner = xml.index(b">", start) + 1
        self.before, self.after = xml[:inner], xml[stop:]
        self.cells: dict[tuple[int, int], Cell] = {}
        self.rows: dict[int, bytes] = {}
        self._strings = strings
        masters: Masters = {}
        columns: dict[bytes, int] = {}
        for row in ROW.finditer(xml, inner, stop):
            number = int(ROW_REF.search(row[1])[1])  # type: ignore[index]
            self.rows[number] = SPANS.sub(b"", ROW_REF.sub(b"", row[1]))
            for found in CELL.finditer(row[2] or b""):
                ref = REF.search(found[1])
                assert ref is not None
                if (column := columns.get(ref[1])) is None:
                    column = columns[ref[1]] = column_number(ref[1].decode())
                place = number, column
                self.cells[place] = self._cell(place, found, ref, masters)

    @staticmethod
    def _cell(place: tuple[int, int], found: re.Match[bytes], ref: re.Match[bytes], masters: Masters) -> Cell:
        attributes, inner = found[1], found[2] or b""
        kind = type_of(attributes)
        look = TYPE.sub(b"", attributes[: ref.start()] + attributes[ref.end() :])
        value, written = VALUE.search(inner), FORMULA.search(inner)
        element = value[0] if value else b""
        if written is None:
            return Cell(look, kind, element)
        text, group = plain_text(written[2] or b""), GROUP.search(written[1])
        if group is None:
            return Cell(look, kind, element, text, -1, written[1] if b"array" in written[1] else b"")
        number = int(group[1])
        if text:
            masters[number] = place, text
        (row, column), first = masters[number]
        return Cell(look, kind, element, text or moved(first, place[0] - row, place[1] - column), number)

    def copy(self) -> "Grid":
        """A grid that may be changed on its own."""
        twin = object.__new__(Grid)
        twin.__dict__.update(self.__dict__)
        twin.cells, twin.rows = dict(self.cells), dict(self.rows)
        return twin

    def value(self, row: int, column: int) -> Value:
        """What a cell shows, typed or worked out."""
        cell = self.cells.get((row, column))
        if cell is None or not cell.element:
            return "" if cell is not None and cell.kind == b"str" else None
        found = VALUE.match(cell.element)
        assert found is not None
        if cell.kind == b"inlineStr":
            return "".join(plain_text(piece) for piece in TEXT.findall(found[2] or b""))
        return decoded(cell.kind, found[1], lambda: tuple(self._strings))

    def xml(self) -> bytes:
        """The sheet's XML."""
        lines: dict[int, list[bytes]] = {number: [] for number in sorted(self.rows)}
        masters: set[int] = set()
        corners = self._corners()
        for row, column in sorted(self.cells):
            cell = self.cells[row, column]
            place = b"%s%d" % (letters(column), row)
            kind = b"" if cell.kind == b"n" else b' t="%s"' % cell.kind
            formula = self._formula(cell, masters, corners)
            if row not in lines:
                lines[row] = []
            lines[row].append(b'<c r="%s"%s%s>%s%s</c>' % (place, cell.look, kind, formula, cell.element))
        written = [
            b'<row r="%d"%s>%s</row>' % (row, self.rows.get(row, b""), b"".join(lines[row])) for row in sorted(lines)
        ]
        return b"".join([self.before, *written, self.after])

    @staticmethod
    def _formula(cell: Cell, masters: set[int], corners: Mapping[int, bytes]) -> bytes:
        if cell.formula is None:
            return b""
        if cell.group < 0:
            return b"<f%s>%s</f>" % (cell.array, xml_text(cell.formula))
        if cell.group in masters:
            return b'<f t="shared" si="%d"/>' % cell.group
        masters.add(cell.group)
        return b'<f t="shared" ref="%s" si="%d">%s</f>' % (corners[cell.group], cell.group, xml_text(cell.formula))

    def _corners(self) -> dict[int, bytes]:
        """The area of each shared formula."""
        areas: dict[int, tuple[int, int, int, int]] = {}
        for (row, column), cell in self.cells.items():
            if cell.group >= 0:
                top, left, bottom, right = areas.get(cell.group, (row, column, row, column))
                areas[cell.group] = min(top, row), min(left, column), max(bottom, row), max(right, column)
        return {
            group: b"%s%d:%s%d" % (letters(left), top, letters(right), bottom)
            for group, (top, left, bottom, right) in areas.items()
        }

    def unshared(self) -> None:
        """Write every formula in full, as a spreadsheet does when a shared one is no longer alike."""
        self.cells = {place: cell._replace(group=-1) if cell.group >= 0 else cell for place, cell in self.cells.items()}


def letters(column: int) -> bytes:
    """Column letters as bytes."""
    return column_letters(column).encode()


class Draft:
    """A book that is being edited. `sheets` maps the name on the tab to its grid, in the order of the tabs."""

    def __init__(self, data: bytes) -> None:
        package = Package.from_bytes(data, "draft.xlsx")
        self.parts = {name: package.read(name) for name in package.names}
        self.workbook = package.workbook_part
        self._part = {sheet.name: sheet.part for sheet in package.worksheets()}
        self._strings = package.shared_strings()
        self._grids: dict[str, Grid] = {}
        self._changed: set[str] = set()

    def copy(self) -> "Draft":
        """A book of its own that shares what is not changed."""
        twin = object.__new__(Draft)
        twin.__dict__.update(self.__dict__)
        twin.parts, twin._part, twin._grids = dict(self.parts), dict(self._part), dict(self._grids)
        twin._changed = set()
        return twin

    @property
    def names(self) -> list[str]:
        """The sheets with cells."""
        return list(self._part)

    def part(self, sheet: str) -> str:
        """The part that holds a sheet."""
        return self._part[sheet]

    def rename_key(self, old: str, new: str) -> None:
        """Call a sheet otherwise; the parts that name it are the caller's."""
        self._part = {new if name == old else name: part for name, part in self._part.items()}
        if old in self._grids:
            self._grids[new] = self._grids.pop(old)
        self._changed = {new if name == old else name for name in self._changed}

    def add_part(self, sheet: str, part: str, xml: bytes) -> None:
        """Take in the part of a sheet that is new."""
        self._part[sheet] = part
        self.parts[part] = xml

    def look(self, sheet: str) -> Grid:
        """A sheet to be read."""
        if sheet not in self._grids:
            self._grids[sheet] = Grid(self.parts[self._part[sheet]], self._strings)
        return self._grids[sheet]

    def edit(self, sheet: str) -> Grid:
        """A sheet to be changed."""
        if sheet not in self._changed:
            self._grids[sheet] = self.look(sheet).copy()
            self._changed.add(sheet)
        return self._grids[sheet]

    def cell(self, place: Place) -> Cell:
        """A cell; an empty one where there is none."""
        sheet, row, column = place
        return self.look(sheet).cells.get((row, column), Cell())

    def value(self, place: Place) -> Value:
        """What a cell shows."""
        sheet, row, column = place
        return self.look(sheet).value(row, column)

    def put(self, place: Place, cell: Cell) -> None:
        """Put a cell in."""
        sheet, row, column = place
        grid = self.edit(sheet)
        old = grid.cells.get((row, column))
        if old is not None and old.group >= 0 and cell.group < 0:
            grid.unshared()
        grid.cells[row, column] = cell

    def show(self, values: Mapping[Place, Value]) -> None:
        """Write cached values into formula cells."""
        for (sheet, row, column), value in values.items():
            grid = self.edit(sheet)
            grid.cells[row, column] = grid.cells[row, column].shows(value)

    def data(self) -> bytes:
        """The file."""
        parts = dict(self.parts)
        for sheet in self._changed:
            parts[self._part[sheet]] = self._grids[sheet].xml()
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as container:
            for name, content in parts.items():
                container.writestr(zipfile.ZipInfo(name, (2026, 3, 2, 8, 0, 0)), content, zipfile.ZIP_DEFLATED)
        return out.getvalue()
