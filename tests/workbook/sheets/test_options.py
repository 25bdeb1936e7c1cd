"""Options: which of up to three hoses passes, what it costs, and what the pick asks of Lines."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from math import exp, log10, pi

import pytest

from xlcalc.workbook.building.blocks import placed
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.lines import SHEET as LINES
from xlcalc.workbook.sheets.options import TABLES

from .retyped import Frozen, Retyped, Shows

Row = Mapping[str, object]
ROOM = 16  # options in the book
MADE = placed(TABLES, Job())[0].made  # where the table stands does not hang on its rows


@lru_cache(1)
def book() -> Retyped:
    """The book of the demo job with room for more options, into which the tests type."""
    job = demo_job()
    rows = [*job.tables["options"], *ROOM * [{}]][:ROOM]
    return Retyped(replace(job, tables={**job.tables, "options": rows}), 18, ["Options", "Prices"])


def computed(job: Job) -> Retyped:
    """The book with another job in it. What a test wants of one job it reads before it types the next."""
    return book().of(job)


def found(report: Shows, key: str = "check") -> list[object]:
    """What a column says, row by row."""
    letter, first = MADE.letter(key), MADE.first_row
    return [report.value_at("Options", f"{letter}{row}") for row in range(first, first + 30)]


def with_options(rows: Sequence[Row], lines: Mapping[str, Row] | None = None, **start: object) -> Job:
    """The demo job with these options, and with cells of lines typed over."""
    job = demo_job()
    changed = [{**row, **(lines or {}).get(str(row["line"]), {})} for row in job.lines]
    return replace(job, lines=changed, start={**job.start, **start}, tables={**job.tables, "options": rows})


def typed(line: str, option: str, hose: str, ends: str = "crimped", **cells: object) -> Row:
    """A row with a price."""
    return {"line": line, "option": option, "hose": hose, "ends": ends, "metre": 10, "each": 5, "hours": 1, **cells}


def demo_options(*changes: tuple[int, Row]) -> list[Row]:
    """The demo's options with cells of some rows typed over."""
    rows: list[Row] = list(demo_job().tables["options"])
    for place, cells in changes:
        rows[place] = {**rows[place], **cells}
    return rows


@pytest.fixture(scope="module")
def demo() -> Frozen:
    return computed(demo_job()).frozen()


# A second calculation in plain Python: viscosity by ASTM D341 through the two printed points of the oil, density by the
# thermal expansion of a lubricating oil, laminar drop 128 mu L Q / (pi d^4).
def oil(celsius: float, at40: float, at100: float, density: float) -> tuple[float, float]:
    """Viscosity in mm2/s and density in kg/m3."""

    def w(viscosity: float) -> float:
        return log10(log10(viscosity + 0.7))

    low, high, here = (log10(273.15 + each) for each in (40.0, 100.0, celsius))
    viscosity = 10 ** 10 ** (w(at40) + (w(at100) - w(at40)) * (here - low) / (high - low)) - 0.7
    alpha = 0.6278 / density  # ASTM D1250-80, lubricating oils: K1 / density, K0 = 0
    heat = celsius - 15.0
    return viscosity, density * exp(-alpha * heat * (1 + 0.8 * alpha * heat))


def laminar_drop(flow: float, bore: float, length: float, viscosity: float, density: float) -> float:
    """Drop in kPa of a flow in L/min through a bore in mm."""
    return 128 * viscosity * 1e-6 * density * length * (flow / 60000) / (pi * (bore / 1000) ** 4) / 1000


ATF, STEERING = oil(-22, 34, 7.2, 865), oil(-22, 33, 7, 870)
BORES = (9.5, 12.7, 15.9), (9.5, 12.7, 16.0)
DROPS = [laminar_drop(7, bore, 3.1, *ATF) for bore in BORES[0]]
DROPS += [laminar_drop(8, bore, 3.0, *STEERING) for bore in BORES[1]]
AREAS = [pi / 4 * (bore / 1000) ** 2 for bores in BORES for bore in bores]
OF_GB1 = laminar_drop(7, 10.3, 2.6, *ATF)


def test_the_oils_are_as_thick_as_the_sheet_says(demo: Frozen) -> None:
    assert found(demo, "viscosity")[:6] == pytest.approx([ATF[0]] * 3 + [STEERING[0]] * 3, rel=1e-3)


@pytest.mark.parametrize(
    ("key", "expected", "within"),
    [
        ("dropcold", DROPS, 0.005),
        ("coldflow", [7 * 200 / drop for drop in DROPS[:3]] + [8 * 690 / DROPS[3], 8, 8], 0.005),
        ("circuitflow", [7 * 200 / (drop + OF_GB1) for drop in DROPS[:3]], 0.005),
        ("downto", [9.7, -9.1, -20.7, -9.0], 0.01),  # the job's figures; PS-3 stands on Lines
        ("v", [flow / 60000 / area for flow, area in zip((7, 7, 7, 8, 8, 8), AREAS, strict=True)], 0.001),
        ("limit", [690, 690, 5500, 690, 1720, 1720], 1e-6),  # clamps; the hoses' own
        # Prices: textile -6 6.80, PTFE braid -12 36.00, return hose 9.5 5.20 a metre, ten hose clamps 9.00
        ("metreused", [6.8, 8.3, 36, 5.2, 7.4, 9.6], 1e-9),
        ("eachused", [0.9, 0.9, 29, 0.9, 9.6, 10.4], 1e-9),
        # metres x price + 2 ends + hours x 50, by hand
        ("price", [3.1 * 6.8 + 1.8 + 30, 3.1 * 8.3 + 1.8 + 30, 3.1 * 36 + 58 + 50, 57.4, 81.4, 89.6], 1e-9),
        ("peryear", [52.88 / 6, 57.53 / 6, 219.6 / 15, 57.4 / 6, 81.4 / 8, 89.6 / 8], 1e-9),
        ("better", [4.65, 0, -162.07, 32.2, 8.2, 0], 1e-9),
        # laminar: the bore goes with the fourth root of flow over drop
        ("borefull", [9.5 * (drop / 200) ** 0.25 for drop in DROPS[:1] * 3] + [9.5 * (DROPS[3] / 690) ** 0.25], 0.002),
    ],
)  # fmt: skip
def test_the_numbers_of_the_demo(demo: Frozen, key: str, expected: Sequence[float], within: float) -> None:
    assert found(demo, key)[: len(expected)] == pytest.approx(expected, rel=within, abs=1e-9)


def test_the_doubt_of_the_cold_drop_stands_beside_it(demo: Frozen) -> None:
    """Viscosity 10 % either way; cold ATF may be as thick as its grade allows at -22 °C, 2.03 times the line."""
    assert found(demo, "dropthick")[:3] == pytest.approx([2.03 * drop for drop in DROPS[:3]], rel=0.02)
    assert found(demo, "dropthick")[3:6] == pytest.approx([1.1 * drop for drop in DROPS[3:]], rel=0.02)
    assert found(demo, "dropthin")[:6] == pytest.approx([0.9 * drop for drop in DROPS], rel=0.02)


def test_every_option_of_the_demo_says_what_it_must(demo: Frozen) -> None:
    assert found(demo)[:7] == [
        "Change: 0.8 L/min left at -22 °C, at least 1.0: bypass or bore 11.8 mm or more",  # the bore that Lines asks
        "Change: Lines has textile -6, picked textile -8",
        "Near limit: 1.1 L/min in circuit GB at -22 °C, at least 1.0: change another line too",
        "Change: 1915 kPa cold, clamps allow 690: bore 12.3 mm or more",
        "Within limits",
        "Change: Lines has return hose 9.5 (clamps), picked return hose 16 (crimped)",
        "",
    ]
    also = "Change: 0.9 L/min in circuit GB at -22 °C, at least 1.0: change another line too"
    assert found(demo, "others")[1] == also
    assert set(found(demo, "memory")[:6]) == {"hose, fluid"}  # the velocity in a return line was seen second-hand


def test_the_variation_of_the_demo_asks_what_the_pick_costs_more(demo: Frozen) -> None:
    """Variation 1 moves PS-3 to the pick: 32.20 more cost is 46.00 more price at a margin of 30 %."""
    variation = demo_job().tables["variations"][0]
    more = float(str(found(demo, "better")[3]))
    assert (variation["line"], variation["money"]) == ("PS-3", pytest.approx(more / 0.7))


def test_a_pick_changes_no_line(demo: Frozen) -> None:
    hoses = [demo.value_at("Lines", f"{LINES.letter('hose')}{row}") for row in range(8, 25)]
    assert (hoses[2], hoses[4]) == ("return hose 9.5", "textile -6")


def sentence(report: Shows) -> object:
    """The words over the chart: two rows under the notes of the table, which has three rows more than are filled."""
    return report.value_at("Options", f"E{MADE.first_row + ROOM + 3 + 5}")


def test_the_sentence_over_the_chart_is_the_answer(demo: Frozen) -> None:
    assert sentence(demo) == (
        "GB-2 alone at -22 °C: textile -6 passes 0.8 L/min; textile -8 passes 2.5 L/min (picked); PTFE braid -12 "
        "passes 6.2 L/min; at least 1.0 L/min"
    )


def test_sorted_otherwise_every_option_says_the_same(demo: Frozen) -> None:
    rows = demo_options()
    order = [5, 1, 3, 0, 4, 2]
    keys = ("check", "others", "price", "better", "circuitflow")
    before = [[found(demo, key)[place] for place in order] for key in keys]
    report = computed(with_options([rows[place] for place in order]))
    assert [found(report, key)[:6] for key in keys] == before
    assert str(sentence(report)) == (
        "PS-3 at -22 °C: return hose 9.5 drops 1915 of 690 kPa; return hose 12.7 drops 599 of 1720 kPa; return hose 16 "
        "drops 238 of 1720 kPa (picked)"
    )


def test_what_is_still_to_be_filled_in_picked_or_mended() -> None:
    report = computed(with_options([
        *demo_options((1, {"pick": None}), (3, {"pick": "yes"}), (4, {"option": "C"})),
        typed("FU-2", "A", "PTFE conductive -8", metre=None),
        typed("FU-2", "B", "PTFE conductive -6", pick="yes", hours=None),
        typed("CO-1", "A", "EPDM 19", "clamps", pick="yes", metre="dear"),
        typed("CO-2", "A", ""),
        typed("CO-2", "D", "EPDM 19", "clamps", pick="yes"),
        typed("XX-1", "A", "EPDM 19"),
        {"option": "A"},
        typed("PS-1", "A", "no such hose", pick="yes"),
        typed("PS-1", "B", "wire braid rubber -6", pick="no"),
        typed("VA-3", "A", "vacuum brake hose 11.1", "clamps", pick="yes"),
    ]))  # fmt: skip
    assert found(report)[:17] == [
        "Change: 0.8 L/min left at -22 °C, at least 1.0: bypass or bore 11.8 mm or more",
        "Change: pick one for GB-2; this one is within limits",
        "Change: pick one for GB-2; this one is within limits",
        "Change: 1915 kPa cold, clamps allow 690: bore 12.3 mm or more",
        "Change: two options C for PS-3",
        "Change: two options C for PS-3",
        "Not checked: fill in Hose price",
        "Not checked: fill in Work",
        "Cannot be worked out: Hose price: \"dear\" is not a number with a unit",
        "Not checked: fill in Hose",
        "Cannot be worked out: see Option, A, B or C",
        "Cannot be worked out: XX-1 is not a line of Lines",
        "Not checked: fill in Line",
        "Cannot be worked out: see Hose, not a row of Hoses",
        "Cannot be worked out: see Pick, yes or blank",
        "Within limits",
        "",
    ]
    assert "Change: pick one for GB-2" in str(found(report, "others")[0])
    assert str(sentence(report)).startswith("GB-2 alone at -22 °C: textile -6 passes 0.8 L/min; textile -8")
    assert "Change: pick one for PS-3, not 2" in str(found(report, "others")[3])
    assert found(report, "better")[:3] == ["", "", ""]  # nothing is picked to compare with


def test_a_price_comes_from_prices_where_it_is_not_typed() -> None:
    job = with_options([
        typed("GB-2", "A", "textile -6", "clamps", metre=None, each=None, end="hose clamp", pick="yes"),
        typed("GB-2", "B", "textile -6", "clamps", metre=7, end="hose clamp"),  # what is typed goes over it
        typed("PS-3", "A", "return hose 9.5", "clamps", metre=None, each=None),  # no end is named
        typed("PS-3", "B", "return hose 16", metre=None),  # not on Prices
        typed("FU-2", "A", "PTFE conductive -6", metre=None),  # priced by the piece
        typed("FU-3", "A", "PTFE conductive -5", metre=None, pick="yes"),  # priced by the roll of 10 m
        typed("FU-1", "A", "NBR fuel 9.5", "clamps", metre=None, pick="yes"),  # in another currency
    ])  # fmt: skip
    other = {
        "PTFE conductive -6": {"unit": "piece"},
        "PTFE conductive -5": {"unit": "pack", "price": 210},
        "NBR fuel 9.5": {"currency": "shillings"},
    }
    prices = [{**row, **other.get(str(row["item"]), {})} for row in job.tables["prices"]]
    report = computed(replace(job, tables={**job.tables, "prices": prices}))
    assert found(report, "metreused")[:7] == [6.8, 7, 5.2, "", "", 21, 4.9]
    assert found(report, "eachused")[:5] == [0.9, 5, "", 5, 5]
    says = [f"{check}; {more}" for check, more in zip(found(report), found(report, "others"), strict=True)]
    for place, words in (
        (2, "Not checked: fill in Ends price each"),
        (3, "Not checked: fill in Hose price"),
        (4, "Not checked: fill in Hose price"),
        (6, "Change: price in shillings, job in money units: ask in money units"),
    ):
        assert words in says[place], (place, says[place])


