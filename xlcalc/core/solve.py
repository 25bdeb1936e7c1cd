"""One bracketing root finder for every relation that is solved backwards."""

from collections.abc import Callable

from xlcalc.core.errors import NoAnswer

LEAST_STEP = 1e-24  # far below any flow in m3/s, so that the relative tolerance decides for small answers too


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
    from fluids.numerics import brenth  # noqa: PLC0415  (60 ms: only when something is solved)

    at_low, at_high = function(low), function(high)
    if at_low == 0.0:
        return low
    if at_high == 0.0:
        return high
    if not at_low * at_high < 0.0:
        raise NoAnswer(what)
    # fluids carries no types
    found = brenth(  # type: ignore[no-untyped-call]
        function, low, high, xtol=LEAST_STEP, rtol=1e-14, maxiter=300, fa=at_low, fb=at_high
    )
    return float(found)
