"""Figures of two places that go together only where one of them is taken in another unit: of a line, circuit or fluid.

What is asked here holds by nature or by the way in which a line is built: oil that one pump pushes through a circuit
flows alike in all of it, a wrap is no longer than its hose, nothing fits into a servo that is smaller than its stroke.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from xlcalc.core.errors import CalcError
from xlcalc.core.units import quantity, unit
from xlcalc.functions.fluid import WATERS, Fluid
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import column_unit
from xlcalc.workbook.audit.evidence.peers import APART, HOT, HOT_OTHER, SLACK, USE, Like, celsius, factors, other_unit
from xlcalc.workbook.audit.evidence.said import LINE
from xlcalc.workbook.audit.evidence.ties import words
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules.belongs import own_words
from xlcalc.workbook.audit.rules.method import fluid_called
from xlcalc.workbook.audit.rules.outliers import by_line, labelled, typed_numbers
from xlcalc.workbook.audit.rules.together import ABSOLUTE, AIR, PRESSURE, apart
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing

CIRCUIT, FLUID, PUSHED = "Circuit", "Fluid", "Pushed by"
LENGTH = "Length", "m"
COVERS: Sequence[tuple[str, str]] = (("Spiral wrap on", "m"), ("Heated stretch", "mm"), ("Rise", "m"))
SERVO, VOLUME, RESERVOIR, FEED = "Servo", "Servo volume", "Reservoir fitted", "Feed line"
HOLDS: Mapping[str, str] = {"Item": "Volume of fluid", "System": "Holds", CIRCUIT: "Volume of oil"}
"""By the header over their names: the tables that say how much of a fluid there is, and where they say it."""

GALLONS = "US gal", "imp gal"
LITRES = unit("mm").factor ** 3 / unit("L").factor  # what a cube of 1 mm holds
OF_VACUUM = "inHg"  # in which nobody says how much a cap holds
FEET, WORKSHOP, MEASURED, HOTTEST = "ft", "Workshop altitude", "Measured at", "Hottest"
PUSHED_ALIKE = ("power steering", "ATF")  # one pump, one way through the circuit; engine oil and coolant branch

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
SAME = 0.01  # how far apart two figures may be that are one figure, rounded
TESTED = 0.03  # and a volume under test and what it is made of: there is a hose to it
OVER = 2.0  # a wrap so many times as long as its line was not cut for a line that is shorter now
WEAK = 0.5  # a part that bears less than this share of its line's pressure was hardly fitted
STRONG = 60.0  # and one that bears so many times as much neither
LARGEST = 12.0  # how many times what it sweeps a servo may hold
WARMER = 36.0  # °C above all that a fluid is known for


class Figure(NamedTuple):
    """A typed figure in the unit of its header, and where it stands; `said` is true where it says its unit itself."""

    place: Place
    value: float
    said: bool = False


def figures_apart(book: Book) -> Iterator[Finding]:
    """Figures of two places that contradict each other, and do not where one of them is in another unit."""
    lines = next((table for table in book.every_table() if {PUSHED, USE, CIRCUIT} <= table.columns.keys()), None)
    if lines is not None:
        yield from of_circuits(book, lines)
    yield from covers(book)
    yield from too_weak(book)
    yield from servos(book)
    yield from volumes(book, {} if lines is None else named_words(book, lines, FLUID))
    yield from altitudes(book)
    yield from too_hot(book)


def named_words(book: Book, table: Listing, head: str) -> dict[str, str]:
    """The typed words of a column by the name of their row."""
    found = words(book, table, table.columns.get(head, 0))
    return {str(book.value((table.sheet, row, NAME_COLUMN))): word for row, word in found.items()}


def of_circuits(book: Book, lines: Listing) -> Iterator[Finding]:
    """Flows of one circuit that differ by a unit, and pressures of the lines of one circuit of coolant."""
    circuits, fluids, pushed = (named_words(book, lines, head) for head in (CIRCUIT, FLUID, PUSHED))
    known = fluids_named(book, set(fluids.values()))
    kinds = {name: known[text].kind for name, text in fluids.items() if text in known}
    flowing = {name for name, kind in kinds.items() if kind in PUSHED_ALIKE and pushed.get(name, "").startswith("pump")}
    cooling = {name for name, kind in kinds.items() if kind in WATERS}
    for head, stated, asked in (("Flow", "L/min", flowing), ("Highest pressure", "kPa", cooling)):
        groups: dict[str, list[Figure]] = defaultdict(list)
        for name, figure in of_lines(book, lines, head, stated).items():
            if name in asked and name in circuits and figure.value > 0:
                groups[circuits[name]].append(figure)
        for figures in groups.values():
            yield from odd_ones(book, figures, stated)


def of_lines(book: Book, lines: Listing, head: str, stated: str) -> dict[str, Figure]:
    """The typed figures of a column by the name of their line, also those that are typed with a unit."""
    column, typed, found = lines.columns.get(head, 0), book.typed(lines.sheet), {}
    for row in lines.rows if column and column_unit(book, lines, column) == stated else ():
        value = typed.get((row, column))
        if isinstance(read := quantity_in(value, stated) if isinstance(value, str) else value, float):
            name = str(book.value((lines.sheet, row, NAME_COLUMN)))
            found[name] = Figure((lines.sheet, row, column), read, isinstance(value, str))
    return found


def quantity_in(text: str, stated: str) -> float | None:
    """A figure with its unit in another unit; None where a text is none of that kind."""
    try:
        value, said = quantity(text)
    except CalcError:
        return None
    wanted = unit(stated)
    return wanted.from_si(said.to_si(value)) if said is not None and said.dimension == wanted.dimension else None


def fluids_named(book: Book, texts: Iterable[str]) -> dict[str, Fluid]:
    """The fluids that cells name, where it is one of the book's own the one that this starts from."""
    own = own_words(book)
    return {text: found for text in texts if (found := fluid_called(own.get(text.casefold(), text)))}


