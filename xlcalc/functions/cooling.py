"""Cooling and heat: what a flow carries, what a cooler gives off, what its fan and cable need."""

from dataclasses import replace

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import NoAnswer, OutOfRange
from xlcalc.core.kinds import Word
from xlcalc.core.solve import root
from xlcalc.core.steps import listening, step
from xlcalc.core.words import digits
from xlcalc.functions import air
from xlcalc.functions.arguments import ALTITUDE, FLOW, FLUID, HEAT, LENGTH, PRESSURE, TEMPERATURE, VOLUME
from xlcalc.functions.effectiveness import ARRANGEMENTS
from xlcalc.functions.figures import Figure
from xlcalc.functions.fluid import Fluid, celsius
from xlcalc.functions.laws import ZERO_CELSIUS
from xlcalc.functions.wording import air_pressure, refuse_swapped, said

OIL_CAUTION = (
    "Hot oil burns and burning oil kills: keep hoses and cooler clear of exhaust and sparks; the maker's limit decides."
)
STEERING_CAUTION = "Never hold full lock for more than 5 s: the oil is at its limit within a minute (common practice)."
CATALOGUE_CAUTION = (
    "A catalogue figure is for its own air speed: behind a grille or radiator a cooler gives less, measure it."
)
FAN_CAUTION = "A fan's free-air figure is not what passes a cooler: 50 to 70 % of it is common practice."
FIRE_CAUTION = "Fuse the cable for its area next to the battery: an unfused short burns the car."
PRACTICE_CAUTION = "Common practice, no source: never a check, the oil maker's interval goes first."
HOT = replace(TEMPERATURE, label="Hot temperature")
COLD = replace(TEMPERATURE, label="Cold temperature")
AIR_TEMPERATURE = Arg("Air temperature", "degC", -60, 150, help="as it enters the cooler")
HEAT_PER_DEGREE = Arg("Heat per degree", "kW/K", 0.0001, 50, help="COOLER_HEAT_PER_DEGREE")
HOTTEST_OIL = ZERO_CELSIUS + 250.0  # the hottest that any fluid here may be
LIFE_FROM, LIFE_TO = 80.0, 150.0  # degC, span of the oil life chart, common practice


def _heat_of_a_degree(fluid: Fluid, first: float, second: float) -> float:
    """Density times specific heat in J/(m3 K) at the mean of two temperatures, told as a step."""
    fluid.check(first)
    fluid.check(second)
    mean = (first + second) / 2.0
    density, specific_heat = fluid.density(mean), fluid.specific_heat(mean)
    if listening():
        step(f"At the mean of {celsius(mean)}: density {density:.5g} kg/m³, specific heat {specific_heat:.4g} J/(kg K)")
    return density * specific_heat


@worksheet_function(
    "HEAT_CARRIED",
    args={"flow": FLOW, "fluid": FLUID, "hot_temperature": HOT, "cold_temperature": COLD},
    answer=Answer("Heat carried", "kW"),
    sources=("ENERGYBALANCE",),
    example=example(7, "ATF generic", 82, 58, shows="4.6"),
)
def heat_carried(flow: float, fluid: Fluid, hot_temperature: float, cold_temperature: float) -> float:
    """Heat that a flow gives off between two temperatures, such as hot and cool side of a cooler.

    Method: density x flow x specific heat x difference, density and specific heat at the mean temperature.
    No answer: #NUM! where hot and cold are swapped.
    Not for: temperatures not read at the same moment, or boiling.
    """
    refuse_swapped("hot", hot_temperature, "cold", cold_temperature, "degC")
    return flow * _heat_of_a_degree(fluid, hot_temperature, cold_temperature) * (hot_temperature - cold_temperature)


