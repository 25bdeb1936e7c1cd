"""Formulas that changed since an older copy of a book: a line for a change that runs down a column, in words.

Cells are held against those that they were, wherever rows, columns and sheets stand now.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from xlcalc.workbook.audit.differences import brief, difference
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.since.pairing import Pairing, SheetPair
from xlcalc.workbook.audit.since.same_formula import SameFormula
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import address, column_letters

CHANGED, NEW, GONE, LOST, GOT = "changed", "new", "gone", "lost", "got"
FEWEST_OF_A_COLUMN = 3  # cells that are called a column


class FormulaChange(NamedTuple):
    """The cells of a column whose formula changed in one way.

    `change` is one of `changed`, `new`, `gone`, `lost` (a typed value stands there now, or nothing) and `got` (a typed
    value stood there). `cells` are those of the new book, of a formula that is gone those of the old one; `title` is
    their header. `was` and `now` are the first cell's formula in the old and the new book, with `=`, or what is typed
    there, or empty; `words` say it in a line.
    """

    change: str
    cells: tuple[Place, ...]
    title: str
    was: str
    now: str
    words: str

    @property
    def place(self) -> str:
        """`Lines!H8:H67`, or `Lines!H8:H67, 58 cells` where some between are not among them."""
        (sheet, first, column), (_, last, _) = self.cells[0], self.cells[-1]
        count, span = len(self.cells), f"{address(sheet, first, column)}:{column_letters(column)}{last}"
        if count == 1:
            return address(sheet, first, column)
        return span if count == last - first + 1 else f"{span}, {count} cells"


class Cell(NamedTuple):
    """A cell in both books; a place is None where a book has no such row or column."""

    was: Place | None
    now: Place | None
    old: Pattern | None
    new: Pattern | None


def formula_changes(pairing: Pairing) -> list[FormulaChange]:
    """What changed in the formulas of the sheets that both books have, in the order of the new book."""
    same = SameFormula(pairing)
    found: list[FormulaChange] = []
    for pair in pairing.sheets:
        groups: dict[tuple[object, ...], list[Cell]] = defaultdict(list)
        for change, cell in apart(pairing, pair, same):
            column = cell.now[2] if cell.now else 0, cell.was[2] if cell.was and not cell.now else 0
            keys = (cell.old and cell.old.key, cell.new and cell.new.key) if change == CHANGED else ()
            groups[change, *column, *keys].append(cell)
        found += [put(pairing, str(key[0]), cells, same) for key, cells in groups.items()]
    return found


def apart(pairing: Pairing, pair: SheetPair, same: SameFormula) -> Iterator[tuple[str, Cell]]:
    """The cells of a sheet whose formulas differ, and how."""
    old, new = pairing.old.formulas(pair.old), pairing.new.formulas(pair.new)
    held = pairing.old.rows(pair.old), pairing.new.rows(pair.new)
    rows = {here: there for here, there in pair.rows.items() if here in held[0] and there in held[1]}
    new_rows = {there: here for here, there in rows.items()}
    kept_old, kept_new = kept(old.items(), rows), kept(new.items(), new_rows)
    for (row, column), pattern in sorted(new.items()):
        here, before_it = new_rows.get(row), pair.new_columns.get(column)
        if here is None and pattern.key in kept_new[column]:
            continue  # a row that was put in and filled down
        now, was = (pair.new, row, column), (pair.old, here, before_it) if here and before_it else None
        before = old.get(was[1:]) if was else None
        if before is None or was is None:
            typed = was is not None and was[1:] in pairing.old.typed(pair.old)
            yield (GOT if typed else NEW), Cell(was, now, None, pattern)
        elif not same.same(before, was, pattern, now):
            yield CHANGED, Cell(was, now, before, pattern)
    for (row, column), pattern in sorted(old.items()):
        there, after_it = rows.get(row), pair.columns.get(column)
        now_at = (pair.new, there, after_it) if there and after_it else None
        if (now_at and now_at[1:] in new) or (there is None and pattern.key in kept_old[column]):
            continue  # the formula is there, or a row was taken out
        yield (LOST if now_at else GONE), Cell((pair.old, row, column), now_at, pattern, None)


def kept(cells: Iterable[tuple[tuple[int, int], Pattern]], rows: dict[int, int]) -> dict[int, set[str]]:
    """The patterns of each column in the rows that both books have."""
    found: dict[int, set[str]] = defaultdict(set)
    for (row, column), pattern in cells:
        if row in rows:
            found[column].add(pattern.key)
    return found


def put(pairing: Pairing, change: str, cells: list[Cell], same: SameFormula) -> FormulaChange:
    """The cells of one change as a line of it."""
    first = cells[0]
    old, new = first.old, first.new
    was = f"={old.at(first.was[1])}" if old and first.was else held(pairing.old.value(first.was)) if first.was else ""
    now = f"={new.at(first.now[1])}" if new and first.now else held(pairing.new.value(first.now)) if first.now else ""
    there = tuple(place for cell in cells if (place := cell.now or cell.was))
    title = (pairing.new if first.now else pairing.old).title(there[0])
    words = in_words(change, was, now, len(cells))
    if old and new and first.was and first.now:
        words = difference(new.at(first.now[1]), same.moved(old, first.was, first.now)).since
        if old.array != new.array:
            words = f"{'entered as an array formula' if new.array else 'no longer an array formula'}: {brief(now)}"
    return FormulaChange(change, there, title, was, now, words)


def held(value: Value) -> str:
    """What is typed into a cell; empty for a blank one."""
    return "" if value in (None, "") else shown(value)


def in_words(change: str, was: str, now: str, count: int) -> str:
    """What happened to cells of which one book has no formula."""
    many = count > 1
    if change == NEW:
        return f"new{' column' if count >= FEWEST_OF_A_COLUMN else ''}, {brief(now)}"
    if change == GONE:
        return f"{'column ' if count >= FEWEST_OF_A_COLUMN else ''}gone, was {brief(was)}"
    if change == GOT:
        return f"a formula in place of {'typed values' if many else f'{brief(was)}, which was typed'}: {brief(now)}"
    typed = "values are typed" if many else f"{brief(now)} is typed"
    return f"{typed if now else 'nothing stands'} in place of the formula {brief(was)}"
