"""Flow and bore: continuity, pressure drop and what follows from it, for one line full of one fluid."""
from math import pi, sqrt
from typing import Any

from xlcalc.core.errors import NoAnswer, WrongKind
from xlcalc.core.kinds import COLDEST_KELVIN, AnyUnit, Quantity, digits, number
from xlcalc.core.registry import Answer, Arg, example, worksheet_function
from xlcalc.core.solve import root
from xlcalc.core.steps import cite, listening, step
from xlcalc.core.units import Unit, quantity
from xlcalc.functions import air
from xlcalc.functions.arguments import (
    ALLOWED_DROP,
    ALTITUDE,
    BORE,
    FITTINGS,
    FLOW,
    FLUID,
    LENGTH,
    RISE,
    TEMPERATURE,
    VELOCITY,
)
from xlcalc.functions.fittings import Fittings
from xlcalc.functions.fluid import Fluid, celsius, tell
from xlcalc.functions.friction import FRICTION, LAMINAR_TO, TURBULENT_FROM, Friction, pressure_drop
from xlcalc.functions.roughness import SMOOTH, Surface, SurfaceKind

GRAVITY = 9.80665  # m/s2, standard
DARCY = ("DARCY", "COLEBROOK", "CLAMOND", "CHURCHILL1977", "DARBY")
FINEST_BORE, WIDEST_BORE = 1e-5, 10.0  # m, ends of the search for a bore
MOST_FLOW = 100.0  # m3/s, end of the search for a flow
_MIX = ({"", "gauge"}, {"temperature", "kelvin"}, {"kelvin", "difference"}, {"", "vacuum"})  # units that convert
STEERING_CAUTION = "Steering, fuel and brake assistance can kill: the maker's figures and licensed practice decide."


def _left_for_friction(allowed_drop: float, density: float, rise: float) -> float:
    """What of the allowed drop is left for friction after the static rise, in Pa."""
    static = density * GRAVITY * rise
    if allowed_drop < static:
        raise NoAnswer(f"the rise alone takes {static / 1e3:.4g} kPa, allowed are {allowed_drop / 1e3:.4g} kPa")
    return allowed_drop - static


@worksheet_function(
    "BORE_FOR_FLOW",
    args={"flow": FLOW, "velocity": VELOCITY},
    answer=Answer("Smallest inside diameter", "mm"),
    sources=("CONTINUITY",),
    example=example("30 US gpm", "20 ft/s", "in", shows="0.783", source="ESPOSITO"),
)
def bore_for_flow(flow: float, velocity: float) -> float:
    """Smallest inside diameter that keeps a flow at or under a mean velocity.

    Method: area = flow / velocity, full round bore.
    Not for: lines that run part empty, or fast gas.
    """
    return sqrt(4.0 * flow / (pi * velocity))


@worksheet_function(
    "BORE_FOR_DROP",
    args={"flow": FLOW, "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE, "allowed_drop": ALLOWED_DROP,
          "fittings": FITTINGS, "rise": RISE},
    answer=Answer("Smallest inside diameter", "mm"),
    sources=DARCY,
    example=example(8, 3, "900 kg/m3; 444 mm2/s", 20, 100, shows="16.0"),
)  # fmt: skip
def bore_for_drop(
    flow: float,
    length: float,
    fluid: Fluid,
    temperature: float,
    allowed_drop: float,
    fittings: Fittings,
    rise: float,
    *,
    friction: Friction = FRICTION,
) -> float:
    """Smallest inside diameter of a smooth line that loses no more pressure than allowed.

    Method: Darcy-Weisbach with fittings and static rise, solved for the bore.
    Not for: choosing by pressure alone: check the velocity too.
    """
    density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
    tell(fluid, temperature)
    for_friction = _left_for_friction(allowed_drop, density, rise)
    if flow == 0.0 or (length == 0.0 and fittings.loss(1.0, 0.01) == 0.0):
        return 0.0

    def over(bore: float) -> float:
        return pressure_drop(flow, bore, length, density, viscosity, fittings, 0.0, friction) - for_friction

    return root(over, FINEST_BORE, WIDEST_BORE, "no bore up to 10 m keeps the drop that low: allow more")


