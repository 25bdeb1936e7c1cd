"""Sheets of a book of another version that are laid out otherwise than the template that is installed here."""

from collections.abc import Iterator, Mapping

from xlcalc.workbook.audit.known.canonical import Canon
from xlcalc.workbook.audit.known.matching import Match
from xlcalc.workbook.audit.reading.rows import SheetRow

MANY = 6  # columns of tables, and single cells, none of which says what the template says: more than a person changes

Layout = frozenset[tuple[int, int]]
"""Row and column of the template for what a book has otherwise; of a table its first row."""


def other_layout(match: Match, rows: Mapping[int, SheetRow], canon: Canon) -> Layout:
    """What a sheet has otherwise than the template throughout; nothing where that may be the work of a person."""
    found = frozenset(_otherwise(match, rows, canon))
    return found if len(found) >= MANY else frozenset()


def _otherwise(match: Match, rows: Mapping[int, SheetRow], canon: Canon) -> Iterator[tuple[int, int]]:
    for known in match.known.rows:
        held = [row for row in match.rows_of.get(known.first, []) if row in rows]
        for column_known, wanted in known.formulas.items():
            column = match.column_of.get(column_known)
            patterns = [(row, rows[row].formulas.get(column)) for row in held] if column else []
            typed = any(column in rows[row].texts or column in rows[row].numbers for row in held)
            alike = any(pattern and canon.same(pattern, match, row, known, wanted) for row, pattern in patterns)
            if patterns and not alike and not typed:
                yield known.first, column_known
