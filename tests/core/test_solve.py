"""The root finder against equations with known roots, and what it says where there is none."""

import math

import pytest

from xlcalc.core.errors import NoAnswer
from xlcalc.core.solve import power_root, root


def test_a_root_that_is_known() -> None:
    # the plastic number, real root of x^3 = x + 1 (OEIS A060006)
    assert root(lambda x: x**3 - x - 1, 1.0, 2.0, "") == pytest.approx(1.324717957244746, rel=1e-14)


@pytest.mark.parametrize(("low", "high"), [(2.0, 3.0), (1.0, 2.0)])
def test_a_root_at_either_end(low: float, high: float) -> None:
    assert root(lambda x: x - 2.0, low, high, "") == 2.0


def test_no_root_is_said_in_the_words_given() -> None:
    with pytest.raises(NoAnswer, match="allow more"):
        root(lambda x: x * x + 1.0, -1.0, 1.0, "allow more")


@pytest.mark.parametrize(("wanted", "found"), [(16e8, 0.005), (1e-4, 10.0), (1.0, 1.0), (1e20, 1e-5)])
def test_a_power_over_many_decades(wanted: float, found: float) -> None:
    # by hand: x^-4 = wanted
    assert power_root(lambda x: x**-4.0, 1e-5, 10.0, wanted, "") == pytest.approx(found, rel=1e-13)


def test_a_power_takes_few_steps() -> None:
    asked: list[float] = []

    def loss(bore: float) -> float:
        asked.append(bore)
        return 3.0 * bore**-5 + 2.0 * bore**-4

    bore = power_root(loss, 1e-5, 10.0, 1e9, "")
    assert loss(bore) == pytest.approx(1e9, rel=1e-12)
    assert len(asked) <= 12


@pytest.mark.parametrize("wanted", [0.0, 1e-5, 1e21, math.nan])
def test_a_power_that_is_not_reached(wanted: float) -> None:
    with pytest.raises(NoAnswer, match="allow more"):
        power_root(lambda x: x**-4.0, 1e-5, 10.0, wanted, "allow more")


def test_a_power_that_vanishes_at_one_end_is_still_found() -> None:
    # by hand: 1e-320 x^-4 = 1e-310 at 10^-2.5; at 10 it is below the smallest float
    assert power_root(lambda x: 1e-320 * x**-4.0, 1e-5, 10.0, 1e-310, "") == pytest.approx(10**-2.5, rel=1e-3)