@worksheet_function(
    "FLOW_FOR_DROP",
    args={"bore": BORE, "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE, "allowed_drop": ALLOWED_DROP,
          "fittings": FITTINGS, "rise": RISE},
    answer=Answer("Flow that the line passes", "L/min"),
    sources=DARCY,
    example=example(9.5, 3.1, "865 kg/m3; 500 mm2/s", 20, 200, shows="1.8"),
)  # fmt: skip
def flow_for_drop(
    bore: float,
    length: float,
    fluid: Fluid,
    temperature: float,
    allowed_drop: float,
    fittings: Fittings,
    rise: float,
    *,
    friction: Friction = FRICTION,
) -> float:
    """Flow that a smooth line passes at a given pressure drop.

    Method: Darcy-Weisbach with fittings and static rise, solved for the flow.
    Not for: a pump that cannot give the flow, or fast gas.
    """
    density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
    tell(fluid, temperature)
    for_friction = _left_for_friction(allowed_drop, density, rise)
    if for_friction == 0.0:
        return 0.0

    def over(flow: float) -> float:
        return pressure_drop(flow, bore, length, density, viscosity, fittings, 0.0, friction) - for_friction

    return root(over, 0.0, MOST_FLOW, "nothing holds the flow back: give a length or fittings")


@worksheet_function(
    "LINE_VELOCITY",
    args={"flow": FLOW, "bore": BORE},
    answer=Answer("Mean velocity", "m/s"),
    sources=("CONTINUITY",),
    example=example(8, 7.9, shows="2.72"),
)
def line_velocity(flow: float, bore: float) -> float:
    """Mean velocity in a full round line.

    Method: velocity = flow / area.
    Not for: lines that run part empty.
    """
    return 4.0 * flow / (pi * bore * bore)


@worksheet_function(
    "LINE_REYNOLDS",
    args={"flow": FLOW, "bore": BORE, "fluid": FLUID, "temperature": TEMPERATURE},
    answer=Answer("Reynolds number"),
    sources=("DARCY",),
    example=example("589.04862 L/min", 50, "897 kg/m3; 1000 mm2/s", 20, shows="250", source="ESPOSITO"),
)
def line_reynolds(flow: float, bore: float, fluid: Fluid, temperature: float) -> float:
    """Reynolds number in a full round line: laminar to 2000, turbulent from 4000.

    Method: velocity x bore / kinematic viscosity.
    Not for: lines that run part empty.
    """
    tell(fluid, temperature)
    return 4.0 * flow / (pi * bore * fluid.viscosity(temperature))


def _tell_flow(flow: float, bore: float, fluid: Fluid, temperature: float, fittings: Fittings) -> None:
    tell(fluid, temperature)
    velocity = line_velocity(flow, bore)
    reynolds = velocity * bore / fluid.viscosity(temperature)
    kind = "laminar" if reynolds <= LAMINAR_TO else "turbulent" if reynolds >= TURBULENT_FROM else "between laminar and turbulent: uncertain"
    step(f"Velocity {velocity:.3g} m/s, Reynolds number {reynolds:.4g}: {kind}")
    if reynolds and fittings.said != "0":
        step(f"Fittings: K {fittings.loss(reynolds, bore):.4g} at this Reynolds number and bore")
    for words, provenance in fittings.cited:
        cite(words, provenance)


@worksheet_function(
    "LINE_PRESSURE_DROP",
    args={"flow": FLOW, "bore": BORE, "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE,
          "fittings": FITTINGS, "rise": RISE, "surface": Arg("Surface", SurfaceKind(), default="smooth")},
    answer=Answer("Pressure drop", "kPa"),
    sources=DARCY,
    example=example("0.02 L/s", 20, 10, "900 kg/m3; 444.444 mm2/s", 20, shows="20.4", source="MUNSON"),
)  # fmt: skip
def line_pressure_drop(
    flow: float,
    bore: float,
    length: float,
    fluid: Fluid,
    temperature: float,
    fittings: Fittings,
    rise: float,
    surface: Surface,
    *,
    friction: Friction = FRICTION,
) -> float:
    """Pressure lost along a line: friction, fittings and static rise.

    Method: (f L/d + K) density v^2/2 + density g rise; f = 64/Re to Re 2000, Colebrook from 4000, between them
    Churchill scaled to meet both; K by three-K.
    Not for: fast gas, pulsing flow, or a line that runs part empty.
    """
    density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
    if listening():
        _tell_flow(flow, bore, fluid, temperature, fittings)
    lost = pressure_drop(flow, bore, length, density, viscosity, fittings, surface.height, friction)
    return lost + density * GRAVITY * rise


