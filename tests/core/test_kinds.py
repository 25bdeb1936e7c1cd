"""Kinds read a cell into SI, and say what was given, what is allowed and what to do."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlcalc.core.cells import any_given, blank, flat, number
from xlcalc.core.errors import CalcError, OutOfRange, WrongKind
from xlcalc.core.kinds import Kind, ListOf, Text, Word
from xlcalc.core.quantities import Angle, Count, Difference, Number, Percent, Quantity, Temperature, Vacuum
from xlcalc.core.registry import functions
from xlcalc.core.unit_names import AnyUnit, UnitName
from xlcalc.core.words import digits, short

PRESSURE = Quantity("kPa", 0, 1000)
KINDS: list[Kind] = [
    PRESSURE, Quantity("mm", 1, 150), Quantity("L/min", 0, 2000), Temperature("degC", -60, 250),
    Difference("K", 0.1, 200), Vacuum("kPa vac", 0, 106.3), Percent(0, 95), Percent(0, 20, small=True),
    Angle("deg", 0, 720), Number(0, 1), Count(1, 10), Word("none", "sleeve"), Text("a size", "-8"),
    UnitName("kPa", frozenset({"", "gauge"})), AnyUnit(), ListOf(Quantity("mm", 1, 150)), ListOf(Word("steel")),
]  # fmt: skip


def refused(kind: Kind, cell: object) -> tuple[str, str]:
    with pytest.raises(CalcError) as caught:
        kind.read(cell)
    return caught.value.code, str(caught.value)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: f"{type(kind).__name__}:{kind.allows()[:20]}")
def test_a_kind_keeps_its_own_word(kind: Kind) -> None:
    for cell in kind.good():
        assert kind.show(kind.read(cell)) or isinstance(kind, UnitName)
    for cell, code in kind.bad():
        assert refused(kind, cell)[0] == code
    for end in kind.span() or ():
        kind.read(end)
    assert kind.allows()


def test_a_kind_takes_numbers_just_where_a_number_is_a_good_cell() -> None:
    declared = [arg.reader for made in functions().values() for arg in made.args]
    for kind in [*KINDS, *declared]:
        good = [each for cell in kind.good() for each in flat(cell)]
        assert kind.takes_numbers() == any(isinstance(each, int | float) for each in good), kind.allows()


@pytest.mark.parametrize(
    ("kind", "cell", "value"),
    [
        (PRESSURE, 690, 690e3), (PRESSURE, "690", 690e3), (PRESSURE, "100 psi", 689475.7293),
        (PRESSURE, "1 bar g", 1e5),
        (Temperature("degC", -60, 250), "68 °F", 293.15), (Temperature("degC", -60, 250), "300 K", 300),
        (Difference("K", 0.1, 200), "18 delta_degF", 10), (Difference("K", 0.1, 200), "20 K", 20),
        (Vacuum("kPa vac", 0, 106.3), "20 inHg", 67727.78), (Vacuum("kPa vac", 0, 106.3), "20 inHg vac", 67727.78),
        (Percent(0, 95), 30, 0.3), (Percent(0, 95), "0.3 %", 0.003), (Percent(0, 95), 0, 0), (Percent(0, 95), 1, 0.01),
        (Percent(0, 20, small=True), 0.3, 0.003), (Angle("deg", 0, 720), "90°", math.pi / 2), (Count(1, 10), "3,0", 3),
        (Word("none", "heat shield"), "  Heat  SHIELD ", "heat shield"), (Text("a size", "-8"), -8, "-8"),
        (Text("a size", "-8"), "−8", "-8"), (ListOf(PRESSURE), [[1], [None], ["", "2 bar"]], (1e3, None, None, 2e5)),
        (ListOf(PRESSURE), 5, (5e3,)), (ListOf(PRESSURE), [1, 2], (1e3, 2e3)),
    ],
)  # fmt: skip
def test_cells_become_si(kind: Kind, cell: object, value: object) -> None:
    assert kind.read(cell) == pytest.approx(value) if isinstance(value, float) else kind.read(cell) == value


@pytest.mark.parametrize(
    ("kind", "cell", "code", "words"),
    [
        (PRESSURE, 1001, "#NUM!", "1001 kPa is above 1000 kPa; allowed 0 to 1000 kPa (workshop range)"),
        (PRESSURE, "2 MPa", "#NUM!", '"2 MPa" is above 1000 kPa; allowed 0 to 1000 kPa (workshop range)'),
        (PRESSURE, "5 mm", "#VALUE!", '"5 mm" is not in a unit like kPa'),
        (PRESSURE, "5 kPa abs", "#VALUE!",
         '"5 kPa abs" counts from a perfect vacuum: give the pressure above the atmosphere'),
        (PRESSURE, "5 inHg vac", "#VALUE!",
         '"5 inHg vac" counts down from the atmosphere: give the pressure above the atmosphere'),
        (PRESSURE, True, "#VALUE!", "True is not a number"),
        (Temperature("degC", -60, 250), "20 K", "#VALUE!",
         '"20 K" reads as a difference of temperatures: give a temperature in °C'),
        (Difference("K", 0.1, 200), "20 degC", "#VALUE!", '"20 degC" is not a difference of temperatures in K'),
        (Vacuum("kPa vac", 0, 106.3), -5, "#NUM!",
         "-5 kPa vac is negative: vacuum counts down from the atmosphere, write it without minus"),
        (Vacuum("kPa vac", 0, 106.3), "40 kPa abs", "#VALUE!",
         '"40 kPa abs" is not a vacuum: pressure below the atmosphere in kPa vac'),
        (Percent(0, 95), 0.3, "#VALUE!", '0.3 is 0.3 %: type 30, or text "0.3 %"'),
        (Percent(0, 95), "0.3", "#VALUE!", '0.3 is 0.3 %: type 30, or text "0.3 %"'),
        (Count(1, 10), 2.5, "#VALUE!", "2.5 is not a whole number"),
        (Count(1, 10), "2 mm", "#VALUE!", '"2 mm" is not a plain number'),
        (Word("none", "sleeve"), "sleve", "#VALUE!",
         '"sleve" is not in the list: none or sleeve: did you mean sleeve?'),
        (UnitName("kPa", frozenset({"", "gauge"})), "mm", "#VALUE!",
         '"mm" cannot hold this answer: kPa or another unit of that kind'),
        (ListOf(PRESSURE), [[5], [2000]], "#NUM!",
         "cell 2 of the list: 2000 kPa is above 1000 kPa; allowed 0 to 1000 kPa (workshop range)"),
        (ListOf(PRESSURE), [[5], [CalcError("", "#REF!")]], "#REF!",
         "cell 2 of the list holds #REF!: mend that cell first"),
        (ListOf(PRESSURE), [[5]] * 10_001, "#NUM!", "10001 cells are too many: at most 10000"),
    ],
)  # fmt: skip
def test_what_a_refusal_says(kind: Kind, cell: object, code: str, words: str) -> None:
    assert refused(kind, cell) == (code, words)


def test_a_limit_in_another_unit_is_still_the_limit() -> None:
    assert PRESSURE.read("10 bar") == 1e6
    assert PRESSURE.read("1 MPa") == 1e6
    assert Quantity("mm", 1, 25.4).read("1 in") == pytest.approx(0.0254, abs=1e-18)
    with pytest.raises(OutOfRange):
        PRESSURE.read("1000.001 kPa")


def test_numbers_that_are_not_numbers() -> None:
    for cell in (True, "5", b"5", [5], (5,), {5: 5}, None, math.nan, math.inf, 1j, object()):
        with pytest.raises(WrongKind):
            number(cell)
    with pytest.raises(OutOfRange, match="too large for a cell"):
        number(10**400)


def test_blanks_and_flat_ranges() -> None:
    assert blank(None)
    assert blank(" \t\u00a0")
    assert not blank(0)
    assert any_given([[None], ["", 0]])
    assert not any_given([[None, ""], [" "]])
    assert list(flat([[1, 2], [3], 4])) == [1, 2, 3, 4]


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.1 + 0.2, "0.3"), (1 / 3, "0.333333"), (123456789, "123456789"), (1e16, "1e+16"), (1e-7, "0.0000001"),
     (-0.0, "0"), (1477379.2, "1477379"), (1e15 + 0.5, "1e+15"), (-1e-12, "-1e-12"), (5e-324, "4.94066e-324"),
     (0.0000166667, "0.0000166667")],
)  # fmt: skip
def test_numbers_as_messages_print_them(value: float, text: str) -> None:
    assert digits(value) == text


def test_four_digits_never_need_an_exponent() -> None:
    assert [short(value) for value in (22998.6, 0.00012345, 1.0, 99999.9)] == ["23000", "0.0001234", "1", "100000"]


@given(st.floats(0, 1000))
def test_a_pressure_is_the_same_in_every_spelling(pressure: float) -> None:
    si = PRESSURE.read(pressure)
    assert si == pytest.approx(pressure * 1000, rel=1e-12)
    for text in (f"{pressure!r}", f"{pressure!r} kPa", f"{pressure * 1000!r} Pa", f"{pressure / 100!r} bar gauge"):
        assert PRESSURE.read(text) == pytest.approx(si, rel=1e-9, abs=1e-9)
