"""Argument kinds. Each reads a cell into SI, says in words what it allows, and produces good and bad cells.

Help, validation, error text and the tests that every function must pass come from these, never from a
second list.
"""

import math
from abc import ABC, abstractmethod
from collections.abc import Sequence
from functools import cached_property
from typing import Any, ClassVar

from xlcalc.core.errors import CalcError, OutOfRange, WrongKind
from xlcalc.core.units import Unit, quantity, unit
from xlcalc.core.words import joined, nearest, plain, shown

REMEMBERED = 8192  # distinct texts kept an argument
COLDEST_KELVIN = 150.0  # below this a figure in K is a difference of temperatures, not a temperature
_HAIR = 1e-12  # a limit given in another unit still counts as the limit


class Kind(ABC):
    """How one argument's cell is read. `takes_range` kinds get a whole range as one argument."""

    takes_range: ClassVar[bool] = False

    @abstractmethod
    def read(self, cell: object) -> Any:
        """The value of a cell that is not blank, in SI. Raises CalcError with a sentence."""

    @abstractmethod
    def allows(self) -> str:
        """What may stand in the cell, in words."""

    @abstractmethod
    def good(self) -> list[object]:
        """Cells that are allowed."""

    @abstractmethod
    def bad(self) -> list[tuple[object, str]]:
        """Cells that are refused, each with the error code."""

    def show(self, value: Any) -> str:
        """A value that was read, as a person would write it."""
        return str(value)

    def span(self) -> tuple[float, float] | None:
        """Lowest and highest bare number of a quantity, in its workshop unit."""
        return None


class Quantity(Kind):
    """A number in the workshop unit, or text with any unit of the same kind.

    `low` and `high` are in the workshop unit and belong to the span; `limit` is the source id that the span
    rests on.
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
        """A bare number, after what is refused of bare numbers only."""
        return given

    def _read_text(self, text: str) -> float:
        given, said = quantity(text)
        if said is None:
            return self._in_span(self.bare(given))
        self.check_unit(said, text)
        return self._in_span(self.unit.from_si(said.to_si(given)), shown(text))

    def check_unit(self, said: Unit, text: str) -> None:
        """Refuse a unit of another kind."""
        if said.dimension != self.unit.dimension or said.flavour not in self.flavours:
            raise WrongKind(f"{shown(text)} is not {self.wants or 'in a unit like'} {self.unit.printed}".rstrip())

    def _in_span(self, given: float, said: str = "") -> float:
        slack = _HAIR * max(abs(self.low), abs(self.high))
        if not self.low - slack <= given <= self.high + slack:
            raise OutOfRange(self.outside(given, said or f"{digits(given)} {self.unit.printed}".strip()))
        return self._factor * min(max(given, self.low), self.high) + self._offset

    def outside(self, given: float, said: str) -> str:
        """The sentence for a number outside the span."""
        edge, word = (self.low, "below") if given < self.low else (self.high, "above")
        limit = f"{digits(edge)} {self.unit.printed}".strip()
        return f"{said} is {word} {limit}; allowed {self.allows()} ({_limit_words(self.limit)})"

    def allows(self) -> str:
        return f"{digits(self.low)} to {digits(self.high)} {self.unit.printed}".strip()

    def show(self, value: Any) -> str:
        return f"{digits(self.unit.from_si(value))} {self.unit.printed}".strip()

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
    """A temperature; a difference of temperatures is refused."""

    flavours = frozenset({"temperature", "kelvin"})
    wants = "a temperature in"

    def check_unit(self, said: Unit, text: str) -> None:
        super().check_unit(said, text)
        if said.flavour == "kelvin" and quantity(text)[0] < COLDEST_KELVIN:
            raise WrongKind(f"{shown(text)} reads as a difference of temperatures: give a temperature in °C")

    def bad(self) -> list[tuple[object, str]]:
        return [*super().bad(), ("20 delta_degC", "#VALUE!"), ("20 K", "#VALUE!")]


class Difference(Quantity):
    """A difference of temperatures; a temperature is refused."""

    flavours = frozenset({"kelvin", "difference"})
    wants = "a difference of temperatures in"

    def bad(self) -> list[tuple[object, str]]:
        return [*super().bad(), ("20 degC", "#VALUE!")]


class Vacuum(Quantity):
    """A pressure below the atmosphere, counted as a positive number."""

    flavours = frozenset({"", "vacuum"})
    wants = "a vacuum: pressure below the atmosphere in"

    def outside(self, given: float, said: str) -> str:
        if given < 0:
            return f"{said} is negative: vacuum counts down from the atmosphere, write it without minus"
        return super().outside(given, said)

    def bad(self) -> list[tuple[object, str]]:
        return [*super().bad(), ("40 kPa abs", "#VALUE!")]


class Absolute(Quantity):
    """A pressure counted from a perfect vacuum."""

    flavours = frozenset({"", "absolute"})
    wants = "an absolute pressure in"


class Percent(Quantity):
    """A share in per cent. A bare number between 0 and 1 is refused: a cell formatted 30 % holds 0.3."""

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
    """An angle in degrees."""

    flavours = frozenset({"angle"})
    wants = "an angle in"


class Number(Quantity):
    """A plain number without a unit."""

    def __init__(self, low: float, high: float, limit: str = "WORKSHOP") -> None:
        super().__init__("1", low, high, limit)


class Count(Number):
    """A whole number."""

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


class Word(Kind):
    """One word of a printed list."""

    def __init__(self, *words: str) -> None:
        self.words = words
        self._folded = {word.casefold(): word for word in words}

    def read(self, cell: object) -> Any:
        found = self._folded.get(cell.casefold()) if isinstance(cell, str) else None
        if found is not None:
            return found
        said = plain(cell) if isinstance(cell, str) else ""
        if (found := self._folded.get(said.casefold())) is None:
            raise WrongKind(f"{shown(cell)} is not in the list: {self.allows()}{nearest(said, self.words, 1)}")
        return found

    def allows(self) -> str:
        return joined(self.words)

    def good(self) -> list[object]:
        return [*self.words, self.words[0].upper()]

    def bad(self) -> list[tuple[object, str]]:
        return [("no such word", "#VALUE!"), (7.5, "#VALUE!"), (True, "#VALUE!"), (math.nan, "#VALUE!")]


class Text(Kind):
    """A name or words of the person's own, e.g. a hose size; numbers are taken as they print."""

    def __init__(self, what: str, example: str) -> None:
        self.what, self.example = what, example

    def read(self, cell: object) -> Any:
        if isinstance(cell, str):
            return plain(cell)
        return digits(number(cell))

    def allows(self) -> str:
        return f"{self.what}, e.g. {self.example}"

    def good(self) -> list[object]:
        return [self.example]

    def bad(self) -> list[tuple[object, str]]:
        return [(True, "#VALUE!"), (math.nan, "#VALUE!"), ("a\x07b", "#VALUE!"), ("x" * 5000, "#VALUE!")]


class UnitName(Kind):
    """The unit that the answer is wanted in."""

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
        asked = unit(text)
        if asked.dimension != self.unit.dimension or asked.flavour not in self.flavours | {self.unit.flavour}:
            raise WrongKind(f"{shown(text)} cannot hold this answer: {self.allows()}")
        return asked

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
    """Any unit at all."""

    def __init__(self) -> None:
        super().__init__("1", frozenset())

    def _read_text(self, text: str) -> Unit:
        return unit(text)

    def allows(self) -> str:
        return "the name of a unit, e.g. L/min"

    def good(self) -> list[object]:
        return ["L/min", "mm", "degC"]

    def bad(self) -> list[tuple[object, str]]:
        return [("gal", "#VALUE!"), ("no such unit", "#VALUE!"), (5, "#VALUE!")]


class ListOf(Kind):
    """A whole range as one argument, read row by row; a blank keeps its place as None."""

    takes_range = True
    most = 10_000

    def __init__(self, item: Kind) -> None:
        self.item = item

    def read(self, cell: object) -> Any:
        cells = flat(cell)
        if len(cells) > self.most:
            raise OutOfRange(f"{len(cells)} cells are too many: at most {self.most}")
        return tuple(self._one(place, each) for place, each in enumerate(cells, start=1))

    def _one(self, place: int, cell: object) -> Any:
        if blank(cell):
            return None
        if isinstance(cell, CalcError):
            raise CalcError(f"cell {place} of the list holds {cell.code}: mend that cell first", cell.code)
        try:
            return self.item.read(cell)
        except CalcError as error:
            raise type(error)(f"cell {place} of the list: {error}") from None

    def allows(self) -> str:
        return f"a range of 1 to {self.most} cells, each {self.item.allows()}; blanks are skipped"

    def show(self, value: Any) -> str:
        filled = [self.item.show(each) for each in value if each is not None]
        return f"{len(filled)} cells: {'; '.join(filled[:3])}{'; …' if len(filled) > 3 else ''}"

    def good(self) -> list[object]:
        return [[[each] for each in self.item.good()], [[None], [self.item.good()[0]], [""]]]

    def bad(self) -> list[tuple[object, str]]:
        return [([[self.item.good()[0]], [cell]], code) for cell, code in self.item.bad()]


def blank(cell: object) -> bool:
    """True for an empty cell and for text without letters."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def any_given(cell: object) -> bool:
    """True where a cell, or any cell of a range, holds anything."""
    if isinstance(cell, list):
        return any(not blank(each) for each in flat(cell))
    return not blank(cell)


def flat(cell: object) -> Sequence[object]:
    """Cells of a range in reading order; a single cell is a range of one."""
    if not isinstance(cell, list):
        return (cell,)
    return [each for row in cell for each in (row if isinstance(row, list) else (row,))]


def number(cell: object) -> float:
    """A number that is not text. Raises WrongKind for true/false, dates, NaN and everything else."""
    if isinstance(cell, bool | str | bytes | list | tuple | dict):
        raise WrongKind(f"{shown(cell)} is not a number")
    try:
        value = float(cell)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise WrongKind(f"{shown(cell)} is not a number") from None
    except OverflowError:
        raise OutOfRange("the number is too large for a cell") from None
    if value - value != 0:
        raise WrongKind(f"{shown(cell)} is not a number")
    return value


def digits(value: float) -> str:
    """A number as a message prints it: up to six significant digits, no exponent where it can be avoided."""
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    text = f"{value:.6g}"
    return f"{value:.10f}".rstrip("0").rstrip(".") if "e-0" in text else text


def _limit_words(limit: str) -> str:
    from xlcalc.core.tables import sources  # noqa: PLC0415

    return sources()[limit].title if limit in sources() else limit
