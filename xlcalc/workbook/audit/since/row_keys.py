"""What the rows of a sheet are known by in another copy of the book: table, words, name, formulas."""

from collections import Counter
from collections.abc import Callable, Hashable

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.explained.headers import is_unit
from xlcalc.workbook.explained.listing import NAME_COLUMN

Key = Callable[["Side", int], Hashable]
"""What a row is known by; None where it is not known by that."""


class Side:
    """A sheet of one of the two books: what its rows are known by."""

    def __init__(self, book: Book, sheet: str) -> None:
        self.book, self.sheet = book, sheet
        self.rows = book.rows(sheet)
        self.held = sorted(self.rows)
        self.heads = book.headers(sheet).rows
        self.names = NAME_COLUMN
        self.section_of: dict[int, int] = {}  # header row -> number that it shares with that of the other book

    def words(self, row: int) -> frozenset[str]:
        """The texts typed into a row."""
        return frozenset(self.rows[row].texts.values()) if row in self.rows else frozenset()

    def units(self, row: int) -> bool:
        """True for a row most of whose words are units."""
        words = self.words(row)
        return bool(words) and 2 * sum(map(is_unit, words)) >= len(words)

    def section(self, row: int) -> tuple[int, bool]:
        """Which table a row belongs to, in a form that both books share."""
        top, after = self.book.section((self.sheet, row, 1))
        return self.section_of.get(top, 0), after

    def name(self, row: int) -> str:
        """What is typed into the column of names, letters folded; what is worked out goes by its place."""
        return self.rows[row].texts.get(self.names, "").strip().casefold() if row in self.rows else ""

    def shapes(self, row: int) -> frozenset[str]:
        """The shapes of the formulas of a row."""
        return frozenset(pattern.shape for pattern in self.rows[row].formulas.values())

    def dominant(self, column: int) -> str:
        """The shape that most formulas of a column have; empty for a column without any."""
        shapes = Counter(row.formulas[column].shape for row in self.rows.values() if column in row.formulas)
        return shapes.most_common(1)[0][0] if shapes else ""

    def title(self, column: int) -> str:
        """The first header of a column."""
        return next((text for head in self.heads if (text := self.rows[head].texts.get(column, ""))), "")


def words(side: Side, row: int) -> Hashable:
    """A row by the words in it."""
    return side.words(row) or None


def words_of_table(side: Side, row: int) -> Hashable:
    """A row by its table and the words in it."""
    return (side.section(row), held) if (held := side.words(row)) else None


def name(side: Side, row: int) -> Hashable:
    """A row by its name."""
    return side.name(row) or None


def name_of_table(side: Side, row: int) -> Hashable:
    """A row by its table and its name."""
    return (side.section(row), held) if (held := side.name(row)) else None


def formulas(side: Side, row: int) -> Hashable:
    """A row by its table and the shapes of its formulas."""
    return (side.section(row), shapes) if (shapes := side.shapes(row)) else None


def formulas_without_name(side: Side, row: int) -> Hashable:
    """A row without a name by the same."""
    return None if side.name(row) else formulas(side, row)
