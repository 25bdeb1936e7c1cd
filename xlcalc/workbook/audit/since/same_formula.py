"""Whether a formula says what it said in an older copy of the book, wherever it and what it looks at stand now.

An area is the same where it covers the same rows and columns: those that were put in or taken out do not count.
"""

from bisect import bisect_left, bisect_right

from xlcalc.workbook.audit.reading.patterns import LOOK, Corner, Pattern, Target
from xlcalc.workbook.audit.since.pairing import Pairing, SheetPair
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import address, column_letters

FILLED_DOWN = 3  # cells of a column with the same pattern: then a distance of rows is what is meant


class SameFormula:
    """Holds formulas of two copies of a book against each other; what is the same in every row is asked once."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairing = pairing
        self._settled: set[tuple[int, int]] = set()

    def same(self, old: Pattern, was: Place, new: Pattern, now: Place) -> bool:
        """True where a formula at a place of the new book says what one at a place of the old book said."""
        if (id(old), id(new)) in self._settled:
            return True
        filled = len(self._pairing.new.patterns(now[0]).get(new, ())) >= FILLED_DOWN
        if not self._alike(old, was, new, now, filled=filled):
            return False
        if all(same_lines(*pair) for pair in zip(old.targets, new.targets, strict=True)):
            self._settled.add((id(old), id(new)))
        return True

    def same_name(self, old: Pattern, new: Pattern) -> bool:
        """True where a defined name stands for what it stood for; both are read as formulas of the cell A1."""
        return self._alike(old, ("", 1, 1), new, ("", 1, 1), filled=False)

    def _alike(self, old: Pattern, was: Place, new: Pattern, now: Place, *, filled: bool) -> bool:
        if old.shape != new.shape or len(old.targets) != len(new.targets):
            return False
        return all(self._look(*pair, was, now, filled=filled) for pair in zip(old.targets, new.targets, strict=True))

    def _look(self, old: Target, new: Target, was: Place, now: Place, *, filled: bool) -> bool:
        pair = self._pairing.by_old.get((old.sheet or was[0]).casefold())
        if pair is None:
            return old == new  # another file, several sheets, or a sheet that is gone
        if pair.new.casefold() != (new.sheet or now[0]).casefold() or signs(old) != signs(new):
            return False
        home = filled and pair.old == was[0]
        return self._columns(pair, old, new) and self._rows(pair, (old, was[1]), (new, now[1]), home=home)

    def _columns(self, pair: SheetPair, old: Target, new: Target) -> bool:
        here, there = ([each.column for each in side.corners] for side in (old, new))
        if None in here or None in there:
            return here == there
        if [pair.column(column) for column in here if column] == there:
            return True
        covered = sorted(pair.columns[column] for column in across(old) if column in pair.columns)
        return len(there) > 1 and covered == [column for column in across(new) if column in pair.new_columns]

    def _rows(self, pair: SheetPair, old: tuple[Target, int], new: tuple[Target, int], *, home: bool) -> bool:
        """True for the same rows; `home` for a column of the same formula that looks at its own sheet."""
        if old[0].corners[0].row is None or (same_lines(old[0], new[0]) and (pair.in_place or home)):
            return True
        here, there = rows_of(*old), rows_of(*new)
        if tuple(map(pair.row, here)) == there:
            return True
        return len(old[0].corners) > 1 and self._covered(pair, here, there)

    def _covered(self, pair: SheetPair, here: tuple[int, int], there: tuple[int, int]) -> bool:
        """True where two areas cover the same rows, and as much that is blank at their ends."""
        covered = sorted(pair.rows[row] for row in held_in(pair.held[0], here) if row in pair.rows)
        if not covered or covered != [row for row in held_in(pair.held[1], there) if row in pair.new_rows]:
            return False
        return blank_ends(pair.held[0], here) == blank_ends(pair.held[1], there)

    def moved(self, old: Pattern, was: Place, now: Place) -> str:
        """A formula of the old book as it reads in a cell of the new one, where it says what it said."""
        parts = old.text.split(LOOK)
        if len(parts) != len(old.targets) + 1:
            return old.at(was[1])
        looks = (self._spelled(target, was, now) for target in old.targets)
        return parts[0] + "".join(f"{look}{part}" for look, part in zip(looks, parts[1:], strict=True))

    def _spelled(self, target: Target, was: Place, now: Place) -> str:
        pair = self._pairing.by_old.get((target.sheet or was[0]).casefold())
        sheet = pair.new if pair else target.sheet
        before = address(sheet, 1, 1).removesuffix("A1") if target.sheet else ""
        return before + ":".join(spelled(corner, pair, was, now) for corner in target.corners)


def signs(target: Target) -> list[tuple[str, str, bool]]:
    """The signs of the corners of a reference, and whether they have a row."""
    return [(each.fixed_row, each.fixed_column, each.row is None) for each in target.corners]


def across(target: Target) -> range:
    """The columns that a reference covers."""
    columns = [each.column for each in target.corners if each.column is not None]
    return range(min(columns), max(columns) + 1)


def same_lines(old: Target, new: Target) -> bool:
    """True for two references that write the same rows, fixed or by their distance."""
    return [each.row for each in old.corners] == [each.row for each in new.corners]


def held_in(held: list[int], span: tuple[int, int]) -> list[int]:
    """Those of the rows that hold something which an area covers."""
    return held[bisect_left(held, span[0]) : bisect_right(held, span[1])]


def blank_ends(held: list[int], span: tuple[int, int]) -> tuple[int, int]:
    """The blank rows at the top and at the bottom of an area."""
    inside = held_in(held, span)
    return (inside[0] - span[0], span[1] - inside[-1]) if inside else (0, span[1] - span[0])


def rows_of(target: Target, row: int) -> tuple[int, int]:
    """The first and the last row of what a formula in a row looks at."""
    found = [(each.row or 0) if each.fixed_row else row + (each.row or 0) for each in target.corners]
    return min(found), max(found)


def spelled(corner: Corner, pair: SheetPair | None, was: Place, now: Place) -> str:
    """A corner of the old book as the new one has it."""
    column = corner.column and (pair.column(corner.column) if pair else corner.column)
    row = corner.row
    if row is not None:
        at = row if corner.fixed_row else was[1] + row
        same_sheet = pair is not None and pair.new == now[0]
        row = now[1] + row if same_sheet and not corner.fixed_row else pair.row(at) if pair else at
    return f"{corner.fixed_column}{column_letters(column) if column else ''}{corner.fixed_row}{row or ''}"
