"""What the cells of a row have in common, and the one between them that differs: lists that run sideways."""

import pytest

from xlcalc.workbook.audit.rules.sideways import row_patterns

from ..sheets import book, places


def months(count: int = 6) -> dict[str, object]:
    """Hours and material of some months side by side, with what they cost."""
    cells: dict[str, object] = {"A1": "Month", "A2": "Hours", "A3": "Material", "A4": "Labour", "A5": "Costs"}
    for at, letter in enumerate("BCDEFGH"[:count], start=1):
        cells |= {f"{letter}1": f"month {at}", f"{letter}2": 30.0 + at, f"{letter}3": 100.0 * at}
        cells |= {f"{letter}4": f"={letter}2*62", f"{letter}5": f"={letter}3+{letter}4"}
    return cells


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        ({"D5": "=D3-D4"}, ["D5"]),
        ({"D5": "=D2+D4"}, ["D5"]),
        ({"D4": "=D2*26"}, ["D4"]),
        ({"D4": 2046.0}, ["D4"]),
        ({}, []),
        ({"H4": "=SUM(B4:G4)", "H5": "=SUM(B5:G5)"}, []),  # the total at the end
        ({"D4": "=AVERAGE(B4:C4)"}, []),  # something else, and meant
        ({"D4": "=SUM(B4:C4)", "D5": "=SUM(B5:C5)"}, []),  # a quarter
        ({"D4": 2046.0, "D5": 2346.0}, []),  # a month that was closed
        ({"D4": 2046.0, "E4": 2100.0}, []),
    ],
)
def test_a_cell_does_what_those_beside_it_do(changed: dict[str, object], found: list[str]) -> None:
    assert places(row_patterns(book(months() | changed))) == found


def test_an_average_between_sums_is_meant() -> None:
    totals = {f"{letter}6": f"=SUM({letter}2:{letter}5)" for letter in "BCDEFG"} | {"D6": "=AVERAGE(D2:D5)"}
    assert list(row_patterns(book(months() | totals))) == []


def test_a_table_with_a_formula_of_its_own_in_each_column_is_none() -> None:
    cells: dict[str, object] = {"A1": "Piece", "B1": "a", "C1": "b", "D1": "c", "E1": "d", "F1": "e"}
    for row in range(2, 8):
        cells |= {f"A{row}": f"piece {row}", f"B{row}": float(row), f"C{row}": f"=B{row}*2", f"D{row}": f"=C{row}*2",
                  f"E{row}": f"=D{row}*3", f"F{row}": f"=E{row}*2"}  # fmt: skip
    assert list(row_patterns(book(cells))) == []
    steps = {ref: held for ref, held in cells.items() if ref[1:] == "2"}
    assert list(row_patterns(book(steps))) == []
