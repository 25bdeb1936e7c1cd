"""What the generated sheets share: a heading, wrapped texts with row heights that hold them, protection."""

from collections.abc import Sequence
from functools import lru_cache

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.style import BAND, HEAD, PLAIN, TITLE, Look, Painter, page

HEAD_ROW = 4
LINE_HEIGHT = 11.7  # points of one line of 9 point text
MOST_LINES = 34  # a row of a sheet is at most 409 points high
TEXT = Look(9, wrap=True, up="top", edge="line")
SPARE = 1.05  # bold and other screens set the same letters a little wider
_WIDTHS = {
    letter: width
    for width, letters in {
        222: "ijl'|", 278: " !,./:;[]fIt\\", 333: '()-r`"', 500: "ckvxyzsJ", 584: "+<=>~", 611: "FTZ",
        667: "ABEKPSVXY&", 722: "CDHNRUw", 778: "GOQ", 833: "mM", 889: "%", 944: "W", 1015: "@",
    }.items()
    for letter in letters
}  # fmt: skip
_OTHER_WIDTH = 556  # thousandths of the type size, as all of Arial's widths here; digits and most small letters
_INDENT = 1.4  # characters of one step
_PIXELS_OF_TYPE, _PIXELS_OF_CHARACTER, _PADDING = 12, 7, 5  # 9 point at 96 dots an inch


def opened(
    book: Workbook, painter: Painter, name: str, title: str, says: str, heads: Sequence[str], widths: Sequence[float]
) -> Worksheet:
    """A protected sheet with its title, which says what it answers, its sentence and its headers."""
    sheet = book.create_sheet(name)
    painter.put(sheet, 1, 1, title, TITLE)
    painter.put(sheet, 2, 1, says, PLAIN)
    for place, (head, width) in enumerate(zip(heads, widths, strict=True), start=1):
        painter.put(sheet, HEAD_ROW, place, head, HEAD._replace(edge="under", across="left", indent=_indent(place)))
        sheet.column_dimensions[get_column_letter(place)].width = width
    sheet.freeze_panes = sheet.cell(HEAD_ROW + 1, 2)
    sheet.protection.sheet = True
    page(sheet, landscape=True, titles=f"1:{HEAD_ROW}")
    return sheet


def lines_of(text: object, width: float) -> int:
    """Lines that a text takes in a column so many characters wide, broken at spaces as a spreadsheet does."""
    room = width * _PIXELS_OF_CHARACTER - _PADDING
    return sum(_lines_of_one(part, room) for part in str(text or "").split("\n"))


def _lines_of_one(part: str, room: float) -> int:
    lines, used = 1, 0.0
    for word in part.split(" "):
        wide = _pixels(word)
        if used and used + wide > room:
            lines, used = lines + 1, 0.0
        lines += int((used + wide) // room) if wide > room else 0  # a word wider than its column is cut
        used = (used + wide) % room if wide > room else used + wide
        used += _pixels(" ")
    return lines


@lru_cache(maxsize=4096)  # the same words come again and again
def _pixels(text: str) -> float:
    return sum(_WIDTHS.get(letter, _OTHER_WIDTH) for letter in text) / 1000 * _PIXELS_OF_TYPE * SPARE


def _indent(column: int) -> int:
    """Texts stand off from the column before them, which may be filled to its edge."""
    return int(column > 1)


def put_band(sheet: Worksheet, painter: Painter, row: int, words: str, columns: int) -> None:
    """The title of a group of rows, underlined from edge to edge."""
    for column in range(1, columns + 1):
        painter.put(sheet, row, column, words if column == 1 else None, BAND)


def put_row(sheet: Worksheet, painter: Painter, row: int, texts: Sequence[object], widths: Sequence[float]) -> None:
    """One row of wrapped texts, as high as the longest asks for."""
    for place, text in enumerate(texts, start=1):
        look = TEXT._replace(bold=place == 1, across="left", indent=_indent(place))
        painter.put(sheet, row, place, text if text != "" else None, look)
    rooms = (width - _INDENT * _indent(place) for place, width in enumerate(widths, start=1))
    tallest = max(lines_of(text, room) for text, room in zip(texts, rooms, strict=True))
    sheet.row_dimensions[row].height = 4 + LINE_HEIGHT * min(tallest, MOST_LINES)
