"""The whole workbook with the demo job, as it is shipped: what must hold on every sheet."""

import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import range_boundaries

from xlcalc.workbook.checks import VERDICTS
from xlcalc.workbook.demo import FILE_NAME
from xlcalc.workbook.sheets.contents import TABLE_SHEETS

BOOKS = Path(__file__).parents[2] / "workbooks"  # tests/test_generated.py holds that they are what is built today
JOB_NAMES = [sheet.NAME for sheet in TABLE_SHEETS]


@pytest.fixture(scope="module", params=[FILE_NAME, "template.xlsx"])
def path(request: pytest.FixtureRequest) -> Path:
    return BOOKS / str(request.param)


@pytest.fixture(scope="module")
def written(path: Path) -> openpyxl.Workbook:
    return openpyxl.load_workbook(path)


@pytest.fixture(scope="module")
def values(path: Path) -> openpyxl.Workbook:
    return openpyxl.load_workbook(path, data_only=True)


def test_every_formula_cell_holds_a_value_and_none_an_error(path: Path) -> None:
    with zipfile.ZipFile(path) as book:
        for part in book.namelist():
            if part.startswith("xl/worksheets/sheet"):
                xml = book.read(part).decode()
                cells = re.findall(r"<c (?:[^>/]|/(?!>))*>(?:(?!</c>).)*<f[ >].*?</c>", xml, re.S)
                assert cells == [cell for cell in cells if re.search(r"<v[ />]", cell)], part
                assert not [cell for cell in cells if 't="e"' in cell], part


def test_no_cell_says_ok_good_or_safe(values: openpyxl.Workbook) -> None:
    for sheet in values:
        if not sheet.protection.sheet:
            words = {word.strip(".,:;").lower() for row in sheet.iter_rows(values_only=True) for cell in row
                     if isinstance(cell, str) for word in cell.split()}  # fmt: skip
            assert not words & {"ok", "good", "safe"}, sheet.title


def test_the_counts_of_start_cover_every_row(values: openpyxl.Workbook) -> None:
    start = values["Start"]
    rows = {row[0]: row for row in start.iter_rows(max_row=60, max_col=8, values_only=True)}
    for sheet in JOB_NAMES:
        _, *counts, _, named = rows[sheet]
        assert sum(counts) == named, sheet
    lines = [rows[word][2] for word in VERDICTS]
    assert sum(lines) == rows["Lines named"][2]


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
