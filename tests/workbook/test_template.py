"""The generated workbook: what a spreadsheet finds in it, empty and with the demo job."""

import re
import zipfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from xlcalc.core.errors import FileError
from xlcalc.core.registry import functions
from xlcalc.core.verdicts import URGENT, VERDICTS
from xlcalc.workbook.building.blocks import count_name
from xlcalc.workbook.building.job import MOST_ROWS, Cells, Job
from xlcalc.workbook.building.rows import FIRST_ROW, GUARD_ROW, HEAD_ROW
from xlcalc.workbook.calculation.prepare import prepare
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.file.file_limits import LARGEST_BOOK
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import calls
from xlcalc.workbook.sheets import fluids, hoses, lines
from xlcalc.workbook.sheets.contents import TABLE_SHEETS, TABLES
from xlcalc.workbook.template import build, content

from .shipped import DEMO, loaded, shipped

SHEETS = [
    "Start",
    "Lines",
    "Options",
    "Breathers",
    "Vacuum",
    "Cooling",
    "Routes",
    "Parts",
    "Quote",
    "Testing",
    "Handover",
    "Fluids",
    "Hoses",
    "Fittings",
    "Prices",
    "Functions",
    "Sources",
    "Self-check",
]
EXCEL_2007 = frozenset(
    """ABS AND COLUMN COUNT COUNTA COUNTIF COUNTIFS EDATE ERROR.TYPE FIXED IF IFERROR INDEX INT ISERROR ISNUMBER
    ISTEXT LARGE LEFT LEN MATCH MAX MID MIN N NOT OR ROUND ROUNDUP ROW SEARCH SMALL SUBSTITUTE SUM SUMIFS
    SUMPRODUCT TRIM ROWS CHOOSE MOD""".split()  # noqa: SIM905
)  # built-ins that every spreadsheet and the engine share

ROW = re.compile(r"(?<=[A-Z$])[0-9]+(?![\w(])")  # in a reference; the digits of a name stand before its bracket


@pytest.fixture(scope="module")
def demo() -> openpyxl.Workbook:
    return loaded(DEMO)


def formulas(book: openpyxl.Workbook) -> list[tuple[str, str, str]]:
    return [
        (sheet.title, cell.coordinate, str(cell.value)[1:])
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]


def test_the_sheets_stand_in_the_order_of_the_work(demo: openpyxl.Workbook) -> None:
    assert demo.sheetnames == SHEETS


def test_the_same_job_gives_the_same_bytes() -> None:
    first, second = (content(demo_job(), 1, ["Breathers"]) for _ in range(2))
    assert first == second


def test_only_shared_built_ins_and_our_functions_are_called(demo: openpyxl.Workbook) -> None:
    allowed = EXCEL_2007 | set(functions())
    once = {ROW.sub("#", formula): formula for _, _, formula in formulas(demo)}  # those filled down call the same
    used = {call.name for formula in once.values() for call in calls(formula)}
    assert used <= allowed, used - allowed


def test_no_formula_of_a_check_is_longer_than_a_person_reads(demo: openpyxl.Workbook) -> None:
    long = {
        re.sub(r"\d+", "#", formula)
        for sheet, _, formula in formulas(demo)
        if sheet in ("Lines", "Fluids", "Hoses") and len(formula) > 260
    }
    assert not long, "split these into helper columns"


def test_a_number_that_fails_says_so_where_the_functions_are_not_connected() -> None:
    """ANSWER_WHY has no answer either there, and an error in a reason counts as no reason."""
    reasons = [
        column
        for table in TABLES
        for column in table.made.columns
        if column.kind == "reason" and column.head.endswith(" as typed") and "QUANTITY_IN" in column.spec
    ]
    assert len(reasons) > 40
    said = '=5,"Cannot be worked out: xlcalc is not connected here"'
    assert [reason.key for reason in reasons if said not in reason.spec] == []


def test_a_verdict_in_a_formula_is_spelled_as_the_verdicts_are(demo: openpyxl.Workbook) -> None:
    """Formulas spell the verdicts in the middle of their sentences; counts and colours look for the words."""
    firsts = "|".join(word.partition(" ")[0] for word in VERDICTS)
    begins = re.compile(rf'"((?:{firsts})\b[a-z ]*): ')
    said = {word for _, _, formula in formulas(demo) for word in begins.findall(formula)}
    assert said - {"Not agreed and not included", "Not ready to hand over"} == set(URGENT)


def test_a_drop_down_goes_to_the_last_filled_cell_and_stands_in_no_formula(demo: openpyxl.Workbook) -> None:
    """Tried in Calc: a row left empty cuts none off. The engine does not work such a name out, so no cell may ask."""
    names = {name.name: name.text for name in Package.open(shipped(DEMO).path).defined_names()}
    lists = [name for name in names if name.endswith("List")]
    assert len(lists) > 8
    assert [name for name in lists if 'MAX(2,SUMPRODUCT(MAX((' not in names[name]] == []
    asked = re.compile(rf"\b({'|'.join(lists)})\b")
    assert [formula for _, _, formula in formulas(demo) if asked.search(re.sub('"[^"]*"', "", formula))] == []


