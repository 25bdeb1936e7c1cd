"""Numbers against their like: whether one would lie among them if it were in another unit, or in cents."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.listing import NAME_COLUMN, Listing

FACTORS: Mapping[str, Mapping[str, float]] = {
    "mm": {"in": 25.4, "cm": 10.0, "m": 1000.0},
    "m": {"ft": 0.3048, "mm": 0.001, "cm": 0.01, "in": 0.0254},
    "kPa": {"psi": 6.894757, "bar": 100.0, "MPa": 1000.0, "inHg": 3.386389},
    "L/min": {"US gpm": 3.785412, "imp gpm": 4.54609, "L/s": 60.0, "m³/h": 16.66667, "L/h": 1 / 60},
    "L": {"US gal": 3.785412, "imp gal": 4.54609, "mL": 0.001},
    "mL/h": {"L/h": 1000.0},
    "cm²": {"mm²": 0.01, "in²": 6.4516},
    "mm²": {"in²": 645.16},
    "kW": {"W": 0.001},
    "s": {"min": 60.0},
    "min": {"s": 1 / 60},
    "money": {"cents": 0.01, "hundreds": 100.0},
}
"""What one of another unit is worth in the unit of the header. Below 3 it cannot be told from an unusual number."""

USE = "Use"
SORTS = ("Family", USE, "Unit")
"""Headers of columns that say what sort of thing a row is; rows of one sort hold figures of one size."""

PRICE, SUPPLIER = "Price", "Supplier"
"""Headers of a list of prices."""

HOT = "°C"
MONEY = ("price", "money")
FEWEST = 3  # others of one family that say what is usual
FEWEST_OF_A_USE = 9  # others of one use: pumps and gravity push through lines of one use
SLACK, MORE_SLACK, LARGE = 1.25, 2.0, 20.0  # how far beyond its like it may come to lie, by small and large factors
APART = 1.8  # how far beyond its like it must lie as it stands
CLEAR = 1.5  # how much larger the factor must be than the range of its like
DEGREES = 12.0


class Like(NamedTuple):
    """What the others of a kind hold: lowest, highest, how many, and what they share."""

    low: float
    high: float
    others: int
    share: str


def unit_key(head: str, unit: str) -> str:
    """Under which key of `FACTORS` a column falls; empty where under none."""
    if any(word in head.casefold() for word in MONEY):
        return "money"
    plain = unit.partition(" ")[0]
    return plain if plain in FACTORS or plain == HOT else ""


def other_unit(value: float, like: Like, key: str) -> str:
    """The unit in which a number would lie among its like, while it is far from them as it stands; empty where none."""
    if key == HOT:
        celsius = (value - 32.0) / 1.8
        out = value > like.high + DEGREES and like.low - DEGREES <= celsius <= like.high + DEGREES
        return "°F" if out and like.high - like.low < 4 * DEGREES else ""
    if value <= 0 or like.low <= 0 or like.low / APART <= value <= like.high * APART:
        return ""
    for name, factor in FACTORS[key].items():
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
