"""One bracketing root finder for every relation that is solved backwards, and its form for what goes as a power."""

from collections.abc import Callable
from functools import cache
from math import exp, inf, log
from typing import Any

from xlcalc.core.errors import NoAnswer

LEAST_STEP = 1e-24  # far below any flow in m3/s, so that the relative tolerance decides for small answers too


@cache
def _finder() -> Callable[..., Any]:
    from fluids.numerics import brenth  # noqa: PLC0415  (60 ms: only when something is solved)

    found: Callable[..., Any] = brenth
    return found


def root(function: Callable[[float], float], low: float, high: float, what: str) -> float:
    """Where a continuous function of one float crosses zero between `low` and `high`: a number in their unit, SI here.

    The tolerance is near the last digit of a float, so that the answer put back in gives the input.
    Raises NoAnswer with `what` (a sentence) where the ends do not bracket a root.

    >>> round(root(lambda side: side * side - 2.0, 0.0, 2.0, "no such square"), 12)
    1.414213562373
    >>> root(lambda side: side * side + 2.0, 0.0, 2.0, "no such square")
    Traceback (most recent call last):
    xlcalc.core.errors.NoAnswer: no such square
    """
    at_low, at_high = function(low), function(high)
    if at_low == 0.0:
        return low
    if at_high == 0.0:
        return high
    if not at_low * at_high < 0.0:
        raise NoAnswer(what)
    return float(_finder()(function, low, high, xtol=LEAST_STEP, rtol=1e-14, maxiter=300, fa=at_low, fb=at_high))


def power_root(function: Callable[[float], float], low: float, high: float, wanted: float, what: str) -> float:
    """Where a positive function that goes nearly as a power of its argument comes down, or up, to `wanted`, all in SI.

    A loss goes as the bore to the power -4 or -5 over many decades: in logarithms that is nearly straight, and the
    root is found in few steps. Raises NoAnswer with `what` (a sentence) where the ends do not bracket it, as is
    always so for a `wanted` of 0.

    >>> round(power_root(lambda bore: 1.0 / bore**4, 0.001, 10.0, 16.0, "no such bore"), 12)
    0.5
    """
    if not wanted > 0.0:
        raise NoAnswer(what)

    def apart(logarithm: float) -> float:
        share = function(exp(logarithm)) / wanted
        return log(share) if share > 0.0 else -inf

    return exp(root(apart, log(low), log(high), what))
