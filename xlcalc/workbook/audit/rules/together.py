"""Figures of a row that go together only where one of them is taken in another unit.

What is cool is not hotter than what is hot, a part that fits from one size up to another has the larger one last, and
two readings of one test differ by what leaks out or cools down.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

from xlcalc.core.units import unit
from xlcalc.functions.air import SEA_LEVEL_PRESSURE
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import column_unit
from xlcalc.workbook.audit.evidence.peers import (
    APART,
    DEGREES,
    HOT,
    HOT_OTHER,
    Like,
    celsius,
    factors,
    other_unit,
    unit_key,
)
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import Listing
from xlcalc.workbook.explained.workings import shown

RISING: Mapping[str, Sequence[tuple[str, str]]] = {
    "Circuit": (("Cool", "Hot"), ("Off", "On")),
    "Small part": (("From", "Up to"),),
    "Item": (("Filled at", "Hottest"), ("Coldest after", "Hottest")),
    "Line": (("Coldest", "Hottest"),),
    "Hose": (("Bore", "Outside"), ("Pressure limit", "Proof"), ("Proof", "Burst")),
}
"""Headers of figures of which the first is not above the second, by the header over the names of their table."""

TEMPERATURES = "Temp. at start", "Temp. later"
AGAIN: Mapping[str, Sequence[tuple[str, str]]] = {
    "Line": (TEMPERATURES, ("Reading at start", "Reading later")),
}
"""Headers of two readings of one test, the first and the later one."""

Wrong = tuple[int, str]
"""Which of two figures, 0 or 1, would go with the other in another unit, and in which."""

Asked = Callable[[float, float, str, float], Wrong | None]
"""Says of two figures, their unit and how many K it became colder whether one of them is in another unit."""

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FARTHEST = 3.0  # how many times the one figure may be the other, once it is taken in another unit
WARMEST = 100.0  # °C between two figures of a row
LEAKED = 0.9  # share of a pressure that is left after a test: a leak that large looks like another unit only by chance
HELD = 1.02  # by how much a later reading may be above the first
ROOM = 293.0  # K: gas in a closed line follows its absolute temperature

PRESSURE, ABSOLUTE = "kPa", "kPa abs"
AIR = unit(PRESSURE).from_si(SEA_LEVEL_PRESSURE)


def units_together(book: Book) -> Iterator[Finding]:
    """Two typed figures of a row that contradict each other, and do not where one of them is in another unit."""
    for table in book.every_table():
        for first, second in RISING.get(table.head(), ()):
            yield from of_pair(book, table, first, second, lambda one, other, key, _: fallen(one, other, key))
        for first, second in AGAIN.get(table.head(), ()):
            yield from of_pair(book, table, first, second, changed)


def cooled(book: Book, table: Listing, row: int) -> float:
    """By how much a test cooled down between its readings, in K; 0 where that is not said."""
    first, later = (book.typed(table.sheet).get((row, table.columns.get(head, 0))) for head in TEMPERATURES)
    return first - later if isinstance(first, float) and isinstance(later, float) else 0.0


def of_pair(book: Book, table: Listing, first: str, second: str, wrong: Asked) -> Iterator[Finding]:
    """The findings about two columns of a table, where both have the same unit."""
    if not {first, second} <= table.columns.keys():
        return
    columns = table.columns[first], table.columns[second]
    units = {column_unit(book, table, column) for column in columns}
    key = unit_key("", units.pop()) if len(units) == 1 else ""
    typed = book.typed(table.sheet)
    for row in table.rows if key else ():
        one, other = (typed.get((row, column)) for column in columns)
        if isinstance(one, float) and isinstance(other, float) and (
            found := wrong(one, other, key, cooled(book, table, row))
        ):
            cells = [(table.sheet, row, column) for column in columns]
            yield apart(book, cells[found[0]], cells[1 - found[0]], found[1], " in the same row")


def fallen(one: float, other: float, key: str) -> Wrong | None:
    """Of two figures that should rise, the one that does so in another unit and is near its fellow there."""
    if key == HOT:
        near = 0 <= other - celsius(one) <= WARMEST
        return (0, HOT_OTHER) if one > other + DEGREES and near else None
    if one <= other or other <= 0:
        return None
    for name, factor in factors(key).items():
        for place, (low, high) in enumerate(((one * factor, other), (one, other * factor))):
            if 1 <= high / low <= FARTHEST:
                return place, name
    return None


def changed(one: float, other: float, key: str, colder: float) -> Wrong | None:
    """Of two readings of one test, the one that is like its fellow in another unit."""
    if key == HOT:
        pairs = enumerate(((one, other), (other, one)))
        return next(((place, HOT_OTHER) for place, (value, fellow) in pairs
                     if other_unit(value, Like(fellow, fellow, 1, ""), key)), None)  # fmt: skip
    if one <= 0 or other <= 0 or one / APART <= other <= one * APART:
        return None
    over_air = ((one - AIR, other), (one, other - AIR)) if key == PRESSURE else ()
    for place, (first, later) in enumerate(over_air):
        if min(first, later) > 0 and holds(first, later, key, colder):
            return place, ABSOLUTE
    for name, factor in factors(key).items():
        for place, (first, later) in enumerate(((one * factor, other), (one, other * factor))):
            if holds(first, later, key, colder):
                return place, name
    return None


def holds(first: float, later: float, key: str, colder: float) -> bool:
    """True for two readings of one test that differ by what leaks out or by how much colder a gas became."""
    by_itself = colder / ROOM * (1 + AIR / first) if key == PRESSURE else 0.0
    return LEAKED - max(by_itself, 0.0) <= later / first <= HELD - min(by_itself, 0.0)


def apart(book: Book, wrong: Place, fellow: Place, other: str, where: str = "") -> Finding:
    """A finding about a figure that contradicts another, or a word; `where` says how they belong together."""
    return Finding(
        "other-unit", (wrong, fellow),
        f"{shown(book.value(wrong))} here{book.title(wrong)}",
        f"a figure that goes with {shown(book.value(fellow))}{book.title(fellow)}{where}",
        f"it would fit in {other}: a number is taken in the unit of its header, whatever it was copied from",
        "look both figures up, and type each in the unit of its header, or with the unit that it is in",
        Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip
