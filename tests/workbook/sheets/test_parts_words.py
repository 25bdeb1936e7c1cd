"""Parts and Prices: what a row says where a price, a small part, a system or a route is missing, wrong or old."""

from collections.abc import Mapping
from datetime import date
from functools import lru_cache

import pytest

from xlcalc.workbook.demo import demo_job

from .parts_book import COUNTED, ENDS, HOSES, SHEETS, SMALL, SYSTEMS, Book, changed, over
from .retyped import Retyped


@lru_cache(1)
def book() -> Retyped:
    """The book of the demo job, into which every fault is typed."""
    return Retyped(demo_job(), 1, SHEETS)


# ---- prices that are missing, wrong or old ----


@pytest.fixture(scope="module")
def dear() -> Book:
    """One fault a price."""
    faults: dict[str, Mapping[str, object]] = {
        "wire braid rubber -6": {"currency": "other money"},
        "PTFE braid -6": {"date": date(2026, 4, 1)},
        "PTFE braid -8": {"unit": "piece"},
        "PTFE conductive -5": {"price": "12,50"},
        "PTFE conductive -6": {"roll": "4 m"},
        "return hose 9.5": {"roll": None, "pack": 1},
        "crimp 37 degree -6 rubber": {"item": "no part of this job"},
        "crimp 37 degree -8 PTFE": {"price": None},
        "crimp 37 degree -6 PTFE": {"price": "cheap"},
        "crimp 37 degree 90 elbow -6 PTFE": {"date": date(2026, 2, 2)},
        "crimp 37 degree -5 PTFE": {"date": "last week"},
        "textile -6": {"date": date(2026, 1, 19)},
        "hose clamp": {"pack": None},
        "O-ring -8": {"supplier": None},
        "P-clip 13": {"unit": "dozen"},
        "P-clip 17": {"item": "P-clip 13"},
        "grommet 22": {"pack": -1},
    }
    return Book(book(), book().of(changed(prices=over(demo_job().tables["prices"], "item", faults))).frozen())


@pytest.mark.parametrize(
    ("item", "says"),
    [
        ("wire braid rubber -6", "Change: price in other money, job in money units: ask in money units"),
        ("PTFE braid -6", "Change: price dated 30 days after the Date on Start"),
        ("PTFE braid -8", "Within limits"),
        ("PTFE conductive -5", "Within limits"),
        ("crimp 37 degree -8 PTFE", "Not checked: fill in Price"),
        ("crimp 37 degree -6 PTFE", "Cannot be worked out: Price: "),
        ("crimp 37 degree 90 elbow -6 PTFE", "Near limit: price is 28 days old, at most 30: ask again"),
        ("crimp 37 degree -5 PTFE", "Cannot be worked out: see Date, not a date"),
        ("textile -6", "Near limit: price is 42 days old, at most 30, not needed here"),
        ("hose clamp", "Not checked: fill in Pack size"),
        ("O-ring -8", "Not checked: fill in Supplier"),
        ("P-clip 13", "Change: two rows are called P-clip 13"),
        ("grommet 22", "Change: pack size 0"),
    ],
)
def test_prices_say_what_is_wrong_with_a_price(dear: Book, item: str, says: str) -> None:
    assert str(dear.priced()[item]).startswith(says)


@pytest.mark.parametrize(
    ("table", "item", "says"),
    [
        (HOSES, "wire braid rubber -6", "Change: price in other money, job in money units"),
        (HOSES, "PTFE braid -8", "Change: priced by the piece, counted by the m"),
        (HOSES, "PTFE conductive -6", "Change: longest piece 4.17 m, roll at most 4: longer roll or split the line"),
        (ENDS, "crimp 37 degree -6 rubber", "Not checked: no price: put this name on Prices"),
        (ENDS, "crimp 37 degree -8 PTFE", "Not checked: fill in Price"),
        (ENDS, "crimp 37 degree -6 PTFE", "Cannot be worked out: Price: "),
        (ENDS, "crimp 37 degree 90 elbow -6 PTFE", "Near limit: price is 28 days old"),
        (SMALL, "hose clamp", "Not checked: fill in Pack size"),
        (SMALL, "O-ring -8", "Not checked: fill in Supplier"),
        (SMALL, "P-clip 17", "Not checked: no price"),
    ],
)
def test_a_part_says_what_is_wrong_with_its_price(dear: Book, table: int, item: str, says: str) -> None:
    assert str(dear.table(table)[item]["check"]).startswith(says)


