"""A shop's own small sheets, and figures that went to another row: what is found without any template."""

import pytest

from xlcalc.workbook.audit.rules.close import close_to_the_hose
from xlcalc.workbook.audit.rules.lookups import double_keys, next_best
from xlcalc.workbook.audit.rules.misplaced import misplaced_figures
from xlcalc.workbook.audit.rules.pasted import pasted_values
from xlcalc.workbook.audit.rules.picked import misspelled_items
from xlcalc.workbook.audit.rules.swallowed import swallowed_errors

from ..sheets import book, places

SUMS: dict[str, object] = {
    "A1": "Flow", "B1": 12.0, "A2": "Bore at 3 m/s", "B2": "=BORE_FOR_FLOW(B1,3)", "A3": "Speed in 10 mm",
    "B3": "=LINE_VELOCITY(B1,10)", "A4": "Speed in 8 mm", "B4": "=LINE_VELOCITY(B1,8)",
}  # fmt: skip
MISSING = 'IF(AND(C{0}="tank",B{0}=""),"Not checked: fill in Volume","Within limits")'
GROWTH = 'IF(C{0}="tank",B{0}*0.05,"")'
TANKS = {"axle": (1.8, "axle"), "fuel": (90.0, "tank"), "coolant": (12.0, "tank")}


def tanks(*volumes: float | None) -> dict[str, object]:
    cells: dict[str, object] = {"A1": "Item", "B1": "Volume", "C1": "Kind", "D1": "Check", "E1": "Growth"}
    for row, ((name, (_, kind)), volume) in enumerate(zip(TANKS.items(), volumes, strict=True), start=2):
        cells |= {f"A{row}": name, f"C{row}": kind}
        cells |= {f"D{row}": "=" + MISSING.format(row), f"E{row}": "=" + GROWTH.format(row)}
        cells |= {f"B{row}": volume} if volume is not None else {}
    return cells


def test_a_number_typed_over_a_formula_among_formulas_is_found() -> None:
    assert list(pasted_values(book(SUMS))) == []
    assert places(pasted_values(book(SUMS | {"B3": 2.4}))) == ["B3"]


def test_a_number_that_others_take_or_that_has_no_label_is_an_input() -> None:
    assert list(pasted_values(book(SUMS | {"B3": 2.4, "B5": "=B3*2"}))) == []
    unlabelled = {ref: held for ref, held in SUMS.items() if ref != "A3"}
    assert list(pasted_values(book(unlabelled | {"B3": 2.4}))) == []


def test_an_error_swallowed_on_a_sheet_of_the_shops_own_is_found() -> None:
    assert list(swallowed_errors(book(SUMS))) == []
    assert places(swallowed_errors(book(SUMS | {"B3": '=IFERROR(LINE_VELOCITY(B1,10),"")'}))) == ["B3"]


def test_the_same_guard_down_the_rows_of_a_shops_own_sheet_is_one_finding() -> None:
    cells: dict[str, object] = {"A1": "Flow", "B1": "Bore"}
    for row in range(2, 6):
        cells |= {f"A{row}": 4.0 + row, f"B{row}": f'=IFERROR(BORE_FOR_FLOW(A{row},3),"")'}
    found = list(swallowed_errors(book(cells)))
    assert [each.place for each in found] == ["S!B2:B5"]
    (found_now,) = swallowed_errors(book(cells | {"A4": -1.0}))
    assert "there is one now" in found_now.there


def test_a_figure_that_went_to_a_row_without_use_for_it_is_found() -> None:
    assert list(misplaced_figures(book(tanks(None, 90.0, 12.0)))) == []
    assert places(misplaced_figures(book(tanks(12.0, 90.0, None)))) == ["B2", "B4", "A2", "A4"]


def test_a_figure_that_a_lookup_picks_by_its_row_is_used_and_no_other() -> None:
    """A second table takes the volume of one row out of the whole column."""
    torn = tanks(12.0, 90.0, None)
    assert places(misplaced_figures(book(torn | {"G1": "=INDEX(B2:B4,2)"}))) == ["B2", "B4", "A2", "A4"]
    assert list(misplaced_figures(book(torn | {"G1": "=INDEX(B2:B4,1)"}))) == []
    assert list(misplaced_figures(book(torn | {"G1": "=INDEX(B2:B4,MATCH(12,B2:B4,0))"}))) == []
    unused = '=IF(H1="yes",INDEX(B2:B4,1),"")'
    assert places(misplaced_figures(book(torn | {"G1": unused}))) == ["B2", "B4", "A2", "A4"]


def test_a_figure_whose_copy_in_its_row_is_added_up_is_used() -> None:
    """A column of numbers repeats what was typed, a total adds that column up; a copy that nobody takes is no use."""
    torn = tanks(12.0, 90.0, None) | {"F1": "Number"} | {f"F{row}": f'=IF(B{row}="","",B{row})' for row in range(2, 5)}
    assert places(misplaced_figures(book(torn))) == ["B2", "B4", "A2", "A4"]
    assert list(misplaced_figures(book(torn | {"I1": "=SUM(F2:F4)"}))) == []
    assert places(misplaced_figures(book(torn | {"I1": "=INDEX(F2:F4,2)"}))) == ["B2", "B4", "A2", "A4"]


def test_no_figure_of_a_column_that_is_added_up_is_without_use() -> None:
    assert list(misplaced_figures(book(tanks(12.0, 90.0, None) | {"G1": "=SUM(B2:B4)"}))) == []


def test_a_figure_that_a_function_speaks_of_in_words_is_used() -> None:
    """A pressure decides the words of a Check, and no other number."""
    cells: dict[str, object] = {"A1": "Line", "B1": "Pressure", "C1": "Check", "D1": "Hose check"}
    says = 'HOSE_CHECK("wire braid rubber -6",B{0},"ATF generic",80,-20,"return","crimped")'
    for row, pressure in enumerate((240.0, None, 350.0), start=2):
        cells |= {f"A{row}": f"GB-{row}", f"D{row}": f'=IF(B{row}="","",{says.format(row)})'}
        cells |= {f"C{row}": f'=IF(B{row}="","Not checked: fill in Pressure",D{row})'}
        cells |= {f"B{row}": pressure} if pressure is not None else {}
    assert list(misplaced_figures(book(cells))) == []


@pytest.mark.parametrize(("pressure", "found"), [(13_000, []), (13_500, ["B2"]), (14_000, [])])
def test_a_pressure_in_the_last_twentieth_of_what_its_hose_bears_is_found(pressure: float, found: list[str]) -> None:
    """Rated 2000 psi, 13 790 kPa, to 250 degF (AC43-9-3, Table 9-3); more than that the Check says itself."""
    check = '=HOSE_CHECK("wire braid rubber -6",B2,"ATF generic",C2,-20,"pressure")'
    cells: dict[str, object] = {"A1": "Line", "B1": "Pressure", "C1": "Hottest", "D1": "Check"}
    cells |= {"A2": "PS-1", "B2": pressure, "C2": 100, "D2": check}
    assert places(close_to_the_hose(book(cells))) == found


def test_a_row_that_is_not_filled_in_yet_is_no_finding() -> None:
    assert list(misplaced_figures(book(tanks(None, 90.0, None)))) == []


WASTE: dict[str, object] = {"A1": "Hose", "B1": "Waste", "A2": "textile -6", "B2": 5.0, "A3": "textile -8", "B3": 6.0,
                            "A4": "textile -6 ", "B4": 9.0}  # fmt: skip


def test_a_name_with_two_figures_in_a_list_that_is_looked_up_is_found() -> None:
    asked = {"D1": '=VLOOKUP("textile -6",A2:B4,2,FALSE)'}
    (found,) = double_keys(book(WASTE | asked))
    assert found.place == "S!A4 and 2 more cells"
    assert "Waste 5 and 9" in found.there
    assert list(double_keys(book(WASTE | asked | {"B4": 5.0}))) == []
    assert list(double_keys(book(WASTE))) == []


def test_the_newer_lookups_take_the_next_best_only_where_they_are_told_to() -> None:
    plain = {"D1": '=_xlfn.XLOOKUP("textile -6",A2:A4,B2:B4)', "D2": '=_xlfn.XLOOKUP("x",A2:A4,B2:B4,"",0)'}
    assert list(next_best(book(WASTE | plain))) == []
    told = {"D1": '=_xlfn.XLOOKUP("textile -7",A2:A4,B2:B4,"",-1)', "D2": '=_xlfn.XMATCH("textile -7",A2:A4,1)'}
    assert places(next_best(book(WASTE | told))) == ["D1", "D2"]


def listed(*names: str, head: str) -> dict[str, object]:
    """A table of figures with a Check, its rows under these names."""
    cells: dict[str, object] = {"A1": "Item", "B1": "Check", "C1": head}
    for row, name in enumerate(names, start=2):
        cells |= {f"A{row}": name, f"B{row}": f'=IF(A{row}="","","Within limits")', f"C{row}": "A"}
    return cells


def test_an_item_written_almost_as_a_hose_is_found() -> None:
    hoses = listed("textile -6", "textile -8", "EPDM 19", head="Source")
    good = listed("textile -6", "Textile -8", "P-clip 13", head="Supplier")
    assert list(misspelled_items(book({"Hoses": hoses, "Prices": good}))) == []
    (found,) = misspelled_items(book({"Hoses": hoses, "Prices": good | {"A3": "textile-8"}}))
    assert (found.place, found.expected) == ("Prices!A3", "a word of the list, perhaps 'textile -8'")
    fluids = listed("coolant-50/50", "ATF generic", head="Source")  # the row of the new workbook, called otherwise
    assert list(misspelled_items(book({"Fluids": fluids, "Prices": listed("coolant 50/50", head="Supplier")}))) == []