def test_opening_it_wipes_no_value() -> None:
    with zipfile.ZipFile(shipped(DEMO).path) as book:
        main, app = book.read("xl/workbook.xml"), book.read("docProps/app.xml")
    assert b'calcId="191029"' in main
    assert b"fullCalcOnLoad" not in main
    assert b'updateLinks="never"' in main
    assert b"<Application>Microsoft Excel</Application>" in app


def test_names_point_at_cells_and_never_look_like_functions() -> None:
    for name in Package.open(shipped(DEMO).path).defined_names():
        if not name.name.startswith("_xlnm"):
            assert "_" not in name.name
            assert "$" in name.text


def test_lists_stop_a_wrong_entry_and_say_why(demo: openpyxl.Workbook) -> None:
    rules = {f"{sheet.title} {rule.sqref}": rule for sheet in demo for rule in sheet.data_validations.dataValidation}
    assert len(rules) > len(demo.sheetnames)
    for where, rule in rules.items():
        assert rule.showErrorMessage, f"{where} stops nothing"
        assert rule.showInputMessage, f"{where} does not show what goes in"
        assert rule.error, f"{where} does not say why it stops"
        assert rule.prompt, f"{where} does not say what goes in"
        assert len(rule.prompt) <= 255
        of_cells = rule.type == "list" and not rule.formula1.startswith('"')
        assert not (of_cells and rule.allow_blank), f"{where}: a list of cells with a blank one takes any entry"


def test_inputs_are_open_and_generated_sheets_closed_without_password(demo: openpyxl.Workbook) -> None:
    assert [sheet.title for sheet in demo if sheet.protection.sheet] == ["Functions", "Sources", "Self-check"]
    assert [sheet.title for sheet in demo if sheet.protection.password is not None] == []
    sheet = demo["Lines"]
    typed = [column.key for column in lines.SHEET.columns if column.typed]
    locked = [key for key in typed if sheet[f"{lines.SHEET.letter(key)}{FIRST_ROW}"].protection.locked]
    assert locked == [], "nobody can type into these columns"


def test_headers_carry_units_and_name_and_check_stay_in_view(demo: openpyxl.Workbook) -> None:
    sheet = demo["Lines"]
    assert sheet.freeze_panes == f"D{FIRST_ROW}"
    assert sheet[f"{lines.SHEET.letter('flow')}{HEAD_ROW}"].value == "Flow"
    assert sheet[f"{lines.SHEET.letter('flow')}{HEAD_ROW + 1}"].value == "L/min"
    assert sheet.print_title_cols == "$A:$B"
    assert sheet.page_setup.paperSize == 9


@pytest.mark.parametrize("made", [lines.SHEET, fluids.SHEET, hoses.SHEET], ids=lambda made: made.name)
def test_every_range_runs_from_guard_to_guard(made: object, demo: openpyxl.Workbook) -> None:
    sheet = demo[made.name]  # type: ignore[attr-defined]
    held = [cell.coordinate for cell in sheet[GUARD_ROW] if cell.value is not None]
    assert held == [], "the guard row is empty"


READ_BY_PEOPLE = {
    "HandoverCheckedBy", "HandoverDate", "HandoverDoneBy", "HandoverFan", "HandoverOdometer", "HandoverPhotos",
    "HandoverSender", "LitresOfFluid", "MetresOfHose", "NextStep", "QuoteOther", "SentDate", "SentDays", "SentDeposit",
    "ServiceInterval",
    "FittingMetals", "LineDropsHot", "LineLimits", "PriceDates", "RouteChecks", "RouteFinished",  # by sheets of a shop
}  # fmt: skip


def test_every_other_name_is_read_by_a_formula(demo: openpyxl.Workbook) -> None:
    book = demo
    written = [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    for sheet in book:
        written += [str(each.formula1) for each in sheet.data_validations.dataValidation]
        written += [text for area in sheet.conditional_formatting for rule in area.rules for text in rule.formula]
    written += [each.attr_text for each in book.defined_names.values()]
    read = {word for text in written for word in re.findall(r"[A-Za-z_]\w*", re.sub('"[^"]*"', "", text))}
    counts = {count_name(sheet.NAME, word) for sheet in TABLE_SHEETS for word in (*VERDICTS, "counts")}
    assert set(book.defined_names) - read - counts == READ_BY_PEOPLE


def test_a_template_of_no_rows_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="1 to 1500"):
        build(tmp_path / "none.xlsx", rows=0)
    assert list(tmp_path.iterdir()) == []


def test_the_engine_reads_a_book_of_most_rows() -> None:
    """What it reads grows with the rows, here of a job that is filled in; answers and typed words add a tenth."""
    job = demo_job()
    fewer, more = (_copy_for_the_engine(job, rows) for rows in (10, 20))
    assert more + (more - fewer) / 10 * (MOST_ROWS - 20) < LARGEST_BOOK * 0.8


def _copy_for_the_engine(job: Job, rows: int) -> int:
    """Bytes of the copy of a workbook that the engine gets, every line and its test and route filled in."""

    def filled(like: Sequence[Cells], key: str) -> list[Cells]:
        return [{**like[place % len(like)], key: f"{place} of the job"} for place in range(rows)]

    tables = {**job.tables, **{table: filled(job.tables[table], "line") for table in ("tests", "routes")}}
    full = replace(job, lines=filled(job.lines, "line"), tables=tables)
    return len(prepare(Package.from_bytes(content(full, rows), "full.xlsx"), functions()).book())
