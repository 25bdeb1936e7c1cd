"""Cells that do not do what the cells above and below them do: another formula, a typed value, nothing.

This looks at columns that the template does not know: a shop's own columns, sheets and books. What the pattern of a
column is, its cells say by themselves; rows that are not rows of the table, such as totals, are told by their other
cells.
"""

from collections import Counter
from collections.abc import Iterator, Mapping

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import difference
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.reading.rows import SheetRow
from xlcalc.workbook.audit.reading.strands import Strand
from xlcalc.workbook.audit.rules.replaced import missing, typed_over
from xlcalc.workbook.formulas import address, tokens
from xlcalc.workbook.written import Place

FEWEST_BESIDE = 3  # before one next to them is
RARE = 8  # one in so many cells may differ in any way and still be taken for a slip
MORE_ALIKE = 0.6  # share of the pieces that two formulas of one kind have in common
SOURCE = "the cells above and below have"
END_SOURCE = "the other cells of the column have"


def column_patterns(book: Book) -> Iterator[Finding]:
    """Cells that break the pattern of their column."""
    for sheet in book.sheets:
        for strand in book.strands(sheet):
            yield from breaks(book, sheet, book.unknown_rows(sheet), strand)


def breaks(book: Book, sheet: str, rows: Mapping[int, SheetRow], strand: Strand) -> Iterator[Finding]:
    """The cells among those of a strand, and next to its ends, that should have its pattern and do not."""
    inside = set(strand.rows)
    first, last = strand.rows[0], strand.rows[-1]
    others = [row for row in range(first - 1, last + 2) if row not in inside and row in rows]
    if len(others) > 2 * len(strand.rows):
        return
    keys = Counter(rows[row].kind(strand.column) for row in others if first < row < last)
    for row in others:
        end = row < first or row > last
        if end and len(strand.rows) < FEWEST_BESIDE:
            continue
        if not belongs(rows, row, strand, end=end):
            continue
        place = sheet, row, strand.column
        source = END_SOURCE if end else SOURCE
        pattern = rows[row].formulas.get(strand.column)
        count = keys[rows[row].kind(strand.column)]
        if pattern is not None:
            if is_slip(pattern, strand, count, end=end):
                yield other_pattern(book, place, pattern, strand, source)
        elif strand.column in rows[row].filled:
            if len(strand.rows) >= 2 * count and not (end and strand.column in rows[row].texts):
                yield typed_over(book, place, strand.pattern.at(row), source)
        elif not end and count <= max(1, len(strand.rows) // RARE):
            yield missing(book, place, strand.pattern.at(row), source)


def belongs(rows: Mapping[int, SheetRow], row: int, strand: Strand, *, end: bool) -> bool:
    """True for a row of the table that the strand runs through: its other cells are of the kind of those beside it."""
    near = min(strand.rows, key=lambda each: abs(each - row))
    here, beside = rows[row], rows[near]
    columns = beside.filled - {strand.column}
    alike = sum(here.kind(column) == beside.kind(column) for column in columns)
    if end:
        return len(columns) > 0 and alike == len(columns) and alike >= 2 and bool(here.formulas or here.numbers)
    return 2 * alike > len(columns) or not columns


def is_slip(pattern: Pattern, strand: Strand, count: int, *, end: bool) -> bool:
    """True where another formula is so rare, or so much like that of the column, that nobody meant it."""
    near = in_common(pattern, strand.pattern) >= MORE_ALIKE
    if end:
        return near
    most = len(strand.rows) // 2 if near else len(strand.rows) // RARE
    return count <= max(1, most)


def in_common(one: Pattern, other: Pattern) -> float:
    """The share of the pieces of two formulas that they have in common at their start and end."""
    first, second = ([token.text.upper() for token in tokens(each.text)] for each in (one, other))
    start = 0
    while start < min(len(first), len(second)) and first[start] == second[start]:
        start += 1
    end = 0
    while end < min(len(first), len(second)) - start and first[-1 - end] == second[-1 - end]:
        end += 1
    return (start + end) / max(len(first), len(second), 1)


def other_pattern(book: Book, place: Place, pattern: Pattern, strand: Strand, source: str) -> Finding:
    """A cell with another formula than its column."""
    row = place[1]
    apart = difference(pattern.at(row), strand.pattern.at(row))
    return Finding(
        "other-formula",
        (place,),
        f"{apart.there_formula}{book.title(place)}",
        f"{apart.expected_formula}, which {source}",
        apart.words,
        f"copy {address(place[0], min(strand.rows, key=lambda each: abs(each - row)), place[2])} over it",
        Sure.LIKELY,
        Weight.WRONG,
        fault=f"{pattern.key} for {strand.pattern.key}",
    )
