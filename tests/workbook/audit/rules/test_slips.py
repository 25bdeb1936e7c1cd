"""References of a column that stay where they should move, or move where they should stay."""

import pytest

from xlcalc.workbook.audit.rules.columns import column_patterns
from xlcalc.workbook.audit.rules.slips import slipped_references

from ..sheets import book, table

GROWING = {f"E{row}": f"=SUM(D$2:D{row})" for row in range(2, 10)}


def test_a_column_that_takes_one_row_for_all_is_a_slip() -> None:
    (found,) = slipped_references(book(table() | {f"D{row}": f"=B{row}*C$4" for row in range(2, 10)}))
    assert found.place == "S!D2:D9"
    assert "the figure of one row" in found.why


def test_an_area_that_moves_down_with_the_rows_is_a_slip() -> None:
    shares = {f"E{row}": f"=B{row}/SUM(B{row}:B{row + 7})" for row in range(2, 10)}
    (found,) = slipped_references(book(table() | shares))
    assert (found.place, found.expected) == ("S!E2:E9", "B$2:B$9 in every row")


def test_a_share_of_the_first_row_is_no_slip() -> None:
    assert list(slipped_references(book(table() | {f"E{row}": f"=B{row}/B$2" for row in range(2, 10)}))) == []


@pytest.mark.parametrize(
    ("first", "area", "expected"),
    [
        (3, "D{0}:D{1}", "an area that begins at D$2"),  # SUM(D2:D3), SUM(D3:D4): its first cell is SUM(D$2:D2)
        (2, "D{1}:D{1}", "D$2:D2, with a $ at its beginning"),
    ],
)
def test_a_total_so_far_that_lets_go_of_its_beginning_is_a_slip(first: int, area: str, expected: str) -> None:
    assert list(slipped_references(book(table() | GROWING))) == []
    moved = {f"E{row}": f"=SUM({area.format(row - 1, row)})" for row in range(first, 10)}
    made = book(table() | {"E1": "Money so far"} | GROWING | moved)
    (found,) = slipped_references(made)
    assert (found.place, found.expected) == (f"S!E{first}:E9", expected)
    assert list(column_patterns(made)) == []


def test_a_sum_of_the_last_rows_that_begins_with_fewer_moves_along_by_right() -> None:
    moved = {f"E{row}": f"=SUM(D{row - 2}:D{row})" for row in range(4, 10)}
    made = book(table() | {"E1": "Last three"} | GROWING | moved)
    assert [*slipped_references(made), *column_patterns(made)] == []
