"""Units followed from headers into arguments, out of answers and through sums: each fault planted in a small job."""

import re

import pytest

from xlcalc.core.units import unit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules.typed_units import other_kinds, refused
from xlcalc.workbook.audit.rules.units import pairs, units_in_sums, units_into_arguments, units_of_answers
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import column_letters, column_number

from ..beside import anew, as_before
from ..planted import Change, changed, clean_job, header, job, replaced, unit_row
from ..sheets import part_of


def findings(book: Book) -> list[Finding]:
    return [each for rule in (units_into_arguments, units_of_answers, units_in_sums) for each in rule(book)]


def under(column: str, unit: str) -> list[Finding]:
    """What is found once another unit stands under the header of a column of Lines, at which no formula looks."""
    package = changed(job(), part_of(job(), "Lines"), header(column, unit))
    return findings(as_before(package, {("Lines", unit_row(), column_number(column)): unit}))


def test_the_job_as_it_is_made_is_silent():
    assert findings(clean_job()) == []


@pytest.mark.parametrize(
    ("column", "unit", "says"),
    [
        ("J", "US gpm", "factor of 3.785"),  # a US gallon is 3.785411784 L (NIST SP 811)
        ("K", "psi", "factor of 6.895"),  # NIST SP 811, appendix B: 6.894757 kPa
        ("N", "mm", "factor of 0.001"),
        ("K", "kPa abs", "absolute"),
        ("L", "K", "not the same|difference"),
        ("L", "m", "not the same kind"),
    ],
)
def test_a_header_in_another_unit_than_its_numbers_are_taken_in(column: str, unit: str, says: str):
    got = [each for each in under(column, unit) if each.rule == "unit-of-argument"]
    assert got, f"{unit} over a column that is read otherwise is not found"
    assert any(re.search(says, each.why) for each in got), [each.why for each in got]


def test_a_header_in_another_unit_than_the_answers_below_it():
    book = clean_job()
    answers = [places[0] for pattern, places in book.every_pattern() if "LINE_PRESSURE_DROP" in pattern.ours]
    sheet, _, column = answers[0]
    assert sheet == "Lines"
    got = under(column_letters(column), "bar")
    assert any(each.cells[0][2] == column and "bar" in each.there for each in got), got


@pytest.mark.parametrize(
    ("formula", "found"),
    [
        ("A1+B1", [("A1", "+", "B1")]),
        ("A1*B1+C1", []),
        ("IF(A1>B1,1,2)", [("A1", ">", "B1")]),
        ("ISNUMBER(A1+B1)", []),
        ("A1-B1/C1", []),
        ('"A1+B1"', []),
    ],
)
def test_only_cells_that_are_added_or_compared_as_they_are(formula: str, found: list[Place]):
    assert list(pairs(formula)) == found


@pytest.mark.parametrize(
    ("head", "typed", "says"),
    [
        ("K", "55 degC", "not a difference"),
        ("°C", "55 K", "difference of temperatures"),
        ("°C", "12 kPa", "not a temperature"),
        ("kPa", "90 kPa abs", "perfect vacuum"),
        ("L/min", "6 L", "not in a unit like"),
        ("L/min", "8 inHg vac", "not in a unit like"),
        ("K", "55 K", ""),
        ("°C", "-20 degF", ""),
        ("°C", "350 K", ""),
        ("kPa", "8 inHg vac", ""),
        ("L/min", "6 US gpm", ""),
        ("kPa", "G-07", ""),
    ],
)
def test_a_quantity_of_another_kind_than_its_header_is_in(head: str, typed: str, says: str):
    why = refused(unit(head), typed)
    assert says in why if says else not why


def test_a_typed_quantity_of_another_kind_is_found_where_it_stands():
    def over(letter: bytes) -> Change:
        typed = rb'<c r="%s8" t="inlineStr"><is><t>5 psi</t></is></c>' % letter
        return replaced(rb'<c r="%s8"[^>]*>.*?</c>' % letter, typed)

    package = changed(job(), part_of(job(), "Lines"), over(b"J"))
    (got,) = other_kinds(anew(package))
    assert got.cells == (("Lines", 8, 10),)
    assert "5 psi here" in got.there
