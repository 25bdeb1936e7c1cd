"""Rows torn apart that the book ties together: nuts beside lines without any, two ends of a hose of different sizes.

What goes together stands in a column beside another, or in the row of the line or part on its own sheet. A single such
row may be a slip or a thing of its own. Several that make each other whole again, in a table with a column in perfect
order, were sorted in part.
"""

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from math import ceil
from typing import NamedTuple

from xlcalc.core.words import plural
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.said import (
    BEND,
    CIRCUIT,
    COUNTED_BY,
    HOSE,
    LINE,
    PART,
    SEAT,
    of_hoses,
    of_lines,
    of_parts,
    of_small_parts,
    said,
    tables_of,
)
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.sorting import FEWEST_WAYS, UNDO, in_order, ordered, ways
from xlcalc.workbook.audit.rules.torn import Told, torn_rows
from xlcalc.workbook.formulas import column_letters
from xlcalc.workbook.listing import NAME_COLUMN, Listing
from xlcalc.workbook.sheets.parts_counted import SLEEVE, WRAP
from xlcalc.workbook.sheets.testing_rows import SERVICE_ROWS
from xlcalc.workbook.workings import shown

FEWEST_ROWS = 4  # of the column that is in order
FEWEST_TORN = 2  # rows that make each other whole again: that they do so is no chance
LEAST_TORN = 0.1  # share of the rows
FEWEST_WITHOUT_ORDER, LEAST_WITHOUT_ORDER = 4, 0.5  # where no column is in order
SIZE = re.compile(r"(?<!\S)-?[0-9]+(?:\.[0-9]+)?(?!\S)")
END_A, END_B, SIZE_HEAD = "End A", "End B", "Size"
NUT, METAL = "Nut size", "Nut metal"
ENDS, HELD, CLAMPED = "Ends", "Held by", "clamps"
LIFE, MADE, WHEN = "Life of hose", "Hose made", "When"
OPTION = "Option"
UNIT, PRICE, METRE, PIECE, LITRE, PACK = "Unit", "Price", "m", "piece", "L", "pack"
FEWEST_CLAMPED, LEAST_CLAMPED = 3, 0.25  # rows, and their share of those whose hose no table lets a clamp hold
NO_NUT = frozenset({CLAMPED})
OF_A_LINE, OF_THE_CAR = "line", "car"


class Tie(NamedTuple):
    """Two columns of a table that go together, and what each says by row; a row that says nothing is left out.

    `elsewhere`: another sheet says so of the name of the row, and it may be that one which was sorted.
    """

    one: int
    other: int
    by_one: Told
    by_other: Told
    elsewhere: bool = False


Ties = Callable[[Book, Listing], Iterator[Tie]]


def torn_ties(book: Book) -> Iterator[Finding]:
    """Tables with a column in perfect order and rows whose cells go with those of other rows."""
    for table in book.every_table():
        for tie in (tie for ties in TIES.get(table.head(), ()) for tie in ties(book, table)):
            both = len(tie.by_one.keys() & tie.by_other.keys())
            torn = torn_rows(tie.by_one, tie.by_other, max(FEWEST_TORN, ceil(LEAST_TORN * both)))
            sorted_by = next(ordered(book, table, FEWEST_ROWS), 0) if torn else 0
            clear = not tie.elsewhere and len(torn) >= max(FEWEST_WITHOUT_ORDER, LEAST_WITHOUT_ORDER * both)
            if sorted_by or clear:
                filled = [row for row in torn if (row, tie.other) in book.typed(table.sheet)]
                yield torn_apart(book, table, (tie.one, tie.other), filled or torn, sorted_by)


def words(book: Book, table: Listing, column: int) -> dict[int, str]:
    """The texts that stand typed in a column, by row."""
    typed = book.typed(table.sheet)
    return {row: value for row in table.rows if isinstance(value := typed.get((row, column)), str)}


def sizes(book: Book, table: Listing) -> Iterator[Tie]:
    """Parts: the size in a name is that of its row."""
    if {SEAT, SIZE_HEAD} <= table.columns.keys():
        names, column = words(book, table, NAME_COLUMN), table.columns[SIZE_HEAD]
        there = words(book, table, column)
        named = {row: frozenset(found) for row, name in names.items() if (found := SIZE.findall(name)) and row in there}
        yield Tie(NAME_COLUMN, column, named, {row: frozenset({there[row]}) for row in named})


