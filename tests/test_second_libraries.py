"""Every function that a general-purpose library answers too, against it (test only).

They stand in one file because loading the slowest of these libraries takes three seconds.
"""

import random
from math import pi

import pytest

from xlcalc import call
from xlcalc.core.tables import table

ZERO = 273.15
AIR = 101325.0
SPOTS = [random.Random(7).uniform(1, 99) for _ in range(12)]  # between the rows of the tables, not on them


def viscosity(name: str, degrees: float) -> float:
    """Dynamic viscosity in Pa s."""
    return float(call("FLUID_VISCOSITY", name, degrees) * 1e-6 * call("FLUID_DENSITY", name, degrees))


@pytest.mark.parametrize("degrees", SPOTS)
def test_water_by_its_international_equations(degrees: float) -> None:
    from chemicals import iapws95_rho, mu_IAPWS  # noqa: PLC0415  (slow to load)

    density = iapws95_rho(ZERO + degrees, AIR)
    assert call("FLUID_DENSITY", "water", degrees) == pytest.approx(density, rel=5e-4)
    assert viscosity("water", degrees) == pytest.approx(mu_IAPWS(ZERO + degrees, density), rel=2e-3)


@pytest.mark.parametrize("degrees", SPOTS)
def test_vapour_pressure_of_water_and_ethanol_by_a_handbook(degrees: float) -> None:
    # chemical engineers' handbook, 8th edition, as held by chemicals: ln p = C1 + C2/T + C3 ln T + C4 T^C5
    from chemicals.dippr import EQ101  # noqa: PLC0415
    from chemicals.vapor_pressure import Psat_data_Perrys2_8  # noqa: PLC0415

    for name, registry, within in (("water", "7732-18-5", 0.01), ("ethanol", "64-17-5", 0.03)):
        if name == "ethanol" and degrees > 60:
            continue
        constants = Psat_data_Perrys2_8.loc[registry, ["C1", "C2", "C3", "C4", "C5"]]
        expected = EQ101(ZERO + degrees, *map(float, constants))
        assert call("FLUID_VAPOUR_PRESSURE", name, degrees, "Pa abs") == pytest.approx(expected, rel=within)


@pytest.mark.parametrize("degrees", [-17.3, -3.1, 7.7, 20, 33.3, 58.1])
def test_ethanol_by_coolprop(degrees: float) -> None:
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415

    expected = {name: PropsSI(name, "T", ZERO + degrees, "Q", 0, "Ethanol") for name in ("D", "V", "C")}
    assert call("FLUID_DENSITY", "ethanol", degrees) == pytest.approx(expected["D"], rel=5e-4)
    assert viscosity("ethanol", degrees) == pytest.approx(expected["V"], rel=0.01)
    carried = call("HEAT_CARRIED", 60, "ethanol", degrees + 0.5, degrees - 0.5)  # 1 L/s through 1 K
    assert carried == pytest.approx(expected["D"] * expected["C"] * 1e-6, rel=0.003)


@pytest.mark.parametrize(("name", "share", "moles"), [("E10", 0.10, 0.21), ("E85", 0.85, 0.93)])
@pytest.mark.parametrize("degrees", [-18, 3.3, 20, 37.7, 58])
def test_viscosity_of_blends_by_two_rules(name: str, share: float, moles: float, degrees: float) -> None:
    # ethanol by the equation and constants of VDI, 5 % thinner than CoolProp's at -18 degC; by volume, as the table,
    # and by moles
    from chemicals.viscosity import PPDS9  # noqa: PLC0415  (slow to load)

    ethanol = PPDS9(ZERO + degrees, 6.16832, -0.00125, 740.323, 90.778, 3.8e-07)
    petrol = viscosity("petrol", degrees)
    by_volume, by_moles = (ethanol**part * petrol ** (1 - part) for part in (share, moles))
    assert viscosity(name, degrees) == pytest.approx(by_volume, rel=0.06)
    low, high = (call(end, "FLUID_VISCOSITY", name, degrees) for end in ("ANSWER_LOW", "ANSWER_HIGH"))
    assert low <= by_moles * 1e6 / call("FLUID_DENSITY", name, degrees) <= high


@pytest.mark.parametrize(("name", "hydrocarbons", "alcohol"), [("E10", 57.4, 11.6), ("E85", 30.5, 14.8)])
@pytest.mark.parametrize("degrees", [-18, 3.3, 20, 37.7, 58])
def test_vapour_of_blends_as_a_sum(name: str, hydrocarbons: float, alcohol: float, degrees: float) -> None:
    """Petrol's part by its own relation and ethanol's by a handbook, from their parts (kPa) at 37.8 degC.

    E10: 69 kPa (10 psi), of which 13 % by mass, 17 % by moles, is ethanol (EVAP10). E85: the test fuel's 45.1 kPa at
    most (40 CFR 1065.725), of which ethanol has 93 % of its own pressure.
    """
    from chemicals.dippr import EQ101  # noqa: PLC0415
    from chemicals.vapor_pressure import Psat_data_Perrys2_8  # noqa: PLC0415

    constants = [float(each) for each in Psat_data_Perrys2_8.loc["64-17-5", ["C1", "C2", "C3", "C4", "C5"]]]
    petrol = [call("FLUID_VAPOUR_PRESSURE", "petrol; RVP 9 psi", at) for at in (degrees, 37.8)]
    ethanol = EQ101(ZERO + degrees, *constants) / EQ101(ZERO + 37.8, *constants)
    expected = hydrocarbons * petrol[0] / petrol[1] + alcohol * ethanol
    low, high = (call(end, "FLUID_VAPOUR_PRESSURE", name, degrees) for end in ("ANSWER_LOW", "ANSWER_HIGH"))
    assert low <= expected <= high


@pytest.mark.parametrize("degrees", [-27.3, -12.5, 3.3, 20, 47.7, 71.1, 93.9])
def test_coolant_by_two_sets_of_coolprop(degrees: float) -> None:
    # AEG by volume is where the table comes from; MEG by mass (50 % by volume is 52.72 % by mass) is apart from it
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415

    for mixture, dense, thick in (("INCOMP::AEG[0.5]", 5e-4, 0.02), ("INCOMP::MEG[0.5272]", 0.01, 0.13)):
        density, dynamic = (PropsSI(name, "T", ZERO + degrees, "P", AIR, mixture) for name in "DV")
        assert call("FLUID_DENSITY", "coolant 50/50", degrees) == pytest.approx(density, rel=dense)
        assert viscosity("coolant 50/50", degrees) == pytest.approx(dynamic, rel=thick)
    low, high = (call(end, "FLUID_VISCOSITY", "coolant 50/50", degrees) for end in ("ANSWER_LOW", "ANSWER_HIGH"))
    assert low <= dynamic / density * 1e6 <= high, "the stated doubt covers the second set"


@pytest.mark.parametrize("degrees", [-55.5, -20, 0.1, 20, 77.7, 150, 199])
def test_air_by_coolprop(degrees: float) -> None:
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415

    density, dynamic = (PropsSI(name, "T", ZERO + degrees, "P", AIR, "Air") for name in "DV")
    assert call("FLUID_DENSITY", "air", degrees) == pytest.approx(density, rel=0.002)
    assert viscosity("air", degrees) == pytest.approx(dynamic, rel=0.02)


@pytest.mark.parametrize("altitude", [-400, 0, 250, 1450, 2100, 5000])
def test_standard_atmosphere_by_fluids(altitude: float) -> None:
    from fluids.atmosphere import ATMOSPHERE_1976  # noqa: PLC0415

    place, sea = ATMOSPHERE_1976(altitude), ATMOSPHERE_1976(0)
    assert call("AIR_PRESSURE_AT", altitude, "Pa abs") == pytest.approx(place.P, rel=1e-12)
    thinner = call("COOLER_HEAT_PER_DEGREE", 10, 50, altitude) / call("COOLER_HEAT_PER_DEGREE", 10, 50)
    assert thinner == pytest.approx(place.rho / sea.rho, rel=1e-9)