def odd_ones(book: Book, figures: Sequence[Figure], stated: str) -> Iterator[Finding]:
    """The figures that lie among the others of their group once they are taken in another unit."""
    for each in (each for each in figures if len(figures) > 1 and not each.said):
        others = [other.value for other in figures if other is not each]
        like = Like(min(others), max(others), len(others), "")
        other = other_unit(each.value, like, stated) or from_nothing(each.value, like, stated)
        if other not in ("", OF_VACUUM):
            fellow = next(fellow for fellow in figures if fellow is not each)
            yield apart(book, each.place, fellow.place, other)
            return


def from_nothing(value: float, like: Like, stated: str) -> str:
    """`kPa abs` for a pressure that lies among its like once the air is taken off; empty for any other figure."""
    far = value > like.high * APART and like.low / SLACK <= value - AIR <= like.high * SLACK
    return ABSOLUTE if stated == PRESSURE and far else ""


def covers(book: Book) -> Iterator[Finding]:
    """Wraps and sleeves that are longer than their line, and lines that rise further than they are long."""
    lengths = by_line(book, *LENGTH)
    for head, stated in COVERS:
        for name, (place, value) in by_line(book, head, stated).items():
            length = lengths.get(name)
            metres = abs(unit(stated).to_si(value))
            if length is not None and metres > OVER * length[1] > 0:
                fitting = (other for other, factor in factors(stated).items() if metres * factor <= length[1])
                if other := next(fitting, ""):
                    yield apart(book, place, length[0], other)


def too_weak(book: Book) -> Iterator[Finding]:
    """Parts of a line that bear much less than its pressure."""
    highest = by_line(book, "Highest pressure", "kPa")
    for name, (place, value) in by_line(book, "Weakest part allows", "kPa").items():
        pressure = highest.get(name)
        if pressure is not None and 0 < value < WEAK * pressure[1]:
            fitting = (other for other, factor in factors("kPa").items() if 1 <= value * factor / pressure[1] <= STRONG)
            if other := next(fitting, ""):
                yield apart(book, place, pressure[0], other)


def servos(book: Book) -> Iterator[Finding]:
    """Servos that hold less than they sweep, and volumes under test that are not those of servo and reservoir."""
    tested = by_line(book, "Volume under test", "L")
    for table in book.every_table():
        if table.head() != SERVO or not {VOLUME, "Diameter", "Full stroke"} <= table.columns.keys():
            continue
        held = {head: typed_numbers(book, table, column) for head, column in table.columns.items()}
        feeds = named_words(book, table, FEED)
        for row, value in held[VOLUME].items():
            volume, beside = ((table.sheet, row, table.columns[head]) for head in (VOLUME, "Full stroke"))
            across, stroke = held["Diameter"].get(row, 0.0), held["Full stroke"].get(row, 0.0)
            swept = math.pi / 4 * across**2 * stroke * LITRES
            fitting = (other for other in GALLONS if swept <= value * factors("L")[other] <= LARGEST * swept)
            if 0 < value < swept and (other := next(fitting, "")):
                yield apart(book, volume, beside, other)
                continue
            under = tested.get(feeds.get(str(book.value((table.sheet, row, NAME_COLUMN))), ""))
            fitted = held.get(RESERVOIR, {}).get(row)
            if under is not None and fitted is not None:
                reservoir = Figure((table.sheet, row, table.columns[RESERVOIR]), fitted)
                yield from not_the_sum(book, Figure(volume, value), reservoir, Figure(*under))


