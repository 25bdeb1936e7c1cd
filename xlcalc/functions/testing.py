"""Tests and price: proof pressures, a gas hold over temperature, what compressed gas holds, cost and margin."""

from dataclasses import replace
from decimal import Decimal

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import NoAnswer
from xlcalc.core.kinds import Word
from xlcalc.core.steps import listening, step
from xlcalc.core.words import digits
from xlcalc.functions.arguments import ALTITUDE, PRESSURE, TEMPERATURE, VOLUME
from xlcalc.functions.figures import Figure
from xlcalc.functions.friction import GRAVITY
from xlcalc.functions.wording import air_pressure, refuse_swapped

PROOF_CAUTION = (
    "The weakest part and a cap's rating come first: never above them, nor above the hose's own proof figure. "
    "Proof with liquid, shielded, hands away: a pinhole injects oil under the skin."
)
GAS_CAUTION = "Compressed gas lets go like a charge: proof with liquid, use gas for low-pressure leak tests only."
RULE_CAUTION = "The factors are an aviation rule: an engineering default here, local rules and the maker go first."
HEAT_RATIO_LESS_ONE = 0.4  # of air, GASENERGY
WORKING = replace(PRESSURE, label="Working pressure")
LINE_KINDS = {"hose": "proof-hose", "steel tube": "proof-tube", "aluminium tube": "proof-tube", "tube": "proof-tube"}


@worksheet_function(
    "PROOF_PRESSURE",
    args={"working_pressure": WORKING, "line_kind": Arg("Kind of line", Word(*LINE_KINDS))},
    answer=Answer("Proof pressure", "kPa"),
    sources=("CFR14-25-1435", "CFR46-182"),
    example=example(9000, "hose", shows="18000"),
    cautions=(PROOF_CAUTION, RULE_CAUTION),
)
def proof_pressure(working_pressure: float, line_kind: str) -> float:
    """Pressure at which a new line is proved with liquid before it is used.

    Method: 2 x working pressure for a hose, 1.5 x for a tube.
    Not for: coolant systems (the cap's rating), steering lines proved through the box seals, or any gas.
    """
    factor = Figure(LINE_KINDS[line_kind], "limits")
    factor.tell()
    return working_pressure * factor.value


@worksheet_function(
    "BURST_RATIO",
    args={"working_pressure": WORKING, "burst_pressure": replace(PRESSURE, label="Burst pressure", high=400000)},
    answer=Answer("Burst over working pressure"),
    sources=("CFR14-25-1435",),
    example=example(1500, 6000, shows="4.0"),
    cautions=(RULE_CAUTION,),
)
def burst_ratio(working_pressure: float, burst_pressure: float) -> float:
    """How many times the working pressure a hose or tube bursts at: 4 for hoses, 3 for tubes by an aviation rule.

    Method: burst / working.
    No answer: #NUM! where the working pressure is 0, or above the burst pressure.
    Not for: a hose that is hot, aged, kinked or chafed.
    """
    if working_pressure == 0.0:
        raise NoAnswer("the working pressure is 0: there is no ratio, give the pressure in use")
    refuse_swapped("burst", burst_pressure, "working pressure", working_pressure, "kPa")
    return burst_pressure / working_pressure


@worksheet_function(
    "HOLD_PRESSURE_AT",
    args={"pressure": replace(PRESSURE, label="Pressure at the start"),
          "start_temperature": replace(TEMPERATURE, label="Start temperature", help="of the gas"),
          "later_temperature": replace(TEMPERATURE, label="Later temperature", help="of the gas"),
          "altitude": ALTITUDE},
    answer=Answer("Pressure expected", "kPa"),
    sources=("IDEALGAS", "USSA76"),
    example=example(20, 18, 12, 1450, shows="17.8"),
    cautions=(GAS_CAUTION,),
)  # fmt: skip
def hold_pressure_at(pressure: float, start_temperature: float, later_temperature: float, altitude: float) -> float:
    """Pressure that a tight gas hold shows after its temperature has changed: less is a leak.

    Method: ideal gas in a closed volume: (pressure + air) x T later / T start - air.
    Not for: liquid holds, or gas whose temperature is not the wall's.
    """
    outside = air_pressure(altitude)
    later = (pressure + outside) * later_temperature / start_temperature - outside
    if later < 0.0:
        step("Below the air pressure: the line would draw in, not blow out")
    return later


@worksheet_function(
    "GAS_ENERGY",
    args={"pressure": PRESSURE, "volume": VOLUME},
    answer=Answer("Energy let go", "J"),
    sources=("GASENERGY",),
    example=example(800, 0.2059, shows="412"),
    cautions=(GAS_CAUTION,),
)
def gas_energy(pressure: float, volume: float) -> float:
    """Energy that compressed air or nitrogen lets go when a line bursts: why a proof is done with liquid.

    Method: pressure above the atmosphere x volume / 0.4.
    Not for: calling a smaller figure harmless.
    """
    energy = pressure * volume / HEAT_RATIO_LESS_ONE
    if listening():
        step(f"As much as {digits(float(f'{energy / GRAVITY:.3g}'))} kg falling 1 m")
    return energy


@worksheet_function(
    "PRICE_FROM_MARGIN",
    args={
        "cost": Arg("Cost", "1", 0, 1e9, help="not rounded"),
        "margin": Arg("Margin", "%", 0, 99, help="of the price"),
    },
    answer=Answer("Price"),
    sources=("MARGIN",),
    example=example(100, 30, shows="142.86"),
)
def price_from_margin(cost: float, margin: float) -> float:
    """Price at which a margin, as a share of the price, is left over the cost. Not rounded: the sheet rounds once.

    Method: cost / (1 - margin), in decimal arithmetic.
    Not for: mark-up: 30 % mark-up is only 23.1 % margin.
    """
    exact_margin = round(Decimal(margin), 12)  # a per cent read as a fraction carries binary dust in its last digits
    price = Decimal(repr(cost)) / (1 - exact_margin)
    if listening():
        step(f"That is a mark-up of {100 * exact_margin / (1 - exact_margin):.1f} % on the cost")
    return float(price)
