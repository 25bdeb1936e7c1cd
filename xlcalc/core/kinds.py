"""Argument kinds. Each reads a cell into SI, says in words what it allows, and produces good and bad cells.

Help, validation, error text and the tests that every function must pass come from these, never from a
second list.
"""

import math
import re
from abc import ABC, abstractmethod
from collections.abc import Sequence
from functools import cached_property
from typing import Any, ClassVar

from xlcalc.core.errors import CalcError, OutOfRange, WrongKind
from xlcalc.core.units import NO_NUMBER, UNKNOWN, Unit, unit
from xlcalc.core.words import joined, nearest, plain, shown

REMEMBERED = 8192  # distinct texts kept an argument


class Kind(ABC):
    """How one argument's cell is read. `takes_range` kinds get a whole range as one argument."""

    takes_range: ClassVar[bool] = False
    refuses_later: ClassVar[str] = ""
    """Error values, each with its reason, that come only when a function asks a value of this kind for a figure."""

    @abstractmethod
    def read(self, cell: object) -> Any:
        """The value of a cell that is not blank, in SI; of a whole range where the kind takes one.

        Raises WrongKind, OutOfRange or NotInTable, each with a sentence that says what is allowed.
        """

    @abstractmethod
    def allows(self) -> str:
        """What may stand in the cell, in words."""

    @abstractmethod
    def good(self) -> list[object]:
        """Cells that are allowed."""

    @abstractmethod
    def bad(self) -> list[tuple[object, str]]:
        """Cells that are refused, each with the error code; the help of a function names these codes."""

    @property
    def called(self) -> str:
        """The kind in a word or two: `quantity`, `list of word`."""
        words = re.findall(r"[A-Z][a-z]*", type(self).__name__.removesuffix("Kind"))
        return " ".join(words).lower()

    def show(self, value: Any) -> str:
        """A value that was read (in SI), as a person would write it in the workshop unit."""
        return str(value)

    def span(self) -> tuple[float, float] | None:
        """Lowest and highest bare number of a quantity, in its workshop unit."""
        return None

    def takes_numbers(self) -> bool:
        """True where a bare number may stand in the cell; False where words alone are meant."""
        return False


class Word(Kind):
    """One word of a printed list, in any case; read as the list spells it. Raises WrongKind for any other.

    >>> Word("crimped", "clamps").read("Clamps")
    'clamps'
    >>> Word("crimped", "clamps").read("clamp")
    Traceback (most recent call last):
    xlcalc.core.errors.WrongKind: "clamp" is not in the list: crimped or clamps: did you mean clamps?
    """

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
    """A name or words of the person's own, e.g. a hose size; numbers are taken as they print.

    Raises WrongKind for true/false, NaN, invisible characters and text too long for a name.
    """

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


class ListOf(Kind):
    """A whole range as one argument, read row by row into a tuple; a blank keeps its place as None.

    Raises OutOfRange for more than 10,000 cells, and what `item` raises, with the place of the cell.

    >>> ListOf(Word("yes", "no")).read([["yes"], [None], ["NO"]])
    ('yes', None, 'no')
    """

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

    @property
    def called(self) -> str:
        return f"list of {self.item.called}"

    def allows(self) -> str:
        return f"a range of 1 to {self.most} cells, each {self.item.allows()}; blanks are skipped"

    def show(self, value: Any) -> str:
        filled = [self.item.show(each) for each in value if each is not None]
        return f"{len(filled)} cells: {'; '.join(filled[:3])}{'; …' if len(filled) > 3 else ''}"

    def good(self) -> list[object]:
        return [[[each] for each in self.item.good()], [[None], [self.item.good()[0]], [""]]]

    def bad(self) -> list[tuple[object, str]]:
        return [([[self.item.good()[0]], [cell]], code) for cell, code in self.item.bad()]

    def takes_numbers(self) -> bool:
        return self.item.takes_numbers()


def blank(cell: object) -> bool:
    """True for an empty cell and for text without letters."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def any_given(cell: object) -> bool:
    """True where a cell, or any cell of a range, holds anything."""
    if isinstance(cell, list):
        return any(not blank(each) for each in flat(cell))
    return not blank(cell)


def flat(cell: object) -> Sequence[object]:
    """Cells of a range in reading order; a single cell is a range of one.

    >>> flat([[1, 2], [3, 4]]), flat(5)
    ([1, 2, 3, 4], (5,))
    """
    if not isinstance(cell, list):
        return (cell,)
    return [each for row in cell for each in (row if isinstance(row, list) else (row,))]


def number(cell: object) -> float:
    """A number that is not text, as a float without unit.

    Raises WrongKind for true/false, dates, NaN and everything else, OutOfRange for an integer too large for a cell.
    """
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
    """A number as a message prints it: six significant digits, all digits before the point, no exponent where it
    can be avoided; what is not 0 never prints as 0.

    >>> digits(1234567.8), digits(0.000012345678), digits(0.1 + 0.2)
    ('1234568', '0.0000123457', '0.3')
    """
    if abs(value) >= 1e15:
        return f"{value:.6g}"
    if value == int(value):
        return str(int(value))
    if abs(value) >= 1e6:
        return f"{value:.0f}"
    text = f"{value:.6g}"
    return f"{value:.10f}".rstrip("0").rstrip(".") if "e-0" in text and abs(value) >= 1e-9 else text


def short(value: float) -> str:
    """A number to four significant digits, as a step or a sentence prints it: 23000, never 2.3e+04.

    >>> short(23456.7)
    '23460'
    """
    return digits(float(f"{value:.4g}"))
