"""Tables of which only some columns were sorted: figures that went to other rows than the names that they belong to.

The trace that this leaves: a column in perfect order beside names that still stand in theirs. Had whole rows been
sorted by the column, the names would be out of their order.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import factorial, prod

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import column_letters
from xlcalc.workbook.landmarks import OPERATIONS

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST_ROWS = 6  # filled ones: fewer are often in some order by chance
FEWEST_VALUES = 2  # different ones, in a column whose order says anything
FEWEST_PAIRS = 3  # names of one kind in order whose figures differ: by chance once in 8 times
FEWEST_KINDS = 2  # of names: those of one kind may be steps, in which everything grows
FEWEST_GROUPS = 4  # of equal words, and different values
FEWEST_WAYS = 10_000  # to put the values of a column in another order: in order by chance once in so many times
FEWEST_CROSSED = 2  # values that reach from one group into the next
DIGITS = re.compile(r"([0-9]+)")
UNDO = "undo the sorting, or compare with the last good copy (`xlcalc compare`); sort with all columns selected"

Key = tuple[int, float | str]


def sorted_in_part(book: Book) -> Iterator[Finding]:
    """Typed columns that were sorted without the rest of their rows."""
    for sheet in book.sheets:
        for rows in tables(book, sheet):
            typed = typed_columns(book, sheet, rows)
            if typed:
                first, *others = sorted(typed)
                names = [str(typed[first].get(row, "")) for row in rows]
                lists = {column: [typed[column].get(row) for row in rows] for column in typed}
                for column in others:
                    values = lists[column]
                    if not in_order(values):
                        continue
                    grouped = (each for each in others if each != column and crossed(lists[each], values))
                    witness = first if apart(names, values) else next(grouped, 0)
                    if witness:
                        yield sorted_alone(book, sheet, rows, column, witness)
                kinds = [DIGITS.split(name)[0] for name in names]
                if in_order(names) and (witness := next((each for each in others if crossed(lists[each], kinds)), 0)):
                    yield sorted_alone(book, sheet, rows, first, witness)


def sorted_beside_operations(book: Book) -> Iterator[Finding]:
    """Typed columns in perfect order beside operations that still stand in the order of a new workbook."""
    for table in book.every_table():
        typed, formulas = book.typed(table.sheet), book.formulas(table.sheet)
        known = {row: OPERATIONS.index(name) for row in table.rows
                 if (name := typed.get((row, NAME_COLUMN))) in OPERATIONS}  # fmt: skip
        if len(known) < FEWEST_ROWS or any(one >= other for one, other in pairwise(known.values())):
            continue
        for column in table.columns.values():
            values = [typed.get((row, column)) for row in known]
            if any((row, column) in formulas for row in known) or column == NAME_COLUMN:
                continue
            if in_order(values) and ways(values) >= FEWEST_WAYS:
                yield sorted_alone(book, table.sheet, list(known), column, NAME_COLUMN)


def ways(values: Sequence[Value]) -> int:
    """In how many orders values can stand below each other."""
    return factorial(len(values)) // prod(factorial(count) for count in Counter(values).values())


def tables(book: Book, sheet: str) -> Iterator[list[int]]:
    """The filled rows of each table of a sheet; not of tables of figures, which grow with the sizes in their names."""
    match = book.canon.match(sheet)
    held = book.rows(sheet)
    if match:
        firsts = [known.first for known in match.known.rows if known.repeated and not known.texts]
        found = [match.rows_of[first] for first in firsts if first in match.rows_of]
    else:
        found = [strand.rows for strand in sorted(book.strands(sheet), key=lambda each: -len(each.rows))[:1]]
    for rows in found:
        filled = [row for row in rows if held[row].texts or held[row].numbers]
        if len(filled) >= FEWEST_ROWS:
            yield filled


def typed_columns(book: Book, sheet: str, rows: Sequence[int]) -> dict[int, dict[int, Value]]:
    """What is typed into the columns that are filled in by hand, by column and row."""
    held = book.rows(sheet)
    found: dict[int, dict[int, Value]] = {}
    for row in rows:
        for column, text in held[row].texts.items():
            found.setdefault(column, {})[row] = text
        for column, number in held[row].numbers.items():
            found.setdefault(column, {})[row] = number
    worked = {column for row in rows for column in held[row].formulas}
    return {column: values for column, values in found.items() if column not in worked}


def key_of(value: Value, *, by_case: bool = False) -> Key:
    """By what a spreadsheet sorts: numbers, then texts, then blanks; small letters after capitals if asked to."""
    if value is None:
        return 2, ""
    if isinstance(value, str):
        return 1, value if by_case else value.casefold()
    return 0, float(value) if isinstance(value, float) else 0.0


def in_order(values: Sequence[Value], fewest: int = FEWEST_ROWS) -> bool:
    """True for values in rising or falling order with enough of them and different ones, blanks at one end."""
    held = [value for value in values if value is not None]
    blank = [value is None for value in values]
    if len(set(held)) < FEWEST_VALUES or len(held) < fewest or sum(a != b for a, b in pairwise(blank)) > 1:
        return False
    return any(steady(held, by_case=each) for each in (False, True))


def ordered(book: Book, table: Listing, fewest: int, orders: int = 1) -> list[int]:
    """The columns of a table that are filled in by hand and stand in perfect order, from the least likely one on.

    They hold at least `fewest` values, blanks at one end, that could stand in at least `orders` orders. One value alone
    is in order where all blanks stand below it.
    """
    typed, formulas = book.typed(table.sheet), book.formulas(table.sheet)
    rows = [row for row in table.rows if (row, NAME_COLUMN) in typed]
    found: dict[int, int] = {}
    for column in sorted(table.columns.values()):
        values = [typed.get((row, column)) for row in rows]
        worked = any((row, column) in formulas for row in rows)
        in_turn = not worked and (in_order(values, fewest) or gathered(values, fewest))
        if in_turn and (count := ways(values)) >= orders:
            found[column] = count
    return sorted(found, key=lambda column: -found[column])


def gathered(values: Sequence[Value], fewest: int) -> bool:
    """True for one and the same value, often enough, above blanks only."""
    held = [value for value in values if value is not None]
    return len(values) > len(held) >= fewest and len(set(held)) == 1 and None not in values[: len(held)]


def steady(values: Sequence[Value], *, by_case: bool) -> bool:
    """True for values that only rise or only fall, or stay."""
    pairs = pairwise(key_of(value, by_case=by_case) for value in values)
    step = next(((one, other) for one, other in pairs if one != other), None)
    if step is None:
        return True
    return all(one <= other for one, other in pairs) if step[0] < step[1] else all(one >= other for one, other in pairs)


def apart(names: Sequence[str], values: Sequence[Value]) -> bool:
    """True where the names of several kinds stand in their own order although the values beside them differ.

    Names of one kind alone prove nothing: in a table of steps everything grows from row to row.
    """
    last: dict[str, tuple[list[int], Value]] = {}
    pairs: list[tuple[list[int], list[int]]] = []
    for name, value in zip(names, values, strict=True):
        pieces = DIGITS.split(name)
        kind, numbers = "#".join(pieces[::2]), [int(piece) for piece in pieces[1::2]]
        if numbers and kind in last and key_of(last[kind][1]) != key_of(value):
            pairs.append((last[kind][0], numbers))
        last[kind] = numbers, value
    rising = all(one < other for one, other in pairs) or all(one[::-1] < other[::-1] for one, other in pairs)
    return len(pairs) >= FEWEST_PAIRS and len(last) >= FEWEST_KINDS and rising


def crossed(groups: Sequence[Value], values: Sequence[Value]) -> bool:
    """True where words still stand in groups that have nothing to do with the order of the values beside them.

    Whole rows sorted by the values would have torn the groups apart, but for those that lie inside one value, or that
    several values make up.
    """
    if not all(isinstance(word, str) for word in groups):
        return False
    runs = [word for place, word in enumerate(groups) if place == 0 or word != groups[place - 1]]
    if len(runs) != len(set(runs)) or len(runs) < FEWEST_GROUPS or 2 * len(runs) > len(groups):
        return False
    of_value: dict[Key, set[Value]] = {}
    of_word: dict[Value, set[Key]] = {}
    for word, value in zip(groups, values, strict=True):
        of_value.setdefault(key_of(value), set()).add(word)
        of_word.setdefault(word, set()).add(key_of(value))
    across = sum(len(words) > 1 and any(len(of_word[word]) > 1 for word in words) for words in of_value.values())
    return len(of_value) >= FEWEST_GROUPS and across >= FEWEST_CROSSED


def sorted_alone(book: Book, sheet: str, rows: Sequence[int], column: int, names: int) -> Finding:
    """A column that was sorted by itself, while the words of another stand in their own order."""
    first, last = column_letters(names), column_letters(column)
    return Finding(
        "sorted-in-part",
        tuple((sheet, row, column) for row in rows),
        f"{last}{rows[0]}:{last}{rows[-1]}{book.title((sheet, rows[0], column))} is sorted, "
        f"while those in {first} stand in their own order",
        "rows are sorted whole",
        "figures stand beside names that they do not belong to",
        UNDO,
        Sure.LIKELY,
        Weight.WRONG,
    )
