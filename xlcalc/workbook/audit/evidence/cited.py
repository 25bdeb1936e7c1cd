"""Figures that come from a source: which cells of a book are those of a new workbook, wherever they stand now."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from typing import NamedTuple
from weakref import WeakKeyDictionary

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.same_values import cited_alike
from xlcalc.workbook.explained.listing import NAME_COLUMN, numbered
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.landmarks import MARKER

VALUES = "known_values"
AGAIN = "\t"
TEXT_SIGN = "'"  # stands before a text that looks like a number
SOURCE, MARK = "source", "mark"
ABOVE = 70  # rows above the first row of figures in which the headers may stand
FIRST = 3  # columns in which a worked-out name of a row may stand
MOST_OF = 0.7
SAME_HEAD = 0.5  # what the same header counts, against the share of cells that are equal
FEWEST_TORN = 4  # names beside the figures of others that say that they were sorted away from their own
FEWEST = 3  # equal cells by which a row under another name is known again

Row = Mapping[str, Value]
"""The cells of a row by header."""


class Found(NamedTuple):
    """A table of figures of a new workbook as it stands in a book.

    `columns` has the column of each header, `names` that of the rows' names, `rows` the rows of the book by the
    name that they have in a new workbook, `renamed` those of them that stand there under another name, `torn` those
    whose names stand beside other figures of the table now. `turned` has the columns whose values stand in other rows
    of the table than in a new workbook, with these rows.
    """

    sheet: str
    names: int
    columns: dict[str, int]
    rows: dict[str, list[int]]
    renamed: set[int]
    torn: set[int]
    turned: dict[int, list[int]]


def is_source(head: str) -> bool:
    """True for the header of a column that says where a figure is from."""
    return head.casefold().startswith(SOURCE) or head.casefold() == MARK


def figures(book: Book) -> Iterator[tuple[str, str, str, Value]]:
    """Header over the names, name of the row, header and value of every typed cell of the tables that name sources.

    Tables without a number are left out, but not the list of sources itself.
    """
    for sheet in book.sheets:
        tables: dict[str, list[tuple[str, str, str, Value]]] = defaultdict(list)
        for each in sourced(book, sheet):
            tables[each[0]].append(each)
        for table, cells in tables.items():
            if is_source(table) or any(isinstance(value, float) for *_, value in cells):
                yield from cells


def sourced(book: Book, sheet: str) -> Iterator[tuple[str, str, str, Value]]:
    """The typed cells of the tables of a sheet with a header that says Source, as `figures` gives them."""
    typed = book.typed(sheet)
    heads: dict[int, str] = {}
    by_row: dict[int, list[int]] = defaultdict(list)
    for row, column in sorted(typed):
        by_row[row].append(column)
    for row, columns in sorted(by_row.items()):
        texts = {column: text for column in columns if isinstance(text := typed[row, column], str)}
        if MARKER in texts.values():
            heads = {}
        elif len(texts) > FEWEST and any(is_source(text) for text in texts.values()):
            heads = numbered(texts)
        elif heads and any(is_source(heads.get(column, "")) for column in columns):
            name = book.value((sheet, row, min(heads)))
            for column in columns:
                if column in heads and column != min(heads) and isinstance(name, str):
                    yield heads[min(heads)], name, heads[column], typed[row, column]


def written(value: Value) -> str:
    """A value as the data file holds it."""
    if isinstance(value, float):
        return repr(value)
    text = str(value)
    return TEXT_SIGN + text if _number(text) is not None or text.startswith(TEXT_SIGN) else text


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


@cache
def known_tables() -> dict[str, dict[str, Row]]:
    """The tables of figures of a new workbook by the header over their names: name of a row, header, value."""
    tables: dict[str, dict[str, dict[str, Value]]] = {}
    for each in raw_rows(f"audit/{VALUES}"):
        text = each["value"]
        number = _number(text)
        value: Value = text.removeprefix(TEXT_SIGN) if number is None else number
        rows, row, again = tables.setdefault(each["table"], {}), each["row"], 1
        while each["head"] in rows.get(row, ()):
            again += 1
            row = f"{each['row']}{AGAIN}{again}"
        rows.setdefault(row, {})[each["head"]] = value
    return {table: dict(rows) for table, rows in tables.items()}


def plain(name: str) -> str:
    """The name of a row as the sheet has it; one that stands there again has a number in the data."""
    return name.partition(AGAIN)[0]


_FOUND: "WeakKeyDictionary[Book, list[tuple[str, Found]]]" = WeakKeyDictionary()


def found_tables(book: Book) -> list[tuple[str, Found]]:
    """The tables of figures that a book has, by the header over their names in a new workbook; looked for once."""
    if book not in _FOUND:
        _FOUND[book] = list(_found_tables(book))
    return _FOUND[book]


def displaced(book: Book) -> set[str]:
    """The names, in small letters, that several rows of a table had before it was torn or its names made otherwise."""
    found: set[str] = set()
    for _, table in found_tables(book):
        moved = {*table.torn, *(row for rows in table.turned.values() for row in rows)}
        pairs = [(plain(name), row) for name, rows in table.rows.items() for row in rows]
        gone = {name.casefold() for name, row in pairs
                if row in moved or book.value((table.sheet, row, NAME_COLUMN)) != name}  # fmt: skip
        found |= gone if len(gone) >= FEWEST_TORN else set()
    return found


def _found_tables(book: Book) -> Iterator[tuple[str, Found]]:
    wanted: dict[str, set[str]] = defaultdict(set)
    for table, rows in known_tables().items():
        for name in rows:
            wanted[plain(name)].add(table)
    places: dict[str, dict[tuple[str, int], dict[str, list[int]]]] = defaultdict(dict)
    for sheet in book.sheets:
        for row, column, text in named_cells(book, sheet):
            for table in wanted.get(text, ()):
                places[table].setdefault((sheet, column), {}).setdefault(text, []).append(row)
    for table, rows in known_tables().items():
        most = max((len(names) for names in places[table].values()), default=0)
        if most >= max(FEWEST, MOST_OF * len(rows) / 2):
            likely = [at for at, names in places[table].items() if len(names) >= MOST_OF * most]
            sheet = max(places[table], key=lambda at: len(places[table][at]))[0]
            names = min(column for where, column in likely if where == sheet)
            yield table, matched(book, rows, sheet, names, places[table][sheet, names])


def named_cells(book: Book, sheet: str) -> Iterator[tuple[int, int, str]]:
    """Row, column and text of the cells of a sheet that may name a row."""
    for (row, column), text in book.texts(sheet).items():
        yield row, column, text.strip()
    for pattern, places in book.patterns(sheet).items():
        for place in places if pattern.column <= FIRST else ():
            if isinstance(value := book.value(place), str):
                yield *place[1:], value


def matched(book: Book, known: Mapping[str, Row], sheet: str, names: int, rows: dict[str, list[int]]) -> Found:
    """The columns and rows of a table whose names stand in a column."""
    typed = book.typed(sheet)
    by_row: dict[int, dict[int, Value]] = defaultdict(dict)
    for (row, column), value in typed.items():
        by_row[row][column] = value
    first, last = min(map(min, rows.values())), max(map(max, rows.values()))
    columns = matched_columns(known, heads_above(known, by_row, first), by_row, rows)
    rows, torn = put_back(known, paired(known, rows, by_row, columns), by_row, columns)
    renamed = set()
    taken = {row for each in rows.values() for row in each}
    for name, cells in known.items():
        near = range(first - FEWEST, last + FEWEST + 1)
        if name not in rows and (row := next((each for each in near if each not in taken
                                              and mostly(cells, by_row[each], columns)), 0)):  # fmt: skip
            rows[name] = [row]
            renamed.add(row)
            taken.add(row)
    settled = {row: known[name] for name, there in rows.items() for row in there if row not in torn}
    return Found(sheet, names, columns, rows, renamed, torn, turned_columns(settled, by_row, columns))


def turned_columns(
    settled: Mapping[int, Row], by_row: Mapping[int, Mapping[int, Value]], columns: Mapping[str, int]
) -> dict[int, list[int]]:
    """The columns of which several rows hold each other's values, and nothing else that is new; and these rows."""
    found = {}
    for head, column in columns.items():
        moved = [row for row, cells in settled.items()
                 if head in cells and not cited_alike(cells[head], by_row[row].get(column))]  # fmt: skip
        there, expected = (Counter(values) for values in ((by_row[row].get(column) for row in moved),
                                                          (settled[row][head] for row in moved)))  # fmt: skip
        if len(moved) >= FEWEST_TORN and there == expected:
            found[column] = moved
    return found


