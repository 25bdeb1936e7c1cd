"""Flow and bore: continuity and what follows from it, and the bore or flow that a pressure drop asks for."""

from math import pi, sqrt

from xlcalc.core.declare import Answer, example, worksheet_function
from xlcalc.core.errors import NoAnswer
from xlcalc.core.solve import root
from xlcalc.functions.arguments import (
    ALLOWED_DROP,
    BORE,
    FITTINGS,
    FLOW,
    FLUID,
    LENGTH,
    NOT_FAST_GAS,
    RISE,
    TEMPERATURE,
    VELOCITY,
)
from xlcalc.functions.fittings import Fittings
from xlcalc.functions.fluid import Fluid, tell
from xlcalc.functions.friction import DARCY, FRICTION, GRAVITY, Friction, bore_that_loses, pressure_drop
from xlcalc.functions.wording import told_apart

MOST_FLOW = 100.0  # m3/s, end of the search for a flow


def _left_for_friction(allowed_drop: float, density: float, rise: float) -> float:
    """What of the allowed drop is left for friction after the static rise, in Pa."""
    static = density * GRAVITY * rise
    if allowed_drop < static:
        needed, allowed = told_apart(static, allowed_drop, "kPa")
        raise NoAnswer(f"the rise alone takes {needed} kPa, allowed are {allowed} kPa")
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
    not_with=NOT_FAST_GAS,
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
    No answer: #NUM! where the rise alone takes more than the drop allowed, or no bore up to 10 m keeps it.
    Not for: choosing by pressure alone: check the velocity too.
    """
    density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
    tell(fluid, temperature)
    for_friction = _left_for_friction(allowed_drop, density, rise)
    if flow == 0.0 or (length == 0.0 and fittings.loss(1.0, 0.01) == 0.0):
        return 0.0

    def lost(bore: float) -> float:
        return pressure_drop(flow, bore, length, density, viscosity, fittings, 0.0, friction)

    return bore_that_loses(lost, for_friction)


@worksheet_function(
    "FLOW_FOR_DROP",
    args={"bore": BORE, "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE, "allowed_drop": ALLOWED_DROP,
          "fittings": FITTINGS, "rise": RISE},
    answer=Answer("Flow that the line passes", "L/min"),
    sources=DARCY,
    example=example(9.5, 3.1, "865 kg/m3; 500 mm2/s", 20, 200, shows="1.8"),
    not_with=NOT_FAST_GAS,
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
    No answer: #NUM! where the rise alone takes more than the drop allowed, or nothing holds the flow back.
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
