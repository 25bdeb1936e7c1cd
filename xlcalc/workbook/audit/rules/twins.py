"""Sheets of a shop's own that are copies of each other: the cell of one that does not do what the other does there.

A month, a van, an offer: the sheet of the last one is copied and its figures are typed over. Figures inside of formulas
may differ, such as a rate; what a formula looks at and how it works it out may not.
"""

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import difference
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.rules.columns import RARE, much_alike
from xlcalc.workbook.audit.rules.replaced import typed_over
from xlcalc.workbook.formulas import address, tokens

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST_WORDS, FEWEST_FORMULAS = 4, 5  # that two sheets must have in the same cells
MOST_WORDS_APART = 0.2  # share of the words of the smaller sheet that may stand nowhere in the other: title, name


class Twins(NamedTuple):
    """Two sheets with the same words and formulas in the same cells, and the cells in which they differ."""

    first: str
    second: str
    apart: list[tuple[int, int]]


def copies_apart(book: Book) -> Iterator[Finding]:
    """Cells that hold a number or another formula where the copy of their sheet has its formula."""
    for twins in pairs(book):
        for row, column in twins.apart:
            first, second = ((sheet, row, column) for sheet in (twins.first, twins.second))
            one, other = (book.formulas(sheet).get((row, column)) for sheet in (twins.first, twins.second))
            if one is None and other is not None:
                yield typed_over(book, first, other.at(row), f"its copy {twins.second} has in this place")
            elif other is None and one is not None:
                yield typed_over(book, second, one.at(row), f"its copy {twins.first} has in this place")
            elif one is not None and other is not None and much_alike(one, other, row):
                said = difference(one.at(row), other.at(row))
                yield Finding(
                    "other-formula", (first, second),
                    f"{said.there_formula}{book.title(first)}",
                    f"{said.expected_formula}, as {address(*second)} of its copy has it, or the other way round",
                    said.words, "look which of the two is meant, and copy it over the other",
                    Sure.POSSIBLE, Weight.WRONG,
                )  # fmt: skip


def pairs(book: Book) -> Iterator[Twins]:
    """The sheets that are copies of each other, but for few cells."""
    own = [sheet for sheet in book.sheets if len(book.formulas(sheet)) > FEWEST_FORMULAS
           and book.canon.match(sheet) is None and not book.tables(sheet)]  # fmt: skip
    words = {sheet: set(book.texts(sheet).items()) for sheet in own}
    for first, second in combinations(own, 2):
        both, fewer = len(words[first] & words[second]), min(len(words[first]), len(words[second]))
        if both >= FEWEST_WORDS and fewer - both <= MOST_WORDS_APART * fewer:
            held = [book.formulas(sheet) for sheet in (first, second)]
            apart = [place for place in sorted(held[0] | held[1]) if differs(book, (first, second), place)]
            same = len(held[0].keys() & held[1].keys() - set(apart))
            if same >= FEWEST_FORMULAS and len(apart) <= max(1, same // RARE):  # more were changed on purpose
                yield Twins(first, second, apart)


def differs(book: Book, sheets: tuple[str, str], place: tuple[int, int]) -> bool:
    """True for a cell that has a formula on one of two sheets, and on the other another one or a number.

    A 0 is typed where there is nothing of that, such as no tax.
    """
    one, other = (book.formulas(sheet).get(place) for sheet in sheets)
    if one is not None and other is not None:
        return without_figures(one, place[0]) != without_figures(other, place[0])
    return any(isinstance(typed := book.typed(sheet).get(place), float) and typed != 0 for sheet in sheets)


def without_figures(pattern: Pattern, row: int) -> list[str]:
    """The pieces of a formula, every number as the same."""
    pieces = (piece for piece in tokens(pattern.at(row)) if piece.kind != "space")
    return ["0" if piece.kind == "number" else piece.text.upper() for piece in pieces]
