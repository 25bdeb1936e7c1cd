"""Faults of ranges and of data: classes 13 to 18 and 25 to 29."""

import re
from collections.abc import Container
from itertools import pairwise

from xlcalc.workbook.calculation.written import Look, Place, Written
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import Token, column_letters, corners, pattern, spliced, tokens, unquoted

from .draft import Cell
from .ground import Ground, Made, fault, made
from .layout import Table, is_number
from .moves import add_filter, filled_down, sort
from .plant_cells import has_formula, near, pieces

TOTALS = re.compile(r"\b(SUM|SUMIFS?|COUNTIFS?|COUNTA?|SUMPRODUCT|MAX|MIN|AVERAGE)\(")
SUMS = re.compile(r"\b(SUM|SUMIFS?|AVERAGE)\(")
BARE_UNITS = ("per m", "per piece", "each", "factor", "h", "years", "days", "pieces")
BARE_HEADS = ("Times", "Price", "Money")
OWN_WORDS = ("(invented)", "own")


def spans(formula: str, rows: int = 3) -> list[Token]:
    """The areas of at least so many rows, one column wide."""
    found = []
    for piece in pieces(formula, "reference"):
        area = piece.text.rpartition("!")[2]
        if ":" in area and re.search(r"[0-9]", area) and "[" not in piece.text:
            top, left, bottom, right = corners(area)
            if left == right and bottom - top >= rows - 1 and bottom < 1_000_000:
                found.append(piece)
    return found


@fault(13, "range", "total misses first / last row")
def total_misses(ground: Ground) -> Made | None:
    """The areas of a total start a row too late or end a row too early."""

    def wanted(place: Place, cell: Cell) -> bool:
        return has_formula(place, cell) and bool(TOTALS.search(cell.formula or "") and spans(cell.formula or ""))

    place = ground.pick(wanted)
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    some = spans(formula)
    chosen = ground.random.choice(some)
    top, _, bottom, _ = corners(chosen.text.rpartition("!")[2])
    sheet = unquoted(chosen.text.rpartition("!")[0]) or place[0]
    new_top, new_bottom = shorter(ground, sheet, top, bottom)
    edits = []
    for piece in some:
        before, mark, area = piece.text.rpartition("!")
        if corners(area)[0] == top and corners(area)[2] == bottom:
            first, last = area.split(":")
            text = f"{before}{mark}{re.sub('[0-9]+', str(new_top), first)}:{re.sub('[0-9]+', str(new_bottom), last)}"
            edits.append((piece.start, piece.start + len(piece.text), text))
    ground.formula(place, spliced(formula, edits))
    return made(f"rows {top} to {bottom} became {new_top} to {new_bottom} in {place}", place)


def shorter(ground: Ground, sheet: str, top: int, bottom: int) -> tuple[int, int]:
    """The area without its first or last row of data; the thin row and the marker row hold none."""
    table = next((each for each in ground.layout.on(sheet) if top <= each.rows[0] and each.rows[-1] <= bottom), None)
    first, last = (table.rows[0], table.rows[-1]) if table else (top, bottom)
    if table and ground.random.random() < 0.5 and (filled := ground.layout.filled(table)):
        last = filled[-1]
    return (first + 1, bottom) if ground.random.random() < 0.5 else (top, last - 1)


@fault(14, "range", "total includes a subtotal twice")
def counted_twice(ground: Ground) -> Made | None:
    """A total to which something is added that is in it already."""

    def terms(formula: str) -> list[Token]:
        found = [piece for piece in tokens(formula) if piece.kind != "space"]
        return [piece for before, piece in pairwise(found)
                if before.text == "+" and piece.kind in ("name", "reference") and ":" not in piece.text]  # fmt: skip

    def summed(cell: Cell) -> bool:
        formula = cell.formula or ""
        return bool(terms(formula) or (SUMS.match(formula) and spans(formula)))

    place = ground.pick(lambda place, cell: has_formula(place, cell) and ground.numeric(place) and summed(cell))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    if some := terms(formula):
        piece = ground.random.choice(some)
        end = piece.start + len(piece.text)
        text = f"{formula[:end]}+{piece.text}{formula[end:]}"
    else:
        piece = ground.random.choice(spans(formula))
        before, mark, area = piece.text.rpartition("!")
        top, left, bottom, _ = corners(area)
        text = f"{formula}+{before}{mark}{column_letters(left)}{ground.random.randint(top, bottom)}"
    ground.formula(place, text)
    return made(f"{text} counts a part twice in {place}", place)


