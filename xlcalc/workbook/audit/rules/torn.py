"""Rows torn apart: words that go with the names of other rows, hoses sold by the piece and fittings by the metre.

A row keeps what belongs to it however a table is sorted. Where one column was sorted by itself, the words that went
with the names of their rows, `O-rings` with `O-ring -8`, stand beside others.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from xlcalc.core.words import plural
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.peers import PRICE, SUPPLIER
from xlcalc.workbook.audit.evidence.said import BEND, COUNTED_BY, HOSE, PART, SEAT, SMALL_PART, tables_of
from xlcalc.workbook.audit.evidence.ties import FROM, HELD, METRE, PIECE, UNIT, Told
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.sorting import UNDO, in_order
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import Value

WORD = re.compile(r"[a-z]+")
# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
SHORTEST = 3  # letters of a word that says anything; the letter of a supplier may be one
FEWEST_ROWS = 4  # in order: by chance once in 12 times, and no words are torn by chance
FEWEST_TORN = 3  # rows whose words went to others
MOST_PARTED = 0.2  # share of the rows whose words go with no row at all
TOO_COMMON = 0.5  # share of the rows that have a word which tells none of them
FEWEST_ROLLS = 3  # of pieces, and metres without one
FEWEST_PARTS = 2  # hoses by the piece, and fittings by the metre
NUMBER, ROLL = "Part number", "Roll"
UP_TO, END_SIZE = "Up to", "Size of end"
NUMBER_IN_NAME = re.compile(r"-?[0-9]+(?:\.[0-9]+)?$")
HOLDS: Mapping[str, str] = {
    "crimp": "crimped", "crimped": "crimped", "reusable": "reusable", "bead": "clamps", "clamp": "clamps",
}
"""How a part is held, by the words of its name and seat that leave no choice."""


class Pair(NamedTuple):
    """Two typed columns whose words go together in a row, and the shortest word that says so."""

    one: int
    other: int
    shortest: int


def torn_words(book: Book) -> Iterator[Finding]:
    """Columns in perfect order whose words go with the names of other rows, while theirs go with these."""
    for table in book.every_table():
        texts = typed_texts(book, table)
        for one, other, shortest in pairs(table):
            both = [row for row in texts.get(one, ()) if row in texts.get(other, ())]
            ordered = (each for each in (one, other) if in_order([texts[each][row] for row in both], FEWEST_ROWS))
            if moved := next(ordered, 0):
                told = [telling({row: texts[each][row] for row in both}, shortest) for each in (one, other)]
                torn = torn_rows(told[0], told[1])
                if torn:
                    yield words_apart(book, [(table.sheet, row, moved) for row in torn], one + other - moved)


def typed_texts(book: Book, table: Listing) -> dict[int, dict[int, str]]:
    """The texts of the columns that are filled in by hand, by column and row."""
    typed, formulas = book.typed(table.sheet), book.formulas(table.sheet)
    found: dict[int, dict[int, str]] = {}
    for column in table.columns.values():
        if not any((row, column) in formulas for row in table.rows):
            values = ((row, typed.get((row, column))) for row in table.rows)
            found[column] = {row: value for row, value in values if isinstance(value, str)}
    return found


def pairs(table: Listing) -> Iterator[Pair]:
    """The names of the rows with each other column; the numbers of parts with those who sell them."""
    for column in table.columns.values():
        if column != NAME_COLUMN:
            yield Pair(NAME_COLUMN, column, SHORTEST)
    if {NUMBER, SUPPLIER} <= table.columns.keys():
        yield Pair(table.columns[NUMBER], table.columns[SUPPLIER], 1)


def telling(texts: Mapping[int, str], shortest: int) -> Told:
    """The words of each row in their singular, without those that most of the rows have."""
    words = {row: {word.removesuffix("s") or word for word in WORD.findall(text.casefold()) if len(word) >= shortest}
             for row, text in texts.items()}  # fmt: skip
    often = Counter(word for held in words.values() for word in held)
    few = TOO_COMMON * len(texts)
    return {row: frozenset(word for word in held if often[word] <= few or shortest == 1) for row, held in words.items()}


def torn_rows(one: Told, other: Told, fewest: int = FEWEST_TORN) -> list[int]:
    """The rows that say nothing alike in two columns, though each of their words is said by another such row."""
    both = [row for row in one if row in other]
    apart = [row for row in both if not one[row] & other[row]]
    said_here, said_there = (frozenset[str]().union(*(each[row] for row in apart)) for each in (one, other))
    torn = [row for row in apart if one[row] & said_there and other[row] & said_here]
    return torn if len(torn) >= fewest and len(apart) - len(torn) <= MOST_PARTED * len(both) else []


def words_apart(book: Book, cells: Sequence[Place], beside: int) -> Finding:
    """A finding about a column that was sorted by itself."""
    sheet, row, _ = cells[0]
    other = sheet, row, beside
    return Finding(
        "sorted-in-part", tuple(cells),
        f"{shown(book.value(cells[0]))} here{book.title(cells[0])} beside {shown(book.value(other))}{book.title(other)}"
        f", and so on in {len(cells)} rows, while the column is sorted",
        "words that go together in one row, as they all do once they are put back",
        "what belongs to one name is counted, priced and looked up under another",
        UNDO, Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip


def torn_prices(book: Book) -> Iterator[Finding]:
    """Lists of prices in which the units went to other rows: what comes by the metre is sold by the piece, and back."""
    every = [table for table in book.every_table() if {PRICE, UNIT} <= table.columns.keys()]
    hoses, parts = named(book, HOSE, BEND), named(book, PART, SEAT)
    small = named(book, SMALL_PART, COUNTED_BY)  # sleeves by the metre come in no rolls
    for table in every:
        typed, unit = book.typed(table.sheet), table.columns[UNIT]
        sold = {row: (typed.get((row, NAME_COLUMN)), typed.get((row, unit))) for row in table.rows}
        by_metre = [row for row, (name, by) in sold.items() if name in parts and by == METRE]
        by_piece = [row for row, (name, by) in sold.items() if name in hoses and by == PIECE]
        if len(by_metre) >= FEWEST_PARTS <= len(by_piece):
            said = f"{plural(len(by_piece), 'hose')} sold by the piece, {plural(len(by_metre), 'fitting')} by the metre"
            yield units_apart(table.sheet, (*by_piece, *by_metre), (unit, NAME_COLUMN), said)
        if roll := table.columns.get(ROLL, 0):
            rolled = {row for row in table.rows if isinstance(typed.get((row, roll)), float)}
            pieces = [row for row, (_, by) in sold.items() if by == PIECE and row in rolled]
            by_length = [row for row, (name, by) in sold.items() if by == METRE and name not in small]
            metres = [row for row in by_length if row not in rolled]
            if len(pieces) >= FEWEST_ROLLS <= len(metres):
                said = f"{len(pieces)} rows by the piece come in rolls, {len(metres)} by the metre do not"
                yield units_apart(table.sheet, (*pieces, *metres), (unit, roll), said)


def named(book: Book, head: str, has: str) -> set[Value]:
    """The names of the rows of the tables under a header, of those that have another one too."""
    rows = ((table.sheet, row) for table in tables_of(book, head, has) for row in table.rows)
    return {book.value((sheet, row, NAME_COLUMN)) for sheet, row in rows} - {None, ""}


def units_apart(sheet: str, rows: Sequence[int], columns: Sequence[int], said: str) -> Finding:
    """A finding about rows of a list of prices whose unit went to other rows, or what goes with it."""
    return Finding(
        "wrong-row", tuple((sheet, row, column) for row in sorted(rows) for column in columns), said,
        "hose by the metre, in rolls, and parts by the piece",
        "so it looks where one column was sorted or pasted by itself: its cells stand beside other names",
        "compare both columns with the last good copy, and put the cells back; sort with all columns selected",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip


def torn_sizes(book: Book) -> Iterator[Finding]:
    """Small parts in perfect order whose sizes stand in other rows: `grommet 22` beside -5, and 22 beside another."""
    for table in book.every_table():
        if table.head() != SMALL_PART or not {FROM, UP_TO, END_SIZE} <= table.columns.keys():
            continue
        typed = book.typed(table.sheet)
        names = {row: name for row in table.rows if isinstance(name := typed.get((row, NAME_COLUMN)), str)}
        sizes = {row: tuple(typed.get((row, table.columns[head])) for head in (FROM, UP_TO, END_SIZE)) for row in names}
        apart = [row for row, name in names.items() if not of_size(name, *sizes[row])]
        torn = [row for row in apart if any(of_size(names[row], *sizes[other]) for other in apart)]
        if len(torn) >= FEWEST_TORN and in_order(list(names.values()), FEWEST_ROWS):
            yield Finding(
                "sorted-in-part", tuple((table.sheet, row, NAME_COLUMN) for row in torn),
                f"{shown(names[torn[0]])} here, whose size stands in another row, and so on in {len(torn)} rows",
                "the sizes of a part in its own row",
                "so it looks where the names were sorted by themselves: what belongs to one is counted under another",
                UNDO, Sure.LIKELY, Weight.WRONG,
            )  # fmt: skip


def of_size(name: str, least: Value, most: Value, end: Value) -> bool:
    """True where the number in a name is the size of an end, or lies where the part fits."""
    said = NUMBER_IN_NAME.search(name)
    if said is None:
        return False
    if isinstance(end, str) and end == said[0]:
        return True
    return isinstance(least, float) and least <= float(said[0]) <= (most if isinstance(most, float) else least)


def held_otherwise(book: Book) -> Iterator[Finding]:
    """Parts whose name or seat says how they are held, and another word stands there."""
    for table in book.every_table():
        if HELD not in table.columns or SEAT not in table.columns:
            continue
        typed = book.typed(table.sheet)
        for row in table.rows:
            there = typed.get((row, table.columns[HELD]))
            said = " ".join(str(typed.get((row, each), "")) for each in (NAME_COLUMN, table.columns[SEAT])).casefold()
            ways = {way for word, way in HOLDS.items() if re.search(rf"\b{word}\b", said)}
            if isinstance(there, str) and there in HOLDS.values() and len(ways) == 1 and there not in ways:
                place = table.sheet, row, table.columns[HELD]
                yield Finding(
                    "held-otherwise", (place,),
                    f"{shown(there)} here{book.title(place)} for {shown(typed.get((row, NAME_COLUMN)))}",
                    f"{ways.pop()}, as its name and seat say",
                    "a hose is checked by how its ends are held: clamps bear less than crimped ends",
                    "look the part up, and pick how it is held",
                    Sure.LIKELY, Weight.WRONG,
                )  # fmt: skip
