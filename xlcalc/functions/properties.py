"""Fluids and air: what a fluid is like at a temperature, and the air at an altitude."""

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.steps import step
from xlcalc.functions import air
from xlcalc.functions.arguments import FLUID, NOT_GAS, TEMPERATURE, VOLUME
from xlcalc.functions.fluid import Fluid, celsius, tell, tell_no_growth

FROM_TEMPERATURE = Arg("First temperature", "degC", -60, 250, help="at which the litres are given")
TO_TEMPERATURE = Arg("Second temperature", "degC", -60, 250)


@worksheet_function(
    "FLUID_VISCOSITY",
    args={"fluid": FLUID, "temperature": TEMPERATURE},
    answer=Answer("Kinematic viscosity", "mm2/s"),
    sources=("D341",),
    example=example("850 kg/m3; 32 mm2/s @ 40 degC; 5.4 mm2/s @ 100 degC", 80, shows="8.53", source="D341"),
)
def fluid_viscosity(fluid: Fluid, temperature: float) -> float:
    """Kinematic viscosity of a fluid at a temperature.

    Method: ASTM D341 through the measured points, from neighbour to neighbour; a table's points with
    ln(viscosity) straight in 1/T.
    Not for: oil near its pour point, fuel near its cloud point, or a fluid outside its stated span.
    """
    tell(fluid, temperature)
    return fluid.viscosity(temperature)


@worksheet_function(
    "FLUID_DENSITY",
    args={"fluid": FLUID, "temperature": TEMPERATURE},
    answer=Answer("Density", "kg/m3"),
    sources=("D1250", "MPMS11-1"),
    example=example("730 kg/m3; class petrol", 40, shows="707.0"),
)
def fluid_density(fluid: Fluid, temperature: float) -> float:
    """Density of a fluid at a temperature.

    Method: ASTM D1250-80, density at 15 °C x exp[-a dt (1 + 0.8 a dt)]; a table's points joined straight; air as
    an ideal gas at 101.325 kPa.
    Not for: liquids under high pressure.
    """
    return fluid.density(temperature)


@worksheet_function(
    "FLUID_EXPANSION_VOLUME",
    args={
        "volume": VOLUME,
        "fluid": FLUID,
        "from_temperature": FROM_TEMPERATURE,
        "to_temperature": TO_TEMPERATURE,
    },
    answer=Answer("Growth of the volume", "L"),
    sources=("D1250", "MPMS11-1"),
    example=example(90, "petrol", 10, 45, shows="4.0"),
    cautions=("A tank filled to the brim cold runs over hot: fuel on a hot road or exhaust burns.",),
    not_with=NOT_GAS,
)
def fluid_expansion_volume(volume: float, fluid: Fluid, from_temperature: float, to_temperature: float) -> float:
    """Growth of a volume of fluid from one temperature to another; negative where it shrinks.

    Method: volume x (density at the first temperature / density at the second - 1).
    Not for: vapour, or a tank that stretches.
    """
    first, second = fluid.density(from_temperature), fluid.density(to_temperature)
    step(f"Density {first:.5g} kg/m³ at {celsius(from_temperature)}, {second:.5g} at {celsius(to_temperature)}")
    tell_no_growth(fluid)
    return volume * (first / second - 1.0)


@worksheet_function(
    "FLUID_VAPOUR_PRESSURE",
    args={"fluid": FLUID, "temperature": TEMPERATURE},
    answer=Answer("Vapour pressure", "kPa abs"),
    sources=("AP42", "ANTOINE"),
    example=example("petrol; RVP 10 psi", "60 degF", "psia", shows="5.2", source="AP42"),
)
def fluid_vapour_pressure(fluid: Fluid, temperature: float) -> float:
    """Absolute pressure at which a fluid boils at a temperature.

    Method: petrol by AP-42 chapter 7.1 from its Reid vapour pressure; ethanol by Antoine; else ln(p) straight in
    1/T through two points or a table. E10 and E85 of the table are summer fuel, worked out.
    Not for: other blends of petrol and ethanol, or winter E10 and E85, without two measured points.
    """
    return fluid.vapour_pressure(temperature)


@worksheet_function(
    "FLUID_KNOWN_DOWN_TO",
    args={"fluid": FLUID},
    answer=Answer("Lowest temperature of the fluid's data", "degC"),
    sources=("PRACTICE",),
    example=example("ATF generic", shows="-40"),
)
def fluid_known_down_to(fluid: Fluid) -> float:
    """Lowest temperature at which the fluid's figures may be used.

    Method: the span stated in the fluids table or in the words; else 20 K below the coldest measured point.
    Not for: the pour point, which may lie above it.
    """
    return fluid.coldest


@worksheet_function(
    "AIR_PRESSURE_AT",
    args={"altitude": Arg("Altitude", "m", -400, 5000, help="above sea level")},
    answer=Answer("Air pressure", "kPa abs"),
    sources=("USSA76",),
    example=example(2000, shows="79.501", source="USSA76"),
)
def air_pressure_at(altitude: float) -> float:
    """Absolute pressure of the air at an altitude.

    Method: US Standard Atmosphere 1976.
    Not for: the weather, which moves it by some 3 kPa.
    """
    return air.pressure_at(altitude)
