"""US and imperial gallons: a cell that says the one where all others say the other."""

import re
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import column_unit
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing

GALLONS = re.compile(r"^\s*-?[0-9.,]+\s*(US|imp)\.?\s*(?:gal|gpm|gph|qt|pt|fl)", re.IGNORECASE)
WITH_UNIT = re.compile(r"^\s*-?[0-9][0-9.,/ ]*\s*[A-Za-z°µ]")
IMPERIAL = "imp"
# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST = 3  # others that say how a column is typed
FEWEST_PLAIN = 3  # plain numbers of a table that say that the units of its headers are used


def odd_gallons(book: Book) -> Iterator[Finding]:
    """Gallons of one kind in a column of the other, and imperial ones where everything else is a plain number."""
    for table in book.every_table():
        texts = quantities(book, table)
        for column in table.columns.values():
            kinds: dict[str, list[Place]] = {}
            for (row, where), text in texts.items():
                if where == column and (match := GALLONS.match(text)):
                    kinds.setdefault(match[1].casefold(), []).append((table.sheet, row, column))
            for kind, cells in kinds.items():
                others = sum(len(found) for other, found in kinds.items() if other != kind)
                lone = kind == IMPERIAL and len(texts) == 1 and plain(book, table)
                if len(cells) == 1 and (others >= FEWEST or lone):
                    yield odd(book, cells[0], texts[cells[0][1:]], others)


def odd_gallons_of_the_job(book: Book) -> Iterator[Finding]:
    """Imperial gallons in a form such as Start, where everything else is a plain number in the unit beside it."""
    for sheet in book.sheets:
        if book.tables(sheet):
            continue
        texts = {place: text for place, text in book.texts(sheet).items() if GALLONS.match(text)}
        for place, value in texts.items():
            if len(texts) == 1 and IMPERIAL in value.casefold():
                yield odd(book, (sheet, *place), value, 0)


def united(book: Book, table: Listing) -> list[int]:
    """The columns of a table with a unit in their header."""
    columns = (column for column in table.columns.values() if column != NAME_COLUMN)
    return [column for column in columns if column_unit(book, table, column)]


def quantities(book: Book, table: Listing) -> dict[tuple[int, int], str]:
    """The typed texts of a table that are numbers with a unit."""
    typed, columns = book.typed(table.sheet), united(book, table)
    cells = ((row, column) for row in table.rows for column in columns)
    return {cell: value for cell in cells if isinstance(value := typed.get(cell), str) and WITH_UNIT.match(value)}


def plain(book: Book, table: Listing) -> bool:
    """True where a table holds plain numbers under its units."""
    typed, columns = book.typed(table.sheet), united(book, table)
    count = sum(isinstance(typed.get((row, column)), float) for row in table.rows for column in columns)
    return count >= FEWEST_PLAIN


def odd(book: Book, cell: Place, text: str, others: int) -> Finding:
    """A finding about a cell with the other gallons."""
    us = "imp" not in text.casefold()
    return Finding(
        "other-gallons", (cell,),
        f"{text} here{book.title(cell)}: {'US' if us else 'imperial'} gallons",
        f"{'imperial' if us else 'US'} gallons, as in the other {others} cells of the column" if others
        else "a number in the unit of the sheet, as everywhere else here",
        "an imperial gallon is 20 % larger than a US one: the quantity may be out by that much",
        "look up which gallon was meant, and type that one or litres",
        Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip
