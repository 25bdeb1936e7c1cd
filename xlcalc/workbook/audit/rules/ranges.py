"""Totals that do not cover what they should: rows left out, parts counted twice, numbers that are texts."""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import LONGEST
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.areas import ADDING, Total, of_cell
from xlcalc.workbook.audit.reading.rows import SheetRow, same_table
from xlcalc.workbook.calculation.written import Look, Place
from xlcalc.workbook.formulas import address, calls, column_letters, tokens

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEW_BLANK = 2  # blank rows that a total leaves out and that are one with the table; more were left out on purpose
MOST_LEFT_OUT = 0.3  # share of the filled rows; a total of less was meant to cover only a part
FARTHEST = 1_000  # rows beyond an area that are looked at
NUMBER = re.compile(r"\s*[-+]?[0-9]{1,12}(?:[.,][0-9]+)?\s*")
DATE = re.compile(r"\s*(?:[0-9]{1,2}[./-][0-9]{1,2}[./-](?:[0-9]{2}){1,2}|[0-9]{4}-[0-9]{1,2}-[0-9]{1,2})\s*")


def own_totals(book: Book) -> Iterator[Total]:
    """The totals in cells that the template does not know."""
    return (total for total in book.totals if not book.known(total.place))


def rows_left_out(book: Book) -> Iterator[Finding]:
    """Totals whose area ends before the table does, or begins after it."""
    for total in own_totals(book):
        sheet, row, _ = total.place
        inside = total.look.sheet == sheet and total.look.top <= row <= total.look.bottom
        missed = [] if inside else left_out(book, total)
        if missed:
            yield short_total(book, total, missed)


def left_out(book: Book, total: Total) -> list[int]:
    """The rows of the table that lie just outside of an area; none where so many do that it was meant to be a part."""
    look, rows, heads = total.look, book.rows(total.look.sheet), book.headers(total.look.sheet).rows
    found: list[int] = []
    for edge, step in ((look.top, -1), (look.bottom, 1)):
        row = edge + step
        while row in rows and edge in rows and same_table(rows[row], rows[edge], look.left, first=step < 0):
            if (look.sheet, row) == total.place[:2] or abs(row - edge) > FARTHEST or is_heading(rows[row], row, heads):
                break
            found.append(row)
            row += step
    filled = [row for row in found if holds(book, (look.sheet, row, look.left))]
    covered = sum(holds(book, (look.sheet, row, look.left)) for row in range(look.top, look.bottom + 1))
    if not filled:  # a blank one above the area is its heading
        below = [row for row in found if row > look.bottom]
        return below if len(found) <= FEW_BLANK else []
    return filled if len(filled) <= MOST_LEFT_OUT * (covered + len(filled)) else []


def is_heading(row: SheetRow, number: int, heads: Sequence[int]) -> bool:
    """True for a row of headers, over a list of words too."""
    return number in heads and not (row.numbers or row.formulas)


def holds(book: Book, place: Place) -> bool:
    """True for a cell that shows anything."""
    return book.value(place) not in (None, "")


def short_total(book: Book, total: Total, missed: list[int]) -> Finding:
    """A total that leaves rows out."""
    look = total.look
    letters = column_letters(look.left)
    top, bottom = min(look.top, *missed), max(look.bottom, *missed)
    cells = ", ".join(f"{letters}{row}" for row in sorted(missed)[:4]) + (" and more" if len(missed) > 4 else "")
    return Finding(
        "rows-left-out",
        (total.place,),
        f"{total.name} of {look.by}{book.title(total.place)}, without {cells}",
        f"{total.name} of rows {top} to {bottom}, all rows of the table",
        f"the total leaves out {cells}{book.title((look.sheet, missed[0], look.left))}",
        f"write the area as {letters}{top}:{letters}{bottom}, or one row longer so that new rows come inside of it",
        Sure.LIKELY,
        Weight.WRONG if any(holds(book, (look.sheet, row, look.left)) for row in missed) else Weight.WEAK,
    )


def misplaced_areas(book: Book) -> Iterator[Finding]:
    """Totals over an area that runs through the header of another table, or that holds texts where it adds numbers."""
    for total in own_totals(book):
        look = total.look
        inside = [row for row in book.headers(look.sheet).rows if look.top < row <= look.bottom]
        values = [book.value((look.sheet, row, look.left)) for row in range(look.top, look.bottom + 1)]
        adds = total.name in (*ADDING, "MAX", "MIN") and not total.asked
        words = any(isinstance(value, str) and value for value in values)
        numberless = adds and words and not any(isinstance(value, float) for value in values)
        if inside or numberless:
            yield Finding(
                "area-misplaced",
                (total.place,),
                f"{total.name} of {look.by} on {look.sheet}{book.title(total.place)}",
                "an area of one table that holds what is added up or counted",
                f"row {inside[0]} of it is the header of another table" if inside else "it holds texts and no number",
                "look at which sheet and which rows are meant, and draw the area over them",
                Sure.LIKELY,
                Weight.WRONG,
            )


