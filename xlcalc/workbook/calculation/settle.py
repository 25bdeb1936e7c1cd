"""Bring a workbook in the engine to rest after its first calculation.

Two things only show then. A plain formula may have answered several values, which a spreadsheet without
dynamic arrays would not spread over its neighbours. And a cell may hold an error that no file can hold, such
as a circular reference: it gets its cached value back, and what depends on it is worked out from that.
"""

from collections.abc import Sequence
from typing import NamedTuple

from xlcalc.workbook.calculation.engine import Engine
from xlcalc.workbook.calculation.exchange import Unspeakable
from xlcalc.workbook.calculation.prepare import Plan, SheetPlan, further_cells
from xlcalc.workbook.calculation.stuck import origins
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file import cells
from xlcalc.workbook.file.cell_xml import FORMULA
from xlcalc.workbook.file.values import Texts, Value, plain_text

MOST_ROUNDS = 20
CIRCULAR = "Circ"
REASONS = {
    "Spill": "its array is blocked by other cells",
    CIRCULAR: "circular reference",
    "Calc": "its array is empty",
}
NOT_HERE = "this formula can only be worked out in the spreadsheet"


Answers = list[Value | Unspeakable]
"""What the formula cells of a sheet answer, in the order of the file."""


class Stop(NamedTuple):
    """Why a cell keeps its cached value; `frozen` when the formula was not worked out at all."""

    reason: str
    frozen: bool


def settle(engine: Engine, plan: Plan, strings: Texts) -> tuple[dict[Place, Stop], list[Answers]]:
    """Work on until nothing spreads and no error is left that a file cannot hold.

    Returns the cells that keep their cached value, in the order of sheets, rows and columns, and what the formula
    cells of each sheet answer in the end.
    """
    stops = {
        (sheet.sheet.name, *sheet.places[index]): Stop(why, True)
        for sheet in plan.sheets
        for index, why in sheet.frozen.items()
    }
    for _ in range(MOST_ROUNDS):
        if not narrow(engine, plan):
            break
        engine.evaluate()
    answers = all_answers(engine, plan)
    for round_ in range(MOST_ROUNDS):
        each = zip(plan.sheets, answers, strict=True)
        stuck = [where for sheet, held in each for where in stuck_cells(sheet, held, stops)]
        if not stuck:
            break
        found = origins(engine, stuck) if round_ < MOST_ROUNDS - 1 else None
        hold(engine, plan, found or stuck, stops, strings)
        engine.evaluate()
        answers = all_answers(engine, plan)
    order = {sheet.sheet.name: place for place, sheet in enumerate(plan.sheets)}
    return dict(sorted(stops.items(), key=lambda stop: (order[stop[0][0]], *stop[0][1:]))), answers


def all_answers(engine: Engine, plan: Plan) -> list[Answers]:
    """What the formula cells of each sheet answer by now."""
    return [engine.values(sheet.sheet.name, sheet.places) for sheet in plan.sheets]


def narrow(engine: Engine, plan: Plan) -> bool:
    """Give one value to every plain formula that spread over its neighbours; False when none did."""
    any_found = False
    for sheet in plan.sheets:
        name = sheet.sheet.name
        kinds = {id(facts): facts for facts in sheet.facts}.values()  # of few kinds, where formulas were filled down
        spreading = {id(facts) for facts in kinds if facts.several or facts.ours & engine.spread}
        if not spreading:
            continue
        taken = {place for index, place in enumerate(sheet.places) if index not in sheet.frozen}
        for index, facts in enumerate(sheet.facts):
            if id(facts) not in spreading or index in sheet.areas or index in sheet.frozen:
                continue
            row, column = sheet.places[index]
            hemmed_in = (row, column + 1) in taken and (row + 1, column) in taken
            if engine.spills(name, row, column, hemmed_in=hemmed_in):
                written = sheet.source.cells[index][FORMULA]
                formula = facts.for_engine(plain_text(written), row) if written else engine.formula(name, row, column)
                engine.set_formula(name, row, column, f"@({formula.removeprefix('=')})")
                any_found = True
    return any_found


def stuck_cells(sheet: SheetPlan, answers: Answers, stops: dict[Place, Stop]) -> list[Place]:
    """The cells of a sheet that hold an error without a spelling in a file."""
    found = [sheet.places[index] for index, value in enumerate(answers) if type(value) is Unspeakable]
    return [where for place in found if (where := (sheet.sheet.name, *place)) not in stops]


def hold(engine: Engine, plan: Plan, found: Sequence[Place], stops: dict[Place, Stop], strings: Texts) -> None:
    """Give cells their cached value back and note why; an array gets those of all its cells."""
    wanted = set(found)
    for sheet in plan.sheets:
        name = sheet.sheet.name
        further: set[tuple[int, int]] = set()
        for index, (row, column) in enumerate(sheet.places):
            if (name, row, column) not in wanted:
                continue
            value = engine.value(name, row, column)
            kind = value.kind if isinstance(value, Unspeakable) else ""
            stops[name, row, column] = Stop(REASONS.get(kind, NOT_HERE), kind == CIRCULAR)
            engine.set_value(name, row, column, cells.cached(sheet.source.cells[index], strings))
            if index in sheet.areas:
                further.update(further_cells(sheet.areas[index]))
        if further:
            for place, value in cells.plain_values(sheet.source, further, strings):
                engine.set_value(name, *place, value)
