"""Cooling and heat: what a fluid carries, what a cooler gives away, what a fan's cable loses."""

from dataclasses import replace
from math import exp

from xlcalc.core.errors import NoAnswer
from xlcalc.core.kinds import Word, digits
from xlcalc.core.registry import Answer, Arg, example, worksheet_function
from xlcalc.core.solve import root
from xlcalc.core.steps import listening, step
from xlcalc.functions import air
from xlcalc.functions.arguments import ALTITUDE, FLOW, FLUID, HEAT, LENGTH, PRESSURE, TEMPERATURE, VOLUME
from xlcalc.functions.figures import Figure
from xlcalc.functions.fluid import Fluid, celsius
from xlcalc.functions.wording import air_pressure, refuse_swapped, said

COOLER_CAUTION = "Hot oil burns and burning oil kills: keep hoses and cooler clear of exhaust and sparks."
STEERING_HEAT_CAUTION = "Never hold full lock for more than 5 s: the oil boils within a minute (common practice)."
CABLE_CAUTION = "Fuse the fan at the battery end; a cable that is too thin burns before its fuse blows."
ZERO_CELSIUS = 273.15
COPPER_AT = 293.15  # K, temperature of the printed resistivity

HOT = replace(TEMPERATURE, label="Hot temperature", help="of the fluid as it comes")
COLD = replace(TEMPERATURE, label="Cold temperature", help="of the fluid as it leaves")
AIR_TEMPERATURE = Arg("Air temperature", "degC", -60, 120, help="as it meets the cooler, behind a radiator warmer")
HEAT_PER_DEGREE = Arg("Heat per degree", "kW/K", 0.0001, 50, help="of oil in over air in, COOLER_HEAT_PER_DEGREE")
MOST_TERMS = 2000  # of the series, reached only for absurd transfer units


def _heat_capacity_rate(flow: float, fluid: Fluid, first: float, second: float) -> float:
    """Heat in W that a flow carries for each kelvin, at the mean of two temperatures."""
    mean = (first + second) / 2.0
    density, heat = fluid.density(mean), fluid.specific_heat(mean)
    if listening():
        step(f"At the mean of {celsius(mean)}: density {density:.5g} kg/m³, specific heat {heat / 1e3:.4g} kJ/(kg K)")
    return flow * density * heat


@worksheet_function(
    "HEAT_CARRIED",
    args={"flow": FLOW, "fluid": FLUID, "hot_temperature": HOT, "cold_temperature": COLD},
    answer=Answer("Heat carried", "kW"),
    sources=("ENERGYBALANCE",),
    example=example(7, "ATF generic", 82, 58, shows="4.6"),
    cautions=(COOLER_CAUTION,),
)
def heat_carried(flow: float, fluid: Fluid, hot_temperature: float, cold_temperature: float) -> float:
    """Heat that a flow of fluid gives away between two temperatures.

    Method: flow x density x specific heat x difference, density and specific heat at the mean temperature.
    Not for: a fluid that boils or a reading taken before both temperatures are steady.
    """
    refuse_swapped("hot", hot_temperature, "cold", cold_temperature, "degC")
    return _heat_capacity_rate(flow, fluid, hot_temperature, cold_temperature) * (hot_temperature - cold_temperature)


@worksheet_function(
    "FLOW_FOR_HEAT",
    args={"heat": HEAT, "fluid": FLUID, "hot_temperature": HOT, "cold_temperature": COLD},
    answer=Answer("Flow", "L/min"),
    sources=("ENERGYBALANCE",),
    example=example("4.6 kW", "ATF generic", 82, 58, shows="6.9"),
)
def flow_for_heat(heat: float, fluid: Fluid, hot_temperature: float, cold_temperature: float) -> float:
    """Flow of fluid that carries a heat between two temperatures.

    Method: heat / (density x specific heat x difference), both at the mean temperature.
    Not for: a fluid that boils.
    """
    refuse_swapped("hot", hot_temperature, "cold", cold_temperature, "degC")
    if hot_temperature == cold_temperature:
        if heat == 0.0:
            return 0.0
        raise NoAnswer("hot and cold are the same: no flow carries heat without a difference")
    return heat / (
        _heat_capacity_rate(1.0, fluid, hot_temperature, cold_temperature) * (hot_temperature - cold_temperature)
    )