def counted_twice(book: Book) -> Iterator[Finding]:
    """Totals over an area in which a subtotal of the same area stands, and sums to which a part of them is added."""
    for total in own_totals(book):
        if total.name in ADDING and total.name != "SUBTOTAL":
            for row in range(total.look.top, total.look.bottom + 1):
                inner = total.look.sheet, row, total.look.left
                pattern = book.formulas(total.look.sheet).get(inner[1:])
                if pattern and inner != total.place and is_subtotal(book, inner, total.look):
                    yield twice(book, total.place, total.look, address(*inner), "a sum of cells of the same area")
            for text, kind in added(book, total):
                yield twice(book, total.place, total.look, text, kind)


def is_subtotal(book: Book, place: Place, around: Look) -> bool:
    """True for a cell that adds up at least two cells of an area that it stands in itself."""
    pattern = book.formulas(place[0])[place[1:]]
    return any(
        each.name in ADDING and each.look.sheet == around.sheet and each.look.left == around.left
        and around.top <= each.look.top and each.look.bottom <= around.bottom
        and not each.look.covers(place)
        for each in of_cell(book, place, pattern)
    )  # fmt: skip


def added(book: Book, total: Total) -> Iterator[tuple[str, str]]:
    """What the formula of a sum adds to it again, and what that is: a cell of its area, or one that sums up a part."""
    formula = total.pattern.at(total.place[1])
    pieces = [each for each in tokens(formula) if each.kind != "space"]
    inside = [(call.start, call.end) for call in calls(formula)]
    for before, piece in pairwise(pieces):
        if before.text == "+" and piece.kind == "reference" and not any(s <= piece.start < e for s, e in inside):
            look = next(iter(book.written.looks(piece.text, total.place)), None)
            if look is None or not look.single:
                continue
            place = look.sheet, look.top, look.left
            worked = look.sheet in book.sheets and place[1:] in book.formulas(look.sheet)
            if total.look.covers(place):
                yield piece.text, "a cell of the same area"
            elif worked and is_subtotal(book, place, total.look):
                yield piece.text, "a sum of cells of the same area"


def twice(book: Book, place: Place, look: Look, what: str, kind: str) -> Finding:
    """A total in which something counts twice."""
    return Finding(
        "counted-twice",
        (place,),
        f"={book.formula(place)[:LONGEST]}{book.title(place)}, in which {what} is {kind}",
        "every amount counts once",
        f"what {what} stands for is in {look.by} already and is added a second time",
        f"leave {what} out of the area, or add up the subtotals only",
        Sure.LIKELY,
        Weight.WRONG,
    )


def text_numbers(book: Book) -> Iterator[Finding]:
    """Numbers and dates that were typed as text in a column of numbers: a sum passes over them."""
    summed = [total for total in book.totals if total.name in ADDING]
    for sheet in book.sheets:
        typed = book.typed(sheet)
        for (row, column), text in book.texts(sheet).items():
            if NUMBER.fullmatch(text) or DATE.fullmatch(text):
                beside = [typed.get((each, column)) for each in rows_beside(book, sheet, row, column)]
                numbers = sum(isinstance(each, float) for each in beside)
                if numbers > sum(isinstance(each, str) for each in beside):
                    over = next((each for each in summed if each.look.covers((sheet, row, column))), None)
                    yield text_number(book, (sheet, row, column), over)


def rows_beside(book: Book, sheet: str, row: int, column: int) -> Iterator[int]:
    """The other rows of a row's table; where the template knows none, the numbers above and below it."""
    match = book.canon.match(sheet)
    first = match.rows.get(row, 0) if match else 0
    if match and match.repeated(first):
        yield from (each for each in match.rows_of[first] if each != row)
        return
    typed = book.typed(sheet)
    for step in (-1, 1):
        near = row + step
        while isinstance(typed.get((near, column)), float):
            yield near
            near += step


def text_number(book: Book, place: Place, over: Total | None) -> Finding:
    """A number that is a text; `over` is a total that passes over it."""
    value = book.value(place)
    return Finding(
        "number-as-text",
        (place,),
        f'"{value}"{book.title(place)}, a text',
        f"the {'date' if DATE.fullmatch(str(value)) else 'number'} {str(value).strip()}, as in the other rows",
        f"{address(*over.place)} ({over.name}) passes over it" if over else "sums and comparisons pass over a text",
        "set the cell's format to General and type it again",
        Sure.CERTAIN,
        Weight.WRONG if over else Weight.WEAK,
    )
