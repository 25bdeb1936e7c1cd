"""Breathers and tanks against print, second libraries, hand calculations and laws."""

from math import pi, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.refused import refused
from xlcalc import CalcError, call
from xlcalc.functions.air_line import AIR_TEMPERATURE, FREE_AIR, FreeAir
from xlcalc.functions.breathers import breather_pressure
from xlcalc.functions.fittings import NO_FITTINGS, Fittings

FLOWS = st.floats(0.1, 500)
BORES = st.floats(4, 60)
LENGTHS = st.floats(0.05, 20)
LITRES = st.floats(0.1, 200)
PETROL_730 = "730 kg/m3; petrol; from -20 degC; to 60 degC"


# Growth of liquids -------------------------------------------------------------------------------------------


def test_h3_a_tank_is_95_per_cent_full_where_the_rule_governs() -> None:
    # check H3: 60 L tank, at most 57.0 L (49 CFR 393.67(c)(12))
    assert call("FILL_LIMIT", 60, "petrol", 15, 20) == pytest.approx(57.0, abs=1e-9)
    assert call("FILL_LIMIT", 60, "petrol", 15, 15) == pytest.approx(57.0, abs=1e-9)


def test_brimful_when_hot_governs_over_a_wide_span() -> None:
    # hand calculation from D1250-80: VCF 1.012085 at 5 degC, 0.944621 at 60 degC; 40 L x 0.944621 / 1.012085
    assert call("FILL_LIMIT", 40, "petrol", 5, 60) == pytest.approx(37.33, abs=0.005)


@pytest.mark.parametrize(
    ("fluid", "fill", "hottest", "grown", "tolerance"),
    [
        # A15: petrol of 730 kg/m3 at 40 degC, VCF 0.96845 within 2e-5: 100 L x (1/VCF - 1)
        pytest.param(PETROL_730, 15, 40, 100 * (1 / 0.96845 - 1), 0.0025, id="A15"),
        # A16: E10 from 60 to 100 F, VCF 0.97120 within 2e-5 (API MPMS 11.1)
        pytest.param("E10", "60 degF", "100 degF", 100 * (1 / 0.97120 - 1), 0.0025, id="A16"),
        # X5: coolant 50/50, 10 L from 20 to 100 degC grow 0.493 L, 2 % (CoolProp)
        pytest.param("coolant 50/50", 20, 100, 4.93, 0.099, id="X5"),
        # ASHRAE Handbook, aqueous ethylene glycol 50 % by volume: 1076.4 kg/m3 at 60 F, 1049.7 at 150 F
        pytest.param("coolant 50/50", "60 degF", "150 degF", 100 * (1076.4 / 1049.7 - 1), 0.05, id="ASHRAE"),
    ],
)
def test_growth_against_print(fluid: str, fill: object, hottest: object, grown: float, tolerance: float) -> None:
    assert call("TANK_FOR_EXPANSION", 100, fluid, fill, hottest, 0) == pytest.approx(grown, abs=tolerance)


def test_demo_tanks() -> None:
    # the demo job, worked beside in plain Python from D1250-80 and the ideal gas law
    assert call("TANK_FOR_EXPANSION", 90, "petrol", 10, 45) == pytest.approx(5.2, abs=0.05)
    assert call("FILL_LIMIT", 90, "petrol", 10, 45) == pytest.approx(85.5, abs=1e-9)
    assert call("TANK_FOR_EXPANSION", 12, "coolant 50/50", 15, 95, 0) == pytest.approx(0.57, abs=0.005)
    assert call("AIR_DRAWN_IN", 1.8, 2.2, "gear oil 75W-90", 95, 5) == pytest.approx(584, abs=0.5)
    assert call("AIR_DRAWN_IN", 3, 9, "ATF generic", 110, 5, "L") == pytest.approx(1.5, abs=0.05)
    assert call("BLOCKED_VENT_PRESSURE", 1.8, 2.2, "gear oil 75W-90", 10, 95) == pytest.approx(42, abs=0.5)


def test_air_alone_by_hand() -> None:
    # no liquid: 2 L of air from 85 to 15 degC, 2000 x (1 - 288.15 / 358.15) = 390.9 mL
    assert call("AIR_DRAWN_IN", 2, 0, "ATF generic", 85, 15) == pytest.approx(390.9, abs=0.05)
    # no liquid: closed from 20 to 80 degC, 101.325 x (353.15 / 293.15 - 1) = 20.74 kPa
    assert call("BLOCKED_VENT_PRESSURE", 2, 0, "ATF generic", 20, 80) == pytest.approx(20.74, abs=0.005)