@worksheet_function(
    "PUMP_HEAT",
    args={"flow": FLOW, "pressure": replace(PRESSURE, label="Pressure", help="that is lost without doing work")},
    answer=Answer("Heat", "kW"),
    sources=("ENERGYBALANCE",),
    example=example(8, 9000, shows="1.20"),
    cautions=(STEERING_HEAT_CAUTION,),
)
def pump_heat(flow: float, pressure: float) -> float:
    """Heat that a flow turns into over a relief valve, as in steering held at full lock.

    Method: flow x pressure.
    Not for: pressure that does work in a ram or motor.
    """
    return flow * pressure


@worksheet_function(
    "FLUID_WARM_TIME",
    args={
        "heat": HEAT,
        "volume": VOLUME,
        "fluid": FLUID,
        "start_temperature": replace(TEMPERATURE, label="Start temperature", help="at which the litres are given"),
        "limit_temperature": replace(TEMPERATURE, label="Limit temperature"),
    },
    answer=Answer("Time to the limit", "s"),
    sources=("ENERGYBALANCE",),
    example=example(1.2, 1.2, "power steering mineral", 80, 120, shows="66"),
    cautions=(STEERING_HEAT_CAUTION,),
)
def fluid_warm_time(
    heat: float, volume: float, fluid: Fluid, start_temperature: float, limit_temperature: float
) -> float:
    """Time in which a heat brings a volume of fluid to its limit, with nothing given away.

    Method: mass x specific heat x difference / heat; mass from the litres at the start, specific heat at the mean.
    Not for: a circuit that cools on the way: it lasts longer.
    """
    refuse_swapped("limit", limit_temperature, "start", start_temperature, "degC")
    if limit_temperature == start_temperature:
        return 0.0
    if heat == 0.0:
        raise NoAnswer("without heat the fluid never gets there: give the heat")
    mass = volume * fluid.density(start_temperature)
    specific = fluid.specific_heat((start_temperature + limit_temperature) / 2.0)
    step(f"Mass {mass:.4g} kg, specific heat {specific / 1e3:.4g} kJ/(kg K)")
    return mass * specific * (limit_temperature - start_temperature) / heat


@worksheet_function(
    "COOLER_HEAT_PER_DEGREE",
    args={
        "heat": replace(HEAT, help="of the cooler's catalogue"),
        "temperature_difference": Arg("Difference", "K", 1, 200, help="oil in over air in, as the catalogue has it"),
        "altitude": ALTITUDE,
    },
    answer=Answer("Heat per degree", "kW/K"),
    sources=("ENERGYBALANCE", "USSA76"),
    example=example(8.5, 55, 2100, shows="0.126"),
)
def cooler_heat_per_degree(heat: float, temperature_difference: float, altitude: float) -> float:
    """Heat that a cooler gives away for each degree of oil in over air in.

    Method: catalogue heat / catalogue difference x density of the standard atmosphere at the altitude over sea level.
    Not for: another oil flow or air speed than the catalogue's, or a difference that is a log mean.
    """
    thinner = air.standard_density(altitude) / air.standard_density(0.0)
    step(f"Air at {digits(altitude)} m has {thinner:.4g} of its density at sea level")
    return heat / temperature_difference * thinner


@worksheet_function(
    "COOLER_OIL_IN",
    args={"heat": HEAT, "air_temperature": AIR_TEMPERATURE, "heat_per_degree": HEAT_PER_DEGREE},
    answer=Answer("Oil to the cooler", "degC"),
    sources=("ENERGYBALANCE",),
    example=example(4.6, 45, 0.126, shows="81.5"),
    cautions=(COOLER_CAUTION,),
)
def cooler_oil_in(heat: float, air_temperature: float, heat_per_degree: float) -> float:
    """Temperature that the oil reaches before a cooler that has to give a heat away.

    Method: air temperature + heat / heat per degree.
    Not for: an oil flow far from the catalogue's.
    """
    oil = air_temperature + heat / heat_per_degree
    if oil > ZERO_CELSIUS + 400.0:
        raise NoAnswer(f"the oil would come to {celsius(oil)}: the cooler is far too small for that heat")
    return oil


