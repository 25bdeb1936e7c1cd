"""The Vacuum sheet: what a servo and a tee of the demo say, and every word that a changed cell brings."""

import re
from dataclasses import replace
from functools import cache
from math import pi
from string import ascii_uppercase

import openpyxl
import pytest

from xlcalc.core.errors import CalcError
from xlcalc.workbook.building.blocks import Placed, placed
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.vacuum import NAME, TABLES

from ..jobs import computed
from ..shipped import EMPTY, shipped
from .retyped import Frozen, Retyped, Shows

SERVO = demo_job().tables["servos"][0]
TEE = demo_job().tables["tees"][0]


def air(metres: float) -> float:
    """kPa of the US Standard Atmosphere 1976, its printed constants, geometric height turned into geopotential."""
    height = 6356766 * metres / (6356766 + metres)
    return float(101.325 * (1 - 0.0065 * height / 288.15) ** (9.80665 * 28.9644 / (8314.32 * 0.0065)))


# By hand, without these functions: the manifold's absolute pressure stays, each full stroke lets in its swept volume of
# outside air, which spreads over servo and reservoir. Prints 1.399 L, 41.44 and 17.56 kPa, 12.12 L, 5.42 s.
STROKE = pi / 4 * 2.5**2 * 0.285
ROAD = air(2100) - (air(1450) - 48)
AFTER = ROAD - 2 * air(2100) * STROKE / 9.2
RESERVOIR = 2 * air(2100) * STROKE / (ROAD - 27.1) - 3.2
E_FOLDS = 1.9370  # ln((41.440 - 17.560) / (41.440 - 38)) = ln 6.942, from a table of logarithms
BACK_IN = 9.2 * (ROAD - AFTER) / (air(2100) * 60 / 60) * E_FOLDS


def servo(name: str, **cells: object) -> dict[str, object]:
    """A row of the demo's servo under another name, with cells typed over; None leaves one blank."""
    return {key: value for key, value in {**SERVO, "servo": name, **cells}.items() if value is not None}


def tee(name: str, **cells: object) -> dict[str, object]:
    return {key: value for key, value in {**TEE, "tee": name, **cells}.items() if value is not None}


def line(name: str, **cells: object) -> dict[str, object]:
    """A line like the demo's first leg under another name."""
    legs = {str(row["line"]): row for row in demo_job().lines}
    return {key: value for key, value in {**legs["VA-1"], "line": name, **cells}.items() if value is not None}


# Name of a row, cells typed over in the demo's row, and what its Check then says ("..." stands for any words between).
Case = tuple[str, dict[str, object], str]
WEAK = "before any stop, at least 27.1: fit a vacuum pump"
SERVO_WORDS: list[Case] = [
    ("enough", {"reservoir": 14}, "Near limit: 28.7 kPa left after 2 stops, at least 27.1"),
    ("as advised", {"reservoir": 12.2}, "Near limit: 27.2 kPa left after 2 stops, at least 27.1"),
    ("plenty", {"reservoir": 30}, "Within limits"),
    ("a hair short", {"reservoir": 12.11}, "Change: 27.09..."),  # never "27.1, at least 27.1"
    ("one stop", {"stops": 1}, "Near limit: 29.5 kPa left after 1 stop, at least 27.1"),
    ("tandem", {"diaphragms": 2}, "Change: 0.0 kPa left after 2 stops, at least 27.1: reservoir 27.5 L or more"),
    ("in words", {"diameter": "25 cm", "stroke": "28,5", "vacuum": "14.18 inHg", "at": "4757 ft", "volume": "3200 mL"},
     "Change: 17.6 kPa..."),
    ("weak", {"vacuum": 30}, f"Change: 23.4 kPa at 2100 m {WEAK}"),
    ("near weak", {"vacuum": 34, "stroke": 1, "reservoir": 150, "back": 27.2},
     f"Near limit: 27.4 kPa at 2100 m {WEAK}"),
    ("too large to fit", {"vacuum": 34}, "Change: 3.6 kPa left after 2 stops...: fit a vacuum pump"),
    ("none left", {"vacuum": 5}, f"Change: 0.0 kPa at 2100 m {WEAK}"),
    ("too deep", {"vacuum": 90}, "Cannot be worked out: see Vacuum at the road"),
    ("minus", {"vacuum": -48}, "Cannot be worked out: see Vacuum at the road"),
    ("absolute", {"vacuum": "37 kPa abs"}, "Cannot be worked out: Vacuum measured: ..."),
    ("no unit", {"volume": "3 gal"}, "Cannot be worked out: Servo volume: ..."),
    ("half a stop", {"stops": 1.5}, "Cannot be worked out: see Vacuum after stops"),
    ("stops in words", {"stops": "two"}, "Cannot be worked out: Stops wanted: ..."),
    ("stops as text", {"stops": "2"}, "Change: 17.6 kPa left after 2 stops, ..."),
    ("five chambers", {"diaphragms": 5}, "Cannot be worked out: see Stroke volume"),
    ("large stroke", {"volume": 1, "reservoir": 30},
     "Change: a stroke sweeps 1.399 L, the servo holds 1.000 L: check both"),
    ("too much", {"reservoir": 30, "back": 45},
     "Change: 45.0 kPa wanted back, the engine gives 41.4 at 2100 m: want less"),
    ("too little", {"reservoir": 30, "back": 20}, "Change: 20.0 kPa wanted back, at least 27.1"),
    ("no such line", {"reservoir": 30, "feed": "VA-9"}, "Cannot be worked out: VA-9 is not a line of Lines"),
    ("half a line", {"reservoir": 30, "feed": "HALF"}, "Cannot be worked out: fill in line HALF on Lines first"),
    ("oil line", {"reservoir": 30, "feed": "GB-1"}, "Change: GB-1 is no vacuum line on Lines"),
    ("two flows", {"reservoir": 30, "flow": 40}, "Change: VA-3 carries 60.0 L/min on Lines, typed 40.0: clear one"),
    ("same flow", {"reservoir": 30, "flow": 60}, "Within limits"),
    ("typed flow", {"reservoir": 30, "feed": None, "flow": "2 CFM"}, "Within limits"),
    ("odd flow", {"reservoir": 30, "feed": None, "flow": "2 gpm"}, "Cannot be worked out: Flow, where no line: ..."),
    ("no flow", {"reservoir": 30, "feed": None}, "Not checked: fill in Feed line, or its flow"),
    ("still", {"reservoir": 30, "feed": None, "flow": 0}, "Cannot be worked out: see Back in"),
    ("height not said", {"at": None, "reservoir": 30}, "Within limits"),
    ("no tank said", {"reservoir": None}, "Not checked: fill in Reservoir fitted"),
    ("no tank", {"reservoir": 0}, "Change: 0.0 kPa left after 2 stops, at least 27.1: reservoir 12.2 L or more"),
    ("twin", {"reservoir": 30}, "Change: two rows are called twin"),
    ("twin", {"reservoir": 30}, "Change: two rows are called twin"),
]  # fmt: skip
LINES = [
    line("HALF", length=None), line("SAME", length=0.45), line("NEAR", length=0.63),
    line("TURN", length=0.56, flow=15), line("TURN-1", flow=15),
    line("FED-30", flow=30), line("FED-5", flow=5), line("FED-80", flow=80),
    line("FED-0", flow=0), line("SLOW-1", flow=2.5), line("SLOW-2", flow=2.5, length=0.9),
    line("BENT", fittings="2x elbow 90"), line("WIDE", hose="vacuum brake hose 11.1"), line("RUBBER", hose="unknown"),
    line("HOT", hottest=130), line("WIDE-2", hose="vacuum brake hose 11.1", length=0.9),
    line("WIDE-3", hose="vacuum brake hose 9.5", length=0.9), line("STILL-1", flow=0),
    line("STILL-2", flow=0, length=0.9),
]  # fmt: skip
# By hand. Turbulent air in smooth hose (Blasius): flows are as (bore 1 / bore 2)^(19/7) x (length 2 / length 1)^(4/7)
# and bores for equal shares as length^(4/19); laminar: as length 2 / length 1, and as length^(1/4). Two elbows of K 0.9
# are worth about 0.4 m of this hose, so that a bent leg of 0.45 m is nearly like 0.9 m.
TEE_WORDS: list[Case] = [
    ("even", {"leg2": "SAME"}, "Within limits"),
    ("near", {"leg2": "NEAR"}, "Near limit: leg 1 carries 54.9 %, at most 55: leg 2 wants 8.5 mm or equal lengths"),
    ("slow", {"fed": "FED-5", "leg1": "SLOW-1", "leg2": "SLOW-2"},
     "Change: leg 1 carries 67 %, at most 55: leg 2 wants 9.4 mm or equal lengths"),
    ("the other way", {"leg1": "VA-2", "leg2": "VA-1"},
     "Change: leg 1 carries 40 %, at least 45: leg 2 wants 6.8 mm or equal lengths"),
    ("wider", {"leg2": "WIDE"}, "Change: leg 1 carries 28 %, at least 45: leg 2 wants 7.9 mm"),
    ("all wrong", {"leg2": "WIDE-2"},
     "Change: leg 1 carries 37 %, at least 45: leg 2 wants 9.2 mm or legs alike"),
    ("as advised", {"leg2": "WIDE-3"}, "Within limits"),
    ("turning", {"leg1": "TURN-1", "leg2": "TURN", "fed": "FED-30"},
     "Near limit: leg 1 carries 5... to 55.4 in doubt, at most 55"),
    ("bent", {"leg1": "BENT"}, "Within limits"),
    ("bent, short", {"leg2": "BENT"}, "Change: leg 1 carries ... %, at most 55: bore, length and fittings alike"),
    ("no valve 2", {"leg2": "SAME", "valve2": "no"}, "Change: no non-return valve in leg 2"),
    ("no valve 1", {"valve1": "no"}, "Change: no non-return valve in leg 1"),
    ("no valve", {"valve1": "no", "valve2": "no"}, "Change: no non-return valve in either leg"),
    ("valve not said", {"valve2": None}, "Not checked: fill in Valve in leg 2"),
    ("odd word", {"leg2": "SAME", "valve1": "perhaps"}, "Cannot be worked out: see Valve in leg 1, yes or no"),
    ("no line", {"leg1": "VA-9"}, "Cannot be worked out: VA-9 is not a line of Lines"),
    ("half", {"leg2": "HALF"}, "Cannot be worked out: fill in line HALF on Lines first"),
    ("one leg", {"leg2": "VA-1"}, "Change: both legs are VA-1"),
    ("in a ring", {"leg2": "VA-3"}, "Change: VA-3 is a leg and the line that it feeds"),
    ("oil", {"leg2": "GB-1"}, "Change: GB-1 is no vacuum line on Lines"),
    ("no hose", {"leg2": "RUBBER"}, "Cannot be worked out: see line RUBBER on Lines"),
    ("hot", {"leg2": "HOT"}, "Change: leg 2, ...130..."),
    ("adds up not", {"leg2": "SAME", "fed": "FED-80"},
     "Change: the legs carry 60.0 L/min on Lines, FED-80 carries 80.0"),
    ("still", {"leg1": "STILL-1", "leg2": "STILL-2", "fed": "FED-0"}, "Cannot be worked out: see Leg 1 carries"),
]  # fmt: skip


