"""The Cooling sheet against a second calculation in plain Python, and what the limits of Start make of it."""

from functools import lru_cache
from typing import Any

import pytest

from xlcalc.core.errors import CalcError
from xlcalc.workbook.building.blocks import placed
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.cooling import TABLES

from ..shipped import EMPTY, shipped
from .cooling_job import (
    CIRCUITS,
    COOLERS,
    ELECTRICS,
    FAN,
    FANS,
    GEARBOX,
    PER,
    STEERING,
    WIRED,
    air_of_a_degree,
    behind,
    carried,
    density,
    job,
    said,
)
from .retyped import Frozen, Retyped, Shows


@lru_cache(1)
def book() -> Retyped:
    """The book of the demo job, into which most tests type."""
    return Retyped(demo_job(), 18, ["Cooling"])


@pytest.fixture(scope="module")
def demo() -> Frozen:
    return book().of(demo_job()).frozen()


def shown(report: Shows, table: int, name: str, key: str) -> float:
    value = said(report, demo_job(), table, key)[name]
    assert isinstance(value, float | int)
    return float(value)


def test_the_demo_says_what_it_must(demo: Frozen) -> None:
    assert said(demo, demo_job(), CIRCUITS) == {"gearbox": "Within limits", "steering": "Within limits"}
    assert said(demo, demo_job(), FANS) == {
        "gearbox": "Change: fan keeps switching on and off: on at 85, reads 61 while it runs, off at 75: "
        "lower off"
    }
    assert said(demo, demo_job(), ELECTRICS) == {
        "gearbox fan": "Change: 5.3 % lost in the cable, at most 3: 4.5 mm² or more"
    }
    assert said(demo, demo_job(), COOLERS) == {"steering": "Within limits"}
    assert said(demo, demo_job(), CIRCUITS, "others")["steering"] == (
        "full lock, 1.2 kW: 65 s to 120 °C. Never hold it for more than 5 s"
    )
    others = said(demo, demo_job(), FANS, "others")["gearbox"]
    assert others == (
        "a switch in the hot line does not see the cooled oil; "
        "on at 85 in the return: the sump is at 91 °C then, target 90"
    )


HEAT = carried(7, 865, 70) * 24  # 82 to 58 degC
OIL_IN = 45 + HEAT / PER
UA_OIL, UA_AIR = carried(8, 870, 80), 300 / 3600 * air_of_a_degree(45, 2100)


@pytest.mark.parametrize(
    ("table", "name", "key", "expected", "within"),
    [
        (CIRCUITS, "gearbox", "flown", 7, 0),  # of line GB-1
        (CIRCUITS, "gearbox", "heatw", HEAT, 0.001),  # 4.65 kW
        (CIRCUITS, "gearbox", "per", PER, 0.0001),  # 0.126 kW/K
        (CIRCUITS, "gearbox", "oilin", OIL_IN, 0.02),  # 82.0 degC: the 4.6 kW of workshop talk would make 81.6
        (CIRCUITS, "gearbox", "back", behind(OIL_IN, 45, PER), 0.02),
        (CIRCUITS, "gearbox", "airflow", HEAT / 15 / air_of_a_degree(45, 2100) * 3600, 0.5),  # 1290 m3/h
        (CIRCUITS, "steering", "heatw", 8 / 60000 * 9000, 1e-9),  # 1.2 kW: flow and relief of line PS-1
        (CIRCUITS, "steering", "seconds", density(870, 100) * 1.2e-3 * 2.0 * 40 / 1.2, 0.05),  # 65 s
        (CIRCUITS, "steering", "oilin", 76.39, 0.05),  # 0.15 kW over the UA below
        (COOLERS, "steering", "oilrate", UA_OIL, 0.0002),
        (COOLERS, "steering", "airrate", UA_AIR, 0.0002),
        (COOLERS, "steering", "units", 0.005 / UA_AIR, 0.0002),
        (FANS, "gearbox", "targetoff", behind(90, 45, PER * 0.2), 0.02),
        (FANS, "gearbox", "targeton", behind(90, 45, PER), 0.02),  # 60.7 degC
        (FANS, "gearbox", "limitoff", behind(120, 45, PER * 0.2), 0.02),
        (FANS, "gearbox", "limiton", behind(120, 45, PER), 0.02),
        (FANS, "gearbox", "reaches", behind(OIL_IN, 45, PER), 0.02),
        (ELECTRICS, "gearbox fan", "amps", 10, 1e-9),
        (ELECTRICS, "gearbox fan", "drop", 2 * 0.017241 * (1 + 0.00393 * 40) * 4 * 10 / 2.5, 1e-6),  # 0.64 V
        (ELECTRICS, "gearbox fan", "lost", 5.32, 0.005),
        (ELECTRICS, "gearbox fan", "wanted", 4.5, 1e-9),  # 2.5 x 5.32 / 3 = 4.43, up to the next tenth
        (ELECTRICS, "gearbox fan", "fuseleast", 12.5, 1e-9),
        (ELECTRICS, "gearbox fan", "fusemost", 20, 1e-9),
    ],
)
def test_the_answers_of_the_demo_are_those_of_the_second_calculation(
    demo: Frozen, table: int, name: str, key: str, expected: float, within: float
) -> None:
    assert shown(demo, table, name, key) == pytest.approx(expected, abs=within)


def test_the_sump_as_the_fan_comes_on_and_what_the_return_falls_to(demo: Frozen) -> None:
    low, high = 45.0, 120.0
    for _ in range(60):  # the sump at which the return reads 85 with the fan off
        middle = (low + high) / 2
        low, high = (middle, high) if behind(middle, 45, PER * 0.2) < 85 else (low, middle)
    assert shown(demo, FANS, "gearbox", "starts") == pytest.approx(low, abs=0.05)
    assert shown(demo, FANS, "gearbox", "falls") == pytest.approx(behind(low, 45, PER), abs=0.05)


def test_a_ua_gives_the_heat_that_cutting_the_cooler_into_small_squares_gives(demo: Frozen) -> None:
    """Cross flow, both unmixed: 200 x 200 squares, each with its share of UA, oil from the left, air from below."""
    steps, air = 200, [0.0] * 200
    share = 0.005 / steps
    for _ in range(steps):  # one row of squares along the oil; `air` keeps what came through so far
        oil = 1.0
        for at in range(steps):
            moved = share * (oil - air[at])
            oil -= moved / UA_OIL
            air[at] += moved / UA_AIR
    heat = UA_AIR * sum(air) / steps  # kW for 1 K between oil in and air in
    assert shown(demo, COOLERS, "steering", "per") == pytest.approx(heat, rel=0.002)
    assert shown(demo, CIRCUITS, "steering", "per") == shown(demo, COOLERS, "steering", "per")


def test_limits_on_start_decide_and_a_blank_highest_road_is_never_taken_for_sea_level() -> None:
    circuits = [{**GEARBOX, "circuit": "gearbox"}, {**STEERING, "circuit": "steering"}]
    fans = [{**FAN, "circuit": "gearbox", "sender": "hot line", "on": 100, "off": 90}]
    limits: dict[str, Any] = {"Sump": 80, "SteeringOil": "230 degF", "CableDrop": 5.5, "FanOffShare": 30}
    what = job(circuits, fans, [{**WIRED, "fan": "fan"}], **limits)
    report = book().of(what)
    check = said(report, what, CIRCUITS)["gearbox"]
    assert check == "Change: oil 82 °C to the cooler, at most 80: larger cooler or more air"
    assert said(report, what, CIRCUITS, "seconds")["steering"] == pytest.approx(
        density(870, 95) * 1.2e-3 * 2.0 * 30 / 1.2, abs=0.05
    )
    assert said(report, what, ELECTRICS)["fan"] == "Near limit: 5.3 % lost in the cable, at most 5.5"
    assert said(report, what, FANS, "peroff")["gearbox"] == pytest.approx(PER * 0.3, abs=1e-4)
    blank = job(circuits, fans, RoadAltitude=None)
    checks = said(book().of(blank), blank, CIRCUITS)
    assert checks == {"gearbox": "Not checked: fill in Highest road, on Start", "steering": "Within limits"}


def test_a_limit_on_start_that_is_no_figure_is_never_a_limit_kept() -> None:
    circuits = [{**GEARBOX, "circuit": "gearbox"}, {**STEERING, "circuit": "steering"}]
    fans = [{**FAN, "circuit": "gearbox", "sender": "hot line", "on": 100, "off": 90}]
    cable = [{**WIRED, "area": 6, "fan": "fan"}]
    coil = [{"circuit": "gearbox", "oil": 80, "bore": 8, "length": 2, "diameter": 200}]
    limits: dict[str, Any] = dict.fromkeys(("NearTemperature", "FullLock", "CableDrop", "GearboxColdPressure"), "some")
    for cells in (limits, dict.fromkeys(("Sump", "SteeringOil", "FuseDensity", "GearboxColdPressure"), "some")):
        what = job(circuits, fans, cable, coil, **cells)
        report = book().of(what)
        checks = [check for table in range(4) for check in said(report, what, table).values()]
        assert len(checks) == 5
        assert all(str(check).startswith("Cannot be worked out: ") for check in checks), checks


def test_an_empty_sheet_shows_no_error_no_zero_and_no_verdict() -> None:
    report = shipped(EMPTY)
    shown_columns = sum(not column.folded for column in TABLES[0].made.columns)
    assert not [ref for ref, value in report.values["Cooling"].items() if isinstance(value, CalcError)]
    for where in placed(TABLES, Job()):
        letters = [where.made.letter(column.key) for column in where.made.columns[:shown_columns] if not column.typed]
        refs = [f"{letter}{row}" for letter in letters for row in range(where.made.first_row, where.last_row)]
        values = [report.values["Cooling"][ref] for ref in refs if ref in report.values["Cooling"]]
        assert len(values) > 20
        assert set(values) <= {"", None}
