"""One line full of one fluid: what it loses in pressure, how cold it still works, what it holds."""

from math import pi, sqrt

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import NoAnswer, OutOfRange
from xlcalc.core.solve import root
from xlcalc.core.steps import listening, step
from xlcalc.core.words import digits, short
from xlcalc.functions.arguments import (
    ALLOWED_DROP,
    BORE,
    FITTINGS,
    FLOW,
    FLUID,
    LENGTH,
    NOT_FAST_GAS,
    PRESSURE,
    RISE,
    TEMPERATURE,
)
from xlcalc.functions.fittings import Fittings
from xlcalc.functions.flow import line_velocity
from xlcalc.functions.fluid import Fluid, celsius, tell
from xlcalc.functions.friction import DARCY, FRICTION, GRAVITY, LAMINAR_TO, TURBULENT_FROM, Friction, pressure_drop
from xlcalc.functions.roughness import Surface, SurfaceKind
from xlcalc.functions.wording import said, told_apart


def _tell_flow(flow: float, bore: float, fluid: Fluid, temperature: float, fittings: Fittings) -> None:
    tell(fluid, temperature)
    velocity = line_velocity(flow, bore)
    reynolds = velocity * bore / fluid.viscosity(temperature)
    kind = (
        "laminar"
        if reynolds <= LAMINAR_TO
        else "turbulent"
        if reynolds >= TURBULENT_FROM
        else "between laminar and turbulent: uncertain"
    )
    step(f"Velocity {digits(float(f'{velocity:.3g}'))} m/s, Reynolds number {short(reynolds)}: {kind}")
    if reynolds and fittings.said != "0":
        step(f"Fittings: K {short(fittings.loss(reynolds, bore))} at this Reynolds number and bore")


