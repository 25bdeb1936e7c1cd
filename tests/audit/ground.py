"""The ground that faults are planted in: a clean book that knows its formulas, its typed cells and what follows.

A fault is planted as a person would make it in a spreadsheet: a cell is changed and everything that looks at it is
worked out again. Only what a spreadsheet would not work out again stays as it was.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from random import Random

from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import moved

from .draft import Cell, Draft
from .layout import Layout, Table, is_number
from .worked import Given, Worked, worked_out

ROWS = re.compile(r"(?<=[A-Za-z])(\$?)([0-9]+)(?![\w(])")
GENERATED = ("Functions", "Sources", "Self-check")  # sheets in which nobody types
TRIES = 600
FEW = 2  # formulas alike under each other that are no column yet


@dataclass(frozen=True)
class Planted:
    """A fault that was planted: its class, in words what was done, and what a finding must name.

    `cells`: naming one of them counts; `wheres`: words of which one must stand in `where` of a finding without cells;
    `touched`: the cells whose content is another now, cached values that merely follow left out.
    """

    number: int
    words: str
    cells: frozenset[Place] = frozenset()
    wheres: tuple[str, ...] = ()
    touched: frozenset[Place] = frozenset()


def relative(formula: str, row: int) -> str:
    """A formula with its rows counted from its own, so that those filled down read alike."""
    return ROWS.sub(lambda found: found[0] if found[1] else str(int(found[2]) - row), formula)


@dataclass
class Group:
    """Formula cells under each other that were filled down, or a single one."""

    sheet: str
    column: int
    rows: list[int] = field(default_factory=list)


class Bench:
    """A clean book, read and worked out once for all faults that are planted in it."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.draft = Draft(data)
        self.layout = Layout(self.draft)

    @cached_property
    def worked(self) -> Worked:
        """The book in the engine."""
        return Worked(self.data)

    @cached_property
    def groups(self) -> dict[str, tuple[list[Group], list[Group]]]:
        """By sheet: formulas filled down, and single ones."""
        found = {}
        for sheet in self.draft.names:
            runs: dict[int, tuple[str, Group]] = {}
            ended: list[Group] = []
            for (row, column), cell in sorted(self.draft.look(sheet).cells.items()):
                if cell.formula is None:
                    continue
                pattern = relative(cell.formula, row)
                before = runs.get(column)
                if before and before[0] == pattern and before[1].rows[-1] >= row - 2:
                    before[1].rows.append(row)
                    continue
                group = Group(sheet, column, [row])
                ended.append(group)
                runs[column] = pattern, group
            if ended:
                singles = [each for each in ended if len(each.rows) <= FEW]
                found[sheet] = [each for each in ended if len(each.rows) > FEW], singles
        return found

    @cached_property
    def typed(self) -> dict[str, dict[int, list[int]]]:
        """By sheet and column: the rows that hold a typed number or text, headers left out."""
        found: dict[str, dict[int, list[int]]] = {}
        for sheet in self.draft.names:
            if sheet in GENERATED:
                continue
            inside = [range(table.rows[0], table.rows[-1] + 1) for table in self.layout.on(sheet)]
            columns: dict[int, list[int]] = defaultdict(list)
            for (row, column), cell in self.draft.look(sheet).cells.items():
                if cell.formula is None and cell.element and (any(row in rows for rows in inside) or cell.kind == b"n"):
                    columns[column].append(row)
            found[sheet] = dict(columns)
        return found


Wanted = Callable[[Place, Cell], bool]


class Ground:
    """A book in which faults are being planted."""

    def __init__(self, bench: Bench, random: Random) -> None:
        self.bench, self.random = bench, random
        self.draft = bench.draft.copy()
        self.layout = bench.layout
        self.changed: dict[Place, str | Given] = {}
        self.busy: set[Place] = set()
        self.whole = False
        self._last: dict[Place, Value] = {}
        self._new: set[Place] = set()

    def pick(self, wanted: Wanted, filled: float = 0.7) -> Place | None:
        """A formula cell, every sheet and every column as likely as the next, single cells too."""
        groups = self.bench.groups
        for _ in range(TRIES):
            runs, singles = groups[self.random.choice(list(groups))]
            some = (runs if self.random.random() < 0.6 else singles) or runs or singles
            group = self.random.choice(some)
            rows = group.rows
            if self.random.random() < filled:
                grid = self.bench.draft.look(group.sheet)
                rows = [row for row in rows if grid.value(row, group.column) not in ("", None)]
            if not rows:
                continue
            place = group.sheet, self.random.choice(rows), group.column
            if place not in self.busy and wanted(place, self.bench.draft.cell(place)):
                return place
        return None

    def pick_typed(self, wanted: Wanted) -> Place | None:
        """A cell that a person filled in."""
        typed = {sheet: columns for sheet, columns in self.bench.typed.items() if columns}
        for _ in range(TRIES):
            sheet = self.random.choice(list(typed))
            column = self.random.choice(list(typed[sheet]))
            place = sheet, self.random.choice(typed[sheet][column]), column
            if place not in self.busy and wanted(place, self.bench.draft.cell(place)):
                return place
        return None

    def run(self, place: Place) -> list[int]:
        """The rows of the formulas that were filled down with this one."""
        sheet, row, column = place
        runs, singles = self.bench.groups[sheet]
        return next((group.rows for group in (*runs, *singles) if group.column == column and row in group.rows), [row])

    def value(self, place: Place) -> Value:
        """What a cell of the clean book shows."""
        return self.bench.draft.value(place)

    def numeric(self, place: Place) -> bool:
        """True where the clean book shows a number other than 0."""
        value = self.value(place)
        return is_number(value) and value != 0

    def table(self, place: Place) -> Table | None:
        """The table that a cell belongs to."""
        return self.layout.table_at(place)

    def unit(self, place: Place) -> str:
        """The unit that stands over a cell of a table, or beside a cell outside of one."""
        sheet, row, column = place
        if table := self.table(place):
            return self.layout.unit(table, column)
        beside = (self.layout.text(sheet, row, each) for each in range(column + 1, column + 4))
        return next(filter(None, beside), "")

    def formula(self, place: Place, text: str, *, silent: bool = False) -> None:
        """Type a formula. `silent`: the cell goes on showing what it shows, and so does all that looks at it."""
        self._note(place)
        old = self.draft.cell(place)
        shown = self.value(place)
        self.draft.put(place, old.worked(text, "" if shown is None else shown))
        if not silent:
            self.changed[place] = text

    def filled_down(self, place: Place, text: str, rows: Iterable[int]) -> list[Place]:
        """Type a formula and fill it down."""
        sheet, row, column = place
        places = [(sheet, each, column) for each in rows]
        for each in places:
            self.formula(each, moved(text, each[1] - row, 0))
        return places

    def type(self, place: Place, value: Value) -> None:
        """Type a value over whatever stands there."""
        self._note(place)
        self.draft.put(place, self.draft.cell(place).typed(value))
        self.changed[place] = Given(value)

    def put(self, place: Place, cell: Cell) -> None:
        """Put a cell in that changes nothing elsewhere."""
        self._note(place)
        self.draft.put(place, cell)

    @staticmethod
    def given(value: Value) -> Given:
        """A typed value, as the engine takes it."""
        return Given(value)

    def cached(self, place: Place, value: Value) -> None:
        """Write another cached value, the last thing of all."""
        self._note(place)
        self._last[place] = value

    def follows(self, place: Place, value: Value) -> dict[Place, Value]:
        """What would be shown elsewhere if a value were typed."""
        return self.bench.worked.after({place: Given(value)})

    def _note(self, place: Place) -> None:
        self.busy.add(place)
        self._new.add(place)

    def touched(self) -> frozenset[Place]:
        """The cells changed since this was asked last."""
        new, self._new = self._new, set()
        return frozenset(new)

    def data(self) -> bytes:
        """The book with all that was planted, worked out again where a spreadsheet would."""
        data = self.draft.data() if self.whole else b""
        if self.whole:
            draft = Draft(worked_out(data))
        else:
            draft = self.draft
            if self.changed:
                draft.show(self.bench.worked.after(self.changed))
        draft.show(self._last)
        return draft.data()


Plant = Callable[[Ground], Planted | None]


@dataclass(frozen=True)
class Fault:
    """A class of faults. `alone`: it concerns the whole book, so that a book holds only one such; `whole`: the book
    must be worked out as a whole afterwards."""

    number: int
    family: str
    name: str
    plant: Plant
    alone: bool = False
    whole: bool = False


FAULTS: dict[int, Fault] = {}


def fault(
    number: int, family: str, name: str, *, alone: bool = False, whole: bool = False
) -> Callable[["Doing"], "Doing"]:
    """Declare a function that plants one fault of a class."""

    def declare(function: Doing) -> Doing:
        def plant(ground: Ground) -> Planted | None:
            ground.touched()
            made = function(ground)
            touched = ground.touched()
            if made is None:
                return None
            ground.whole = ground.whole or whole
            ground.busy |= made.cells
            return Planted(number, made.words, made.cells, made.wheres, touched)

        FAULTS[number] = Fault(number, family, name, plant, alone, whole)
        return function

    return declare


@dataclass(frozen=True)
class Made:
    """What a planting function did: words, the cells that it concerns, words of a place without cells."""

    words: str
    cells: frozenset[Place] = frozenset()
    wheres: tuple[str, ...] = ()


Doing = Callable[[Ground], Made | None]


def made(words: str, *cells: Place, wheres: tuple[str, ...] = ()) -> Made:
    """What was planted."""
    return Made(words, frozenset(cells), wheres)