def ends(book: Book, table: Listing) -> Iterator[Tie]:
    """Routes: both ends of a hose have its size, and are held as Lines says."""
    if {END_A, END_B} <= table.columns.keys():
        size = of_parts(book, SIZE_HEAD)
        one, other = table.columns[END_A], table.columns[END_B]
        parts = [words(book, table, column) for column in (one, other)]
        told = [{row: frozenset({shown(size[part])}) for row, part in held.items() if part in size} for held in parts]
        yield Tie(one, other, told[0], told[1])
        lines, there, holds = words(book, table, NAME_COLUMN), of_lines(book, ENDS), of_parts(book, HELD)
        as_said = {row: frozenset({shown(there[line])}) for row, line in lines.items() if line in there}
        for column, held in zip((one, other), parts, strict=True):
            holding = {row: frozenset({shown(holds[part])}) for row, part in held.items() if part in holds}
            yield Tie(NAME_COLUMN, column, as_said, holding, elsewhere=True)


def nuts(book: Book, table: Listing) -> Iterator[Tie]:
    """Testing: a nut is one of the ends of its line, and has a metal."""
    if {NUT, METAL} <= table.columns.keys():
        nut, metal = table.columns[NUT], table.columns[METAL]
        sizes, metals = words(book, table, nut), words(book, table, metal)
        filled = sizes.keys() | metals.keys()
        told = [{row: frozenset({str(row in held)}) for row in sorted(filled)} for held in (sizes, metals)]
        yield Tie(nut, metal, told[0], told[1])
        taken, there = nuts_of_lines(book, words(book, table, NAME_COLUMN), sizes)
        yield Tie(NAME_COLUMN, nut, taken, there, elsewhere=True)


def nuts_of_lines(book: Book, lines: Mapping[int, str], nuts: Mapping[int, str]) -> tuple[Told, Told]:
    """The sizes of nut that the ends of lines take, and those that stand beside the lines, or that there is none."""
    routed, ends = nuts_on_routes(book), of_lines(book, ENDS)
    taken = {row: routed.get(line) or (NO_NUT if ends.get(line) == CLAMPED else frozenset[str]())
             for row, line in lines.items()}  # fmt: skip
    known = {row: sizes for row, sizes in taken.items() if sizes}
    return known, {row: frozenset({nuts[row]}) if row in nuts else NO_NUT for row in known}


def nuts_on_routes(book: Book) -> dict[str, frozenset[str]]:
    """The sizes of the ends of each line on Routes; of a line between clamps, that there is no nut."""
    held, size = of_parts(book, HELD), of_parts(book, SIZE_HEAD)
    found: dict[str, frozenset[str]] = {}
    for head in (END_A, END_B):
        for line, part in said(book, LINE, head, head).items():
            if isinstance(part, str) and part in held and part in size:
                found[line] = found.get(line, frozenset()) | {CLAMPED if held[part] == CLAMPED else shown(size[part])}
    return {line: sizes - NO_NUT or NO_NUT for line, sizes in found.items()}


def hoses(book: Book, table: Listing) -> Iterator[Tie]:
    """Options: the hose that a line has on Lines is one of those that stand side by side for it."""
    if {OPTION, HOSE} <= table.columns.keys():
        column, there = table.columns[HOSE], of_lines(book, HOSE)
        hose = words(book, table, column)
        lines = {row: line for row, line in words(book, table, NAME_COLUMN).items() if row in hose and line in there}
        beside: dict[str, frozenset[str]] = {}
        for row, line in lines.items():
            beside[line] = beside.get(line, frozenset()) | {hose[row]}
        told = {row: frozenset({shown(there[line])}) for row, line in lines.items()}
        yield Tie(NAME_COLUMN, column, told, {row: beside[line] for row, line in lines.items()}, elsewhere=True)