def summed_areas(ground: Ground) -> list[Look]:
    """The areas that totals look at."""
    from xlcalc.workbook.file.package import Package  # noqa: PLC0415

    written = Written(Package.from_bytes(ground.bench.data, "book.xlsx"))
    found: dict[tuple[str, int, int, int, int], Look] = {}
    seen = set()
    for place, formula in written.formulas():
        if SUMS.search(formula) and (key := (place[0], pattern(formula))) not in seen:
            seen.add(key)
            for look in written.looks(formula, place):
                found.setdefault(look[:5], look)
    return list(found.values())


@fault(15, "range", "SUM over text numbers")
def text_number(ground: Ground) -> Made | None:
    """A number pasted as text into a column that is added up."""
    areas = ground.bench.__dict__.setdefault("summed", None) or summed_areas(ground)
    ground.bench.__dict__["summed"] = areas

    def wanted(place: Place, cell: Cell) -> bool:
        return is_number(ground.value(place)) and any(look.covers(place) for look in areas)

    place = ground.pick_typed(wanted) or ground.pick_typed(lambda place, _: plain(ground, place))
    if place is None:
        return None
    value = ground.value(place)
    assert isinstance(value, float)
    ground.type(place, f"{value:.10g}")
    return made(f"{place} holds its number as text", place)


def plain(ground: Ground, place: Place) -> bool:
    """True in a column that takes bare numbers only: money, pieces, factors, hours."""
    table = ground.table(place)
    if table is None or not is_number(ground.value(place)):
        return False
    return ground.unit(place) in BARE_UNITS or ground.layout.columns(table).get(place[2], "") in BARE_HEADS


@fault(16, "range", "row inserted outside range")
def row_outside(ground: Ground) -> Made | None:
    """A row typed below the line that says where new rows go, with its formulas filled down or without."""
    tables = [table for table in ground.layout.tables if ground.layout.filled(table) and free_below(ground, table)]
    if not tables:
        return None
    table = ground.random.choice(tables)
    source, row = ground.layout.filled(table)[-1], table.rows[-1] + 2
    grid = ground.draft.edit(table.sheet)
    wide = max(column for _, column in grid.cells)
    fresh = []
    for column in range(1, wide + 1):
        cell = grid.cells.get((source, column))
        place = (table.sheet, row, column)
        if cell is None or place in ground.busy:
            continue
        if cell.formula is None and cell.element:
            ground.type(place, f"new {row}" if column == 1 else ground.value((table.sheet, source, column)))
            fresh.append(place)
    if not fresh:
        return None
    if ground.random.random() < 0.7:
        filled_down(grid, source, row, range(1, wide + 1))
        for column in range(1, wide + 1):
            cell = grid.cells.get((row, column))
            if cell is not None and cell.formula is not None:
                ground.formula((table.sheet, row, column), cell.formula)
                fresh.append((table.sheet, row, column))
    return made(f"{table.sheet} row {row} stands below the end of its table", *fresh)


def free_below(ground: Ground, table: Table) -> bool:
    """True where two rows below the last row of a table are free."""
    grid = ground.draft.look(table.sheet)
    wide = max(column for _, column in grid.cells)
    row = table.rows[-1] + 2
    cells = (grid.cells.get((row, column)) for column in range(1, wide))
    return not any(cell is not None and (cell.element or cell.formula) for cell in cells)


