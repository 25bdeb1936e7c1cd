"""What is typed into the cells of a sheet: everything that has no formula."""

import re

from xlcalc.workbook import cells
from xlcalc.workbook.package import Package, Sheet
from xlcalc.workbook.values import Value, decoded, read_text, type_of

TEXT = re.compile(rb"<t(?:\s[^<>]*)?>([^<]*)</t>")
READING_AID = re.compile(rb"<rPh\b.*?</rPh>", re.DOTALL)


def typed(package: Package, sheet: Sheet) -> dict[tuple[int, int], Value]:
    """Row and column of every cell of a sheet that holds something and has no formula, with what it holds.

    Raises FileRefused where the sheet's XML cannot be read.
    """
    xml = package.read(sheet.part)
    if cells.EMPTY.search(xml):
        return {}
    start, stop = cells.bounds(xml, f"{package.path.name}, sheet {sheet.name}")
    letters, strings = cells.Columns(), package.shared_strings
    found: dict[tuple[int, int], Value] = {}
    for cell in cells.ANY_CELL.finditer(xml, start, stop):
        if raw := cell[cells.PLAIN_VALUE]:
            kind = type_of(cell[cells.PLAIN_ATTRIBUTES])
            inline = kind == b"inlineStr"
            value = inline_text(raw) if inline else decoded(kind, cell[cells.PLAIN_VALUE_TEXT], strings)
            if value not in (None, ""):
                found[int(cell[cells.PLAIN_DIGITS]), letters[cell[cells.PLAIN_LETTERS]]] = value
    return found


def inline_text(raw: bytes) -> str:
    """The text that stands in a cell itself, without its formatting and without a reading aid."""
    return "".join(map(read_text, TEXT.findall(READING_AID.sub(b"", raw))))
