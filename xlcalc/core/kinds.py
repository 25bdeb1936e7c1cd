"""Argument kinds. Each reads a cell into SI, says in words what it allows, and produces good and bad cells.

Help, validation, error text and the tests that every function must pass come from these, never from a
second list.
"""

import math
import re
from abc import ABC, abstractmethod
from typing import Any, ClassVar

from xlcalc.core.cells import blank, flat, number
from xlcalc.core.errors import CalcError, OutOfRange, WrongKind
from xlcalc.core.words import digits, joined, nearest, plain, shown

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
