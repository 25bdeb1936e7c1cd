"""What a book says of a name in the table it belongs to: the use of a line, the size of a part, the limit of a hose."""

from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.file.values import Value

LINE, STARTS = "Line", "From"
PART, SEAT = "Part", "Seat"
HOSE, BEND = "Hose", "Bend radius"
SMALL_PART, COUNTED_BY = "Small part", "Counted by"


def tables_of(book: Book, head: str, has: str) -> Iterator[Listing]:
    """The tables under a header of names that have another column too, which tells them from those that only name."""
    return (table for table in book.every_table() if table.head() == head and has in table.columns)


def said(book: Book, head: str, has: str, asked: str) -> dict[str, Value]:
    """What stands in a column of such tables, by the name of the row; blank cells left out."""
    found: dict[str, Value] = {}
    for table in tables_of(book, head, has):
        if asked in table.columns:
            for row in table.rows:
                name = book.value((table.sheet, row, NAME_COLUMN))
                value = book.value((table.sheet, row, table.columns[asked]))
                if isinstance(name, str) and name and value not in (None, ""):
                    found[name] = value
    return found


def of_lines(book: Book, asked: str) -> dict[str, Value]:
    """What Lines says, by line."""
    return said(book, LINE, STARTS, asked)


def of_parts(book: Book, asked: str) -> dict[str, Value]:
    """What Fittings says, by part."""
    return said(book, PART, SEAT, asked)


def of_hoses(book: Book, asked: str) -> dict[str, Value]:
    """What Hoses says, by hose."""
    return said(book, HOSE, BEND, asked)


def of_small_parts(book: Book, asked: str) -> dict[str, Value]:
    """What the small parts of Parts say, by part."""
    return said(book, SMALL_PART, COUNTED_BY, asked)
