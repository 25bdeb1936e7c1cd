"""What a new workbook of this version has, by which others are judged: names, units, checks on what is typed, figures.

The generator writes it down as data, so that an audit need not build a workbook.
"""

from collections.abc import Iterator

from xlcalc.workbook.audit import cited
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.naming import AREA, named
from xlcalc.workbook.audit.rules.headings import headings
from xlcalc.workbook.audit.rules.validation import Typed, with_checks
from xlcalc.workbook.listing import listings


def known_names(book: Book) -> Iterator[tuple[str, ...]]:
    """Each defined name: what kind of area it stands for, and the header or label that this has."""
    yield "name", "kind", "head"
    for name, each in sorted(named(book).items()):
        if each.head and each.kind != AREA:
            yield name, each.kind, each.head


def known_checks(book: Book) -> Iterator[tuple[str, ...]]:
    """Each typed column with a check on what is typed: the header over the names of its rows, and its own."""
    yield "table", "head"
    for sheet in book.sheets:
        checked = with_checks(book, sheet)
        for table in listings(book.report, sheet, book.headers(sheet)):
            typed = Typed(table, checked, set(book.formulas(sheet)))
            for head, column in table.columns.items():
                if not typed.bare(head)[0] and any((row, column) in checked for row in table.rows):
                    yield table.head(), head


def known_units(book: Book) -> Iterator[tuple[str, ...]]:
    """Each header with the unit under it: the header over the names of its rows, its own, the unit.

    Tables of several sheets may be headed alike; then there are as many rows as units.
    """
    yield "table", "head", "unit"
    yield from sorted({(each.table, each.head, each.unit) for sheet in book.sheets for each in headings(book, sheet)})


def known_values(book: Book) -> Iterator[tuple[str, ...]]:
    """Each typed cell of the tables that name sources: header over the names, name of the row, header, value."""
    yield "table", "row", "head", "value"
    for table, row, head, value in cited.figures(book):
        yield table, row, head, cited.written(value)
