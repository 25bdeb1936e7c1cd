"""The Breathers sheet: what each tank, air line and drain of the demo must say, and what a changed cell makes of it."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from math import exp, pi

import pytest

from xlcalc.workbook.building.blocks import Placed, placed
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.breathers import NAME, TABLES

from ..jobs import with_rows
from .retyped import Frozen, Retyped, Shows

ROWS = [table.rows for table in TABLES]


def said(report: Shows, job: Job, table: str, key: str = "check") -> dict[str, object]:
    """Name of a row -> what a column of its table says."""
    where: Placed = placed(TABLES, job)[ROWS.index(table)]
    first = where.made.columns[0].key
    found = {}
    for row in range(where.made.first_row, where.last_row):
        if name := report.value_at(NAME, f"{where.made.letter(first)}{row}"):
            found[str(name)] = report.value_at(NAME, f"{where.made.letter(key)}{row}")
    return found


@lru_cache(1)
def book() -> Retyped:
    """The book of the demo job, into which the tests type."""
    return Retyped(demo_job(), 18, [NAME])


@pytest.fixture(scope="module")
def demo() -> Frozen:
    return book().of(demo_job()).frozen()


def test_every_row_of_the_demo_says_what_it_must(demo: Frozen) -> None:
    job = demo_job()
    assert said(demo, job, "tanks") == {
        "fuel tank": "Within limits",
        "axle": "Near limit: draws in 584 mL, hose holds 93: the end must stay above the water",
        "gearbox": "Near limit: draws in 1514 mL, hose holds 69: the end must stay above the water",
        "engine": "Change: tank 1.5 L, wanted at least 2.0",
        "coolant": "Within limits",
    }
    assert said(demo, job, "airlines") == {
        "FU-4": "Within limits",
        "BR-1": "Change: filter in splash and no cover",
        "BR-2": "Within limits",
        "BR-3": "Within limits",
    }
    assert said(demo, job, "drains") == {
        "engine catch tank": "Change: tank 80 mm above the port, 1 kPa case pressure needs at least 125",
        "gearbox catch tank": "Within limits",
    }


# Worked in plain arithmetic beside the sheet: oil and petrol by ASTM D1250-80 (petrol K0 346.4228, K1 0.4388,
# lubricating oil K1 0.6278), the gas law for the air, 95 % of 90 L, pi/4 d2 L for the hoses, p/(rho g) for the head.
# Coolant: 50 % glycol grows 4.7 % from 15 to 95 degC, as the demo job states it.
KELVIN, GRAVITY = 273.15, 9.80665


def shrunk(density: float, k0: float, k1: float, degrees: float) -> float:
    """Density at a temperature over that at 15 degC."""
    slope, rise = k0 / density**2 + k1 / density, degrees - 15
    return exp(-slope * rise * (1 + 0.8 * slope * rise))


def of_petrol(degrees: float) -> float:
    return shrunk(745, 346.4228, 0.4388, degrees)


def of_gear_oil(degrees: float) -> float:
    return shrunk(870, 0, 0.6278, degrees)


GROWN = 90 * (of_petrol(10) / of_petrol(45) - 1)
AIR_IN = 1800 * (1 - (5 + KELVIN) / (95 + KELVIN))
OIL_DOWN = 2200 * (1 - of_gear_oil(95) / of_gear_oil(5))
BY_HAND = [
    ("tanks", "growth", "fuel tank", GROWN, 0.0005),
    ("tanks", "fillto", "fuel tank", 0.95 * 90, 1e-9),
    ("tanks", "wanted", "fuel tank", 1.3 * GROWN, 0.0005),
    ("tanks", "holds", "axle", pi / 4 * 7.9**2 * 1.9, 0.05),
    ("tanks", "gulp", "axle", AIR_IN + OIL_DOWN, 0.05),
    ("tanks", "wanted", "engine", 2.0, 1e-9),  # 0.05 L/h x 10 h x 1.5 = 0.75, at least 2
    ("tanks", "growth", "coolant", 0.57, 0.01),
    ("airlines", "flow", "BR-3", 3.0 * 4500 / 2 * 0.01, 1e-9),
    ("airlines", "filterleast", "BR-3", 67.5 / 60000 / 0.5 * 1e4, 1e-9),
    ("airlines", "pressure", "FU-4", 0.23, 0.005),  # as the demo job states it
    ("drains", "least", "gearbox catch tank", 500 / (865 * shrunk(865, 0, 0.6278, 110) * GRAVITY) * 1000, 0.01),
]


@pytest.mark.parametrize(("table", "key", "name", "expected", "margin"), BY_HAND)
def test_numbers_worked_by_hand(
    demo: Frozen, table: str, key: str, name: str, expected: float, margin: float
) -> None:
    assert said(demo, demo_job(), table, key)[name] == pytest.approx(expected, abs=margin)


Changes = list[tuple[str, str, Mapping[str, object], str]]
"""Table, name of a row, the cells typed over there, and how the Check then begins."""


def typed_over(changes: Changes) -> tuple[Job, Retyped]:
    """The demo job with all changes at once, each in a row of its own, and the book with it."""
    job = demo_job()
    for table, name, cells, _ in changes:
        job = with_rows(job, table, name, cells)
    return job, book().of(job)


CHANGES: Changes = [
    ("tanks", "fuel tank", {"tank": "4 L"}, "Change: tank 4.0 L, wanted at least 5.2"),
    ("tanks", "coolant", {"tank": 0.77}, "Near limit: tank 0.8 L, wanted at least 0.7"),
    ("tanks", "axle", {"vent": None}, "Not checked: fill in Vent line"),
    ("tanks", "gearbox", {"hours": None}, "Not checked: fill in Hours"),
    ("tanks", "engine", {"fluid": "milk", "tank": 5}, "Cannot be worked out: see Fluid, not a row of Fluids"),
    ("airlines", "BR-2", {"end": 400}, "Change: end 400 mm, below the wade depth 500 mm"),
    ("airlines", "FU-4", {"line": "PS-1"}, "Change: PS-1 is no vent on Lines"),
    ("airlines", "BR-3", {"filter": 20}, "Change: filter 20.0 cm², at least 22.5"),
    ("airlines", "BR-1", {"line": "BR-9"}, "Cannot be worked out: BR-9 is not a line of Lines"),
    ("drains", "gearbox catch tank", {"loop": "yes"}, "Change: low loop holds oil"),
    ("drains", "engine catch tank", {"height": "13 cm"}, "Near limit: tank 130 mm above the port"),
]


def test_a_changed_cell_changes_the_verdict() -> None:
    job, report = typed_over(CHANGES)
    for table, name, cells, words in CHANGES:
        key = str(next(iter(cells.values()))) if next(iter(cells)) == "line" else name
        assert str(said(report, job, table)[key]).startswith(words)


WHY_NONE: Changes = [
    ("tanks", "fuel tank", {"fill": 50, "hottest": 12},
     "Cannot be worked out: Tank wanted: hottest 12 °C is below fill temperature 50 °C: swapped?"),
    ("tanks", "coolant", {"hottest": 108},
     "Cannot be worked out: Tank wanted: coolant 50/50 is known from -30 °C to 100 °C; 108 °C lies outside"),
    ("tanks", "engine", {"hours": -20}, "Cannot be worked out: Tank wanted: Hours between emptyings: -20 h is below"),
    ("tanks", "gearbox", {"hottest": 4, "after": 120}, "hot 4 °C is below cold 120 °C: swapped?"),
    ("drains", "gearbox catch tank", {"case": 500}, "Cannot be worked out: see Least height"),
    ("drains", "gearbox catch tank", {"case": 500}, "Case pressure: 500 kPa is above 100 kPa"),
    ("drains", "engine catch tank", {"height": 300, "bore": 0.5}, "Cannot be worked out: see Drains in"),
    ("drains", "engine catch tank", {"height": 300, "bore": 0.5}, "Bore: 0.5 mm is below 1 mm"),
]  # fmt: skip


def test_an_answer_that_failed_says_why_and_names_no_folded_cell() -> None:
    job, report = typed_over(WHY_NONE)
    for table, name, _, words in WHY_NONE:
        check, others = (str(said(report, job, table, key)[name]) for key in ("check", "others"))
        assert words in (check if words.startswith("Cannot") else others), f"{check}; {others}"
        assert "number" not in check + others


def test_a_gulp_whose_end_is_not_known_is_not_checked() -> None:
    def axle(end: float | None) -> str:
        job = with_rows(demo_job(), "airlines", "BR-1", {"end": end})
        return str(said(book().of(job), job, "tanks")["axle"])

    assert axle(None) == "Not checked: fill in free end and wade depth of BR-1 below"
    assert axle(300).startswith("Change: draws in 584 mL, hose holds 93")


def test_a_tank_and_its_vent_line_agree_on_fluid_and_heat() -> None:
    job = with_rows(demo_job(), "tanks", "gearbox", {"fluid": "gear oil 75W-90"})
    job = with_rows(job, "tanks", "axle", {"hottest": "100 degC", "after": 99})
    report = book().of(job)
    assert said(report, job, "tanks")["gearbox"] == "Change: BR-2 is for ATF generic on Lines"
    assert said(report, job, "tanks")["axle"] == "Near limit: axle becomes 100 °C, BR-1 is worked out for 95 on Lines"


def test_a_line_that_carries_less_than_what_sets_its_flow_is_to_change() -> None:
    job = with_rows(demo_job(), "airlines", "BR-2", {"by": "fuel filling"})
    job = replace(job, lines=[{**row, "flow": 67.4} if row["line"] == "BR-3" else row for row in job.lines])
    checks = said(book().of(job), job, "airlines")
    assert checks["BR-2"] == "Change: Lines has 1.0 L/min, fuel filling makes 37.9"
    assert checks["BR-3"] == "Change: Lines has 67.4 L/min, blow-by makes 67.5"


PASTED: Changes = [
    ("airlines", "BR-3", {"filter": " 20,0 "}, "Change: filter 20.0 cm², at least 22.5"),
    ("airlines", "BR-2", {"end": "40 cm"}, "Change: end 400 mm, below the wade depth 500 mm"),
    ("airlines", "BR-1", {"splash": "yes "}, "Cannot be worked out: see Filter in splash, not a word of its list"),
    ("airlines", "FU-4", {"filter": "wide"}, "Cannot be worked out: Filter fitted: "),
    ("drains", "gearbox catch tank", {"loop": "a bit"}, "Cannot be worked out: see Low loop, not a word of its list"),
    ("tanks", "gearbox", {}, "Change: draws in 1514 mL, hose holds 69"),  # its line's end is the 40 cm above
]


def test_what_is_pasted_as_text_passes_no_comparison() -> None:
    """A text is larger than every number in a spreadsheet, and a pasted word passes no list."""
    job, report = typed_over(PASTED)
    for table, name, _, words in PASTED:
        assert str(said(report, job, table)[name]).startswith(words)
