"""Cells of the Quote that its blocks share: columns, widths, named cells, filled-in cells."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.style import BAND, BOXED, Look, Painter
from xlcalc.workbook.sheets.start_cells import Field, validate

NAME = "Quote"
WORDS, HOW, OWN, UNIT, SENT, NOW, DIFFERENCE = range(1, 8)
PAGE_COLUMNS = 7  # of the customer's page
SHOWN = 10  # columns of the office's part, the rest is folded
WIDTHS = (20, 34, 12, 11, 12.5, 12.5, 12.5, 11, 32, 34)
MONEY = "0.00;-0.00;0.00"
DATE = "d mmm yyyy"
FOLD = SHOWN + 2  # column of folded cells beside a block
LINE = Look(9, edge="line")


def set_widths(sheet: Worksheet) -> None:
    """Columns as wide as the customer's page and the tables need."""
    for place, width in enumerate(WIDTHS, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = width


def name_cell(book: Workbook, name: str, column: int, row: int) -> None:
    """Give a cell of this sheet a name."""
    book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!${get_column_letter(column)}${row}")


def put_band(sheet: Worksheet, painter: Painter, row: int, words: str, columns: int) -> None:
    """The title of a block, with a rule under it."""
    for place in range(1, columns + 1):
        painter.put(sheet, row, place, words if place == 1 else None, BAND)
    sheet.row_dimensions[row].height = 15


def put_field(
    book: Workbook, sheet: Worksheet, painter: Painter, row: int, column: int, field: Field, start: Mapping[str, object],
    default: object = None,
) -> None:  # fmt: skip
    """A named cell to fill in, with what the job says of it."""
    look = BOXED._replace(format=field.format, across="right" if field.span or column == SENT else "left")
    painter.put(sheet, row, column, start.get(field.name, default), look)
    validate(sheet, f"{get_column_letter(column)}{row}", field)
    name_cell(book, field.name, column, row)
