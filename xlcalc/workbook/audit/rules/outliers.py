"""Numbers that would be right in another unit, or in cents: by their like, by what is usual, across sheets."""

from collections.abc import Container, Iterator, Mapping
from functools import cache
from statistics import median

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import column_unit
from xlcalc.workbook.audit.evidence.limits_used import limits_used
from xlcalc.workbook.audit.evidence.naming import beside_label
from xlcalc.workbook.audit.evidence.peers import (
    HOT,
    HOT_OTHER,
    LARGE,
    MONEY_KEY,
    PRICE,
    SHARE_KEY,
    SUPPLIER,
    Like,
    celsius,
    factors,
    kinds,
    likes,
    other_unit,
    unit_key,
)
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import shown

JOB = "Start"
LENGTH, RUN = ("Length", "m"), ("Centres or straights", "mm")
# The figures below are the choice of this audit by common practice (P), wide on purpose.
RATIOS = {"mm": Like(0.4, 1.4, 0, ""), "m": Like(0.7, 2.5, 0, "")}  # run over length, and length over run
LABELS = {"Labour rate": (1.0, 100.0), "Freight": (0.8, 150.0)}  # against the middle price of the list
ENOUGH = 5  # prices of a list
OWN_MONEY = "Money"  # what a variation costs may be any sum


def other_units(book: Book) -> Iterator[Finding]:
    """Typed numbers far from their like, which lie among them once they are taken in another unit."""
    for table in book.every_table():
        ways = list(kinds(book, table))
        for head, column in table.columns.items():
            key = unit_key(head, column_unit(book, table, column))
            numbers = typed_numbers(book, table, column) if key else {}
            told: set[int] = set()
            for way, words in ways:
                for row, like in likes(numbers, words, way):
                    if row not in told and (other := other_unit(numbers[row], like, key)):
                        told.add(row)
                        said = f"{shown(like.low)} to {shown(like.high)}, as the {like.others} others with {like.share}"
                        yield finding(book, (table.sheet, row, column), said, other)
            usual = spans().get((table.head(), head))
            for row, value in numbers.items() if usual else ():
                if usual and row not in told and (other := beyond(value, usual, key)):
                    yield finding(book, (table.sheet, row, column), said_usual(usual), other)


def typed_numbers(book: Book, table: Listing, column: int) -> dict[int, float]:
    """The numbers that were typed into a column of a table."""
    typed = book.typed(table.sheet)
    return {row: value for row in table.rows if isinstance(value := typed.get((row, column)), float)}


@cache
def spans() -> Mapping[tuple[str, str], Like]:
    """What is usual in a custom vehicle, by table and header: common practice, wide on purpose."""
    return {(row["table"], row["head"]): Like(float(row["low"]), float(row["high"]), 0, row["unit"])
            for row in raw_rows("audit/usual")}  # fmt: skip


def beyond(value: float, usual: Like, key: str) -> str:
    """The unit in which an unusual number would be usual; empty where it is usual, or where no unit helps."""
    if usual.low <= value <= usual.high or value == 0:
        return ""
    if key == HOT:
        return HOT_OTHER if value > usual.high and usual.low <= celsius(value) <= usual.high else ""
    return next((name for name, factor in factors(key).items() if usual.low <= value * factor <= usual.high), "")


def said_usual(usual: Like) -> str:
    """What is usual, in words."""
    return f"{shown(usual.low)} to {shown(usual.high)} {usual.share}, which is usual by common practice"


def finding(book: Book, place: Place, expected: str, other: str) -> Finding:
    """A finding about a number that may be in another unit."""
    value = shown(book.value(place))
    return Finding(
        "other-unit", (place,),
        f"{value} here{book.title(place)}", expected,
        f"it would fit in {other}: a number is taken in the unit of its header, whatever it was copied from",
        "look the figure up, and type it in the unit of the header, or with the unit that it is in",
        Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip


def unusual_job(book: Book) -> Iterator[Finding]:
    """Figures of the job on Start that would be usual in another unit, and shares beside the tables of any sheet."""
    usual = {label: like for (sheet, label), like in spans().items() if sheet == JOB}
    for sheet in book.sheets:
        for place, value, label in labelled(book, sheet, usual):
            key = unit_key("", usual[label].share)
            asked = key and (key == SHARE_KEY or not book.tables(sheet))
            if asked and (other := beyond(value, usual[label], key)):
                yield finding(book, place, said_usual(usual[label]), other)


def labelled(book: Book, sheet: str, labels: Container[str]) -> Iterator[tuple[Place, float, str]]:
    """The numbers of a form that stand on the right of one of some labels, without another of them in between."""
    typed = book.typed(sheet)
    for (row, column), text in book.texts(sheet).items():
        if (label := text.strip()) in labels:
            for right in beside_label(column):
                value = typed.get((row, right))
                if isinstance(value, str) and value.strip() in labels:
                    break
                if isinstance(value, float):
                    yield (sheet, row, right), value, label


def limits_apart(book: Book) -> Iterator[Finding]:
    """Limits of the shop's own that are the default by a large factor of units, as 0.2 for 20 %."""
    for limit in limits_used(book).values():
        own, default, key = limit.own.value, limit.default.value, unit_key("", limit.unit)
        if key not in ("", HOT) and isinstance(own, float) and isinstance(default, float):
            other = other_unit(own, Like(default, default, 1, ""), key)
            if other and max(size := factors(key)[other], 1 / size) > LARGE:
                yield finding(book, limit.own_place, f"a figure of the size of the default, {shown(default)}", other)


def money_by_itself(book: Book) -> Iterator[Finding]:
    """Prices outside of the list, labour rate and freight, against the prices of the list, whatever the currency is."""
    listed = [table for table in book.every_table() if {PRICE, SUPPLIER} <= table.columns.keys()]
    prices = sorted(value for table in listed for value in typed_numbers(book, table, table.columns[PRICE]).values()
                    if value > 0)  # fmt: skip
    if len(prices) < ENOUGH:
        return
    for table in book.every_table():
        for head, column in table.columns.items() if table not in listed else ():
            if unit_key(head, "") == MONEY_KEY and head != OWN_MONEY:
                for row, value in typed_numbers(book, table, column).items():
                    like = Like(prices[0], prices[-1], len(prices), "a price on the list")
                    if other := other_unit(value, like, MONEY_KEY):
                        said = f"{shown(like.low)} to {shown(like.high)}, as on the list of prices"
                        yield finding(book, (table.sheet, row, column), said, other)
    yield from money_of_forms(book, median(prices))


def money_of_forms(book: Book, middle: float) -> Iterator[Finding]:
    """Labour rate and freight against the middle price of the list."""
    for sheet in book.sheets:
        for place, value, label in labelled(book, sheet, LABELS):
            if value > 0:
                low, high = (share * middle for share in LABELS[label])
                if other := beyond(value, Like(low, high, 0, ""), MONEY_KEY):
                    said = f"{low:.3g} to {high:.4g}, by the prices of the list (the middle one is {middle:.3g})"
                    yield finding(book, place, said, other)


def lengths_apart(book: Book) -> Iterator[Finding]:
    """Lines whose length differs from the run on Routes by the factor of a unit."""
    lengths, runs = by_line(book, *LENGTH), by_line(book, *RUN)
    for name, (run, millimetres) in runs.items():
        if name in lengths and lengths[name][1] > 0 and millimetres > 0:
            at, metres = lengths[name]
            ratio = millimetres / 1000 / metres
            for key, wrong in (("mm", ratio), ("m", 1 / ratio)):
                if other := other_unit(wrong, RATIOS[key], key):
                    yield apart(book, at, run, other)
                    break


def by_line(book: Book, head: str, unit: str) -> dict[str, tuple[Place, float]]:
    """Cell and number under a header by the line of the row, from the first table that has both."""
    for table in book.every_table():
        column = table.columns.get(head, 0)
        if table.head() == "Line" and column and column_unit(book, table, column) == unit:
            numbers = typed_numbers(book, table, column)
            names = {row: book.value((table.sheet, row, NAME_COLUMN)) for row in numbers}
            return {str(names[row]): ((table.sheet, row, column), value) for row, value in numbers.items()}
    return {}


def apart(book: Book, length: Place, run: Place, other: str) -> Finding:
    """A finding about a length and a run that do not go together."""
    return Finding(
        "lengths-apart", (length, run),
        f"{shown(book.value(length))}{book.title(length)} for a run of {shown(book.value(run))}{book.title(run)}",
        "a length a little over the run",
        f"they are as far apart as if one of them were in {other}",
        "look which of the two is right, and type the other in the unit of its header",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip
