"""Recalculate a workbook: work out every formula on the embedded engine, write the values into the file.

A person's file is changed in its cached values only, and only where they differ; every other part stays
byte for byte. A second run changes no byte.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from pathlib import Path
from typing import NamedTuple

from xlcalc.core.errors import CalcError
from xlcalc.workbook import cells as sheet_cells
from xlcalc.workbook.engine import Engine, Function, Unspelled, knows, spellings
from xlcalc.workbook.formulas import address, column_letters
from xlcalc.workbook.package import Package
from xlcalc.workbook.prepare import Place, Preparation, PreparedSheet
from xlcalc.workbook.values import LONGEST_TEXT, Value

Progress = Callable[[str], None]
ROUNDS = 4  # at most: cycles and answers of several values are found one round, worked round in the next
CYCLE = "its formula needs its own answer (a cycle)"
ODD = {
    "Spill": "its answer of several values is blocked by filled cells",
    "Circ": "it depends on a cycle",
}  # fmt: skip
NOT_AVAILABLE = CalcError("beyond the answer of its array formula", "#N/A")


class Stopped(NamedTuple):
    """A cell that keeps the value it had, and why. `cell` is written like `Lines!B7`."""

    cell: str
    reason: str


@dataclass
class Report:
    """What a recalculation found and did.

    `values` are the values of all formula cells and the further cells of arrays: sheet -> cell -> value.
    `frozen` cells were never worked out, `kept` ones had an answer that no file can hold. `changed` counts
    cells whose cached value was another one, `computed` the formula cells that were worked out.
    """

    values: dict[str, dict[str, Value]] = field(default_factory=dict)
    frozen: list[Stopped] = field(default_factory=list)
    kept: list[Stopped] = field(default_factory=list)
    computed: int = 0
    changed: int = 0
    edits: dict[str, bytes] = field(default_factory=dict)
    written: bool = False
    _engine: Engine | None = None

    @property
    def errors(self) -> list[tuple[str, str]]:
        """Cells that hold an error value, with its code."""
        return [
            (f"{address(sheet, 1, 1)[:-2]}{ref}", value.code)
            for sheet, found in self.values.items()
            for ref, value in found.items()
            if isinstance(value, CalcError)
        ]

    def value(self, sheet: str, row: int, column: int) -> Value:
        """The value of any cell of the book, worked out or typed; an empty cell is None."""
        if self._engine is None:
            return None
        value = self._engine.value(sheet, row, column)
        return CalcError(ODD.get(value.kind, value.kind), "#VALUE!") if isinstance(value, Unspelled) else value


def worksheet_functions() -> dict[str, Function]:
    """Every declared worksheet function as the engine calls it: takes the cells, answers or gives a CalcError."""
    from xlcalc.core.evaluate import evaluate  # noqa: PLC0415  (the functions load when a book is computed)
    from xlcalc.core.registry import functions  # noqa: PLC0415

    return {name: partial(evaluate, declaration) for name, declaration in functions().items()}


def recalc(
    path: str | Path,
    to: str | Path | None = None,
    functions: Mapping[str, Function] | None = None,
    progress: Progress | None = None,
) -> Report:
    """Work out a workbook and write the values into it, or into a copy `to`.

    Raises FileRefused, FileBusy and FileError; the original is then untouched.
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
    preparation = Preparation(package, ours, knows)
    report = Report()
    sheets: list[PreparedSheet] = []
    for _ in range(ROUNDS):
        if progress:
            progress("working out")
        sheets = preparation.sheets()
        written = set(chain.from_iterable(made.written for made in sheets))
        report._engine = Engine(preparation.copy(sheets), spellings(written, ours), package.date1904)
        report._engine.run()
        if not _work_round(report._engine, preparation, sheets):
            break
    for made in sheets:
        _collect(report, made, report._engine, package)
    return report


def _work_round(engine: Engine | None, preparation: Preparation, sheets: list[PreparedSheet]) -> bool:
    """Note cells of cycles and answers of several values for another round; False when there are none."""
    assert engine is not None
    circular: list[tuple[str, Place]] = []
    again = False
    for made in sheets:
        if not made.where:
            continue
        for place, value in zip(made.where, engine.values(made.name, made.where), strict=True):
            odd = value.kind if isinstance(value, Unspelled) else ""
            if odd == "Circ" and place not in made.frozen:
                circular.append((made.name, place))
            elif place in made.plain and (
                odd == "Spill" or (engine.several and engine.size(made.name, *place) != (1, 1))
            ):
                preparation.narrow.setdefault(made.name, set()).add(place)
                again = True
    members = _cycle_members(engine, circular) or circular
    for sheet, place in members:
        preparation.freeze.setdefault(sheet, {})[place] = CYCLE
        _keep_group(engine, preparation, sheets, sheet, place)
    return again or bool(members)