@worksheet_function(
    "COOLER_OIL_OUT",
    args={
        "flow": FLOW,
        "fluid": FLUID,
        "oil_in": replace(TEMPERATURE, label="Oil in"),
        "air_temperature": AIR_TEMPERATURE,
        "heat_per_degree": HEAT_PER_DEGREE,
    },
    answer=Answer("Oil from the cooler", "degC"),
    sources=("ENERGYBALANCE",),
    example=example(7, "ATF generic", 90, 45, 0.126, shows="60.6"),
)
def cooler_oil_out(flow: float, fluid: Fluid, oil_in: float, air_temperature: float, heat_per_degree: float) -> float:
    """Temperature at which the oil leaves a cooler: what a sender or fan switch in the return reads.

    Method: flow x density x specific heat x (in - out) = heat per degree x (in - air), density and specific heat
    at the mean of oil in and out.
    Not for: oil flows so small that it would leave colder than the air.
    """
    refuse_swapped("oil in", oil_in, "air", air_temperature, "degC")
    given = heat_per_degree * (oil_in - air_temperature)
    if given == 0.0:
        return oil_in

    def left(oil_out: float) -> float:
        mean = (oil_in + oil_out) / 2.0
        return flow * fluid.density(mean) * fluid.specific_heat(mean) * (oil_in - oil_out) - given

    if left(air_temperature) < 0.0:
        raise NoAnswer(
            f"{said(flow, 'L/min')} of oil would leave colder than the air of {celsius(air_temperature)}: "
            "the heat per degree does not hold for so small a flow"
        )
    step(f"Heat given away {said(given, 'kW')}")
    return root(left, air_temperature, oil_in, "no temperature of the oil balances that heat")


@worksheet_function(
    "COOLER_AIR_FLOW",
    args={
        "heat": HEAT,
        "air_temperature": AIR_TEMPERATURE,
        "air_temperature_rise": Arg("Air temperature rise", "K", 1, 150, help="of the air through the cooler"),
        "altitude": ALTITUDE,
    },
    answer=Answer("Air flow as it enters the cooler", "m3/h"),
    sources=("ENERGYBALANCE", "IDEALGAS", "USSA76"),
    example=example(4.6, 45, 15, 2100, shows="1276"),
)
def cooler_air_flow(
    heat: float,
    air_temperature: float,
    air_temperature_rise: float,
    altitude: float,
    *,
    air_heat: Figure = Figure("air-cp"),  # noqa: B008  (a frozen figure of the table)
) -> float:
    """Air that a cooler needs to carry a heat away with a given rise of its temperature.

    Method: heat / (density x 1.006 kJ/(kg K) x rise), density as the air enters, at the altitude.
    Not for: a fan's free-air figure: behind a core a fan moves 50 to 70 % of it (common practice).
    """
    density = air.density(air_temperature, air_pressure(altitude))
    if listening():
        step(f"Air enters with {density:.4g} kg/m³")
        air_heat.tell()
    return heat / (density * air_heat.value * air_temperature_rise)