@given(LITRES, st.floats(-20, 60), st.floats(0, 60), st.floats(0, 60))
def test_hotter_never_means_a_smaller_tank_or_a_fuller_fill(
    volume: float, fill: float, first: float, more: float
) -> None:
    assume(fill + first + more <= 150)
    warm, hot = fill + first, fill + first + more
    tanks = [call("TANK_FOR_EXPANSION", volume, "ATF generic", fill, limit) for limit in (warm, hot)]
    fills = [call("FILL_LIMIT", volume, "ATF generic", fill, limit) for limit in (warm, hot)]
    assert 0 <= tanks[0] <= tanks[1] + 1e-12
    assert fills[0] >= fills[1] - 1e-12
    assert fills[0] <= 0.95 * volume * (1 + 1e-12)


@given(LITRES, st.floats(-20, 60))
def test_no_warming_no_growth_and_no_air(volume: float, temperature: float) -> None:
    same = (temperature, temperature)
    assert call("TANK_FOR_EXPANSION", volume, "petrol", *same) == 0
    assert call("AIR_DRAWN_IN", volume, volume, "petrol", *same) == 0
    assert call("BLOCKED_VENT_PRESSURE", volume, volume, "petrol", *same) == 0


@given(LITRES)
def test_litres_or_gallons_give_the_same_fill(volume: float) -> None:
    in_gallons = call("FILL_LIMIT", f"{volume / 3.785411784!r} US gal", "petrol", 5, 60)
    assert call("FILL_LIMIT", volume, "petrol", 5, 60) == pytest.approx(in_gallons, rel=1e-9)


def test_swapped_temperatures_are_refused_in_words() -> None:
    code, words = refused("TANK_FOR_EXPANSION", 10, "petrol", 45, 10)
    assert (code, words) == ("#NUM!", "hottest 10 °C is below fill temperature 45 °C: swapped?")
    assert refused("FILL_LIMIT", 10, "petrol", 45, 10)[0] == "#NUM!"
    assert "hot 5 °C is below cold 95 °C" in refused("AIR_DRAWN_IN", 1, 1, "ATF generic", 5, 95)[1]
    assert refused("BLOCKED_VENT_PRESSURE", 1, 1, "ATF generic", 45, 10)[0] == "#NUM!"


def test_liquid_that_fills_the_air_space_has_no_pressure() -> None:
    code, words = refused("BLOCKED_VENT_PRESSURE", 0.1, 2.2, "gear oil 75W-90", 10, 95)
    assert code == "#NUM!"
    assert "0.1454 L" in words
    assert "0.1 L" in words


# Air through a line ------------------------------------------------------------------------------------------


def test_air_in_a_small_tube_against_a_textbook() -> None:
    # Munson Ex. 8.5 (from memory): standard air of 15 degC, 50 m/s, 4.0 mm drawn tubing, 0.1 m: 1.076 kPa, read with
    # a roughness of 0.0015 mm off a chart; Blasius in the same example gives f 0.0292: within 3 %
    lost = breather_pressure(50 * pi / 4 * 0.004**2, 0.004, 0.1, NO_FITTINGS, 0.0, free_air=FreeAir(288.15))
    assert lost == pytest.approx(1076, rel=0.03)


def test_laminar_breather_by_hand() -> None:
    # Poiseuille: 128 x 1.813e-5 Pa s x 1 m x (5 / 60e3) m3/s / (pi x (8 mm)^4) = 15.03 Pa (Sutherland 1.813e-5)
    assert call("BREATHER_PRESSURE", 5, 8, 1, 0, 0, "Pa") == pytest.approx(15.03, rel=0.005)


def test_a_loss_coefficient_by_hand() -> None:
    # K 2 alone: 2 x 1.204 kg/m3 x (60 / 60e3 / (pi/4 0.01^2))^2 / 2 = 195.2 Pa
    assert call("BREATHER_PRESSURE", 60, 10, 0, 2, 0, "Pa") == pytest.approx(195.2, rel=0.001)


def test_demo_air_lines() -> None:
    # the demo job: worked beside in plain Python
    assert call("BLOWBY_FLOW", 3.0, 4500, 1) == pytest.approx(67.5)
    assert call("BREATHER_PRESSURE", 67.5, 15.9, 1.2, 0, 2100) == pytest.approx(0.04, abs=0.005)
    assert call("BREATHER_PRESSURE", 37.9, 9.5, 1.5, 0, 2100) == pytest.approx(0.23, abs=0.005)
    assert call("FILTER_AREA", 67.5, 0.5) == pytest.approx(22.5)


