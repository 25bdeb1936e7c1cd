"""Effectiveness of a heat exchanger from its transfer units: textbook relations, the exact series for cross flow.

N are the transfer units UA / C least, C is the ratio of the smaller capacity rate to the larger, 0 to 1. Both and the
answer are plain numbers, one float each; nothing is raised within that span. Source: INCROPERA (EFFNTU).

>>> [round(ARRANGEMENTS[name](2.0, 0.5), 3) for name in ARRANGEMENTS]
[0.732, 0.702, 0.775, 0.633]
"""

from functools import reduce
from itertools import accumulate
from math import exp, expm1, sqrt
from operator import add  # one by one: the sum of Python rounds otherwise from 3.12 on

TOO_SMALL = 1e-17  # a product below it no longer changes the last digit of an effectiveness


def counter_flow(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness (a share): (1 - exp(-N (1 - C))) / (1 - C exp(-N (1 - C))), and N / (1 + N) where both rates are
    equal.

    >>> round(counter_flow(1.0, 1.0), 6)
    0.5
    """
    apart = 1.0 - capacity_ratio
    if apart == 0.0:
        return transfer_units / (1.0 + transfer_units)
    reached = -expm1(-transfer_units * apart)
    return reached / (apart + capacity_ratio * reached)


def parallel_flow(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness (a share): (1 - exp(-N (1 + C))) / (1 + C)."""
    return -expm1(-transfer_units * (1.0 + capacity_ratio)) / (1.0 + capacity_ratio)


def cross_flow_one_mixed(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness (a share): (1 - exp(-C (1 - exp(-N)))) / C, the larger stream mixed: the lower of both figures."""
    alone = -expm1(-transfer_units)
    return -expm1(-capacity_ratio * alone) / capacity_ratio if capacity_ratio * alone > TOO_SMALL else alone


def cross_flow_unmixed(transfer_units: float, capacity_ratio: float) -> float:
    """Effectiveness (a share): 1/(C N) sum over n of P(N, n) P(C N, n), P(x, n) = 1 - exp(-x) (1 + x + ... + x^n/n!).

    The exact series. Every term is positive and each P is summed from its small end, so nothing cancels.
    """
    smaller = transfer_units * capacity_ratio
    if smaller < TOO_SMALL:
        return -expm1(-transfer_units)
    terms = int(transfer_units + 12.0 * sqrt(transfer_units) + 30.0)
    both = zip(_above(transfer_units, terms), _above(smaller, terms), strict=True)
    return min(reduce(add, (first * (second / smaller) for first, second in both)), 1.0)


def _above(mean: float, terms: int) -> list[float]:
    """P(mean, n) for n from 0 to terms - 1: the chance that a Poisson count of this mean is above n."""
    chances = list(accumulate(range(1, terms + 1), lambda chance, n: chance * mean / n, initial=exp(-mean)))
    return list(accumulate(reversed(chances[1:])))[::-1]


ARRANGEMENTS = {
    "cross both unmixed": cross_flow_unmixed,
    "cross one mixed": cross_flow_one_mixed,
    "counter": counter_flow,
    "parallel": parallel_flow,
}