@worksheet_function(
    "LINE_COLD_LIMIT",
    args={"flow": FLOW, "bore": BORE, "length": LENGTH, "fluid": FLUID, "allowed_drop": ALLOWED_DROP,
          "fittings": FITTINGS, "rise": RISE},
    answer=Answer("Coldest temperature that keeps the drop", "degC"),
    sources=(*DARCY, "D341"),
    example=example(7, 9.5, 3.1, "ATF generic", 200, shows="9.7"),
)  # fmt: skip
def line_cold_limit(
    flow: float,
    bore: float,
    length: float,
    fluid: Fluid,
    allowed_drop: float,
    fittings: Fittings,
    rise: float,
    *,
    friction: Friction = FRICTION,
) -> float:
    """Coldest temperature at which the line still passes the flow within the drop allowed.

    Method: pressure drop = allowed, solved for the temperature; the fluid's lowest known temperature where
    even that passes.
    Not for: wax or ice, which no viscosity tells.
    """

    def over(temperature: float) -> float:
        density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
        lost = pressure_drop(flow, bore, length, density, viscosity, fittings, 0.0, friction)
        return lost + density * GRAVITY * rise - allowed_drop

    if over(fluid.coldest) <= 0.0:
        step(f"As far as the data go: {fluid.name} is known down to {celsius(fluid.coldest)}")
        return fluid.coldest
    too_tight = f"even at {celsius(fluid.hottest)}, the hottest the fluid is known, the drop is above the one allowed"
    answer = root(over, fluid.coldest, fluid.hottest, too_tight)
    tell(fluid, answer)
    return answer


@worksheet_function(
    "LINE_VOLUME",
    args={"bore": BORE, "length": LENGTH},
    answer=Answer("Volume of the line", "L"),
    sources=("GEOMETRY",),
    example=example(12.7, 3, shows="0.380"),
)
def line_volume(bore: float, length: float) -> float:
    """Fluid that a line holds.

    Method: area x length, full round bore.
    Not for: coolers, pumps and tanks on the line: add their own.
    """
    return pi / 4.0 * bore * bore * length


@worksheet_function(
    "SUCTION_MARGIN",
    args={"flow": FLOW, "bore": BORE, "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE,
          "fittings": FITTINGS, "rise": RISE, "altitude": ALTITUDE,
          "tank_pressure": Arg("Tank pressure", "kPa", 0, 500, default=0, help="above the atmosphere")},
    answer=Answer("Pressure left over the vapour pressure", "kPa"),
    sources=(*DARCY, "USSA76", "AP42", "ANTOINE"),
    example=example(3, 9.5, 0.9, "petrol; RVP 10 psi", 34, 2, 0.25, 2100, shows="10.5"),
    cautions=(STEERING_CAUTION,),
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
        step(f"Air {atmosphere / 1e3:.4g} kPa, vapour pressure {vapour / 1e3:.4g} kPa, drop and rise {lost / 1e3:.4g} kPa")
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
)  # fmt: skip
def fuel_flow_for_power(power: float, consumption: float, fluid: Fluid, allowance: float) -> float:
    """Fuel flow that an engine burns at a power, with an allowance on top.

    Method: power x consumption / density at 15 degC x (1 + allowance). The allowance of 25 % follows an
    aviation rule for fuel pumps.
    Not for: a return system, whose supply line carries the whole pump flow.
    """
    density = fluid.density(273.15 + 15.0)
    step(f"Density at 15 °C: {density:.5g} kg/m³")
    return power * consumption / density * (1.0 + allowance)


class AnyQuantity(Quantity):
    """Number and unit of any quantity; without a unit it is already in the unit asked for."""

    def __init__(self) -> None:
        super().__init__("1", -1e15, 1e15)

    def read(self, cell: object) -> Any:
        if isinstance(cell, str):
            return quantity(cell)
        return number(cell), None

    def allows(self) -> str:
        return "a number, or text with a unit such as 6 US gpm"

    def show(self, value: Any) -> str:
        return f"{digits(value[0])} {value[1].printed if value[1] else ''}".strip()

    def span(self) -> None:
        return None

    def good(self) -> list[object]:
        return [6, "6", "6,5"]

    def bad(self) -> list[tuple[object, str]]:
        return [("6 US gpm extra", "#VALUE!"), ("abc", "#VALUE!"), (True, "#VALUE!"), ("6 gpm", "#VALUE!")]


@worksheet_function(
    "QUANTITY_IN",
    args={"quantity": Arg("Quantity", AnyQuantity()), "unit": Arg("Unit wanted", AnyUnit())},
    answer=Answer("Number in that unit"),
    sources=("CONVERSION",),
    example=example("3/8 in", "mm", shows="9.525"),
)
def quantity_in(quantity: tuple[float, Unit | None], unit: Unit) -> float:
    """A quantity as a plain number in a unit: a bare number is already in it.

    Method: number x size of the unit given / size of the unit wanted.
    Not for: turning gauge into absolute pressure, or a difference of temperatures into a temperature.
    """
    value, given = quantity
    if given is None:
        return value
    fits = given.dimension == unit.dimension and (
        given.flavour == unit.flavour or {given.flavour, unit.flavour} in _MIX
    )
    if not fits or (given.flavour == "kelvin" and unit.flavour == "temperature" and value < COLDEST_KELVIN):
        raise WrongKind(f"{digits(value)} {given.printed} cannot be said in {unit.printed or 'a bare number'}")
    return unit.from_si(given.to_si(value))

