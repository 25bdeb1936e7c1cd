"""What a new workbook of this version has, by which others are judged: names, units, checks on what is typed, figures.

The generator writes it down as data, so that an audit need not build a workbook.
"""

from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence import cited
from xlcalc.workbook.audit.evidence.naming import AREA, CELL, COLUMN, named
from xlcalc.workbook.audit.rules.headings import headings
from xlcalc.workbook.audit.rules.validation import Typed, with_checks
from xlcalc.workbook.explained.listing import listings


def known_names(book: Book) -> Iterator[tuple[str, ...]]:
    """Each defined name: what kind of area it stands for, and the header or label that this has.

    `checked` is said of a cell that has a check on what is typed, `below` is how far under its header the area of a
    whole table begins that ends in the row which says so; sheet, row and column say where a cell stands.
    """
    yield "name", "kind", "head", "checked", "below", "sheet", "row", "column"
    checked = {sheet: with_checks(book, sheet) for sheet in book.sheets}
    for name, each in sorted(named(book).items()):
        if each.head and each.kind != AREA:
            has_check = each.kind == CELL and (each.top, each.left) in checked[each.sheet]
            whole = each.kind == COLUMN and each.bottom in book.ends(each.sheet)
            below = each.top - book.headers(each.sheet).above(each.top)
            place = (each.sheet, str(each.top), str(each.left)) if each.kind == CELL else ("", "", "")
            yield name, each.kind, each.head, "checked" if has_check else "", str(below) if whole else "", *place


def known_checks(book: Book) -> Iterator[tuple[str, ...]]:
    """Each typed column with a check on what is typed: the header over the names of its rows, and its own.

    Sheet, first row and column say where it stands in the new workbook.
    """
    yield "table", "head", "sheet", "row", "column"
    for sheet in book.sheets:
        checked = with_checks(book, sheet)
        for table in listings(book.report, sheet, book.headers(sheet)):
            typed = Typed(table, checked, set(book.formulas(sheet)))
            for head, column in table.columns.items():
                if not typed.bare(head)[0] and any((row, column) in checked for row in table.rows):
                    yield table.head(), head, sheet, str(table.rows[0]), str(column)


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


def known_cells(book: Book) -> Iterator[tuple[str, ...]]:
    """Each typed cell outside of the tables that has a check on what is typed: sheet, row and column."""
    yield "sheet", "row", "column"
    for sheet in book.sheets:
        checked, formulas = with_checks(book, sheet), set(book.formulas(sheet))
        rows = {row for table in book.tables(sheet) for row in table.rows}  # these begin with names of the job
        yield from ((sheet, str(row), str(column)) for row, column in sorted(checked - formulas) if row not in rows)