@cache
def many() -> Job:
    """One job with the demo's rows and a row for every word of the sheet."""
    job = demo_job()
    tables = {
        **job.tables,
        "servos": [SERVO, *(servo(name, **cells) for name, cells, _ in SERVO_WORDS)],
        "tees": [TEE, *(tee(name, **cells) for name, cells, _ in TEE_WORDS)],
    }
    return Job(job.start, [*job.lines, *LINES], job.fluids, job.hoses, tables=tables)


@cache
def book() -> Retyped:
    """The book of the demo job, into which most tests type."""
    return Retyped(demo_job(), 18, [NAME])


def tables(job: Job) -> list[Placed]:
    return placed(TABLES, job)


def column(report: Shows, job: Job, table: int, key: str) -> list[object]:
    """What a column says from the first row down."""
    where = tables(job)[table]
    letter = where.made.letter(key)
    return [report.value_at(NAME, f"{letter}{where.made.first_row + row}") for row in range(where.count)]


def chart_row(job: Job) -> int:
    """Row of the cell that picks the servo of the chart."""
    return tables(job)[1].last_row + 4


@pytest.fixture(scope="module")
def demo() -> Frozen:
    return book().of(demo_job()).frozen()


@pytest.fixture(scope="module")
def all_rows() -> Report:
    return computed(many(), len(many().lines), [NAME])


@pytest.mark.parametrize(
    ("table", "key", "expected", "within"),
    [
        (0, "swept", STROKE, 1e-4),
        (0, "road", ROAD, 0.005),
        (0, "after", AFTER, 0.005),
        (0, "wanted", RESERVOIR, 0.005),
        (0, "available", int((ROAD - 27.1) / (air(2100) * STROKE / 9.2)), 0),  # 14.34 kPa over 11.94 a stop: one
        (0, "recovery", BACK_IN, 0.005),
        (0, "used", 60, 0),  # the flow of VA-3 on Lines
        (1, "share", 100 / (1 + 0.5 ** (4 / 7)), 0.3),  # Blasius: 59.8
        (1, "flow1", 60 / (1 + 0.5 ** (4 / 7)), 0.2),
        (1, "flow2", 60 - 60 / (1 + 0.5 ** (4 / 7)), 0.2),
        (1, "boreleg", 7.9 * 2 ** (1 / 4.75), 0.03),  # equal loss at equal flow: length / bore^4.75 alike
        (1, "bore1", 7.9, 0),
        (1, "length2", 0.9, 0),
    ],
)
def test_figures_of_the_demo(demo: Frozen, table: int, key: str, expected: float, within: float) -> None:
    assert column(demo, demo_job(), table, key)[0] == pytest.approx(expected, abs=within)


def test_the_demo_says_what_to_change(demo: Frozen) -> None:
    job = demo_job()
    assert column(demo, job, 0, "check")[0] == (
        "Change: 17.6 kPa left after 2 stops, at least 27.1: reservoir 12.2 L or more"
    )
    assert column(demo, job, 1, "check")[0] == (
        "Change: leg 1 carries 60 %, at most 55: leg 2 wants 9.2 mm or equal lengths"
    )
    assert {*column(demo, job, 0, "others")[:1], *column(demo, job, 1, "others")[:1]} == {""}
    assert (column(demo, job, 1, "hose1")[0], column(demo, job, 1, "hose2")[0]) == ("Within limits",) * 2
    assert column(demo, job, 1, "memory")[0] == "hose"  # the heat that vacuum brake hose stands is from memory
    assert str(demo.value_at(NAME, "A3")).startswith("Change 2   Cannot be worked out 0   Not checked 0")


def test_the_chart_says_the_answer_and_falls_by_one_stroke_a_stop(demo: Frozen) -> None:
    row = chart_row(demo_job())
    assert demo.value_at(NAME, f"D{row + 1}") == (
        "brake servo: 17.6 kPa left after 2 stops at 2100 m, at least 27.1 kPa: reservoir 6.0 L fitted, 12.2 L wanted"
    )
    shown = sum(not each.folded for each in TABLES[0].made.columns)
    first = shown + 1 + 15  # stops, fitted, wanted, least
    cell = openpyxl.utils.get_column_letter
    for stops in range(7):
        got = [demo.value_at(NAME, f"{cell(first + n)}{row + 1 + stops}") for n in range(4)]
        lost = stops * air(2100) * STROKE
        assert got == pytest.approx([stops, max(ROAD - lost / 9.2, 0), max(ROAD - lost / 15.4, 0), 27.1], abs=0.005)


def like(words: str, pattern: str) -> bool:
    """True where words are the pattern, `...` in it standing for any words."""
    return re.fullmatch(".*".join(re.escape(part) for part in pattern.split("...")), words) is not None


@pytest.mark.parametrize("place", range(len(SERVO_WORDS)), ids=[name for name, _, _ in SERVO_WORDS])
def test_a_servo_says(all_rows: Report, place: int) -> None:
    said = str(column(all_rows, many(), 0, "check")[place + 1])
    assert like(said, SERVO_WORDS[place][2]), said


@pytest.mark.parametrize("place", range(len(TEE_WORDS)), ids=[name for name, _, _ in TEE_WORDS])
def test_a_tee_says(all_rows: Report, place: int) -> None:
    said = str(column(all_rows, many(), 1, "check")[place + 1])
    assert like(said, TEE_WORDS[place][2]), said


def others(report: Report, table: int, name: str) -> str:
    """Other reasons of a row of the job with a row for every word."""
    names, found = (column(report, many(), table, key) for key in (("servo", "tee")[table], "others"))
    return str(found[names.index(name)])