@worksheet_function(
    "FLOW_FOR_HEAT",
    args={"heat": HEAT, "fluid": FLUID, "hot_temperature": HOT, "cold_temperature": COLD},
    answer=Answer("Flow wanted", "L/min"),
    sources=("ENERGYBALANCE",),
    example=example(4.648, "ATF generic", 82, 58, shows="7.0"),
)
def flow_for_heat(heat: float, fluid: Fluid, hot_temperature: float, cold_temperature: float) -> float:
    """Flow that carries a heat between two temperatures.

    Method: heat / (density x specific heat x difference), density and specific heat at the mean temperature.
    No answer: #NUM! where hot and cold are swapped or equal.
    Not for: boiling.
    """
    refuse_swapped("hot", hot_temperature, "cold", cold_temperature, "degC")
    if heat == 0.0:
        return 0.0
    if hot_temperature == cold_temperature:
        raise NoAnswer(f"hot and cold are both {celsius(hot_temperature)}: no flow carries heat without a difference")
    return heat / (_heat_of_a_degree(fluid, hot_temperature, cold_temperature) * (hot_temperature - cold_temperature))


@worksheet_function(
    "PUMP_HEAT",
    args={"flow": FLOW, "pressure": replace(PRESSURE, help="lost, e.g. over the relief valve")},
    answer=Answer("Heat", "kW"),
    sources=("PUMPHEAT", "ESPOSITO"),
    example=example(8, 9000, shows="1.2"),
    cautions=(STEERING_CAUTION,),
)
def pump_heat(flow: float, pressure: float) -> float:
    """Heat that a flow makes where it loses pressure without doing work, such as steering at full lock.

    Method: flow x pressure.
    Not for: the average of a drive: full lock lasts seconds.
    """
    return flow * pressure


@worksheet_function(
    "FLUID_WARM_TIME",
    args={"heat": HEAT, "volume": VOLUME, "fluid": FLUID,
          "start_temperature": replace(TEMPERATURE, label="Start temperature"),
          "limit_temperature": replace(TEMPERATURE, label="Limit temperature")},
    answer=Answer("Time to the limit", "s"),
    sources=("ENERGYBALANCE",),
    example=example(1.2, 1.2, "power steering mineral", 80, 120, shows="65"),
    cautions=(STEERING_CAUTION, OIL_CAUTION),
)  # fmt: skip
def fluid_warm_time(
    heat: float, volume: float, fluid: Fluid, start_temperature: float, limit_temperature: float
) -> float:
    """Time in which a heat warms a volume of fluid to a limit.

    Method: density x volume x specific heat x rise / heat, density and specific heat at the mean temperature.
    No answer: #NUM! where start and limit are swapped, or there is no heat.
    Not for: circuits that lose heat meanwhile (longer), or oil that is not well mixed (shorter where it is hot).
    """
    refuse_swapped("limit", limit_temperature, "start", start_temperature, "degC")
    if limit_temperature == start_temperature:
        return 0.0
    if heat == 0.0:
        raise NoAnswer(f"without heat the fluid never gets to {celsius(limit_temperature)}: give the heat")
    stored = volume * _heat_of_a_degree(fluid, start_temperature, limit_temperature)
    return stored * (limit_temperature - start_temperature) / heat


@worksheet_function(
    "COOLER_HEAT_PER_DEGREE",
    args={"heat": replace(HEAT, help="of the catalogue point"),
          "temperature_difference": Arg("Temperature difference", "K", 0.1, 200, help="oil in over air in"),
          "altitude": ALTITUDE},
    answer=Answer("Heat per degree", "kW/K"),
    sources=("ENERGYBALANCE", "USSA76"),
    example=example(8.5, 55, 2100, shows="0.126"),
    cautions=(CATALOGUE_CAUTION,),
)  # fmt: skip
def cooler_heat_per_degree(heat: float, temperature_difference: float, altitude: float) -> float:
    """Heat that a cooler gives off for each kelvin between oil in and air in, from one catalogue point.

    Method: heat / difference x density of the standard atmosphere at the altitude / at sea level.
    Not for: a catalogue difference that is a log mean, or another flow or air speed than the catalogue's.
    """
    thinner = air.standard_density(altitude) / air.standard_density(0.0)
    if listening():
        step(f"Air at {digits(altitude)} m has {100.0 * thinner:.4g} % of the density at sea level")
    return heat / temperature_difference * thinner


