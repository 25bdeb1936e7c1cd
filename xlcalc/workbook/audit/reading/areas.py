"""The areas that the totals of a book look at, and which cells add them up."""

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple, Protocol

from xlcalc.workbook.audit.reading.patterns import LOOK, Pattern
from xlcalc.workbook.calculation.written import Look, Place, Written
from xlcalc.workbook.file.package import Sheet
from xlcalc.workbook.formulas import Call, calls

ADDING = ("SUM", "SUMIF", "SUMIFS", "SUMPRODUCT", "AVERAGE", "AVERAGEIF", "AVERAGEIFS", "SUBTOTAL")
COUNTING = ("COUNT", "COUNTA", "COUNTIF", "COUNTIFS", "MAX", "MIN", "MAXIFS", "MINIFS", "LARGE", "SMALL")
TOTALS = re.compile(rf"\b(?:{'|'.join((*ADDING, *COUNTING))})\(")
ONLY_ASKED = 2  # arguments of a conditional sum that has no area of its own to add up
LONGEST = 100_000  # rows; a longer area is a whole column


class Formulas(Protocol):
    """What is asked of a book: its formulas, and what a text of one stands for."""

    @property
    def written(self) -> Written:
        """The formulas as the file spells them."""

    @property
    def sheets(self) -> Mapping[str, Sheet]:
        """The sheets by name."""

    def formulas(self, sheet: str) -> Mapping[tuple[int, int], Pattern]:
        """The formulas of a sheet by row and column."""


class Total(NamedTuple):
    """An area of at least two rows and one column that a function of a cell looks at; `name` is the function.

    `asked` is true for the area of a condition, in which words may stand.
    """

    place: Place
    pattern: Pattern
    name: str
    look: Look
    asked: bool = False


def totals(book: Formulas) -> Iterator[Total]:
    """The totals of a book, of the cells of a column with the same pattern the first and the last."""
    for sheet in book.sheets:
        ends: dict[int, tuple[Pattern, int, int]] = {}
        others: set[int] = set()
        for (row, _), pattern in book.formulas(sheet).items():
            if id(pattern) in ends:
                ends[id(pattern)] = pattern, ends[id(pattern)][1], row
            elif id(pattern) not in others:
                if TOTALS.search(pattern.shape) and (":" in pattern.key or has_name(pattern)):
                    ends[id(pattern)] = pattern, row, row
                else:
                    others.add(id(pattern))
        for pattern, first, last in ends.values():
            for row in dict.fromkeys((first, last)):
                yield from of_cell(book, (sheet, row, pattern.column), pattern)


def has_name(pattern: Pattern) -> bool:
    """True for a formula in which a word stands that is no function: it may be the name of an area."""
    return re.search(r"[A-Z_]\w*(?![\w(\"])", pattern.shape.replace(LOOK, "")) is not None


def of_cell(book: Formulas, place: Place, pattern: Pattern) -> Iterator[Total]:
    """The totals in the formula of a cell."""
    for call in calls(pattern.at(place[1])):
        if call.name in ADDING or call.name in COUNTING:
            for at, argument in enumerate(call.arguments):
                look = book.written.alone(argument.text, place)
                if look and look.sheet in book.sheets and is_column(look):
                    yield Total(place, pattern, call.name, look, is_condition(call, at))


def is_condition(call: Call, at: int) -> bool:
    """True for an argument in which a condition is looked for, and which is not added up itself."""
    if call.name.endswith("IFS"):
        return at > 0
    return call.name in ("SUMIF", "AVERAGEIF") and at == 0 and len(call.arguments) > ONLY_ASKED


def is_column(look: Look) -> bool:
    """True for an area of several rows and one column."""
    return look.left == look.right and look.top < look.bottom < look.top + LONGEST
