"""What a hose says to its line: which limit is broken first, in words with both numbers, or which is near."""

from collections.abc import Callable

from xlcalc.core.errors import NotInTable
from xlcalc.core.verdicts import CHANGE, NEAR, WITHIN
from xlcalc.core.words import joined
from xlcalc.functions.fluid import FUELS, Fluid
from xlcalc.functions.hose_limits import (
    A_HAIR,
    A_HAIR_OF_HEAT,
    FOR_OIL,
    liner_match,
    pressure_limit,
    suction_families,
)
from xlcalc.functions.hose_value import Hose
from xlcalc.functions.wording import told_apart

SUCKED = ("suction", "vacuum")  # uses that pull a hose flat
SPARKING = ("petrol", "E10", "E85")  # their flow charges a liner that holds it, and a spark lights them (M)
CHARGED = "PTFE"  # that liner, by the cautions of its rows in data/hoses.csv (from memory)


def verdict(hose: Hose, pressure: float, fluid: Fluid, hottest: float, coldest: float, use: str, ends: str) -> str:
    """`Within limits`, `Change: ` with the first limit that is broken, or `Near limit: ` with what will not last.

    Pressures in Pa above the atmosphere, temperatures in K. Raises NotInTable where no limit is broken but one cannot
    be judged.
    """
    if reason := first_reason(hose, pressure, fluid, hottest, coldest, use, ends):
        return f"{CHANGE}: {reason}"
    if liner_match(hose, fluid) == "limited":
        return f"{NEAR}: liner {hose.liner} only limited for {fluid.kind}: replace early"
    return WITHIN


def first_reason(hose: Hose, pressure: float, fluid: Fluid, hottest: float, coldest: float, use: str, ends: str) -> str:
    """The first limit that is broken, in words with both numbers; empty where none is.

    What destroys a hose comes first: the fluid, being sucked flat, heat and cold, then ends and pressure.
    Raises NotInTable where none is broken but one cannot be judged.
    """
    judges: tuple[Callable[[], str], ...] = (
        lambda: _fluid_reason(hose, fluid),
        lambda: _suction_reason(hose, fluid, use),
        lambda: _hot_reason(hose, hottest),
        lambda: _cold_reason(hose, coldest),
        lambda: _pressure_reason(hose, pressure, hottest, ends),
    )
    lacking: NotInTable | None = None
    for judge in judges:
        try:
            reason = judge()
        except NotInTable as error:
            lacking = lacking or error
            continue
        if reason:
            return reason
    if lacking is not None:
        raise lacking
    return ""


def _fluid_reason(hose: Hose, fluid: Fluid) -> str:
    if liner_match(hose, fluid) == "no":
        return f"liner {hose.liner} does not suit {fluid.kind}"
    if hose.family in FOR_OIL and fluid.kind in FUELS:
        return f"{hose.label} is for mineral oil, not for {fluid.kind}"
    if hose.liner != CHARGED or fluid.kind not in SPARKING or hose.conductive == "yes":
        return ""
    unsaid = ': say "conductive yes" where it has one' if hose.conductive is None else ""
    return f"{fluid.kind} in {hose.liner} needs the conductive liner{unsaid}"


def _suction_reason(hose: Hose, fluid: Fluid, use: str) -> str:
    if use not in SUCKED:
        return ""
    if hose.suction is None:
        raise hose.lacks("suction")
    if hose.suction != "no":
        return ""
    # a servo's vacuum line has rules of its own, so nothing is named for it
    fit = suction_families(fluid.kind) if use == "suction" else ()
    return "not a suction hose" + (f"; for {fluid.kind} the table has {joined(fit)}" if fit else "")


def _hot_reason(hose: Hose, hottest: float) -> str:
    limit = hose.figure("hottest")
    if hottest <= limit + A_HAIR_OF_HEAT:
        return ""
    given, allowed = told_apart(hottest, limit, "degC")
    return f"hottest {given} °C, hose allows {allowed}"


def _cold_reason(hose: Hose, coldest: float) -> str:
    limit = hose.figure("coldest")
    if coldest >= limit - A_HAIR_OF_HEAT:
        return ""
    given, allowed = told_apart(coldest, limit, "degC")
    return f"coldest {given} °C, hose allows down to {allowed}"


def _pressure_reason(hose: Hose, pressure: float, hottest: float, ends: str) -> str:
    if ends == "clamps" and hose.clamps is None:
        return f"clamps are not allowed on {hose.label}, use crimped or reusable ends"
    limit = pressure_limit(hose, hottest, ends)
    if pressure <= limit * (1.0 + A_HAIR):
        return ""
    given, allowed = told_apart(pressure, limit, "kPa")
    who = "clamps allow" if ends == "clamps" and limit == hose.clamps else "hose allows"
    return f"{given} kPa, {who} {allowed}"
