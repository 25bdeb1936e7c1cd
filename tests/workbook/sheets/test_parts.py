"""Parts: what is bought of each thing, what it costs, and what its list says where a table is too short.

Every amount and sum here is worked by hand from the demo's rows: cut lengths as in test_routes, litres in test_lines.
"""

from dataclasses import replace
from math import pi

import pytest

from xlcalc.core.errors import CalcError
from xlcalc.workbook.building.blocks import Table
from xlcalc.workbook.building.rows import FIRST_ROW
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets import fittings, parts

from ..shipped import EMPTY, shipped
from .parts_book import COUNTED, ENDS, FLUIDS, HOSES, SHEETS, SMALL, Book
from .retyped import Retyped


@pytest.fixture(scope="module")
def demo() -> Book:
    return Book(Retyped(demo_job(), 1, SHEETS))


def test_fittings_show_what_prices_says_of_an_end(demo: Book) -> None:
    """As data/demo/prices.csv has it; a bead that stays on the vehicle has no price."""
    cells = [f"{fittings.SHEET.letter('price')}{FIRST_ROW + place}" for place in range(8)]
    shown = [demo.report.value_at("Fittings", cell) for cell in cells]
    assert shown == [11.2, "", 14.8, 17.6, 12.9, 19.5, 12.1, 15.3]


@pytest.mark.parametrize(
    ("hose", "metres", "price"),
    [
        ("wire braid rubber -6", 1505 / 0.94 - 48, 14.5),  # PS-1: centres, 6 % slack, cut-offs 24 + 24
        ("PTFE braid -6", 1316 / 0.94 - 48, 19),  # BR-2
        ("PTFE braid -8", 2440 / 0.94 - 56, 24),  # GB-1
        ("PTFE conductive -5", 4350 / 0.94 - 44, 21),  # FU-3
        ("PTFE conductive -6", 4060 + pi * (45 + 13 / 2) - 48, 23),  # FU-2: two 90 degree bends, of the hose's middle
        ("return hose 9.5", 2700 + pi * 95 - 40, 5.2),  # PS-3
    ],
)
def test_a_hose_is_bought_in_whole_rolls(demo: Book, hose: str, metres: float, price: float) -> None:
    row = demo.table(HOSES)[hose]
    assert row["need"] == pytest.approx(metres / 1000)
    assert (row["pieces"], row["rolls"], row["buy"], row["sold"]) == (1, 1, 10, "m")
    assert row["waste"] == pytest.approx(100 - metres / 100)
    assert row["cost"] == pytest.approx(10 * price)
    assert row["check"] == "Within limits"


def test_each_end_is_counted_over_both_ends_of_every_route(demo: Book) -> None:
    found = {name: (row["need"], row["cost"]) for name, row in demo.table(ENDS).items()}
    assert found == {
        "crimp 37 degree -6 rubber": (2, 22.4),  # both ends of PS-1
        "bead 9.5": (0, ""),  # both ends of PS-3, on the vehicle
        "crimp 37 degree -8 PTFE": (1, 14.8),
        "crimp O-ring face -8 PTFE": (1, 17.6),
        "crimp 37 degree -6 PTFE": (3, pytest.approx(38.7)),  # one of FU-2, both of BR-2
        "crimp 37 degree 90 elbow -6 PTFE": (1, 19.5),
        "crimp 37 degree -5 PTFE": (1, 12.1),
        "crimp banjo -5 PTFE": (1, 15.3),
    }


@pytest.mark.parametrize(
    ("part", "need", "buy", "by", "cost"),
    [
        ("hose clamp", 22, 3, "pack of 10", 27),  # ten lines with clamps, two each, 10 % spare
        ("P-clip 13", 8.8, 9, "piece", 8.1),  # 6 of FU-2 and 2 of BR-2, 10 % spare
        ("P-clip 17", 2, 2, "piece", 2.2),  # 2 of PS-1
        ("grommet 22", 1, 1, "piece", 0.6),
        ("banjo washer -5", 2, 1, "pack of 10", 2.5),
        ("O-ring -8", 1, 1, "pack of 10", 3.2),
        ("heat sleeve 16", 0.4, 1, "m", 8.5),  # 300 mm and twice 50
        ("spiral wrap", 1.1 * 1.4 / 25 * ((pi * 13) ** 2 + 25**2) ** 0.5, 3, "m", 5.4),
        ("hose tag", 34, 1, "pack of 50", 6),  # 17 lines, two each
    ],
)
def test_small_parts_are_counted_from_lines_and_routes(
    demo: Book, part: str, need: float, buy: float, by: str, cost: float
) -> None:
    row = demo.table(SMALL)[part]
    assert row["need"] == pytest.approx(need)
    assert (row["buy"], row["sold"], row["check"]) == (buy, by, "Within limits")
    assert row["cost"] == pytest.approx(cost)


def test_small_parts_that_stand_on_no_row_are_said(demo: Book) -> None:
    found = {kind: row["check"] for kind, row in demo.table(COUNTED).items()}
    assert {kind for kind, check in found.items() if check == "Within limits"} == {
        "hose clamps", "banjo washers", "O-rings", "heat sleeve", "spiral wrap",
    }  # fmt: skip
    unsized = "Not checked: no Outside on Hoses for 3 of the routes"  # PS-3, GB-1, FU-3
    assert found["P-clips"] == found["grommets"] == unsized
    others = {kind: row["others"] for kind, row in demo.table(COUNTED).items()}
    assert others["P-clips"] == "Not checked: 15 of 25 on no row above"  # 4 of PS-3, 4 of GB-1, 7 of FU-3
    assert others["grommets"] == "Not checked: 1 of 2 on no row above"


@pytest.mark.parametrize(
    ("fluid", "lines", "systems", "buy", "cost"),
    [
        ("ATF generic", 0.2166 + 0.2197, 9, 12, 86.4),  # 11.3 L with a fifth for flushing
        ("power steering mineral", 0.0792 + 0.0354 + 0.2126, 1.2, 2, 13.8),
        ("coolant 50/50", 2.892, 12, 4, 74),  # 17.9 L: four packs of 5 L
        ("petrol RVP 10", 0.0638 + 0.2059 + 0.1415, 0, 1, 1.6),  # the vent holds none
    ],
)
def test_fluids_are_those_of_lines_and_systems_with_flushing(
    demo: Book, fluid: str, lines: float, systems: float, buy: float, cost: float
) -> None:
    row = demo.table(FLUIDS)[fluid]
    assert row["need"] == pytest.approx(1.2 * (lines + systems), abs=0.0005)
    assert (row["buy"], row["cost"]) == (buy, pytest.approx(cost))
    assert set(demo.table(FLUIDS)) == {"ATF generic", "power steering mineral", "coolant 50/50", "petrol RVP 10"}


def test_the_total_is_the_sum_and_says_that_it_is_incomplete(demo: Book) -> None:
    hoses = 10 * (14.5 + 19 + 24 + 21 + 23 + 5.2)
    ends = 22.4 + 14.8 + 17.6 + 38.7 + 19.5 + 12.1 + 15.3
    small, fluids = 27 + 8.1 + 2.2 + 0.6 + 2.5 + 3.2 + 8.5 + 5.4 + 6, 86.4 + 13.8 + 74 + 1.6
    assert demo.named("PartsTotal") == pytest.approx(hoses + ends + small + fluids)
    assert (demo.named("PartsOpen"), demo.named("PartsUnrouted"), demo.named("PartsLead")) == (3, 11, 7)
    assert (
        demo.report.value_at("Parts", "A4") == "All parts 1446.70 money units   Incomplete   longest lead time 7 days"
    )


def test_a_blank_part_number_and_an_old_price_are_said_where_the_part_is_bought(demo: Book) -> None:
    ends = demo.table(ENDS)
    assert ends["crimp O-ring face -8 PTFE"]["check"] == "Not checked: fill in Part number"
    assert (
        ends["crimp banjo -5 PTFE"]["check"] == "Change: price is 42 days old, at most 30: ask again"
    )  # 19 Jan, 2 Mar
    assert demo.priced()["crimp banjo -5 PTFE"] == "Change: price is 42 days old, at most 30: ask again"


def test_the_order_list_goes_supplier_by_supplier_and_leaves_nothing_out(demo: Book) -> None:
    order = demo.order()
    assert [row[0] for row in order] == ["supplier A"] * 16 + ["supplier B"] * 10
    assert [row[6] for row in order if row[6] != ""] == [pytest.approx(458.7), pytest.approx(988)]
    assert sum(float(str(row[5])) for row in order) == pytest.approx(1446.7)
    assert ["supplier B", "crimp O-ring face -8 PTFE", "", 1, "piece", 17.6, "", "Not checked"] in order


# ---- tables too short, rows in another order, pieces that fill a roll ----


@pytest.fixture(scope="module")
def short() -> Book:
    """Three pieces of one hose, prices in another order, no date on Start, rows for four ends only."""
    job = demo_job()
    piece = {"shape": "bent", "centres": 3448, "radius": 102, "angle": 0, "bends": 0, "measured": "yes",
             "enda": "crimp 37 degree -6 PTFE", "endb": "crimp 37 degree -6 PTFE"}  # fmt: skip
    lines = [
        {**row, "line": name, "hose": "PTFE braid -6"}
        for name in ("A", "B", "C")
        for row in job.lines
        if row["line"] == "BR-2"
    ]
    routes = [*job.tables["routes"][:-1], *({**piece, "line": name} for name in ("A", "B", "C"))]
    start = {key: value for key, value in job.start.items() if key != "JobDate"}
    tables = {**job.tables, "routes": routes, "prices": [*reversed(job.tables["prices"])]}
    kept = parts.TABLES
    parts.TABLES = tuple(
        Table(each.made, each.rows, 4 if place in (ENDS, COUNTED) else each.least) for place, each in enumerate(kept)
    )
    try:
        return Book(Retyped(replace(job, start=start, lines=[*job.lines, *lines], tables=tables), 1, SHEETS))
    finally:
        parts.TABLES = kept


def test_pieces_that_no_roll_takes_together_need_another_roll(short: Book) -> None:
    row = short.table(HOSES)["PTFE braid -6"]
    assert row["need"] == pytest.approx(3 * 3.4)  # 10.2 m, though a roll holds 10
    assert (row["pieces"], row["rolls"], row["buy"], row["cost"]) == (3, 2, 20, 380)
    assert row["waste"] == pytest.approx(49)


def test_a_table_too_short_for_the_job_says_so_and_keeps_the_total_open(short: Book) -> None:
    assert short.named("PartsUnlisted") == 8 - 4
    marker = short.report.value_at("Parts", f"C{short.tables[ENDS].last_row}")
    assert marker == "4 more: put rows in above this line, then fill the formulas down"


def test_a_kind_of_small_part_without_a_row_keeps_the_total_open(short: Book) -> None:
    assert "grommets" not in short.table(COUNTED)  # the fifth of the kinds; two routes pass a panel
    assert short.named("PartsUncounted") == 1
    assert "Incomplete" in str(short.report.value_at("Parts", "A4"))


def test_without_a_date_on_start_no_price_is_taken_for_new(short: Book) -> None:
    assert short.priced()["wire braid rubber -6"] == "Not checked: fill in Date, on Start"
    assert short.table(HOSES)["wire braid rubber -6"]["check"] == "Not checked: fill in Date, on Start"
    assert short.table(HOSES)["wire braid rubber -6"]["cost"] == pytest.approx(145)


def test_an_empty_job_shows_no_error_and_no_verdict() -> None:
    book = shipped(EMPTY)
    for sheet in ("Parts", "Prices"):
        values = list(book.values[sheet].values())
        assert len(values) > 500
        assert not [value for value in values if isinstance(value, CalcError)]
        assert not [value for value in values if str(value).startswith(("Within", "Change:", "Cannot", "Not checked:"))]
    assert book.value_at("Parts", "A4") == ""
    assert (book.named("PartsTotal"), book.named("PartsOpen")) == ("", 0)