def factor(reynolds: float, roughness: float) -> float:
    """Darcy factor behind LINE_PRESSURE_DROP: 1 m of 50 mm, 1000 kg/m3, 0.5 mm2/s."""
    velocity = reynolds * 0.5e-6 / 0.05
    flow = velocity * pi / 4 * 0.05**2 * 60e3
    wall = f"{roughness * 50:.12f} mm"
    lost = call("LINE_PRESSURE_DROP", flow, 50, 1, "1000 kg/m3; 0.5 mm2/s", 20, 0, 0, wall, "Pa")
    return float(lost / (20 * 500 * velocity**2))


@pytest.mark.parametrize("roughness", [0, 1e-5, 1e-4, 1e-3, 0.02])
@pytest.mark.parametrize("reynolds", [4000, 7.3e3, 5e4, 1e6])
def test_colebrook_by_fluids(reynolds: float, roughness: float) -> None:
    from fluids.friction import Colebrook  # noqa: PLC0415

    expected = Colebrook(reynolds, roughness, tol=1e-12)
    assert factor(reynolds, roughness) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("reynolds", [2100, 2300, 2700, 3000, 3900])
def test_the_band_follows_churchill_of_fluids(reynolds: float) -> None:
    # scaled to meet 64/2000 and Colebrook at 4000: the scale is within 2 % of 1 for a smooth line
    from fluids.friction import Churchill_1977  # noqa: PLC0415

    assert factor(reynolds, 0) == pytest.approx(Churchill_1977(reynolds, 0), rel=0.02)


@pytest.mark.parametrize(
    ("reynolds", "bore", "coil"), [(250, 20, 100), (50, 8, 200), (150, 8, 200), (1900, 8, 120), (3000, 10, 60)]
)
def test_coil_by_white_in_fluids(reynolds: float, bore: float, coil: float) -> None:
    from fluids.friction import helical_laminar_fd_White  # noqa: PLC0415

    velocity = reynolds * 30e-6 / (bore / 1e3)
    flow = velocity * pi / 4 * (bore / 1e3) ** 2 * 60e3
    lost = call("COIL_PRESSURE_DROP", flow, bore, 1, "900 kg/m3; 30 mm2/s", 20, coil, "Pa")
    expected = helical_laminar_fd_White(reynolds, bore, coil)
    assert lost / (1e3 / bore * 450 * velocity**2) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("word", [row.text("word") for row in table("losses") if row.text("word") and row.number("K1")])
@pytest.mark.parametrize("reynolds", [20, 1500, 1e5])
@pytest.mark.parametrize("bore", [0.25, 0.5, 2.0])
def test_three_k_by_fluids(word: str, reynolds: float, bore: float) -> None:
    from fluids.fittings import Darby3K  # noqa: PLC0415

    name = next(row.text("fitting") for row in table("losses") if row.text("word") == word)
    expected = Darby3K(NPS=bore, Re=reynolds, name=name)
    velocity = reynolds * 1e-6 / (bore * 0.0254)
    flow = velocity * pi / 4 * (bore * 0.0254) ** 2 * 60e3
    once, twice = (
        call("LINE_PRESSURE_DROP", f"{flow!r} L/min", f"{bore} in", 0, "1000 kg/m3; 1 mm2/s", 20, words, 0, None, "Pa")
        for words in (word, f"2x {word}")
    )
    printed_otherwise = 0.14 if word == "ball valve" else 1e-9  # Ki 0.015 in print, 0.017 in the library
    assert once / (500 * velocity**2) == pytest.approx(expected, rel=printed_otherwise)
    assert twice == pytest.approx(2 * once, rel=1e-12)


@pytest.mark.parametrize(
    ("arrangement", "subtype"),
    [("counter", "counterflow"), ("parallel", "parallel"), ("cross one mixed", "crossflow, mixed Cmax"),
     ("cross both unmixed", "crossflow")],
)  # fmt: skip
def test_effectiveness_put_back_into_ht(arrangement: str, subtype: str) -> None:
    from ht import NTU_from_effectiveness  # noqa: PLC0415

    share = call("COOLER_EFFECTIVENESS", 1.3, 0.45, arrangement)
    assert NTU_from_effectiveness(share, 0.45, subtype=subtype) == pytest.approx(1.3, rel=1e-6)


