"""A second implementation, written apart from the first and by other means, on seeded random inputs.

Friction by fixed-point iteration on Colebrook's equation, every inverse by plain bisection, viscosities by
bisection on Z, units by factors written out here. It shares no code with the package.
"""

import math
import random
from collections.abc import Callable

import pytest

from xlcalc import call

CASES = 300
AGREE = 1e-6
GRAVITY, PSI = 9.80665, 6894.757293168


def bisected(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero."""
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if function(middle) < 0 else (low, middle)
    return (low + high) / 2


def colebrook(reynolds: float, roughness: float) -> float:
    x = 8.0
    for _ in range(200):
        before, x = x, -2 * math.log10(roughness / 3.7 + 2.51 * x / reynolds)
        if x == before:
            break
    return 1 / x**2


def churchill(reynolds: float, roughness: float) -> float:
    a = (-2.457 * math.log((7 / reynolds) ** 0.9 + 0.27 * roughness)) ** 16
    b = (37530 / reynolds) ** 16
    return 8 * ((8 / reynolds) ** 12 + 1 / (a + b) ** 1.5) ** (1 / 12)


def friction(reynolds: float, roughness: float) -> float:
    """64/Re to 2000, Colebrook from 4000, Churchill scaled straight between to meet both ends."""
    if reynolds <= 2000:
        return 64 / reynolds
    if reynolds >= 4000:
        return colebrook(reynolds, roughness)
    low, high = 0.032 / churchill(2000, roughness), colebrook(4000, roughness) / churchill(4000, roughness)
    scale = low + (high - low) * (reynolds - 2000) / 2000
    return max(64 / reynolds, churchill(reynolds, roughness) * scale)


THREE_K = {"elbow 90": (800, 0.14, 4.0), "elbow 45 long": (500, 0.052, 4.0), "tee branch": (500, 0.274, 4.0),
           "ball valve": (300, 0.015, 3.5)}  # fmt: skip


def drop(
    flow: float, bore: float, length: float, density: float, nu: float, fitted: dict[str, int], rough: float
) -> float:
    """Pa, for L/min, mm, m, kg/m3, mm2/s, counts of fittings, mm."""
    q, d = flow / 60000, bore / 1000
    if q == 0:
        return 0.0
    v = q / (math.pi * d * d / 4)
    re = v * d / (nu * 1e-6)
    k = sum(
        n * (THREE_K[w][0] / re + THREE_K[w][1] * (1 + THREE_K[w][2] / (bore / 25.4) ** 0.3)) for w, n in fitted.items()
    )
    return (friction(re, rough / bore) * length / d + k) * density * v * v / 2


def words(fitted: dict[str, int]) -> object:
    return "; ".join(f"{n}x {word}" for word, n in fitted.items()) or 0


def a_line(draw: random.Random) -> tuple[float, float, float, float, float, dict[str, int], float]:
    """flow, bore, length, density, viscosity, fittings, rise: from creeping oil to racing water."""
    flow, bore, length = draw.uniform(0.1, 60), draw.uniform(4, 40), draw.uniform(0.1, 20)
    density, nu = draw.uniform(650, 1100), 10 ** draw.uniform(-0.3, 3.3)
    fitted = {word: draw.randint(1, 4) for word in draw.sample(sorted(THREE_K), draw.randint(0, 3))}
    return flow, bore, length, density, nu, fitted, draw.uniform(-1, 1)


@pytest.fixture
def draw(request: pytest.FixtureRequest) -> random.Random:
    return random.Random(request.node.name)


def close(ours: object, theirs: float, scale: float = 0.0, agree: float = AGREE) -> None:
    assert isinstance(ours, int | float)
    assert abs(ours - theirs) <= agree * max(abs(theirs), scale), f"{ours} is not {theirs}"


def test_pressure_drop(draw: random.Random) -> None:
    for _ in range(CASES):
        flow, bore, length, density, nu, fitted, rise = a_line(draw)
        rough = draw.choice([0.0, 0.0015, 0.05])
        ours = call("LINE_PRESSURE_DROP", flow, bore, length, f"{density} kg/m3; {nu} mm2/s", 20, words(fitted), rise,
                    f"{rough} mm")  # fmt: skip
        lost = drop(flow, bore, length, density, nu, fitted, rough)
        close(ours, (lost + density * GRAVITY * rise) / 1000, lost / 1000)


def test_bore_and_flow_for_a_drop(draw: random.Random) -> None:
    for _ in range(CASES // 3):
        flow, bore, length, density, nu, fitted, _rise = a_line(draw)
        fluid, allowed = f"{density} kg/m3; {nu} mm2/s", draw.uniform(1, 500)
        small = bisected(lambda b, f=flow: allowed * 1000 - drop(f, b, length, density, nu, fitted, 0), 0.01, 1e4)  # noqa: B023
        close(call("BORE_FOR_DROP", flow, length, fluid, 20, allowed, words(fitted)), small)
        much = bisected(lambda f, b=bore: drop(f, b, length, density, nu, fitted, 0) - allowed * 1000, 0, 1e7)  # noqa: B023
        close(call("FLOW_FOR_DROP", bore, length, fluid, 20, allowed, words(fitted)), much)


def viscosity(points: list[tuple[float, float]], celsius: float) -> float:
    """ASTM D341 through two points, by bisection on Z."""

    def z(v: float) -> float:
        return v + 0.7 + math.exp(-1.47 - 1.84 * v - 0.51 * v * v)

    (cold, at_cold), (hot, at_hot) = points
    x = [math.log10(t + 273.15) for t in (cold, hot, celsius)]
    y = [math.log10(math.log10(z(v))) for v in (at_cold, at_hot)]
    wanted = 10 ** (10 ** (y[0] + (y[1] - y[0]) * (x[2] - x[0]) / (x[1] - x[0])))
    return bisected(lambda v: z(v) - wanted, 0.01, 1e9)


def test_viscosity_and_the_cold_limit_of_a_line(draw: random.Random) -> None:
    for _ in range(CASES // 3):
        at_40 = draw.uniform(10, 200)
        at_100 = at_40**0.58 * draw.uniform(0.85, 1.15)  # oils from SAE 10 to gear oil lie there
        points = [(40.0, at_40), (100.0, at_100)]
        fluid = f"870 kg/m3; {at_40} mm2/s @ 40 degC; {at_100} mm2/s @ 100 degC; from -45 degC; to 150 degC"
        celsius = draw.uniform(-45, 150)
        close(call("FLUID_VISCOSITY", fluid, celsius), viscosity(points, celsius))
        flow, bore, length, allowed = (
            draw.uniform(1, 12),
            draw.uniform(8, 16),
            draw.uniform(0.5, 4),
            draw.uniform(100, 900),
        )

        def over(t: float, points: list[tuple[float, float]] = points) -> float:
            return allowed * 1000 - drop(flow, bore, length, 870, viscosity(points, t), {}, 0)  # noqa: B023

        if over(-45) < 0 < over(150):
            close(call("LINE_COLD_LIMIT", flow, bore, length, fluid, allowed), bisected(over, -45, 150), 10)


CLASSES = {"petrol": (346.4228, 0.4388, 0, 660, 770), "kerosene": (594.5418, 0, 0, 788, 838),
           "diesel": (186.9696, 0.4862, 0, 839, 1000), "lubricating": (0, 0.6278, 0, 820, 950)}  # fmt: skip


def test_expansion(draw: random.Random) -> None:
    for _ in range(CASES):
        name = draw.choice(sorted(CLASSES))
        k0, k1, k2, low, high = CLASSES[name]
        rho = draw.uniform(low, high)
        first, later, litres = draw.uniform(-20, 60), draw.uniform(-20, 60), draw.uniform(1, 100)

        def factor(t: float) -> float:
            a = (k0 / rho**2 + k1 / rho + k2) * (t - 15)  # noqa: B023
            return math.exp(-a * (1 + 0.8 * a))

        ours = call("FLUID_EXPANSION_VOLUME", litres, f"{rho} kg/m3; class {name}", first, later)
        close(ours, litres * (factor(first) / factor(later) - 1), litres * 1e-3)


def test_suction_margin_of_petrol(draw: random.Random) -> None:
    for _ in range(CASES):
        flow, bore, length, rise = (
            draw.uniform(0, 5),
            draw.uniform(6, 12),
            draw.uniform(0.2, 3),
            draw.uniform(-0.5, 0.8),
        )
        rvp, celsius, metres = draw.uniform(7, 15), draw.uniform(-10, 50), draw.uniform(0, 4000)
        rho, nu, loss = draw.uniform(700, 770), draw.uniform(0.4, 0.8), draw.uniform(0, 5)
        s = math.sqrt(3)
        a = 15.64 - 1.854 * s - (0.8742 - 0.3280 * s) * math.log(rvp)
        b = 8742 - 1042 * s - (1049 - 179.4 * s) * math.log(rvp)
        vapour = math.exp(a - b / (celsius * 1.8 + 32 + 459.6)) * PSI
        geopotential = 6356766 * metres / (6356766 + metres)  # US Standard Atmosphere 1976, below 11 km
        air = 101325 * (288.15 / (288.15 - 0.0065 * geopotential)) ** (GRAVITY * 28.9644 / (8314.32 * -0.0065))
        v = flow / 60000 / (math.pi * (bore / 1000) ** 2 / 4)
        lost = drop(flow, bore, length, rho, nu, {}, 0) + loss * rho * v * v / 2 + rho * GRAVITY * rise
        fluid = f"kind petrol; {rho} kg/m3; {nu} mm2/s; RVP {rvp} psi"
        ours = call("SUCTION_MARGIN", flow, bore, length, fluid, celsius, loss, rise, metres)
        close(ours, (air - lost - vapour) / 1000, 10)


def test_the_servo_reservoir_in_moles(draw: random.Random) -> None:
    for _ in range(CASES):
        start, stops = draw.uniform(40, 80), draw.randint(0, 5)
        stroke, servo, reservoir = draw.uniform(0.5, 3), draw.uniform(1, 6), draw.uniform(0, 20)
        inside = (101.325 - start) * (servo + reservoir)  # kPa L: moles of air behind the valve, to a factor
        for _stop in range(stops):
            inside += 101.325 * stroke  # each stroke lets in its swept volume at outside pressure
        left = max(101.325 - inside / (servo + reservoir), 0)
        close(call("VACUUM_AFTER_STOPS", start, stops, stroke, servo, reservoir), left, 1)


def test_the_oil_that_leaves_a_cooler(draw: random.Random) -> None:
    for _ in range(CASES):
        flow, hot, air = draw.uniform(3, 15), draw.uniform(70, 120), draw.uniform(-10, 50)
        heat, cp, rho = draw.uniform(0.02, 0.2), draw.uniform(1.8, 2.2), draw.uniform(800, 900)
        cooled = hot - heat * (hot - air) / (flow / 60000 * rho * cp)
        fluid = f"{rho} kg/m3; 20 mm2/s; cp {cp} kJ/(kg K)"
        if cooled > air:
            close(call("COOLER_OIL_OUT", flow, fluid, hot, air, heat), cooled, 10)


def test_the_cold_limit_where_the_flow_turns_turbulent(draw: random.Random) -> None:
    """Scanned from the warm end in steps: the first temperature that fails, whatever the drop does below it."""
    for _ in range(CASES // 3):
        flow, bore, length = draw.uniform(1, 12), draw.uniform(6, 14), draw.uniform(2, 15)
        points = [(0.0, draw.uniform(4, 12)), (60.0, draw.uniform(1.2, 2.5))]
        fluid = f"1070 kg/m3; {points[0][1]} mm2/s @ 0 degC; {points[1][1]} mm2/s @ 60 degC; from -30 degC; to 90 degC"

        def lost(t: float) -> float:
            return drop(flow, bore, length, 1070, viscosity(points, t), {}, 0)  # noqa: B023

        allowed = lost(draw.uniform(-30, 90)) * draw.uniform(0.95, 1.05)
        if lost(90) > allowed:
            continue
        warm = 90.0
        while warm > -30 and lost(warm - 0.5) <= allowed:
            warm -= 0.5
        limit = -30.0 if warm <= -30 else bisected(lambda t: allowed - lost(t), warm - 0.5, warm)  # noqa: B023
        close(call("LINE_COLD_LIMIT", flow, bore, length, fluid, allowed / 1000), limit, 10)


FREE_AIR = 1.225 * 288.15 / 293.15  # kg/m3 at 20 degC, from the sea level of the US Standard Atmosphere 1976
AIR_NU = 1.458e-6 * 293.15**1.5 / (293.15 + 110.4) / FREE_AIR * 1e6  # mm2/s, Sutherland as in the same
AIR_AGREE = 1e-5  # the gas constant differs in its seventh digit, more where the flow turns turbulent


def test_breathers_and_vacuum_tees_in_free_air(draw: random.Random) -> None:
    for _ in range(CASES // 3):
        flow, bore, length = draw.uniform(5, 150), draw.uniform(6, 20), draw.uniform(0.2, 4)
        fitted = {word: draw.randint(1, 3) for word in draw.sample(sorted(THREE_K), draw.randint(0, 2))}
        lost = drop(flow, bore, length, FREE_AIR, AIR_NU, fitted, 0) / 1000
        close(call("BREATHER_PRESSURE", flow, bore, length, words(fitted)), lost, agree=AIR_AGREE)
        if lost > 0.001:
            close(call("BREATHER_BORE", flow, length, lost, words(fitted)), bore, agree=AIR_AGREE)
        other, reach = draw.uniform(6, 20), draw.uniform(0.2, 4)

        def uneven(share: float) -> float:
            first = drop(flow * share, bore, length, FREE_AIR, AIR_NU, fitted, 0)  # noqa: B023
            return first - drop(flow * (1 - share), other, reach, FREE_AIR, AIR_NU, {}, 0)  # noqa: B023

        share = call("VACUUM_TEE_BALANCE", flow, bore, length, other, reach, words(fitted))
        close(share, bisected(uneven, 0, 1) * 100, agree=AIR_AGREE)


def test_what_a_hose_said_in_words_bears(draw: random.Random) -> None:
    for _ in range(CASES):
        liner, hot, celsius = draw.choice(["PTFE", "NBR"]), draw.uniform(90, 230), draw.uniform(-40, 230)
        working, burst, proof, clamps = (draw.uniform(1, 15), draw.uniform(4, 60), draw.uniform(2, 30),
                                         draw.uniform(0.3, 2))  # fmt: skip
        hose = (f"pressure limit {working} MPa; burst {burst} MPa; proof {proof} MPa; clamps limit {clamps} MPa; "
                f"to {hot} degC; liner {liner}")  # fmt: skip
        if celsius > hot:
            continue
        kept = 1 - max(celsius - 100, 0) * 0.1 / 50 if liner == "PTFE" else 1
        bears = min(working, burst / 4, proof / 2) * kept
        close(call("HOSE_PRESSURE_LIMIT", hose, celsius), bears * 1000)
        close(call("HOSE_PRESSURE_LIMIT", hose, celsius, "clamps"), min(bears, clamps) * 1000)
