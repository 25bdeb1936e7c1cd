"""Formulas that look where no figure is: at a row or column without anything in it, at a header."""

from collections.abc import Iterator

from xlcalc.core.errors import CalcError
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import LONGEST
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.calculation.written import Look, Place
from xlcalc.workbook.formulas import address


def nothing_there(book: Book) -> Iterator[Finding]:
    """Formulas that take a cell of a row or column without anything in it, or a header, for a figure."""
    used = {sheet: {column for row in book.rows(sheet).values() for column in row.filled} for sheet in book.sheets}
    for sheet in book.sheets:
        asked: set[int] = set()
        for (row, column), pattern in book.formulas(sheet).items():
            if id(pattern) in asked:
                continue
            asked.add(id(pattern))
            place = sheet, row, column
            if pattern.targets and not book.known(place):
                yield from of_cell(book, place, pattern, used)


def of_cell(book: Book, place: Place, pattern: Pattern, used: dict[str, set[int]]) -> Iterator[Finding]:
    """What a cell looks at that holds nothing it can work with."""
    failed = isinstance(book.value(place), CalcError)
    for look in book.written.looks(pattern.at(place[1]), place):
        if not look.single or look.sheet not in used:
            continue
        target = look.sheet, look.top, look.left
        value = book.value(target)
        if value is None and (look.left not in used[look.sheet] or look.top not in book.rows(look.sheet)):
            yield at_blank(book, place, look)
        elif failed and isinstance(value, str) and look.top in book.headers(look.sheet).rows:
            yield at_header(book, place, look, value)


def at_blank(book: Book, place: Place, look: Look) -> Finding:
    """A formula that looks at a row or column in which nothing stands."""
    return Finding(
        "looks-at-blank",
        (place,),
        f"={book.formula(place)[:LONGEST]}{book.title(place)}, which looks at {look.by}",
        "a cell that holds a figure",
        f"nothing stands in the whole row or column of {look.by}, so that it counts as 0 or as blank",
        "point the formula at the cell that is meant",
        Sure.LIKELY,
        Weight.WRONG,
    )


def at_header(book: Book, place: Place, look: Look, value: str) -> Finding:
    """A formula that takes a header for a figure."""
    return Finding(
        "looks-at-header",
        (place,),
        f"={book.formula(place)[:LONGEST]}{book.title(place)}, "
        f"which looks at {address(look.sheet, look.top, look.left)}",
        "a cell that holds a figure",
        f'{look.by} is a header ("{value}"), not a figure',
        "point the formula at the row that is meant",
        Sure.CERTAIN,
        Weight.WRONG,
    )
