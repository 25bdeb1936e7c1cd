"""Cells that do not do what the cells left and right of them do, in lists of a shop's own that run sideways.

Months, vans or options side by side have their formulas filled to the right. A column that is no such one, as a quarter
between months, is told by the other rows: it differs in all of them.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import difference
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.rules.columns import much_alike
from xlcalc.workbook.audit.rules.replaced import typed_over
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import address, moved

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST = 3  # cells of a row that must agree before one between them is said to differ
SOURCE = "the cells left and right of it have"


class Odd(NamedTuple):
    """A cell between others of its row that have one pattern, and the nearest of these."""

    row: int
    column: int
    model: Pattern


def row_patterns(book: Book) -> Iterator[Finding]:
    """Cells that break the pattern of their row, where no other row is broken in the same column."""
    for sheet in book.sheets:
        if book.canon.match(sheet) is None and not book.tables(sheet):
            found = list(odd_cells(book, sheet))
            times = Counter(each.column for each in found)
            for each in found:
                if times[each.column] == 1:
                    yield from judged(book, (sheet, each.row, each.column), each.model)


def odd_cells(book: Book, sheet: str) -> Iterator[Odd]:
    """The cells of a sheet that stand between formulas of one pattern and have another, or hold a number."""
    typed, known = book.typed(sheet), dict[tuple[int, ...], Sequence[int]]()
    for row, held in book.rows(sheet).items():
        patterns = held.formulas
        if len(patterns) < FEWEST:
            continue
        alike = tuple(map(id, patterns.values()))  # most rows have the patterns of the one above
        model = known[alike] if alike in known else known.setdefault(alike, usual(patterns))
        for column in range(model[0] + 1, model[-1]) if model else ():
            if column in model:
                continue
            near = min(model, key=lambda each: abs(each - column))
            if column in patterns or isinstance(typed.get((row, column)), float):
                yield Odd(row, column, patterns[near])


def usual(patterns: Mapping[int, Pattern]) -> Sequence[int]:
    """The columns of a row with the pattern that most of it has; none where that is not most of what lies between."""
    (key, count), *_ = Counter(pattern.key for pattern in patterns.values()).most_common(1)
    columns = sorted(column for column, pattern in patterns.items() if pattern.key == key)
    corners = [corner for target in patterns[columns[0]].targets for corner in target.corners]
    if all(corner.row == 0 or corner.fixed_row for corner in corners):
        return []  # each works on what stands left of it: a row of steps
    return columns if count >= FEWEST and columns[-1] - columns[0] == count else []  # one cell between them, no more


def judged(book: Book, place: Place, model: Pattern) -> Iterator[Finding]:
    """A finding about a cell between others, where it is a number or a formula much like theirs."""
    sheet, row, column = place
    expected = moved(model.at(row), 0, column - model.column)
    pattern = book.formulas(sheet).get((row, column))
    if pattern is None:
        yield typed_over(book, place, expected, SOURCE)
    elif much_alike(pattern, model, row):  # an average between sums is meant
        apart = difference(pattern.at(row), expected)
        yield Finding(
            "other-formula", (place,),
            f"{apart.there_formula}{book.title(place)}", f"{apart.expected_formula}, which {SOURCE}", apart.words,
            f"copy {address(sheet, row, model.column)} over it", Sure.LIKELY, Weight.WRONG,
        )  # fmt: skip
