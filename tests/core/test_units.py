"""Units: sizes against their definitions, readings told apart, nothing read that a workshop does not know."""

import math

import pytest
from hypothesis import given

from tests.texts import texts
from xlcalc.core.errors import CalcError, WrongKind
from xlcalc.core.tables import raw_rows
from xlcalc.core.units import Unit, quantity, unit

SPELLINGS = [(word.strip(), row) for row in raw_rows("units") for word in row["spellings"].split(";")]

SIZES = {  # definitions: inch 0.0254 m, pound 0.45359237 kg, g 9.80665 m/s2, US gal 231 in3, imperial gal 4.54609 L
    "in": 0.0254, "3/8 in": 0.375 * 0.0254, "ft": 0.3048, "mi": 1609.344, "thou": 2.54e-5, "US gal": 231 * 0.0254**3,
    "imp gal": 4.54609e-3, "US gpm": 231 * 0.0254**3 / 60, "lb": 0.45359237, "lbf": 0.45359237 * 9.80665,
    "psi": 0.45359237 * 9.80665 / 0.0254**2, "bar": 1e5, "atm": 101325, "inHg": 3386.389, "mmHg": 133.322387415,
    "inH2O": 249.08891, "cSt": 1e-6, "mm²/s": 1e-6, "cP": 1e-3, "mPa s": 1e-3, "L/min": 1e-3 / 60,
    "cfm": 0.3048**3 / 60, "hp": 550 * 0.3048 * 0.45359237 * 9.80665, "PS": 75 * 9.80665, "kWh": 3.6e6, "N m": 1,
    "g/kWh": 1e-3 / 3.6e6, "lb ft": 0.3048 * 0.45359237 * 9.80665, "rpm": 1 / 60, "rev/min": 1 / 60,
    "deg": math.pi / 180, "%": 0.01,
    "mPa.s": 1e-3, "Pa⋅s": 1, "kJ/(kg.K)": 1e3,
    "kJ/(kg K)": 1e3, "kJ/kg/K": 1e3, "kW/°C": 1e3, "lb/ft3": 0.45359237 / 0.3048**3, "mL/h": 1e-6 / 3600,
    "inHg/degC": 3386.389, "kgf/cm2": 98066.5, "m^3/h": 1 / 3600, "US gal/s": 231 * 0.0254**3, "knot": 1852 / 3600,
}  # fmt: skip


@pytest.mark.parametrize(("text", "size"), SIZES.items())
def test_sizes_are_the_defined_ones(text: str, size: float) -> None:
    number, said = quantity(text if text[0].isdigit() else f"1 {text}")
    assert said is not None
    assert said.to_si(number) == pytest.approx(size, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [("20 degC", 293.15), ("-40 °F", 233.15), ("212 F", 373.15), ("0 degR", 0), ("293.15 K", 293.15),
     ("100 ℃", 373.15)],
)  # fmt: skip
def test_temperatures_have_their_zero(text: str, kelvin: float) -> None:
    number, said = quantity(text)
    assert said is not None
    assert said.to_si(number) == pytest.approx(kelvin, abs=1e-10)


@pytest.mark.parametrize(
    ("text", "flavour"),
    [("psia", "absolute"), ("kPa abs", "absolute"), ("bar (g)", "gauge"), ("psig", "gauge"), ("inHg vac", "vacuum"),
     ("kPa below atmosphere", "vacuum"), ("kPa", ""), ("degC", "temperature"), ("K", "kelvin"),
     ("delta_degF", "difference"), ("°C difference", "difference"), ("deg", "angle"), ("%", "percent"), ("kW/K", "")],
)  # fmt: skip
def test_what_the_dimension_cannot_tell(text: str, flavour: str) -> None:
    assert unit(text).flavour == flavour


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("kJ/kgK", r"kJ/\(kg K\)"),
        ("kJ/(kgK)", r"kJ/\(kg K\)"),
        ("W/m2K", r"W/\(m2 K\)"),
        ("3.6 kJ/kgK", r"kJ/\(kg K\)"),
    ],
)
def test_a_unit_without_a_sign_between_is_told_how_to_be_written(text: str, written: str) -> None:
    with pytest.raises(WrongKind, match=f"is not a unit known here: write it {written}$"):
        quantity(text if text[0].isdigit() else f"1 {text}")
    said = quantity(f"1 {written}".replace("\\", ""))[1]
    assert said is not None
    assert said.dimension.endswith("/ [temperature]")


