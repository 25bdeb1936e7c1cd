"""Friction as LINE_PRESSURE_DROP uses it: against 64/Re, Colebrook's own equation, and the band between."""

from itertools import pairwise
from math import log10, pi

import pytest

from xlcalc import call


def colebrook(reynolds: float, roughness: float) -> float:
    """Darcy factor f by fixed point on Colebrook's own equation, in x = 1/sqrt(f)."""
    x = 7.0
    for _ in range(100):
        x = -2 * log10(roughness / 3.7 + 2.51 * x / reynolds)
    return 1 / (x * x)


def drop_at(reynolds: float, surface: str = "smooth") -> float:
    """Friction factor that LINE_PRESSURE_DROP uses: 1 m of 50 mm, 1000 kg/m3, 1 mm2/s, for a factor of 1 head."""
    velocity = reynolds * 1e-6 / 0.05
    flow = velocity * pi / 4 * 0.05**2 * 60e3
    lost = call("LINE_PRESSURE_DROP", flow, 50, 1, "1000 kg/m3; 1 mm2/s", 20, 0, 0, surface, "Pa")
    return float(lost) / (1 / 0.05 * 1000 * velocity**2 / 2)


@pytest.mark.parametrize("reynolds", [1, 100, 1000, 1999.9, 2000])
def test_laminar_is_64_over_re(reynolds: float) -> None:
    assert drop_at(reynolds) == pytest.approx(64 / reynolds, rel=1e-9)
    assert drop_at(reynolds, "0.5 mm") == pytest.approx(64 / reynolds, rel=1e-9), "a rough wall does not matter there"


@pytest.mark.parametrize("reynolds", [4000, 1e4, 1e5, 8e5])
@pytest.mark.parametrize("height", [0, 0.005, 0.05, 0.5])
def test_turbulent_is_colebrook(reynolds: float, height: float) -> None:
    assert drop_at(reynolds, f"{height} mm") == pytest.approx(colebrook(reynolds, height / 50), rel=1e-6)


def test_a3_colebrook_seen_in_a_library() -> None:
    # A3: Re 1e5, roughness 1e-4 of the bore: 0.018514, 1e-5 (tests of fluids)
    assert drop_at(1e5, "0.005 mm") == pytest.approx(0.018514, abs=1e-5)


@pytest.mark.parametrize("reynolds", [2000, 4000])
@pytest.mark.parametrize("surface", ["smooth", "0.05 mm"])
def test_no_step_where_the_rules_meet(reynolds: float, surface: str) -> None:
    before, after = (drop_at(reynolds * (1 + side), surface) for side in (-1e-9, 1e-9))
    assert after == pytest.approx(before, rel=1e-6)


@pytest.mark.parametrize("surface", ["smooth", "0.05 mm", "0.5 mm"])
def test_the_drop_rises_with_every_step_of_flow(surface: str) -> None:
    drops = [drop_at(reynolds, surface) * reynolds**2 for reynolds in range(1500, 5001, 5)]
    assert [pair for pair in pairwise(drops) if not pair[1] > pair[0]] == [], "more flow loses less in these steps"


def test_the_band_is_never_below_laminar() -> None:
    below = [reynolds for reynolds in range(2000, 4001, 10) if not drop_at(reynolds) >= 64 / reynolds * (1 - 1e-12)]
    assert below == [], "at these Reynolds numbers the factor is below 64/Re"


def test_the_steps_say_that_the_band_is_uncertain() -> None:
    flow = 3000 * 1e-6 / 0.05 * pi / 4 * 0.05**2 * 60e3
    lines = [line for (line,) in call("ANSWER_STEPS", "LINE_PRESSURE_DROP", flow, 50, 1, "1000 kg/m3; 1 mm2/s", 20)]
    assert "Reynolds number 3000: between laminar and turbulent: uncertain" in "\n".join(lines)
