"""What goes together in the rows of a table: two columns of it, or a column and what another sheet says of the name."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import IntEnum
from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.said import (
    BEND,
    COUNTED_BY,
    HOSE,
    LINE,
    PART,
    SEAT,
    SMALL_PART,
    STARTS,
    of_hoses,
    of_lines,
    of_parts,
    of_small_parts,
    said,
)
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.landmarks import CLIPS, GROMMETS, RINGS, SERVICE_ROWS, SLEEVE, TAGS, WASHERS, WRAP

SIZE = re.compile(r"(?<!\S)-?[0-9]+(?:\.[0-9]+)?(?!\S)")
END_A, END_B, SIZE_HEAD = "End A", "End B", "Size"
NUT = "Nut size"
TOGETHER = (
    (NUT, "Nut metal"), ("Panels", "Grommet wall"), ("Bend radius", "Bend angle"), ("Bend angle", "Bends"),
    ("Held for", "Reading at start"), ("Reading at start", "Reading later"),
)  # fmt: skip
ENDS, HELD, CLAMPED = "Ends", "Held by", "clamps"
NO_NUT = frozenset({CLAMPED})
LIFE, MADE, WHEN = "Life of hose", "Hose made", "When"
OF_A_LINE, OF_THE_CAR = "line", "car"
OPTION, ITEM, EACH = "Option", "End or clamp", "Ends price each"
UNIT, PRICE, METRE, PIECE, LITRE, PACK = "Unit", "Price", "m", "piece", "L", "pack"
MEDIUM, PROVED, GAS, LIQUID = "Medium", "Proved with liquid", "gas", "liquid"
SHAPE, SLACK, STRAIGHT, BENT = "Shape", "Slack wanted", "straight", "bent"
FROM, ON_HOSE, IN_END = "From", "on a hose", "in an end"
FITS: Mapping[str, str] = {
    **dict.fromkeys((CLIPS, GROMMETS, SLEEVE, WRAP), ON_HOSE), **dict.fromkeys((WASHERS, RINGS, TAGS), IN_END),
}  # fmt: skip
"""What is counted by the sizes of hoses, and what is not; clamps may be either."""

Told = Mapping[int, frozenset[str]]
"""What each row of a column says; the words by which the rows are told apart."""


class Order(IntEnum):
    """What must be in perfect order before rows that do not agree count as torn: nothing, a column, one of both."""

    NOTHING = 0
    ANY = 1
    OWN = 2


class Tie(NamedTuple):
    """Two columns of a table that go together, and what each says by row; a row that says nothing is left out.

    `elsewhere`: another sheet says so of the name of the row, and it may be that one which was sorted.
    """

    one: int
    other: int
    by_one: Told
    by_other: Told
    asked: Order = Order.NOTHING
    elsewhere: bool = False


Ties = Callable[[Book, Listing], Iterator[Tie]]


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
            yield Tie(NAME_COLUMN, column, as_said, holding, Order.ANY, elsewhere=True)


def both_or_none(book: Book, table: Listing) -> Iterator[Tie]:
    """Figures and words of which a row has two or neither: a nut and its metal, the panels and their grommets."""
    typed = book.typed(table.sheet)
    for heads in TOGETHER:
        if table.columns.keys() >= set(heads):
            one, other = (table.columns[head] for head in heads)
            filled = [row for row in table.rows if (row, one) in typed or (row, other) in typed]
            told = [{row: frozenset({str((row, column) in typed)}) for row in filled} for column in (one, other)]
            yield Tie(one, other, told[0], told[1], Order.ANY)


def nuts(book: Book, table: Listing) -> Iterator[Tie]:
    """Testing: a nut is one of the ends of its line."""
    if NUT in table.columns:
        nut = table.columns[NUT]
        taken, there = nuts_of_lines(book, words(book, table, NAME_COLUMN), words(book, table, nut))
        yield Tie(NAME_COLUMN, nut, taken, there, Order.ANY, elsewhere=True)


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


def media(book: Book, table: Listing) -> Iterator[Tie]:
    """Testing: only of a test with gas is it said whether the line was proved with liquid before."""
    if {MEDIUM, PROVED} <= table.columns.keys():
        typed, medium, proved = book.typed(table.sheet), table.columns[MEDIUM], table.columns[PROVED]
        tested = {row: frozenset({GAS if GAS in word else LIQUID}) for row, word in words(book, table, medium).items()}
        there = {row: frozenset({GAS if (row, proved) in typed else LIQUID}) for row in tested}
        yield Tie(medium, proved, tested, there, Order.OWN)


def slack(book: Book, table: Listing) -> Iterator[Tie]:
    """Routes: slack is wanted of a straight hose; where nothing is said, it has that of Start."""
    if {SHAPE, SLACK} <= table.columns.keys():
        typed, shape, column = book.typed(table.sheet), table.columns[SHAPE], table.columns[SLACK]
        shapes = {row: frozenset({word}) for row, word in words(book, table, shape).items()}
        there = {row: frozenset({STRAIGHT if (row, column) in typed else BENT}) for row in shapes}
        yield Tie(shape, column, shapes, there, Order.OWN)


def hoses(book: Book, table: Listing) -> Iterator[Tie]:
    """Options: the hose that a line has on Lines is one of those that stand side by side for it."""
    if {OPTION, HOSE} <= table.columns.keys():
        column, there = table.columns[HOSE], of_lines(book, HOSE)
        hose = words(book, table, column)
        lines = {row: line for row, line in words(book, table, NAME_COLUMN).items() if row in hose and line in there}
        on_lines = {shown(there[line]) for line in lines.values()}
        beside: dict[str, frozenset[str]] = {}
        for row, line in lines.items():
            beside[line] = beside.get(line, frozenset()) | {hose[row]}
        told = {row: frozenset({shown(there[line])}) for row, line in lines.items()}
        told_beside = {row: beside[line] & on_lines or beside[line] for row, line in lines.items()}
        yield Tie(NAME_COLUMN, column, told, told_beside)


def priced(book: Book, table: Listing) -> Iterator[Tie]:
    """Options: the price of an end is that of an item or one of its own, so that no row has both or none."""
    if {ITEM, EACH} <= table.columns.keys():
        typed, item, each = book.typed(table.sheet), table.columns[ITEM], table.columns[EACH]
        rows = list(words(book, table, NAME_COLUMN))
        by_item = {row: frozenset({ITEM if (row, item) in typed else EACH}) for row in rows}
        by_each = {row: frozenset({EACH if (row, each) in typed else ITEM}) for row in rows}
        yield Tie(item, each, by_item, by_each, Order.OWN)


def service(book: Book, table: Listing) -> Iterator[Tie]:
    """What is to be looked after: a hose has an age, the rest has its time, as a new workbook says it."""
    if not {LIFE, MADE, WHEN} <= table.columns.keys():
        return
    life, made, when = (table.columns[head] for head in (LIFE, MADE, WHEN))
    typed, lines = book.typed(table.sheet), of_lines(book, STARTS)
    usual = {name: time for name, time, *_ in SERVICE_ROWS}
    names = {row: name for row, name in words(book, table, NAME_COLUMN).items() if name in usual or name in lines}
    times = {row: frozenset({usual.get(name, OF_A_LINE)}) for row, name in names.items()}
    aged = {row for row in names if (row, life) in typed or (row, made) in typed}
    timed = words(book, table, when)
    yield Tie(NAME_COLUMN, when, times, {row: frozenset({timed.get(row, OF_A_LINE)}) for row in names})
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


def counted(book: Book, table: Listing) -> Iterator[Tie]:
    """Small parts: what goes on a hose is counted by the sizes that it fits on, what goes into an end has none."""
    if {COUNTED_BY, FROM} <= table.columns.keys():
        by, least = table.columns[COUNTED_BY], table.columns[FROM]
        typed, said_by = book.typed(table.sheet), words(book, table, by)
        asked = {row: frozenset({FITS[kind]}) for row, kind in said_by.items() if kind in FITS}
        there = {row: frozenset({ON_HOSE if (row, least) in typed else IN_END}) for row in asked}
        yield Tie(by, least, asked, there, Order.OWN)


TIES: Mapping[str, Sequence[Ties]] = {
    LINE: (ends, both_or_none, nuts, media, slack, hoses, priced),
    PART: (sizes,),
    "Item": (units,),
    SMALL_PART: (counted,),
    "Line or item": (service,),
}
"""What goes together, by the header over the names of a table."""
