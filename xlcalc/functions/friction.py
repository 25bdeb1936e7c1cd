"""Friction of a fluid in a round line: one continuous rule for every function."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import log, pi
from typing import Self

from xlcalc.core.errors import NoAnswer
from xlcalc.core.solve import power_root
from xlcalc.functions.fittings import Fittings

DARCY = ("DARCY", "COLEBROOK", "CLAMOND", "CHURCHILL1977", "DARBY")  # what a pressure drop rests on
GRAVITY = 9.80665  # m/s2, standard
LAMINAR_TO, TURBULENT_FROM = 2000.0, 4000.0
FINEST_BORE, WIDEST_BORE = 1e-5, 10.0  # m, ends of the search for a bore
BAND = "friction between Reynolds 2000 and 4000"


@cache
def _colebrook() -> Callable[..., float]:
    from fluids.friction import Clamond  # noqa: PLC0415  (60 ms: only when the first turbulent line comes)

    return Clamond


@dataclass(frozen=True, slots=True)
class Friction:
    """Darcy friction factor: 64/Re to 2000, Colebrook from 4000, Churchill 1977 between, scaled to meet both.

    Between 2000 and 4000 there is no single published answer: `side` -1 takes the laminar line there, +1 the
    turbulent one. Source: Colebrook 1939 in Clamond's solution (`fluids`); Churchill 1977.

    >>> FRICTION.factor(1000.0, 0.0), round(FRICTION.factor(1e5, 1e-4), 6)
    (0.064, 0.018514)
    """

    side: int = 0

    @property
    def doubts(self) -> Sequence[str]:
        """What is uncertain in the rule."""
        return (BAND,)

    def lean(self, doubt: str, side: int) -> Self:
        """The rule with its uncertain band at the upper (+1) or lower (-1) end."""
        return replace(self, side=side if doubt == BAND else self.side)

    def factor(self, reynolds: float, roughness: float) -> float:
        """Darcy friction factor for a Reynolds number above 0 and a roughness as height / bore: plain numbers.

        At Reynolds 0 a ZeroDivisionError.
        """
        if reynolds <= LAMINAR_TO:
            return 64.0 / reynolds
        if reynolds >= TURBULENT_FROM:
            return _colebrook()(reynolds, roughness)
        laminar = 64.0 / reynolds
        if self.side:
            return laminar if self.side < 0 else max(laminar, _colebrook()(reynolds, roughness))
        at_low = 64.0 / LAMINAR_TO / churchill(LAMINAR_TO, roughness)
        at_high = _colebrook()(TURBULENT_FROM, roughness) / churchill(TURBULENT_FROM, roughness)
        share = (reynolds - LAMINAR_TO) / (TURBULENT_FROM - LAMINAR_TO)
        return max(laminar, churchill(reynolds, roughness) * (at_low + share * (at_high - at_low)))


FRICTION = Friction()


def churchill(reynolds: float, roughness: float) -> float:
    """Darcy friction factor by Churchill 1977, for any Reynolds number above 0 and a roughness as height / bore.

    >>> round(churchill(1000.0, 0.0), 4)  # 64/Re
    0.064
    """
    a = (2.457 * log(1.0 / ((7.0 / reynolds) ** 0.9 + 0.27 * roughness))) ** 16
    b = (37530.0 / reynolds) ** 16
    return float(8.0 * ((8.0 / reynolds) ** 12 + (a + b) ** -1.5) ** (1.0 / 12.0))


def pressure_drop(
    flow: float,
    bore: float,
    length: float,
    density: float,
    viscosity: float,
    fittings: Fittings,
    roughness: float = 0.0,
    friction: Friction = FRICTION,
) -> float:
    """Pressure lost to friction and fittings in Pa, without static rise (Darcy-Weisbach).

    flow m3/s, bore m, length m, density kg/m3, kinematic viscosity m2/s, roughness m; one float each.
    Sources: `DARCY`. Raises nothing of ours: a bore of 0 is a ZeroDivisionError.

    >>> round(pressure_drop(2e-5, 0.02, 10.0, 900.0, 4.44444e-4, Fittings()))  # MUNSON: 20.4 kPa
    20372
    """
    if flow == 0.0:
        return 0.0
    velocity = 4.0 * flow / (pi * bore * bore)
    reynolds = velocity * bore / viscosity
    lost = friction.factor(reynolds, roughness / bore) * length / bore + fittings.loss(reynolds, bore)
    return lost * density * velocity * velocity / 2.0


def bore_that_loses(lost: Callable[[float], float], allowed: float) -> float:
    """Bore in m at which a loss in Pa, which falls with the bore, comes down to the one allowed.

    Raises NoAnswer where that is not between 0.01 mm and 10 m.
    """
    if lost(FINEST_BORE) < allowed:
        raise NoAnswer("even a bore of 0.01 mm loses less than that: check the flow, the length and their units")
    return power_root(lost, FINEST_BORE, WIDEST_BORE, allowed, "no bore up to 10 m loses so little: allow more")
