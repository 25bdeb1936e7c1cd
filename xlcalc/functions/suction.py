"""The suction side and the fuel that an engine asks for."""

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.steps import listening, step
from xlcalc.core.words import short
from xlcalc.functions import air
from xlcalc.functions.arguments import (
    ALTITUDE,
    BORE,
    FITTINGS,
    FLOW,
    FLUID,
    LENGTH,
    RISE,
    STEERING_CAUTION,
    TEMPERATURE,
)
from xlcalc.functions.fittings import Fittings
from xlcalc.functions.fluid import Fluid
from xlcalc.functions.friction import DARCY, FRICTION, Friction
from xlcalc.functions.laws import BASE_15
from xlcalc.functions.line import line_pressure_drop
from xlcalc.functions.roughness import SMOOTH


@worksheet_function(
    "SUCTION_MARGIN",
    args={"flow": FLOW, "bore": BORE, "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE,
          "fittings": FITTINGS, "rise": RISE, "altitude": ALTITUDE,
          "tank_pressure": Arg("Tank pressure", "kPa", 0, 500, default=0, help="above the atmosphere")},
    answer=Answer("Pressure left over the vapour pressure", "kPa"),
    sources=(*DARCY, "USSA76", "AP42", "ANTOINE"),
    example=example(3, 9.5, 0.9, "petrol; RVP 10 psi", 34, 2, 0.25, 2100, shows="10.5"),
    cautions=(STEERING_CAUTION,),
    not_with={"air": "a gas does not boil in a suction line"},
)  # fmt: skip
def suction_margin(
    flow: float,
    bore: float,
    length: float,
    fluid: Fluid,
    temperature: float,
    fittings: Fittings,
    rise: float,
    altitude: float,
    tank_pressure: float,
    *,
    friction: Friction = FRICTION,
) -> float:
    """Pressure at the end of a suction line over the vapour pressure: below 0 it boils or the pump starves.

    Method: air + tank pressure - static rise - drop - vapour pressure; the vapour pressure of an oil counts
    as 0.
    Not for: what the pump itself needs at its inlet: its maker's figure comes on top.
    """
    atmosphere = air.pressure_at(altitude)
    vapour = 0.0 if fluid.oil and fluid.vapour_law is None else fluid.vapour_pressure(temperature)
    lost = line_pressure_drop(flow, bore, length, fluid, temperature, fittings, rise, SMOOTH, friction=friction)
    if listening():
        step(
            f"Air {short(atmosphere / 1e3)} kPa, vapour pressure {short(vapour / 1e3)} kPa, "
            f"drop and rise {short(lost / 1e3)} kPa"
        )
    return atmosphere + tank_pressure - lost - vapour


@worksheet_function(
    "FUEL_FLOW_FOR_POWER",
    args={"power": Arg("Power", "kW", 0, 2000),
          "consumption": Arg("Consumption", "g/kWh", 100, 1000, help="at full power"),
          "fluid": FLUID,
          "allowance": Arg("Allowance", "%", 0, 200, default=25)},
    answer=Answer("Fuel flow", "L/min"),
    sources=("ENERGYBALANCE", "CFR14-23-955"),
    example=example(120, 320, "petrol", shows="1.07"),
    cautions=(STEERING_CAUTION,),
    not_with={"air": "it burns fuel, not air"},
)  # fmt: skip
def fuel_flow_for_power(power: float, consumption: float, fluid: Fluid, allowance: float) -> float:
    """Fuel flow that an engine burns at a power, with an allowance on top.

    Method: power x consumption / density at 15 degC x (1 + allowance). The allowance of 25 % follows an
    aviation rule for fuel pumps.
    Not for: a return system, whose supply line carries the whole pump flow.
    """
    density = fluid.density(BASE_15)
    step(f"Density at 15 °C: {density:.5g} kg/m³")
    return power * consumption / density * (1.0 + allowance)