def test_turbulent_legs_lose_alike_in_a_second_library() -> None:
    # friction factor of the fluids library, CoolProp's air; the shares answered must lose the same in both legs
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415  (slow to load)
    from fluids import friction_factor  # noqa: PLC0415

    density, viscosity = (PropsSI(name, "T", 293.15, "P", 101325, "Air") for name in ("D", "V"))
    share = call("VACUUM_TEE_BALANCE", 120, 7.9, 0.45, 9.5, 1.4) / 100
    lost = []
    for part, bore, length in ((share, 7.9e-3, 0.45), (1 - share, 9.5e-3, 1.4)):
        velocity = part * 120 / 60e3 / (pi / 4 * bore**2)
        reynolds = density * velocity * bore / viscosity
        assert reynolds > 4000
        lost.append(friction_factor(Re=reynolds, eD=0) * length / bore * velocity**2)
    assert lost[0] == pytest.approx(lost[1], rel=2e-4)


def test_water_grows_as_coolprop_says() -> None:
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415  (slow to load)

    cold, hot = (PropsSI("D", "T", 273.15 + degrees, "P", 101325, "Water") for degrees in (15, 90))
    assert call("TANK_FOR_EXPANSION", 100, "water", 15, 90, 0) == pytest.approx(100 * (cold / hot - 1), rel=0.01)


@pytest.mark.parametrize(
    ("flow", "bore", "length", "altitude"), [(67.5, 9.5, 1.2, 0), (150, 15.9, 3, 2100), (300, 19, 0.5, 1450)]
)
def test_breather_against_second_libraries(flow: float, bore: float, length: float, altitude: float) -> None:
    # air of CoolProp, friction factor and atmosphere of the fluids library, put together by hand
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415
    from fluids import ATMOSPHERE_1976, friction_factor  # noqa: PLC0415

    pressure = ATMOSPHERE_1976(altitude).P
    density, viscosity = (PropsSI(name, "T", 293.15, "P", pressure, "Air") for name in ("D", "V"))
    velocity = flow / 60e3 / (pi / 4 * (bore / 1e3) ** 2)
    reynolds = density * velocity * bore / 1e3 / viscosity
    assert reynolds > 4000
    lost = friction_factor(Re=reynolds, eD=0) * length / (bore / 1e3) * density * velocity**2 / 2
    assert call("BREATHER_PRESSURE", flow, bore, length, 0, altitude) == pytest.approx(lost / 1e3, rel=0.01)


def test_water_carries_what_coolprop_says() -> None:
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415  (slow to load)

    density, heat = (PropsSI(name, "T", 273.15 + 50, "P", 101325, "Water") for name in ("D", "C"))
    expected = 10 / 60e3 * density * heat * 20 / 1e3
    assert call("HEAT_CARRIED", 10, "water", 60, 40) == pytest.approx(expected, rel=0.002)


@pytest.mark.parametrize(("air", "rise", "altitude"), [(45, 15, 2100), (20, 30, 0), (-20, 5, 1450)])
def test_air_flow_against_coolprop(air: float, rise: float, altitude: float) -> None:
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415

    pressure, entry = call("AIR_PRESSURE_AT", altitude) * 1e3, 273.15 + air
    density = PropsSI("D", "T", entry, "P", pressure, "Air")
    gained = PropsSI("H", "T", entry + rise, "P", pressure, "Air") - PropsSI("H", "T", entry, "P", pressure, "Air")
    assert call("COOLER_AIR_FLOW", 4.6, air, rise, altitude) == pytest.approx(4600 / density / gained * 3600, rel=0.004)


@pytest.mark.parametrize("degrees", [-40, -20, 0, 40, 70])
def test_petrol_thickens_in_the_cold_as_a_hydrocarbon_of_its_weight_does(degrees: float) -> None:
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415

    assert 0.5 <= call("FLUID_VISCOSITY", "petrol", 20) <= 0.6  # mm2/s, range of the product (US DOE)
    thick, thin = (
        PropsSI("V", "T", ZERO + at, "Q", 0, "n-Heptane") / PropsSI("D", "T", ZERO + at, "Q", 0, "n-Heptane")
        for at in (degrees, 15.6)
    )
    ratio = call("FLUID_VISCOSITY", "petrol", degrees) / call("FLUID_VISCOSITY", "petrol", 15.6)
    assert ratio == pytest.approx(thick / thin, rel=0.005)
