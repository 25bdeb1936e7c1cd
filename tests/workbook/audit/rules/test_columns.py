"""What a column's cells have in common, and the cell that differs: on books that the template does not know."""

import pytest

from xlcalc.workbook.audit.audit import folded
from xlcalc.workbook.audit.rules.columns import column_patterns
from xlcalc.workbook.audit.rules.slips import slipped_references

from ..sheets import book, table

SLIPS = {"another row": "=B5*C6", "a figure": "=B5*11", "a fudge": "=B5*C5+0", "another sign": "=B5/C5",
         "another column": "=B5*B5", "a sign too many": "=B5*C$5"}  # fmt: skip


@pytest.mark.parametrize("name", SLIPS)
def test_a_cell_that_does_not_do_what_its_neighbours_do_is_found(name: str) -> None:
    (found,) = column_patterns(book(table() | {"D5": SLIPS[name]}))
    assert (found.place, found.expected) == ("S!D5", "=B5*C5, which the cells above and below have")


@pytest.mark.parametrize(
    ("ref", "value", "why"),
    [("D5", 30.0, "it is right today"), ("D5", 99.0, "it does not follow"), ("D9", 99.0, "it does not follow")],
)
def test_a_number_over_a_formula_is_found_also_at_the_end(ref: str, value: float, why: str) -> None:
    (found,) = column_patterns(book(table() | {ref: value}))
    assert (found.place, found.rule) == (f"S!{ref}", "typed-over")
    assert found.why.startswith(why)


def test_a_formula_left_out_is_found() -> None:
    cells = table()
    del cells["D6"]
    assert [each.rule for each in column_patterns(book(cells))] == ["formula-missing"]


def test_the_same_fault_down_many_rows_is_one_finding() -> None:
    cells = table(40) | {f"D{row}": f"=B{row}*C{row}*1.1" for row in range(10, 18)}
    (found,) = folded(column_patterns(book(cells)))
    assert found.place == "S!D10:D17"


CLEAN = {
    "a total below": {"A10": "Sum", "D10": "=SUM(D2:D9)"},
    "a subtotal between": {"A6": "So far", "B6": "", "C6": "", "D6": "=SUM(D2:D5)"},
    "a second table": {"A14": "Van", "B14": "Hours", "D14": "Share", **{f"{c}{r}": v for r in range(15, 19) for c, v in
                       (("A", f"van {r}"), ("B", float(r)), ("D", f"=B{r}/60"))}},
    "two formulas": {f"D{row}": f"=B{row}*12+IF(C{row}>11,5,0)" for row in (3, 5, 7, 9)},
    "a running total": {"E2": "=D2", **{f"E{row}": f"=E{row - 1}+D{row}" for row in range(3, 10)}},
}  # fmt: skip


@pytest.mark.parametrize("name", CLEAN)
def test_what_people_do_without_doing_wrong_is_no_finding(name: str) -> None:
    cells = {ref: held for ref, held in (table() | CLEAN[name]).items() if held != ""}
    made = book(cells)
    assert [*column_patterns(made), *slipped_references(made)] == []


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
