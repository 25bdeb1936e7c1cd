"""Bores beside the tables that no hose of the book comes near."""

import pytest

from xlcalc.workbook.audit.rules.bores import bores_apart

from ..sheets import book, places

HOSES: dict[str, object] = {"A1": "Hose", "B1": "Check", "C1": "Bore", "C2": "mm"}
for row, bore in enumerate((3.2, 9.5, 25.4, 50.8), start=4):
    HOSES |= {f"A{row}": f"textile {bore:g}", f"B{row}": f'=IF(C{row}="","","Within limits")', f"C{row}": bore}


@pytest.mark.parametrize(
    ("flow", "unit", "formula", "found"),
    [
        (12.0, "L/min", "=BORE_FOR_FLOW(B3,3)", []),
        (0.5, "L/min", "=BORE_FOR_FLOW(B3,3)", []),  # 1.9 mm: narrow, and somebody may want that
        (0.2, "L/min", "=BORE_FOR_FLOW(B3,3)", ["B3", "B4"]),  # 1.2 mm; 0.2 L/s gives 9.2 mm
        (0.2, "L/min", '=BORE_FOR_FLOW(B3,3,"in")', ["B3", "B4"]),
        (0.0001, "L/min", "=BORE_FOR_FLOW(B3,3)", []),  # nothing in any unit
        (0.2, "", "=BORE_FOR_FLOW(B3,3)", []),
        (0.2, "L/min", "=BORE_FOR_FLOW(B3,3)+1", []),
        (0.2, "L/min", "=LINE_VELOCITY(B3,10)", []),
    ],
)
def test_a_bore_far_from_all_hoses_comes_of_a_flow_in_another_unit(
    flow: float, unit: str, formula: str, found: list[str]
) -> None:
    """Bore = sqrt(4 flow / (pi speed)): 12 L/min at 3 m/s want 9.2 mm."""
    cells: dict[str, object] = {"A3": "Flow", "B3": flow, "A4": "Bore", "B4": formula} | ({"C3": unit} if unit else {})
    assert places(bores_apart(book({"Hoses": HOSES, "Sums": cells}))) == found