def not_the_sum(book: Book, volume: Figure, reservoir: Figure, under: Figure) -> Iterator[Finding]:
    """A volume under test that is servo and reservoir together only where one of the three is in gallons."""

    def together(*values: float) -> bool:
        return abs(values[0] + values[1] - values[2]) <= TESTED * values[2]

    given = volume.value, reservoir.value, under.value
    if together(*given):
        return
    for other in GALLONS:
        for place, (wrong, fellow) in enumerate(((volume, under), (reservoir, under), (under, reservoir))):
            if together(*(value * (factors("L")[other] if at == place else 1) for at, value in enumerate(given))):
                yield apart(book, wrong.place, fellow.place, other)
                return


def volumes(book: Book, fluids: Mapping[str, str]) -> Iterator[Finding]:
    """One fluid of which one sheet says litres and another the same in gallons."""
    found: dict[str, list[tuple[str, Figure]]] = defaultdict(list)
    for table in book.every_table():
        column = table.columns.get(HOLDS.get(table.head(), ""), 0)
        typed = book.typed(table.sheet)
        for row, value in typed_numbers(book, table, column).items() if column else ():
            own = typed.get((row, table.columns.get(FLUID, 0)))
            text = own if isinstance(own, str) else fluids.get(str(typed.get((row, table.columns.get(LINE, 0)))), "")
            if text and value > 0:
                found[text.casefold()].append((table.head(), Figure((table.sheet, row, column), value)))
    for each in found.values():
        if len(each) == len({head for head, _ in each}) == 2:  # one in each of two tables: they speak of one system
            (_, one), (_, other) = each
            for wrong, fellow in ((one, other), (other, one)):
                if other_name := same_in(wrong.value, fellow.value, GALLONS, "L"):
                    yield apart(book, wrong.place, fellow.place, other_name)


def same_in(value: float, fellow: float, units: Iterable[str], key: str) -> str:
    """The unit in which a number is another one, but for rounding; empty where there is none."""
    worth = factors(key)
    return next((each for each in units if abs(value * worth[each] / fellow - 1) <= SAME), "")


def altitudes(book: Book) -> Iterator[Finding]:
    """A reading of vacuum that was taken at the workshop, or the workshop itself, in feet."""
    forms = [Figure(place, value) for sheet in book.sheets for place, value, _ in labelled(book, sheet, {WORKSHOP})]
    for table in book.every_table():
        column = table.columns.get(MEASURED, 0) if table.head() == SERVO else 0
        for row, value in typed_numbers(book, table, column).items() if column else ():
            here = Figure((table.sheet, row, column), value)
            pairs = ((wrong, fellow) for form in forms for wrong, fellow in ((form, here), (here, form)))
            for wrong, fellow in pairs:
                if fellow.value > 0 and same_in(wrong.value, fellow.value, (FEET,), "m"):
                    yield apart(book, wrong.place, fellow.place, FEET)


def too_hot(book: Book) -> Iterator[Finding]:
    """Temperatures far above all that the fluid of their row is known for, which are not as degrees Fahrenheit."""
    for table in book.every_table():
        if not {HOTTEST, FLUID} <= table.columns.keys():
            continue
        column, of_fluid = table.columns[HOTTEST], table.columns[FLUID]
        numbers = typed_numbers(book, table, column)
        texts = {row: text for row, text in words(book, table, of_fluid).items() if row in numbers}
        known = {text: unit(HOT).from_si(each.hottest) for text, each in
                 fluids_named(book, set(texts.values())).items()}  # fmt: skip
        for row, text in texts.items():
            most = known.get(text, math.inf)
            if numbers[row] > most + WARMER and celsius(numbers[row]) <= most:
                hottest, fluid = ((table.sheet, row, each) for each in (column, of_fluid))
                yield apart(book, hottest, fluid, HOT_OTHER)
