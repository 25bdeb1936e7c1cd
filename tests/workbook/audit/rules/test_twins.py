"""Copies of a sheet: the cell of one that does not do what the other does in its place."""

import pytest

from xlcalc.workbook.audit.rules.twins import copies_apart

from ..sheets import book, places


def offer(van: str, hours: float, rate: float = 62.0) -> dict[str, object]:
    """What a van costs, as a shop writes it."""
    return {
        "A1": f"Offer for {van}", "A3": "Hose", "B3": hours * 9, "A4": "Ends", "B4": hours * 7,
        "A5": "Hours", "B5": hours, "A6": "Labour", "B6": f"=B5*{rate:g}", "A7": "Material", "B7": "=B3+B4",
        "A8": "Net", "B8": "=B6+B7", "A9": "VAT 19 %", "B9": "=B8*0.19", "A10": "In all", "B10": "=B8+B9",
        "A11": "Deposit", "B11": "=B10*0.3", "A12": "Left to pay", "B12": "=B10-B11",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "found"),
    [
        ({}, []),
        ({"B7": "=B3-B4"}, ["B7", "B7"]),
        ({"B9": "=B7*0.19"}, ["B9", "B9"]),
        ({"B8": 1240.0}, ["B8"]),
        ({"B9": 0.0}, []),  # no tax
        ({"B11": "=B10*0.25"}, []),  # another share was agreed on
        ({"B11": "=MIN(500,B10*0.3)"}, []),  # something else, and meant
        ({"B7": "=B3-B4", "B9": "=B7*0.19", "B8": 1240.0}, []),  # so much else that it is no copy any more
    ],
)
def test_a_copy_does_what_its_sheet_does(changed: dict[str, object], found: list[str]) -> None:
    sheets = {"van 1": offer("the school", 14.5), "van 2": offer("the baker", 9.0, 65.0) | changed}
    assert places(copies_apart(book(sheets))) == found


def test_sheets_with_other_words_are_no_copies() -> None:
    other = {ref: f"{held}, other" if isinstance(held, str) and held[0] != "=" else held
             for ref, held in offer("the baker", 9.0).items()}  # fmt: skip
    assert list(copies_apart(book({"van 1": offer("the school", 14.5), "van 2": other | {"B7": "=B3-B4"}}))) == []