@given(FLOWS, LENGTHS, st.floats(0.05, 20), st.sampled_from([0, 2.5, "2x elbow 90; 1x ball valve"]), st.floats(0, 4000))
def test_the_bore_put_back_gives_the_pressure(
    flow: float, length: float, allowed: float, fittings: object, altitude: float
) -> None:
    try:
        bore = call("BREATHER_BORE", flow, length, allowed, fittings, altitude)
    except CalcError as error:
        assert "faster than sound" in str(error)  # noqa: PT017  (a short line in a hurry has no bore)
        return
    assume(1 <= bore <= 150)
    assert call("BREATHER_PRESSURE", flow, bore, length, fittings, altitude) == pytest.approx(allowed, rel=1e-6)


@given(FLOWS, BORES, LENGTHS, st.floats(1.01, 3))
def test_breather_laws(flow: float, bore: float, length: float, more: float) -> None:
    try:
        lost = call("BREATHER_PRESSURE", flow, bore, length)
        wider = call("BREATHER_PRESSURE", flow, bore * more, length)
        longer = call("BREATHER_PRESSURE", flow, bore, length * 2)
        stronger = call("BREATHER_PRESSURE", flow * more, bore, length)
    except CalcError as error:
        assert error.code == "#NUM!"  # noqa: PT017
        assume(False)
    assert wider < lost < stronger
    assert longer == pytest.approx(2 * lost, rel=1e-9)


def test_no_flow_is_no_pressure_and_no_bore() -> None:
    assert call("BREATHER_PRESSURE", 0, 8, 1) == 0
    assert call("BREATHER_BORE", 0, 1, 1) == 0
    assert call("BREATHER_BORE", 50, 0, 1) == 0
    assert call("FILTER_AREA", 0, 0.5) == 0


def test_air_that_cannot_flow_is_refused() -> None:
    code, words = refused("BREATHER_PRESSURE", 2000, 1, 1)
    assert code == "#NUM!"
    assert "faster than sound (343 m/s)" in words
    code, words = refused("BREATHER_PRESSURE", 200, 5, 100)
    assert (code, "more than the air pressure of 101.3 kPa" in words) == ("#NUM!", True)


def test_the_span_of_a_breather_holds_the_answer_and_says_what_decides() -> None:
    cells = ("BREATHER_PRESSURE", 40, 9.5, 1.5, "2x elbow 90")
    assert call("ANSWER_LOW", *cells) < call(*cells) < call("ANSWER_HIGH", *cells)
    assert "what decides most" in "\n".join(row[0] for row in call("ANSWER_STEPS", *cells))


def test_free_air_leans_by_20_kelvin_and_by_nothing_else() -> None:
    assert FREE_AIR.lean(AIR_TEMPERATURE, 1).temperature == pytest.approx(313.15)
    assert FREE_AIR.lean(AIR_TEMPERATURE, -1).temperature == pytest.approx(273.15)
    assert FREE_AIR.lean("anything else", 1) == FREE_AIR


def test_steps_say_when_air_thins_along_the_line() -> None:
    rows = [row[0] for row in call("ANSWER_STEPS", "BREATHER_PRESSURE", 100, 5, 2)]
    assert "air thins along the line" in "\n".join(rows)


# Blow-by, catch tanks and drains -----------------------------------------------------------------------------


def test_blowby_by_hand() -> None:
    # 2.0 L x 6000 / 2 x 2 % = 120 L/min; at 101.325 kPa boost twice that
    assert call("BLOWBY_FLOW", 2, 6000, 2) == pytest.approx(120)
    assert call("BLOWBY_FLOW", 2, 6000, 2, 101.325) == pytest.approx(240)
    assert call("BLOWBY_FLOW", 2, "100 Hz", "2 %") == pytest.approx(120)
    assert call("BLOWBY_FLOW", 2, 6000, 0.5) == pytest.approx(30), "a share below 1 is per cent here"
    assert call("BLOWBY_FLOW", 2, 0) == 0


def test_catch_tank_by_hand() -> None:
    assert call("CATCH_TANK_VOLUME", 50, 10) == pytest.approx(2.0), "750 mL are less than the least"
    assert call("CATCH_TANK_VOLUME", 400, 8) == pytest.approx(4.8)
    assert call("CATCH_TANK_VOLUME", 400, 8, 0, 0) == pytest.approx(3.2)
    assert refused("CATCH_TANK_VOLUME", 400, 8, 0.5)[0] == "#VALUE!", "a cell formatted 50 % holds 0.5"


@given(st.floats(0, 10000), st.floats(0, 1000), st.floats(1, 300))
def test_a_catch_tank_is_never_under_its_least_nor_what_comes(carry: float, hours: float, spare: float) -> None:
    tank = call("CATCH_TANK_VOLUME", carry, hours, spare)
    assert tank >= 2.0 - 1e-12
    assert tank >= carry * hours / 1e3 * (1 - 1e-12)