@pytest.mark.parametrize(
    ("table", "name", "words"),
    [
        (0, "too deep", "is more than the air pressure itself"),
        (0, "weak", "kPa left after 2 stops, at least 27.1: fit a vacuum pump"),
        (0, "still", "with a flow of 0 the vacuum never comes back"),
        (0, "half a stop", "not a whole number"),
        (1, "no valve 1", "leg 1 carries 60 %, at most 55"),
        (1, "still", "with a flow of 0 there is nothing to share"),
    ],
)
def test_other_reasons_say_why(all_rows: Report, table: int, name: str, words: str) -> None:
    assert words in others(all_rows, table, name)


@pytest.mark.parametrize(
    "name", ["no unit", "absolute", "stops in words", "odd flow", "no such line", "half a line", "large stroke"]
)
def test_one_cause_is_said_once(all_rows: Report, name: str) -> None:
    assert others(all_rows, 0, name) == ""


def test_a_blank_height_is_the_workshops(all_rows: Report) -> None:
    names = column(all_rows, many(), 0, "servo")
    road = column(all_rows, many(), 0, "road")[names.index("height not said")]
    assert road == pytest.approx(ROAD, abs=0.005)


def test_a_road_without_a_height_is_never_taken_for_the_sea() -> None:
    job = demo_job()
    start = {key: value for key, value in job.start.items() if key != "RoadAltitude"}
    report = book().of(Job(start, job.lines, hoses=job.hoses, tables={"servos": [SERVO]}))
    assert column(report, job, 0, "check")[0] == "Not checked: fill in Highest road, on Start"


def test_the_shops_own_limits_decide() -> None:
    job = demo_job()
    start = {**job.start, "VacuumLeast": 15, "VacuumShareMost": 62}
    report = book().of(Job(start, job.lines, job.fluids, job.hoses, tables=job.tables))
    assert column(report, job, 0, "check")[0] == "Within limits"  # 17.56 is more than 10 % above 15
    assert column(report, job, 1, "check")[0] == "Within limits"  # 60 of 62: less than nine tenths of the way from 50


@pytest.mark.parametrize(
    ("cells", "left", "reservoirs"),
    [
        ({"reservoir": 30}, 34.8, "30.0 L fitted, 12.2 L wanted"),  # 41.44 less two strokes of 3.31 kPa
        ({"vacuum": 30}, 0.0, "6.0 L fitted"),  # below the least from the start: no reservoir helps
    ],
)  # fmt: skip
def test_the_servo_that_is_picked_is_the_one_shown(cells: dict[str, object], left: float, reservoirs: str) -> None:
    job, row = demo_job(), chart_row(demo_job())
    book().type_over(NAME, f"E{row}", "other")
    report = book().of(replace(job, tables={"servos": [SERVO, servo("other", **cells)]}))
    said = f"other: {left} kPa left after 2 stops at 2100 m, at least 27.1 kPa: reservoir {reservoirs}"
    assert report.value_at(NAME, f"D{row + 1}") == said
    below = [ref for ref in report.formulas(NAME) if int(ref.strip(ascii_uppercase)) >= row]
    assert len(below) > 20
    assert [ref for ref in below if isinstance(report.value_at(NAME, ref), CalcError)] == []
    book().type_over(NAME, f"E{row}", None)


def test_an_empty_sheet_invites_and_shows_nothing() -> None:
    report = shipped(EMPTY)
    assert str(report.value_at(NAME, "A3")).startswith("Type the first servo below")
    assert not [value for value in report.values[NAME].values() if isinstance(value, CalcError)]
    for table in (0, 1):
        for key in ("check", "others", *(each.key for each in TABLES[table].made.columns if each.kind == "worked")):
            assert set(column(report, Job(), table, key)) == {""}


def test_names_for_other_sheets_and_formulas_that_a_person_reads() -> None:
    names = ("Names", "List", "AtWorkshop", "Strokes", "Volumes", "Reservoirs", "Stops")
    assert {f"Servo{name}" for name in names} <= set(book().names)
    texts = book().formulas(NAME)
    assert len(texts) > 500
    assert {ref for ref, text in texts.items() if len(text) > 260 and int(ref.strip(ascii_uppercase)) >= 4} == set()