def _keep_group(
    engine: Engine, preparation: Preparation, sheets: list[PreparedSheet], sheet: str, place: Place
) -> None:
    """Write out the further cells of a shared formula whose first cell is to lose it."""
    made = next(each for each in sheets if each.name == sheet)
    for child in made.groups.get(place, ()):
        preparation.explicit.setdefault(sheet, {})[child] = engine.formula(sheet, *child)


def _cycle_members(engine: Engine, circular: list[tuple[str, Place]]) -> list[tuple[str, Place]]:
    """Those of the cells that depend on themselves, not the cells that only depend on these."""
    known = set(circular)
    follows = {cell: [each for each in known if _covers(engine, cell, each)] for cell in circular}
    members = []
    for cell in circular:
        seen: set[tuple[str, Place]] = set()
        waiting = list(follows[cell])
        while waiting and cell not in seen:
            if (each := waiting.pop()) not in seen:
                seen.add(each)
                waiting += follows[each]
        if cell in seen:
            members.append(cell)
    return members


def _covers(engine: Engine, cell: tuple[str, Place], other: tuple[str, Place]) -> bool:
    sheet, (row, column) = cell
    return any(
        area_sheet == other[0] and top <= other[1][0] <= bottom and left <= other[1][1] <= right
        for area_sheet, top, left, bottom, right in engine.looks_at(sheet, row, column)
    )


def _collect(report: Report, made: PreparedSheet, engine: Engine | None, package: Package) -> None:
    """Take over the values of a sheet, and the XML that holds them where they changed."""
    assert engine is not None
    found = report.values.setdefault(made.name, {})
    strings = package.shared_strings() if b't="s"' in made.cells.xml else ()
    edits = []
    for cell, place, value in zip(made.cells.cells, made.where, engine.values(made.name, made.where), strict=True):
        ref = f"{column_letters(place[1])}{place[0]}"
        if place in made.frozen:
            report.frozen.append(Stopped(address(made.name, *place), made.frozen[place]))
            found[ref] = sheet_cells.cached(cell, strings)
            continue
        if reason := _unwritable(value):
            report.kept.append(Stopped(address(made.name, *place), reason))
            found[ref] = sheet_cells.cached(cell, strings)
            continue
        answer: Value = "" if value is None else value  # type: ignore[assignment]  # Unspelled is kept above
        report.computed += 1
        found[ref] = answer
        if not sheet_cells.holds(cell, answer, strings):
            edits.append(sheet_cells.rewritten(cell, answer))
    report.changed += len(edits)
    xml = sheet_cells.spliced(made.cells.xml, edits)
    children = {place: value for place, value in _children(made, engine) if place not in made.frozen}
    if children:
        fresh = sheet_cells.formula_cells(xml, made.cells.label)
        if fresh is not None:
            xml = sheet_cells.with_plain_values(fresh, children)
        found.update({f"{column_letters(column)}{row}": value for (row, column), value in children.items()})
    if xml != made.cells.xml:
        report.edits[made.part] = xml


def _unwritable(value: Value | Unspelled) -> str:
    """Why a value cannot stand in a file; empty when it can."""
    if isinstance(value, Unspelled):
        return ODD.get(value.kind, f"the engine cannot work it out ({value.kind})")
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return f"its text is longer than {LONGEST_TEXT} characters"
    return ""


def _children(made: PreparedSheet, engine: Engine) -> Iterator[tuple[Place, Value]]:
    """Values of the further cells of array formulas: a single value fills the area, the rest is #N/A."""
    for (top, left), (bottom, right) in made.areas.items():
        if (top, left) in made.frozen or (top, left) == (bottom, right):
            continue
        if isinstance(engine.value(made.name, top, left), Unspelled):
            continue
        height, width = engine.size(made.name, top, left)
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                if (row, column) == (top, left):
                    continue
                down, across = (0 if height == 1 else row - top), (0 if width == 1 else column - left)
                outside = down >= height or across >= width
                value = NOT_AVAILABLE if outside else engine.value(made.name, top + down, left + across)
                yield (row, column), "" if value is None or isinstance(value, Unspelled) else value
