"""Inputs that change by themselves, in a job; the same formula where a shop has it for its own use is no fault."""

import pytest

from xlcalc.workbook.audit.finding import Weight
from xlcalc.workbook.audit.rules.volatile import changing_inputs
from xlcalc.workbook.file.package import Package

from ..beside import as_before
from ..planted import job
from ..sheets import book, edited, places


def found_in(package: Package):
    return list(changing_inputs(as_before(package)))


def test_the_job_as_it_is_made_is_silent():
    assert found_in(job()) == []


@pytest.mark.parametrize(
    ("sheet", "ref", "formula", "weight", "says"),
    [
        ("Start", "C27", "=TODAY()", Weight.WEAK, "every day"),
        ("Start", "C44", "=INT(NOW())-14", Weight.WEAK, "every moment"),
        ("Lines", "J9", "=RANDBETWEEN(6,9)", Weight.WRONG, "every calculation"),
        ("Start", "C83", "=6+rand()", Weight.WRONG, "every calculation"),
    ],
)
def test_an_input_that_changes_by_itself_is_found(sheet: str, ref: str, formula: str, weight: Weight, says: str):
    (found,) = found_in(edited(job(), sheet, ref, formula))
    assert (found.place, found.weight) == (f"{sheet}!{ref}", weight)
    assert found.there.startswith(formula)
    assert says in found.there


def test_an_input_that_takes_todays_date_from_another_cell_is_found():
    through = edited(edited(job(), "Start", "C27", "=H23"), "Start", "H23", "=TODAY()")
    (found,) = found_in(through)
    assert found.place == "Start!C27"
    assert "through Start!H23" in found.there


@pytest.mark.parametrize("formula", ["=D9*2", '="TODAY("', "=MYTODAY"])
def test_another_formula_in_an_input_is_no_fault(formula: str):
    assert found_in(edited(job(), "Start", "C27", formula)) == []


def test_todays_date_beside_what_is_filled_in_is_no_fault():
    assert found_in(edited(job(), "Start", "H23", "=TODAY()")) == []


def test_todays_date_on_a_sheet_of_the_shops_own_is_no_fault():
    own = book({"A1": "Days left", "B1": 46_200.0, "B2": "=B1-TODAY()"})
    assert places(changing_inputs(own)) == []
