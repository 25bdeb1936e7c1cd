"""Faults of units and of method: classes 19 to 24 and 30 to 35."""

import re
from collections.abc import Callable, Collection

from xlcalc.core.declaration import Arg
from xlcalc.core.registry import functions
from xlcalc.workbook.calculation.recalc import worksheet_functions
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import Argument, Call, calls, column_letters, column_number, unquoted

from .draft import Cell
from .ground import Ground, Made, Wanted, fault, made
from .layout import Table, is_number
from .plant_cells import closes_circle, has_formula

OTHER_UNITS = {
    "mm": ("in", "cm"), "m": ("ft", "mm"), "kPa": ("psi", "bar"), "L/min": ("US gpm", "m³/h"), "°C": ("°F",),
    "L": ("US gal", "mL"), "kW": ("hp",), "mL/h": ("L/h",), "cm²": ("mm²",), "mm²": ("in²",), "m³/h": ("L/min",),
    "kPa below": ("inHg",), "m/s": ("ft/s",), "s": ("min",), "min": ("s",), "mL": ("L",),
}  # fmt: skip
PASTED = {  # what a number is multiplied by when it is typed as it stood in another unit
    "mm": (1 / 25.4, 0.1), "m": (3.281, 1000), "kPa": (1 / 6.895, 0.01), "L/min": (1 / 3.785, 1 / 60),
    "L": (1 / 3.785, 1000), "kPa below": (1 / 3.386,), "mL/h": (0.001,), "kW": (1.341,), "cm²": (100, 1 / 6.452),
    "mm²": (1 / 645.2,), "m³/h": (1 / 1.699,), "°C": (1.8,),
}  # fmt: skip
MONEY = ("Price", "Money", "Hose price", "Ends price each")
MONEY_LABELS = ("Labour rate", "Freight")
FLUID_ARGUMENTS = "fluid"


def unit_cell(ground: Ground, table: Table, column: int) -> Place:
    """The cell with the unit of a column."""
    return table.sheet, table.head + 1, column


def united(ground: Ground, units: Collection[str]) -> list[tuple[Table, int]]:
    """The columns of tables that hold numbers and have one of these units."""
    found = []
    for table in ground.layout.tables:
        rows = ground.layout.filled(table)
        for column in ground.layout.columns(table):
            unit = ground.layout.unit(table, column)
            if unit in units and any(is_number(ground.value((table.sheet, row, column))) for row in rows):
                found.append((table, column))
    return found


def column_cells(table: Table, column: int) -> list[Place]:
    """Header, unit and rows of a column."""
    return [(table.sheet, row, column) for row in (table.head, table.head + 1, *table.rows)]


def header_edited(ground: Ground, units: dict[str, tuple[str, ...]]) -> Made | None:
    """Another unit typed over a column, its numbers left."""
    columns = united(ground, units)
    if not columns:
        return None
    sheet = ground.random.choice(sorted({table.sheet for table, _ in columns}))
    table, column = ground.random.choice([each for each in columns if each[0].sheet == sheet])
    place = unit_cell(ground, table, column)
    if place in ground.busy:
        return None
    old = ground.layout.unit(table, column)
    new = ground.random.choice(units[old])
    ground.type(place, new)
    return made(f"{old} became {new} over {place}, the numbers stayed", *column_cells(table, column))


@fault(19, "units", "header unit edited, numbers not")
def unit_edited(ground: Ground) -> Made | None:
    """The unit in a header typed over, in a table or beside a cell of Start."""
    if ground.random.random() < 0.15:
        grid = ground.draft.look("Start")
        rows = [(row, column) for row, column in grid.cells if grid.value(row, column) in OTHER_UNITS]
        row, column = ground.random.choice(sorted(rows))
        place = ("Start", row, column)
        if place not in ground.busy:
            old = str(grid.value(row, column))
            ground.type(place, ground.random.choice(OTHER_UNITS[old]))
            return made(f"{old} typed over in {place}", *(("Start", row, each) for each in range(1, 8)))
    return header_edited(ground, OTHER_UNITS)


@fault(20, "units", "gauge for absolute")
def gauge_for_absolute(ground: Ground) -> Made | None:
    """A pressure over the air taken for one over nothing, or the other way."""
    way = ground.random.choice(("header", "typed", "formula"))
    if way == "header":
        return header_edited(ground, {"kPa": ("kPa abs",), "kPa below": ("kPa abs",), "kPa abs": ("kPa",)})
    if way == "typed":
        place = ground.pick_typed(number_in(ground, ("kPa", "kPa below")))
        value = ground.value(place) if place else None
        if place is None or not isinstance(value, float):
            return None
        ground.type(place, round(value + 101.3, 1))
        return made(f"{value:g} kPa became absolute in {place}", place)
    names = "AIR_PRESSURE_AT(RoadAltitude)"
    found = argument_cell(ground, lambda declared: declared.unit in ("kPa", "kPa vac"))
    if found is None:
        return None
    place, argument = found
    swap(ground, place, argument, f"({argument.text}+{names})")
    return made(f"{argument.text} made absolute for a function that takes it over the air, in {place}", place)


def number_in(ground: Ground, units: Collection[str]) -> Wanted:
    """Says of a cell whether it holds a number, not 0, under one of these units."""
    return lambda place, _: ground.numeric(place) and ground.unit(place) in units


def argument_cell(ground: Ground, wanted: Callable[[Arg], bool]) -> tuple[Place, Argument] | None:
    """A cell that calls one of our functions in a filled row, and an argument that holds a figure of a kind."""
    worksheet_functions()
    declared = functions()

    def fitting(call: Call) -> list[Argument]:
        declaration = declared.get(call.name)
        if declaration is None or declaration.about:
            return []
        return [argument for argument, each in zip(call.arguments, declaration.args, strict=False)
                if argument.text and each.unit and wanted(each)]  # fmt: skip

    def some(cell: Cell) -> list[Argument]:
        return [argument for call in calls(cell.formula or "") for argument in fitting(call)]

    place = ground.pick(lambda place, cell: has_formula(place, cell) and ground.numeric(place) and bool(some(cell)))
    return (place, ground.random.choice(some(ground.draft.cell(place)))) if place else None


def swap(ground: Ground, place: Place, argument: Argument, text: str) -> None:
    """Type a formula with an argument written otherwise."""
    formula = ground.draft.cell(place).formula or ""
    ground.formula(place, formula[: argument.start] + text + formula[argument.end :])


@fault(21, "units", "temperature difference given as temperature")
def difference_for_temperature(ground: Ground) -> Made | None:
    """A difference where a temperature belongs, or the other way."""
    way = ground.random.choice(("header", "typed", "formula", "formula"))
    if way == "header":
        return header_edited(ground, {"K": ("°C",), "°C": ("K",)})
    if way == "typed":
        place = ground.pick_typed(number_in(ground, ("°C", "K")))
        value = ground.value(place) if place else None
        if place is None or not isinstance(value, float):
            return None
        ground.type(place, f"{value:g} {'K' if ground.unit(place) == '°C' else 'degC'}")
        return made(f"{value:g} {ground.unit(place)} typed as the other in {place}", place)
    found = argument_cell(ground, lambda declared: declared.unit == "degC")
    if found is None:
        return None
    place, argument = found
    swap(ground, place, argument, f"({argument.text}-{ground.random.choice(('HottestAir', 'ColdestStart', '20'))})")
    return made(f"{argument.text} became a difference in {place}", place)


@fault(22, "units", "US for imperial")
def us_for_imperial(ground: Ground) -> Made | None:
    """US gallons typed as imperial ones."""
    litres = number_in(ground, ("L/min", "L"))
    place = ground.pick_typed(lambda place, cell: litres(place, cell) or "US g" in str(ground.value(place)))
    if place is None:
        return None
    value = ground.value(place)
    if isinstance(value, str):
        other = value.replace("US g", "imp g")
    else:
        assert isinstance(value, float)
        other = f"{value / 3.785:.3g} imp {'gpm' if ground.unit(place) == 'L/min' else 'gal'}"
    ground.type(place, other)
    return made(f"{value} became {other} in {place}", place)


@fault(23, "units", "bare number pasted in another unit")
def pasted_in_another_unit(ground: Ground) -> Made | None:
    """A number pasted as it stood elsewhere, in another unit than the header's."""
    place = ground.pick_typed(number_in(ground, PASTED))
    value = ground.value(place) if place else None
    if place is None or not isinstance(value, float):
        return None
    unit = ground.unit(place)
    other = value * ground.random.choice(PASTED[unit]) + (32 if unit == "°C" else 0)
    other = float(f"{other:.3g}")
    ground.type(place, other)
    return made(f"{value:g} {unit} pasted as {other:g} in {place}", place)


@fault(24, "units", "money cents/units")
def cents(ground: Ground) -> Made | None:
    """A price typed in cents, or cents taken for units."""

    def money(place: Place, cell: Cell) -> bool:
        if not ground.numeric(place):
            return False
        table = ground.table(place)
        if table is not None:
            return ground.layout.columns(table).get(place[2], "").strip() in MONEY
        return any(ground.layout.text(place[0], place[1], column) in MONEY_LABELS for column in range(1, place[2]))

    place = ground.pick_typed(money)
    value = ground.value(place) if place else None
    if place is None or not isinstance(value, float):
        return None
    ground.type(place, round(value * ground.random.choice((100, 100, 0.01)), 4))
    return made(f"{value:g} typed in cents or as units in {place}", place)


@fault(30, "method", 'function used outside its "not for"')
def not_for(ground: Ground) -> Made | None:
    """A function given what its method does not hold for."""
    worksheet_functions()
    wrong = {"AIR_DRAWN_IN": "petrol", "BLOCKED_VENT_PRESSURE": "petrol", "LINE_PRESSURE_DROP": "air",
             "FLOW_FOR_DROP": "air",
             "BORE_FOR_DROP": "air", "LINE_COLD_LIMIT": "air", "SUCTION_MARGIN": "air", "DRAIN_HEIGHT": "air",
             "DRAIN_TIME": "petrol", "COOLER_OIL_OUT": "coolant 50/50", "HEAT_CARRIED": "petrol",
             "FLUID_WARM_TIME": "petrol"}  # fmt: skip
    declared = functions()

    def some(cell: Cell) -> list[tuple[Call, Argument]]:
        return [
            (call, call.arguments[place])
            for call in calls(cell.formula or "")
            if call.name in wrong
            for place, each in enumerate(declared[call.name].args[: len(call.arguments)])
            if each.name == FLUID_ARGUMENTS
        ]

    place = ground.pick(lambda place, cell: has_formula(place, cell) and bool(some(cell)), filled=0.95)
    if place is None:
        return None
    call, argument = ground.random.choice(some(ground.draft.cell(place)))
    swap(ground, place, argument, f'"{wrong[call.name]}"')
    return made(f"{call.name} given {wrong[call.name]} in {place}", place)


def allowed(ground: Ground, place: Place) -> tuple[float, float] | None:
    """What the rule of a cell lets through."""
    cell, figure = rf"{column_letters(place[2])}[0-9]+", "(-?[0-9.e+]+)"
    rule = rf"AND\(ISNUMBER\({cell}\),{cell}&gt;={figure},{cell}&lt;={figure}\)"
    rules = ground.draft.look(place[0]).after.decode()
    found = re.search(rf'sqref="{cell}(?::{cell})?"[^<]*<formula1>[^<]*?{rule}', rules)
    return (float(found[1]), float(found[2])) if found else None


def close_to_hose_limit(ground: Ground) -> Made | None:
    """97 % of what its hose bears typed as the pressure of a line."""
    book = ground.draft.parts[ground.draft.workbook].decode()
    name = re.search(r'<definedName name="LineLimits">([^!]+)!\$([A-Z]+)\$', book)
    tables = ground.layout.on(unquoted(name[1])) if name else []
    column = ground.layout.column(tables[0], "Highest pressure") if tables else None
    if name is None or column is None:
        return None
    row = ground.random.choice(ground.layout.filled(tables[0]))
    place = (tables[0].sheet, row, column)
    limit = ground.value((tables[0].sheet, row, column_number(name[2])))
    if not isinstance(limit, float) or limit <= 0 or place in ground.busy:
        return None
    ground.type(place, round(0.97 * limit, 1))
    return made(f"97 % of what the hose bears typed into {place}", place, (place[0], row, 1), (place[0], row, 2))