@worksheet_function(
    "COOLER_OIL_IN",
    args={"heat": HEAT, "air_temperature": AIR_TEMPERATURE, "heat_per_degree": HEAT_PER_DEGREE},
    answer=Answer("Oil to the cooler", "degC"),
    sources=("ENERGYBALANCE",),
    example=example(4.6, 45, 0.1257, shows="81.6"),
    cautions=(OIL_CAUTION, CATALOGUE_CAUTION),
)
def cooler_oil_in(heat: float, air_temperature: float, heat_per_degree: float) -> float:
    """Temperature at which oil must come to a cooler that is to give off a heat.

    Method: air temperature + heat / heat per degree.
    No answer: #NUM! where the oil would come to more than 250 degC.
    Not for: the oil's hottest place, which is before the cooler, in the gearbox or pump.
    """
    oil = air_temperature + heat / heat_per_degree
    if oil > HOTTEST_OIL:
        raise NoAnswer(
            f"the oil would come to {celsius(oil)}, above {celsius(HOTTEST_OIL)}: the cooler is far too small for "
            f"{said(heat, 'kW')}"
        )
    return oil


@worksheet_function(
    "COOLER_OIL_OUT",
    args={
        "flow": FLOW,
        "fluid": FLUID,
        "oil_in": replace(TEMPERATURE, label="Oil to the cooler"),
        "air_temperature": AIR_TEMPERATURE,
        "heat_per_degree": HEAT_PER_DEGREE,
    },
    answer=Answer("Oil from the cooler", "degC"),
    sources=("ENERGYBALANCE",),
    example=example(7, "ATF generic", 82, 45, 0.1257, shows="58.0"),
    cautions=(OIL_CAUTION, CATALOGUE_CAUTION),
)
def cooler_oil_out(flow: float, fluid: Fluid, oil_in: float, air_temperature: float, heat_per_degree: float) -> float:
    """Temperature at which the oil leaves a cooler: what a sender in the return line reads.

    Method: density x flow x specific heat x (oil in - oil out) = heat per degree x (oil in - air), density and
    specific heat at the mean of oil in and out.
    No answer: #NUM! where oil and air are swapped, without flow, or where the oil would leave colder than the air or
    than it is known.
    Not for: another flow than the one that the cooler's figure was given for.
    """
    refuse_swapped("oil in", oil_in, "air", air_temperature, "degC")
    if oil_in == air_temperature:
        return oil_in
    if flow == 0.0:
        raise NoAnswer("with a flow of 0 no oil leaves the cooler: give the flow through it")
    heat = heat_per_degree * (oil_in - air_temperature)

    def short_of(oil_out: float) -> float:
        mean = (oil_in + oil_out) / 2.0
        return flow * fluid.density(mean) * fluid.specific_heat(mean) * (oil_in - oil_out) - heat

    fluid.check(oil_in)
    coldest = max(air_temperature, fluid.coldest)
    if short_of(coldest) < 0.0:
        if coldest > air_temperature:
            raise OutOfRange(
                f"the oil would leave below {celsius(coldest)}, the coldest at which {fluid.name} is known: "
                "use that fluid's own figures"
            )
        raise NoAnswer(
            f"giving off {said(heat, 'kW')} the oil would leave colder than the air of {celsius(air_temperature)}: "
            f"the cooler's figure {said(heat_per_degree, 'kW/K')} does not hold at {said(flow, 'L/min')}"
        )
    oil_out = root(short_of, coldest, oil_in, "no oil temperature balances this cooler: check its figure and the flow")
    if listening():
        step(f"The cooler gives off {said(heat, 'kW')}")
        _heat_of_a_degree(fluid, oil_in, oil_out)
    return oil_out


@worksheet_function(
    "COOLER_AIR_FLOW",
    args={"heat": HEAT, "air_temperature": AIR_TEMPERATURE,
          "air_temperature_rise": Arg("Air temperature rise", "K", 0.1, 200, help="through the cooler"),
          "altitude": ALTITUDE},
    answer=Answer("Air flow wanted", "m3/h"),
    sources=("ENERGYBALANCE", "IDEALGAS", "USSA76", "COOLPROP"),
    example=example(4.6, 45, 15, 2100, shows="1276"),
    cautions=(FAN_CAUTION,),
)  # fmt: skip
def cooler_air_flow(
    heat: float,
    air_temperature: float,
    air_temperature_rise: float,
    altitude: float,
    *,
    air_heat: Figure = Figure("air-cp"),  # noqa: B008  (frozen: names a row of a table, reads nothing yet)
) -> float:
    """Air that must pass a cooler to take a heat with a given rise, as it enters.

    Method: heat / (density x 1.006 kJ/(kg K) x rise), density of dry air at the entry temperature and the
    altitude's pressure.
    Not for: choosing a fan by its free-air figure.
    """
    air_heat.tell()
    density = air.density(air_temperature, air_pressure(altitude))
    if listening():
        step(f"Density of the air as it enters: {density:.4g} kg/m³")
    return heat / (density * air_heat.value * air_temperature_rise)


@worksheet_function(
    "COOLER_EFFECTIVENESS",
    args={"transfer_units": Arg("Transfer units", "1", 0, 100, help="UA over the smaller capacity rate"),
          "capacity_ratio": Arg("Capacity ratio", "1", 0, 1, "EFFNTU", help="smaller capacity rate over the larger"),
          "arrangement": Arg("Arrangement", Word(*ARRANGEMENTS), default="cross both unmixed")},
    answer=Answer("Effectiveness"),
    sources=("EFFNTU", "INCROPERA"),
    example=example(2.667, 0.3574, shows="0.836"),
)  # fmt: skip
def cooler_effectiveness(transfer_units: float, capacity_ratio: float, arrangement: str) -> float:
    """Share of the heat that could be exchanged at most which a cooler does exchange.

    Method: effectiveness-NTU; cross both unmixed by the exact series, cross one mixed with the larger stream
    mixed (the lower figure), counter, parallel.
    Not for: a maker's heat figure at a stated difference: that is COOLER_HEAT_PER_DEGREE.
    """
    return ARRANGEMENTS[arrangement](transfer_units, capacity_ratio)


@worksheet_function(
    "CABLE_VOLTAGE_DROP",
    args={"current": Arg("Current", "A", 0, 1000),
          "one_way_length": replace(LENGTH, label="One-way length", help="the way back is counted too"),
          "area": Arg("Conductor area", "mm2", 0.1, 500),
          "temperature": Arg("Conductor temperature", "degC", -60, 200, default=60)},
    answer=Answer("Voltage lost", "V"),
    sources=("OHM", "NBS100"),
    example=example(10, 4, 2.5, shows="0.64"),
    cautions=(FIRE_CAUTION,),
)  # fmt: skip
def cable_voltage_drop(
    current: float,
    one_way_length: float,
    area: float,
    temperature: float,
    *,
    resistivity: Figure = Figure("rho-cu"),  # noqa: B008
    coefficient: Figure = Figure("alpha-cu"),  # noqa: B008
) -> float:
    """Voltage that a copper cable loses on the way to a fan and back.

    Method: 2 x resistivity x length x current / area, 0.017241 ohm mm2/m at 20 degC and 0.00393 per K.
    Not for: a return through the body, plugs, switches and fuses: add their own.
    """
    resistivity.tell()
    coefficient.tell()
    warm = resistivity.value * (1.0 + coefficient.value * (temperature - ZERO_CELSIUS - 20.0))
    if listening():
        step(f"Copper at {celsius(temperature)}: {warm * 1e6:.5g} ohm mm²/m")
    return 2.0 * warm * one_way_length * current / area


@worksheet_function(
    "GEARBOX_OIL_LIFE",
    args={"temperature": Arg("Oil temperature", "degC", LIFE_FROM, LIFE_TO, "PRACTICE", help="steady, in the sump")},
    answer=Answer("Oil life", "km"),
    sources=("PRACTICE",),
    example=example("195 degF", "mi", shows="50000"),
    cautions=(PRACTICE_CAUTION,),
)
def gearbox_oil_life(
    temperature: float,
    *,
    life: Figure = Figure("oil-life"),  # noqa: B008
    halving: Figure = Figure("oil-life-halving"),  # noqa: B008
) -> float:
    """Distance after which gearbox oil is used up at a steady temperature, by an old rule of thumb.

    Method: 160 934 km (100 000 miles) at 175 degF, halved for every 20 degF above.
    Not for: deciding anything: it shows what heat does to oil.
    """
    at = Figure("oil-life-at")
    for figure in (life, at, halving):
        figure.tell()
    return float(life.value * 0.5 ** ((temperature - at.value) / halving.value))