def put_back(
    known: Mapping[str, Row],
    rows: dict[str, list[int]],
    by_row: Mapping[int, Mapping[int, Value]],
    columns: Mapping[str, int],
) -> tuple[dict[str, list[int]], set[int]]:
    """The rows of each known one by its figures, where several names stand beside those of others; and which these are.

    So it is after the cells that make up a name were sorted without the rest of their rows: what differs from the known
    row is then a value of another. Rows that the shop called otherwise have words of their own.
    """
    kept = {name: [row for row in there if is_at_home(known, name, by_row[row], columns)]
            for name, there in rows.items()}  # fmt: skip
    at_home = {name: there for name, there in kept.items() if there}
    taken = {row for there in at_home.values() for row in there}
    all_rows = [row for there in rows.values() for row in there]
    if not all_rows or (len(all_rows) == len(taken) and len(rows) == len(known)):
        return rows, set()
    held = {head: {cells[head] for cells in known.values() if head in cells} for head in columns}
    found: dict[str, list[int]] = {}
    for name in (name for name in known if name not in at_home):
        free = (row for row in range(min(all_rows), max(all_rows) + 1) if row not in taken and row in by_row)
        fitting = [row for row in free if mostly(known[name], by_row[row], columns)
                   and only_moved(known[name], by_row[row], columns, held)]  # fmt: skip
        if fitting:
            found[name] = [max(fitting, key=lambda row: equal_cells(known[name], by_row[row], columns))]
            taken.update(found[name])
    torn = {row for (row,) in found.values()}
    return (at_home | found, torn) if len(torn) >= FEWEST_TORN else (rows, set())


def only_moved(
    cells: Row, there: Mapping[int, Value], columns: Mapping[str, int], held: Mapping[str, Collection[Value]]
) -> bool:
    """True where every cell that differs from a known row holds what another known row has there."""
    pairs = ((head, there.get(columns[head]), value) for head, value in cells.items() if head in columns)
    return all(value in held[head] for head, value, known in pairs if not cited_alike(value, known))


def is_at_home(known: Mapping[str, Row], name: str, there: Mapping[int, Value], columns: Mapping[str, int]) -> bool:
    """True where a row holds the cells of the known row that it is called after, or is like no other one more."""
    own = equal_cells(known[name], there, columns)
    if own == sum(head in columns for head in known[name]):
        return True
    return all(equal_cells(cells, there, columns) <= own for cells in known.values())


def paired(
    known: Mapping[str, Row],
    rows: Mapping[str, list[int]],
    by_row: Mapping[int, Mapping[int, Value]],
    columns: Mapping[str, int],
) -> dict[str, list[int]]:
    """The rows of each known one by its name; where a new workbook has several of one name, each goes with the row
    that is most like it, and those that are as like as another in the order in which they stand."""
    twins: dict[str, list[str]] = defaultdict(list)
    for name in known:
        twins[plain(name)].append(name)
    found: dict[str, list[int]] = {}
    for text, names in twins.items():
        there = rows.get(text, [])
        if len(names) == 1:
            found |= {text: there} if there else {}
            continue
        pairs = [(-equal_cells(known[name], by_row[row], columns), abs(order - place), name, row)
                 for order, name in enumerate(names) for place, row in enumerate(sorted(there))]  # fmt: skip
        taken: set[int] = set()
        for _, _, name, row in sorted(pairs):
            if name not in found and row not in taken:
                found[name] = [row]
                taken.add(row)
    return found


def equal_cells(cells: Row, there: Mapping[int, Value], columns: Mapping[str, int]) -> int:
    """How many cells of a known row a row holds."""
    return sum(cited_alike(value, there.get(columns[head])) for head, value in cells.items() if head in columns)


def mostly(cells: Row, there: Mapping[int, Value], columns: Mapping[str, int]) -> bool:
    """True where a row holds nearly all the cells of a known row."""
    equal = equal_cells(cells, there, columns)
    return equal >= FEWEST and equal >= MOST_OF * sum(head in columns for head in cells)


def heads_above(known: Mapping[str, Row], by_row: Mapping[int, Mapping[int, Value]], first: int) -> dict[int, str]:
    """The row above a table that holds the most of its headers."""
    heads = {head.partition(" (")[0] for cells in known.values() for head in cells}
    best: dict[int, str] = {}
    for row in range(first, max(0, first - ABOVE), -1):
        texts = {column: text for column, text in sorted(by_row.get(row, {}).items()) if isinstance(text, str)}
        count = sum(text.strip() in heads for text in texts.values())
        if count > max(1, sum(text.partition(" (")[0] in heads for text in best.values())):
            best = numbered(texts)
    return best


def matched_columns(
    known: Mapping[str, Row],
    heads: Mapping[int, str],
    by_row: Mapping[int, Mapping[int, Value]],
    rows: Mapping[str, list[int]],
) -> dict[str, int]:
    """The column of each header: the one that has most of its values, and its words where they were not changed."""
    scores: list[tuple[float, str, int]] = []
    for head in dict.fromkeys(head for cells in known.values() for head in cells):
        equal, there = Counter[int](), 0
        for name, cells in known.items():
            if head in cells and plain(name) in rows:
                there += 1
                row = by_row[rows[plain(name)][0]]
                equal.update(column for column, value in row.items() if cited_alike(cells[head], value))
        bare = head.partition(" (")[0]
        for column in {*equal, *heads}:
            alike = heads.get(column, "").partition(" (")[0] == bare
            score = (equal[column] / there if there else 0.0) + SAME_HEAD * alike
            if score > SAME_HEAD or (alike and heads[column] == head):
                scores.append((score + SAME_HEAD / 2 * (heads.get(column) == head), head, column))
    columns: dict[str, int] = {}
    for _, head, column in sorted(scores, key=lambda each: -each[0]):
        if head not in columns and column not in columns.values():
            columns[head] = column
    return columns
