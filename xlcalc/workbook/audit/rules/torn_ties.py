"""Rows torn apart that the book ties together: nuts beside lines without any, two ends of a hose of different sizes.

What goes together stands in a column beside another, or in the row of the line or part on its own sheet. A single such
row may be a slip or a thing of its own. Several that make each other whole again, in a table with a column in perfect
order, were sorted in part.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from math import ceil

from xlcalc.core.words import plural
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.said import HOSE, LINE, STARTS, of_hoses, tables_of
from xlcalc.workbook.audit.evidence.ties import CLAMPED, ENDS, OPTION, TIES, Order, Tie, words
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.sorting import FEWEST_WAYS, UNDO, in_order, ordered, ways
from xlcalc.workbook.audit.rules.torn import torn_rows
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.formulas import column_letters

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST_ROWS = 4  # of letters that are in order
FEWEST_VALUES, FEWEST_ORDERS = 3, 24  # of a column that is in order, and ways to put it in another: those of 4 rows
FEWEST_TORN = 2  # rows that make each other whole again: that they do so is no chance
LEAST_TORN = 0.1  # share of the rows
FEWEST_WITHOUT_ORDER, LEAST_WITHOUT_ORDER = 4, 0.5  # where no column is in order
MOST_SURPLUS = 0.2, 0.5  # share of the rows, and where one of both columns is in order: some lack a word by themselves
FEWEST_CLAMPED, LEAST_CLAMPED = 3, 0.25  # rows, and their share of those whose hose no table lets a clamp hold
LIMIT = "Limit with clamps"


def torn_ties(book: Book) -> Iterator[Finding]:
    """Tables with a column in perfect order and rows whose cells go with those of other rows."""
    for table in book.every_table():
        for tie in (tie for ties in TIES.get(table.head(), ()) for tie in ties(book, table)):
            both = len(tie.by_one.keys() & tie.by_other.keys())
            torn = torn_rows(tie.by_one, tie.by_other, max(FEWEST_TORN, ceil(LEAST_TORN * both)))
            sorted_by = in_turn(book, table, tie, torn) if torn else 0
            order = Order.OWN if sorted_by in (tie.one, tie.other) else Order.ANY if sorted_by else Order.NOTHING
            many = order or len(torn) >= max(FEWEST_WITHOUT_ORDER, LEAST_WITHOUT_ORDER * both)
            few_left = torn and surplus(tie, torn) <= MOST_SURPLUS[order is Order.OWN] * len(torn)
            rows = [row for row in torn if not tie.elsewhere or (row, tie.other) in book.typed(table.sheet)]
            if order >= tie.asked and many and few_left and len(rows) >= FEWEST_TORN:
                yield torn_apart(book, table, (tie.one, tie.other), rows, sorted_by)


def surplus(tie: Tie, torn: Sequence[int]) -> int:
    """How many words of the second column have no row to go to: few once it was sorted, more where some lack."""
    asked = Counter(word for row in torn for word in tie.by_one[row])
    there = Counter(word for row in torn for word in tie.by_other[row])
    return sum((there - asked).values())


def in_turn(book: Book, table: Listing, tie: Tie, torn: Sequence[int]) -> int:
    """The column by which some were sorted: one of the two, for several rows any in order but the names; 0 for none.

    Names are often in order, and the columns beside them were not sorted with them where they go together.
    """
    found = ordered(book, table, FEWEST_VALUES, FEWEST_ORDERS)
    own = next((column for column in (tie.other, tie.one) if column in found), 0)
    others = (column for column in found if column != NAME_COLUMN and len(torn) > FEWEST_TORN)
    return own or next(others, 0)


def double_letters(book: Book) -> Iterator[Finding]:
    """Options whose letters stand in perfect order, so that lines have one of them twice and lack another."""
    for table in book.every_table():
        if table.head() != LINE or not {OPTION, HOSE} <= table.columns.keys():
            continue
        letters, lines = words(book, table, table.columns[OPTION]), words(book, table, NAME_COLUMN)
        rows = [row for row in letters if row in lines]
        often = Counter((lines[row], letters[row]) for row in rows)
        twice = {line for (line, _), count in often.items() if count > 1}
        if len(twice) >= FEWEST_TORN and in_order([letters[row] for row in rows], FEWEST_ROWS):
            torn = [row for row in rows if lines[row] in twice]
            pair = NAME_COLUMN, table.columns[OPTION]
            yield torn_apart(book, table, pair, torn, table.columns[OPTION], alone=True)


def clamped(book: Book) -> Iterator[Finding]:
    """Lines whose ends stand in perfect order, so that hoses that no table lets a clamp hold are held by clamps."""
    limits = of_hoses(book, LIMIT)
    for table in tables_of(book, LINE, STARTS):
        if not {HOSE, ENDS} <= table.columns.keys():
            continue
        hose, held = words(book, table, table.columns[HOSE]), words(book, table, table.columns[ENDS])
        ends = [held.get(row) for row in table.rows if row in hose]
        no_limit = [row for row in hose if hose[row] not in limits and row in held]
        torn = [row for row in no_limit if held[row] == CLAMPED]
        many = len(torn) >= max(FEWEST_CLAMPED, LEAST_CLAMPED * len(no_limit))
        if many and in_order(ends, FEWEST_ROWS) and ways(ends) >= FEWEST_WAYS:
            pair = table.columns[HOSE], table.columns[ENDS]
            yield torn_apart(book, table, pair, torn, table.columns[ENDS], alone=True)


def torn_apart(
    book: Book, table: Listing, pair: tuple[int, int], torn: Sequence[int], sorted_by: int, *, alone: bool = False
) -> Finding:
    """A finding about rows whose cells in two columns belong to each other's rows; `alone`: the second was sorted."""
    one, other = ((table.sheet, torn[0], column) for column in pair)
    column = f"{column_letters(sorted_by)}{book.title((table.sheet, torn[0], sorted_by))}" if sorted_by else ""
    return Finding(
        "sorted-in-part",
        tuple((table.sheet, row, column) for row in torn for column in pair[alone:]),
        f"{shown(book.value(other))}{book.title(other)} beside {shown(book.value(one))}{book.title(one)}, and so on in "
        f"{plural(len(torn), 'row')}" + (f", while column {column} is sorted" if sorted_by else ""),
        "cells that go together in one row, as they all do once they are put back",
        "what belongs to one name is worked out, tested and ordered under another",
        UNDO, Sure.LIKELY if sorted_by and len(torn) > FEWEST_TORN else Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip
