"""References of a filled-down column that stay where they should move, or drift where they should stay."""

from collections.abc import Iterator, Mapping

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import LONGEST
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Target
from xlcalc.workbook.audit.reading.rows import SheetRow
from xlcalc.workbook.audit.reading.strands import Strand
from xlcalc.workbook.formulas import column_letters

FEWEST = 3  # rows of a column


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


def stays(rows: Mapping[int, SheetRow], strand: Strand, target: Target) -> bool:
    """True for a reference to one row of the strand's own rows in a column that every row fills for itself."""
    corner = target.corners[0]
    if len(target.corners) > 1 or target.sheet or not corner.fixed_row or corner.row not in strand.rows:
        return False
    beside = [each.corners[0] for each in strand.pattern.targets]
    if any(each.column == corner.column and not each.fixed_row for each in beside):
        return False  # a share of one row, such as B9/B$8
    kinds = [rows[row].kind(corner.column or 0) for row in strand.rows]
    return kinds.count(kinds[0]) == len(kinds) and bool(kinds[0])


def drifts(strand: Strand, target: Target) -> bool:
    """True for an area without `$` that covers all rows of the strand when seen from the first of them."""
    if len(target.corners) < 2 or any(corner.row is None or corner.fixed_row for corner in target.corners):
        return False
    top, bottom = (corner.row or 0 for corner in target.corners)
    return top == 0 and bottom >= strand.rows[-1] - strand.rows[0]


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
