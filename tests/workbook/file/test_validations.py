"""Checks on what may be typed: their areas as files have them, also where one of them is none."""

from pathlib import Path

from xlcalc.workbook.audit.audit import audit
from xlcalc.workbook.explained.inputs import validation_message
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.validations import validations

from ..books import SHEET, formula, number, packed, parts, row

RULES = (
    '<dataValidations count="1"><dataValidation type="list" sqref="A1:XFD1048576 foo #REF! B2" prompt="pick one">'
    '<formula1>"a,b"</formula1></dataValidation></dataValidations>'
)


def checked() -> Package:
    """A book whose check stands on areas of which two are none, and one is the whole sheet."""
    made = parts({"S": row(1, number("A1", 3), formula("B1", "A1*2"))})
    made[SHEET] = made[SHEET].replace(b"</sheetData>", b"</sheetData>" + RULES.encode())
    return Package.from_bytes(packed(made), Path("book.xlsx"))


def test_an_area_that_is_none_is_left_out() -> None:
    ((rule, areas),) = validations(checked(), SHEET)
    assert rule.get("prompt") == "pick one"
    assert areas == [(1, 1, 1_048_576, 16_384), (2, 2, 2, 2)]


def test_rows_are_not_read_as_a_tree() -> None:
    names = {each.tag.rpartition("}")[2] for each in checked().around_rows(SHEET).iter()}
    assert "dataValidation" in names
    assert "row" not in names


def test_the_audit_and_what_is_said_of_a_cell_go_on() -> None:
    package = checked()
    assert "not-in-list" in {each.rule for each in audit(package).findings.values()}
    assert validation_message(Workings(package), ("S", 1, 1)) == "pick one"
