"""What may be typed into a cell by its validation: the words of a list, or the numbers between two limits."""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.calculation.written import Look
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.package import MAIN
from xlcalc.workbook.file.validations import Area, validations
from xlcalc.workbook.file.values import Value

BETWEEN = re.compile(r">=(-?[0-9.]+(?:e[+-]?[0-9]+)?),[A-Z]+[0-9]+<=(-?[0-9.]+(?:e[+-]?[0-9]+)?)\)", re.IGNORECASE)
MOST_WORDS = 20_000


class Words(NamedTuple):
    """A list that cells may be filled from: where, what it is called, its words by their small letters.

    `sheet` is where it stands; empty for a list inside the validation.
    """

    areas: Sequence[Area]
    called: str
    words: dict[str, str]
    sheet: str = ""


class Span(NamedTuple):
    """Numbers that a cell may hold: where, from, to."""

    areas: Sequence[Area]
    low: float
    high: float


def checks(book: Book, sheet: str) -> Iterator[tuple[Element, list[Area]]]:
    """The validations of a sheet with their areas."""
    return validations(book.package, book.sheets[sheet].part)


def lists(book: Book, sheet: str) -> Iterator[Words]:
    """The lists that cells of a sheet are filled from; one that cannot be read is left out."""
    for rule, areas in checks(book, sheet):
        text = (rule.findtext(f"{MAIN}formula1") or "").removeprefix("=")
        if rule.get("type") != "list" or not text:
            continue
        if text.startswith('"'):
            words = [word.strip() for word in text.strip('"').split(",")]
            yield Words(areas, "the list of this column", {word.casefold(): word for word in words})
        elif (look := area_of_list(book, text, sheet)) is not None:
            held = (book.value(place) for place in book.workings.held(look))
            found = {shown(value).casefold(): shown(value) for value in held if value not in (None, "")}
            if found and len(found) < MOST_WORDS:
                yield Words(areas, f"the names on {look.sheet}", found, look.sheet)


def folded(word: str) -> str:
    """A word by which two spellings of it are the same: small letters, every white space as one blank."""
    return " ".join(word.split()).casefold()


def area_of_list(book: Book, text: str, sheet: str) -> Look | None:
    """The column that a list is taken from, also where a formula cuts its empty end off; None where there are two."""
    looks = book.written.looks(text, (sheet, 1, 1))
    areas = {look[:5] for look in looks}
    return looks[0] if len(areas) == 1 and looks[0].sheet in book.sheets else None


def spans(book: Book, sheet: str) -> Iterator[Span]:
    """The limits of numbers that cells of a sheet are checked against."""
    for rule, areas in checks(book, sheet):
        first, second = (rule.findtext(f"{MAIN}formula{which}") or "" for which in (1, 2))
        if rule.get("type") == "custom" and (match := BETWEEN.search(first)):
            yield Span(areas, float(match[1]), float(match[2]))
        elif rule.get("type") == "decimal" and rule.get("operator", "between") == "between":
            low, high = number(first), number(second)
            if low is not None and high is not None:
                yield Span(areas, low, high)


def number(text: str) -> float | None:
    """A number as a validation writes it."""
    try:
        return float(text)
    except ValueError:
        return None


def typed_in(book: Book, sheet: str, areas: Sequence[Area]) -> Iterator[tuple[tuple[int, int], Value]]:
    """Row, column and value of the typed cells of areas."""
    typed = book.typed(sheet)
    last_row, last_column = (max((place[way] for place in typed), default=0) for way in (0, 1))
    for top, left, bottom, right in areas:
        for column in range(left, min(right, last_column) + 1):
            for row in range(top, min(bottom, last_row) + 1):
                if (value := typed.get((row, column))) is not None:
                    yield (row, column), value