def test_a_price_typed_as_text_counts_and_hose_off_a_reel_comes_in_whole_metres(dear: Book) -> None:
    assert dear.table(HOSES)["PTFE conductive -5"]["cost"] == pytest.approx(125)
    reel = dear.table(HOSES)["return hose 9.5"]
    assert (reel["roll"], reel["rolls"], reel["buy"], reel["cost"]) == ("", "", 3, pytest.approx(15.6))  # 2.96 m


def test_a_part_without_a_supplier_or_a_price_stays_on_the_order_list(dear: Book) -> None:
    last = {str(row[1]): row for row in dear.order() if row[0] == "no supplier yet"}
    assert {"crimp 37 degree -6 rubber", "O-ring -8", "P-clip 17"} == set(last)


# ---- small parts, systems and routes that are missing or wrong ----


@pytest.fixture(scope="module")
def small() -> Book:
    """One fault a row."""
    job = demo_job()
    faults: dict[str, Mapping[str, object]] = {
        "hose clamp": {"spare": "some"},
        "P-clip 13": {"from": 18, "upto": 12},
        "P-clip 17": {"by": "by hand"},
        "grommet 22": {"by": "gromets"},
        "hose tag": {"by": "banjo washers"},
        "spiral wrap": {"pitch": None},
        "heat sleeve 16": {"from": "40 mm", "upto": None},
        "O-ring -8": {"size": "-10"},
    }
    systems = [
        *job.tables["systems"],
        {"system": "axle", "fluid": "milk", "litres": 2},
        {"system": "spare can", "fluid": "ATF generic"},
    ]
    typed = changed(
        smallparts=over(job.tables["smallparts"], "part", faults),
        systems=systems,
        routes=over(job.tables["routes"], "line", {"FU-3": {"centres": None}}),
    )
    return Book(book(), book().of(typed).frozen())


@pytest.mark.parametrize(
    ("table", "item", "says"),
    [
        (SMALL, "hose clamp", "Cannot be worked out: Spare: "),
        (SMALL, "P-clip 13", "Change: from 18 mm up to 12: swapped?"),
        (SMALL, "P-clip 17", "Not checked: fill in By hand"),
        (SMALL, "grommet 22", "Cannot be worked out: see Counted by, not a word of its list"),
        (SMALL, "spiral wrap", "Not checked: fill in Pitch"),
        (SMALL, "heat sleeve 16", "Not checked: none counted, a route or an end has no answer yet"),
        (COUNTED, "heat sleeve", "Not checked: no Outside on Hoses for 3 of the routes"),
        (COUNTED, "O-rings", "Not checked: 1 of 1 on no row above"),
        (COUNTED, "banjo washers", "Change: 4 on rows above, 2 wanted: counted twice"),
        (SYSTEMS, "axle", "Cannot be worked out: see Fluid, not a row of Fluids"),
        (SYSTEMS, "spare can", "Not checked: fill in Holds"),
    ],
)
def test_small_parts_and_systems_say_what_is_wrong(small: Book, table: int, item: str, says: str) -> None:
    assert str(small.table(table)[item]["check"]).startswith(says)


def test_a_route_without_a_cut_length_keeps_the_total_open(small: Book) -> None:
    assert small.named("PartsUncut") == 1
    assert "PTFE conductive -5" not in small.table(HOSES)  # its only route is not filled in
    assert "Incomplete" in str(small.report.value_at("Parts", "A4"))
