"""The whole workbook with the demo job, as it is shipped: what must hold on every sheet."""

import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import range_boundaries

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.building.job import ROWS
from xlcalc.workbook.building.rows import FIRST_ROW
from xlcalc.workbook.sheets import lines
from xlcalc.workbook.sheets.contents import TABLE_SHEETS

from ..shipped import DEMO, EMPTY, Shipped, loaded, shipped

JOB_NAMES = [sheet.NAME for sheet in TABLE_SHEETS]


@pytest.fixture(scope="module", params=[DEMO, EMPTY])
def book(request: pytest.FixtureRequest) -> Shipped:
    return shipped(str(request.param))


@pytest.fixture(scope="module")
def path(book: Shipped) -> Path:
    return book.path


@pytest.fixture(scope="module")
def written(book: Shipped) -> openpyxl.Workbook:
    return loaded(book.path.name)


def test_every_formula_cell_holds_a_value_and_none_an_error(path: Path) -> None:
    with zipfile.ZipFile(path) as book:
        for part in book.namelist():
            if part.startswith("xl/worksheets/sheet"):
                xml = book.read(part).decode()
                cells = re.findall(r"<c (?:[^>/]|/(?!>))*>(?:(?!</c>).)*<f[ >].*?</c>", xml, re.S)
                assert cells == [cell for cell in cells if re.search(r"<v[ />]", cell)], part
                assert not [cell for cell in cells if 't="e"' in cell], part


def test_no_cell_says_ok_good_or_safe(written: openpyxl.Workbook, book: Shipped) -> None:
    for sheet in written:
        if not sheet.protection.sheet:
            typed = (cell.value for row in sheet.iter_rows() for cell in row if cell.data_type == "s")
            texts = [*typed, *(value for value in book.values[sheet.title].values() if isinstance(value, str))]
            words = {word.strip(".,:;").lower() for text in texts for word in text.split()}
            assert not words & {"ok", "good", "safe"}, sheet.title


def test_the_counts_of_start_cover_every_row(written: openpyxl.Workbook, book: Shipped) -> None:
    rows = {cell.value: cell.row for (cell,) in written["Start"].iter_rows(max_row=60, max_col=1)}

    def number(words: str, letter: str) -> float:
        value = book.value_at("Start", f"{letter}{rows[words]}")
        assert isinstance(value, float), f"Start!{letter}{rows[words]} holds no number"
        return value

    for sheet in JOB_NAMES:
        assert sum(number(sheet, letter) for letter in "BCDEF") == number(sheet, "H"), sheet
    assert sum(number(word, "C") for word in VERDICTS) == number("Lines named", "C")


def test_an_empty_template_says_no_verdict_and_what_to_do_first() -> None:
    empty, check = shipped(EMPTY), lines.SHEET.letter("check")
    assert {empty.value_at("Lines", f"{check}{row}") for row in range(FIRST_ROW, FIRST_ROW + ROWS)} == {""}
    assert empty.named("NextStep") == "Fill in the job below, then go to Lines and type the first line"


def test_every_open_cell_has_a_message_and_a_rule(written: openpyxl.Workbook) -> None:
    for sheet in written:
        ruled = [
            range_boundaries(str(area))
            for rule in sheet.data_validations.dataValidation
            if rule.prompt and rule.error
            for area in rule.sqref.ranges
        ]
        merged = [range_boundaries(str(area)) for area in sheet.merged_cells.ranges]
        for row in sheet.iter_rows():
            for cell in row:
                if cell.protection.locked or any(_inside(cell, area) and not _first(cell, area) for area in merged):
                    continue
                assert any(_inside(cell, area) for area in ruled), f"{sheet.title}!{cell.coordinate}"


def _inside(cell: openpyxl.cell.Cell, area: tuple[int, int, int, int]) -> bool:
    left, top, right, bottom = area
    return bool(left <= cell.column <= right and top <= cell.row <= bottom)


def _first(cell: openpyxl.cell.Cell, area: tuple[int, int, int, int]) -> bool:
    return bool((cell.column, cell.row) == area[:2])


def test_charts_hold_no_points_of_their_own(path: Path) -> None:
    with zipfile.ZipFile(path) as book:
        charts = [book.read(part) for part in book.namelist() if part.startswith("xl/charts/chart")]
    assert len(charts) >= 8  # drops by line, options, growth, vacuum, sender, oil life, viscosity, density, vapour
    for chart in charts:
        assert b"Cache>" not in chart
        assert chart.count(b"<c:title>") + chart.count(b"<title>") >= 2  # both axes say what they are


def test_every_sheet_of_the_job_says_which_job_and_prints_with_a_footer(written: openpyxl.Workbook, path: Path) -> None:
    for sheet in written:
        assert "&P" in sheet.oddFooter.right.text, sheet.title
        assert "&F" in sheet.oddFooter.left.text, sheet.title
        if not sheet.protection.sheet:
            tops = [str(cell.value) for row in sheet.iter_rows(max_row=80) for cell in row if cell.value]
            assert any("JobNumber" in text for text in tops), sheet.title


def test_no_formula_holds_more_than_a_person_reads(written: openpyxl.Workbook) -> None:
    for sheet in written:
        if sheet.protection.sheet:
            continue
        for row in sheet.iter_rows(min_row=4):  # above stand the counts of the sheet, one after the other
            for cell in row:
                if cell.data_type == "f":
                    assert len(str(cell.value)) <= 300, f"{sheet.title}!{cell.coordinate}: {cell.value}"
