"""Handover: the page is made from the other sheets, says on top what is still open, and holds thirty lines."""

import io
from dataclasses import replace
from datetime import date

import openpyxl
import pytest

from xlcalc.workbook.building.job import Cells, Job
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.testing import PREFILLED
from xlcalc.workbook.template import content

from ..jobs import computed
from ..shipped import DEMO, EMPTY, Shipped, loaded, shipped
from .retyped import Shows

HALVES, ROWS = ("ABCDE", "GHIJK"), range(7, 22)
SHEETS = ("Breathers", "Vacuum", "Cooling", "Parts", "Testing", "Handover")
PASSED: Cells = {
    "kind": "hose", "medium": "liquid", "weakest": 20000, "cleaned": "yes", "caps": "yes", "hold": 5, "start": 18000,
    "result": "pass", "by": "the fitter", "gauge": "G-01",
}  # fmt: skip


def of(report: Shows, cell: str) -> object:
    return report.value_at("Handover", cell)


def lines(report: Shows) -> list[list[object]]:
    """The lines of the page in their order: line, hose, made, replace by, test."""
    found = [[of(report, f"{letter}{row}") for letter in half] for half in HALVES for row in ROWS]
    return [row for row in found if row[0]]


def text(report: Shipped) -> str:
    """Everything that the page says."""
    return "\n".join(str(value) for value in report.values["Handover"].values())


@pytest.fixture(scope="module")
def demo() -> Shipped:
    return shipped(DEMO)


def serial(day: date) -> int:
    return (day - date(1899, 12, 30)).days


def test_while_something_is_open_the_page_says_so_on_top(demo: Shipped) -> None:
    said = "Not ready to hand over: 15 tests not done, 6 lines to change, 1 reading outside, 7 road tests open"
    assert of(demo, "A3") == said


def test_the_driver_knows_who_built_it_and_where_the_odometer_stood(demo: Shipped) -> None:
    assert of(demo, "A4") == "Built by the workshop (invented), Anystreet 1, Anytown, telephone 000 000 (invented)"
    book = loaded(DEMO)
    cell = book["Handover"][book.defined_names["HandoverOdometer"].attr_text.partition("!")[2].replace("$", "")]
    assert book["Handover"].cell(cell.row, 1).value == "Odometer, with its unit"
    assert (cell.protection.locked, cell.number_format) == (False, "@")  # 84200 km, not a number without its unit


def test_lines_stand_as_built_with_their_dates_and_results(demo: Shipped) -> None:
    found = {str(row[0]): row[1:] for row in lines(demo)}
    assert list(found) == [str(row["line"]) for row in demo_job().lines]
    assert found["VA-3"] == ["vacuum brake hose 11.1", serial(date(2021, 10, 1)), serial(date(2026, 10, 1)), "pass"]
    assert found["GB-1"] == ["PTFE braid -8", serial(date(2025, 7, 1)), serial(date(2031, 7, 1)), "pass"]
    assert found["PS-1"] == ["wire braid rubber -6", serial(date(2025, 10, 1)), serial(date(2031, 10, 1)), "not done"]
    assert found["CO-1"] == ["EPDM 19", "", "", "not done"]  # its date code is not filled in yet
    assert found["PS-2"] == ["textile -6", "", "", "not done"]


def test_a_long_name_of_a_line_is_set_smaller_and_not_cut_off() -> None:
    """`cooler out` and `cooler back` would read alike on a page that is signed."""
    sheet = loaded(DEMO)["Handover"]
    for column in "ABGH":
        assert {sheet[f"{column}{row}"].alignment.shrink_to_fit for row in ROWS} == {True}


def test_fluids_and_the_fill_limit_come_from_their_sheets(demo: Shipped) -> None:
    # pi/4 d^2 L by hand, litres: PS 0.079 + 0.035 + 0.213, GB 0.217 + 0.220, FU 0.064 + 0.206 + 0.141, CO 2.892
    found = {of(demo, f"A{row}"): of(demo, f"C{row}") for row in range(26, 30)}
    assert found == {
        "ATF generic": pytest.approx(0.436, abs=0.001),
        "power steering mineral": pytest.approx(0.327, abs=0.001),
        "coolant 50/50": pytest.approx(2.892, abs=0.001),
        "petrol RVP 10": pytest.approx(0.411, abs=0.001),
    }
    assert of(demo, "G26") == ""
    assert of(demo, "A30") == "Fill the fuel tank to at most 85.5 L"  # 95 % of 90 L


def test_the_driver_is_told_what_hurts() -> None:
    book = openpyxl.load_workbook(io.BytesIO(content(demo_job(), 1, ["Handover"])))
    sheet = book["Handover"]
    said = " ".join(str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value)
    for words in ("full lock for more than 5 s", "engine off the pedal", "Smell of fuel: stop", "Coolant cap"):
        assert words in said
    assert sheet.page_setup.orientation == "portrait"
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 1)
    gauge = book.defined_names["HandoverSender"].attr_text.partition("!")[2].replace("$", "")
    assert sheet[gauge].value == demo_job().start["HandoverSender"]


def settings(report: Shows) -> list[object]:
    """Fans and stops."""
    return [of(report, cell) for cell in ("C33", "C34", "C35")]


def test_fans_and_stops_come_from_cooling_vacuum_and_the_road(demo: Shipped) -> None:
    fan = "gearbox: on at 85 °C, off at 75 °C, sender in the return   marked Change on Cooling"
    assert settings(demo) == [fan, "", "counted on the road: 3 stops; worked out for the highest road: 1"]


def test_a_fan_that_is_not_filled_in_is_seen_on_cooling_and_a_third_is_counted(ready: Report) -> None:
    assert settings(ready) == [
        "gearbox: on at 97 °C, off at 87 °C, sender in the hot line",
        "steering: see Cooling   and 1 more on Cooling",
        "not counted yet; worked out for the highest road: 1",
    ]


def finished(count: int) -> Job:
    """So many lines like PS-1 with a free row between the first two, each tested, and everything driven."""
    job = demo_job()
    like = job.lines[0]
    named = [f"PS-{place}" for place in range(1, count + 1)]
    rows: list[Cells] = [{**like, "line": name} for name in named]
    filled: dict[str, object] = {"litres": 0.5}
    tests: list[Cells] = [{"line": name, **PASSED, **(filled if name in ("PS-1", "PS-2") else {})} for name in named]
    road = [{**row, "seen": "yes", "by": "the fitter", "date": date(2026, 3, 2)} for row in PREFILLED["road"]]
    fan = {"circuit": "gearbox", "sender": "hot line", "target": 90, "on": "206.6 degF", "off": 87}
    kept = {table: job.tables[table] for table in ("tanks", "circuits", "coolers", "servos")}
    fans = [fan, {}, {"circuit": "steering", "sender": "return"}, {**fan, "circuit": "third"}]
    kept["circuits"] = [{**kept["circuits"][0], "line": None, "flow": 7, "fluid": "ATF generic"}, *kept["circuits"][1:]]
    tables = {**kept, "tests": tests, "road": road, "readings": [], "fans": fans}
    return replace(job, lines=[rows[0], {}, *rows[1:]], tables=tables)


@pytest.fixture(scope="module")
def ready() -> Report:
    return computed(finished(33), 1, SHEETS)


def test_when_nothing_is_open_it_may_be_signed(ready: Report) -> None:
    assert of(ready, "A3") == "Ready to sign: every line is tested and the road test is done"


def test_a_hose_past_its_years_keeps_the_page_from_being_signed() -> None:
    job = finished(2)
    old = {"years": 6, "made": date(2019, 1, 1)}
    service: list[Cells] = [{"item": "PS-1", **old}, {"item": "PS-2", **old, "made": date(2025, 1, 1)}]
    report = computed(replace(job, tables={**job.tables, "service": service}), 1, SHEETS)
    assert of(report, "A3") == "Not ready to hand over: 1 hose too old"


def test_thirty_lines_fit_a_free_row_is_skipped_and_the_rest_is_counted(ready: Report) -> None:
    assert [row[0] for row in lines(ready)] == [f"PS-{place}" for place in range(1, 31)]
    assert of(ready, "A22") == "and 3 more: the Lines sheet goes with this page"


def test_litres_filled_at_the_test_are_summed_by_fluid(ready: Report) -> None:
    assert (of(ready, "A26"), of(ready, "D26")) == ("power steering mineral", 1.0)


def test_an_empty_page_invites_and_shows_no_number() -> None:
    report = shipped(EMPTY)
    assert str(of(report, "A3")).startswith("This page fills itself")
    assert lines(report) == []
    assert of(report, "A4") == ""
    assert (of(report, "A22"), of(report, "A26"), of(report, "A30")) == ("", "", "")
    assert "ready" not in text(report).lower()
