"""What is typed into the cells of a sheet: everything that has no formula."""

import re

from xlcalc.workbook.file.cell_index import Columns
from xlcalc.workbook.file.cell_xml import (
    ANY_CELL,
    PLAIN_ATTRIBUTES,
    PLAIN_DIGITS,
    PLAIN_LETTERS,
    PLAIN_VALUE,
    PLAIN_VALUE_TEXT,
)
from xlcalc.workbook.file.cells import EMPTY, bounds
from xlcalc.workbook.file.package import Package, Sheet
from xlcalc.workbook.file.values import Value, decoded, number, read_text, type_of

PIECES = PLAIN_ATTRIBUTES, PLAIN_LETTERS, PLAIN_DIGITS, PLAIN_VALUE, PLAIN_VALUE_TEXT
TEXT = re.compile(rb"<t(?:\s[^<>]*)?>([^<]*)</t>")
READING_AID = re.compile(rb"<rPh\b.*?</rPh>", re.DOTALL)


def typed(package: Package, sheet: Sheet) -> dict[tuple[int, int], Value]:
    """Row and column of every cell of a sheet that holds something and has no formula, with what it holds.

    Raises FileRefused where the sheet's XML cannot be read.
    """
    xml = package.read(sheet.part)
    if EMPTY.search(xml):
        return {}
    start, stop = bounds(xml, f"{package.path.name}, sheet {sheet.name}")
    letters, strings = Columns(), package.shared_strings
    found: dict[tuple[int, int], Value] = {}
    words: dict[tuple[bytes, bytes], Value] = {}  # few of them stand in a sheet again and again
    for cell in ANY_CELL.finditer(xml, start, stop):
        attributes, column, row, raw, text = cell.group(*PIECES)
        if not raw:
            continue
        if b"t=" not in attributes:
            value: Value = number(text) if text else None
        else:
            key = type_of(attributes), raw
            if key not in words:
                words[key] = inline_text(raw) if key[0] == b"inlineStr" else decoded(key[0], text, strings)
            value = words[key]
        if value is not None and value != "":
            found[int(row), letters[column]] = value
    return found


def inline_text(raw: bytes) -> str:
    """The text that stands in a cell itself, without its formatting and without a reading aid."""
    pieces = TEXT.findall(READING_AID.sub(b"", raw) if b"<rPh" in raw else raw)
    return "".join(map(read_text, pieces))