@pytest.mark.parametrize("text", ["kgm3", "kJ/kgX", "m/mmin"])
def test_a_unit_that_may_be_read_in_two_ways_is_not_guessed(text: str) -> None:
    with pytest.raises(WrongKind, match=r"^(?!.*write it)"):
        unit(text)


@pytest.mark.parametrize("word", ["gal", "gpm", "GPM", "gph", "Gallons", "qt", "pint", "oz", "5 gal", "6 gpm"])
def test_two_sizes_are_refused_with_both_names(word: str) -> None:
    with pytest.raises(WrongKind, match=r"two sizes: write .+ or "):
        quantity(word if word[0].isdigit() else f"1 {word}")


def test_capital_letters_decide_between_milli_and_mega() -> None:
    assert unit("MPa").factor == pytest.approx(1e6)
    assert unit("mPa").factor == pytest.approx(1e-3)
    for text in ("MPA", "mpa"):
        with pytest.raises(WrongKind, match="capital and small letters"):
            unit(text)
    assert unit("KPA").factor == unit("kpa").factor == unit("kPa").factor


@pytest.mark.parametrize(("text", "meant"), [("psii", "psi"), ("litr", "litre"), ("metrs", "metres"), ("cSts", "cSt")])
def test_a_slip_gets_the_nearest_names(text: str, meant: str) -> None:
    with pytest.raises(WrongKind, match=rf"did you mean .*{meant}"):
        unit(text)


@pytest.mark.parametrize(
    "text",
    ["", " ", "5", "mm/", "/s", "m/m/m/m", "mm**9", "__import__('os')", "9**9**9 m", "m^-1", "kPa abs abs", "degC abs",
     "furlong", "m" * 41, "kg mm abs", "1e9 m"],
)  # fmt: skip
def test_what_is_not_a_unit(text: str) -> None:
    with pytest.raises(WrongKind):
        unit(text)


@pytest.mark.parametrize(("spelling", "row"), SPELLINGS)
def test_every_spelling_of_the_table(spelling: str, row: dict[str, str]) -> None:
    if not row["pint"]:
        with pytest.raises(WrongKind, match=row["measure"]):
            unit(spelling)
        return
    said = unit(spelling)
    assert isinstance(said, Unit)
    assert said.dimension == unit(row["spellings"].split(";")[0].strip()).dimension
    assert said.from_si(said.to_si(7.25)) == pytest.approx(7.25, rel=1e-12)
    assert unit(f"  {spelling}\u00a0") == said
    assert quantity(f"2 {spelling}") == (2, said) or spelling == "1"


def test_no_spelling_stands_twice() -> None:
    words = [spelling for spelling, _ in SPELLINGS]
    assert len(set(words)) == len(words)


@pytest.mark.parametrize("measure", sorted({row["measure"] for _, row in SPELLINGS if row["pint"]}))
def test_one_measure_has_one_dimension(measure: str) -> None:
    dimensions = {unit(spelling).dimension for spelling, row in SPELLINGS if row["measure"] == measure}
    assert len(dimensions) == 1


def test_products_of_any_two_units_are_read_or_refused_in_words() -> None:
    words = [row["spellings"].split(";")[0] for row in raw_rows("units")]
    for first in words:
        for text in (f"{first}/degC", f"kW/{first}", f"{first} K", f"inHg/({first} degF)"):
            try:
                assert unit(text).factor > 0
            except CalcError as error:
                assert str(error)  # noqa: PT017


@given(texts(60))
def test_any_text_is_a_quantity_or_a_sentence(text: str) -> None:
    try:
        number, _ = quantity(text)
    except CalcError as error:
        assert str(error)  # noqa: PT017
    else:
        assert math.isfinite(number)


@pytest.mark.parametrize("text", ["rad/s", "deg/s", "rad/min", "N m/rad"])
def test_an_angle_in_a_product_is_refused_not_taken_for_whole_turns(text: str) -> None:
    # 100 rad/s are 955 rev/min, 100 / (2 pi) a second, not 6000
    with pytest.raises(WrongKind, match="write a speed of turning in rev/min"):
        unit(text)
