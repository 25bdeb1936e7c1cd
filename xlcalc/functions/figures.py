"""Single figures of the tables that a relation rests on, each with its source and doubt."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Self

from xlcalc.core.errors import DeclarationError
from xlcalc.core.steps import cite
from xlcalc.core.tables import Row, table
from xlcalc.core.units import unit


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of data/limits.csv or data/practice_figures.csv, by its id; `side` leans it to one end of its doubt.

    Reading the value raises DeclarationError where the id is not in the table.
    """

    id: str
    table: str = "practice_figures"
    side: int = 0

    @property
    def value(self) -> float:
        """The figure in SI."""
        number, row = _figure(self.table, self.id)
        return number * (1.0 + self.side * row.provenance.doubt) if self.side else number

    @property
    def doubts(self) -> Sequence[str]:
        """What the figure says, where it is in doubt."""
        _, row = _figure(self.table, self.id)
        return (self._label(row),) if row.provenance.doubt else ()

    def lean(self, doubt: str, side: int) -> Self:
        """The same figure at the upper (+1) or lower (-1) end of its doubt."""
        return replace(self, side=side if doubt in self.doubts else self.side)

    def tell(self) -> None:
        """Say where the figure comes from (ANSWER_STEPS)."""
        _, row = _figure(self.table, self.id)
        cite(f"{self._label(row)} {row.text('value')} {row.text('unit')}".removesuffix(" 1"), row.provenance)

    def _label(self, row: Row) -> str:
        return row.text("quantity" if self.table == "practice_figures" else "words")


@lru_cache(maxsize=256)
def _figure(name: str, wanted: str) -> tuple[float, Row]:
    """SI value and row of one figure."""
    for row in table(name):
        if row.text("id") == wanted:
            return unit(row.text("unit")).to_si(float(row.text("value"))), row
    raise DeclarationError(f"data/{name}.csv has no figure {wanted!r}")
