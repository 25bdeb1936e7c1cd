"""Explaining a cell: traced arguments, steps, reasons, sums, typed cells, spellings of other programs."""

from functools import cache
from pathlib import Path

import openpyxl
import pytest

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.calculation.written import Written
from xlcalc.workbook.explained.explain import Explained, explain, explained
from xlcalc.workbook.explained.place import NoSuchPlace, place_of
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import moved
from xlcalc.workbook.sheets.lines import SHEET

from ..books import book, formula, number, row
from ..jobs import small_demo


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_demo(tmp_path_factory.mktemp("explain") / "demo.xlsx")


@pytest.fixture(scope="module")
def foreign(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of somebody else, as Excel leaves it once an add-in's path stands before the names."""
    made = openpyxl.Workbook()
    sheet = made.active
    sheet.title = "My sheet"
    for cells in (
        ("Flow", "Speed", "Bore", "Then", "More"),
        ("L/min", "m/s", "mm", "mm", ""),
        ("3 gpm", 2, "=[1]!bore_for_flow(A3,B3)", "=C3/2", "=SUM(C3:C5)"),
        ("3 US gpm", 2, "=_xll.BORE_FOR_FLOW(A4,B4*1.5)", "=LINE_VELOCITY(A4,XLCALC.BORE_FOR_FLOW(A4,B4))", "=1/0"),
        (5, 2, "=MY_OWN(BORE_FOR_FLOW(A5,B5))", '=IF(A5>4,"big",BORE_FOR_FLOW(A5,B5))', "=LINE_VELOCITY(ROW(),7.9)"),
        (5, 2, '=IFERROR(LINE_VELOCITY(-1,B6),"none")', '=ANSWER_LOW("BORE_FOR_FLOW",A6,B6)', "=C7"),
        (1, True, "=D7", "=C7", '=HOSE_SIZE_FOR_BORE("a",A7*2,A3:A4,B3:B4,A6:A7)'),
    ):
        sheet.append(cells)
    made.create_sheet("Two")["A1"] = "='My sheet'!A6*2"
    path = tmp_path_factory.mktemp("foreign") / "mine.xlsx"
    made.save(path)
    return path


@cache
def worked_out(path: Path) -> Workings:
    """A book, worked out once for all that is asked about it."""
    return Workings(Package.open(path))


def asked(path: Path, where: str) -> Explained:
    """What is said of a cell."""
    book = worked_out(path)
    return explained(book, place_of(book.written, where))


def texts(found: Explained, *parts: str) -> list[str]:
    return [line.text for line in found.lines if not parts or line.part in parts]


def whole(found: Explained) -> str:
    return "\n".join(texts(found))


def test_an_answer_is_traced_to_its_cells_and_worked_out_step_by_step(demo: Path) -> None:
    found = asked(demo, f"Lines!{SHEET.letter('dropcold')}10")
    assert texts(found, "cell")[0].endswith("(Drop cold, kPa): 1914.65")
    bore, flow = SHEET.letter("bore"), SHEET.letter("flown")
    assert f"bore = ${bore}10 [Lines!{bore}10 (Bore, mm)]: 9.5" in texts(found, "argument")
    steps = texts(found, "step")
    assert "Viscosity at -22 °C: 1072 mm²/s (cSt)" in steps
    assert "That viscosity is an estimate: 62 K beyond the nearest measured point" in steps
    assert "Answer: 1915 kPa" in steps
    assert found.next_cell == f"Lines!{flow}10"


def test_a_check_shows_each_reason_with_its_numbers(demo: Path) -> None:
    found = asked(demo, "lines!b9")
    reasons = texts(found, "reason")
    assert len(reasons) == 3
    assert reasons[0].endswith("(Hose): Change: not a suction hose; for ATF the table has oil suction or NBR fuel")
    assert "suction margin -239 kPa" in reasons[2]
    speed, limit = SHEET.letter("v"), SHEET.letter("vmax")
    assert f"Lines!{limit}9 (Velocity at most, m/s): 1.2" in texts(found, "source")
    assert f"\nLines!{speed}9 (Velocity, m/s): 1.88" in "\n" + "\n".join(texts(found, "source"))


def test_a_check_without_reasons_says_so(demo: Path) -> None:
    assert texts(explain(demo, "Lines!B8"), "reasons") == [
        "None of the reason columns of this row finds anything to change."
    ]
    assert texts(asked(demo, "Lines!B27"), "reasons") == ["The row is not in use, so nothing is checked."]


def test_an_input_says_what_goes_in_and_who_looks_at_it(demo: Path) -> None:
    found = asked(demo, f"Lines!{SHEET.letter('flow')}8")
    assert "It was typed in, not worked out: a number." in texts(found, "typed")
    assert texts(found, "help")[0].startswith("What goes in: A number in L/min, or text with a unit")
    assert "(Flow number, L/min)" in "\n".join(texts(found, "user"))
    assert "(Velocity, m/s)" in "\n".join(texts(found, "through"))


def test_a_named_input_is_found_by_its_name_and_names_the_columns_that_look_at_it(demo: Path) -> None:
    found = asked(demo, "roadaltitude")
    assert texts(found, "cell")[0].endswith("(Highest road, m), named RoadAltitude: 2100")
    vent = SHEET.letter("ventbore")
    assert f"Lines!{vent}8:{vent}27 (Bore of a vent, mm)" in texts(found, "user")


def test_a_sum_says_what_it_covers(demo: Path) -> None:
    found = asked(demo, "MetresOfHose")
    assert "17 numbers, together 40.05, 5 blank" in "\n".join(texts(found, "covers"))
    assert "\nLinesNotChecked = Start!C" in "\n" + "\n".join(texts(found, "source"))


def test_a_call_in_a_branch_that_is_not_taken_does_not_count(demo: Path, foreign: Path) -> None:
    found = asked(demo, f"Lines!{SHEET.letter('ventbore')}8")
    assert texts(found, "unused")[0].startswith("BREATHER_BORE does not count here: ")
    assert texts(found, "step") == []
    taken = asked(demo, f"Lines!{SHEET.letter('ventbore')}21")
    assert "altitude = RoadAltitude [Start!" in whole(taken)
    assert texts(taken, "unused") == []
    assert texts(asked(foreign, "My sheet!D5"), "unused") == ["BORE_FOR_FLOW does not count here: A5>4 is TRUE"]
    assert "allowed 0 to 2000 L/min" in "\n".join(texts(asked(foreign, "My sheet!C6"), "why"))


def test_an_error_says_why_in_every_spelling(foreign: Path) -> None:
    found = asked(foreign, "'My sheet'!c3")
    assert texts(found, "cell") == ["'My sheet'!C3 (Bore, mm): #VALUE!"]
    assert "flow = A3 ['My sheet'!A3 (Flow, L/min)]: 3 gpm" in texts(found, "argument")
    assert texts(found, "why") == ['#VALUE!: Flow: "gpm" alone has two sizes: write US gpm or imp gpm']


def test_an_error_that_came_in_names_the_cell_to_mend(foreign: Path) -> None:
    for cell in ("D3", "E3"):
        found = asked(foreign, f"My sheet!{cell}")
        assert texts(found, "why") == ["#VALUE!: 'My sheet'!C3 (Bore, mm) holds #VALUE!: mend that cell first"]
        assert found.next_cell == "'My sheet'!C3"
    assert texts(asked(foreign, "My sheet!E4"), "why") == ["#DIV/0!: it divides by zero or by an empty cell"]


def test_an_expression_is_traced_to_the_cells_in_it(foreign: Path) -> None:
    found = asked(foreign, "My sheet!C4")
    assert "velocity = B4*1.5: 3" in texts(found, "argument")
    assert texts(found, "source") == ["'My sheet'!B4 (Speed, m/s): 2"]
    # 3 US gpm at 3 m/s: 3 x 3.785411784 L/min = 1.892706e-4 m3/s; sqrt(4 x that / (pi x 3)) = 8.963 mm
    assert "Answer: 8.963 mm" in texts(found, "step")


def test_inner_calls_come_first(foreign: Path) -> None:
    found = asked(foreign, "My sheet!D4")
    assert [text.partition(":")[0] for text in texts(found, "call")] == ["BORE_FOR_FLOW", "LINE_VELOCITY"]
    assert "Answer: 2 m/s" in texts(found, "step")


def test_the_row_of_the_cell_stays_the_row_of_the_cell(foreign: Path) -> None:
    assert "flow = ROW(): 5" in texts(asked(foreign, "My sheet!E5"), "argument")


def test_a_cell_that_keeps_its_value_says_why(foreign: Path) -> None:
    found = asked(foreign, "My sheet!C5")
    assert texts(found, "kept") == ["It keeps the value it had: unknown function MY_OWN"]
    assert "velocity = B5 ['My sheet'!B5 (Speed, m/s)]: 2" in texts(found, "argument")
    assert texts(asked(foreign, "My sheet!C7"), "kept") == ["It keeps the value it had: circular reference"]


def test_a_function_about_another_shows_the_arguments_of_that_one(foreign: Path) -> None:
    found = asked(foreign, "My sheet!D6")
    assert texts(found, "argument")[0] == "flow = A6 ['My sheet'!A6 (Flow, L/min)]: 5"


def test_typed_cells_say_what_was_typed(foreign: Path) -> None:
    said = {cell: texts(asked(foreign, f"My sheet!{cell}"), "typed")[0] for cell in ("A4", "A5", "B7", "H9")}
    assert [said[cell].rpartition(": ")[2] for cell in ("A4", "A5", "B7")] == ["text.", "a number.", "yes or no."]
    assert said["H9"] == "The cell is empty."
    assert texts(asked(foreign, "My sheet!H9"), "user") == ["No cell looks at it."]
    assert "Two!A1" in texts(asked(foreign, "My sheet!A6"), "user")


@pytest.mark.parametrize(
    ("where", "says"),
    [
        ("Lins!B8", "did you mean Lines"),
        ("Qqqq!B8", "Its sheets are Start, Lines, "),
        ("Lines B8", "between sheet and cell stands a !: Lines!B8"),
        ("Lines!8B", "'8B' is not a cell: did you mean Lines!B8"),
        ("'Lines!B0'", "a sheet runs from A1 to XFD1048576"),
        ("Lines!B0", "a sheet runs from A1 to XFD1048576"),
        ("Lines!XFE1", "a sheet runs from A1 to XFD1048576"),
        ("Lines!A1:B2", "is an area: name one cell, e.g. Lines!A1"),
        ("B8", "has several sheets. Say which one: Start!B8 or Lines!B8"),
        ("Lines", "is a sheet: name one cell of it"),
        ("FluidList", "stands for more than one cell of Fluids"),
        ("Lines!B8 B9", "'B8 B9' is not a cell: write it like Lines!B8"),
        ("RodAltitude", "did you mean RoadAltitude"),
        ("", "is not a cell: write it like Start!B8"),
    ],
)
def test_a_place_that_is_not_there_is_said(demo: Path, where: str, says: str) -> None:
    with pytest.raises(NoSuchPlace, match=says):
        explain(demo, where)


def test_a_formula_moves_as_a_fill_down_moves_it() -> None:
    # by hand, two down and one to the right: a part with $ stays, names, texts and other books stay
    formula = "A1+$A1+A$1+$A$1+Lines!B2:C3+SUM(A:A)+SUM(2:3)+SUM($2:$3)+\"A1\"+'x A1'!A1+F1(A1)+RoadAltitude"
    wanted = "B3+$A3+B$1+$A$1+Lines!C4:D5+SUM(B:B)+SUM(4:5)+SUM($2:$3)+\"A1\"+'x A1'!B3+F1(B3)+RoadAltitude"
    assert moved(formula, 2, 1) == wanted


def test_shared_and_array_formulas_are_read_in_full(tmp_path: Path) -> None:
    first, follows = ' t="shared" ref="B1:B3" si="0"', ' t="shared" si="0"'
    array = formula("C2", "A2:A3*2", "18", attributes=' t="array" ref="C2:C3"')
    rows = (
        row(1, number("A1", 8), formula("B1", "LINE_VELOCITY(A1,7.9)", "0", attributes=first)),
        row(2, number("A2", 9), formula("B2", "", "0", attributes=follows), array),
        row(3, number("A3", 10), formula("B3", "", "0", attributes=follows), number("C3", 20)),
    )
    path = tmp_path / "shared.xlsx"
    path.write_bytes(book("".join(rows)))
    found = explain(path, "B3")
    assert texts(found, "formula") == ["Formula: =LINE_VELOCITY(A3,7.9)"]
    flow = [text for text in texts(found, "argument") if text.startswith("flow = A3 [") and text.endswith(": 10")]
    assert flow, f"no argument is the flow of A3: {texts(found, 'argument')}"
    assert texts(explain(path, "C3"), "formula") == ["Formula: =A2:A3*2"]
    users = texts(explain(path, "A3"), "user")
    assert users[0] == "Cells that look at it:"
    assert [text.partition(" ")[0] for text in users[1:]] == ["S!B3", "S!C2"]
    written = Written(Package.open(path))
    assert {at: text for at, text in written.formulas() if at[2] == 2} == {
        ("S", at, 2): f"LINE_VELOCITY(A{at},7.9)" for at in (1, 2, 3)
    }


def test_a_data_table_says_for_which_cells_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "table.xlsx"
    cells = number("A1", 8), formula("B1", "", "1", attributes=' t="dataTable" ref="B1:B2" r1="A1"')
    path.write_bytes(book(row(1, *cells) + row(2, number("B2", 2))))
    assert texts(explain(path, "B2"), "formula") == ["Formula: =TABLE()"]
    path.write_bytes(book(row(1, *cells).replace("B1:B2", "ABCD")))
    for read in (lambda: explain(path, "B1"), lambda: recalc(path)):
        with pytest.raises(FileRefused, match="'ABCD' is not a cell or an area"):
            read()
    path.write_bytes(book(row(1, *cells).replace("B1:B2", "B1:C1048576")))  # more cells than an array may fill
    assert recalc(path).frozen[0].reason == "data table"
    assert texts(explain(path, "C1048576"), "formula") == ["Formula: =TABLE()"]
    path.write_bytes(book(row(1, cells[0], formula("B1", "A1*2", "1", attributes=' ref="ABCD"'))))  # says nothing
    assert texts(explain(path, "B1"), "formula") == ["Formula: =A1*2"]


def test_why_prefers_the_call_that_failed_by_itself(tmp_path: Path) -> None:
    path = tmp_path / "nested.xlsx"
    path.write_bytes(book(row(1, formula("A1", 'LINE_VELOCITY(8,BORE_FOR_FLOW(8,"300 m/s"))'))))
    assert Workings(Package.open(path)).why(("S", 1, 1)).startswith('Mean velocity: "300 m/s" is above 60 m/s')
