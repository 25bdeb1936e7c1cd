"""Argument kinds that are quantities: a number in the workshop unit, or text with a unit of the same kind."""

import math
from functools import cached_property
from typing import Any, ClassVar

from xlcalc.core.cells import number
from xlcalc.core.errors import OutOfRange, WrongKind
from xlcalc.core.kinds import Kind
from xlcalc.core.tables import sources
from xlcalc.core.unit_names import with_allowed
from xlcalc.core.units import Unit, quantity, unit
from xlcalc.core.words import digits, shown

COLDEST_KELVIN = 150.0  # below this a figure in K is a difference of temperatures, not a temperature
_COUNTED = {"absolute": "from a perfect vacuum", "vacuum": "down from the atmosphere"}
_HAIR = 1e-12  # a limit given in another unit still counts as the limit


class Quantity(Kind):
    """A number in the workshop unit, or text with any unit of the same kind.

    `low` and `high` are in the workshop unit and belong to the span; `limit` is the source id that the span
    rests on. A cell is read as a float in SI. Raises WrongKind for what is no such quantity, OutOfRange outside
    the span.

    >>> flow = Quantity("L/min", 0, 2000)
    >>> round(flow.read(6), 6), round(flow.read("6 US gpm"), 6), flow.allows()
    (0.0001, 0.000379, '0 to 2000 L/min')
    >>> flow.read(2500)
    Traceback (most recent call last):
    xlcalc.core.errors.OutOfRange: 2500 L/min is above 2000 L/min; allowed 0 to 2000 L/min (workshop range)
    """

    flavours: ClassVar[frozenset[str]] = frozenset({"", "gauge"})
    wants: ClassVar[str] = ""

    def __init__(self, unit_text: str, low: float, high: float, limit: str = "WORKSHOP") -> None:
        self.unit_text, self.low, self.high, self.limit = unit_text, low, high, limit

    @cached_property
    def unit(self) -> Unit:
        """The workshop unit."""
        return unit(self.unit_text)

    @cached_property
    def _factor(self) -> float:
        return self.unit.factor

    @cached_property
    def _offset(self) -> float:
        return self.unit.offset

    def read(self, cell: object) -> Any:
        kind = type(cell)
        if kind is float or kind is int:
            if self.low <= cell <= self.high:  # type: ignore[operator]
                return cell * self._factor + self._offset  # type: ignore[operator]
        elif kind is str:
            return self._read_text(cell)  # type: ignore[arg-type]
        return self._in_span(self.bare(number(cell)))

    def bare(self, given: float) -> float:
        """A bare number in the workshop unit, after what is refused of bare numbers only."""
        return given

    def _read_text(self, text: str) -> float:
        try:
            given, said = quantity(text)
        except WrongKind as fault:
            raise with_allowed(fault, self.allows()) from None
        if said is None:
            return self._in_span(self.bare(given))
        self.check_unit(said, text)
        return self._in_span(self.unit.from_si(said.to_si(given)), shown(text))

    def check_unit(self, said: Unit, text: str) -> None:
        """Raise WrongKind for a unit of another kind."""
        if said.dimension == self.unit.dimension and said.flavour in self.flavours:
            return
        if said.dimension == self.unit.dimension and not self.wants and said.flavour in _COUNTED:
            raise WrongKind(f"{shown(text)} counts {_COUNTED[said.flavour]}: give the pressure above the atmosphere")
        wants = self.wants or ("in a unit like" if self.unit.printed else "a plain number")
        raise WrongKind(f"{shown(text)} is not {wants} {self.unit.printed}".rstrip())

    def _in_span(self, given: float, said: str = "") -> float:
        slack = _HAIR * max(abs(self.low), abs(self.high))
        if not self.low - slack <= given <= self.high + slack:
            raise OutOfRange(self.outside(given, said or f"{digits(given)} {self.unit.printed}".strip()))
        return self._factor * min(max(given, self.low), self.high) + self._offset

    def outside(self, given: float, said: str) -> str:
        """The sentence for a number (in the workshop unit) outside the span."""
        edge, word = (self.low, "below") if given < self.low else (self.high, "above")
        limit = f"{digits(edge)} {self.unit.printed}".strip()
        return f"{said} is {word} {limit}; allowed {self.allows()} ({_limit_words(self.limit)})"

    def allows(self) -> str:
        return f"{digits(self.low)} to {digits(self.high)} {self.unit.printed}".strip()

    def show(self, value: Any) -> str:
        return f"{digits(self.unit.from_si(value))} {self.unit.printed}".strip()

    def takes_numbers(self) -> bool:
        return True

    def span(self) -> tuple[float, float] | None:
        return self.low, self.high

    def good(self) -> list[object]:
        middle = round((self.low + self.high) / 2, 3)
        comma = str(middle).replace(".", ",") if len(str(middle).partition(".")[2]) != 3 else str(middle)
        return [self.low, self.high, middle, str(middle), comma, f"{middle} {self.unit_text}"]

    def bad(self) -> list[tuple[object, str]]:
        beyond = max(abs(self.low), abs(self.high), 1.0) * 1e-6
        other = "5 kg" if self.unit.dimension != "[mass]" else "5 m"
        return [
            (self.low - beyond, "#NUM!"), (self.high + beyond, "#NUM!"), (other, "#VALUE!"), ("abc", "#VALUE!"),
            ("5 gal", "#VALUE!"), (True, "#VALUE!"), (math.nan, "#VALUE!"), (math.inf, "#VALUE!"),
            (1e308, "#NUM!"), ("2*3", "#VALUE!"), (b"5", "#VALUE!"), ("5 abc", "#VALUE!"),
        ]  # fmt: skip


class Temperature(Quantity):
    """A temperature, read in K; a difference of temperatures is refused (WrongKind).

    >>> round(Temperature("degC", -60, 250).read("68 degF"), 2), Difference("K", 0, 100).read("10 K")
    (293.15, 10.0)
    """

    flavours = frozenset({"temperature", "kelvin"})
    wants = "a temperature in"

    def check_unit(self, said: Unit, text: str) -> None:
        super().check_unit(said, text)
        if said.flavour == "kelvin" and quantity(text)[0] < COLDEST_KELVIN:
            raise WrongKind(f"{shown(text)} reads as a difference of temperatures: give a temperature in °C")

    def bad(self) -> list[tuple[object, str]]:
        return [*super().bad(), ("20 delta_degC", "#VALUE!"), ("20 K", "#VALUE!")]


class Difference(Quantity):
    """A difference of temperatures, read in K; a temperature is refused (WrongKind)."""

    flavours = frozenset({"kelvin", "difference"})
    wants = "a difference of temperatures in"

    def bad(self) -> list[tuple[object, str]]:
        return [*super().bad(), ("20 degC", "#VALUE!")]


class Vacuum(Quantity):
    """A pressure below the atmosphere, counted as a positive number and read in Pa.

    >>> round(Vacuum("kPa vac", 0, 110).read("20 inHg vac"))
    67728
    """

    flavours = frozenset({"", "vacuum"})
    wants = "a vacuum: pressure below the atmosphere in"

    def outside(self, given: float, said: str) -> str:
        if given < 0:
            return f"{said} is negative: vacuum counts down from the atmosphere, write it without minus"
        return super().outside(given, said)

    def bad(self) -> list[tuple[object, str]]:
        return [*super().bad(), ("40 kPa abs", "#VALUE!")]


class Percent(Quantity):
    """A share in per cent, read as a fraction.

    A bare number between 0 and 1 is refused (WrongKind): a cell formatted 30 % holds 0.3.

    >>> Percent(0, 100).read(30), Percent(0, 100).read("0.5 %")
    (0.3, 0.005)
    """

    flavours = frozenset({"percent"})
    wants = "a share in"

    def __init__(self, low: float, high: float, limit: str = "WORKSHOP", small: bool = False) -> None:
        super().__init__("%", low, high, limit)
        self.small = small

    def read(self, cell: object) -> Any:
        if type(cell) in (float, int) and 0 < cell < 1 and not self.small:  # type: ignore[operator]
            self.bare(cell)  # type: ignore[arg-type]
        return super().read(cell)

    def bare(self, given: float) -> float:
        if 0 < given < 1 and not self.small:
            raise WrongKind(f"{digits(given)} is {digits(given)} %: type {digits(given * 100)}, or text "
                            f'"{digits(given)} %"')  # fmt: skip
        return given

    def bad(self) -> list[tuple[object, str]]:
        return super().bad() if self.small else [*super().bad(), (0.3, "#VALUE!")]


class Angle(Quantity):
    """An angle: a bare number is degrees, read in rad."""

    flavours = frozenset({"angle"})
    wants = "an angle in"


class Number(Quantity):
    """A plain number without a unit, read as a float."""

    def __init__(self, low: float, high: float, limit: str = "WORKSHOP") -> None:
        super().__init__("1", low, high, limit)


class Count(Number):
    """A whole number, read as an int; WrongKind for a fraction."""

    def _in_span(self, given: float, said: str = "") -> float:
        value = super()._in_span(given, said)
        if value != int(value):
            raise WrongKind(f"{said or digits(given)} is not a whole number")
        return int(value)

    def read(self, cell: object) -> Any:
        if isinstance(cell, str):
            return self._read_text(cell)
        return self._in_span(number(cell))

    def good(self) -> list[object]:
        return [self.low, self.high, str(int(self.low))]

    def bad(self) -> list[tuple[object, str]]:
        return [*super().bad(), (self.low + 0.5, "#VALUE!")]


def _limit_words(limit: str) -> str:
    return sources()[limit].title if limit in sources() else limit
