"""Inputs close to the end of what a cell lets through."""

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.rules.method import close_to_the_end
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

from ..sheets import book, part_of, places


def checked(head: str, unit: str, most: float, value: float) -> Book:
    """A table with a column that takes 0 to `most`, and a value in it."""
    cells: dict[str, object] = {"A1": "Operation", "B1": "Check", "C1": head, "A4": "clips", "C4": value}
    made = book(cells | {"B4": '=IF(C4="","","Within limits")'} | ({"C2": unit} if unit else {})).package
    rule = f"AND(ISNUMBER(C4),C4&gt;=0,C4&lt;={most:.0f})"
    check = f'<dataValidation type="custom" sqref="C4:C9"><formula1>{rule}</formula1></dataValidation>'
    part = part_of(made, "S")
    xml = made.read(part).replace(b"</sheetData>", f"</sheetData><dataValidations>{check}</dataValidations>".encode())
    package = Package.from_bytes(made.edited({part: xml}), "book.xlsx")
    return Book(package, compute(package))


@pytest.mark.parametrize(
    ("head", "unit", "most", "value", "found"),
    [
        ("Length", "m", 100, 96, ["C4"]),
        ("Length", "m", 100, 90, []),
        ("Times", "", 10_000, 9_700, ["C4"]),  # nobody does that so often
        ("Diaphragms", "", 20, 19.5, []),  # few may well be all
        ("Done", "%", 100, 99, []),
        ("Angle", "°", 360, 359, []),
        ("Made", "", 73_050, 46_000, []),  # a day of this century
        ("Times", "", 10_000, 12_000, ["C4"]),
    ],
)
def test_an_input_in_the_last_twentieth_of_its_span_is_noted(
    head: str, unit: str, most: float, value: float, found: list[str]
) -> None:
    assert places(close_to_the_end(checked(head, unit, most, value))) == found
