"""What a column's cells have in common, and the cell that differs: on books that the template does not know."""

import pytest

from xlcalc.workbook.audit.audit import folded
from xlcalc.workbook.audit.rules.columns import column_patterns
from xlcalc.workbook.audit.rules.slips import slipped_references

from ..sheets import book, places, table

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


RUNNING = {"E1": "So far", "E2": "=D2", **{f"E{row}": f"=E{row - 1}+D{row}" for row in range(3, 10)}}
CLEAN = {
    "a total below": {"A10": "Sum", "D10": "=SUM(D2:D9)"},
    "a subtotal between": {"A6": "So far", "B6": "", "C6": "", "D6": "=SUM(D2:D5)"},
    "a second table": {"A14": "Van", "B14": "Hours", "D14": "Share", **{f"{c}{r}": v for r in range(15, 19) for c, v in
                       (("A", f"van {r}"), ("B", float(r)), ("D", f"=B{r}/60"))}},
    "two formulas": {f"D{row}": f"=B{row}*12+IF(C{row}>11,5,0)" for row in (3, 5, 7, 9)},
    "a running total": RUNNING,
    "a running total carried over": RUNNING | {"E2": "=H1+D2"},
    "a running total with the hours of before": RUNNING | {"D2": 0.0, "E2": 131.5},
    "what is left year after year": {"E1": "Left", "E2": 12000.0, **{f"E{row}": f"=E{row - 1}-D{row}"
                                                                     for row in range(3, 10)}},
    "less, tax, paid": {"F1": "Sum", "G1": 900.0, "F2": "less", "G2": 27.0, "F3": "Net", "G3": "=G1-G2", "F4": "Tax",
                        "G4": "=G3*0.19", "F5": "To pay", "G5": "=G3+G4", "F6": "paid", "G6": 500.0, "F7": "left",
                        "G7": "=G5-G6"},
    "net, tax, with tax": {"F1": "Labour", "G1": 900.0, "F2": "Material", "G2": 300.0, "F3": "Net", "G3": "=G1+G2",
                           "F4": "Tax", "G4": "=G3*0.19", "F5": "With tax", "G5": "=G3+G4", "F6": "Deposit",
                           "G6": "=G5*0.3", "F7": "In all", "G7": "=G5+G6"},
}  # fmt: skip


@pytest.mark.parametrize("name", CLEAN)
def test_what_people_do_without_doing_wrong_is_no_finding(name: str) -> None:
    cells = {ref: held for ref, held in (table() | CLEAN[name]).items() if held != ""}
    made = book(cells)
    assert [*column_patterns(made), *slipped_references(made)] == []


@pytest.mark.parametrize(
    ("changed", "place", "expected"),
    [
        ({"E2": "=D1"}, "S!E2", "=D2, the figure of its own row, with which the running total below begins"),
        ({"E2": "=D2+40"}, "S!E2", "=D2, the figure of its own row"),
        ({"E5": "=E5+D5"}, "S!E5", "=E4+D5, which the cells above and below have"),
        ({"E3": "=E2+D3+1"}, "S!E3", "=E2+D3, which the other cells of the column have"),
        ({f"E{row}": f"=E{row - 1}+D{row + 1}" for row in range(5, 10)}, "S!E5:E9", "=E4+D5, which looks at its own"),
        ({"E9": "=(E8+D9)*1.05"}, "S!E9", "=E8+D9, which the other cells of the column have"),
    ],
)
def test_a_running_total_takes_its_own_rows_from_the_first_on(
    changed: dict[str, str], place: str, expected: str
) -> None:
    (found,) = folded(column_patterns(book(table() | RUNNING | changed)))
    assert found.place == place
    assert found.expected.startswith(expected)


FORM: dict[str, object] = {"A1": "Sum", "B1": 900.0, "A2": "less", "B2": 27.0, "A3": "Net", "B3": "=B1-B2", "A4": "Tax",
                           "B4": "=B3*0.19", "A5": "To pay", "B5": "=B3+B4", "A6": "paid", "B6": 500.0, "A7": "left",
                           "B7": "=B5-B6", "A8": "Deposit", "B8": "=B7*0.3", "A9": "then", "B9": "=B7-B8"}  # fmt: skip


@pytest.mark.parametrize("changed", [{}, {"B4": 0.0}, {"B2": 0.0, "B8": 100.0}])
def test_a_form_of_labels_has_a_formula_of_its_own_in_each_row(changed: dict[str, object]) -> None:
    assert list(column_patterns(book(FORM | changed))) == []


def test_a_cell_right_between_others_of_a_form_is_told_by_them() -> None:
    cells: dict[str, object] = {f"A{row}": f"van {row}" for row in range(2, 8)}
    cells |= {f"B{row}": f"=SUM(D{row}:F{row})" for row in range(2, 8)}
    assert places(column_patterns(book(cells | {"B4": "=SUM(D4:E4)"}))) == ["B4"]
