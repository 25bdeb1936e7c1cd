"""Rows torn from what the book ties them to: whole rows in any order are no finding, one column sorted alone is one."""

from collections.abc import Sequence

import pytest

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.rules.torn_ties import clamped, double_letters, torn_ties

from ..sheets import Rule, book, places
from ..tied import CASES, Row, alone, by, job


def found(heads: Sequence[str], rows: Sequence[Row], rule: Rule = torn_ties) -> list[str]:
    """The cells that a rule names in a table of the job."""
    return places(rule(book(job(heads, rows))))


@pytest.mark.parametrize("case", CASES)
def test_a_column_that_was_sorted_alone_is_found_and_whole_rows_are_not(case: str) -> None:
    heads, rows, column, letters = CASES[case]
    assert found(heads, rows) == []
    assert found(heads, sorted(rows, key=by(column))) == []
    torn = found(heads, alone(rows, column))
    assert torn
    assert {place[0] for place in torn} <= letters


def test_names_that_were_sorted_alone_are_found() -> None:
    heads, rows, *_ = CASES["what is to be looked after"]
    assert {place[0] for place in found(heads, alone(rows, 0, 1))} >= {"A", "E"}
    heads, rows, *_ = CASES["units of prices"]
    assert found(heads, alone(rows, 0))


def test_prices_of_ends_that_are_still_to_come_are_no_finding() -> None:
    """One row has a price of its own beside its item, others have none yet: nothing was sorted."""
    rows = [("PS-3", "A", "clamp", 9.0), ("PS-3", "B", None, None), ("GB-1", "A", None, None),
            ("GB-1", "B", None, 11.0), ("PS-1", "A", "clamp", 12.0), ("PS-1", "B", None, None)]  # fmt: skip
    assert found(("Line", "Option", "End or clamp", "Ends price each"), rows) == []


def test_a_nut_beside_one_wrong_line_is_no_sorting() -> None:
    heads, rows, *_ = CASES["nuts of lines"]
    lone = [(line, "-6" if line == "CO-1" else None if line == "FU-3" else nut) for line, nut in rows]
    assert found(heads, sorted(lone, key=by(0))) == []


def test_letters_of_options_in_order_are_found_where_lines_have_one_twice() -> None:
    heads = "Line", "Option", "Hose"
    rows = [(line, letter, "braid -6") for line in ("PS-1", "GB-1") for letter in "ABC"]
    assert found(heads, rows, double_letters) == []
    assert found(heads, sorted(rows, key=lambda row: row[1]), double_letters) == []
    assert found(heads, alone(rows, 1), double_letters) == [f"C{row}" for row in range(2, 8)]


def test_ends_of_lines_in_order_beside_hoses_that_no_clamp_holds_are_found() -> None:
    heads = "Line", "From", "Hose", "Ends"
    held = ("return 9.5", "clamps"), ("braid -6", "crimped")
    rows = [(f"{'PQR'[place % 3]}-{place}", "pump", *held[place % 2]) for place in range(18)]
    assert found(heads, rows, clamped) == []
    assert found(heads, sorted(rows, key=lambda row: row[3]), clamped) == []
    torn = found(heads, alone(rows, 3), clamped)
    assert torn == ["E3", "E5", "E7", "E9"]


def test_the_headers_that_are_asked_for_are_those_of_a_new_workbook() -> None:
    known = {(each["table"], each["head"]) for each in raw_rows("audit/known_checks")}
    asked = {(heads[0], head) for heads, *_ in CASES.values() for head in heads[1:]}
    assert asked | {("Hose", "Limit with clamps"), ("Hose", "Bend radius"), ("Fluid", "Starts from")} <= known
