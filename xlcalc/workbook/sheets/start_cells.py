"""Cells of Start that its blocks share: columns, named cells, what may be typed."""

from typing import NamedTuple

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.style import BAND, Painter
from xlcalc.workbook.landmarks import CHANGED, USED, WORDS

NAME = "Start"
BESIDE = USED  # where the unit or a remark stands beside a filled cell
WIDTHS = (42, 8, 15, 9, 8, 8, 51, 13)


class Field(NamedTuple):
    """One cell of the job block: name of the cell, words, unit, message, span, number format."""

    name: str
    words: str
    unit: str
    help: str
    span: tuple[float, float] | None = None
    format: str = "General"


def define(book: Workbook, name: str, column: int, row: int) -> None:
    """Give a cell of this sheet a name."""
    book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!${'ABCDEFGHI'[column - 1]}${row}")


def band(sheet: Worksheet, painter: Painter, row: int, words: str) -> None:
    """The title of a block, with a rule across the page."""
    for place in range(WORDS, CHANGED + 1):
        painter.put(sheet, row, place, words if place == WORDS else None, BAND)


def validate(sheet: Worksheet, cell: str, field: Field) -> None:
    """What may be typed into a cell, with a message before and a sentence after a wrong entry."""
    if field.span:
        low, high = field.span
        rule = DataValidation(
            type="decimal", operator="between", formula1=f"{low:g}", formula2=f"{high:g}", allow_blank=True
        )
        rule.error = f"{field.words}: {low:g} to {high:g} {field.unit}, a number without its unit."
    elif field.format.startswith("d "):
        rule = DataValidation(type="date", operator="greaterThan", formula1="36526", allow_blank=True)
        rule.error = f"{field.words}: a date."
    else:
        rule = DataValidation(type="textLength", operator="lessThan", formula1="200", allow_blank=True)
        rule.error = f"{field.words}: fewer than 200 letters."
    rule.showErrorMessage = rule.showInputMessage = True
    rule.promptTitle = rule.errorTitle = field.words[:32]
    rule.prompt = field.help
    sheet.add_data_validation(rule)
    rule.add(cell)