@fault(17, "range", "hidden or filtered row in total")
def hidden_row(ground: Ground) -> Made | None:
    """A row that counts is hidden, by hand or by a filter."""
    tables = [table for table in ground.layout.tables if len(ground.layout.filled(table)) > 1]
    table = ground.random.choice(tables)
    row = ground.random.choice(ground.layout.filled(table))
    grid = ground.draft.edit(table.sheet)
    cells = [(table.sheet, row, column) for at, column in grid.cells if at == row]
    if set(cells) & ground.busy or b"hidden" in grid.rows[row]:
        return None
    grid.rows[row] += b' hidden="1"'
    if ground.random.random() < 0.5 and b"<autoFilter" not in grid.after:
        area = f"A{table.head}:{column_letters(max(ground.layout.columns(table)))}{table.rows[-1]}"
        shown = '<customFilters><customFilter operator="notEqual" val="x"/></customFilters>'
        add_filter(grid, area, f'<filterColumn colId="0">{shown}</filterColumn>')
    return made(f"{table.sheet} row {row} is hidden and counts", *cells)


@fault(18, "range", "sorted part of a table only")
def sorted_partly(ground: Ground) -> Made | None:
    """Some columns of a table sorted, the others left as they were."""
    tables = [table for table in ground.layout.tables if len(ground.layout.filled(table)) > 3]
    table = ground.random.choice(tables)
    rows = ground.layout.filled(table)
    typed = [column for column in ground.layout.columns(table) if ground.layout.typed(table, column)
             and sum(ground.value((table.sheet, row, column)) not in (None, "") for row in rows) > 2]  # fmt: skip
    if len(typed) < 3:
        return None
    first = ground.random.randrange(0, len(typed) - 1)
    chosen = typed[first : first + ground.random.randint(1, max(1, min(4, len(typed) - 1 - first)))]
    key = chosen[0]
    values = {row: ground.value((table.sheet, row, key)) for row in rows}
    order = sorted(rows, key=lambda row: (values[row] in (None, ""), isinstance(values[row], str), values[row] or 0))
    if [values[row] for row in order] == [values[row] for row in rows]:
        order = order[::-1]
    cells = {(table.sheet, row, column) for row in rows for column in chosen}
    if cells & ground.busy:
        return None
    grid = ground.draft.edit(table.sheet)
    for column in chosen:
        sort(grid, rows, order, range(column, column + 1))
    changed = [place for place in cells if not alike(ground.draft.value(place), ground.value(place))]
    for place in changed:
        ground.type(place, ground.draft.value(place))
    words = f"columns {', '.join(map(column_letters, chosen))} of {table.sheet} were sorted by themselves"
    return Made(words, frozenset(changed)) if changed else None


def alike(one: Value, other: Value) -> bool:
    """True for equal contents; an empty text is an empty cell."""
    return (one or None) == (other or None)


def cited(ground: Ground) -> list[tuple[Table, int, int]]:
    """Rows of figures with a source that is not the shop's own: table, row and the column of the source."""
    found = []
    for table in ground.layout.tables:
        column = ground.layout.column(table, "Source")
        if column is None:
            continue
        for row in ground.layout.filled(table):
            words = ground.layout.text(table.sheet, row, column)
            if words and not any(each in words for each in OWN_WORDS):
                found.append((table, row, column))
    return found


def limit_rows(ground: Ground) -> list[int]:
    """The rows of Start with a default limit and its source."""
    grid = ground.draft.look("Start")
    return [row for row, column in sorted(grid.cells) if column == 2 and row > 60 and is_number(grid.value(row, 2))
            and isinstance(grid.value(row, 7), str) and grid.cells[row, 2].formula is None]  # fmt: skip


@fault(25, "data", "table value edited")
def figure_edited(ground: Ground) -> Made | None:
    """A figure that comes from a source typed over, or a default limit."""
    if ground.random.random() < 0.25 and (rows := limit_rows(ground)):
        places = [("Start", row, 2) for row in rows]
    else:
        table, row, _ = ground.random.choice(cited(ground))
        places = [(table.sheet, row, column) for column in ground.layout.columns(table)]
        places = [place for place in places if ground.draft.cell(place).formula is None and ground.numeric(place)]
    places = [place for place in places if place not in ground.busy]
    if not places:
        return None
    place = ground.random.choice(places)
    value = ground.value(place)
    assert isinstance(value, float)
    ground.type(place, near(ground.random, value))
    return made(f"the figure {value:g} in {place} was typed over", place)