@worksheet_function(
    "LINE_PRESSURE_DROP",
    args={"flow": FLOW, "bore": BORE, "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE,
          "fittings": FITTINGS, "rise": RISE, "surface": Arg("Surface", SurfaceKind(), default="smooth")},
    answer=Answer("Pressure drop", "kPa"),
    sources=DARCY,
    example=example("0.02 L/s", 20, 10, "900 kg/m3; 444.444 mm2/s", 20, shows="20.4", source="MUNSON"),
    not_with=NOT_FAST_GAS,
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
    if surface.height >= bore / 2.0:
        raise OutOfRange(f"a roughness of {said(surface.height, 'mm')} fills a bore of {said(bore, 'mm')}: check both")
    density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
    if listening():
        _tell_flow(flow, bore, fluid, temperature, fittings)
        if surface.height > ROUGHEST_MEASURED * bore:
            step("The wall is rougher than any that was measured for this rule: the drop is an estimate")
    lost = pressure_drop(flow, bore, length, density, viscosity, fittings, surface.height, friction)
    if listening() and lost > PRESSURE.reader.read(PRESSURE.high):
        step(f"More than {digits(PRESSURE.high)} kPa: no line bears that, no liquid keeps its viscosity at it: look at "
             "flow, bore and cold")  # fmt: skip
    return lost + density * GRAVITY * rise


ROUGHEST_MEASURED = 0.05  # roughness over bore at which the chart of Moody 1944 ends
NO_HUMP_BELOW = 1200.0  # there 64/Re is above any friction factor of the band between laminar and turbulent


def _worst_between(
    flow: float, bore: float, length: float, fluid: Fluid, fittings: Fittings, above: float, friction: Friction
) -> float | None:
    """The temperature at which a line warmed from `above` loses most while its flow turns turbulent.

    There the drop rises with warmth for a stretch, so that a line may pass in the cold and fail in the mild. None
    where the line at `above` is so far from that band, or the fluid so thick, that no such stretch follows.
    """
    speed = line_velocity(flow, bore) * bore  # Reynolds number times viscosity
    if not NO_HUMP_BELOW < speed / fluid.viscosity(above) < TURBULENT_FROM:
        return None
    band = [LAMINAR_TO * (TURBULENT_FROM / LAMINAR_TO) ** (share / 40.0) for share in range(1, 41)]
    worst = max(
        band, key=lambda reynolds: friction.factor(reynolds, 0.0) * length / bore + fittings.loss(reynolds, bore)
    )

    def past(temperature: float) -> float:
        return float(speed / fluid.viscosity(temperature) - worst)

    if past(above) >= 0.0:
        return above
    return fluid.hottest if past(fluid.hottest) <= 0.0 else root(past, above, fluid.hottest, "")


@worksheet_function(
    "LINE_COLD_LIMIT",
    args={"flow": FLOW, "bore": BORE, "length": LENGTH, "fluid": FLUID, "allowed_drop": ALLOWED_DROP,
          "fittings": FITTINGS, "rise": RISE},
    answer=Answer("Coldest temperature that keeps the drop", "degC"),
    sources=(*DARCY, "D341"),
    example=example(7, 9.5, 3.1, "ATF generic", 200, shows="9.7"),
    not_with={"air": "air does not thicken in the cold"},
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

    Method: pressure drop = allowed, solved for the temperature, the warmest where there are several; the
    fluid's lowest known temperature where no warmer one fails.
    No answer: #NUM! where the drop is above the one allowed even at the hottest that the fluid is known.
    Not for: wax or ice, which no viscosity tells.
    """

    def over(temperature: float) -> float:
        density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
        lost = pressure_drop(flow, bore, length, density, viscosity, fittings, 0.0, friction)
        return lost + density * GRAVITY * rise - allowed_drop

    if (too_much := over(fluid.hottest)) > 0.0:
        lost, allowed = told_apart(allowed_drop + too_much, allowed_drop, "kPa")
        raise NoAnswer(
            f"at {celsius(fluid.hottest)}, the hottest the fluid is known, the line loses {lost} kPa, allowed are "
            f"{allowed} kPa: take a larger bore or allow more"
        )
    answer = fluid.coldest if over(fluid.coldest) <= 0.0 else root(over, fluid.coldest, fluid.hottest, "")
    worst = _worst_between(flow, bore, length, fluid, fittings, answer, friction)
    if worst is not None and over(worst) > 0.0:
        answer = root(over, worst, fluid.hottest, "")
    if answer == fluid.coldest:
        step(f"As far as the data go: {fluid.name} is known down to {celsius(fluid.coldest)}")
        return answer
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


def coil_ratio(dean: float) -> float:
    """Friction of a coil over that of a straight line in laminar flow, by Dean number. Source: White 1929."""
    if dean <= 11.6:
        return 1.0
    return float(1.0 / (1.0 - (1.0 - (11.6 / dean) ** 0.45) ** (1.0 / 0.45)))


@worksheet_function(
    "COIL_PRESSURE_DROP",
    args={
        "flow": FLOW,
        "bore": BORE,
        "length": LENGTH,
        "fluid": FLUID,
        "temperature": TEMPERATURE,
        "coil_diameter": Arg("Coil diameter", "mm", 5, 5000, help="to the middle of the tube"),
    },
    answer=Answer("Pressure drop", "kPa"),
    sources=("WHITE29", *DARCY[:-1]),
    example=example(7, 8, 4, "ATF generic", 60, 200, shows="137.6", source="FLUIDS"),
)
def coil_pressure_drop(
    flow: float,
    bore: float,
    length: float,
    fluid: Fluid,
    temperature: float,
    coil_diameter: float,
    *,
    friction: Friction = FRICTION,
) -> float:
    """Pressure lost in a tube wound to a coil.

    Method: White 1929, 64/Re divided by 1 - [1 - (11.6/De)^0.45]^(1/0.45) from De = Re sqrt(d/D) 11.6 on, to the
    coil's own critical Re 2100 (1 + 12 sqrt(d/D)); above it never less than that or than the straight line.
    No answer: #NUM! where the coil is not wider than its tube.
    Not for: flattened tube, or a coil hardly wider than its tube.
    """
    if coil_diameter <= bore:
        raise OutOfRange(f"a coil of {coil_diameter * 1e3:.4g} mm is not wider than its tube of {bore * 1e3:.4g} mm")
    density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
    tell(fluid, temperature)
    if flow == 0.0:
        return 0.0
    velocity = line_velocity(flow, bore)
    reynolds = velocity * bore / viscosity
    curvature = sqrt(bore / coil_diameter)
    critical = 2100.0 * (1.0 + 12.0 * curvature)
    factor = 64.0 / reynolds * coil_ratio(reynolds * curvature)
    if listening():
        step(f"Reynolds number {short(reynolds)}, critical in this coil {short(critical)}")
    if reynolds > critical:
        factor = max(factor, friction.factor(reynolds, 0.0))
    return factor * length / bore * density * velocity * velocity / 2.0
