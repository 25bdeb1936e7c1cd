"""Cells that do not do what the cells above and below them do: another formula, a typed value, nothing.

This looks at columns that the template does not know: a shop's own columns, sheets and books. What the pattern of a
column is, its cells say by themselves; rows that are not rows of the table, such as totals, are told by their other
cells.
"""

from collections import Counter
from collections.abc import Container, Iterator, Mapping

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import difference
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import LOOK, Pattern, Target
from xlcalc.workbook.audit.reading.rows import SheetRow
from xlcalc.workbook.audit.reading.strands import Strand
from xlcalc.workbook.audit.rules.replaced import missing, typed_over
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import address, calls, column_letters, tokens

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST_BESIDE = 3  # before one next to them is
RARE = 8  # one in so many cells may differ in any way and still be taken for a slip
MORE_ALIKE = 0.6  # share of the pieces that two formulas of one kind have in common
SOURCE = "the cells above and below have"
END_SOURCE = "the other cells of the column have"
OWN_ROW = "looks at its own row, as beside it"
RUNNING = f"{LOOK}+{LOOK}"


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
    odd = sum(strand.column in rows[row].formulas for row in others if first < row < last)
    for row in others:
        end = row < first or row > last
        if not (runs_up_to(row, inside) if end else is_between(rows, row, strand, inside)):
            continue
        if not belongs(rows, row, strand, end=end):
            continue
        place = sheet, row, strand.column
        pattern = rows[row].formulas.get(strand.column)
        count = keys[rows[row].kind(strand.column)]
        if row < first and goes_on(strand.pattern, strand) and not (pattern and goes_on(pattern, strand)):
            yield from of_start(book, place, rows[row], strand)
        elif pattern is not None:
            slip = is_slip(pattern, strand, count, odd, end=end) and not slipped(rows, strand)
            yield from of_formula(book, place, pattern, strand, END_SOURCE if end else SOURCE, slip=slip)
        elif strand.column in rows[row].filled:
            if len(strand.rows) >= 2 * count and not (end and strand.column in rows[row].texts):
                yield typed_over(book, place, strand.pattern.at(row), END_SOURCE if end else SOURCE)
        elif not end and count <= max(1, len(strand.rows) // RARE):
            yield missing(book, place, strand.pattern.at(row), SOURCE)


def of_formula(
    book: Book, place: Place, pattern: Pattern, strand: Strand, source: str, *, slip: bool
) -> Iterator[Finding]:
    """A cell with another formula than its column, or the column where it is this that looks beside its own row."""
    if beside_its_row(strand.pattern, pattern):
        model = Strand(strand.column, pattern, [place[1]])
        for row in strand.rows:
            yield other_pattern(book, (place[0], row, strand.column), strand.pattern, model, OWN_ROW)
    elif slip:
        yield other_pattern(book, place, pattern, strand, source)


def of_start(book: Book, place: Place, row: SheetRow, strand: Strand) -> Iterator[Finding]:
    """The cell with which a column begins whose others look at the one above them: a running total takes its own row.

    What is carried over to a row without a figure of its own may be typed.
    """
    taken, pattern = running(strand), row.formulas.get(strand.column)
    figure = book.value((*place[:2], taken)) if taken else None
    if isinstance(figure, float) and figure != 0:
        if pattern is not None and starts_elsewhere(pattern, taken):
            yield no_start(book, place, pattern, strand)
        elif strand.column in row.numbers:
            yield typed_over(book, place, f"{column_letters(taken)}{place[1]}", END_SOURCE)


def is_between(rows: Mapping[int, SheetRow], row: int, strand: Strand, inside: Container[int]) -> bool:
    """True for a row of a table, told by another figure in it, and for one of a form right between two of a strand."""
    near = min(strand.rows, key=lambda each: abs(each - row))
    figures = rows[row].formulas.keys() | rows[row].numbers.keys()
    if any(rows[row].kind(each) == rows[near].kind(each) for each in figures - {strand.column}):
        return True
    return len(strand.rows) >= FEWEST_BESIDE and row - 1 in inside and row + 1 in inside


def runs_up_to(row: int, inside: Container[int]) -> bool:
    """True where enough cells of a strand stand right below or right above a row, without a gap."""
    return any(all(row + step * way in inside for step in range(1, FEWEST_BESIDE + 1)) for way in (-1, 1))


def belongs(rows: Mapping[int, SheetRow], row: int, strand: Strand, *, end: bool) -> bool:
    """True for a row of the table that the strand runs through: its other cells are of the kind of those beside it."""
    near = min(strand.rows, key=lambda each: abs(each - row))
    here, beside = rows[row], rows[near]
    columns = beside.filled - {strand.column}
    alike = sum(here.kind(column) == beside.kind(column) for column in columns)
    if end:
        return len(columns) > 0 and alike == len(columns) and alike >= 2 and bool(here.formulas or here.numbers)
    return 2 * alike > len(columns) or not columns


def is_slip(pattern: Pattern, strand: Strand, count: int, odd: int, *, end: bool) -> bool:
    """True where another formula is so rare, or so much like that of the column, that nobody meant it.

    `count` cells of the column have it, and `odd` have another than the column.
    """
    near = in_common(pattern, strand.pattern) >= MORE_ALIKE or holds_whole(pattern, strand.pattern)
    if end:
        return near
    if near:
        return count <= max(1, len(strand.rows) // 2)
    enough = len(strand.rows) >= FEWEST_BESIDE  # labelled sums under each other may be alike by chance
    return enough and odd <= max(1, len(strand.rows) // RARE)


def holds_whole(pattern: Pattern, other: Pattern) -> bool:
    """True for a formula in which another of at least two references stands whole, as in `(C9+B10)*1.05`."""
    return len(other.targets) > 1 and other.key in pattern.key


def beside_its_row(pattern: Pattern, other: Pattern) -> bool:
    """True where a formula looks a row above or below its own, another at its own, and nothing else sets them apart."""
    pairs = list(zip(pattern.targets, other.targets, strict=False))
    apart = [(one, two) for one, two in pairs if one != two]
    if pattern.shape != other.shape or len(apart) != 1 or max(len(each.corners) for each in apart[0]) > 1:
        return False
    (one, two), same_sheet = (each.corners[0] for each in apart[0]), apart[0][0].sheet == apart[0][1].sheet
    moves = not one.fixed_row and one.row in (-1, 1) and one.column != pattern.column  # not itself
    return same_sheet and moves and one._replace(row=0) == two


def slipped(rows: Mapping[int, SheetRow], strand: Strand) -> bool:
    """True for a strand that is a slip itself: it tells nothing of the cells beside it."""
    return anchored(rows, strand) is not None or any(
        stays(rows, strand, target) or drifts(strand, target) for target in strand.pattern.targets
    )


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


def anchored(rows: Mapping[int, SheetRow], strand: Strand) -> Target | None:
    """The area of the cell above a strand that holds its first row, as in SUM(B$2:B2), and that the strand lets go."""
    above = rows.get(strand.rows[0] - 1)
    pattern = above.formulas.get(strand.column) if above else None
    if pattern is None or pattern.shape != strand.pattern.shape:
        return None
    for held, loose in zip(pattern.targets, strand.pattern.targets, strict=False):
        if len(held.corners) == len(loose.corners) == 2 and held.corners[0].fixed_row and not held.corners[1].fixed_row:
            top, bottom = loose.corners
            if not top.fixed_row and (top.column, bottom) == (held.corners[0].column, held.corners[1]):
                return held
    return None


def starts_elsewhere(pattern: Pattern, taken: int) -> bool:
    """True above a running total, `C9+B10`, for a formula that does not begin with the figure of its own row alone.

    What is carried over stands in a cell, that the formula looks at too.
    """
    here = [each.corners[0] for each in pattern.targets if not each.sheet]
    own = [each for each in here if each.column == taken and each.row == 0]
    return not own or (len(pattern.targets) == 1 and pattern.shape != LOOK)


def goes_on(pattern: Pattern, strand: Strand) -> bool:
    """True for a formula that looks at the cell above it, as every cell of a running total does but the first."""
    corners = (each.corners[0] for each in pattern.targets if not each.sheet)
    return any(each.column == strand.column and not each.fixed_row and each.row == -1 for each in corners)


def running(strand: Strand) -> int:
    """The column that a running total adds up; 0 for what is none."""
    if strand.pattern.shape != RUNNING or any(each.sheet for each in strand.pattern.targets):
        return 0
    corners = [each.corners[0] for each in strand.pattern.targets]
    before = [each for each in corners if each.column == strand.column and not each.fixed_row and each.row == -1]
    own = [each for each in corners if each.column != strand.column and not each.fixed_row and each.row == 0]
    return own[0].column or 0 if before and own else 0


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


def much_alike(one: Pattern, other: Pattern, row: int) -> bool:
    """True for two formulas that call the same functions and have most of their pieces in common."""
    called = [[call.name for call in calls(each.at(row))] for each in (one, other)]
    return called[0] == called[1] and in_common(one, other) >= MORE_ALIKE


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


def no_start(book: Book, place: Place, pattern: Pattern, strand: Strand) -> Finding:
    """The first cell of a running total, which begins with another figure than that of its row."""
    _, row, _ = place
    taken = f"{column_letters(running(strand))}{row}"
    return Finding(
        "other-formula", (place,),
        f"={pattern.at(row)}{book.title(place)}",
        f"={taken}, the figure of its own row, with which the running total below begins",
        "the cells below add up one row after another, and what this one begins with goes into all of them",
        f"type ={taken}; what was carried over has a cell of its own, which is added to it",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip
