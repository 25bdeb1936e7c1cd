"""How properties of a liquid go with temperature: viscosity, density, vapour pressure. All in SI, K and Pa.

A law is a small frozen object that is called with one temperature in K and answers one float in SI. None checks a
span: the fluid does.

>>> oil = D341(((313.15, 32e-6), (373.15, 5.4e-6)))
>>> round(oil(353.15) * 1e6, 2)  # D341: mm2/s at 80 degC
8.53
>>> round(PetrolVapour(10 * 6894.757)(288.706) / 6894.757, 1)  # AP42: psi at 60 degF of petrol with RVP 10 psi
5.2
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, inf, log, log10, sqrt

from xlcalc.core.errors import NoAnswer, NotInTable, OutOfRange
from xlcalc.core.tables import Row, table

Law = Callable[[float], float]
ZERO_CELSIUS, BASE_15 = 273.15, 288.15
_PSI = 6894.757293168  # Pa
_MMHG = 133.322387415  # Pa
PETROL_SLOPE = 3.0  # S, slope of the distillation curve of motor petrol, AP-42 chapter 7.1


@dataclass(frozen=True, slots=True)
class Constant:
    """The same value, in SI, at every temperature."""

    value: float

    def __call__(self, temperature: float) -> float:  # noqa: ARG002 (a law is called with a temperature)
        return self.value


@dataclass(frozen=True, slots=True)
class Straight:
    """Straight lines between points (temperature in K, value in SI), and on beyond the last two.

    With `logarithmic`, ln(value) is straight in 1/T (viscosity, vapour pressure).

    >>> Straight(((273.15, 1000.0), (293.15, 990.0)))(283.15)
    995.0
    """

    points: tuple[tuple[float, float], ...]
    logarithmic: bool = False

    def __call__(self, temperature: float) -> float:
        (cold, at_cold), (hot, at_hot) = neighbours(self.points, temperature)
        if not self.logarithmic:
            return at_cold + (at_hot - at_cold) * (temperature - cold) / (hot - cold)
        share = (1.0 / temperature - 1.0 / cold) / (1.0 / hot - 1.0 / cold)
        return float(at_cold * (at_hot / at_cold) ** share)


@dataclass(frozen=True, slots=True)
class Single:
    """One point only (K, m2/s): known at its own temperature; NotInTable at any other."""

    temperature: float
    value: float

    def __call__(self, temperature: float) -> float:
        if abs(temperature - self.temperature) > 0.01:
            raise NotInTable(
                f"the viscosity is known at {self.temperature - ZERO_CELSIUS:.4g} °C only: give a second point, or "
                f"leave the @ away to hold it at every temperature"
            )
        return self.value


@dataclass(frozen=True, slots=True)
class D341:
    """ASTM D341 from neighbour to neighbour of measured points (K, m2/s), beyond the ends through the last two.

    log10 log10 Z = A - B log10 T, Z = v + 0.7 + exp(-1.47 - 1.84 v - 0.51 v^2), v in mm2/s.
    Raises OutOfRange where a point is too thin for it, NoAnswer where the line falls below zero.
    """

    points: tuple[tuple[float, float], ...]

    def __call__(self, temperature: float) -> float:
        (cold, at_cold), (hot, at_hot) = neighbours(self.points, temperature)
        low, high = _double_log(at_cold), _double_log(at_hot)
        share = log10(temperature / cold) / log10(hot / cold)
        return viscosity_of(10.0 ** (10.0 ** (low + (high - low) * share)))


def z_of(viscosity: float) -> float:
    """Z of ASTM D341, a plain number, for a kinematic viscosity in m2/s."""
    v = viscosity * 1e6
    return v + 0.7 + exp(-1.47 - 1.84 * v - 0.51 * v * v)


@lru_cache(4096)
def _double_log(viscosity: float) -> float:
    z = z_of(viscosity)
    if z <= 1.0:
        raise OutOfRange(f"{viscosity * 1e6:.3g} mm²/s is too thin for the viscosity line (ASTM D341)")
    return log10(log10(z))


def viscosity_of(z: float) -> float:
    """Kinematic viscosity in m2/s for Z of ASTM D341, by Newton's method on Z itself.

    The printed inverse of the standard is off by up to 3e-4 below 2 mm2/s, so it is not used.
    Raises NoAnswer where no viscosity above zero has that Z.

    >>> round(viscosity_of(z_of(1.5e-6)) * 1e6, 9)
    1.5
    """
    v = max(z - 0.7, 0.01)
    for _ in range(60):
        bend = exp(-1.47 - 1.84 * v - 0.51 * v * v)
        step = (v + 0.7 + bend - z) / (1.0 - (1.84 + 1.02 * v) * bend)
        v -= step
        if abs(step) <= 1e-15 * max(v, 1.0):
            break
    if not v > 0.0:
        raise NoAnswer("the viscosity line (ASTM D341) falls below zero here")
    return v * 1e-6


def neighbours(points: Sequence[tuple[float, float]], temperature: float) -> Sequence[tuple[float, float]]:
    """The two points (K, value in SI) around a temperature in K, or the last two on its side."""
    for place in range(1, len(points) - 1):
        if temperature <= points[place][0]:
            return points[place - 1 : place + 1]
    return points[-2:]


@dataclass(frozen=True, slots=True)
class Petroleum:
    """ASTM D1250-80 / API MPMS 11.1: density (kg/m3) at 15 degC x exp[-a dt (1 + 0.8 a dt)], dt (K) from 15 degC."""

    density_15: float
    alpha: float

    def __call__(self, temperature: float) -> float:
        growth = self.alpha * (temperature - BASE_15)
        return self.density_15 * exp(-growth * (1.0 + 0.8 * growth))


@dataclass(frozen=True, slots=True)
class PetroleumFrom60F:
    """The same relation counted from 60 degF, as the coefficient of E10 is printed (1/degF); density in kg/m3."""

    density_60f: float
    alpha: float

    def __call__(self, temperature: float) -> float:
        growth = self.alpha * (temperature - (ZERO_CELSIUS + (60.0 - 32.0) / 1.8)) * 1.8
        return self.density_60f * exp(-growth * (1.0 + 0.8 * growth))


BY_NAME = ("lubricating", "E10")  # classes that hold at any density
BY_DENSITY = ("petrol", "transition", "kerosene", "diesel")  # rows that meet in their ranges, lightest first


def expansion_row(expansion_class: str, density_15: float) -> Row:
    """Row of the expansion table for a class word and a density (kg/m3) at 15 degC. Source: ASTM D1250-80.

    Refined products go by density alone in the standard: petrol, kerosene and diesel meet in their ranges,
    with a transition between petrol and kerosene. Raises OutOfRange where the class does not fit the density.
    """
    rows = _expansion()
    if expansion_class in BY_NAME:
        return rows[expansion_class]
    for name in BY_DENSITY:
        low, high = _between(name, name)
        if low <= density_15 <= high:
            return rows[name]
    low, high = _between(BY_DENSITY[0], BY_DENSITY[-1])
    raise OutOfRange(f"{density_15:.5g} kg/m³ at 15 °C is outside what the expansion tables cover, {low:g} to {high:g} "
                     "kg/m³")  # fmt: skip


def class_span(expansion_class: str) -> tuple[float, float]:
    """Densities (kg/m3 at 15 degC) that a product of a class has: its own row and that of the lighter neighbour, for
    petrol that of the transition above it."""
    if expansion_class in BY_NAME:
        return 0.0, inf
    place = BY_DENSITY.index(expansion_class)
    return _between(*BY_DENSITY[:2]) if place == 0 else _between(*BY_DENSITY[place - 1 : place + 1])


@lru_cache(1)
def _expansion() -> Mapping[str, Row]:
    return {row.text("class"): row for row in table("expansion")}


def _between(lightest: str, heaviest: str) -> tuple[float, float]:
    """Densities from the low end of one row of the expansion table to the high end of another."""
    rows = _expansion()
    return rows[lightest].number("rho_from") or 0.0, rows[heaviest].number("rho_to") or 0.0


def density_law(expansion_class: str, density: float, at: float) -> Law:
    """Density over temperature of a petroleum liquid that has `density` (kg/m3) at temperature `at` (K).

    Raises OutOfRange where the density does not fit the class.

    >>> round(density_law("petrol", 730.0, BASE_15)(313.15), 1)
    707.0
    """
    density_15 = density
    for _ in range(0 if at == BASE_15 else 40):
        # a density said warm may lie below the tables though that at 15 degC, which the last line checks, does not
        within = density_15 if expansion_class in BY_NAME else _within_tables(density_15)
        density_15, before = within * density / _law_at_15(expansion_class, within)(at), density_15
        if abs(density_15 - before) <= 1e-13 * density:
            break
    return _law_at_15(expansion_class, density_15)


def _within_tables(density_15: float) -> float:
    lowest, highest = _between(BY_DENSITY[0], BY_DENSITY[-1])
    return min(max(density_15, lowest), highest)


def _law_at_15(expansion_class: str, density_15: float) -> Law:
    row = expansion_row(expansion_class, density_15)
    if expansion_class == "E10":
        alpha = (row.number("alpha_60F") or 0.0) / 1.8
        from_60f = PetroleumFrom60F(1.0, alpha)
        return PetroleumFrom60F(density_15 / from_60f(BASE_15), alpha)
    k0, k1, k2 = (row.number(name) or 0.0 for name in ("K0", "K1", "K2"))
    return Petroleum(density_15, k0 / density_15**2 + k1 / density_15 + k2)


@dataclass(frozen=True, slots=True)
class PetrolVapour:
    """Vapour pressure of petrol from its Reid vapour pressure (Pa): US EPA AP-42, chapter 7.1."""

    rvp: float

    def __call__(self, temperature: float) -> float:
        root_s, log_rvp = sqrt(PETROL_SLOPE), log(self.rvp / _PSI)
        a = 15.64 - 1.854 * root_s - (0.8742 - 0.3280 * root_s) * log_rvp
        b = 8742.0 - 1042.0 * root_s - (1049.0 - 179.4 * root_s) * log_rvp
        rankine = (temperature - ZERO_CELSIUS) * 1.8 + 32.0 + 459.6
        return exp(a - b / rankine) * _PSI


@dataclass(frozen=True, slots=True)
class Antoine:
    """Vapour pressure in Pa from Antoine constants for mmHg and degC: log10 p = a - b / (t + c)."""

    a: float
    b: float
    c: float

    def __call__(self, temperature: float) -> float:
        return float(10.0 ** (self.a - self.b / (temperature - ZERO_CELSIUS + self.c)) * _MMHG)