@fault(31, "method", "input at > 95 % of limit")
def close_to_limit(ground: Ground) -> Made | None:
    """An input so near its limit that nothing is left: of its rule, or a pressure of what the hose bears."""
    if ground.random.random() < 0.5:
        return close_to_hose_limit(ground)

    def wanted(place: Place, _: Cell) -> bool:
        return ground.numeric(place) and ground.table(place) is not None and allowed(ground, place) is not None

    place = ground.pick_typed(wanted)
    limits = allowed(ground, place) if place else None
    if place is None or limits is None:
        return None
    ground.type(place, round(limits[0] + 0.97 * (limits[1] - limits[0]), 2))
    return made(f"97 % of what is allowed typed into {place}", place)


@fault(32, "method", "input past limit masked by IFERROR")
def masked(ground: Ground) -> Made | None:
    """An input beyond what a function takes, and its error shown as a number."""
    found = argument_cell(ground, lambda _: True)
    if found is None:
        return None
    place, _ = found
    table = ground.table(place)
    formula = ground.draft.cell(place).formula or ""
    typed = [
        (place[0], place[1], column)
        for column in (ground.layout.columns(table) if table else ())
        if ground.draft.cell((place[0], place[1], column)).formula is None
        and ground.numeric((place[0], place[1], column)) and ground.unit((place[0], place[1], column)) in OTHER_UNITS
        and closes_circle(ground, place, (place[0], place[1], column))
    ]  # fmt: skip
    typed = [each for each in typed if each not in ground.busy]
    if not typed:
        return None
    cell = ground.random.choice(typed)
    ground.type(cell, 1e6)
    ground.formula(place, f"IFERROR({formula},{ground.random.choice(('0', '1', '100'))})")
    return made(f"{cell} is past its limit and {place} hides that", place, cell)


@fault(33, "method", "error text swallowed")
def swallowed(ground: Ground) -> Made | None:
    """An error shown as nothing, as 0 or as a verdict."""
    ours = worksheet_functions()
    place = ground.pick(
        lambda place, cell: has_formula(place, cell) and "IFERROR" not in (cell.formula or "")
        and any(call.name in ours for call in calls(cell.formula or ""))
    )  # fmt: skip
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    blank, zero = f'IFERROR({formula},"")', f"IFERROR({formula},0)"
    ground.formula(place, ground.random.choice((blank, zero, f'IF(ISERROR({formula}),"Within limits",{formula})')))
    return made(f"an error would not show in {place}", place)


@fault(34, "method", "wrong surface/fluid for line")
def wrong_fluid(ground: Ground) -> Made | None:
    """A line with a fluid that does not belong into it."""
    wrong = {"petrol": "engine oil 10W-40", "coolant": "petrol", "ATF": "coolant 50/50", "power": "coolant 50/50",
             "engine": "petrol", "gear": "coolant 50/50", "air": "gear oil 75W-90",
             "diesel": "coolant 50/50"}  # fmt: skip

    def fluid(place: Place, cell: Cell) -> bool:
        table = ground.table(place)
        value = ground.value(place)
        return table is not None and ground.layout.columns(table).get(place[2]) == "Fluid" and place[2] > 1 and (
            isinstance(value, str) and value.split(" ")[0] in wrong
        )

    place = ground.pick_typed(fluid)
    if place is None:
        return None
    old = str(ground.value(place))
    new = wrong[old.partition(" ")[0]]
    ground.type(place, new)
    return made(f"{old} became {new} in {place}", place, (place[0], place[1], 1), (place[0], place[1], 2))


@fault(35, "method", 'check cell overwritten "OK"')
def check_overwritten(ground: Ground) -> Made | None:
    """A verdict typed over."""
    tables = [table for table in ground.layout.tables if ground.layout.filled(table)]
    table = ground.random.choice(tables)
    place = (table.sheet, ground.random.choice(ground.layout.filled(table)), table.check)
    if place in ground.busy:
        return None
    ground.type(place, ground.random.choice(("OK", "ok", "Within limits", "good", "checked")))
    return made(f"the Check {place} was typed over", place)
