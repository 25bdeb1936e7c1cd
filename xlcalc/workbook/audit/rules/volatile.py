"""Inputs that change by themselves: a cell to fill in holds today's date, the time, or a random number."""

from collections.abc import Iterator
from functools import cache

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import address, calls

CLOCKS = ("TODAY", "NOW", "RAND", "RANDBETWEEN", "RANDARRAY")


def changing_inputs(book: Book) -> Iterator[Finding]:
    """Cells that a new workbook has for a person to fill in, and that take what changes with every calculation.

    On a sheet or in a column of the shop's own such a formula is what it is meant to be.
    """
    clocks = {place: found for pattern, places in book.every_pattern()
              if (found := clock(pattern)) for place in places}  # fmt: skip
    for pattern, places in book.every_pattern() if clocks else ():
        for place in places:
            if not is_input(book, place):
                break
            where = next((each for each in (place, *seen(book, pattern.at(place[1]), place)) if each in clocks), None)
            if where is not None:
                yield changing(book, place, clocks[where], where)


def clock(pattern: Pattern) -> str:
    """The first function of a formula that gives another value each time; empty where none does."""
    if not any(f"{name}(" in pattern.shape for name in CLOCKS):
        return ""
    return next((call.name for call in calls(pattern.text) if call.name in CLOCKS), "")


def is_input(book: Book, place: Place) -> bool:
    """True for a cell that a new workbook has for a person to fill in: it checks what is typed there."""
    sheet, row, column = place
    match = book.canon.match(sheet)
    return match is not None and (match.known.name, match.rows.get(row), match.columns.get(column)) in inputs()


@cache
def inputs() -> frozenset[Place]:
    """The cells that are filled in, of each table those of its first row: sheet, row and column of a new workbook."""
    rows = (*raw_rows("audit/known_checks"), *raw_rows("audit/known_cells"))
    return frozenset((each["sheet"], int(each["row"]), int(each["column"])) for each in rows)


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
