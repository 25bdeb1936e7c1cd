"""Figures in the wrong row: one row lacks what its Check asks for, and another has it without any use for it.

That is what is left where one column was sorted or pasted a row too high or too low: every row still has its name,
and the figures belong to others.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from xlcalc.core.errors import CalcError
from xlcalc.core.words import plural
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.sorting import ordered
from xlcalc.workbook.calculation.written import LOOKING, Look, Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import CannotTell, shown
from xlcalc.workbook.formulas import calls, tokens

BY_NUMBER = "INDEX"
FEWEST_IN_ORDER = 4  # rows, by common practice (P): it gives a finding and no verdict
ASKS = "fill in "  # as a Check says it: `Not checked: fill in Volume`


def misplaced_figures(book: Book) -> Iterator[Finding]:
    """Columns of a table in which a figure stands in a row that takes none, while a row that asks for it has none."""
    for table in book.every_table():
        wanting = {row: list(asked(book, table, row)) for row in reversed(table.rows)}
        lacking = {column: row for row, columns in wanting.items() for column in columns}
        complete = [row for row in table.rows if not wanting[row]] if lacking else []  # others work nothing out
        users = {row: looked_at(book, table, row) for row in complete}
        typed = book.typed(table.sheet)
        for column, row in sorted(lacking.items()):
            figures = [(table.sheet, other, column) for other in complete
                       if isinstance(typed.get((other, column)), float)]  # fmt: skip
            spare = [figure for figure in figures if not used(book, figure, users[figure[1]])]
            spare = not_copied(book, table, spare, users)
            if spare and (spare := not_picked(book, table, spare)):
                yield in_the_wrong_row(book, spare, (table.sheet, row, column))


def not_picked(book: Book, table: Listing, figures: list[Place]) -> list[Place]:
    """The figures of a column that nothing takes out of an area: a total takes all, a lookup by number that of a row.

    Empty where that cannot be told.
    """
    sheet, _, column = figures[0]
    if not book.looked_at(sheet).taken(column, table.rows[0], table.rows[-1]):
        return figures
    picked: set[int] = set()
    for pattern, places in book.every_pattern():
        first, last = places[0], places[-1]
        looks = (look for place in (first, last) for look in book.written.looks(pattern.at(place[1]), place))
        if any(look.sheet == sheet and look.left <= column <= look.right and look.top < look.bottom for look in looks):
            for place in places:
                rows = picked_rows(book, place, figures)
                if rows is None:
                    return []
                picked |= rows
    return [figure for figure in figures if figure[1] not in picked]


def not_copied(
    book: Book, table: Listing, figures: Sequence[Place], users: Mapping[int, Mapping[int, list[int]]]
) -> list[Place]:
    """The figures of a column that their rows do not repeat in another column out of which they are taken."""
    repeated: dict[int, list[Place]] = defaultdict(list)
    for figure in figures:
        for copy in copies(book, figure, users[figure[1]]) - {figure[2]}:
            repeated[copy].append((table.sheet, figure[1], copy))
    taken = {each[1] for there in repeated.values() for each in {*there} - {*not_picked(book, table, there)}}
    return [figure for figure in figures if figure[1] not in taken]


def copies(book: Book, place: Place, users: Mapping[int, list[int]]) -> set[int]:
    """The columns of a row that hold the figure of a cell because they look at it, and its own."""
    sheet, row, column = place
    given, found, waiting = book.value(place), {column}, [column]
    while waiting:
        for each in users.get(waiting.pop(), ()):
            if each not in found and book.value((sheet, row, each)) == given:
                found.add(each)
                waiting.append(each)
    return found


def takes(look: Look, figures: Sequence[Place]) -> bool:
    """True for an area of several rows with one of the figures in it."""
    return look.top < look.bottom and any(look.covers(figure) for figure in figures)


def picked_rows(book: Book, place: Place, figures: Sequence[Place]) -> set[int] | None:
    """The rows that a formula picks by their numbers out of areas with some figures; None where it takes them all."""
    formula, rows = book.formula(place), set[int]()
    lookups = [each for each in calls(formula, book.other_files) if each.name == BY_NUMBER and len(each.arguments) > 1]
    for piece in tokens(formula):
        look = book.written.alone(piece.text, place) if piece.kind in LOOKING else None
        if look is None or not takes(look, figures):
            continue
        around = next((each for each in lookups if each.arguments[0].start == piece.start), None)
        if around is None or around.arguments[0].text != piece.text:
            return None
        if book.workings.not_reached(around.start, around.end, place):
            continue
        try:
            number = book.workings.cell(around.arguments[1].text, place)
        except CannotTell:
            return None
        if not isinstance(number, float) or not number:
            return None  # 0 stands for the whole area
        rows.add(look.top + int(number) - 1)
    return rows


def asked(book: Book, table: Listing, row: int) -> Iterator[int]:
    """The column without anything in it that the Check of a row asks for."""
    said = book.value((table.sheet, row, table.check))
    if isinstance(said, str) and ASKS in said:
        wanted = said.partition(ASKS)[2].casefold()
        for head, column in table.columns.items():
            if head.casefold() == wanted and book.value((table.sheet, row, column)) in (None, ""):
                yield column


def looked_at(book: Book, table: Listing, row: int) -> Mapping[int, list[int]]:
    """The formulas of a row by the column of the row that they look at."""
    found: dict[int, list[int]] = defaultdict(list)
    held = book.rows(table.sheet).get(row)
    for column, pattern in held.formulas.items() if held else ():
        place, formula = (table.sheet, row, column), pattern.at(row)
        for piece in tokens(formula):
            look = book.written.alone(piece.text, place) if piece.kind == "reference" else None
            if look and look.single and (look.sheet, look.top) == (table.sheet, row):
                found[look.left].append(column)
    return found


def used(book: Book, place: Place, users: Mapping[int, list[int]]) -> bool:
    """True where the row of a cell holds a figure that is worked out with it, or words of our functions about it.

    The cell itself as a number is none.
    """
    sheet, row, column = place
    given = book.value(place)
    waiting, seen = [column], {column}
    while waiting:
        at = waiting.pop()
        for each in users.get(at, ()):
            value = book.value((sheet, row, each))
            if value and isinstance(value, str) and given_to_ours(book, (sheet, row, each), at):
                return True
            if each in seen or isinstance(value, bool) or not isinstance(value, float | CalcError):
                continue
            if value != given and reached(book, (sheet, row, each), at):
                return True
            seen.add(each)
            waiting += [each] if value == given else []
    return False


def given_to_ours(book: Book, place: Place, column: int) -> bool:
    """True where a formula hands a column of its row to one of our functions that answers about quantities."""
    made = calls(book.formula(place), book.other_files)
    ours = [(each.start, each.end) for each in made if each.name in book.ours and not book.ours[each.name].about]
    return any(start < at < end for at in where_reached(book, place, column) for start, end in ours)


def reached(book: Book, place: Place, column: int) -> bool:
    """True where a formula looks at a column of its row in a branch that is taken."""
    return any(True for _ in where_reached(book, place, column))


def where_reached(book: Book, place: Place, column: int) -> Iterator[int]:
    """Where in a formula a column of its row stands in a branch that is taken."""
    sheet, row, _ = place
    for piece in tokens(book.formula(place)):
        look = book.written.alone(piece.text, place) if piece.kind == "reference" else None
        here = look and look.single and (look.sheet, look.top, look.left) == (sheet, row, column)
        if here and not book.workings.not_reached(piece.start, piece.start + len(piece.text), place):
            yield piece.start


def witness(book: Book, lacking: Place) -> int:
    """The column that was most likely sorted beside the figures: the one in the least likely order, else the names."""
    sheet, row, column = lacking
    table = next(each for each in book.tables(sheet) if row in each.rows)
    return next((each for each in ordered(book, table, FEWEST_IN_ORDER) if each != column), NAME_COLUMN)


def in_the_wrong_row(book: Book, figures: Sequence[Place], lacking: Place) -> Finding:
    """A finding about figures of a column that their rows have no use for, and the row that lacks one."""
    sheet, row, _ = lacking
    first = figures[0]
    name, other = (shown(book.value((sheet, each, NAME_COLUMN))) for each in (row, first[1]))
    more = f" (and {plural(len(figures) - 1, 'other row')})" if len(figures) > 1 else ""
    sorted_one = witness(book, lacking)
    names = [(sheet, each, sorted_one) for each in (*(figure[1] for figure in figures), row)]
    return Finding(
        "wrong-row", (*figures, lacking, *names),
        f"{shown(book.value(first))} stands in the row {other}{book.title(first)}, which takes no such figure{more}",
        f"a figure in the row {name}, whose Check asks for it",
        "so it looks where one column was sorted or pasted by itself: its figures stand beside other names",
        "compare the column with the last good copy, put its figures back; sort with all columns selected",
        Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip
