"""A hose with its figures, where they come from and how doubtful they are."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Self

from xlcalc.core.errors import NotInTable
from xlcalc.core.tables import Provenance

DOUBT = "hose figures"
FIGURES: Mapping[str, tuple[str, str]] = {
    "bore": ("bore", "bore 7.9 mm"),
    "outside": ("outside diameter", "outside 13 mm"),
    "bend_radius": ("least bend radius", "bend radius 102 mm"),
    "working": ("pressure limit", "pressure limit 10.3 MPa"),
    "clamps": ("limit with clamps", "clamps limit 0.69 MPa"),
    "proof": ("proof pressure", "proof 21 MPa"),
    "burst": ("burst pressure", "burst 41 MPa"),
    "coldest": ("lowest temperature", "from -54 degC"),
    "hottest": ("highest temperature", "to 204 degC"),
    "liner": ("liner", "liner PTFE"),
    "conductive": ("conductive liner (yes or no)", "conductive yes"),
    "suction": ("use in suction (yes or no)", "suction no"),
    "said_doubt": ("doubt", "doubt 5 %"),
}  # field: what a sentence calls it, how it is said in words
SCALED = ("bore", "outside", "bend_radius", "working", "clamps", "proof", "burst")


@dataclass(frozen=True, slots=True)
class Hose:
    """Figures of a hose in SI; what is neither in the table nor said is None.

    `clamps` is None where clamps are not allowed. `doubt` is a fraction and belongs to the figures of the
    table, `said_doubt` to those in `said`, which came in words. Temperatures are not leaned: a share of an
    absolute temperature would mean nothing.
    """

    name: str = ""
    family: str = ""
    size: str = ""
    bore: float | None = None
    outside: float | None = None
    bend_radius: float | None = None
    working: float | None = None
    clamps: float | None = None
    proof: float | None = None
    burst: float | None = None
    coldest: float | None = None
    hottest: float | None = None
    liner: str | None = None
    conductive: str | None = None
    suction: str | None = None
    caution: str = ""
    doubt: float = 0.0
    said: frozenset[str] = frozenset()
    said_doubt: float = 0.0
    cited: tuple[tuple[str, Provenance], ...] = ()

    @property
    def label(self) -> str:
        """What a sentence calls it."""
        return self.name or "this hose"

    def figure(self, name: str) -> float:
        """A figure in SI. Raises NotInTable, which says how to give it, where it is not known."""
        value = getattr(self, name)
        if value is None:
            raise self.lacks(name)
        return float(value)

    def lacks(self, name: str) -> NotInTable:
        """The error for a figure or word that is needed and not known."""
        label, written = FIGURES[name]
        example = f"{self.name or '…'}; {written}"
        where = "not in the hoses table" if self.name else "not said"
        return NotInTable(f'{self.label}: its {label} is {where}; say it in words, e.g. "{example}"')

    @property
    def doubts(self) -> tuple[str, ...]:
        """Its figures are in doubt together."""
        return (DOUBT,) if self.doubt or (self.said and self.said_doubt) else ()

    def lean(self, doubt: str, side: int) -> Self:  # noqa: ARG002  (it has one doubt only)
        """The same hose with every figure larger (+1) or smaller (-1) by its doubt."""
        leaned: dict[str, Any] = {}
        for name in SCALED:
            value = getattr(self, name)
            if value is not None:
                leaned[name] = value * (1 + side * (self.said_doubt if name in self.said else self.doubt))
        return replace(self, **leaned)


class HoseBore(float):
    """The bore of a hose: a length that remembers its hose, so that the hose's doubt runs through."""

    __slots__ = ("hose",)
    hose: Hose

    def __new__(cls, hose: Hose) -> Self:
        """Raises NotInTable where the hose has no bore."""
        made = super().__new__(cls, hose.figure("bore"))
        made.hose = hose
        return made

    @property
    def doubts(self) -> tuple[str, ...]:
        """As of the hose."""
        return self.hose.doubts

    @property
    def cited(self) -> tuple[tuple[str, Provenance], ...]:
        """As of the hose."""
        return self.hose.cited

    @property
    def caution(self) -> str:
        """As of the hose."""
        return self.hose.caution

    def lean(self, doubt: str, side: int) -> Self:
        """The bore of the leaned hose."""
        return type(self)(self.hose.lean(doubt, side))