def test_demo_drains() -> None:
    assert call("DRAIN_HEIGHT", 1.0, "engine oil 10W-40", 100) == pytest.approx(125, abs=0.5)
    assert call("DRAIN_HEIGHT", 0.5, "ATF generic", 110) == pytest.approx(63, abs=0.5)
    assert call("DRAIN_HEIGHT", 0, "ATF generic", 110) == 0


def test_a25_siphon_without_loss() -> None:
    # A25: petrol of 750 kg/m3, head 0.75 m, 5 mm bore, 4 L: 53.1 s, 0.2 % (Cengel Ex. 5-7)
    assert call("DRAIN_TIME", 4, 750, 5, 0, "750 kg/m3; 0.5 mm2/s", 20) == pytest.approx(53.1, rel=0.002)


def test_x1_first_jet_of_a_closed_tank() -> None:
    # X1: 0.800 m of water under 5.00 kPa, hole 20.0 mm, Cd 1: first jet 5.07 m/s; the same head as one column
    head = 0.800 + 5000 / (998.2 * 9.80665)
    seconds = call("DRAIN_TIME", 1, f"{head!r} m", 20, 0, "water", 20)
    jet = 1e-3 / seconds / (pi / 4 * 0.020**2)
    assert jet == pytest.approx(5.07, rel=0.003)


def test_thick_oil_drains_by_poiseuille_and_one_velocity_head() -> None:
    # hand calculation: density g h = 128 mu L Q / (pi d^4) + density (Q / A)^2 / 2, a quadratic in Q
    density, viscosity, height, bore, length = 900.0, 900.0 * 300e-6, 0.3, 0.0127, 1.0
    linear = 128 * viscosity * length / (pi * bore**4)
    square = density / 2 / (pi / 4 * bore**2) ** 2
    flow = (-linear + sqrt(linear**2 + 4 * square * density * 9.80665 * height)) / (2 * square)
    seconds = call("DRAIN_TIME", 1, 300, 12.7, 1, "900 kg/m3; 300 mm2/s", 20)
    assert seconds == pytest.approx(1e-3 / flow, rel=1e-6)


@given(st.floats(0.1, 10), st.floats(20, 1000), st.floats(5, 30), st.floats(0, 5), st.floats(1.05, 3))
def test_drain_laws(volume: float, height: float, bore: float, length: float, more: float) -> None:
    def seconds(*changed: float) -> float:
        litres, head, inside, line = changed
        return float(call("DRAIN_TIME", litres, head, inside, line, "ATF generic", 60))

    base = seconds(volume, height, bore, length)
    assert seconds(volume * more, height, bore, length) == pytest.approx(base * more, rel=1e-9)
    assert seconds(volume, height * more, bore, length) < base
    assert seconds(volume, height, bore * more, length) < base
    assert seconds(volume, height, bore, length + 0.1) > base


def test_a_drain_without_head_or_liquid() -> None:
    assert refused("DRAIN_TIME", 1, 0, 10, 1, "water", 20)[0] == "#NUM!"
    assert call("DRAIN_TIME", 0, 100, 10, 1, "water", 20) == 0


def test_a_falling_head_takes_twice_as_long() -> None:
    # the docstring's "up to twice": slices under their own head by Torricelli against the head held constant
    held = call("DRAIN_TIME", 1, 400, 6, 0, "water", 20)
    slices, area = 20000, pi / 4 * 0.006**2
    heads = (0.4 * (1 - (place + 0.5) / slices) for place in range(slices))
    assert sum(1e-3 / slices / (area * sqrt(2 * 9.80665 * head)) for head in heads) == pytest.approx(2 * held, rel=0.01)


def test_fittings_are_cited_once() -> None:
    rows = [row[0] for row in call("ANSWER_STEPS", "BREATHER_PRESSURE", 40, 9.5, 1.5, "2x elbow 90")]
    assert sum(row.startswith("elbow 90:") for row in rows) == 1


def test_a_plain_k_carries_no_doubt() -> None:
    assert Fittings(ki=2.0, said="2").doubts == ()


def test_water_that_shrinks_to_its_densest_needs_no_tank() -> None:
    # IAPWS: water is densest at 4 degC, so from 0 to 4 degC it shrinks
    assert call("TANK_FOR_EXPANSION", 10, "water", 0, 4) == 0


def test_a_housing_without_anything_in_it_is_asked_for() -> None:
    assert refused("BLOCKED_VENT_PRESSURE", 0, 0, "gear oil 75W-90", 10, 95) == (
        "#NUM!", "without air and liquid there is no pressure: give both volumes of the housing",
    )  # fmt: skip
