"""Units over columns and beside cells that are not those of a new workbook."""

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.rules.headings import changed_units, changed_units_of_forms
from xlcalc.workbook.formulas import column_number

from ..beside import as_before
from ..planted import changed, clean_job, header, job, unit_row
from ..sheets import edited, part_of, places


def under_flow(unit: str) -> Book:
    """The job with another unit under the header of its flows, at which no formula looks."""
    package = changed(job(), part_of(job(), "Lines"), header("J", unit))
    return as_before(package, {("Lines", unit_row(), column_number("J")): unit})


def test_a_unit_under_a_header_that_is_not_that_of_a_new_workbook():
    (got,) = changed_units(under_flow("US gpm"))
    assert (got.there, got.expected) == ("the unit under Flow is US gpm", "L/min, as in a new workbook")


@pytest.mark.parametrize(("unit", "found"), [("°F", True), ("degC", False), ("see Lines", False)])
def test_a_unit_beside_a_figure_of_the_job_that_is_not_that_of_a_new_workbook(unit: str, found: bool):
    typed = clean_job().typed("Start")
    (row,) = [row for (row, _), value in typed.items() if value == "Coldest start"]
    ref = f"D{row}"
    assert typed[row, 4] == "°C"
    package = edited(job(), "Start", ref, unit)
    assert places(changed_units_of_forms(as_before(package, {("Start", row, 4): unit}))) == ([ref] if found else [])


def test_another_spelling_of_a_unit_is_no_fault():
    assert list(changed_units(under_flow("l/min"))) == []
