"""Numbers against their like: whether one would lie among them if it were in another unit, or in cents."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import NamedTuple

from xlcalc.core.units import unit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing

OTHERS: Mapping[str, Sequence[str]] = {
    "mm": ("in", "cm", "m"),
    "m": ("ft", "mm", "cm", "in"),
    "kPa": ("psi", "bar", "MPa", "inHg"),
    "L/min": ("US gpm", "imp gpm", "L/s", "m³/h", "L/h"),
    "L": ("US gal", "imp gal", "mL"),
    "mL/h": ("L/h",),
    "cm²": ("mm²", "in²"),
    "mm²": ("in²",),
    "kW": ("W",),
    "s": ("min",),
    "min": ("s",),
}
"""Units that a figure may have been copied from, by the unit of its header: those that a workshop meets."""

MONEY_KEY = "money"
MONEY_FACTORS: Mapping[str, float] = {"cents": 0.01, "hundreds": 100.0}

SHARE_KEY = "%"
SHARE_FACTORS: Mapping[str, float] = {"shares of 1": 100.0}

USE = "Use"
SORTS = ("Family", USE, "Unit")
"""Headers of columns that say what sort of thing a row is; rows of one sort hold figures of one size."""

PRICE, SUPPLIER = "Price", "Supplier"
"""Headers of a list of prices."""

HOT, HOT_OTHER = "°C", "°F"
MONEY = ("price", "money")
# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST = 3  # others of one family that say what is usual
FEWEST_OF_A_USE = 9  # others of one use: pumps and gravity push through lines of one use
SLACK, MORE_SLACK, LARGE = 1.25, 2.0, 20.0  # how far beyond its like it may come to lie, by small and large factors
APART = 1.8  # how far beyond its like it must lie as it stands
CLEAR = 1.5  # how much larger the factor must be than the range of its like
DEGREES = 12.0  # °C: what the others of a kind may lie apart by themselves; °F lie further off


class Like(NamedTuple):
    """What the others of a kind hold: lowest, highest, how many, and what they share."""

    low: float
    high: float
    others: int
    share: str


@cache
def factors(key: str) -> Mapping[str, float]:
    """What one of each other unit is worth in the unit of a header."""
    if key == MONEY_KEY:
        return MONEY_FACTORS
    if key == SHARE_KEY:
        return SHARE_FACTORS
    return {name: unit(name).factor / unit(key).factor for name in OTHERS[key]}


def celsius(fahrenheit: float) -> float:
    """Degrees Fahrenheit in degrees Celsius."""
    return unit(HOT).from_si(unit(HOT_OTHER).to_si(fahrenheit))


def unit_key(head: str, stated: str) -> str:
    """Under which key of `factors` a column falls; empty where under none."""
    if any(word in head.casefold() for word in MONEY):
        return MONEY_KEY
    plain = stated.partition(" ")[0]
    return plain if plain in OTHERS or plain in (HOT, SHARE_KEY) else ""


def other_unit(value: float, like: Like, key: str) -> str:
    """The unit in which a number would lie among its like, while it is far from them as it stands; empty where none."""
    if key == HOT:
        out = value > like.high + DEGREES and like.low - DEGREES <= celsius(value) <= like.high + DEGREES
        return HOT_OTHER if out and like.high - like.low < 4 * DEGREES else ""
    if value <= 0 or like.low <= 0 or like.low / APART <= value <= like.high * APART:
        return ""
    for name, factor in factors(key).items():
        wide = like.high / like.low * CLEAR
        size = max(factor, 1 / factor)
        slack = MORE_SLACK if size > LARGE else SLACK
        if like.low / slack <= value * factor <= like.high * slack and wide < size:
            return name
    return ""


def kinds(book: Book, table: Listing) -> Iterator[tuple[str, dict[int, str]]]:
    """Ways to tell which rows of a table are alike: by what they are for, by the beginning of their names."""
    typed = book.typed(table.sheet)
    if PRICE in table.columns and SUPPLIER in table.columns:
        yield "the", dict.fromkeys(table.rows, "list")
    for head, column in table.columns.items():
        words = {row: value for row in table.rows if isinstance(value := typed.get((row, column)), str)}
        if column == NAME_COLUMN:
            yield head, {row: word.partition(".")[0] for row, word in words.items() if "." in word}
            yield head, {row: word.rpartition(" ")[0] for row, word in words.items() if " " in word}
            yield head, {row: word.partition(" ")[0] for row, word in words.items() if " " in word}
        elif head in SORTS:
            yield head, words


def likes(numbers: Mapping[int, float], words: Mapping[int, str], head: str) -> Iterator[tuple[int, Like]]:
    """For each row of a column, what the other rows with its word hold."""
    groups: dict[str, list[int]] = defaultdict(list)
    for row in numbers:
        if word := words.get(row):
            groups[word].append(row)
    for word, rows in groups.items():
        if len(rows) > (FEWEST_OF_A_USE if head == USE else FEWEST):
            yield from ((row, like) for row, like in zip(rows, without_each([numbers[row] for row in rows],
                                                         f"{head} {word}"), strict=True))  # fmt: skip


def without_each(values: Sequence[float], share: str) -> list[Like]:
    """Lowest and highest of all values but one, for each of them."""
    ordered = sorted(values)
    count = len(values) - 1
    return [
        Like(ordered[1] if value == ordered[0] else ordered[0], ordered[-2] if value == ordered[-1] else ordered[-1],
             count, share)
        for value in values
    ]  # fmt: skip