@fault(26, "data", "source removed")
def source_removed(ground: Ground) -> Made | None:
    """The source of a figure, or its mark, cleared."""
    if ground.random.random() < 0.3 and (rows := limit_rows(ground)):
        place = ("Start", ground.random.choice(rows), 7)
    else:
        table, row, column = ground.random.choice(cited(ground))
        mark = ground.layout.column(table, "Mark")
        place = (table.sheet, row, mark if mark and ground.random.random() < 0.3 else column)
    if place in ground.busy or ground.value(place) in (None, ""):
        return None
    ground.type(place, None)
    row_cells = [(place[0], place[1], column) for at, column in ground.draft.look(place[0]).cells if at == place[1]]
    return Made(f"the source in {place} was cleared", frozenset(row_cells))


def users(ground: Ground, names: Container[str]) -> dict[str, list[Place]]:
    """The typed cells of tables that say one of some names, by the name."""
    found: dict[str, list[Place]] = {}
    for table in ground.layout.tables:
        rows = ground.layout.filled(table)
        for column in ground.layout.columns(table):
            for place in ((table.sheet, row, column) for row in rows if column > 1):
                value = ground.value(place)
                if isinstance(value, str) and value in names and ground.draft.cell(place).formula is None:
                    found.setdefault(value, []).append(place)
    return found


@fault(27, "data", "fluid renamed so a lookup falls to the default")
def renamed_key(ground: Ground) -> Made | None:
    """A fluid called otherwise in its table or in a line, so that it is not found any more."""
    holds = "Reid vapour pressure"
    fluids = next((table for table in ground.layout.tables if ground.layout.column(table, holds)), None)
    if fluids is None:
        return None
    named = {str(ground.value((fluids.sheet, row, 1))): (fluids.sheet, row, 1) for row in ground.layout.filled(fluids)}
    found = users(ground, named)
    used = {name: found[name] for name in named if name in found}
    if not used:
        return None
    name = ground.random.choice(list(used))
    first = name.partition(" ")[0]
    other = ground.random.choice((f"{name}.", name.replace(" ", "-", 1), f"{name} new", f"{first} std"))
    place = ground.random.choice([named[name], ground.random.choice(used[name])])
    if place in ground.busy or other == name:
        return None
    ground.type(place, other)
    others = used[name] if place == named[name] else [named[name]]
    return made(f"{name!r} became {other!r} in {place}", place, *others)


@fault(28, "data", "approximate match lookup")
def approximate(ground: Ground) -> Made | None:
    """A lookup that takes the next best."""
    exact = re.compile(r",0\)")

    def wanted(place: Place, cell: Cell) -> bool:
        return has_formula(place, cell) and "MATCH(" in (cell.formula or "") and bool(exact.search(cell.formula or ""))

    place = ground.pick(wanted)
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    ends = [found for found in exact.finditer(formula) if "MATCH(" in formula[: found.start()]]
    if not ends:
        return None
    found = ground.random.choice(ends)
    new = ground.random.choice((",1)", ")", ",-1)"))
    ground.formula(place, formula[: found.start()] + new + formula[found.end() :])
    return made(f"a lookup in {place} takes the next best", place)


@fault(29, "data", "duplicate key with two values")
def duplicate(ground: Ground) -> Made | None:
    """A row of a table typed again with another figure."""
    tables = [table for table in ground.layout.tables if len(ground.layout.filled(table)) > 1
              and ground.layout.filled(table)[-1] < table.rows[-1]]  # fmt: skip
    if not tables:
        return None
    table = ground.random.choice(tables)
    filled = ground.layout.filled(table)
    source, row = ground.random.choice(filled), filled[-1] + 1
    cells = []
    for column in ground.layout.columns(table):
        cell = ground.draft.cell((table.sheet, source, column))
        to = (table.sheet, row, column)
        if cell.formula is None and cell.element and ground.draft.cell(to).formula is None and to not in ground.busy:
            cells.append((to, ground.value((table.sheet, source, column))))
    numbers = [to for to, value in cells if is_number(value) and value]
    if not numbers or not cells:
        return None
    changed = ground.random.choice(numbers)
    for to, value in cells:
        ground.type(to, near(ground.random, value) if to == changed and isinstance(value, float) else value)
    both = [(table.sheet, each, column) for each in (source, row) for column in ground.layout.columns(table)]
    return Made(f"{table.sheet} rows {source} and {row} have one name and two values", frozenset(both))


