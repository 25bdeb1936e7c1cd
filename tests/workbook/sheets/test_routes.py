"""Routes and Fittings: lengths, bends, holes and rolls of the demo, and what each changed cell makes the Check say.

Expected lengths are worked here in plain arithmetic: centres / (1 - slack), straights + radius x angle, less cut-offs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from math import pi

import pytest

from xlcalc.core.tables import raw_rows
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW, RowSheet
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets import fittings, hoses, routes

from ..jobs import computed
from ..shipped import EMPTY, shipped
from .retyped import Frozen, Retyped, Shows

FIRST_ROUTE = FIRST_ROW + 2  # one table under its own title
SHEETS = ("Routes", "Fittings")
LINES = {str(row["line"]): row for row in demo_job().lines}
ROUTES = {str(row["line"]): row for row in demo_job().tables["routes"]}
CRIMP, ELBOW = "crimp 37 degree -6 rubber", "crimp 37 degree 90 elbow -6 PTFE"
ENDS = (
    {"part": "wide", "across": 27},
    {"part": "no corners", "across": None},
    {"part": "no cut-off", "cutoff": None},
    {"part": "twin"},
    {"part": "twin"},
    {"part": "clamped", "held": "clamps", "across": None},
    {"part": "huge nut", "size": "-24"},
    {"part": "no metal", "metal": None},
    {"part": "odd seat", "seat": "flare"},
    {"part": "odd angle", "angle": "5 kg"},
    {"part": "no size", "size": None},
)  # each like the demo's first end, but for these cells
BENT = {"shape": "bent", "slack": None, "angle": 90, "bends": 1, "panels": None}
ONE_ELBOW = {"enda": ELBOW, "endb": CRIMP}


def job_of(lines: Sequence[Mapping[str, object]], rows: Sequence[Mapping[str, object]]) -> Job:
    """The demo with more lines and routes, and with the ends above."""
    job = demo_job()
    parts = job.tables["fittings"]
    ends = [*parts, *({**parts[0], **cells} for cells in ENDS)]
    tables = {**job.tables, "routes": [*job.tables["routes"], *rows], "fittings": ends}
    return replace(job, lines=[*job.lines, *lines], tables=tables)


def said(report: Shows, made: RowSheet, first: int, key: str, filled: str = "filled") -> dict[str, object]:
    """Name of a row -> what a column says, in the rows that are filled."""
    found = {}
    for row in range(first, first + 140):
        name = report.value_at(made.name, f"A{row}")
        if name and report.value_at(made.name, f"{made.letter(filled)}{row}"):
            found.setdefault(str(name), report.value_at(made.name, f"{made.letter(key)}{row}"))
    return found


def routed(report: Shows, key: str = "check") -> dict[str, object]:
    return said(report, routes.ROUTES, FIRST_ROUTE, key)


def fitted(report: Shows, key: str = "check") -> dict[str, object]:
    return said(report, fittings.SHEET, FIRST_ROW, key)


@pytest.fixture(scope="module")
def demo() -> Report:
    return computed(demo_job(), 17, SHEETS)


def test_every_route_of_the_demo_says_what_it_must(demo: Report) -> None:
    assert routed(demo) == {
        "PS-1": "Within limits",
        "PS-3": "Not checked: bend radius of return hose 9.5 not in Hoses",
        "GB-1": "Not checked: outside diameter of PTFE braid -8 not in Hoses",
        "FU-2": "Change: bend radius 45 mm, at least 102",
        "FU-3": "Change: slack 1.1 %, at least 5 (5 to 8 wanted): 4628 mm on Lines",
        "BR-2": "Within limits",
    }
    assert set(routed(demo, "others").values()) == {"", "Not checked: outside diameter of return hose 9.5 not in Hoses"}


@pytest.mark.parametrize(
    ("line", "key", "value"),
    [
        ("PS-1", "finished", 1505 / 0.94),  # 1601
        ("PS-1", "cut", 1505 / 0.94 - 24 - 24),  # 1553
        ("PS-1", "slackis", 100 * (1600 - 1505) / 1600),  # 5.9
        ("PS-1", "clips", 2),  # 1600 mm in stretches of at most 610: three, so two clips between the ends
        ("PS-1", "pitch", 1600 / 3),
        ("PS-1", "hole", 17.018 + 2 * 2.5),  # 22.0; the end is 20.2
        ("PS-1", "roll", 1),
        ("PS-3", "finished", 2700 + 2 * 95 * pi / 2),  # 2998: the hose's outside is not known, so along its inside
        ("PS-3", "cut", 2700 + 95 * pi - 40),
        ("PS-3", "clips", 4),  # 3000 / 610: five stretches
        ("PS-3", "least", ""),
        ("GB-1", "hole", ""),
        ("GB-1", "cut", 2440 / 0.94 - 56),
        ("FU-2", "finished", 4060 + 2 * (45 + 13 / 2) * pi / 2),  # along the middle of a hose of 13 mm
        ("FU-2", "least", 102),
        ("FU-2", "slackis", ""),
        ("FU-3", "slackis", 100 * 50 / 4400),  # 1.1
    ],
)
def test_the_figures_of_the_demo_are_those_worked_by_hand(demo: Report, line: str, key: str, value: object) -> None:
    found = routed(demo, key)[line]
    assert found == value if isinstance(value, str) else found == pytest.approx(value, abs=1e-3)


def test_lines_without_a_route_are_counted_above_the_table(demo: Report) -> None:
    assert demo.value_at("Routes", "A4") == "11 of the lines on Lines have no route yet, first PS-2"  # 17 less 6
    assert demo.value_at("Routes", "A3") == (
        "Change 2   Cannot be worked out 0   Not checked 2   Near limit 0   Within limits 2"
    )


PIPE = "clamped on pipe or barb"  # a cited end
CASES: list[tuple[dict[str, object], dict[str, object], str]] = [
    # cells of the route over those of PS-1, cells of its line, what the Check begins with
    ({**BENT, "centres": 1400, "radius": 45}, {}, "Change: bend radius 45 mm, at least 102"),
    ({**BENT, "centres": 1400, "radius": 105}, {}, "Near limit: bend radius 105 mm, at least 102"),
    ({**BENT, "centres": 1400, "radius": 101.7}, {}, "Near limit: bend radius 101.7 mm, at least 101.6"),
    ({**BENT, "centres": 1400, "radius": 120}, {}, "Within limits"),
    ({**BENT, "centres": 1600, "radius": 120}, {}, "Change: Lines has 1.60 m, the route makes 1.80"),
    ({"centres": 1530}, {}, "Change: slack 4.4 %, at least 5 (5 to 8 wanted): 1628 mm on Lines"),
    ({"centres": 1515}, {}, "Near limit: slack 5.3 %, at least 5 (5 to 8 wanted): 1612 mm on Lines"),
    ({"centres": 1459}, {}, "Change: slack 8.8 %, at most 8 (5 to 8 wanted): 1552 mm on Lines"),
    ({"centres": 1480}, {}, "Near limit: slack 7.5 %, at most 8"),
    ({"centres": 1520.2}, {}, "Change: slack 4.988 %, at least 5"),  # 79.8 / 1600
    ({"centres": 1650}, {}, "Change: Lines has 1.60 m, centres are 1.650: 1755 mm long"),
    ({"centres": 1465, "travel": 40}, {}, "Within limits"),  # (1560 - 1465) / 1560 = 6.1 %
    ({"drilled": 20}, {}, "Change: end 20.2 mm does not pass the 20 mm hole"),
    ({"drilled": 24, "endb": "wide"}, {}, "Change: end 27 mm does not pass the 24 mm hole"),
    ({"drilled": 21}, {}, "Change: hole 21 mm, hose and grommet want at least 22.0"),
    ({"drilled": 22.5}, {}, "Within limits"),
    ({"wall": 3, "drilled": 22.5}, {}, "Change: hole 22.5 mm, hose and grommet want at least 28.0"),
    ({"fitted": 1}, {}, "Change: clips 800 mm apart, at most 610: 2 clips"),
    ({"heated": 500, "overlap": 20}, {}, "Change: sleeve overlap 20 mm, at least 50"),
    ({"heated": 500}, {}, "Within limits"),
    ({"heated": 1800}, {}, "Change: sleeve or wrap over 1800 mm, the route makes 1601"),
    ({"wrap": "2 m"}, {}, "Change: sleeve or wrap over 2000 mm, the route makes 1601"),
    ({}, {"ends": "reusable"}, f"Change: Lines has ends reusable, {CRIMP} is crimped"),
    ({"enda": "clamped", "endb": "clamped"}, {"ends": "clamps"}, "Within limits"),  # only the hose passes the hole
    ({"enda": "no corners"}, {}, "Not checked: across corners of no corners not in Fittings"),
    ({"enda": "no corners", "panels": None}, {}, "Within limits"),
    ({"endb": "no cut-off"}, {}, "Not checked: cut-off of no cut-off not in Fittings"),
    ({"endb": "twin"}, {}, "Cannot be worked out: see twin on Fittings"),
    ({"endb": "nothing"}, {}, "Cannot be worked out: nothing is not a row of Fittings"),
    ({"shape": None}, {}, "Not checked: fill in Shape"),
    ({"shape": "round"}, {}, "Cannot be worked out: see Shape, not a word of its list"),
    ({"centres": None}, {}, "Not checked: fill in Centres or straights"),
    ({"enda": None}, {}, "Not checked: fill in End A"),
    ({**BENT, "radius": None}, {}, "Not checked: fill in Bend radius"),
    ({**BENT, "radius": 120, "bends": None}, {}, "Not checked: fill in Bends"),
    ({"kind": "steel tube"}, {}, "Not checked: fill in Tube size"),
    ({"kind": "steel tube", "tube": "-6"}, {}, "Within limits"),
    ({"grommet": None}, {}, "Not checked: fill in Grommet wall"),
    ({"enda": ELBOW, "endb": ELBOW}, {}, "Not checked: fill in Clock angle"),
    ({"enda": ELBOW, "endb": ELBOW, "clock": 90}, {}, "Within limits"),
    (ONE_ELBOW, {}, "Within limits"),
    ({"measured": "no"}, {}, "Not checked: measure the run on the vehicle"),
    ({"centres": "1505 L"}, {}, "Cannot be worked out: Centres or straights: "),
    ({"centres": "1505 mm", "slack": "6 %", "grommet": "2,5", "panels": "1"}, {}, "Within limits"),
    ({"slack": None}, {}, "Within limits"),
    ({}, {"length": None}, "Cannot be worked out: fill in line T46 on Lines first"),
    ({}, {"hose": "no such hose"}, "Cannot be worked out: see Hose of T47 on Lines"),
    ({"centres": 10_000, "panels": None}, {"hose": "textile -10", "length": 10.6},
     "Change: piece of 10590 mm, a roll has 10 m"),
    ({"centres": 1505}, {"hose": "textile -10"},
     "Cannot be worked out: see Cut from roll, another piece of this hose is too long"),
    ({"panels": None}, {"hose": "textile -8"}, "Within limits"),
    ({"endb": "no metal"}, {}, "Within limits"),
    ({"kind": "rope", "tube": "-6"}, {}, "Cannot be worked out: see Clips"),
    ({"slack": 0.06}, {}, "Cannot be worked out: see Finished length"),
    ({}, {"hose": "textile -8"}, "Not checked: outside diameter of textile -8 not in Hoses"),
    ({"enda": PIPE, "endb": PIPE}, {"ends": "clamps"}, "Within limits"),  # without a row of the shop's own
    ({"enda": PIPE}, {}, f"Change: Lines has ends crimped, {PIPE} is held by clamps"),
]  # fmt: skip
NAMES = [f"T{number}" for number in range(1, len(CASES) + 1)]


@pytest.fixture(scope="module")
def cases() -> Report:
    """One workbook with a line and a route of its own for each case."""
    named = list(zip(NAMES, CASES, strict=True))
    lines = [{**LINES["PS-1"], **cells, "line": name} for name, (_, cells, _) in named]
    rows = [{**ROUTES["PS-1"], **cells, "line": name} for name, (cells, _, _) in named]
    twice = {**ROUTES["PS-1"], "line": "PS-2"}
    return computed(job_of(lines, [*rows, {**twice, "line": "X-9"}, twice, twice, {**twice, "line": None}]), 1, SHEETS)


@pytest.mark.parametrize(("name", "case"), list(zip(NAMES, CASES, strict=True)), ids=[case[2] for case in CASES])
def test_a_changed_cell_changes_the_verdict(
    cases: Report, name: str, case: tuple[dict[str, object], dict[str, object], str]
) -> None:
    assert str(routed(cases)[name]).startswith(case[2])


def test_a_length_that_cannot_be_worked_out_says_why(cases: Report) -> None:
    name = NAMES[[case[0] for case in CASES].index({"slack": 0.06})]
    assert routed(cases, "others")[name] == 'Slack: 0.06 is 0.06 %: type 6, or text "0.06 %"'


def test_a_hose_on_two_pipes_is_cut_as_long_as_it_is_measured(cases: Report) -> None:
    name = NAMES[[case[0] for case in CASES].index({"enda": PIPE, "endb": PIPE})]
    finished, cut = (routed(cases, key)[name] for key in ("finished", "cut"))
    assert finished == cut == pytest.approx(1505 / 0.94)  # 6 % of its length is slack


def test_a_line_that_is_not_there_a_line_twice_and_a_row_without_a_line(cases: Report) -> None:
    assert routed(cases)["X-9"] == "Cannot be worked out: X-9 is not a line of Lines"
    assert routed(cases)["PS-2"] == "Change: two rows are called PS-2"
    checks = {cases.value_at("Routes", f"B{row}") for row in range(FIRST_ROUTE, FIRST_ROUTE + 70)}
    assert "Not checked: fill in Line" in checks


def of_case(report: Shows, key: str, **cells: object) -> object:
    """A column of the case with just these cells."""
    return routed(report, key)[NAMES[[case[0] for case in CASES].index(cells)]]


def test_sleeve_travel_and_the_middle_of_the_slack(cases: Report) -> None:
    assert of_case(cases, "sleeve", heated=500) == pytest.approx(0.6)  # 500 and 50 mm past each end
    assert of_case(cases, "finished", centres=1465, travel=40) == pytest.approx(1465 / 0.94 + 40)
    assert of_case(cases, "finished", slack=None) == pytest.approx(1505 / 0.935)  # 6.5 %
    assert of_case(cases, "finished", **BENT, centres=1400, radius=120) == pytest.approx(
        1400 + (120 + 17.018 / 2) * pi / 2
    )
    assert of_case(cases, "hole", wall=3, drilled=22.5) == pytest.approx(17.018 + 6 + 5)
    assert of_case(cases, "clips", fitted=1) == 1
    assert of_case(cases, "cut", endb="no cut-off") == ""


@pytest.mark.parametrize(
    ("part", "says"),
    [
        (CRIMP, "Within limits"),
        ("twin", "Change: two rows are called twin"),
        ("huge nut", "Not checked: no torque known for size -24: ask the maker"),
        ("no metal", "Not checked: fill in Metal"),  # a route has it
        ("no corners", "Within limits"),
        ("odd seat", "Cannot be worked out: see Seat, not a word of its list"),
        ("odd angle", "Cannot be worked out: Angle: "),
        ("no size", "Not checked: fill in Size"),
        ("reusable 37 degree -6 PTFE", "Within limits"),
    ],
)
def test_what_an_end_says(cases: Report, part: str, says: str) -> None:
    assert str(fitted(cases)[part]).startswith(says)


def test_ends_are_counted_and_torqued_by_size_metal_and_seat(demo: Report) -> None:
    low, high, uses = (fitted(demo, key) for key in ("low", "high", "uses"))
    # NAVEDTRA 14018: steel -6 24.3 to 27.7 N m, aluminium -5 7.9 to 10.2
    assert (low[CRIMP], high[CRIMP]) == (24.3, 27.7)
    assert (low["crimp 37 degree -5 PTFE"], high["crimp 37 degree -5 PTFE"]) == (7.9, 10.2)
    assert low["crimp banjo -5 PTFE"] == low["crimp O-ring face -8 PTFE"] == ""
    assert (uses[CRIMP], uses["bead 9.5"], uses["crimp banjo -5 PTFE"], uses["tube nut 37 degree -6"]) == (2, 2, 1, 0)
    slots = [slot for slot in fitted(demo, "slot").values() if slot != ""]
    assert slots == [2, 3, 4, 5, 6, 7, 8, 9]  # places in FittingNames, which starts at the guard row


def test_hoses_in_use_have_a_place(demo: Report) -> None:
    uses, slots = (said(demo, hoses.SHEET, FIRST_ROW, key, "name") for key in ("uses", "slot"))
    used = ("wire braid rubber -6", "PTFE braid -6", "PTFE braid -8", "PTFE conductive -5", "PTFE conductive -6",
            "return hose 9.5")  # fmt: skip
    assert {name for name, count in uses.items() if count} == set(used)
    assert slots["wire braid rubber -6"] == 2 + list(uses).index("wire braid rubber -6")  # the guard row is the first
    assert [slot for slot in slots.values() if slot != ""] == sorted(slots[name] for name in used)


def test_cited_ends_carry_the_figures_of_the_table() -> None:
    table = {(row["part"], row["size"]): row for row in raw_rows("ends")}
    cited = {str(row["part"]): row for row in fittings.cited_rows()}
    found = table[("reusable hose end, 37 degree swivel, PTFE hose", "-8")]
    assert cited["reusable 37 degree -8 PTFE"]["cutoff"] == float(found["cutoff_straight [mm]"]) == 23.6
    assert cited["tube nut 37 degree -6"]["across"] == 20.15
    assert [name for name, row in cited.items() if not str(row["source"]).startswith("cited: ")] == []
    clamped = cited["clamped on pipe or barb"]  # measured to the ends of the hose: the end adds nothing
    assert (clamped["cutoff"], clamped["held"], clamped["mark"]) == (0, "clamps", "P")


HOSES = [f"{row['family']} {row['size']}" for row in raw_rows("hoses")][: routes.HOSES_AT_MOST + 1]
PIECES = {"R1": 6000, "R2": 5000, "R3": 4900, "R4": 3900, "R5": 997}
ROLL_OF = {"R1": 1, "R4": 1, "R2": 2, "R3": 2, "R5": 3}  # 6000 + 3900 and 5000 + 4900: 97 mm left in each roll of 10 m


def _many_hoses() -> Job:
    """Pieces of one hose, and as many other hoses as there are columns for."""
    cells = {"panels": None, "slack": 0}
    lines = [{**LINES["PS-1"], "line": name} for name in PIECES]
    rows = [{**ROUTES["PS-1"], **cells, "line": name, "centres": cut + 48} for name, cut in PIECES.items()]
    lines += [{**LINES["PS-1"], "line": f"H{number}", "hose": hose} for number, hose in enumerate(HOSES)]
    rows += [{**ROUTES["PS-1"], "line": f"H{number}"} for number, _ in enumerate(HOSES)]
    job = demo_job()
    own = [row for row in rows if row["line"] != f"H{HOSES.index('wire braid rubber -6')}"]
    return replace(job, lines=lines, tables={**job.tables, "routes": own})


@lru_cache(1)
def book() -> Retyped:
    """The book of many hoses."""
    return Retyped(_many_hoses(), 1, SHEETS)


@pytest.fixture(scope="module")
def many() -> Frozen:
    return book().of(_many_hoses()).frozen()


@pytest.fixture(scope="module")
def sorted_backwards() -> Frozen:
    job = _many_hoses()
    return book().of(replace(job, tables={**job.tables, "routes": job.tables["routes"][::-1]})).frozen()


def test_pieces_of_one_hose_share_rolls_and_other_hoses_do_not(many: Frozen) -> None:
    rolls = routed(many, "roll")
    assert {name: rolls[name] for name in PIECES} == ROLL_OF
    assert {rolls[f"H{number}"] for number in range(1, routes.HOSES_AT_MOST) if f"H{number}" in rolls} == {1}


def test_the_hose_past_the_last_column_is_not_checked(many: Frozen) -> None:
    last = f"H{routes.HOSES_AT_MOST}"
    words = f"{routed(many)[last]}; {routed(many, 'others')[last]}"
    assert f"Not checked: roll of {HOSES[-1]}, too many hoses" in words
    assert routed(many, "roll")[last] == ""


def test_a_route_keeps_its_answers_when_rows_are_sorted(many: Frozen, sorted_backwards: Frozen) -> None:
    for key in ("check", "finished", "cut", "hole"):
        assert routed(many, key) == routed(sorted_backwards, key)
    longest = routed(sorted_backwards, "roll")
    assert longest["R1"] == longest["R4"] != longest["R2"] == longest["R3"]


def test_pieces_stand_in_the_column_of_their_hose(many: Frozen) -> None:
    names = book().names
    made = routes.ROUTES
    first, last = made.letter("grid1"), made.letter(f"grid{routes.HOSES_AT_MOST}")
    assert names["RouteGridHoses"] == f"Routes!${first}$7:${last}$7"
    assert names["RouteGrid"].startswith(f"Routes!${first}$9:${last}$")
    heads = [many.value_at("Routes", f"{made.letter(f'grid{place}')}7") for place in range(1, routes.HOSES_AT_MOST + 1)]
    assert heads == HOSES[:-1]
    column = made.letter(f"grid{1 + HOSES.index('wire braid rubber -6')}")
    cells = [many.value_at("Routes", f"{column}{row}") for row in range(FIRST_ROUTE, FIRST_ROUTE + 30)]
    assert [cell for cell in cells if isinstance(cell, int | float)] == pytest.approx(list(PIECES.values()))


def test_an_empty_sheet_invites_and_says_nothing_else() -> None:
    report = shipped(EMPTY)
    assert str(report.value_at("Routes", "A3")).startswith("Pick the first line below")
    assert report.value_at("Routes", "A4") == ""
    shown = [routes.ROUTES.letter(column.key) for column in routes.ROUTES.columns if not column.folded]
    rows = range(FIRST_ROUTE, FIRST_ROUTE + 3)
    found = {report.value_at("Routes", f"{letter}{row}") for letter in shown for row in rows}
    assert found <= {"", None}
