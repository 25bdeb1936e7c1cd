"""Lookups that take the next best row, and rows that a lookup cannot tell apart."""

from collections import Counter
from collections.abc import Iterator, Sequence

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.allowed import folded
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Look, Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import Call, address, calls, column_letters

EXACT = {"0", "FALSE", "FALSE()", ""}
TYPE_AT = {  # the argument that says exact or next best, from 0; LOOKUP has none
    "MATCH": 2, "VLOOKUP": 3, "HLOOKUP": 3, "LOOKUP": 3, "XMATCH": 2, "XLOOKUP": 4,
}  # fmt: skip
EXACT_UNASKED = ("XMATCH", "XLOOKUP")  # these take the next best only where their argument says so
NEXT = {"1", "-1"}
WHERE_AT = 1  # the argument with the keys
DOWN = ("MATCH", "VLOOKUP", "LOOKUP", "XMATCH", "XLOOKUP")  # whose keys stand one below the other
FROM_BELOW = "-1"  # MATCH: the keys fall
MOST_NAMED = 6  # figures of two rows in a message
WIDEST_LIST = 20  # columns beside the keys of a list that are compared
OPTION = "Option"  # its letter is half of the name: a line stands in one row for each letter


def next_best(book: Book) -> Iterator[Finding]:
    """Lookups that take the next best where the name itself is not there, and whose keys are not numbers in order."""
    for pattern, places in book.every_pattern():
        if "MATCH(" in pattern.key or "LOOKUP(" in pattern.key:
            for call in calls(pattern.at(places[0][1]), book.other_files):
                if is_approximate(call) and not in_order(book, call, places[0]):
                    yield approximate(call, places)
                    break


def is_approximate(call: Call) -> bool:
    """True for a lookup that is content with another key than the one that is asked for."""
    if call.name not in TYPE_AT or len(call.arguments) < 2:
        return False
    at = TYPE_AT[call.name]
    if call.name in EXACT_UNASKED:
        return len(call.arguments) > at and call.arguments[at].text.strip() in NEXT
    return len(call.arguments) <= at or call.arguments[at].text.strip().upper() not in EXACT


def in_order(book: Book, call: Call, place: Place) -> bool:
    """True where the keys are typed numbers in the order that the lookup asks for, as in a table of steps."""
    look = book.written.alone(call.arguments[WHERE_AT].text, place)
    if look is None or look.sheet not in book.sheets:
        return False
    if call.name in ("VLOOKUP", "LOOKUP"):
        look = look._replace(right=look.left)
    elif call.name == "HLOOKUP":
        look = look._replace(bottom=look.top)
    held = [value for place in book.workings.held(look) if (value := book.value(place)) not in (None, "")]
    if any(place[1:] in book.formulas(look.sheet) for place in book.workings.held(look)):
        return False
    keys = [value for value in held[1 if held and isinstance(held[0], str) else 0 :] if isinstance(value, float)]
    if len(keys) < len(held) - 1 or len(keys) < 2:
        return False
    down = call.name == "MATCH" and len(call.arguments) > TYPE_AT["MATCH"] and (
        call.arguments[-1].text.strip() == FROM_BELOW
    )
    return keys == sorted(keys, reverse=down)


