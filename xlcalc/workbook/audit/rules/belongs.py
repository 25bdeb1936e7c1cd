"""Fluids that do not belong into their line: against the other lines of the circuit, the use, or what the row is of."""

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

from xlcalc.functions import fluid
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.method import fluid_called
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing

FUELS, WATERS, OILS = frozenset(fluid.FUELS), frozenset(fluid.WATERS), frozenset(fluid.OILS)
BELONGS: Mapping[str, frozenset[str]] = {
    "coolant": WATERS, "radiator": WATERS, "heater": WATERS, "fuel": FUELS, "steering": OILS, "power steering": OILS,
    "gearbox": OILS, "axle": OILS, "engine": OILS, "other oil": OILS, "vacuum": frozenset({"air"}), "rail": FUELS,
}  # fmt: skip
SAYS = ("Use", "Kind", "System", "Catch tank")
CLASSES = (FUELS, WATERS, OILS, frozenset({"air"}), frozenset({"brake fluid"}))
# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST = 2  # other lines of a circuit that agree
FEWEST_ALIKE = 6  # others with the same hose or kind of name that agree
SORTS = ("Circuit", "Hose")


def wrong_fluids(book: Book) -> Iterator[Finding]:
    """Rows whose fluid is of another kind than what else stands in the row, or than the others of its circuit."""
    seen: set[Place] = set()
    for table in book.every_table():
        fluids = fluid_cells(book, table)
        for each in (*against_words(book, table, fluids), *against_others(book, table, fluids)):
            if each.cells[0] not in seen:
                seen.add(each.cells[0])
                yield each


def fluid_cells(book: Book, table: Listing) -> dict[int, dict[int, frozenset[str]]]:
    """By column: the rows whose typed cell names a fluid, and the class of its kind."""
    kinds: dict[str, frozenset[str]] = {}
    found: dict[int, dict[int, frozenset[str]]] = {}
    typed = book.typed(table.sheet)
    for head, column in table.columns.items():
        if "fluid" not in head.casefold() or column == NAME_COLUMN:
            continue
        for row in table.rows:
            if isinstance(text := typed.get((row, column)), str):
                if text not in kinds:
                    kinds[text] = class_of(book, text)
                if kinds[text]:
                    found.setdefault(column, {})[row] = kinds[text]
    return found


def class_of(book: Book, name: str) -> frozenset[str]:
    """Fuels, oils, coolants or air: what a fluid of the book or of the tables is; empty where that is not known.

    A name of the tables that starts from another class in the book is a fault of that row, not of those that name it.
    """
    base = own_words(book).get(name.casefold(), name)
    kind, by_name = kind_class(base), kind_class(name) or kind_class(name.partition(" ")[0])
    return kind if not by_name or by_name == kind else frozenset()


def kind_class(words: str) -> frozenset[str]:
    """The class of a fluid of the tables, or of what the words say."""
    known = fluid_called(words)
    return next((each for each in CLASSES if known and known.kind in each), frozenset())


def own_words(book: Book) -> dict[str, str]:
    """What the fluids of the book's own table start from, by name."""
    for table in book.every_table():
        if table.head() == "Fluid" and (start := table.columns.get("Starts from")):
            typed = book.typed(table.sheet)
            rows = ((typed.get((row, NAME_COLUMN)), typed.get((row, start))) for row in table.rows)
            return {name.casefold(): base for name, base in rows if isinstance(name, str) and isinstance(base, str)}
    return {}


def against_words(
    book: Book, table: Listing, fluids: Mapping[int, Mapping[int, frozenset[str]]]
) -> Iterator[Finding]:
    """Rows that say what they are of in a word that leaves no choice of fluid: coolant, fuel, axle, vacuum."""
    typed = book.typed(table.sheet)
    for column, rows in fluids.items():
        asked = [head_column for head, head_column in table.columns.items() if head in SAYS]
        for row, kind in rows.items():
            for other in asked:
                word = typed.get((row, other))
                belongs = said_in(word) if isinstance(word, str) else None
                if belongs and not kind & belongs:
                    both = (table.sheet, row, column), (table.sheet, row, other)
                    yield wrong(book, both, f"a fluid for {word}: {' or '.join(sorted(belongs))}",
                                "the row says what it is of, and another fluid stands in it", Sure.LIKELY)  # fmt: skip


def said_in(text: str) -> frozenset[str] | None:
    """The kinds of fluid that belong to what a text speaks of; None where it speaks of nothing, or of two things."""
    words = text.casefold()
    found = {BELONGS[word] for word in BELONGS if re.search(rf"\b{word}\b", words)}
    if WATERS in found and found <= {WATERS, OILS}:
        return WATERS  # an engine with its radiator
    return next(iter(found)) if len(found) == 1 else None


def against_others(
    book: Book, table: Listing, fluids: Mapping[int, Mapping[int, frozenset[str]]]
) -> Iterator[Finding]:
    """Rows with another kind of fluid than all others that share a word of theirs, such as circuit, hose or name."""
    typed = book.typed(table.sheet)
    for column, rows in fluids.items():
        for head, other in table.columns.items():
            if other != NAME_COLUMN and head not in SORTS:
                continue
            groups: dict[str, list[int]] = defaultdict(list)
            for row in rows:
                word = typed.get((row, other))
                if isinstance(word, str):
                    groups[stem(word) if other == NAME_COLUMN else word].append(row)
            few = FEWEST if head == SORTS[0] else FEWEST_ALIKE
            for word, alike in groups.items():
                yield from odd_one(book, table, column, head, word, {row: rows[row] for row in alike}, few)


def stem(name: str) -> str:
    """The letters with which names of one kind begin: `PS-1.7` and `PS-1.8` are both `PS-1`."""
    return name.partition(".")[0]


def odd_one(
    book: Book, table: Listing, column: int, head: str, word: str, rows: Mapping[int, frozenset[str]], few: int
) -> Iterator[Finding]:
    """The one row of a group that is of another class than all others; both of a circuit of two that differ."""
    if head == SORTS[0] and len(rows) == len(set(rows.values())) == FEWEST:
        first, second = (book.value((table.sheet, row, column)) for row in rows)
        yield wrong(
            book, [(table.sheet, row, column) for row in sorted(rows)],
            f"one kind of fluid in {word}, not {first} and {second}",
            "what runs out of one line of a circuit runs into the other", Sure.POSSIBLE,
        )  # fmt: skip
    (usual, count), *_ = Counter(rows.values()).most_common(1)
    odd = [row for row, kind in rows.items() if kind != usual]
    if len(odd) == 1 and count >= few:
        likely = head == SORTS[0] or count >= 2 * FEWEST_ALIKE
        theirs = next(book.value((table.sheet, row, column)) for row, kind in rows.items() if kind == usual)
        yield wrong(
            book, [(table.sheet, odd[0], column)],
            f"a fluid like {theirs}, as the {count} other rows with {head} {word}",
            f"all that have the same {head} carry one kind of fluid", Sure.LIKELY if likely else Sure.POSSIBLE,
        )  # fmt: skip


def wrong(book: Book, cells: Sequence[Place], expected: str, why: str, sure: Sure) -> Finding:
    """A finding about the fluid of a cell, and about the cell that it does not go with where there is one."""
    return Finding(
        "wrong-fluid", tuple(cells), f"{book.value(cells[0])} here{book.title(cells[0])}", expected,
        f"{why}; drop, liner and suction margin are worked out with it",
        "pick the fluid that runs there, or put right what the row says of itself", sure, Weight.WRONG,
    )  # fmt: skip