def service(book: Book, table: Listing) -> Iterator[Tie]:
    """What is to be looked after: a hose has an age, the rest has its time, as a new workbook says it."""
    if not {LIFE, MADE, WHEN} <= table.columns.keys():
        return
    life, made, when = (table.columns[head] for head in (LIFE, MADE, WHEN))
    typed, lines, usual = book.typed(table.sheet), of_lines(book, CIRCUIT), dict(SERVICE_ROWS)
    names = {row: name for row, name in words(book, table, NAME_COLUMN).items() if name in usual or name in lines}
    times = {row: frozenset({usual.get(name, OF_A_LINE)}) for row, name in names.items()}
    aged = {row for row in names if (row, life) in typed or (row, made) in typed}
    timed = words(book, table, when)
    there = {row: frozenset({timed.get(row, OF_A_LINE)}) for row in names if row in timed or row in aged}
    yield Tie(NAME_COLUMN, when, {row: times[row] for row in there}, there)
    kinds = {row: frozenset({OF_THE_CAR if name in usual else OF_A_LINE}) for row, name in names.items()}
    yield Tie(NAME_COLUMN, made, kinds, {row: frozenset({OF_A_LINE if row in aged else OF_THE_CAR}) for row in names})


def units(book: Book, table: Listing) -> Iterator[Tie]:
    """Prices: hose comes by the metre, parts by the piece, fluids by the litre, and all of them in packs."""
    if {UNIT, PRICE} <= table.columns.keys():
        sold: dict[str, str] = {
            **dict.fromkeys(of_hoses(book, BEND), METRE), **dict.fromkeys(of_parts(book, SEAT), PIECE),
            **dict.fromkeys(said(book, "Fluid", "Starts from", "Check"), LITRE),
            **{part: METRE if by in (SLEEVE, WRAP) else PIECE for part, by in of_small_parts(book, COUNTED_BY).items()},
        }  # fmt: skip
        names, column = words(book, table, NAME_COLUMN), table.columns[UNIT]
        usual = {row: frozenset({sold[name], PACK}) for row, name in names.items() if name in sold}
        there = {row: frozenset({unit}) for row, unit in words(book, table, column).items()}
        yield Tie(NAME_COLUMN, column, usual, there)


TIES: Mapping[str, Sequence[Ties]] = {
    LINE: (ends, nuts, hoses), PART: (sizes,), "Item": (units,), "Line or item": (service,),
}  # fmt: skip
"""What goes together, by the header over the names of a table."""


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
            yield torn_apart(book, table, (NAME_COLUMN, table.columns[OPTION]), torn, table.columns[OPTION])


def clamped(book: Book) -> Iterator[Finding]:
    """Lines whose ends stand in perfect order, so that hoses that no table lets a clamp hold are held by clamps."""
    limits = of_hoses(book, "Limit with clamps")
    for table in tables_of(book, LINE, CIRCUIT):
        if not {HOSE, ENDS} <= table.columns.keys():
            continue
        hose, held = words(book, table, table.columns[HOSE]), words(book, table, table.columns[ENDS])
        ends = [held.get(row) for row in table.rows if row in hose]
        no_limit = [row for row in hose if hose[row] not in limits and row in held]
        torn = [row for row in no_limit if held[row] == CLAMPED]
        many = len(torn) >= max(FEWEST_CLAMPED, LEAST_CLAMPED * len(no_limit))
        if many and in_order(ends, FEWEST_ROWS) and ways(ends) >= FEWEST_WAYS:
            yield torn_apart(book, table, (table.columns[HOSE], table.columns[ENDS]), torn, table.columns[ENDS])


def torn_apart(book: Book, table: Listing, pair: tuple[int, int], torn: Sequence[int], sorted_by: int) -> Finding:
    """A finding about rows whose cells in two columns belong to each other's rows."""
    one, other = ((table.sheet, torn[0], column) for column in pair)
    column = f"{column_letters(sorted_by)}{book.title((table.sheet, torn[0], sorted_by))}" if sorted_by else ""
    return Finding(
        "sorted-in-part",
        tuple((table.sheet, row, column) for row in torn for column in pair),
        f"{shown(book.value(other))}{book.title(other)} beside {shown(book.value(one))}{book.title(one)}, and so on in "
        f"{plural(len(torn), 'row')}" + (f", while column {column} is sorted" if sorted_by else ""),
        "cells that go together in one row, as they all do once they are put back",
        "what belongs to one name is worked out, tested and ordered under another",
        UNDO, Sure.LIKELY if sorted_by else Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip
