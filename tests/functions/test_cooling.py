"""Cooling and heat against print, second libraries, hand calculations and laws."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.refused import refused
from xlcalc import CalcError, call
from xlcalc.functions.effectiveness import ARRANGEMENTS

# 7.42 lb/US gal and 0.42 Btu/(lb F) of Esposito Ex. 11-2
ESPOSITO_OIL = "889.11 kg/m3; 30 mm2/s; cp 1.75846 kJ/(kg K)"
FLOWS = st.floats(0.5, 60)
DEGREES = st.floats(0, 60)
RISES = st.floats(0.5, 60)


# What a flow carries -----------------------------------------------------------------------------------------


def test_a24_relief_valve_warms_oil() -> None:
    # A24: 1000 psi lost by 10 US gpm, 7.42 lb/gal, 0.42 Btu/(lb F), 120 F in: 127.9 F out, 0.1 F (Esposito Ex. 11-2)
    heat = call("PUMP_HEAT", "10 US gpm", "1000 psi")
    each_degree = call("HEAT_CARRIED", "10 US gpm", ESPOSITO_OIL, "121 degF", "120 degF")
    assert 120 + heat / each_degree == pytest.approx(127.9, abs=0.1)
    assert call("FLOW_FOR_HEAT", heat, ESPOSITO_OIL, "127.9 degF", "120 degF", "US gpm") == pytest.approx(10, rel=0.013)


def test_relief_valve_in_metric() -> None:
    # Esposito Ex. 11-3, figures as in two public worked copies: 70 bar, 0.000632 m3/s, 895 kg/m3, 1.8 kJ/(kg K),
    # 50 degC; by hand 54.3 degC
    oil = "895 kg/m3; 30 mm2/s; cp 1.8 kJ/(kg K)"
    heat = call("PUMP_HEAT", "0.000632 m3/s", "70 bar")
    assert heat == pytest.approx(4.424, abs=0.0005)
    assert 50 + heat / call("HEAT_CARRIED", "0.000632 m3/s", oil, 51, 50) == pytest.approx(54.3, abs=0.05)


def test_demo_heats() -> None:
    # the demo job, worked beside in plain Python
    assert call("HEAT_CARRIED", 7, "ATF generic", 82, 58) == pytest.approx(4.6, abs=0.05)
    assert call("PUMP_HEAT", 8, 9000) == pytest.approx(1.2, rel=1e-9)
    assert call("FLUID_WARM_TIME", 1.2, 1.2, "power steering mineral", 80, 120) == pytest.approx(65, abs=0.5)


@given(FLOWS, DEGREES, RISES)
def test_the_flow_put_back_carries_the_heat(flow: float, cold: float, rise: float) -> None:
    heat = call("HEAT_CARRIED", flow, "ATF generic", cold + rise, cold)
    assert call("FLOW_FOR_HEAT", heat, "ATF generic", cold + rise, cold) == pytest.approx(flow, rel=1e-9)
    assert call("HEAT_CARRIED", flow, "ATF generic", cold + rise + 1, cold) > heat


@given(st.floats(0.1, 20), st.floats(0.1, 20), DEGREES, RISES)
def test_warming_laws(heat: float, volume: float, start: float, rise: float) -> None:
    seconds = call("FLUID_WARM_TIME", heat, volume, "ATF generic", start, start + rise)
    assert call("FLUID_WARM_TIME", heat * 2, volume, "ATF generic", start, start + rise) == pytest.approx(seconds / 2)
    assert call("FLUID_WARM_TIME", heat, volume * 2, "ATF generic", start, start + rise) == pytest.approx(seconds * 2)
    # litres in that time at that heat: the same balance as a flow
    flow = call("FLOW_FOR_HEAT", heat, "ATF generic", start + rise, start)
    assert volume / flow * 60 == pytest.approx(seconds, rel=1e-9)


def test_edges_of_heat() -> None:
    assert call("HEAT_CARRIED", 0, "water", 60, 40) == 0
    assert call("HEAT_CARRIED", 7, "water", 60, 60) == 0
    assert call("FLOW_FOR_HEAT", 0, "water", 60, 60) == 0
    assert call("FLUID_WARM_TIME", 1, 1, "water", 60, 60) == 0
    assert call("FLUID_WARM_TIME", 1, 0, "water", 20, 60) == 0
    assert refused("FLOW_FOR_HEAT", 4, "water", 60, 60)[0] == "#NUM!"
    assert refused("FLUID_WARM_TIME", 0, 1, "water", 20, 60)[0] == "#NUM!"


def test_swapped_temperatures_are_refused_in_words() -> None:
    assert refused("HEAT_CARRIED", 7, "water", 60, 85) == ("#NUM!", "hot 60 °C is below cold 85 °C: swapped?")
    assert refused("FLOW_FOR_HEAT", 7, "water", 60, 85)[0] == "#NUM!"
    assert "limit 80 °C is below start 120 °C" in refused("FLUID_WARM_TIME", 1, 1, "ATF generic", 120, 80)[1]
    assert "oil in 40 °C is below air 45 °C" in refused("COOLER_OIL_OUT", 7, "ATF generic", 40, 45, 0.1)[1]


def test_a_fluid_without_specific_heat_says_so() -> None:
    code, words = refused("HEAT_CARRIED", 7, "870 kg/m3; 30 mm2/s", 60, 40)
    assert code == "#N/A"
    assert "cp" in words


# Coolers -----------------------------------------------------------------------------------------------------


def test_demo_cooler() -> None:
    # the demo job, worked beside in plain Python
    each = call("COOLER_HEAT_PER_DEGREE", 8.5, 55, 2100)
    assert each == pytest.approx(0.126, abs=0.0005)
    assert call("COOLER_OIL_IN", 4.6, 45, each) == pytest.approx(81.6, abs=0.05)
    assert call("COOLER_AIR_FLOW", 4.6, 45, 15, 2100) == pytest.approx(1280, abs=5)


def test_demo_fan_switch() -> None:
    # fan off (a fifth of the rating) the return stands at 85; with the fan on it falls to about 61: worked beside with
    # one density and specific heat, 829 kg/m3 and 2.0 kJ/(kg K), 7 L/min: rate 193.4 W/K
    each = call("COOLER_HEAT_PER_DEGREE", 8.5, 55, 2100)
    rate = 7 / 60e3 * 829 * 2000
    oil_in = (85 * rate - 45 * 0.2 * each * 1e3) / (rate - 0.2 * each * 1e3)
    assert call("COOLER_OIL_OUT", 7, "ATF generic", oil_in, 45, 0.2 * each) == pytest.approx(85, abs=0.1)
    assert call("COOLER_OIL_OUT", 7, "ATF generic", oil_in, 45, each) == pytest.approx(61, abs=0.5)


def test_the_standard_atmosphere_thins_the_cooler() -> None:
    # US Standard Atmosphere 1976 as printed in Mechanical Engineers' Handbook, volume 4, Table 6, page 12, in kg/m3
    printed = {1000: 1.1117, 2000: 1.0066, 3000: 0.9093, 4000: 0.8194, 5000: 0.7364}
    for altitude, density in printed.items():
        thinner = call("COOLER_HEAT_PER_DEGREE", 10, 50, altitude) / call("COOLER_HEAT_PER_DEGREE", 10, 50)
        assert thinner == pytest.approx(density / 1.2250, abs=8e-5), altitude  # half the last digits of both
    assert call("COOLER_HEAT_PER_DEGREE", 10, 50) == pytest.approx(0.2, rel=1e-12)


@given(FLOWS, st.floats(50, 140), st.floats(-20, 45), st.floats(0.001, 1))
def test_oil_out_put_back_gives_the_heat(flow: float, oil_in: float, air: float, each: float) -> None:
    try:
        oil_out = call("COOLER_OIL_OUT", flow, "ATF generic", oil_in, air, each)
    except CalcError as error:
        assert "colder than the air" in str(error)  # noqa: PT017
        return
    assert air <= oil_out <= oil_in
    heat = call("HEAT_CARRIED", flow, "ATF generic", oil_in, oil_out)
    assert heat == pytest.approx(each * (oil_in - air), rel=1e-6)
    assert call("COOLER_OIL_IN", heat, air, each) == pytest.approx(oil_in, abs=1e-6)


def test_oil_out_by_hand_where_nothing_changes_with_temperature() -> None:
    # 900 kg/m3, 2.0 kJ/(kg K), 6 L/min: 180 W/K; 90 to 90 - 0.1 x (90 - 40) / 0.18 = 62.22 degC
    oil = "900 kg/m3; 30 mm2/s; cp 2.0 kJ/(kg K)"
    assert call("COOLER_OIL_OUT", 6, oil, 90, 40, 0.1) == pytest.approx(90 - 0.1 * 50 / 0.18, abs=1e-9)


def test_edges_of_oil_out() -> None:
    assert call("COOLER_OIL_OUT", 7, "ATF generic", 45, 45, 0.1) == pytest.approx(45)
    assert refused("COOLER_OIL_OUT", 0, "ATF generic", 90, 45, 0.1)[0] == "#NUM!"
    code, words = refused("COOLER_OIL_OUT", 1, "ATF generic", 91, 45, 0.1257)
    assert code == "#NUM!"
    assert "colder than the air of 45 °C" in words
    assert refused("COOLER_OIL_OUT", 7, "ATF generic", 200, 45, 0.1)[0] == "#NUM!", "outside the oil's span"


def test_oil_out_needs_the_span_of_the_oil_only() -> None:
    # SAE 30 is known from 0 degC; the air is at -40, the oil leaves above 0
    assert call("COOLER_OIL_OUT", 7, "engine oil SAE 30", 30, -40, 0.02) == pytest.approx(23.2, abs=0.3)
    code, words = refused("COOLER_OIL_OUT", 7, "engine oil SAE 30", 20, -40, 0.1)
    assert code == "#NUM!"
    assert "below 0 °C, the coldest at which engine oil SAE 30 is known" in words


@pytest.mark.parametrize("name", ["HEAT_CARRIED", "FLOW_FOR_HEAT"])
def test_both_ends_lie_inside_the_span_of_the_fluid(name: str) -> None:
    # the mean of 160 and 40 lies inside, the hot end does not: ATF generic is known to 150 degC
    code, words = refused(name, 4, "ATF generic", 160, 40)
    assert code == "#NUM!"
    assert "known from -40 °C to 150 °C; 160 °C lies outside" in words
    assert refused("FLUID_WARM_TIME", 1, 1, "ATF generic", 40, 160)[0] == "#NUM!"


def test_a_cooler_far_too_small_is_refused() -> None:
    code, words = refused("COOLER_OIL_IN", 50, 45, 0.05)
    assert code == "#NUM!"
    assert "far too small" in words


def test_air_flow_against_a_rule_of_fan_makers() -> None:
    # printed by several fan makers: cfm = 3160 x kW / rise in F, for air at sea level and room temperature
    assert call("COOLER_AIR_FLOW", 1, 20, "18 delta_degF", 0, "cfm") == pytest.approx(3160 / 18, rel=0.01)


# Effectiveness -----------------------------------------------------------------------------------------------


def test_a23_gas_to_water() -> None:
    # A23: gas 1500 W/K of 250 degC, water 4197 W/K of 35 degC, UA 4000 W/K: 2.70e5 W, 1.5 % (Incropera Ex. 11.4, whose
    # chart gives 2.65e5); the exact series 2.695e5
    share = call("COOLER_EFFECTIVENESS", 4000 / 1500, 1500 / 4197)
    assert share * 1500 * (250 - 35) == pytest.approx(2.70e5, rel=0.015)
    assert share * 1500 * (250 - 35) == pytest.approx(2.695e5, rel=0.0005)


def test_parallel_flow_of_a_public_library_page() -> None:
    # heat exchanger library of an equation solver (its web page): UA 75 W/K, 50 and 30 W/K, parallel: 0.6136; cross
    # flow unmixed by the usual approximation: 0.7632, against which the exact series lies within 1.5 %
    assert call("COOLER_EFFECTIVENESS", 75 / 30, 30 / 50, "parallel") == pytest.approx(0.6136, abs=5e-5)
    assert call("COOLER_EFFECTIVENESS", 75 / 30, 30 / 50) == pytest.approx(0.7632, rel=0.015)


HT_NAMES = {
    "cross both unmixed": "crossflow",
    "cross one mixed": "crossflow, mixed Cmax",
    "counter": "counterflow",
    "parallel": "parallel",
}


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("units", [0.01, 0.3, 1.0, 2.67, 6.0, 25.0])
@pytest.mark.parametrize("ratio", [0.0, 0.05, 0.3574, 0.75, 1.0])
def test_effectiveness_against_ht(arrangement: str, units: float, ratio: float) -> None:
    import ht  # noqa: PLC0415  (slow to load)

    name = HT_NAMES[arrangement] if ratio else "boiler"  # one stream that keeps its temperature
    expected = ht.effectiveness_from_NTU(units, ratio, subtype=name)
    assert call("COOLER_EFFECTIVENESS", units, ratio, arrangement) == pytest.approx(expected, rel=1e-7)


@given(st.floats(0, 100), st.floats(0, 1), st.sampled_from(sorted(ARRANGEMENTS)))
def test_effectiveness_laws(units: float, ratio: float, arrangement: str) -> None:
    share = call("COOLER_EFFECTIVENESS", units, ratio, arrangement)
    best = call("COOLER_EFFECTIVENESS", units, ratio, "counter")
    worst = call("COOLER_EFFECTIVENESS", units, ratio, "parallel")
    dust = 1e-300  # floats lose their digits below
    assert 0 <= worst <= share * (1 + 1e-12) + dust
    assert share <= best * (1 + 1e-12) + dust <= 1 + 1e-12
    assert call("COOLER_EFFECTIVENESS", units * 0.9, ratio, arrangement) <= share * (1 + 1e-12) + dust


@given(st.floats(0, 100), st.sampled_from(sorted(ARRANGEMENTS)))
def test_the_arrangement_does_not_matter_against_an_endless_stream(units: float, arrangement: str) -> None:
    tiny = call("COOLER_EFFECTIVENESS", units, 1e-12, arrangement)
    assert tiny == pytest.approx(call("COOLER_EFFECTIVENESS", units, 0, arrangement), rel=1e-9, abs=1e-300)


def test_one_mixed_is_the_lower_of_its_two_figures() -> None:
    import ht  # noqa: PLC0415

    other = ht.effectiveness_from_NTU(2.0, 0.5, subtype="crossflow, mixed Cmin")
    assert call("COOLER_EFFECTIVENESS", 2, 0.5, "cross one mixed") < other


def test_a_ratio_the_wrong_way_up_is_refused() -> None:
    assert refused("COOLER_EFFECTIVENESS", 2, 1.2)[0] == "#NUM!"
    assert refused("COOLER_EFFECTIVENESS", 2, 0.5, "sideways")[0] == "#VALUE!"


# Cable and oil life ------------------------------------------------------------------------------------------


def test_x3_cable() -> None:
    # X3: copper 2.5 mm2, 5 m each way, 10 A, 20 degC: 0.690 V, 0.1 % (NBS Handbook 100)
    assert call("CABLE_VOLTAGE_DROP", 10, 5, 2.5, 20) == pytest.approx(0.690, rel=0.001)
    # the demo job: 4 m at 60 degC, 0.64 V, 5.3 % of 12 V
    lost = call("CABLE_VOLTAGE_DROP", 10, 4, 2.5)
    assert lost == pytest.approx(0.64, abs=0.005)
    assert lost / 12 == pytest.approx(0.053, abs=0.0005)


@given(st.floats(0, 200), st.floats(0, 20), st.floats(0.5, 50), st.floats(-40, 120))
def test_cable_laws(current: float, length: float, area: float, temperature: float) -> None:
    lost = call("CABLE_VOLTAGE_DROP", current, length, area, temperature)
    assert call("CABLE_VOLTAGE_DROP", current * 2, length, area, temperature) == pytest.approx(2 * lost)
    assert call("CABLE_VOLTAGE_DROP", current, length * 2, area, temperature) == pytest.approx(2 * lost)
    assert call("CABLE_VOLTAGE_DROP", current, length, area * 2, temperature) == pytest.approx(lost / 2)
    assert call("CABLE_VOLTAGE_DROP", current, length, area, temperature + 10) >= lost


def test_h7_oil_life() -> None:
    # H7: 195 F, 50 000 mi (practice table); 215 F half of that
    assert call("GEARBOX_OIL_LIFE", "195 degF", "mi") == pytest.approx(50000, rel=1e-12)
    assert call("GEARBOX_OIL_LIFE", "215 degF", "mi") == pytest.approx(25000, rel=1e-12)
    assert refused("GEARBOX_OIL_LIFE", 79)[0] == "#NUM!"
    assert refused("GEARBOX_OIL_LIFE", 151)[0] == "#NUM!"


@given(st.floats(80, 138))
def test_20_degrees_fahrenheit_halve_the_life(temperature: float) -> None:
    assume(temperature + 20 / 1.8 <= 150)
    later = call("GEARBOX_OIL_LIFE", temperature + 20 / 1.8)
    assert call("GEARBOX_OIL_LIFE", temperature) == pytest.approx(2 * later, rel=1e-9)


def test_spans_hold_their_answers() -> None:
    for cells in (
        ("HEAT_CARRIED", 7, "ATF generic", 82, 58),
        ("COOLER_OIL_OUT", 7, "ATF generic", 90, 45, 0.1),
        ("COOLER_AIR_FLOW", 4.6, 45, 15, 2100),
        ("GEARBOX_OIL_LIFE", 100),
    ):
        assert call("ANSWER_LOW", *cells) < call(*cells) < call("ANSWER_HIGH", *cells), cells[0]
