"""What was typed anew since an older copy of a book: cells, whole rows put in, whole rows taken out.

Cells are held against those that they were, wherever rows, columns and sheets stand now. Where a formula stands in one
of the two books it is a change of formulas.
"""

from collections.abc import Iterator, Set
from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.since.pairing import Pairing, SheetPair
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.copies.compare import Held, difference, held
from xlcalc.workbook.explained.listing import NAME_COLUMN
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import same

FEWEST_OF_A_ROW = 2  # typed cells that make a row of a table


class TypedChange(NamedTuple):
    """A cell that holds something else: its place in the new book, or in the old one where it is gone with its column.

    `title` says header, unit and row; `was` and `now` are what it held and holds, texts in quotes, `blank` for nothing.
    """

    place: Place
    title: str
    was: str
    now: str


class TypedRow(NamedTuple):
    """A row that only one of the books has: the place of its name there, the name, how many of its cells are typed."""

    place: Place
    name: str
    cells: int

    @property
    def where(self) -> str:
        """`Lines, row 12 (PS-1)`."""
        return f"{self.place[0]}, row {self.place[1]}{f' ({self.name})' if self.name else ''}"


class TypedChanges(NamedTuple):
    """All that was typed anew in the sheets that both books have."""

    cells: list[TypedChange]
    put_in: list[TypedRow]
    taken_out: list[TypedRow]


def typed_changes(pairing: Pairing, but: tuple[Set[Place], Set[Place]]) -> TypedChanges:
    """What was typed anew; `but` are cells of the old and of the new book that are told of elsewhere."""
    found = TypedChanges([], [], [])
    for pair in pairing.sheets:
        for row, there in row_pairs(pairing, pair):
            sides = Line(pairing.old, pair.old, row), Line(pairing.new, pair.new, there)
            if another(*sides, pair):
                found.taken_out.extend(alone(sides[0]))
                found.put_in.extend(alone(sides[1]))
            else:
                found.cells.extend(cell_changes(*sides, pair, but))
    return found


class Line:
    """A row of one of the books: its typed cells by column, and its name."""

    def __init__(self, book: Book, sheet: str, row: int) -> None:
        self.book, self.sheet, self.row = book, sheet, row
        line = book.rows(sheet).get(row)
        self.columns = sorted({*line.texts, *line.numbers}) if line else []

    def place(self, column: int) -> Place:
        """A cell of the row."""
        return self.sheet, self.row, column

    @property
    def name(self) -> str:
        """What stands in its first column; empty where that is blank or no text."""
        value = self.book.value(self.place(NAME_COLUMN)) if self.row else None
        return value if isinstance(value, str) else ""


def row_pairs(pairing: Pairing, pair: SheetPair) -> Iterator[tuple[int, int]]:
    """The rows of the new book with those that they were, then those that are gone; 0 where a book has none."""
    for row in sorted(pairing.new.rows(pair.new)):
        yield pair.new_rows.get(row, 0), row
    for row in sorted(pairing.old.rows(pair.old)):
        if pair.rows.get(row, 0) not in pairing.new.rows(pair.new):
            yield row, 0


def another(old: Line, new: Line, pair: SheetPair) -> bool:
    """True where one row stands in the place of another, or of none."""
    counts = len(old.columns), len(new.columns)
    if not all(counts):
        return max(counts) >= FEWEST_OF_A_ROW
    equal = sum(
        same(old.book.value(old.place(column)), new.book.value(new.place(pair.columns[column])))
        for column in old.columns
        if column in pair.columns
    )
    return bool(old.name and new.name and old.name != new.name) and 2 * equal < max(counts)


def alone(line: Line) -> Iterator[TypedRow]:
    """A row that only one of the books has, where anything is typed into it."""
    if line.columns:
        yield TypedRow(line.place(NAME_COLUMN), line.name, len(line.columns))


def cell_changes(old: Line, new: Line, pair: SheetPair, but: tuple[Set[Place], Set[Place]]) -> Iterator[TypedChange]:
    """The typed cells of a row that differ."""
    columns: dict[tuple[int, int], None] = {(pair.new_columns.get(column, 0), column): None for column in new.columns}
    columns |= {(column, pair.columns.get(column, 0)): None for column in old.columns}
    for column, there in columns:
        was = old.place(column) if old.row and column else None
        now = new.place(there) if new.row and there else None
        if was in but[0] or now in but[1] or (was and old.book.formula(was)) or (now and new.book.formula(now)):
            continue
        sides = held(old.book.workings, was), held(new.book.workings, now)
        book, place = (new.book, now) if now else (old.book, was)
        change = difference("", "", *sides)
        if change and place:
            yield TypedChange(place, title(book, place), quoted(change.old), quoted(change.new))


def quoted(cell: Held) -> str:
    """What a cell holds; a text in quotes, so that it stands apart from the words around it."""
    return f'"{cell.text}"' if cell.text == cell.value else cell.text


def title(book: Book, place: Place) -> str:
    """` (Flow, L/min) of PS-1`: header and unit, and the name of the row; that it is a header itself."""
    sheet, row, column = place
    heads = book.headers(sheet)
    if row in heads.rows:
        return " (header)"
    name = book.value((sheet, row, NAME_COLUMN)) if column != NAME_COLUMN and heads.head(row, column) else None
    return book.title(place) + (f" of {shown(name)}" if isinstance(name, str) and name else "")
