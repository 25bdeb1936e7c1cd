"""Two figures of a row that go together only in another unit."""

import pytest

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.rules.together import AGAIN, RISING, units_together

from ..sheets import book, places


def row(name: str, heads: tuple[str, str], unit: str, one: float, other: float) -> dict[str, object]:
    """A table of one row with a Check."""
    cells: dict[str, object] = {"A1": name, "B1": "Check", "C1": heads[0], "D1": heads[1], "C2": unit, "D2": unit}
    return cells | {"A4": "first", "B4": '=IF(C4="","","Within limits")', "C4": one, "D4": other}


def test_the_figures_that_go_together_are_columns_of_a_new_workbook_in_one_unit() -> None:
    units = {(each["table"], each["head"]): each["unit"] for each in raw_rows("audit/known_units")}
    for name, pairs in [*RISING.items(), *AGAIN.items()]:
        for one, other in pairs:
            assert units[name, one] == units[name, other]


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [
        (58.0, 95.0, []),
        (136.4, 95.0, ["C4", "D4"]),  # 58 °C = 136.4 °F
        (97.0, 95.0, []),  # a slip, no other unit
        (400.0, 95.0, []),  # 204 °C: no better than 400
    ],
)
def test_what_is_cool_is_not_hotter_than_what_is_hot(one: float, other: float, found: list[str]) -> None:
    assert places(units_together(book(row("Circuit", ("Cool", "Hot"), "°C", one, other)))) == found


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [
        (12.0, 15.0, []),
        (12.0, 0.591, ["D4", "C4"]),  # 15 mm = 0.591 in
        (12.0, 1.5, ["D4", "C4"]),  # 15 mm = 1.5 cm
        (22.0, 18.0, []),  # the two were exchanged, both in mm
    ],
)
def test_a_part_fits_up_to_a_size_that_is_not_below_the_first(one: float, other: float, found: list[str]) -> None:
    assert places(units_together(book(row("Small part", ("From", "Up to"), "mm", one, other)))) == found


@pytest.mark.parametrize(
    ("one", "other", "found"),
    [
        (1035.0, 1030.0, []),
        (1035.0, 150.0, ["D4", "C4"]),  # 150 psi = 1034 kPa
        (150.0, 1030.0, ["C4", "D4"]),
        (1035.0, 120.0, []),  # it leaked: 120 psi would be 827 kPa
        (172.3, 68.0, ["C4", "D4"]),  # 71 kPa over the air
        (71.0, 169.3, ["D4", "C4"]),
        (172.3, 40.0, []),
    ],
)
def test_two_readings_of_a_test_are_alike_but_for_what_leaked(one: float, other: float, found: list[str]) -> None:
    heads = "Reading at start", "Reading later"
    assert places(units_together(book(row("Line", heads, "kPa", one, other)))) == found


@pytest.mark.parametrize(
    ("first", "later", "colder", "found"),
    [
        (20.0, 17.7, 6.0, []),
        (20.0, 2.57, 6.0, ["D4", "C4"]),  # 17.7 kPa = 2.57 psi, 20 kPa a few degrees before
        (2.9, 17.7, 6.0, ["C4", "D4"]),
        (20.0, 119.0, 6.0, ["D4", "C4"]),  # 17.7 kPa, counted from nothing
        (20.0, 2.57, 0.0, []),  # without the cold it leaked
        (20.0, 3.3, -6.0, ["D4", "C4"]),  # it became warmer: 22.8 kPa
    ],
)
def test_the_pressure_of_a_gas_follows_its_temperature(
    first: float, later: float, colder: float, found: list[str]
) -> None:
    """At 293 K 6 K take 2 % off the absolute pressure: 2.5 kPa of 20 kPa over air of 101.3 kPa."""
    warm = {"E1": "Temp. at start", "F1": "Temp. later", "E2": "°C", "F2": "°C", "E4": 20.0, "F4": 20.0 - colder}
    cells = row("Line", ("Reading at start", "Reading later"), "kPa", first, later) | warm
    assert [each for each in places(units_together(book(cells))) if each[0] in "CD"] == found


def test_two_temperatures_of_a_test_are_alike() -> None:
    heads = "Temp. at start", "Temp. later"
    assert list(units_together(book(row("Line", heads, "°C", 18.0, 21.0)))) == []
    assert places(units_together(book(row("Line", heads, "°C", 18.0, 69.8)))) == ["D4", "C4"]  # 21 °C = 69.8 °F


def test_figures_under_two_units_are_not_compared() -> None:
    cells = row("Circuit", ("Cool", "Hot"), "°C", 136.4, 95.0) | {"D2": "°F"}
    assert list(units_together(book(cells))) == []
