"""Wall roughness of a line: a name of the table, or a height with its unit."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Self

from xlcalc.core.cells import number
from xlcalc.core.errors import NotInTable, OutOfRange, WrongKind
from xlcalc.core.kinds import Kind
from xlcalc.core.tables import Provenance, table
from xlcalc.core.units import quantity, unit
from xlcalc.core.words import joined, leading_number, nearest, plain, shown

ROUGHNESS = "roughness of the wall"
ROUGHEST = 0.005  # m


@dataclass(frozen=True, slots=True)
class Surface:
    """Wall of a line: roughness height in m, and its doubt as a fraction."""

    name: str
    height: float
    doubt: float = 0.0
    cited: tuple[tuple[str, Provenance], ...] = ()

    @property
    def doubts(self) -> Sequence[str]:
        """The height, where the table states a doubt."""
        return (ROUGHNESS,) if self.doubt and self.height else ()

    def lean(self, doubt: str, side: int) -> Self:  # noqa: ARG002 (it has one doubt)
        """The same wall at one end of its doubt."""
        return replace(self, height=self.height * (1.0 + side * self.doubt))


SMOOTH = Surface("smooth", 0.0)


class SurfaceKind(Kind):
    """A surface of the table, or a roughness with its unit."""

    def read(self, cell: object) -> Any:
        if not isinstance(cell, str):
            number(cell)
            raise WrongKind(f"{shown(cell)} has no unit: give a roughness such as 0.05 mm, or a surface by name")
        return surface_of(cell)

    def allows(self) -> str:
        return "smooth, a name of the roughness table, or a roughness such as 0.05 mm"

    def show(self, value: Any) -> str:
        return f"{value.name} ({value.height * 1e3:.4g} mm)"

    def good(self) -> list[object]:
        return ["smooth", "drawn tubing", "0.05 mm", "0.0018 in"]

    def bad(self) -> list[tuple[object, str]]:
        return [("velvet", "#N/A"), (0.05, "#VALUE!"), ("0.05", "#VALUE!"), ("5 kg", "#VALUE!"), ("6 mm", "#NUM!"),
                (True, "#VALUE!"), ("x" * 5000, "#VALUE!")]  # fmt: skip


@lru_cache(512)
def surface_of(text: str) -> Surface:
    """The surface that a text names. Raises NotInTable for an unknown name, OutOfRange for no wall at all."""
    said = plain(text)
    rows = {row.text("surface").casefold(): row for row in table("roughness")}
    if (row := rows.get(said.casefold())) is not None:
        given = row.provenance
        height = row.number("roughness") or 0.0
        return Surface(row.text("surface"), height, given.doubt, ((said, given),) if height else ())
    if leading_number(said) is None:
        near = nearest(said, rows) or f": it has {joined(row.text('surface') for row in table('roughness'))}"
        raise NotInTable(f"{shown(text)} is not in the roughness table{near}")
    value, named = quantity(said)
    if named is None or named.dimension != unit("mm").dimension:
        raise WrongKind(f"{shown(text)} is not a roughness: give its unit, e.g. 0.05 mm")
    height = named.to_si(value)
    if not 0.0 <= height <= ROUGHEST:
        raise OutOfRange(f"{shown(text)}: a roughness is 0 to 5 mm")
    return Surface(said, height)
