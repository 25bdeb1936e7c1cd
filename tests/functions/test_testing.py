"""Tests, energy and price against print, hand calculations and laws."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.refused import refused
from xlcalc import call, functions

PRESSURES = st.floats(1, 20000)
TEMPERATURES = st.floats(-30, 60)


# Proof and burst ---------------------------------------------------------------------------------------------


def test_proof_is_twice_for_hoses_and_half_more_for_tubes() -> None:
    # 14 CFR 25.1435 (a)(1), table: hoses proof 2 x, tubes 1.5 x; the demo job: PS-1 9000 gives 18000
    assert call("PROOF_PRESSURE", 9000, "hose") == pytest.approx(18000)
    for kind in ("steel tube", "aluminium tube", "tube", "Steel Tube"):
        assert call("PROOF_PRESSURE", 9000, kind) == pytest.approx(13500)
    assert call("PROOF_PRESSURE", 0, "hose") == 0
    assert refused("PROOF_PRESSURE", 9000, "copper")[0] == "#VALUE!"


def test_h9_four_to_one() -> None:
    # H9: working 1.5 MPa, burst 6.0 MPa: exactly 4
    assert call("BURST_RATIO", "1.5 MPa", "6.0 MPa") == pytest.approx(4.0, rel=1e-12)
    code, words = refused("BURST_RATIO", 6000, 1500)
    assert (code, words) == ("#NUM!", "burst 1500 kPa is below working pressure 6000 kPa: swapped?")
    assert refused("BURST_RATIO", 0, 1500)[0] == "#NUM!"


@pytest.mark.parametrize(
    ("working", "burst", "ratio"), [("3000 psi", "12000 psi", 4.0), ("3000 psi", "10000 psi", 3.33)]
)
def test_burst_ratios_of_a_hose_table(working: str, burst: str, ratio: float) -> None:
    # AC 43.13-1B Table 9-3, sizes -3 and -5: 4.0 and 3.3 times the working pressure
    assert call("BURST_RATIO", working, burst) == pytest.approx(ratio, abs=0.005)


@pytest.mark.parametrize("name", ["PROOF_PRESSURE", "HOLD_PRESSURE_AT", "GAS_ENERGY"])
def test_what_can_hurt_carries_a_caution(name: str) -> None:
    assert "proof with liquid" in "\n".join(functions()[name].cautions).lower()


# Gas ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pressure", "start", "later", "expected", "tolerance"),
    [
        # public worked answer: bicycle tyre 658 kPa, 20 to 60 degC, air 101.3 kPa, 0 degC as 273 K: 862.9 - 101.3 kPa
        pytest.param("658 kPa", 20, 60, 862.9 - 101.3, 0.2, id="bicycle tyre"),
        # public worked answer: car tyre 42.5 psi, -16 to 44.2 degC, air 14.7 psi, 0 degC as 273 K: 55.8986 psi
        pytest.param("42.5 psi", -16, 44.2, 55.8986 * 6.894757, 0.15, id="car tyre"),
    ],
)
def test_gas_that_warms_against_public_answers(
    pressure: str, start: float, later: float, expected: float, tolerance: float
) -> None:
    assert call("HOLD_PRESSURE_AT", pressure, start, later) == pytest.approx(expected, abs=tolerance)


def test_demo_gas_hold() -> None:
    # the demo job: GB-1, 20.0 kPa of gas at 18 degC, 1450 m: 17.8 at 12 degC; (20 + 85.1) x 285.15 / 291.15 - 85.1
    assert call("HOLD_PRESSURE_AT", 20, 18, 12, 1450) == pytest.approx(17.8, abs=0.05)


@given(PRESSURES, TEMPERATURES, TEMPERATURES, st.floats(0, 4000))
def test_there_and_back_gives_the_pressure(pressure: float, start: float, later: float, altitude: float) -> None:
    away = call("HOLD_PRESSURE_AT", pressure, start, later, altitude)
    assert (away >= pressure) == (later >= start) or away == pytest.approx(pressure)
    if away >= 0:
        assert call("HOLD_PRESSURE_AT", away, later, start, altitude) == pytest.approx(pressure, rel=1e-9, abs=1e-9)


def test_a_gas_hold_that_cools_may_end_below_the_air() -> None:
    # hand calculation: (1 + 101.325) x 278.15 / 313.15 - 101.325 = -10.44 kPa
    assert call("HOLD_PRESSURE_AT", 1, 40, 5) == pytest.approx(-10.44, abs=0.005)
    assert "draw in" in "\n".join(row[0] for row in call("ANSWER_STEPS", "HOLD_PRESSURE_AT", 1, 40, 5))


def test_demo_gas_energy() -> None:
    # the demo job: FU-2, 800 kPa in a bore of 7.9 mm x 4.20 m: 412 J
    volume = call("LINE_VOLUME", 7.9, 4.2)
    assert call("GAS_ENERGY", 800, volume) == pytest.approx(412, abs=0.5)
    assert call("GAS_ENERGY", 0, 1) == 0
    assert call("GAS_ENERGY", 800, 0) == 0


@given(PRESSURES, st.floats(0.01, 100))
def test_gas_energy_is_never_under_the_isentropic_figure(pressure: float, volume: float) -> None:
    # second relation: p1 V / 0.4 x (1 - (p0 / p1)^(0.4 / 1.4)), absolute pressures, kPa x L = J
    full = pressure + 101.325
    isentropic = full * volume / 0.4 * (1 - (101.325 / full) ** (0.4 / 1.4))
    assert call("GAS_ENERGY", pressure, volume) >= isentropic * (1 - 1e-9)


# Price -------------------------------------------------------------------------------------------------------


def test_margin_by_hand() -> None:
    # 100 at 30 %: 142.857...; the demo job: 2610.58 rounded gives 3729.40, from the unrounded cost 3729.39
    assert call("PRICE_FROM_MARGIN", 100, 30) == pytest.approx(100 / 0.7, rel=1e-15)
    assert call("PRICE_FROM_MARGIN", 2610.58, 30) == pytest.approx(3729.40, abs=1e-9)
    assert call("PRICE_FROM_MARGIN", 2610.5736, 30) == pytest.approx(3729.39, abs=0.005)
    assert call("PRICE_FROM_MARGIN", 0, 30) == 0
    assert call("PRICE_FROM_MARGIN", 100, 0) == pytest.approx(100)


def test_margin_is_not_mark_up() -> None:
    # the trade's own trap: 30 % mark-up is only 23.1 % margin
    assert call("PRICE_FROM_MARGIN", 100, "23.0769230769 %") == pytest.approx(130, abs=1e-6)
    assert "mark-up of 42.9 %" in "\n".join(row[0] for row in call("ANSWER_STEPS", "PRICE_FROM_MARGIN", 100, 30))


def test_a_margin_as_a_fraction_is_refused() -> None:
    code, words = refused("PRICE_FROM_MARGIN", 100, 0.3)
    assert code == "#VALUE!"
    assert "type 30" in words
    assert refused("PRICE_FROM_MARGIN", 100, 100)[0] == "#NUM!"


@given(st.decimals(0, 1000000, places=2), st.integers(0, 99))
def test_the_price_is_exact_money(cost: Decimal, margin: int) -> None:
    exact = cost / (1 - Decimal(margin) / 100)
    assert call("PRICE_FROM_MARGIN", float(cost), margin) == float(exact)


@given(st.floats(0, 1e6), st.floats(1, 98))
def test_the_margin_is_left_over(cost: float, margin: float) -> None:
    price = call("PRICE_FROM_MARGIN", cost, margin)
    assert price - cost == pytest.approx(price * margin / 100, rel=1e-6, abs=1e-9)
