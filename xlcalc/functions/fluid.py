"""A fluid as the functions see it: properties over temperature, its span, its doubts, where it comes from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Self

from xlcalc.core.errors import NotInTable, OutOfRange
from xlcalc.core.steps import listening, step
from xlcalc.core.tables import Provenance
from xlcalc.core.words import digits, short
from xlcalc.functions.laws import BASE_15, ZERO_CELSIUS, Constant, Law

OILS = ("ATF", "gear oil", "engine oil")
FUELS = ("petrol", "E10", "E85", "diesel")
WATERS = ("coolant", "water")
VISCOSITY, DENSITY, GROWTH, VAPOUR, HEAT = (
    "viscosity of the fluid",
    "density of the fluid",
    "growth of the fluid with temperature",
    "vapour pressure of the fluid",
    "specific heat of the fluid",
)
VISCOSITY_LIKE: Mapping[str, str] = {
    "petrol": "0.55 mm2/s", "E10": "0.58 mm2/s", "E85": "1.3 mm2/s", "diesel": "3.9 mm2/s"
}  # how a viscosity is said where a fluid of this kind lacks one: the table's at 20 degC, petrol's at 15.6 (DOE-T2)
_VISCOSITY_LIKE_OIL = "34 mm2/s @ 40 degC; 7.2 mm2/s @ 100 degC"  # the other kinds: the table's generic ATF
ESTIMATE_BEYOND = 20.0  # K beyond the measured points from which a viscosity is an estimate
_REMEMBERED = 512


@dataclass(frozen=True, eq=False)
class Fluid:
    """A fluid. Temperatures in K, properties in SI.

    `coldest` and `hottest` bound its stated span; `measured` are the ends of the measured viscosities;
    `thickest` is the viscosity law of the thickest oil that its grade allows in the cold; `shares` are the
    doubts as fractions, `sides` those leaned to one end; `density_at` is where its density was said, known there
    even where the viscosities start warmer. Every property is one float at one temperature.

    >>> from xlcalc.functions.fluid_words import fluid_of
    >>> oil = fluid_of("850 kg/m3; 32 mm2/s @ 40 degC; 5.4 mm2/s @ 100 degC")
    >>> round(oil.viscosity(353.15) * 1e6, 2), round(oil.density(288.15))
    (8.53, 850)
    >>> fluid_of("E10").vapour_pressure(673.15)
    Traceback (most recent call last):
    xlcalc.core.errors.OutOfRange: E10 is known from -40 °C to 70 °C; 400 °C lies outside: use that fluid's own figures
    """

    name: str
    kind: str
    density_law: Law | None
    viscosity_law: Law | None
    vapour_law: Law | None
    heat_law: Law | None
    coldest: float
    hottest: float
    measured: tuple[float, float] | None
    thickest: Law | None
    shares: Mapping[str, float]
    cited: tuple[tuple[str, Provenance], ...] = ()
    caution: str = ""
    density_at: float | None = None
    sides: Mapping[str, int] = field(default_factory=dict)
    _known: dict[float, float] = field(default_factory=dict, init=False, repr=False)

    @property
    def oil(self) -> bool:
        """True for lubricating oils: their vapour pressure counts as none."""
        return self.kind in OILS

    @property
    def doubts(self) -> Sequence[str]:
        """What is doubtful in this fluid."""
        return [name for name, share in self.shares.items() if share or (name == VISCOSITY and self.thickest)]

    def lean(self, doubt: str, side: int) -> Self:
        """The same fluid with one property at the upper (+1) or lower (-1) end of its doubt."""
        return replace(self, sides={**self.sides, doubt: side})

    def check(self, temperature: float) -> None:
        """Raise OutOfRange for a temperature (K) outside the span in which the fluid is known."""
        if not self.coldest - 1e-9 <= temperature <= self.hottest + 1e-9:
            raise OutOfRange(
                f"{self.name} is known from {celsius(self.coldest)} to {celsius(self.hottest)}; "
                f"{celsius(temperature)} lies outside: use that fluid's own figures"
            )

    def viscosity(self, temperature: float) -> float:
        """Kinematic viscosity in m2/s. Raises OutOfRange outside the span, NotInTable where not known."""
        known = self._known.get(temperature)
        if known is None:
            self.check(temperature)
            like = VISCOSITY_LIKE.get(self.kind, _VISCOSITY_LIKE_OIL)
            law = self._known_law(self.viscosity_law, "viscosity", like)
            known = law(temperature)
            if side := self.sides.get(VISCOSITY):
                known *= 1.0 + side * self.shares.get(VISCOSITY, 0.0)
                if side > 0 and self.thickest and self.measured and temperature < self.measured[0]:
                    known = max(known, self.thickest(temperature))
            if len(self._known) > _REMEMBERED:
                self._known.clear()
            self._known[temperature] = known
        return known

    def density(self, temperature: float) -> float:
        """Density in kg/m3. Raises OutOfRange outside the span, NotInTable where not known."""
        if self.density_at is None or abs(temperature - self.density_at) > 1e-9:
            self.check(temperature)
        law = self._known_law(self.density_law, "density", "865 kg/m3")
        density = law(temperature)
        if self.sides:
            if side := self.sides.get(GROWTH):
                base = law(BASE_15)
                density = base + (density - base) * (1.0 + side * self.shares.get(GROWTH, 0.0))
            density *= 1.0 + self.sides.get(DENSITY, 0) * self.shares.get(DENSITY, 0.0)
        return density

    def vapour_pressure(self, temperature: float) -> float:
        """Absolute vapour pressure in Pa. Raises OutOfRange outside the span, NotInTable where not known."""
        self.check(temperature)
        if self.vapour_law is None and self.kind == "petrol":
            raise NotInTable(
                f"the vapour pressure of {self.name} needs its Reid vapour pressure: write {self.name}; RVP 10 psi"
            )
        law = self._known_law(self.vapour_law, "vapour pressure", "vapour 55 kPa @ 37.8 degC; vapour 100 kPa @ 54 degC")
        return law(temperature) * (1.0 + self.sides.get(VAPOUR, 0) * self.shares.get(VAPOUR, 0.0))

    def specific_heat(self, temperature: float) -> float:
        """Specific heat in J/(kg K). Raises OutOfRange outside the span, NotInTable where not known."""
        self.check(temperature)
        law = self._known_law(self.heat_law, "specific heat", "cp 2.0 kJ/(kg K)")
        return law(temperature) * (1.0 + self.sides.get(HEAT, 0) * self.shares.get(HEAT, 0.0))

    def estimated(self, temperature: float) -> float:
        """Kelvin beyond the nearest measured viscosity where that makes it an estimate, else 0."""
        if self.measured is None:
            return 0.0
        beyond = max(self.measured[0] - temperature, temperature - self.measured[1], 0.0)
        return beyond if beyond > ESTIMATE_BEYOND else 0.0

    def _known_law(self, law: Law | None, what: str, words: str) -> Law:
        if law is None:
            raise NotInTable(f"the {what} of {self.name} is not known: give it in words, e.g. {self.name}; {words}")
        return law


def tell(fluid: Fluid, temperature: float) -> None:
    """Say the properties used at a temperature (K), and whether the viscosity is an estimate (ANSWER_STEPS).

    Raises what the properties raise, but only while steps are taken.
    """
    if not listening():
        return
    step(f"Density at {celsius(temperature)}: {fluid.density(temperature):.5g} kg/m³")
    viscosity = fluid.viscosity(temperature)
    step(f"Viscosity at {celsius(temperature)}: {short(viscosity * 1e6)} mm²/s (cSt)")
    if beyond := fluid.estimated(temperature):
        step(f"That viscosity is an estimate: {beyond:.0f} K beyond the nearest measured point")
    if fluid.thickest and fluid.measured and temperature < fluid.measured[0]:
        thickest = fluid.lean(VISCOSITY, 1).viscosity(temperature)
        step(f"The thickest its grade allows there: {short(thickest * 1e6)} mm²/s (cSt)")


def tell_no_growth(fluid: Fluid) -> None:
    """Say that a density which is said to hold at every temperature hides what the fluid grows (ANSWER_STEPS)."""
    if isinstance(fluid.density_law, Constant):
        step(f"The density of {fluid.name} is said to hold at every temperature, so it does not grow here: say its "
             "class, e.g. lubricating")  # fmt: skip


def celsius(temperature: float) -> str:
    """A temperature in K as a sentence prints it.

    >>> celsius(251.15)
    '-22 °C'
    """
    return f"{digits(round(temperature - ZERO_CELSIUS, 2))} °C"