def cross_unmixed(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness of cross flow with both streams unmixed, by the exact series of Mason 1955.

    Every term is a product of two shares of Poisson sums, so that large transfer units stay finite.
    Source: EFFNTU; Incropera, table of effectiveness relations.
    """
    own, other = transfer_units, transfer_units * capacity_ratio
    tail_own = tail_other = 1.0  # 1 - e^-x sum of x^k / k! up to the term
    term_own, term_other = exp(-own), exp(-other)
    total = 0.0
    for place in range(MOST_TERMS):
        tail_own, tail_other = tail_own - term_own, tail_other - term_other
        part = max(tail_own, 0.0) * max(tail_other, 0.0)
        total += part
        if part < 1e-16 * total or part == 0.0:
            break
        term_own *= own / (place + 1)
        term_other *= other / (place + 1)
    return min(total / other, 1.0)


def counter_flow(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness of counter flow. Source: EFFNTU; Incropera, table of effectiveness relations."""
    if capacity_ratio == 1.0:
        return transfer_units / (1.0 + transfer_units)
    fall = exp(-transfer_units * (1.0 - capacity_ratio))
    return (1.0 - fall) / (1.0 - capacity_ratio * fall)


def parallel_flow(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness of parallel flow. Source: as counter_flow."""
    return (1.0 - exp(-transfer_units * (1.0 + capacity_ratio))) / (1.0 + capacity_ratio)


def cross_larger_mixed(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness of cross flow with the larger stream mixed. Source: as counter_flow."""
    return (1.0 - exp(-capacity_ratio * (1.0 - exp(-transfer_units)))) / capacity_ratio


_EFFECTIVENESS = {
    "cross both unmixed": cross_unmixed,
    "counter": counter_flow,
    "parallel": parallel_flow,
    "cross one mixed": cross_larger_mixed,
}


@worksheet_function(
    "COOLER_EFFECTIVENESS",
    args={
        "transfer_units": Arg("Transfer units", "1", 0, 100, help="UA over the smaller heat capacity rate"),
        "capacity_ratio": Arg("Capacity ratio", "1", 0, 1, help="smaller over larger heat capacity rate"),
        "arrangement": Arg("Arrangement", Word(*_EFFECTIVENESS), default="cross both unmixed"),
    },
    answer=Answer("Effectiveness"),
    sources=("EFFNTU",),
    example=example(2.67, 0.357, shows="0.836", source="INCROPERA"),
)
def cooler_effectiveness(transfer_units: float, capacity_ratio: float, arrangement: str) -> float:
    """Share of the greatest possible heat that a cooler passes, when its maker gives UA.

    Method: effectiveness-NTU; cross flow both unmixed by the exact series; one mixed with the larger stream mixed.
    Not for: boiling or condensing, other than as capacity ratio 0.
    """
    if transfer_units == 0.0 or capacity_ratio == 0.0:
        return 1.0 - exp(-transfer_units)
    return _EFFECTIVENESS[arrangement](transfer_units, capacity_ratio)


@worksheet_function(
    "CABLE_VOLTAGE_DROP",
    args={
        "current": Arg("Current", "A", 0, 1000),
        "one_way_length": replace(LENGTH, label="Length one way"),
        "area": Arg("Copper area", "mm2", 0.1, 200),
        "temperature": Arg("Temperature", "degC", -60, 150, default=60, help="of the copper"),
    },
    answer=Answer("Voltage lost", "V"),
    sources=("OHM", "NBS100"),
    example=example(10, 4, 2.5, shows="0.64"),
    cautions=(CABLE_CAUTION,),
)
def cable_voltage_drop(
    current: float,
    one_way_length: float,
    area: float,
    temperature: float,
    *,
    resistivity: Figure = Figure("rho-cu"),  # noqa: B008  (a frozen figure of the table)
    coefficient: Figure = Figure("alpha-cu"),  # noqa: B008
) -> float:
    """Voltage lost in a copper cable there and back.

    Method: 2 x resistivity x length x current / area, resistivity 0.017241 ohm mm2/m at 20 °C and 0.00393 per K.
    Not for: aluminium cable, poor joints, or a return through the body.
    """
    warmer = 1.0 + coefficient.value * (temperature - COPPER_AT)
    if listening():
        resistivity.tell()
        coefficient.tell()
        step(f"Resistance {warmer:.4g} times that at 20 °C")
    return 2.0 * resistivity.value * warmer * one_way_length * current / area


@worksheet_function(
    "GEARBOX_OIL_LIFE",
    args={"temperature": Arg("Temperature", "degC", 80, 150, "PRACTICE", help="of the oil, steady")},
    answer=Answer("Life of the oil", "km"),
    sources=("PRACTICE",),
    example=example("195 degF", "mi", shows="50000"),
    cautions=("A rule of thumb for a chart, never a check: the gearbox maker's interval goes first.",),
)
def gearbox_oil_life(
    temperature: float,
    *,
    life: Figure = Figure("oil-life"),  # noqa: B008  (frozen figures of the table)
    at: Figure = Figure("oil-life-at"),  # noqa: B008
    halving: Figure = Figure("oil-life-halving"),  # noqa: B008
) -> float:
    """Distance after which gearbox oil is worn out, by a rule of thumb.

    Method: 160 934 km (100 000 miles) at 175 °F, halved for every 20 °F more; common practice.
    Not for: deciding anything: it shows why a cooler pays.
    """
    if listening():
        life.tell()
    return float(life.value * 0.5 ** ((temperature - at.value) / halving.value))
