"""Inputs that change by themselves: a cell to fill in holds today's date, the time, or a random number."""

import re
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.formulas import address
from xlcalc.workbook.written import Place

CLOCK = re.compile(r"(?<![\w.])(TODAY|NOW|RAND|RANDBETWEEN|RANDARRAY)\(")


def changing_inputs(book: Book) -> Iterator[Finding]:
    """Cells that a new workbook has for a person to fill in, and that take what changes with every calculation.

    On a sheet or in a column of the shop's own such a formula is what it is meant to be.
    """
    clocks = {place: found[1] for pattern, places in book.every_pattern()
              if (found := CLOCK.search(pattern.shape)) for place in places}  # fmt: skip
    for pattern, places in book.every_pattern() if clocks else ():
        for place in places:
            if not is_input(book, place):
                break
            where = next((each for each in (place, *seen(book, pattern.at(place[1]), place)) if each in clocks), None)
            if where is not None:
                yield changing(book, place, clocks[where], where)


def is_input(book: Book, place: Place) -> bool:
    """True for a cell that stands empty in a new workbook, in a row and a column that it has."""
    sheet, row, column = place
    match = book.canon.match(sheet)
    known, at = (match.known.at(match.rows.get(row, 0)), match.columns.get(column)) if match else (None, None)
    return known is not None and at is not None and at not in known.formulas and at not in known.texts


def seen(book: Book, formula: str, place: Place) -> Iterator[Place]:
    """The single cells that a formula looks at."""
    yield from ((look.sheet, look.top, look.left) for look in book.written.looks(formula, place) if look.single)


def changing(book: Book, place: Place, function: str, where: Place) -> Finding:
    """A finding about an input that changes by itself."""
    chance = function.startswith("RAND")
    through = f", through {address(*where)}" if where != place else ""
    return Finding(
        "input-changes", (place,),
        f"={book.formula(place)}{book.title(place)}: {function} gives another value "
        f"{'at every calculation' if chance else 'every day' if function == 'TODAY' else 'every moment'}{through}",
        "a value that was typed and stays" if chance else "the date as it was typed, which stays",
        "the answers that rest on it are others each time the book is opened, also after it was quoted or signed",
        "type the value over the formula (Ctrl+; types today's date)" if not chance else "type the value that is meant",
        Sure.CERTAIN, Weight.WRONG if chance else Weight.WEAK,
    )  # fmt: skip
