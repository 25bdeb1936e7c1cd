"""What changed between two revisions of a job's workbook: money, days, the job, its limits, the rows of every table.

Rows are matched by their name and cells by their header, named cells by their name, never by where they stand. Typed
cells are compared, and of what is worked out the Checks, the limits in use and the money.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from xlcalc.core.tables import raw_rows
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.copies.revise import AMOUNTS, SENT_BY
from xlcalc.workbook.explained.headers import is_unit
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing, listings
from xlcalc.workbook.explained.place import named_cell
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.values import Value, same
from xlcalc.workbook.landmarks import limit_name

ADDED, REMOVED, CHANGED = "added", "removed", "changed"

RowKey = tuple[str, int]
"""The name of a row, letters folded, and which of the rows of that name it is."""


class Held(NamedTuple):
    """What a cell holds: its value, and how a person reads it."""

    value: Value
    text: str


NOTHING = Held(None, "blank")
WORKED_OUT = Held(None, "worked out")  # stands for a formula: what it answers is not typed


class Difference(NamedTuple):
    """A cell that changed, by its header or label; unit empty where it has none, `name` that of a named cell."""

    words: str
    unit: str
    old: Held
    new: Held
    name: str = ""


class RowChange(NamedTuple):
    """A row that was added, removed or changed; `cells` are its typed cells that differ."""

    name: str
    change: str
    cells: list[Difference]
    old_check: str
    new_check: str


class TableChange(NamedTuple):
    """What changed in a table: the header over the names of its rows says which table of the sheet it is."""

    sheet: str
    head: str
    rows: list[RowChange]
    nameless: int  # filled rows without a name, which nothing can be matched by
    heads: frozenset[str]  # all headers of the table


class Amount(NamedTuple):
    """An amount of the quote; None where a book has no such cell or no number in it."""

    name: str
    old: float | None
    new: float | None


class Comparison(NamedTuple):
    """All that changed. `money` is empty where neither book has a quote."""

    named: dict[str, list[Difference]]  # by sheet
    tables: list[TableChange]
    money: list[Amount]
    quotes: tuple[bool, bool]  # whether the old and the new book have one

    @property
    def nothing(self) -> bool:
        """True where nothing changed."""
        return not (self.named or any(table.rows for table in self.tables) or any(map(moved, self.money)))


def compare(old: Workings, new: Workings) -> Comparison:
    """What changed from one book to another."""
    named: dict[str, list[Difference]] = {}
    for sheet, difference in named_changes(old, new):
        named.setdefault(sheet, []).append(difference)
    tables = [table for table in table_changes(old, new) if table.rows or table.nameless]
    quotes = has_quote(old), has_quote(new)
    money = [Amount(name, amount(old, name), amount(new, name)) for name in AMOUNTS] if any(quotes) else []
    return Comparison(named, tables, money, quotes)


def moved(each: Amount) -> bool:
    """True for an amount that changed."""
    return each.old != each.new


def has_quote(book: Workings) -> bool:
    """True for a book with the cells of a quote."""
    return any(named_cell(book.written, f"Now{name}") for name in AMOUNTS)


def amount(book: Workings, name: str) -> float | None:
    """An amount of the quote as it is now."""
    place = named_cell(book.written, f"Now{name}")
    value = book.value(place) if place else None
    return value if isinstance(value, float) and not isinstance(value, bool) else None


def held(book: Workings, place: Place | None) -> Held:
    """What a cell holds; a place that a book does not have is blank."""
    value = book.value(place) if place else None
    return Held(value, book.said(place)) if place and value not in (None, "") else NOTHING


def difference(words: str, unit: str, old: Held, new: Held) -> Difference | None:
    """Two cells side by side; None where they hold the same. What looks alike and is not is told apart."""
    if same(old.value, new.value):
        return None
    if old.text == new.text:
        old, new = exact(old), exact(new)
    return Difference(words, unit, old, new)


def exact(cell: Held) -> Held:
    """A cell with all its digits, or the remark that it holds a text."""
    return cell._replace(text=f"{cell.text} (text)" if isinstance(cell.value, str) else f"{cell.value:.15g}")


def typed(book: Workings, place: Place) -> bool:
    """True for a cell without formula."""
    return not book.written.formula(place)


def named_changes(old: Workings, new: Workings) -> Iterator[tuple[str, Difference]]:
    """The named cells that changed, with their sheet: those that are typed, and the limits in use."""
    limits = {limit_name(limit["id"]) for limit in raw_rows("limits")}  # worked out: a default or the shop's own
    frozen = set(SENT_BY)  # they say what was sent, which every new revision changes
    names = dict.fromkeys([*new.written.names, *old.written.names])
    found = []
    for name in names:
        places = named_cell(old.written, name), named_cell(new.written, name)
        there = [(book, place) for book, place in zip((old, new), places, strict=True) if place]
        if not there or name in frozen or not (name in limits or all(typed(*each) for each in there)):
            continue
        book, place = there[-1]
        words = f"Limit, {label(book, place, name)}" if name in limits else label(book, place, name)
        if change := difference(words, beside(book, place), held(old, places[0]), held(new, places[1])):
            found.append((place, change._replace(name=name)))
    sheets = list(dict.fromkeys([*new.written.sheets, *old.written.sheets]))
    for place, change in sorted(found, key=lambda each: (sheets.index(each[0][0]), *each[0][1:])):
        yield place[0], change


def label(book: Workings, place: Place, name: str) -> str:
    """The words at the head of its row; its name where there are none."""
    sheet, row, column = place
    words = book.value((sheet, row, 1)) if column > 1 else None
    return words if isinstance(words, str) and words else name


def beside(book: Workings, place: Place) -> str:
    """The unit that stands to the right of a named cell."""
    right = place[0], place[1], place[2] + 1
    words = book.value(right)
    said = isinstance(words, str) and (is_unit(words) or words.startswith("per ")) and typed(book, right)
    return str(words) if said else ""


def table_changes(old: Workings, new: Workings) -> Iterator[TableChange]:
    """The tables of both books, those of the new one first, each with what changed in it."""
    before, after = tables(old), tables(new)
    for key in dict.fromkeys([*after, *before]):
        sheet, head, _ = key
        sides = Side(old, before.get(key)), Side(new, after.get(key))
        heads = frozenset([*sides[0].heads, *sides[1].heads])
        yield TableChange(sheet, head, list(row_changes(*sides)), sides[1].nameless, heads)


def tables(book: Workings) -> dict[tuple[str, str, int], Listing]:
    """The tables of a book by sheet, first header, and which of the tables with that header it is."""
    seen = Counter[tuple[str, str]]()
    found = {}
    for sheet in book.written.sheets:
        for table in listings(book.report, sheet, book.headers(sheet)):
            key = sheet, table.head()
            found[*key, seen[key]] = table
            seen[key] += 1
    return found


class Side:
    """A table in one of the books, its rows by their names; empty where the book has none."""

    def __init__(self, book: Workings, table: Listing | None) -> None:
        self.book, self.table = book, table
        self.rows: dict[RowKey, tuple[str, int]] = {}
        self.nameless = 0
        seen = Counter[str]()
        for row in table.rows if table else ():
            name = held(book, self.place(row, NAME_COLUMN))
            if name.value is not None:
                self.rows[name.text.strip().casefold(), seen[name.text.strip().casefold()]] = name.text.strip(), row
                seen[name.text.strip().casefold()] += 1
            elif any(self.cell(row, head).value is not None for head in self.heads):
                self.nameless += 1

    @property
    def heads(self) -> list[str]:
        """The headers of its columns, without the name and the Check."""
        own = {NAME_COLUMN, self.table.check} if self.table else set()
        return [head for head, column in self.table.columns.items() if column not in own] if self.table else []

    def place(self, row: int, column: int) -> Place:
        """A cell of the table."""
        return (self.table.sheet if self.table else "", row, column)

    def cell(self, row: int, head: str) -> Held:
        """What stands in a column: a typed value, nothing, or that it is worked out."""
        column = self.table.columns.get(head) if self.table else None
        if column is None:
            return NOTHING
        place = self.place(row, column)
        return held(self.book, place) if typed(self.book, place) else WORKED_OUT

    def check(self, row: int) -> str:
        """What the Check of a row says."""
        return held(self.book, self.place(row, self.table.check)).text if self.table else ""

    def unit(self, head: str, row: int) -> str:
        """The unit of a column."""
        column = self.table.columns.get(head) if self.table else None
        return self.book.headers(self.table.sheet).unit(row, column) if self.table and column else ""


def row_changes(old: Side, new: Side) -> Iterator[RowChange]:
    """The rows that differ in the order of the new table, then those that are gone."""
    for key, (name, row) in new.rows.items():
        if key not in old.rows:
            yield RowChange(name, ADDED, alone(new, row, added=True), "", new.check(row))
            continue
        before = old.rows[key][1]
        cells = list(cell_changes(old, before, new, row))
        checks = old.check(before), new.check(row)
        if cells or checks[0] != checks[1]:
            yield RowChange(name, CHANGED, cells, *checks)
    for key, (name, row) in old.rows.items():
        if key not in new.rows:
            yield RowChange(name, REMOVED, alone(old, row, added=False), old.check(row), "")


def alone(side: Side, row: int, *, added: bool) -> list[Difference]:
    """The typed cells of a row that only one book has."""
    cells = ((head, side.cell(row, head)) for head in side.heads)
    return [
        Difference(head, side.unit(head, row), *((NOTHING, cell) if added else (cell, NOTHING)))
        for head, cell in cells
        if cell.value is not None
    ]


def cell_changes(old: Side, before: int, new: Side, after: int) -> Iterator[Difference]:
    """The typed cells of a row that differ; a value typed over a formula is one of them, a blank over it is none."""
    for head in dict.fromkeys([*new.heads, *old.heads]):
        sides = old.cell(before, head), new.cell(after, head)
        unit = new.unit(head, after) or old.unit(head, before)
        if change := difference(head, unit, *sides):
            yield change


def count(changes: Iterable[RowChange], kind: str) -> int:
    """How many rows changed in a way."""
    return sum(row.change == kind for row in changes)
