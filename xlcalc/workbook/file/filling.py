"""Put values into cells without formula: the further cells of array formulas, and cells that a person fills in.

Everything else in the sheet stays byte for byte. A cell keeps its look; one that was not there yet takes that of its
row or column, as in a spreadsheet.
"""

import re
from collections.abc import Callable, Mapping

from xlcalc.workbook.file.cell_index import Columns
from xlcalc.workbook.file.cell_xml import (
    ADDRESSED,
    ANY_CELL,
    BEFORE_REF,
    OTHER_ATTRIBUTES,
    PLAIN_ATTRIBUTES,
    PLAIN_REST,
    PLAIN_VALUE,
    PLAIN_VALUE_TEXT,
    Cell,
)
from xlcalc.workbook.file.cells import EMPTY, SheetCells, refused, spliced, whole
from xlcalc.workbook.file.values import Value, decoded, same, type_and_element, type_of, typed_element, with_type
from xlcalc.workbook.formulas import column_letters

NUMBERED = BEFORE_REF + rb"""\sr=["']([0-9]{1,7}+)["']"""
ROW = re.compile(rb"<row(" + NUMBERED + OTHER_ATTRIBUTES + rb")(?:/>|>((?>(?:[^<]++|<(?!/?row[\s>/]))*))</row>)")
CELL_START = re.compile(rb"<c" + ADDRESSED)
COLUMN = re.compile(rb"<col\s[^<>]*>")
NUMBER = rb"""\s%s=["']([0-9]{1,9})["']"""
MIN, MAX, STYLE, ROW_STYLE, CUSTOM = (
    re.compile(NUMBER % name) for name in (b"min", b"max", b"style", b"s", b"customFormat")
)

Spelling = Callable[[Value], tuple[bytes, bytes]]


class Filling:
    """How values get into a sheet: `spelled` gives the type and element of a cell for a value."""

    def __init__(self, sheet: SheetCells, spelled: Spelling) -> None:
        self._sheet, self._spelled = sheet, spelled
        self._columns = COLUMN.findall(sheet.xml, 0, sheet.start)

    def filled(self, values: Mapping[tuple[int, int], Value]) -> bytes:
        """The sheet's XML with the values in. Raises FileRefused for a row without its number or an unknown cell."""
        rows: dict[int, dict[int, Value]] = {}
        for (number, column), value in values.items():
            rows.setdefault(number, {})[column] = value
        sheet, waiting = self._sheet, sorted(rows, reverse=True)
        edits = []
        count = 0
        for row in ROW.finditer(sheet.xml, sheet.start, sheet.stop):
            count += 1
            fresh = b""
            while waiting and waiting[-1] < int(row[2]):
                fresh += self._new_row(waiting[-1], rows[waiting.pop()])
            if waiting and waiting[-1] == int(row[2]):
                inner = self._row(row[3] or b"", row[1], waiting[-1], rows[waiting.pop()])
                edits.append((row.start(), row.end(), b"%s<row%s>%s</row>" % (fresh, row[1], inner)))
            elif fresh:
                edits.append((row.start(), row.start(), fresh))
        if count != sheet.xml.count(b"<row", sheet.start, sheet.stop):
            raise refused(sheet.label, "a row stands there without its number")
        below = b"".join(self._new_row(number, rows[number]) for number in reversed(waiting))
        return spliced(sheet.xml, [*edits, (sheet.stop, sheet.stop, below)])

    def _row(self, inner: bytes, attributes: bytes, row: int, values: Mapping[int, Value]) -> bytes:
        """The cells of a row with values put in."""
        columns, waiting = Columns(), sorted(values, reverse=True)
        edits = []
        for start in CELL_START.finditer(inner):
            column = columns[start[1]]
            fresh = b""
            while waiting and waiting[-1] < column:
                fresh += self._new_cell(row, attributes, waiting[-1], values[waiting.pop()])
            end = start.start()
            if waiting and waiting[-1] == column:
                cell = ANY_CELL.match(inner, start.start())
                value = values[waiting.pop()]
                if cell is None:
                    raise refused(self._sheet.label, f"the cell {column_letters(column)}{row} is in an unknown form")
                fresh, end = fresh + self._cell(cell, value), cell.end()
            if fresh:
                edits.append((start.start(), end, fresh))
        rest = b"".join(self._new_cell(row, attributes, column, values[column]) for column in reversed(waiting))
        return spliced(inner, [*edits, (len(inner), len(inner), rest)])

    def _cell(self, cell: Cell, value: Value) -> bytes:
        """A cell without formula, with another value."""
        attributes = cell[PLAIN_ATTRIBUTES]
        if cell[PLAIN_VALUE] and same(decoded(type_of(attributes), cell[PLAIN_VALUE_TEXT]), value):
            return cell[0]
        kind, element = self._spelled(value)
        return b"<c%s>%s%s</c>" % (with_type(attributes, kind), element, cell[PLAIN_REST] or b"")

    def _new_cell(self, row: int, attributes: bytes, column: int, value: Value) -> bytes:
        """A cell that was not in the file."""
        kind, element = self._spelled(value)
        name = b' r="%s%d"' % (column_letters(column).encode(), row)
        return b"<c%s>%s</c>" % (with_type(name + self._look(attributes, column), kind), element)

    def _new_row(self, row: int, values: Mapping[int, Value]) -> bytes:
        """A row that was not in the file."""
        cells = b"".join(self._new_cell(row, b"", column, values[column]) for column in sorted(values))
        return b'<row r="%d">%s</row>' % (row, cells)

    def _look(self, row: bytes, column: int) -> bytes:
        """The style of a cell that was not in the file, as an attribute: that of its row, else of its column."""
        style, custom = ROW_STYLE.search(row), CUSTOM.search(row)
        if style and custom and custom[1] == b"1":
            return b' s="%s"' % style[1]
        for each in self._columns:
            first, last, style = MIN.search(each), MAX.search(each), STYLE.search(each)
            if first and last and style and int(first[1]) <= column <= int(last[1]):
                return b' s="%s"' % style[1]
        return b""


def with_plain_values(sheet: SheetCells, values: Mapping[tuple[int, int], Value]) -> bytes:
    """The sheet's XML with values in cells without formula: the further cells of array formulas.

    A cell or row that is not there yet is put in where it belongs; a cell that holds its value already is
    left as it is. Raises FileRefused for a row without its number.
    """
    return Filling(sheet, type_and_element).filled(values)


def with_typed_values(xml: bytes, values: Mapping[tuple[int, int], Value], label: str) -> bytes:
    """A sheet's XML with values as a person types them; the cells must have no formula. `label` names the sheet.

    Raises FileRefused when the XML is in a form that cannot be edited.
    """
    return Filling(whole(EMPTY.sub(b"<sheetData></sheetData>", xml, count=1), label), typed_element).filled(values)
