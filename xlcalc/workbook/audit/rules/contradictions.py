"""Words of a row that contradict each other, or what the book says of the line or part that stands in the row.

Each of them stands in its list and may be right in another row; in this one they leave no choice.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.said import COUNTED_BY, LINE, SEAT, of_lines, of_parts, of_small_parts
from xlcalc.workbook.audit.evidence.ties import CLAMPED, ENDS, HELD, ITEM
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.belongs import FUELS, OILS, WATERS, class_of
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.landmarks import CLAMPS, FLOW, STOPS, WARM

BETWEEN = re.compile(r"[\s,;:()]+")
WHAT, VACUUM = "What", "vacuum"
SET_BY = "Flow set by"
SETS: Mapping[str, frozenset[str]] = {"fuel filling": FUELS | {"air"}, "blow-by": OILS | {"air"}}
"""What runs in a line whose flow of air is set by the filling of a tank, or by the pistons of the engine."""

KNOWN = FUELS | WATERS | OILS | {"air"}
SEATS: Mapping[str, str] = {
    "banjo": "banjo", "bead": "bead for clamp", "O-ring face": "O-ring face", "O-ring boss": "O-ring boss",
    "37 degree": "flare 37 degree",
}  # fmt: skip
"""What seals, by the words in the name of a part that leave no choice."""

ANGLE, TURNS = "Angle", re.compile(r"\b([0-9]{2,3}) elbow\b", re.IGNORECASE)


class Wrong(NamedTuple):
    """Two columns of a row that contradict each other: what was expected in the second, and why."""

    row: int
    one: int
    other: int
    expected: str
    why: str


Looked = Callable[[Book, Listing, str], Iterator[Wrong]]


def contradictions(book: Book) -> Iterator[Finding]:
    """Rows with two words of which each may be right, but not beside the other."""
    for table in book.every_table():
        for asked, looked in LOOKED.items():
            if asked in table.columns:
                for wrong in looked(book, table, asked):
                    yield contradiction(book, table, wrong)


def texts(book: Book, table: Listing, *columns: int) -> Iterator[tuple[int, list[str]]]:
    """The rows in which a text stands in each of some columns, with these texts."""
    typed = book.typed(table.sheet)
    for row in table.rows:
        held = [value for column in columns if isinstance(value := typed.get((row, column)), str)]
        if len(held) == len(columns):
            yield row, held


def readings(book: Book, table: Listing, asked: str) -> Iterator[Wrong]:
    """Readings that are called after another line than the one that they were read on, or that it cannot give."""
    if LINE not in table.columns:
        return
    uses, what, line = of_lines(book, "Use"), table.columns[asked], table.columns[LINE]
    for row, (name, there) in texts(book, table, NAME_COLUMN, line):
        named = {word for word in BETWEEN.split(name) if word in uses and any(map(str.isdigit, word))}
        if len(named) == 1 and there in uses and there not in named:
            yield Wrong(row, NAME_COLUMN, line, named.pop(), "the reading is called after another line")
    for row, (kind, there) in texts(book, table, what, line):
        use = uses.get(there)
        if use and kind == STOPS and use != VACUUM:
            yield Wrong(row, what, line, "a vacuum line", f"{there} has the use {use} on Lines")
        elif use == VACUUM and kind in (FLOW, WARM):
            yield Wrong(row, what, line, "a line with a liquid in it", f"{there} is a vacuum line on Lines")


def flows(book: Book, table: Listing, asked: str) -> Iterator[Wrong]:
    """Air lines whose flow is set by what does not run in them."""
    fluids, column = of_lines(book, "Fluid"), table.columns[asked]
    for row, (line, by) in texts(book, table, NAME_COLUMN, column):
        fluid = fluids.get(line)
        kind = class_of(book, fluid) if isinstance(fluid, str) and by in SETS else frozenset()
        if kind and kind <= KNOWN and not kind & SETS[by]:
            yield Wrong(row, NAME_COLUMN, column, "Lines, or what sets its flow", f"{line} is for {fluid} on Lines")


def clamps(book: Book, table: Listing, asked: str) -> Iterator[Wrong]:
    """Options whose ends are held in one way and bought in another."""
    if ENDS not in table.columns:
        return
    ends, column = table.columns[ENDS], table.columns[asked]
    bought: dict[str, Value] = {**of_parts(book, HELD), **{
        name: CLAMPED for name, by in of_small_parts(book, COUNTED_BY).items() if by == CLAMPS
    }}  # fmt: skip
    for row, (held, item) in texts(book, table, ends, column):
        if item in bought and bought[item] != held and CLAMPED in (held, bought[item]):
            yield Wrong(row, ends, column, f"what holds {held} ends" if held != CLAMPED else "a clamp",
                        f"{item} is for {shown(bought[item])}")  # fmt: skip


def seats(book: Book, table: Listing, asked: str) -> Iterator[Wrong]:
    """Parts whose name says what seals, and another word stands there."""
    column = table.columns[asked]
    for row, (name, seat) in texts(book, table, NAME_COLUMN, column):
        words = {found for word, found in SEATS.items() if re.search(rf"\b{word}\b", name, re.IGNORECASE)}
        if len(words) == 1 and seat in SEATS.values() and seat not in words:
            yield Wrong(row, NAME_COLUMN, column, f"{words.pop()}, as its name says", "two kinds of seat do not seal")


def angles(book: Book, table: Listing, asked: str) -> Iterator[Wrong]:
    """Parts whose name says how far they turn, and another angle stands there."""
    typed, column = book.typed(table.sheet), table.columns[asked]
    for row, (name,) in texts(book, table, NAME_COLUMN):
        turns, angle = TURNS.search(name), typed.get((row, column))
        if SEAT in table.columns and turns and isinstance(angle, float) and angle != float(turns[1]):
            yield Wrong(row, NAME_COLUMN, column, f"{turns[1]}, as its name says", "a bend in an end costs pressure")


LOOKED: Mapping[str, Looked] = {WHAT: readings, SET_BY: flows, ITEM: clamps, SEAT: seats, ANGLE: angles}
"""What is looked at, by the header of the column that says it."""


def contradiction(book: Book, table: Listing, wrong: Wrong) -> Finding:
    """A finding about two cells of a row that contradict each other."""
    one, other = ((table.sheet, wrong.row, column) for column in (wrong.one, wrong.other))
    return Finding(
        "contradiction", (one, other),
        f"{shown(book.value(other))} here{book.title(other)} beside {shown(book.value(one))}{book.title(one)}",
        wrong.expected, wrong.why,
        "look up which of the two is right; where several rows are like this, a column was sorted or pasted by itself",
        Sure.LIKELY, Weight.WRONG, fault=f"{one[2]} {other[2]}",
    )  # fmt: skip
