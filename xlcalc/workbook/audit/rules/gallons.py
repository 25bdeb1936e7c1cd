"""US and imperial gallons: a cell that says the one where all others say the other."""

import re
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.listing import NAME_COLUMN, Listing
from xlcalc.workbook.written import Place

GALLONS = re.compile(r"^\s*-?[0-9.,]+\s*(US|imp)\.?\s*(?:gal|gpm|gph|qt|pt|fl)", re.IGNORECASE)
WITH_UNIT = re.compile(r"^\s*-?[0-9][0-9.,/ ]*\s*[A-Za-z°µ]")
IMPERIAL = "imp"
FEWEST = 3  # others that say how a column is typed
FEWEST_PLAIN = 1  # plain numbers of a column that say that its header's unit is used


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
                lone = kind == IMPERIAL and len(texts) == 1 and plain(book, table, column)
                if len(cells) == 1 and (others >= FEWEST or lone):
                    yield odd(book, cells[0], texts[cells[0][1:]], others)


def quantities(book: Book, table: Listing) -> dict[tuple[int, int], str]:
    """The typed texts of a table that are numbers with a unit."""
    typed, found = book.typed(table.sheet), {}
    united = [column for column in table.columns.values()
              if column != NAME_COLUMN and book.headers(table.sheet).unit(table.head_row + 2, column)]  # fmt: skip
    for row in table.rows:
        for column in united:
            value = typed.get((row, column))
            if isinstance(value, str) and WITH_UNIT.match(value):
                found[row, column] = value
    return found


def plain(book: Book, table: Listing, column: int) -> int:
    """How many plain numbers were typed into a column."""
    typed = book.typed(table.sheet)
    return sum(isinstance(typed.get((row, column)), float) for row in table.rows) >= FEWEST_PLAIN


def odd(book: Book, cell: Place, text: str, others: int) -> Finding:
    """A finding about a cell with the other gallons."""
    us = "imp" not in text.casefold()
    return Finding(
        "other-gallons", (cell,),
        f"{text} here{book.title(cell)}: {'US' if us else 'imperial'} gallons",
        f"{'imperial' if us else 'US'} gallons, as in the other {others} cells of the column" if others
        else "a number in the unit of the header, as everywhere else in this table",
        "an imperial gallon is 20 % larger than a US one: the quantity may be out by that much",
        "look up which gallon was meant, and type that one or litres",
        Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip
