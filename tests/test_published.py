"""Answers that others printed, and every declared example, through cells of a workbook that is worked out."""

import json
from collections.abc import Iterable
from pathlib import Path

import openpyxl
import pytest

import xlcalc
from xlcalc.core.declaration import formula_text, shown_as
from xlcalc.core.tables import raw_rows, table
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.sheets.selfcheck import published

CHECKS = list(raw_rows("published"))
IDS = [f"{check['source']}:{check['id']}" for check in CHECKS]


def agrees(answer: object, check: dict[str, str]) -> None:
    expected, margin = published(check)
    if margin is None:
        assert answer == expected
    else:
        assert isinstance(answer, int | float)
        assert abs(answer - float(expected)) <= margin, f"{answer} is not {expected} within {margin:.3g}"


@pytest.mark.parametrize("check", CHECKS, ids=IDS)
def test_a_published_answer_through_call(check: dict[str, str]) -> None:
    agrees(xlcalc.call(check["function"], *json.loads(check["cells"])), check)


def worked_out(formulas: Iterable[str], path: Path) -> dict[str, object]:
    """The values of formulas, written from B1 down into one sheet."""
    book = openpyxl.Workbook()
    book.active.title = "Checks"
    for row, formula in enumerate(formulas, start=1):
        book.active[f"B{row}"] = f"={formula}"
    book.save(path)
    return recalc(path).values["Checks"]


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    formulas = (formula_text(check["function"], json.loads(check["cells"])) for check in CHECKS)
    return worked_out(formulas, tmp_path_factory.mktemp("published") / "published.xlsx")


@pytest.mark.parametrize(("row", "check"), list(enumerate(CHECKS, start=1)), ids=IDS)
def test_a_published_answer_through_a_cell(row: int, check: dict[str, str], answers: dict[str, object]) -> None:
    agrees(answers[f"B{row}"], check)


def test_every_example_through_a_cell(tmp_path: Path) -> None:
    declared = [made for made in xlcalc.functions().values() if not made.about]
    worked = worked_out((made.example.formula(made.name) for made in declared), tmp_path / "examples.xlsx")
    for row, made in enumerate(declared, start=1):
        assert shown_as(worked[f"B{row}"], made.example.shows) == made.example.shows, made.name


def test_every_check_has_its_provenance() -> None:
    assert len({check["id"] for check in CHECKS}) == len(table("published"))  # loads: source, mark and doubt are known
    for check in CHECKS:
        assert check["shows"], check["id"]
        if check["mark"] == "M":
            assert "from memory: " in check["note"], f"{check['id']} does not say which print is remembered"
            assert check["sheet"] == "", f"{check['id']}: a figure from memory cannot prove an installation"
        else:
            assert check["place"] or check["source"] == "PRACTICE", check["id"]


@pytest.mark.parametrize("check", CHECKS, ids=IDS)
def test_a_published_answer_stands_in_the_unit_that_its_cells_ask_for(check: dict[str, str]) -> None:
    made, cells = xlcalc.functions()[check["function"]], json.loads(check["cells"])
    asked = cells[-1] if made.has_unit and len(cells) == len(made.args) else made.answer.unit_text
    assert check["unit"] == asked


def test_the_self_check_sheet_has_a_check_of_every_family() -> None:
    families = {made.family for made in xlcalc.functions().values()} - {"about"}
    shown = {xlcalc.functions()[check["function"]].family for check in CHECKS if check["sheet"] == "yes"}
    assert shown == families


def test_what_only_proves_the_arithmetic_says_so_and_is_the_smaller_part() -> None:
    arithmetic = [check["id"] for check in CHECKS if "arithmetic" in check["note"]]
    assert {"A15", "A16", "H7", "X3", "X5"} <= set(arithmetic)
    assert len(arithmetic) * 4 < len(CHECKS)