def test_an_option_breaks_the_limits_of_its_line() -> None:
    report = computed(with_options([
        typed("PS-1", "A", "textile -6", pick="yes"),
        typed("PS-1", "B", "wire braid rubber -6"),
        typed("PS-2", "A", "NBR fuel 12.7", "clamps", pick="yes"),
        typed("PS-2", "B", "EPDM 25", "clamps"),
        typed("FU-2", "A", "PTFE braid -6"),
        typed("FU-2", "B", "PTFE conductive -6", pick="yes"),
        typed("FU-4", "A", "PTFE conductive -3", pick="yes"),
        typed("GB-2", "A", "textile -6", "clamps", bypass="yes", pick="yes"),
        typed("GB-1", "A", "PTFE braid -12", pick="yes"),
        typed("VA-3", "A", "vacuum brake hose 9.5", "clamps", pick="yes"),
        typed("CO-1", "A", "EPDM 16", "clamps", pick="yes"),
    ], {"VA-3": {"highest": 560}}, BurstHose=6.9))  # fmt: skip
    says = [f"{check}; {more}" for check, more in zip(found(report), found(report, "others"), strict=True)]
    for place, words in enumerate((
        "Change: 9000 kPa, hose allows 2800",
        "Change: bursts at 6.895 times its pressure, at least 6.9",  # 62053 over 9000 kPa
        "Change: suction margin",
        "Change: liner EPDM does not suit ATF",
        "Change: petrol in PTFE needs the conductive liner",
        "Within limits",
        " kPa behind the vent, at most 1: bore ",
        "Change: Lines has cold bypass no, picked yes",
        "Change: Lines has PTFE braid -8, picked PTFE braid -12",
        "Change: bursts at 4.3 times its pressure, at least 6.9",  # 2410 over 560 kPa
        "Change: Lines has EPDM 19, picked EPDM 16",
    )):  # fmt: skip
        assert words in says[place], (place, says[place])


def test_the_picks_of_a_circuit_count_together() -> None:
    """Both gearbox lines 12.7 mm: the circuit keeps 1.4 L/min, the job's own figure."""
    rows = [*demo_options(), typed("GB-1", "A", "PTFE braid -10", pick="yes")]
    report = computed(with_options(rows))
    both = 200 * 7 / (DROPS[1] + laminar_drop(7, 12.7, 2.6, *ATF))
    assert both == pytest.approx(1.4, abs=0.05)
    flows = found(report, "circuitflow")
    assert (flows[1], flows[6]) == pytest.approx((both, both), rel=0.005)
    assert found(report, "others")[1] == ""


def test_a_line_that_is_not_filled_in_or_not_read_is_mended_first() -> None:
    report = computed(with_options(demo_options(), {"GB-2": {"length": None}, "PS-3": {"flow": "9 gpm"}}))
    assert set(found(report)[:3]) == {"Cannot be worked out: fill in line GB-2 on Lines first"}
    assert "pick a line" in str(sentence(report))  # nothing to draw for the line of the first row
    assert set(found(report)[3:6]) == {"Cannot be worked out: mend line PS-3 on Lines first"}


def test_once_lines_has_the_pick_nothing_is_left_to_change() -> None:
    lines = {"PS-3": {"hose": "return hose 16", "ends": "crimped"}}
    report = computed(with_options(demo_options(), lines, LabourRate=None))
    assert found(report)[5] == "Not checked: fill in Labour rate, on Start"
    assert found(report, "price")[:6] == [""] * 6


def test_an_empty_table_says_nothing() -> None:
    report = computed(Job(hoses=demo_job().hoses))
    assert {found(report, key)[row] for key in ("check", "others", "price", "dropcold") for row in range(9)} == {""}
    assert "pick a line" in str(sentence(report))


def test_formulas_are_short_enough_to_read() -> None:
    written = book().formulas("Options")
    assert len(written) > 500
    assert {cell: text for cell, text in written.items() if len(text) > 259} == {}  # 260 with the equals sign


def test_prices_pasted_as_text_are_read_and_a_circuit_without_an_answer_passes_no_option() -> None:
    pasted = {"metre": "6,5", "each": " 5 ", "hours": "90 min"}
    rows = [*demo_options(), typed("CO-1", "A", "EPDM 19", "clamps", pick="yes", **pasted)]
    report = computed(with_options(rows, lines={"GB-1": {"hose": "none such"}}))
    length = next(row["length"] for row in demo_job().lines if row["line"] == "CO-1")
    assert isinstance(length, float)
    assert found(report, "price")[6] == pytest.approx(length * 6.5 + 2 * 5 + 1.5 * 50)
    assert found(report)[2] == "Cannot be worked out: a line of circuit GB has no answer yet"
