"""Testing: what the demo's tests, readings, road and service rows say, and every word of their Checks."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache
from math import exp, log10, pi
from string import ascii_uppercase
from typing import NamedTuple

import pytest

from xlcalc.workbook.building.job import Cells, Job
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.testing import PREFILLED

from .retyped import Retyped, Shows

ROOM, SHEETS = 18, ("Testing", "Vacuum", "Cooling")
READINGS_MORE = 12  # rows for readings that the demo does not have
AIR = 101.325 * (1 - 2.25577e-5 * 1450) ** 5.25588  # kPa at the workshop, US Standard Atmosphere 1976


class Book(NamedTuple):
    """A worked-out workbook."""

    report: Shows
    of: Retyped

    def said(self, table: str, key: str = "check") -> dict[str, object]:
        """Name of a row -> what a column says."""
        where = self.of.where("Testing", table)
        cells = [(f"A{row}", f"{where.made.letter(key)}{row}") for row in range(where.made.first_row, where.last_row)]
        values = [tuple(self.report.value_at("Testing", cell) for cell in pair) for pair in cells]
        return {str(name): value for name, value in values if name}

    def named(self, name: str) -> object:
        """Value of a named cell."""
        return self.report.value_at(*self.of.address(name))


@lru_cache(1)
def book() -> Retyped:
    """The book of the demo job with room for more readings, into which the tests type."""
    job = demo_job()
    readings = [*job.tables["readings"], *READINGS_MORE * [{}]]
    return Retyped(replace(job, tables={**job.tables, "readings": readings}), ROOM, SHEETS)


def worked_out(job: Job) -> Book:
    return Book(book().of(job).frozen(), book())


def changed(rows: Sequence[Cells], key: str, cells: Mapping[str, Cells]) -> list[Cells]:
    """Rows with some of their cells typed over; the name of a row is what it had before."""
    return [{**row, **cells.get(str(row[key]), {})} for row in rows]


@pytest.fixture(scope="module")
def demo() -> Book:
    return worked_out(demo_job())


NOT_DONE = "Not checked: test not done"
DONE = {"cleaned": "yes", "caps": "yes", "hold": 5, "result": "pass", "by": "the fitter", "gauge": "G-01"}
# By hand: proof 2 x 9000 and 2 x 400; 800 kPa x 0.2059 L / 0.4; 3.0 kPa x 9.2 L / (85.1 kPa x 5 min) = 65 mL/min
EXPECTED = {
    "PS-1": "Change: proof 18000 kPa over weakest part, at most 15000: test at 15000",
    "GB-1": "Within limits",
    "FU-2": "Change: gas chosen for a proof of 800 kPa (412 J): use liquid",
    "VA-3": "Near limit: 3.0 kPa lost in 5 min, at most 3: 65 mL/min leak in",
}


def test_the_lines_of_the_demo_say_what_they_must(demo: Book) -> None:
    found = demo.said("tests")
    assert len(found) == 17
    assert {line: says for line, says in found.items() if says != NOT_DONE} == EXPECTED
    others = demo.said("tests", "others")
    assert (others["PS-1"], others["FU-2"]) == (NOT_DONE, NOT_DONE)


def test_limits_stand_there_before_the_test(demo: Book) -> None:
    keys = ("proof", "testat", "holdleast", "low", "high", "energy", "expected", "leak")
    of = {key: demo.said("tests", key) for key in keys}
    assert (of["proof"]["PS-1"], of["testat"]["PS-1"]) == (18000, 15000)
    assert of["testat"]["CO-1"] == 110  # the cap's rating, not twice the working pressure
    assert (of["testat"]["VA-1"], of["holdleast"]["VA-1"]) == (70, 5)  # the limits of Start
    assert (of["low"]["PS-1"], of["high"]["PS-1"]) == (24.3, 27.7)  # NAV14018, table 5-9: -6, steel
    assert (of["low"]["GB-1"], of["high"]["GB-1"]) == (26.0, 29.4)  # mixed metals take the aluminium row
    assert of["energy"]["FU-2"] == pytest.approx(800 * pi / 4 * 7.9**2 * 4.2 / 1000 / 0.4, rel=1e-6)
    assert of["expected"]["GB-1"] == pytest.approx((20 + AIR) * (12 + 273.15) / (18 + 273.15) - AIR, abs=1e-3)
    assert of["leak"]["VA-3"] == pytest.approx(3 * 9.2 / 5 / AIR * 1000, rel=1e-3)


def viscosity(celsius: float) -> float:
    """ATF generic, mm2/s, by ASTM D341 through 34 at 40 degC and 7.2 at 100 degC."""
    warm, hot = (log10(log10(nu + 0.7)) for nu in (34, 7.2))
    slope = (warm - hot) / (log10(373.15) - log10(313.15))
    return 10**10 ** (warm - slope * (log10(celsius + 273.15) - log10(313.15))) - 0.7


def test_a_flow_is_expected_between_the_thinnest_and_the_thickest_oil_and_the_doubt_of_the_can(demo: Book) -> None:
    pascal_seconds = viscosity(60) * 1e-6 * 865 * exp(-0.00075 * 45)  # oil is about 3 % lighter at 60 than at 15 degC
    flow = 14000 * pi * 0.0095**4 / (128 * pascal_seconds * 3.1) * 60000  # laminar, L/min
    least, most = (demo.said("readings", key)["GB-2 flow into a can"] for key in ("least", "most"))
    assert least == pytest.approx(flow / 1.11 * 0.95, rel=0.02)  # oil 10 % thicker and a method that is 1 % off
    assert most == pytest.approx(flow / 0.9 * 1.05, rel=0.02)
    assert demo.said("readings", "read")["GB-2 flow into a can"] == pytest.approx(60 / 28.6)


def test_readings_inside_prove_the_line_and_one_outside_says_what_to_look_for(demo: Book) -> None:
    assert demo.said("readings") == {
        "GB-2 flow into a can": "Change: flow 2.1 L/min, expected 3.1 to 4.2: "
        "kinked or blocked line, cold oil, wrong fluid",
        "PS-1 gauge at both ends": "Within limits",
        "servo, two stops": "Within limits",
        "GB-2 behind the cooler": "Within limits",
    }


def test_what_the_vacuum_and_cooling_sheets_know_is_not_typed_again(demo: Book) -> None:
    """Start vacuum, stroke and volumes of the servo, flow and heat per degree of the circuit."""
    keys = ("vacuumused", "strokeused", "servoused", "reservoirused")
    of_servo = [demo.said("readings", key)["servo, two stops"] for key in keys]
    assert of_servo == pytest.approx([48, pi / 4 * 2.5**2 * 0.285, 3.2, 6.0])
    after = 48 - 2 * AIR * pi / 4 * 2.5**2 * 0.285 / 9.2  # by hand, as on Vacuum, in the air of the workshop
    least, most = (demo.said("readings", key)["servo, two stops"] for key in ("least", "most"))
    assert (least, most) == pytest.approx((after * 0.95, after * 1.05), rel=1e-3)
    flow, per = (demo.said("readings", key)["GB-2 behind the cooler"] for key in ("flown", "perdegreeused"))
    assert (flow, per) == pytest.approx((7, 0.1256), rel=1e-3)  # 8.5 kW at 55 K, in air of 2100 m


def test_road_and_service_rows_say_what_is_open(demo: Book) -> None:
    road, service = demo.said("road"), demo.said("service")
    assert sum(says == "Within limits" for says in road.values()) == 1
    assert sum(says == "Not checked: fill in Seen" for says in road.values()) == 7
    assert service["CO-1"] == "Not checked: fill in Hose made"
    assert service["VA-3"] == "Near limit: 4.4 years old, at most 5: replace within a year"
    assert service["nuts and clamps: torque again"] == "Not checked: to be done at 1000 km"
    assert service["hoses: flex and look"] == "Not checked: to be done every year"
    days = (date(2031, 10, 1) - date(1899, 12, 30)).days
    assert demo.said("service", "replace")["PS-1"] == days


def test_what_is_due_by_the_calendar_asks_for_the_date_of_the_job() -> None:
    """Half a year from the last day of August is the last of February, which has 28 days in 2026."""
    done: list[Cells] = [{"item": "belt", "when": "every six months", "again": 0.5, "done": date(2025, 8, 31)}]
    job = replace(demo_job(), tables={**demo_job().tables, "service": done})
    said = {}
    for day in (date(2026, 2, 27), date(2026, 2, 28), None):
        found = worked_out(replace(job, start={**job.start, "JobDate": day}))
        said[day] = found.said("service")["belt"]
        assert found.said("service", "due")["belt"] == (date(2026, 2, 28) - date(1899, 12, 30)).days
    assert list(said.values()) == [
        "Within limits", "Not checked: to be done again every six months", "Not checked: fill in Date, on Start",
    ]  # fmt: skip


def test_what_is_open_is_counted(demo: Book) -> None:
    counts = {"LinesWithoutTest": 0, "TestsNotDone": 15, "TestsToMend": 0, "ReadingsOutside": 1, "RoadOpen": 7}
    assert {name: demo.named(name) for name in counts} == counts
    assert demo.report.value_at("Testing", "A4") == ""
    assert str(demo.named("TestingWords")).startswith("Change 3 ")
    assert demo.named("TestingNamed") == 44


# Each row of the demo, what is typed over in it, and what it then says.
TESTS: dict[str, tuple[Cells, str]] = {
    "PS-1": (
        {**DONE, "mark": "yes", "start": "150 bar"},
        "Near limit: proof 18000 kPa over weakest part, at most 15000",
    ),
    "PS-2": ({**DONE, "start": 40, "hold": 3}, "Change: held for 3.0 min, at least 5"),
    "PS-3": ({"result": "fail"}, "Change: test failed: mend and test again"),
    "GB-1": ({"later": 16.9}, "Change: 0.9 kPa lost, at most 0.5: 16.9 kPa later, expected 17.8 at 12 °C"),
    "GB-2": ({**DONE, "start": 400}, "Change: tested at 400 kPa, at least 500"),
    "FU-1": ({"kind": None}, "Not checked: fill in Kind"),
    "FU-2": ({"proved": "yes", "start": 15}, "Change: tested at 15.0 kPa, at least 20.7"),
    "FU-3": (
        {"medium": "low-pressure gas leak", "proved": "yes", "start": 50},
        "Change: tested at 50.0 kPa, gas allows at most 35",
    ),
    "FU-4": ({"medium": "air"}, "Cannot be worked out: see Medium, not a word of its list"),
    "VA-1": ({**DONE, "start": 71, "later": 72}, "Change: reads more later than it can: read again"),
    "VA-2": ({**DONE, "start": 50, "later": 50}, "Change: hold started at 50.0 kPa, at least 70"),
    "VA-3": ({"later": 67.5}, "Change: 3.5 kPa lost in 5 min, at most 3: 76 mL/min leak in"),  # 65 x 3.5 / 3
    "BR-1": ({**DONE, "start": 2, "cleaned": "no"}, "Change: line not cleaned"),
    "BR-2": ({**DONE, "start": 2, "gauge": None}, "Not checked: fill in Gauge no."),
    "BR-3": ({"weakest": "20 L"}, "Cannot be worked out: Weakest part allows: "),
    "CO-1": ({**DONE, "start": 110}, "Within limits"),
    "CO-2": ({**DONE, "start": 150}, "Change: tested at 150 kPa, weakest part allows at most 110"),
}
STOPS: Cells = {"line": "VA-3", "what": "vacuum after stops", "measured": 15, "stops": 2}
WARM: Cells = {"line": "GB-2", "what": "return temperature", "oil": 82, "air": 20, "measured": 41}
READINGS: dict[str, tuple[Cells, str]] = {
    "GB-2 flow into a can": (
        {"seconds": 8},
        "Change: flow 7.5 L/min, expected 3.1 to 4.2: thinner or warmer oil, open bypass, gauge",
    ),
    "PS-1 gauge at both ends": (
        {"measured": "60 kPa"},
        "Change: pressure drop 60.0 kPa, expected 27.3 to 37.7: kinked or blocked line, cold oil, wrong fluid",
    ),
    "servo, two stops": (
        {"measured": 15},
        "Change: vacuum after stops 15.0 kPa, expected 21.0 to 23.2: leak, non-return valve, smaller reservoir",
    ),
    "GB-2 behind the cooler": (
        {"measured": "140 degF"},
        "Change: return temperature 60.0 °C, expected 35.2 to 48.0: air blocked or fan slow, cooler dirty, open bypass",
    ),  # with 0.1256 kW/K of Cooling
    "typed over the circuit": (
        {**WARM, "circuit": "gearbox", "measured": 60, "flow": 7, "perdegree": 0.126},
        "Change: return temperature 60.0 °C, expected 35.1 to 47.9: air blocked or fan slow, cooler dirty, open bypass",
    ),
    "of no circuit": ({**WARM, "circuit": "nothing"}, "Cannot be worked out: nothing is no circuit of Cooling"),
    "without a circuit": (WARM, "Not checked: fill in Cooler, per degree"),
    "typed over the servo": (  # 48 - 2 x 85.1 x 1.399 / (3.2 + 12) = 32.3, 5 % either way
        {**STOPS, "servoname": "brake servo", "reservoir": 12},
        "Change: vacuum after stops 15.0 kPa, expected 30.7 to 34.0: leak, non-return valve, smaller reservoir",
    ),
    "of no servo": ({**STOPS, "servoname": "other"}, "Cannot be worked out: other is no servo of Vacuum"),
    "without a servo": ({**STOPS, "vacuum": 48}, "Not checked: fill in Stroke of servo"),
    "of no line": (
        {"line": "XX-9", "what": "pressure drop", "oil": 60, "measured": 3},
        "Cannot be worked out: XX-9 is not a line of Lines",
    ),
    "of no kind": ({"line": "GB-2", "what": "speed"}, "Cannot be worked out: see What, not a word of its list"),
    "half": (
        {"line": "GB-2", "what": "flow", "oil": 60, "litres": 1, "seconds": 9},
        "Not checked: fill in Gauge at its start",
    ),
    "a pump of fixed flow, no gauge": (  # 8 L/min of Lines, 10 % for the pump and 5 % for the can either way
        {"line": "PS-1", "what": "flow", "litres": 1, "seconds": 10},
        "Change: flow 6.0 L/min, expected 6.8 to 9.2: blocked line, slow engine, worn pump, slipping belt",
    ),
    "a fast pump, no gauge": (  # the flow of that day goes before the one of Lines: 10 L/min
        {"line": "PS-1", "what": "flow", "litres": 1, "seconds": 5, "flow": 10},
        "Change: flow 12.0 L/min, expected 8.6 to 11.6: faster engine than Lines has it, can, watch",
    ),
    "a pump as it must be": ({"line": "PS-1", "what": "flow", "litres": 1, "seconds": 7.5}, "Within limits"),
    "a pump with a gauge": (
        {"line": "PS-1", "what": "flow", "litres": 1, "seconds": 7.5, "head": 30},
        "Not checked: fill in Fluid, that day",
    ),
    "too cold": (
        {"line": "GB-2", "what": "pressure drop", "oil": -60, "measured": 3},
        "Cannot be worked out: see Expected at least",
    ),
}
ROAD: dict[str, tuple[Cells, str]] = {
    "heat soak 20 min: every joint dry": (
        {"seen": "no", "by": "x", "date": date(2026, 3, 2)},
        "Change: did not show what it must: mend and drive again",
    ),
    "lock to lock: no squeal, no foam": ({"seen": "yes"}, "Not checked: fill in Date"),
    "lock hold, under 5 s: hose dry": (
        {"seen": "yes", "by": "x", "date": "last week"}, "Cannot be worked out: see Date, not a date",
    ),
}
SERVICE: dict[str, tuple[Cells, str]] = {
    "PS-1": ({"made": date(2019, 1, 1)}, "Change: 7.2 years old, at most 6: replace the hose"),
    "PS-3": ({"made": "3Q25"}, "Cannot be worked out: see Hose made, not a date"),
    "GB-1": ({"years": None}, "Not checked: fill in Life of hose"),
    "every line and clip: look again": ({"done": "9 Mar, the fitter"}, "Within limits"),
    # the job is of 2 March 2026
    "hoses: flex and look": ({"done": date(2025, 3, 2)}, "Not checked: to be done again every year"),
    "vacuum non-return valves: try": ({"done": date(2025, 3, 3)}, "Within limits"),
    # a month is a twelfth of a year, however many digits of it are typed
    "breather filters: clean": (
        {"when": "every month", "again": 0.083, "done": date(2026, 2, 2)}, "Not checked: to be done again every month",
    ),
    "catch tanks: drain": ({"when": "every month", "again": 0.083, "done": date(2026, 2, 3)}, "Within limits"),
    "belt": ({"when": "every six months", "done": date(2026, 3, 2)}, "Not checked: fill in Due again after"),
    "filter": ({"when": "every year", "again": 1, "done": "9 Mar"}, "Cannot be worked out: see Done on, not a date"),
    "cap": ({"again": 2}, "Not checked: fill in When"),
}
EVERY = {
    "tests": ("line", TESTS),
    "readings": ("reading", READINGS),
    "road": ("road", ROAD),
    "service": ("item", SERVICE),
}
CASES = [(table, name, says) for table, (_, rows) in EVERY.items() for name, (_, says) in rows.items()]


@pytest.fixture(scope="module")
def provoked() -> Book:
    """The demo with a cell typed over in every row of the lists above."""
    job = demo_job()
    typed: dict[str, Sequence[Cells]] = dict(job.tables)
    for table, (key, rows) in EVERY.items():
        known = {str(row[key]) for row in typed[table]}
        cells = {name: each for name, (each, _) in rows.items()}
        new = [{key: name, **each} for name, each in cells.items() if name not in known]
        typed[table] = [*changed(typed[table], key, cells), *new]
    return worked_out(replace(job, tables=typed))


@pytest.mark.parametrize(("table", "name", "says"), CASES, ids=[f"{table}:{name}" for table, name, _ in CASES])
def test_a_changed_cell_changes_the_verdict(provoked: Book, table: str, name: str, says: str) -> None:
    found = str(provoked.said(table)[name])
    assert found == says if not says.endswith(": ") else found.startswith(says)


def test_a_reading_asks_to_look_up_a_fluid_only_where_it_was_reckoned_with(provoked: Book) -> None:
    """ATF and steering oil are from memory: a drop, a flow by gauge and a cooler take them, a pump alone does not."""
    found = provoked.said("readings", "memory")
    assert {found[name] for name in ("GB-2 flow into a can", "PS-1 gauge at both ends", "typed over the circuit")} == {
        "fluid"
    }
    assert {found[name] for name in ("a pump as it must be", "a fast pump, no gauge", "servo, two stops")} == {""}


def test_what_counts_as_passed_is_a_pass_whose_check_agrees(provoked: Book) -> None:
    said = provoked.said("tests", "said")
    found = {line: said[line] for line in ("PS-1", "CO-1", "PS-3", "GB-1", "FU-4")}
    assert list(found.values()) == ["pass", "pass", "fail", "to mend", "not done"]
    assert provoked.named("TestsNotDone") == 5  # FU-1 to FU-4 and BR-3


def test_hoses_past_their_years_are_counted(provoked: Book) -> None:
    assert provoked.named("HosesTooOld") == 1  # PS-1


@pytest.fixture(scope="module")
def torn() -> Book:
    """Rows taken away, turned round and typed twice; no workshop altitude."""
    job = demo_job()
    start = {key: value for key, value in job.start.items() if key != "WorkshopAltitude"}
    cells: dict[str, Cells] = {"FU-1": {"nut": "-99", "metal": "steel"}, "FU-4": {"result": "maybe"},
                               "PS-2": {"caps": "no!"}}  # fmt: skip
    lines = changed(job.lines, "line", {"CO-2": {"hose": "none such"}})
    rows = [row for row in changed(job.tables["tests"], "line", cells) if row["line"] not in ("GB-2", "FU-3")]
    rows = [*reversed(rows), {"line": "PS-1", "kind": "hose", "weakest": 20000, "medium": "liquid"}, {"line": "XX-9"}]
    tables = {**job.tables, "tests": rows, "road": (), "readings": ()}
    return worked_out(replace(job, start=start, lines=lines, tables=tables))


def test_lines_without_a_row_are_counted_and_the_first_is_named(torn: Book) -> None:
    assert torn.named("LinesWithoutTest") == 2
    assert torn.report.value_at("Testing", "A4") == "Lines without a row here: 2: first GB-2"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("PS-1", "Change: two rows are called PS-1"),
        ("XX-9", "Cannot be worked out: XX-9 is not a line of Lines"),
        ("PS-2", "Cannot be worked out: see Caps off, not a word of its list"),
        ("CO-2", "Not checked: test not done"),  # with liquid nothing asks for its volume, which is not known
        ("FU-1", "Cannot be worked out: see Torque at least"),
        ("FU-4", "Cannot be worked out: see Result, not a word of its list"),
        ("GB-1", "Not checked: fill in Workshop altitude, on Start"),
        ("VA-3", "Not checked: fill in Workshop altitude, on Start"),
        ("FU-2", "Change: gas chosen for a proof of 800 kPa (412 J): use liquid"),
    ],
)
def test_rows_in_any_order_keep_their_verdicts(torn: Book, line: str, says: str) -> None:
    assert torn.said("tests")[line] == says


def test_road_rows_stand_in_every_workbook_and_say_nothing_before_there_is_a_line() -> None:
    made = Retyped(Job(), 2, SHEETS)
    empty = Book(made, made)
    assert list(empty.said("road")) == [str(row["road"]) for row in PREFILLED["road"]]
    for table in ("road", "service"):
        assert set(empty.said(table).values()) == {""}
    assert (empty.named("TestingNamed"), empty.named("TestsNotDone"), empty.named("RoadOpen")) == (0, 0, 0)
    assert str(empty.report.value_at("Testing", "A3")).startswith("Pick the first line below")


def test_no_formula_of_the_sheet_is_longer_than_a_person_reads() -> None:
    texts = {ref: text for ref, text in book().formulas("Testing").items() if int(ref.strip(ascii_uppercase)) >= 5}
    assert len(texts) > 1000
    assert {ref: text for ref, text in texts.items() if len(text) > 259} == {}  # 260 with the equals sign
