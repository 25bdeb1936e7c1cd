"""Explaining a cell: traced arguments, steps, reasons, sums, typed cells, spellings of other programs."""

from pathlib import Path

import openpyxl
import pytest

from xlcalc.core.errors import FileError
from xlcalc.workbook.explain import explain
from xlcalc.workbook.recalc import recalc
from xlcalc.workbook.sheets.lines import SHEET
from xlcalc.workbook.template import build


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("explain") / "demo.xlsx"
    build(path, demo=True)
    recalc(path)
    return path


def test_an_answer_is_traced_to_its_cells_and_worked_out_step_by_step(demo: Path) -> None:
    text = "\n".join(explain(demo, f"Lines!{SHEET.letter('dropcold')}10"))
    assert "(Drop cold, kPa): 1914.65" in text
    assert "(Bore, mm)]: 9.5" in text
    assert "Viscosity at -22 °C: 1072 mm²/s (cSt)" in text
    assert "That viscosity is an estimate: 62 K beyond the nearest measured point" in text
    assert "Answer: 1915 kPa" in text
    assert "from memory" in text


def test_a_check_shows_each_reason_with_its_numbers(demo: Path) -> None:
    lines = explain(demo, "lines!b9")
    assert sum("Change:" in line for line in lines if line.startswith("  ")) >= 3
    assert any("suction margin -239 kPa" in line for line in lines)


def test_an_input_says_what_goes_in_and_who_looks_at_it(demo: Path) -> None:
    text = "\n".join(explain(demo, f"Lines!{SHEET.letter('flow')}8"))
    assert "It was typed in" in text
    assert "A number in L/min, or text with a unit" in text
    assert "Flow number, L/min" in text


def test_a_sum_says_what_it_covers(demo: Path) -> None:
    text = "\n".join(explain(demo, "Start!C14"))
    assert "17 numbers, together 40.05" in text


def test_an_error_says_why(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.title = "My sheet"
    book.active.append(["Flow", "Speed", "Bore"])
    book.active.append(["L/min", "m/s", "mm"])
    book.active.append(["3 gpm", 2, "=[1]!bore_for_flow(A3,B3)"])
    path = tmp_path / "mine.xlsx"
    book.save(path)
    text = "\n".join(explain(path, "'My sheet'!c3"))
    assert "(Bore, mm): #VALUE!" in text
    assert "flow = A3 ['My sheet'!A3 (Flow, L/min)]: 3 gpm" in text
    assert '#VALUE!: Flow: "gpm" alone has two sizes' in text


def test_inner_calls_come_first_and_named_cells_are_followed(demo: Path) -> None:
    text = "\n".join(explain(demo, f"Lines!{SHEET.letter('smallest')}16"))
    assert "BREATHER_BORE" in text
    assert "altitude = RoadAltitude [Start!" in text


@pytest.mark.parametrize(
    ("where", "says"),
    [("Lins!B8", "did you mean Lines"), ("Lines!8B", "is not a cell"), ("Lines!A1:B2", "is an area")],
)
def test_a_place_that_is_not_there_is_said(demo: Path, where: str, says: str) -> None:
    with pytest.raises(FileError, match=says):
        explain(demo, where)
