"""Figures where a formula belongs: an answer pasted as a value, a total that was typed, a formula that was nudged."""

import math
import re
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import LONGEST
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.areas import ADDING
from xlcalc.workbook.audit.reading.patterns import LOOK
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.formulas import calls, column_letters

TOTAL_WORDS = re.compile(r"(?:grand |sub)?(?:sum|totals?)\b", re.IGNORECASE)
# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
MOST_DIGITS = 11  # that a person types, or that a table of figures gives
FEWEST_ABOVE = 3  # numbers above a total
FEWEST_DIGITS = 3  # of a sum that is told from a figure like it by its digits
EXACT = 1e-12  # share by which two orders of adding up the same numbers may differ
NUDGE = re.compile(r"(.*[\w)%])([+-])([0-9.]+)", re.DOTALL)
NOTHING = re.compile(r".*(?:[+-]0|[*/]1)", re.DOTALL)
SCALED = re.compile(rf"\((?:{LOOK}|[A-Z_][\w.]*\(.*\))\)\*[0-9.]+", re.DOTALL)
WORKED_OUT = "so many digits are the answer of a formula: it was pasted as a value and no longer follows"
NOT_SUMMED = "a total that is typed does not follow what it adds up"
NOT_FOLLOWING = "all beside it follow what they are worked out from, this does not, and no formula takes it as an input"
MAY_BE_NUDGED = (*ADDING, "MAX", "MIN", "ROUND")


def pasted_values(book: Book) -> Iterator[Finding]:
    """Typed numbers with as many digits as only a formula gives, typed totals, and numbers among formulas."""
    for sheet in book.sheets:
        sums, told = total_rows(book, sheet), set()
        own, typed = not (book.canon.match(sheet) or book.tables(sheet)), book.typed(sheet)
        short: set[float] = set()  # most figures of a large sheet are few, again and again
        for (row, column), value in typed.items():
            if not isinstance(value, float):
                continue
            if value not in short:
                if len(repr(value)) > MOST_DIGITS < digits(value):
                    told.add((row, column))
                    where = sheet, row, column
                    yield pasted(book, where, "a formula, or the figure as it was measured", WORKED_OUT)
                    continue
                short.add(value)
            total = sums and column > sums.get(row, column) and is_below_numbers(book, (sheet, row, column))
            ends = own and not total and not isinstance(typed.get((row + 1, column)), float)
            if total or (ends and adds_up(book, (sheet, row, column), value)):
                told.add((row, column))
                above = f"=SUM(...) of the cells above {column_letters(column)}{row}"
                yield pasted(book, (sheet, row, column), above, NOT_SUMMED)
        for row, column in among_formulas(book, sheet):
            if (row, column) not in told:
                yield pasted(book, (sheet, row, column), "a formula, as in the cells above and below it", NOT_FOLLOWING)


def digits(value: float) -> int:
    """How many digits a number has from its first to its last that is not 0, as a spreadsheet shows it.

    A file may hold a typed 1.14 as 1.1400000000000001: beyond 15 digits it says nothing.
    """
    return len(f"{abs(value):.15g}".partition("e")[0].replace(".", "").strip("0"))


def total_rows(book: Book, sheet: str) -> dict[int, int]:
    """The rows that are called a total, each with the column of that word."""
    firsts = ((row, min(held.texts), held.texts) for row, held in book.rows(sheet).items() if held.texts)
    return {row: first for row, first, texts in firsts if TOTAL_WORDS.match(texts[first])}


def is_below_numbers(book: Book, place: Place) -> bool:
    """True for a cell with enough numbers right above it."""
    sheet, row, column = place
    above = [book.value((sheet, each, column)) for each in range(max(1, row - FEWEST_ABOVE), row)]
    return len(above) == FEWEST_ABOVE and all(isinstance(each, float) for each in above)


def adds_up(book: Book, place: Place, value: float) -> bool:
    """True for the last number of a list that is the sum of all above it, to the last digit."""
    sheet, row, column = place
    if digits(value) < FEWEST_DIGITS or isinstance(book.value((sheet, row + 1, column)), float):
        return False
    total, count = 0.0, 0
    while row - count > 1 and isinstance(above := book.value((sheet, row - count - 1, column)), float):
        total, count = total + above, count + 1
    return count >= FEWEST_ABOVE and math.isclose(total, value, rel_tol=EXACT)


def pasted(book: Book, place: Place, expected: str, why: str) -> Finding:
    """A number in the place of a formula."""
    return Finding(
        "pasted-value",
        (place,),
        f"{shown(book.value(place))}{book.title(place)}, typed",
        expected,
        why,
        "put the formula back, or type the figure with the digits that it has",
        Sure.LIKELY,
        Weight.WEAK,
    )


def among_formulas(book: Book, sheet: str) -> Iterator[tuple[int, int]]:
    """Numbers on a shop's own sheet that nothing takes, in a list of labelled formulas.

    Two of them stand above it, two below it, or one on each side.
    """
    typed, formulas = book.typed(sheet), book.formulas(sheet)
    if not formulas or book.canon.match(sheet) or book.tables(sheet):
        return
    columns = {column for _, column in formulas}
    for row, column in sorted(place for place in typed if place[1] in columns):
        above = [(each, column) in formulas for each in (row - 2, row - 1)]
        below = [(each, column) in formulas for each in (row + 1, row + 2)]
        value, label = typed[row, column], typed.get((row, column - 1))
        if (
            isinstance(value, float) and isinstance(label, str)
            and (all(above) or all(below) or (above[-1] and below[0]))
            and not book.looked_at(sheet).at(row, column)
        ):  # fmt: skip
            yield row, column


def nudged(book: Book) -> Iterator[Finding]:
    """Formulas to whose end something was added that does nothing, or a figure that makes a total come out."""
    for sheet in book.sheets:
        asked: set[int] = set()
        for (row, column), pattern in book.formulas(sheet).items():
            if id(pattern) in asked:
                continue
            asked.add(id(pattern))
            if (end := nudge(pattern.shape)) and not book.known((sheet, row, column)):
                yield Finding(
                    "nudged",
                    ((sheet, row, column),),
                    f"={pattern.at(row)[-LONGEST:]}{book.title((sheet, row, column))}",
                    f"the formula without {end} at its end",
                    f"{end} was put behind a finished formula: whoever reads the answer does not see it",
                    f"take {end} away, or give the figure a cell of its own with a label",
                    Sure.LIKELY,
                    Weight.WEAK,
                )


def nudge(shape: str) -> str:
    """What was put behind a formula; empty for a formula as people write it."""
    found = NUDGE.fullmatch(shape)
    if NOTHING.fullmatch(shape):
        return shape[-2:]
    if SCALED.fullmatch(shape):
        return shape[shape.rindex("*"):]
    if found is None:
        return ""
    whole = next((call for call in calls(found[1]) if call.start == 0 and call.end == len(found[1])), None)
    return found[2] + found[3] if whole and whole.name in MAY_BE_NUDGED else ""
