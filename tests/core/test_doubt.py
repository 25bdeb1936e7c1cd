"""Doubt: every stated doubt leaned to the side that pushes the answer down, and up, all together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

import pytest
from hypothesis import given
from hypothesis import strategies as st

from xlcalc import CalcError, call
from xlcalc.core.doubt import Doubtful, span
from xlcalc.core.errors import NoAnswer


@dataclass(frozen=True)
class Vague:
    """A value with one doubt, as a fraction."""

    value: float
    share: float
    name: str = "value"

    @property
    def doubts(self) -> Sequence[str]:
        return (self.name,) if self.share else ()

    def lean(self, doubt: str, side: int) -> Self:
        assert doubt == self.name
        return replace(self, value=self.value * (1 + side * self.share))


def quotient(above: Vague, below: Vague) -> float:
    return above.value / below.value


def test_what_has_doubts_is_seen() -> None:
    assert isinstance(Vague(1, 0.1), Doubtful)
    assert not isinstance(1.0, Doubtful)


def test_ends_of_a_quotient_by_hand() -> None:
    # 10 +- 10 % over 5 +- 20 %: least 9 / 6 = 1.5, most 11 / 4 = 2.75; the lower number moves it more
    found = span(quotient, [Vague(10, 0.1, "above"), Vague(5, 0.2, "below")], {})
    assert (found.low, found.high, found.decides) == (pytest.approx(1.5), pytest.approx(2.75), "below")


def test_without_doubt_the_span_is_the_answer() -> None:
    found = span(quotient, [Vague(10, 0), Vague(5, 0)], {})
    assert (found.low, found.high, found.decides) == (2, 2, "")


def test_a_method_may_be_in_doubt_too() -> None:
    def scaled(value: float, *, law: Vague) -> float:
        return value * law.value

    found = span(scaled, [3.0], {"law": Vague(2, 0.5, "law")})
    assert (found.low, found.high, found.decides) == (3, 9, "law")


def test_a_side_without_an_answer_leaves_the_last_that_has_one() -> None:
    def least_one(value: Vague) -> float:
        if value.value < 1:
            raise NoAnswer("too little")
        return value.value

    found = span(least_one, [Vague(1, 0.5)], {})
    assert (found.low, found.high) == (1, 1.5)
    with pytest.raises(CalcError, match="too little"):
        span(least_one, [Vague(0.5, 0.5)], {})


def test_a_side_on_which_arithmetic_breaks_has_no_answer() -> None:
    # 10 over 5 +- 100 %: 10 / 10 on one side, nothing at 10 / 0 on the other
    found = span(quotient, [Vague(10, 0, "above"), Vague(5, 1.0, "below")], {})
    assert (found.low, found.high) == (1, 2)


def test_a_hump_keeps_its_top() -> None:
    def hump(value: Vague) -> float:
        return -((value.value - 1) ** 2)

    found = span(hump, [Vague(1, 0.5)], {})
    assert (found.low, found.high) == (-0.25, 0)


@given(st.floats(1, 1e3), st.floats(1, 1e3), st.floats(0, 0.9), st.floats(0, 0.9))
def test_the_span_holds_the_answer_and_every_corner(above: float, below: float, first: float, second: float) -> None:
    values = [Vague(above, first, "above"), Vague(below, second, "below")]
    found = span(quotient, values, {})
    assert found.low <= quotient(*values) <= found.high
    for one in (-1, 1):
        for other in (-1, 1):
            corner = above * (1 + one * first) / (below * (1 + other * second))
            assert found.low * (1 - 1e-12) <= corner <= found.high * (1 + 1e-12)


# Through worksheet functions -----------------------------------------------------------------------------------


def ends(name: str, *cells: object) -> tuple[float, float]:
    return call("ANSWER_LOW", name, *cells), call("ANSWER_HIGH", name, *cells)


def test_stated_doubt_of_the_viscosity_runs_through_laminar_flow() -> None:
    # laminar: the drop goes with density and kinematic viscosity; 10 % and, for a density in words, 1 %
    cells = ("LINE_PRESSURE_DROP", "0.02 L/s", 20, 10, "900 kg/m3; 444.444 mm2/s; doubt 10 %", 20)
    drop = call(*cells)
    low, high = ends(*cells)
    assert low == pytest.approx(drop * 0.9 * 0.99, rel=1e-9)
    assert high == pytest.approx(drop * 1.1 * 1.01, rel=1e-9)


def test_cold_oil_may_be_as_thick_as_its_grade_allows() -> None:
    # at -40 degC the grade allows 20 000 mPa s; 865 kg/m3 exp(0.03992 (1 - 0.8 x 0.03992)) is 899.1 there (D1250)
    high = call("ANSWER_HIGH", "FLUID_VISCOSITY", "ATF generic", -40)
    assert high == pytest.approx(20000 / 0.8991, rel=1e-3)
    assert call("FLUID_VISCOSITY", "ATF generic", -40) < high / 2


def test_the_uncertain_band_lies_between_laminar_and_turbulent() -> None:
    # Re 3000: laminar 64/3000 = 0.02133, Colebrook of a smooth line at Re 3000 0.04353 (fluids)
    cells = ("LINE_PRESSURE_DROP", "0.1178097245 L/s", 50, 1, "1000 kg/m3; 1 mm2/s; doubt 0 %", 20)
    reynolds = call("LINE_REYNOLDS", *cells[1:3], *cells[4:])
    assert reynolds == pytest.approx(3000, rel=1e-6)
    low, high = ends(*cells)
    head = 1000 * 0.06**2 / 2 / 0.05 / 1000  # kPa for a friction factor of 1
    assert low == pytest.approx(64 / 3000 * head * 0.99, rel=1e-6)
    assert high == pytest.approx(0.04353 * head * 1.01, rel=1e-3)


def test_fittings_and_hoses_bring_their_own_doubt() -> None:
    by_number = ends("LINE_PRESSURE_DROP", 8, 7.9, 0, "900 kg/m3; 30 mm2/s; doubt 0 %", 20, 5)
    by_words = ends("LINE_PRESSURE_DROP", 8, 7.9, 0, "900 kg/m3; 30 mm2/s; doubt 0 %", 20, "2x elbow 90")
    assert by_number[1] / by_number[0] == pytest.approx(1.01 / 0.99)
    assert by_words[1] / by_words[0] == pytest.approx(1.01 / 0.99 * 1.25 / 0.75)
    low, high = ends("LINE_VELOCITY", 8, "bore 7.9 mm; doubt 5 %")
    assert low == pytest.approx(call("LINE_VELOCITY", 8, 7.9) / 1.05**2)
    assert high == pytest.approx(call("LINE_VELOCITY", 8, 7.9) / 0.95**2)


def test_what_decides_is_told() -> None:
    lines = [line for (line,) in call("ANSWER_STEPS", "LINE_PRESSURE_DROP", 8, 7.9, 3, "ATF generic", 20)]
    decides = [line for line in lines if line.startswith("Between ") and line.endswith("the viscosity of the fluid")]
    assert decides, f"no step says between what the answer lies and what decides it: {lines}"