def approximate(call: Call, places: Sequence[Place]) -> Finding:
    """A finding about an approximate lookup."""
    return Finding(
        "next-best", tuple(places),
        f"{call.name} takes the next best where what it looks for is not there",
        f"{call.name} with an exact match ({'FALSE' if call.name[0] in 'VHL' else '0'} as its last argument)",
        "the keys are not numbers in order: it may take the row of something else, without a word",
        "ask for the exact match, and say in words what shall stand there where nothing is found",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip


def double_rows(book: Book) -> Iterator[Finding]:
    """Rows of a table under one name with different figures: a lookup takes the first and never the other."""
    for table in book.every_table():
        named: dict[str, list[int]] = {}
        for row in table.rows:
            name = book.value((table.sheet, row, NAME_COLUMN))
            if isinstance(name, str) and name.strip():
                named.setdefault(folded(name), []).append(row)
        sizes = Counter(len(rows) for rows in named.values())
        unique = sizes[1] >= max(1, len(named) - 2)
        for rows in named.values():
            for place, row in enumerate(rows[1:], start=1):
                for first in rows[:place]:
                    if found := pair(book, table, first, row, unique=unique):
                        yield found
                        break


def pair(book: Book, table: Listing, first: int, second: int, *, unique: bool) -> Finding | None:
    """A finding where two rows have one name and differ in figures; in their words too only where names are keys."""
    typed, texts, figures = book.typed(table.sheet), 0, []
    for head, column in table.columns.items():
        one, other = typed.get((first, column)), typed.get((second, column))
        if column == NAME_COLUMN or one == other or one is None or other is None:
            continue
        if head == OPTION:
            return None
        if isinstance(one, float) and isinstance(other, float):
            figures.append((head, column, one, other))
        else:
            texts += 1
    if not figures or (texts and not unique):
        return None
    return doubled(book, table.sheet, NAME_COLUMN, (first, second), figures)


def double_keys(book: Book) -> Iterator[Finding]:
    """Rows under one name with different figures in a list of the shop's own that a formula looks a name up in."""
    asked: dict[tuple[str, int, int], Look] = {}
    own = {sheet for sheet in book.sheets if is_own(book, sheet)}
    for pattern, places in book.every_pattern() if own else ():
        if "LOOKUP(" in pattern.key or "MATCH(" in pattern.key:
            for call in calls(pattern.at(places[0][1]), book.other_files):
                if call.name in DOWN and len(call.arguments) > WHERE_AT and not is_approximate(call):
                    look = book.written.alone(call.arguments[WHERE_AT].text, places[0])
                    if look and look.sheet in own and look.top < look.bottom:
                        asked.setdefault((look.sheet, look.top, look.left), look)
    for (sheet, _, column), look in asked.items():
        yield from same_keys(book, sheet, column, look)


def is_own(book: Book, sheet: str) -> bool:
    """True for a sheet of the shop's own without a table that has a Check, whose names `double_rows` compares."""
    return book.canon.match(sheet) is None and not book.tables(sheet)


def same_keys(book: Book, sheet: str, column: int, look: Look) -> Iterator[Finding]:
    """Findings about the rows of a list whose keys stand there before with other figures beside them."""
    typed, heads = book.typed(sheet), book.headers(sheet)
    first: dict[str, int] = {}
    for row in sorted(row for row, at in typed if at == column and look.top <= row <= look.bottom):
        key = typed[row, column]
        if not isinstance(key, str):
            continue
        before = first.setdefault(folded(key), row)
        figures = [
            (heads.head(row, at).strip() or column_letters(at), at, one, other)
            for at in range(column + 1, column + 1 + WIDEST_LIST)
            if isinstance(one := typed.get((before, at)), float) and isinstance(other := typed.get((row, at)), float)
            and one != other
        ]  # fmt: skip
        if figures:
            yield doubled(book, sheet, column, (before, row), figures)


def doubled(
    book: Book, sheet: str, names: int, rows: tuple[int, int], figures: Sequence[tuple[str, int, Value, Value]]
) -> Finding:
    """A finding about two rows with one name."""
    first, second = rows
    name = shown(book.value((sheet, second, names)))
    differ = ", ".join(f"{head} {shown(one)} and {shown(other)}" for head, _, one, other in figures[:MOST_NAMED])
    return Finding(
        "one-name-two-values",
        ((sheet, second, names), (sheet, first, names), *((sheet, second, each[1]) for each in figures)),
        f"{name} stands in rows {first} and {second} with different figures: {differ}",
        "one row for each name",
        f"what is looked up under the name is taken from {address(sheet, first, names)}; the other never counts",
        "delete the row that does not hold, or give it a name of its own",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip
