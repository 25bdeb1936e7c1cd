"""The cells of a sheet's XML: find those with a formula, and read what cells hold.

The XML is not parsed into a tree: one expression finds every formula cell (`workbook/file/cell_xml`), and the count of
formulas proves that none was missed. XML in a form that this does not cover is refused in words.
"""

import codecs
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from string import ascii_uppercase
from typing import NamedTuple

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.file.cell_index import LOST, Columns, FormulaCells, Places
from xlcalc.workbook.file.cell_xml import (
    ANY_CELL,
    AREA,
    ATTRIBUTES,
    BEFORE_REF,
    FORMULA,
    PLAIN_ATTRIBUTES,
    PLAIN_DIGITS,
    PLAIN_LETTERS,
    PLAIN_VALUE_TEXT,
    VALUE_TEXT,
    Cell,
)
from xlcalc.workbook.file.file_limits import LARGEST_ARRAY, LONGEST_FORMULA
from xlcalc.workbook.file.values import Texts, Value, decoded, number, plain_text, same, type_of
from xlcalc.workbook.formulas import LAST_COLUMN, LAST_ROW, column_letters, corners, moved

PLAIN_NUMBER = b"<v>"
HELD = re.compile(rb"\s*+(?:<v(?>(?:\s[^<>]*+)?)>([^<]*+)</v>|<v\s*+/>|<is>)")
ADDRESS = re.compile(rb"<c" + BEFORE_REF + rb"""\sr=["']([A-Z]{1,3}+[0-9]{1,7}+)["']""")
PLAIN_ENCODINGS = rb"""(?:utf-?8|us-ascii|ascii)["']"""
ENCODING = re.compile(
    rb"""<\?xml[^>]{0,100}?encoding=["'](?!""" + PLAIN_ENCODINGS + rb""")([^"'<>]{1,40})""", re.IGNORECASE
)
TOO_LONG = re.compile(rb"<f[^<>]*+>[^<]{%d}" % (LONGEST_FORMULA + 1))
NO_INDEX = re.compile(  # the engine would show the first of the shared texts
    rb"""t=["']s["'][^<>]*+>\s*+<v>(?!\s*+[0-9]{1,9}\s*+</v>)(?=[^<])"""
)
EMPTY = re.compile(rb"<sheetData\s*/>")  # a sheet without any cell
FORMULA_START = re.compile(rb"<f[\s/>]")
FOREIGN_FORMULA = re.compile(rb"<\w+:f[\s/>]|<\0f\0|\0<\0f")
SPACED = re.compile(rb"<(?:c|f)\s[^<>]*?(?:\s=|=\s)")
UTF_16 = codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE
CONTROL = bytes({*range(32)} - {*b"\t\n\r"})
PIECES_AT_ONCE = 20_000  # many small pieces take several times the memory of what they hold


class SheetCells(NamedTuple):
    """One sheet's XML and its formula cells; all its cells stand in `xml[start:stop]`."""

    xml: bytes
    start: int
    stop: int
    cells: FormulaCells
    label: str


def formula_cells(xml: bytes, label: str, known: SheetCells | None = None) -> SheetCells | None:
    """Find the cells with a formula; None when the sheet has none.

    `label` names the sheet; `known` is what was found before, perhaps in this very XML, which is then not searched
    again. Raises FileRefused when the XML is in a form that cannot be edited.
    """
    if known is not None and known.xml == xml:
        return known
    if double := stands_twice(xml):
        raise refused(label, f"the cell {double} stands there twice, and which one counts is not clear")
    if odd := NO_INDEX.search(xml):
        raise refused(label, f"{cell_at(xml, odd.start())} points at a shared text by something that is no number")
    if not xml.startswith(UTF_16) and len(xml.translate(None, CONTROL)) != len(xml):
        raise refused(label, "it holds characters that no file of this kind can hold")
    if not FORMULA_START.search(xml):
        if FOREIGN_FORMULA.search(xml):
            raise refused(label, "its cells are written with a prefix or in a rare encoding")
        return None
    if coded := ENCODING.match(xml.removeprefix(codecs.BOM_UTF8)):
        raise refused(label, f"it is written in the encoding {coded[1].decode('ascii', 'replace')} instead of UTF-8")
    if TOO_LONG.search(xml):
        raise refused(label, "one of its formulas is longer than any spreadsheet takes")
    sheet = whole(xml, label)
    return sheet if sheet.cells else None


def stands_twice(xml: bytes) -> str:
    """The address of a cell that a sheet holds twice; empty where each stands there once."""
    addresses = ADDRESS.findall(xml)
    if len(set(addresses)) == len(addresses):
        return ""
    found: bytes = Counter(addresses).most_common(1)[0][0]
    return found.decode()


def cell_at(xml: bytes, place: int) -> str:
    """The address of the cell whose attributes stand at a place of the XML."""
    found = ADDRESS.match(xml, xml.rfind(b"<c", 0, place))
    return f"the cell {found[1].decode()}" if found else "a cell without an address"


def rows_saying(sheet: SheetCells, word: str, strings: Texts) -> set[int]:
    """The rows in which a text may be this word, in small letters here and in any there; all others hold none."""
    shared = [str(index) for index, text in enumerate(strings()) if text.casefold() == word]
    said = [rf">{re.escape(word)}<", *([f"<v>(?:{'|'.join(shared)})</v>"] if shared else [])]
    hits = re.compile("|".join(said).encode(), re.IGNORECASE).finditer(sheet.xml, sheet.start, sheet.stop)
    cells = (ADDRESS.match(sheet.xml, sheet.xml.rfind(b"<c ", 0, hit.start())) for hit in hits)
    return {int(cell[1].lstrip(ascii_uppercase.encode())) for cell in cells if cell}


def bounds(xml: bytes, label: str) -> tuple[int, int]:
    """Where the cells of a sheet begin and end in its XML. Raises FileRefused where its list of cells is not whole."""
    start, stop = xml.find(b"<sheetData>"), xml.rfind(b"</sheetData>")
    if start < 0:
        start = xml.find(b"<sheetData ")
    if start < 0 or stop < start:
        raise refused(label, "its list of cells is not whole")
    return start, stop


def whole(xml: bytes, label: str) -> SheetCells:
    """A sheet with its formula cells, be there any or not. Raises FileRefused like `formula_cells`."""
    start, stop = bounds(xml, label)
    if xml.find(b"<!", start, stop) >= 0 or xml.find(b"<?", start, stop) >= 0:
        raise refused(label, "there are remarks or raw text (CDATA) between its cells")
    if SPACED.search(xml, start, stop):
        raise refused(label, "there are blanks around the = of an attribute, as no spreadsheet writes them")
    cells = FormulaCells(xml, start, stop)
    found = len(cells)  # first the count that takes no time, then the one that knows other elements apart
    if found != xml.count(b"<f", start, stop) and found != sum(1 for _ in FORMULA_START.finditer(xml, start, stop)):
        raise refused(label, "a formula stands in a cell without an address or in an unknown form")
    check_arrays(cells, xml, label)
    return SheetCells(xml, start, stop, cells, label)


def check_arrays(cells: FormulaCells, xml: bytes, label: str) -> None:
    """Refuse array formulas that begin in another cell than their own, overlap, or cover a million cells together."""
    filled: set[tuple[int, int]] = set()
    if b"array" not in xml:
        return
    for (attributes, _), row, column in zip(cells.formulas(), cells.rows, cells.columns, strict=True):
        found = AREA.search(attributes) if b"array" in attributes else None
        if not found:
            continue
        ref, where = found[1], f"{column_letters(column)}{row}"
        if ref.replace(b"$", b"").partition(b":")[0] != where.encode():
            raise refused(label, f"the array formula in {where} says that it fills {ref.decode('utf-8', 'replace')}")
        top, left, bottom, right = area(ref, label)
        if len(filled) + (bottom - top + 1) * (right - left + 1) > LARGEST_ARRAY:
            raise refused(label, f"its array formulas up to that over {ref.decode()} cover too many cells")
        fills = {(row, column) for row in range(top, bottom + 1) for column in range(left, right + 1)}
        if not filled.isdisjoint(fills):
            raise refused(label, f"the array formula over {ref.decode()} fills cells that another one fills")
        filled |= fills


def area(ref: bytes, label: str) -> tuple[int, int, int, int]:
    """The area of an array formula, whose cells are filled. Raises FileRefused when it covers a million or is none."""
    top, left, bottom, right = rectangle(ref, label)
    if (bottom - top + 1) * (right - left + 1) > LARGEST_ARRAY:
        raise refused(label, f"the array over {ref.decode()} covers too many cells")
    return top, left, bottom, right


def rectangle(ref: bytes, label: str) -> tuple[int, int, int, int]:
    """An area of any size, such as that of a data table. Raises FileRefused when it is none."""
    try:
        return corners(ref.decode("utf-8", "replace"))
    except ValueError as fault:
        raise refused(label, f"{fault}") from fault


def refused(label: str, why: str) -> FileRefused:
    """The refusal of a sheet whose XML cannot be edited safely."""
    return FileRefused(f"{label} cannot be edited: {why}. Save the file again in the spreadsheet.")


def places(sheet: SheetCells) -> Places:
    """Row and column of every formula cell. Raises FileRefused when one lies outside a sheet."""
    found = Places(sheet.cells)
    rows, columns = sheet.cells.rows, sheet.cells.columns
    if max(columns) > LAST_COLUMN or not 0 < min(rows) <= max(rows) <= LAST_ROW:
        raise refused(sheet.label, "a formula stands outside the rows and columns of a sheet")
    return found


def moved_here(sheet: SheetCells, first: int, row: int, column: int) -> str:
    """The formula of a cell, given by its index, as a cell at this place reads that shares it; empty for `LOST`."""
    if first == LOST:
        return ""
    text = plain_text(sheet.cells[first][FORMULA])
    return moved(text, row - sheet.cells.rows[first], column - sheet.cells.columns[first])


def cached(cell: Cell, strings: Texts = tuple) -> Value:
    """The value that the file holds for a formula cell; None when it holds none."""
    return decoded(type_of(cell[ATTRIBUTES]), cell[VALUE_TEXT], strings)


def holds(attributes: bytes, element: bytes, value: Value, strings: Texts = tuple) -> bool:
    """True when a cell with these attributes and this element of its cached value holds this very value already."""
    if type(value) is float and element.startswith(PLAIN_NUMBER) and b"t=" not in attributes:
        return number(element[len(PLAIN_NUMBER) : -len(b"</v>")]) == value
    found = HELD.match(element)
    return found is not None and same(decoded(type_of(attributes), found[1], strings), value)


def spliced(xml: bytes, edits: Iterable[tuple[int, int, bytes]]) -> bytes:
    """XML with pieces replaced: (start, end, new) in rising order, none overlapping."""
    joined: list[bytes] = []
    pieces: list[bytes] = []
    last = 0
    for start, end, new in edits:
        pieces += xml[last:start], new
        last = end
        if len(pieces) > PIECES_AT_ONCE:
            joined.append(b"".join(pieces))
            pieces.clear()
    return b"".join([*joined, *pieces, xml[last:]])


def plain_cells(sheet: SheetCells, wanted: set[tuple[int, int]]) -> Iterator[tuple[tuple[int, int], Cell]]:
    """The cells without formula at the wanted places: row and column, and a match of `ANY_CELL`."""
    columns = Columns()
    for cell in ANY_CELL.finditer(sheet.xml, sheet.start, sheet.stop):
        place = int(cell[PLAIN_DIGITS]), columns[cell[PLAIN_LETTERS]]
        if place in wanted:
            yield place, cell


def plain_values(
    sheet: SheetCells, wanted: set[tuple[int, int]], strings: Texts = tuple
) -> Iterator[tuple[tuple[int, int], Value]]:
    """The values in the cells without formula at the wanted places."""
    for place, cell in plain_cells(sheet, wanted):
        yield place, decoded(type_of(cell[PLAIN_ATTRIBUTES]), cell[PLAIN_VALUE_TEXT], strings)
