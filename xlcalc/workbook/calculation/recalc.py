"""Recalculate a workbook: work out every formula on the embedded engine, write the values into the file.

A person's file is changed in its cached values only, and only where they differ; every other part stays
byte for byte. A second run changes no byte.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import NamedTuple

from xlcalc.core.errors import CalcError, FileRefused
from xlcalc.workbook.calculation.engine import Engine, Function, not_read
from xlcalc.workbook.calculation.exchange import Unspeakable
from xlcalc.workbook.calculation.prepare import Plan, SheetPlan, further_cells, prepare
from xlcalc.workbook.calculation.settle import Answers, Stop, settle
from xlcalc.workbook.calculation.stumbles import stumble
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file import cells
from xlcalc.workbook.file.filling import with_plain_values
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Texts, Value, same
from xlcalc.workbook.formulas import LAST_COLUMN, LAST_ROW, address, column_letters, corners

Progress = Callable[[str], None]
SCRATCH = (1_048_575, 16_383)  # a cell that no person fills, for what is only asked


@dataclass(frozen=True, slots=True)
class InCell:
    """Something about one cell."""

    place: Place

    @property
    def cell(self) -> str:
        """The cell, written like `Lines!B7`."""
        return address(*self.place)


@dataclass(frozen=True, slots=True)
class Stopped(InCell):
    """A cell that keeps the value it had, and why."""

    reason: str


@dataclass(frozen=True, slots=True)
class Failed(InCell):
    """A cell that holds an error value, and its code."""

    code: str


@dataclass(frozen=True, slots=True)
class Change(InCell):
    """A cell whose cached value was not the one that its formula gives."""

    old: Value
    new: Value


class SheetResult(NamedTuple):
    """The values of a sheet's formula cells in the order of the file, and of the further cells of arrays.

    `changed` are the places in `values` that the file holds otherwise, `further_old` what it holds in those
    further cells that it holds otherwise.
    """

    plan: SheetPlan
    values: list[Value]
    changed: list[int]
    further: dict[tuple[int, int], Value]
    further_old: dict[tuple[int, int], Value]


class Report:
    """What a recalculation found and did.

    `frozen` cells were not worked out, `kept` ones have an answer that no file can hold; both keep the
    value they had. `changed` counts the cells whose cached value differs from the answer, `computed` the
    formulas that were worked out. `written` is True once a file was written.
    """

    def __init__(
        self,
        engine: Engine,
        results: list[SheetResult],
        stops: Mapping[Place, Stop],
        strings: Texts = tuple,
    ) -> None:
        self._engine = engine
        self._strings = strings
        self._results = results
        self._stops = stops
        self.frozen = [Stopped(where, stop.reason) for where, stop in stops.items() if stop.frozen]
        self.kept = [Stopped(where, stop.reason) for where, stop in stops.items() if not stop.frozen]
        self.computed = sum(len(result.values) for result in results) - len(stops)
        self.changed = sum(len(result.changed) + len(result.further_old) for result in results)
        self.written = False

    @property
    def values(self) -> dict[str, dict[str, Value]]:
        """The values of all formula cells and of the further cells of arrays: sheet to cell to value."""
        found: dict[str, dict[str, Value]] = {}
        for result in self._results:
            places = [*result.plan.places, *result.further]
            answers = [*result.values, *result.further.values()]
            letters = {column: column_letters(column) for column in {column for _, column in places}}
            found[result.plan.sheet.name] = {
                f"{letters[column]}{row}": value for (row, column), value in zip(places, answers, strict=True)
            }
        return found

    @property
    def errors(self) -> list[Failed]:
        """The cells that hold an error value, each with its code."""
        return [
            Failed((result.plan.sheet.name, *place), value.code)
            for result in self._results
            for place, value in zip(result.plan.places, result.values, strict=True)
            if isinstance(value, CalcError)
        ]

    @property
    def changes(self) -> Iterator[Change]:
        """The cells whose cached value differs from the answer, one after the other."""
        for result in self._results:
            held = result.plan.source.cells
            for index in result.changed:
                where = (result.plan.sheet.name, *result.plan.places[index])
                old = None if held.blank(index) else cells.cached(held[index], self._strings)
                yield Change(where, old, result.values[index])
            for place, old in result.further_old.items():
                yield Change((result.plan.sheet.name, *place), old, result.further[place])

    @property
    def edits(self) -> dict[str, bytes]:
        """The parts of the file that hold other values now, with the answers written into them."""
        found = {}
        for result in self._results:
            source = result.plan.source
            xml = source.xml
            if result.changed:
                changes = ((index, result.values[index]) for index in result.changed)
                xml = cells.spliced(xml, source.cells.rewritten(changes))
            if result.further_old:
                fresh = cells.formula_cells(xml, source.label)
                wanted = {place: result.further[place] for place in result.further_old}
                xml = with_plain_values(fresh, wanted) if fresh else xml
            if xml is not source.xml:
                found[result.plan.sheet.part] = xml
        return found

    def value(self, sheet: str, row: int, column: int) -> Value:
        """The value of any cell, worked out or typed; None for an empty one. Rows and columns count from 1.

        A cell that keeps its value gives the kept one; a place outside the sheet, which a formula may name, none.
        """
        if not (0 < row <= LAST_ROW and 0 < column <= LAST_COLUMN):
            return None
        value = self._engine.value(sheet, row, column)
        return None if isinstance(value, Unspeakable) else value

    def is_formula(self, sheet: str, row: int, column: int) -> bool:
        """True for a cell with a formula."""
        plans = (result.plan for result in self._results)
        return any(plan.sheet.name == sheet and plan.places.find((row, column)) is not None for plan in plans)

    def formulas(self) -> Iterator[tuple[str, int, int]]:
        """Sheet, row and column of every formula cell."""
        for result in self._results:
            for row, column in result.plan.places:
                yield result.plan.sheet.name, row, column

    def source(self, sheet: str) -> cells.SheetCells | None:
        """Where the formula cells of a sheet stand in its XML; None for a sheet without any."""
        return next((result.plan.source for result in self._results if result.plan.sheet.name == sheet), None)

    def places(self, sheet: str) -> Sequence[tuple[int, int]]:
        """Row and column of every formula cell of a sheet, in the order of the file."""
        return next((result.plan.places for result in self._results if result.plan.sheet.name == sheet), ())

    def rows_saying(self, sheet: str, word: str) -> set[int]:
        """The rows of a sheet with formulas in which a text may be this word, as `cells.rows_saying` has them."""
        source = self.source(sheet)
        return cells.rows_saying(source, word, self._strings) if source else set()

    def worked_out(self, sheet: str, formula: str) -> Value:
        """What a further formula would give on a sheet, e.g. an argument of a call; the file is not touched."""
        self._engine.set_formula(sheet, *SCRATCH, formula)
        self._engine.evaluate()
        return self.value(sheet, *SCRATCH)

    def value_at(self, sheet: str, ref: str) -> Value:
        """Like `value`, for a cell written as `B7`. Raises ValueError when the text is no cell."""
        top, left, _, _ = corners(ref)
        return self.value(sheet, top, left)


def worksheet_functions() -> dict[str, Function]:
    """Every declared worksheet function as the engine calls it."""
    import xlcalc.functions  # noqa: F401, PLC0415 - the functions load when a book is worked out, not for help
    from xlcalc.core.evaluate import evaluate  # noqa: PLC0415
    from xlcalc.core.registry import functions  # noqa: PLC0415

    return {name: partial(evaluate, declaration) for name, declaration in functions().items()}


def recalc(
    path: str | Path,
    to: str | Path | None = None,
    functions: Mapping[str, Function] | None = None,
    progress: Progress | None = None,
) -> Report:
    """Work out a workbook and write the values into it, or into a copy `to`.

    `functions` are those of this package where none are given. Raises FileRefused, FileBusy and FileError;
    the original is then untouched.
    """
    tell = progress or (lambda _: None)
    tell("reading")
    package = Package.open(path)
    report = compute(package, functions, progress)
    tell("writing")
    report.written = package.save(report.edits, to)
    return report


def compute(
    package: Package, functions: Mapping[str, Function] | None = None, progress: Progress | None = None
) -> Report:
    """Work out a workbook without writing it. Raises FileRefused where its XML cannot be edited."""
    ours = worksheet_functions() if functions is None else functions
    plan = prepare(package, ours)
    called = {name: ours[name] for name in plan.called}
    try:
        engine = Engine(plan.book(), called, date1904=package.date1904, label=package.path.name)
    except FileRefused as fault:
        if odd := stumble(package):
            raise not_read(package.path.name, odd) from fault
        raise
    plan.parts.clear()
    engine.evaluate(counter(plan, progress))
    strings = package.shared_strings
    stops, answers = settle(engine, plan, strings)
    results = [collected(engine, sheet, held, stops, strings) for sheet, held in zip(plan.sheets, answers, strict=True)]
    return Report(engine, results, stops, strings)


def counter(plan: Plan, progress: Progress | None) -> Callable[[int], None] | None:
    """Turns a count of calls into a share of those that stand in the book."""
    if progress is None:
        return None
    total = sum(len(facts.ours) for sheet in plan.sheets for facts in sheet.facts) or 1
    progress("working out")
    return lambda calls: progress(f"working out: {min(99, 100 * calls // total)} %")


def collected(
    engine: Engine, plan: SheetPlan, answers: Answers, stops: Mapping[Place, Stop], strings: Texts
) -> SheetResult:
    """The values of a sheet from its answers, and which of them differ from what the file holds."""
    name, answer = plan.sheet.name, engine.value
    result = SheetResult(plan, [shown(each) for each in answers], [], {}, {})
    stopped = {plan.places.find(where[1:]) for where in stops if where[0] == name}
    for index, (value, (attributes, element)) in enumerate(zip(result.values, plan.source.cells.held(), strict=True)):
        if index in stopped:
            result.values[index] = cells.cached(plan.source.cells[index], strings)
        elif not element or not cells.holds(attributes, element, value, strings):
            result.changed.append(index)
    for index, area in plan.areas.items():
        if (name, *plan.places[index]) not in stops:
            result.further.update({place: shown(answer(name, *place)) for place in further_cells(area)})
    if result.further:
        old = dict(cells.plain_values(plan.source, set(result.further), strings))
        for place, value in result.further.items():
            if place not in old or not same(old[place], value):
                result.further_old[place] = old.get(place)
    return result


def shown(value: Value | Unspeakable) -> Value:
    """What a cell shows for an answer: a formula that answers nothing shows an empty text."""
    return "" if value is None or isinstance(value, Unspeakable) else value
