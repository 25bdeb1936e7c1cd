"""Test, torque, price: what to prove a line at, what a gas does meanwhile, what a margin makes of a cost."""

from dataclasses import replace
from decimal import Decimal

from xlcalc.core.errors import OutOfRange
from xlcalc.core.kinds import Word
from xlcalc.core.registry import Answer, Arg, example, worksheet_function
from xlcalc.core.steps import listening, step
from xlcalc.functions.air import SEA_LEVEL_PRESSURE
from xlcalc.functions.arguments import ALTITUDE, PRESSURE, TEMPERATURE, VOLUME
from xlcalc.functions.figures import Figure
from xlcalc.functions.wording import air_pressure, said

HEAT_RATIO_LESS_ONE = 0.4  # of air, 1.4 - 1; textbook figure
LINE_KINDS = ("hose", "steel tube", "aluminium tube")
PROOF_CAUTION = (
    "Prove with liquid, shielded, nobody in line with it. The weakest part and a cap's own rating come first; a jet "
    "from a pinhole goes through skin."
)
GAS_CAUTION = "Gas under proof pressure bursts like a bomb: use gas for low-pressure leak tests only, shielded."
WORKING_PRESSURE = replace(PRESSURE, label="Working pressure")


@worksheet_function(
    "PROOF_PRESSURE",
    args={"working_pressure": WORKING_PRESSURE, "line_kind": Arg("Kind of line", Word(*LINE_KINDS))},
    answer=Answer("Proof pressure", "kPa"),
    sources=("CFR14-25-1435", "CFR46-182"),
    example=example(9000, "hose", shows="18000"),
    cautions=(PROOF_CAUTION,),
)
def proof_pressure(
    working_pressure: float,
    line_kind: str,
    *,
    hose: Figure = Figure("proof-hose", "limits"),  # noqa: B008  (frozen figures of the table)
    tube: Figure = Figure("proof-tube", "limits"),  # noqa: B008
) -> float:
    """Pressure to prove a finished line at, before the weakest part is looked at.

    Method: 2 x working pressure for a hose, 1.5 x for a tube: aviation rules, an engineering default here.
    Not for: a line with a part that allows less: test at what the weakest part allows.
    """
    factor = hose if line_kind == "hose" else tube
    factor.tell()
    return working_pressure * factor.value


@worksheet_function(
    "BURST_RATIO",
    args={
        "working_pressure": replace(WORKING_PRESSURE, low=0.001),
        "burst_pressure": replace(PRESSURE, label="Burst pressure", high=500000),
    },
    answer=Answer("Burst over working pressure"),
    sources=("CFR14-25-1435",),
    example=example("1.5 MPa", "6 MPa", shows="4.0", source="CFR14-25-1435"),
    cautions=(PROOF_CAUTION,),
)
def burst_ratio(working_pressure: float, burst_pressure: float) -> float:
    """How many times the working pressure a hose bears before it bursts: at least 4 for hoses, 3 for tubes.

    Method: burst pressure / working pressure.
    Not for: a hose hotter than its rating, or a used one.
    """
    if burst_pressure < working_pressure:
        raise OutOfRange(
            f"burst {said(burst_pressure, 'kPa')} is below working {said(working_pressure, 'kPa')}: swapped?"
        )
    return burst_pressure / working_pressure


@worksheet_function(
    "HOLD_PRESSURE_AT",
    args={
        "pressure": PRESSURE,
        "start_temperature": replace(TEMPERATURE, label="Temperature at the start"),
        "later_temperature": replace(TEMPERATURE, label="Temperature later"),
        "altitude": ALTITUDE,
    },
    answer=Answer("Pressure expected later", "kPa"),
    sources=("IDEALGAS", "USSA76"),
    example=example(20, 18, 12, 0, shows="17.5"),
    cautions=(GAS_CAUTION,),
)
def hold_pressure_at(pressure: float, start_temperature: float, later_temperature: float, altitude: float) -> float:
    """Gauge pressure that a tight line full of gas shows when its temperature has changed.

    Method: absolute pressure in proportion to absolute temperature, closed volume; gauge pressures below 0 are
    possible when it cools.
    Not for: liquid, or a line that still warms while it is read.
    """
    outside = air_pressure(altitude)
    return (pressure + outside) * later_temperature / start_temperature - outside


@worksheet_function(
    "GAS_ENERGY",
    args={"pressure": PRESSURE, "volume": VOLUME},
    answer=Answer("Energy let loose", "J"),
    sources=("GASENERGY",),
    example=example(800, "0.206 L", shows="412"),
    cautions=(GAS_CAUTION,),
)
def gas_energy(pressure: float, volume: float) -> float:
    """Energy that compressed gas lets loose when a part bursts: why a proof is made with liquid.

    Method: gauge pressure x volume / (1.4 - 1).
    Not for: judging that a small figure is harmless.
    """
    if listening() and pressure > SEA_LEVEL_PRESSURE:
        step(f"{said(pressure, 'kPa')} is more than a low-pressure leak test")
    return pressure * volume / HEAT_RATIO_LESS_ONE


@worksheet_function(
    "PRICE_FROM_MARGIN",
    args={
        "cost": Arg("Cost", "1", 0, 1e9, help="in the currency of the job"),
        "margin": Arg("Margin", "%", 0, 99, help="share of the price"),
    },
    answer=Answer("Price"),
    sources=("MARGIN",),
    example=example(2610.58, 30, shows="3729.40"),
)
def price_from_margin(cost: float, margin: float) -> float:
    """Price at which a margin is left, a margin being a share of the price, not of the cost.

    Method: cost / (1 - margin), not rounded: the sheet rounds once.
    Not for: mark-up, which counts on the cost: 30 % mark-up is 23.1 % margin.
    """
    return float(Decimal(repr(cost)) / (1 - Decimal(repr(margin))))
