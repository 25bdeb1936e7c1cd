"""References of a filled-down column that stay where they should move, or drift where they should stay."""

import re
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import LONGEST
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Target
from xlcalc.workbook.audit.reading.strands import Strand
from xlcalc.workbook.audit.rules.columns import anchored, drifts, stays
from xlcalc.workbook.formulas import column_letters

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST = 3  # rows of a column
GROWING = re.compile(r"\b(?:so far|to date|until now|running|cumulative|cumulated|total)\b", re.IGNORECASE)


def slipped_references(book: Book) -> Iterator[Finding]:
    """Columns that look at one row from all of theirs, or at an area that moves past the end of its table."""
    for sheet in book.sheets:
        rows = book.unknown_rows(sheet)
        for strand in book.strands(sheet):
            for target in strand.pattern.targets if len(strand.rows) >= FEWEST else ():
                if stays(rows, strand, target):
                    yield stuck(book, sheet, strand, target)
                elif drifts(strand, target):
                    yield drifting(book, sheet, strand, target)
                elif is_one_cell(target):
                    yield alone(book, sheet, strand, target)
            held = anchored(rows, strand) if len(strand.rows) >= FEWEST else None
            if held and grows(book, sheet, strand):
                yield let_go(book, sheet, strand, held)


def stuck(book: Book, sheet: str, strand: Strand, target: Target) -> Finding:
    """A column in which every row takes the figure of one row."""
    letters, row = column_letters(target.corners[0].column or 0), target.corners[0].row
    why = f"every row takes {letters}{row}, the figure of one row, in place of its own"
    return slip(book, sheet, strand, f"{letters}${row}", f"{letters} of its own row, without the $", why)


def drifting(book: Book, sheet: str, strand: Strand, target: Target) -> Finding:
    """A column whose area moves down with its rows."""
    top, bottom = (corner.row or 0 for corner in target.corners)
    letters = column_letters(target.corners[0].column or 0)
    first, last = strand.rows[0], strand.rows[-1]
    there = f"{letters}{first + top}:{letters}{first + bottom} in row {first}, from row {last + top} on in row {last}"
    expected = f"{letters}${first + top}:{letters}${first + bottom} in every row"
    return slip(book, sheet, strand, there, expected, "each row leaves out more of the table's top than the one above")


def grows(book: Book, sheet: str, strand: Strand) -> bool:
    """True for a column whose header says that it adds up all so far; a sum of the last twelve months moves along."""
    return GROWING.search(book.title((sheet, strand.rows[0], strand.column))) is not None


def is_one_cell(target: Target) -> bool:
    """True for an area of one cell that moves with its row: nobody writes one but as the first of those that grow."""
    return len(target.corners) > 1 and target.corners[0] == target.corners[1] and not target.corners[0].fixed_row


def alone(book: Book, sheet: str, strand: Strand, target: Target) -> Finding:
    """A column that adds up an area of one cell in every row."""
    letters, first = column_letters(target.corners[0].column or 0), strand.rows[0] + (target.corners[0].row or 0)
    there = f"{letters}{first}:{letters}{first}, an area of one cell, in every row its own"
    why = "every row adds up one cell: nothing is added to it"
    return slip(book, sheet, strand, there, f"{letters}${first}:{letters}{first}, with a $ at its beginning", why)


def let_go(book: Book, sheet: str, strand: Strand, held: Target) -> Finding:
    """A column whose first cell holds the beginning of its area while all below let it go."""
    letters, start = column_letters(held.corners[0].column or 0), held.corners[0].row
    why = f"the first cell begins at {letters}${start}, these move their beginning along and leave rows out"
    return slip(book, sheet, strand, "an area that moves down", f"an area that begins at {letters}${start}", why)


def slip(book: Book, sheet: str, strand: Strand, there: str, expected: str, why: str) -> Finding:
    """A column with a slip."""
    first = strand.rows[0]
    return Finding(
        "slipped-reference",
        tuple((sheet, row, strand.column) for row in strand.rows),
        f"={strand.pattern.at(first)[:LONGEST]}{book.title((sheet, first, strand.column))}, which looks at {there}",
        expected,
        why,
        f"mend the formula in row {first} and fill it down",
        Sure.LIKELY,
        Weight.WRONG,
    )
