"""Argument kinds that are names of units: the unit that an answer is wanted in, or any unit at all."""

from functools import cached_property
from typing import Any

from xlcalc.core.errors import WrongKind
from xlcalc.core.kinds import Kind
from xlcalc.core.units import NO_NUMBER, UNKNOWN, Unit, unit
from xlcalc.core.words import shown


def with_allowed(fault: WrongKind, allowed: str) -> WrongKind:
    """The refusal of a text, with what is allowed where it names nothing that the text may have been meant as."""
    return WrongKind(f"{fault}: give {allowed}") if str(fault).endswith((UNKNOWN, NO_NUMBER)) else fault


class UnitName(Kind):
    """The unit that the answer is wanted in, read as a `Unit`. Raises WrongKind for one that cannot hold it.

    >>> UnitName("mm", frozenset({""})).read("in").factor
    0.0254
    """

    def __init__(self, answers: str, flavours: frozenset[str]) -> None:
        self.answers, self.flavours = answers, flavours

    @cached_property
    def unit(self) -> Unit:
        """The unit in which the answer comes when none is asked for."""
        return unit(self.answers)

    def read(self, cell: object) -> Any:
        if not isinstance(cell, str):
            raise WrongKind(f"{shown(cell)} is not the name of a unit: {self.allows()}")
        return self._read_text(cell)

    def _read_text(self, text: str) -> Unit:
        asked = self._known(text)
        if asked.dimension != self.unit.dimension or asked.flavour not in self.flavours | {self.unit.flavour}:
            raise WrongKind(f"{shown(text)} cannot hold this answer: {self.allows()}")
        return asked

    def _known(self, text: str) -> Unit:
        try:
            return unit(text)
        except WrongKind as fault:
            raise with_allowed(fault, self.allows()) from None

    def show(self, value: Unit) -> str:
        return value.printed

    def allows(self) -> str:
        return f"{self.unit.printed or 'no unit'} or another unit of that kind"

    def good(self) -> list[object]:
        return [self.answers]

    def bad(self) -> list[tuple[object, str]]:
        return [
            ("kg" if self.unit.dimension != "[mass]" else "m", "#VALUE!"),
            ("gal", "#VALUE!"),
            (5, "#VALUE!"),
        ]


class AnyUnit(UnitName):
    """Any unit at all, read as a `Unit`; WrongKind for what is none."""

    def __init__(self) -> None:
        super().__init__("1", frozenset())

    def _read_text(self, text: str) -> Unit:
        return self._known(text)

    def allows(self) -> str:
        return "the name of a unit, e.g. L/min"

    def good(self) -> list[object]:
        return ["L/min", "mm", "degC"]

    def bad(self) -> list[tuple[object, str]]:
        return [("gal", "#VALUE!"), ("no such unit", "#VALUE!"), (5, "#VALUE!")]
