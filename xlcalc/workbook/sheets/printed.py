"""What the generated sheets share: a heading, wrapped texts with row heights that hold them, protection."""

from collections.abc import Sequence
from textwrap import wrap

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.style import HEAD, PLAIN, TITLE, Look, Painter, page

HEAD_ROW = 4
LINE_HEIGHT = 11.7  # points of one line of 9 point text
TEXT = Look(9, wrap=True, up="top", edge="line")


def opened(
    book: Workbook, painter: Painter, name: str, says: str, heads: Sequence[str], widths: Sequence[float]
) -> Worksheet:
    """A protected sheet with its title, its sentence and its headers."""
    sheet = book.create_sheet(name)
    painter.put(sheet, 1, 1, name, TITLE)
    painter.put(sheet, 2, 1, says, PLAIN)
    for place, (head, width) in enumerate(zip(heads, widths, strict=True), start=1):
        painter.put(sheet, HEAD_ROW, place, head, HEAD._replace(edge="under"))
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.freeze_panes = sheet.cell(HEAD_ROW + 1, 2)
    sheet.protection.sheet = True
    page(sheet, landscape=True, titles=f"1:{HEAD_ROW}")
    return sheet


def lines_of(text: object, width: float) -> int:
    """Lines that a text takes in a column."""
    return sum(len(wrap(part, max(1, int(width * 1.2)))) or 1 for part in str(text or "").split("\n"))


def put_row(sheet: Worksheet, painter: Painter, row: int, texts: Sequence[object], widths: Sequence[float]) -> None:
    """One row of wrapped texts, as high as the longest asks for."""
    for place, text in enumerate(texts, start=1):
        painter.put(sheet, row, place, text if text != "" else None, TEXT._replace(bold=place == 1))
    tallest = max(lines_of(text, width) for text, width in zip(texts, widths, strict=True))
    sheet.row_dimensions[row].height = 4 + LINE_HEIGHT * min(tallest, 34)
