"""Words that went to the names of other rows, and units of prices that did."""

from collections.abc import Sequence

import pytest

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.evidence.peers import PRICE, SUPPLIER
from xlcalc.workbook.audit.evidence.said import SEAT, SMALL_PART
from xlcalc.workbook.audit.evidence.ties import FROM, HELD, UNIT
from xlcalc.workbook.audit.rules.torn import (
    END_SIZE,
    NUMBER,
    ROLL,
    UP_TO,
    held_otherwise,
    torn_prices,
    torn_sizes,
    torn_words,
)

from ..sheets import book, listed, places

SMALL = (("hose clamp", "hose clamps"), ("P-clip 13", "P-clips"), ("grommet 22", "grommets"), ("O-ring -8", "O-rings"),
         ("banjo washer -5", "banjo washers"), ("heat sleeve 16", "heat sleeve"))  # fmt: skip


def test_the_headers_that_are_asked_for_are_those_of_a_new_workbook() -> None:
    known = {(each["table"], each["head"]) for each in raw_rows("audit/known_checks")}
    prices = {("Item", head) for head in (PRICE, UNIT, ROLL, NUMBER, SUPPLIER)}
    parts = {("Part", HELD), ("Part", SEAT), ("Hose", "Bend radius")}
    assert prices | parts | {(SMALL_PART, head) for head in (FROM, UP_TO, END_SIZE)} <= known


def counted(rows: Sequence[Sequence[object]]) -> dict[str, object]:
    return listed(("Small part", "Counted by"), rows)


@pytest.mark.parametrize(("column", "letter"), [(0, "A"), (1, "C")])
def test_a_column_sorted_beside_names_that_stayed_is_found(column: int, letter: str) -> None:
    """O-rings beside the clamp, clamps beside the sleeve: each word is at home in another such row."""
    alone = sorted((row[column] for row in SMALL), key=str.casefold)
    torn = [(word, row[1]) if column == 0 else (row[0], word) for word, row in zip(alone, SMALL, strict=True)]
    found = places(torn_words(book(counted(torn))))
    apart = [place for place, (one, other) in enumerate(torn, start=2) if (one, other) not in SMALL]
    assert found == [f"{letter}{row}" for row in apart]
    assert len(apart) >= 3


def test_rows_sorted_whole_are_no_finding() -> None:
    assert list(torn_words(book(counted(SMALL)))) == []
    for column in (0, 1):
        assert list(torn_words(book(counted(sorted(SMALL, key=lambda row: row[column].casefold()))))) == []


def test_lines_from_one_place_to_the_next_are_not_torn() -> None:
    """What one line comes from is where another one goes to: words of other rows by nature."""
    ends = ("tank", "pump", "filter", "rail", "return")
    lines = [(f"L-{place}", ends[place], ends[(place + 1) % 5]) for place in range(5)]
    for order in (lines, sorted(lines, key=lambda row: row[1]), sorted(lines, key=lambda row: row[2])):
        assert list(torn_words(book(listed(("Line", "From", "To"), order)))) == []


HOSES = ("textile -6", "textile -8", "PTFE -6")
PARTS = ("banjo -6", "elbow -6", "straight -6")


def prices(units: Sequence[str], rolls: Sequence[float | None]) -> dict[str, dict[str, object]]:
    rows = [(name, unit, 9.5, roll) for name, unit, roll in zip((*HOSES, *PARTS), units, rolls, strict=True)]
    return {
        "Prices": listed(("Item", "Unit", "Price", "Roll"), rows),
        "Hoses": listed(("Hose", "Bend radius"), [(name, 90.0) for name in HOSES]),
        "Fittings": listed(("Part", "Seat"), [(name, "banjo") for name in PARTS]),
    }


def test_hoses_by_the_piece_and_fittings_by_the_metre_are_found() -> None:
    metres, pieces, rolls = ["m"] * 3, ["piece"] * 3, [10.0] * 3
    assert list(torn_prices(book(prices(metres + pieces, [*rolls, None, None, None])))) == []
    assert list(torn_prices(book(prices(["piece", "m", "m", *pieces], [*rolls, None, None, None])))) == []
    names, by_rolls = torn_prices(book(prices(pieces + metres, [*rolls, None, None, None])))
    assert {column for _, _, column in names.cells} == {1, 3}
    assert {row for _, row, _ in by_rolls.cells} == set(range(2, 8))
    (lone,) = torn_prices(book(prices(metres + pieces, [None, None, None, *rolls])))
    assert {column for _, _, column in lone.cells} == {3, 5}


def test_numbers_of_parts_beside_other_suppliers_are_found() -> None:
    numbers = ("B-20", "A-10", "B-21", "A-11", "A-12", "B-22", "A-13", "B-23")
    rows = [(f"item {place}", number, f"supplier {number[0]}", 4.0) for place, number in enumerate(numbers)]
    heads = ("Item", "Part number", "Supplier", "Price")
    assert list(torn_words(book(listed(heads, rows)))) == []
    assert list(torn_words(book(listed(heads, sorted(rows, key=lambda row: row[1]))))) == []
    torn = [(name, number, who, price) for number, (name, _, who, price) in zip(sorted(numbers), rows, strict=True)]
    assert places(torn_words(book(listed(heads, torn)))) == ["C2", "C4", "C6", "C8"]


@pytest.mark.parametrize(
    ("name", "seat", "held", "found"),
    [
        ("crimp 37 degree -6 rubber", "flare 37 degree", "crimped", []),
        ("crimp 37 degree -6 rubber", "flare 37 degree", "clamps", ["E2"]),
        ("bead 9.5", "bead for clamp", "clamps", []),
        ("bead 9.5", "bead for clamp", "crimped", ["E2"]),
        ("crimp bead 9.5", "bead", "crimped", []),  # its words leave the choice
        ("banjo -5", "banjo", "clamps", []),
    ],
)
def test_a_part_is_held_as_its_name_says(name: str, seat: str, held: str, found: list[str]) -> None:
    part = listed(("Part", "Size", "Seat", "Held by"), [(name, "-6", seat, held)])
    assert places(held_otherwise(book(part))) == found


SIZES = {
    "P-clip 13": (13.0, None, None), "P-clip 17": (16.0, 18.0, None), "grommet 22": (22.0, None, None),
    "banjo washer -5": (None, None, "-5"), "O-ring -8": (None, None, "-8"), "hose tag": (None, None, None),
}  # fmt: skip


def test_small_parts_sorted_beside_their_sizes_are_found() -> None:
    def found(names: Sequence[str], sizes: Sequence[Sequence[object]]) -> list[str]:
        rows = [(name, *size) for name, size in zip(names, sizes, strict=True)]
        return places(torn_sizes(book(listed(("Small part", "From", "Up to", "Size of end"), rows))))

    by_name = sorted(SIZES, key=str.casefold)
    assert found(list(SIZES), list(SIZES.values())) == []
    assert found(by_name, [SIZES[name] for name in by_name]) == []
    assert found(by_name, list(SIZES.values())) == ["A2", "A3", "A5", "A6", "A7"]  # all but the tag, which has no size
