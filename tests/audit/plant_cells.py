"""Faults of arithmetic and of references: classes 1 to 12."""

import re
from random import Random

from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import Token, column_letters, corners, tokens, unquoted

from .draft import Cell
from .ground import Ground, Made, fault, made
from .layout import Table, is_number

SINGLE = re.compile(r"(\$?)([A-Z]{1,3})(\$?)([0-9]{1,7})")
FLIPPED = {"+": "-", "-": "+", "*": "/", "/": "*", "<": ">", ">": "<"}
VERDICTS = ("Change", "Near limit", "Cannot")


def has_formula(_: Place, cell: Cell) -> bool:
    """True for a plain formula cell."""
    return cell.formula is not None and not cell.array


def near(random: Random, value: float) -> float:
    """A plausible other number: some per cent away, with as many digits as people type."""
    other = value * random.choice((0.5, 0.8, 0.9, 1.05, 1.1, 1.25, 1.5, 2))
    digits = 2 if abs(other) < 10 else 1 if abs(other) < 100 else 0
    other = float(round(other, digits))
    return other if other != value else value + 1.0


def pieces(formula: str, kind: str) -> list[Token]:
    """The pieces of a formula of one kind."""
    return [piece for piece in tokens(formula) if piece.kind == kind]


def singles(formula: str) -> list[Token]:
    """The references to one cell."""
    return [piece for piece in pieces(formula, "reference") if SINGLE.fullmatch(piece.text.rpartition("!")[2])]


def replaced(formula: str, piece: Token, text: str) -> str:
    """The formula with a piece written otherwise."""
    return formula[: piece.start] + text + formula[piece.start + len(piece.text) :]


@fault(1, "arithmetic", "stale cached value")
def stale_value(ground: Ground) -> Made | None:
    """The file shows another value than the formula gives: of one cell, or of all that follow from an input."""
    if ground.random.random() < 0.3:
        place = ground.pick_typed(lambda place, _: ground.numeric(place) and ground.table(place) is not None)
        if place is not None:
            value = ground.value(place)
            assert isinstance(value, float)
            other = near(ground.random, value)
            behind = ground.follows(place, other)
            behind.pop(place, None)
            if behind:
                ground.put(place, ground.draft.cell(place).typed(other))
                old = {each: ground.value(each) for each in behind}
                for each, shown in old.items():
                    ground.cached(each, shown)
                ground.changed[place] = ground.given(other)
                return made(f"{place} typed over by a program that works nothing out", *behind)

    def wanted(place: Place, cell: Cell) -> bool:
        value = ground.value(place)
        verdict = isinstance(value, str) and value.startswith(VERDICTS)
        return has_formula(place, cell) and (ground.numeric(place) or verdict)

    place = ground.pick(wanted)
    if place is None:
        return None
    value = ground.value(place)
    ground.cached(place, near(ground.random, value) if isinstance(value, float) else "Within limits")
    return made(f"{place} shows another value than its formula gives", place)


def overwritten(ground: Ground, value_of: object) -> Place | None:
    place = ground.pick(lambda place, cell: has_formula(place, cell) and ground.numeric(place))
    if place is not None:
        value = ground.value(place)
        assert isinstance(value, float)
        ground.type(place, near(ground.random, value) if value_of == "other" else value)
    return place


@fault(2, "arithmetic", "number over a formula")
def number_over(ground: Ground) -> Made | None:
    """A number typed over a formula."""
    place = overwritten(ground, "other")
    return place and made(f"{place} holds a number in place of its formula", place)


@fault(3, "arithmetic", "number over formula equal to its old value")
def equal_number_over(ground: Ground) -> Made | None:
    """A formula pasted over with its value."""
    place = overwritten(ground, "equal")
    return place and made(f"{place} was pasted over with its value", place)


@fault(4, "arithmetic", "+0 fudge")
def fudge(ground: Ground) -> Made | None:
    """Something added to a formula so that it shows what is wanted."""
    place = ground.pick(lambda place, cell: has_formula(place, cell) and ground.numeric(place))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    more = ground.random.choice(("+0", "+0", "-0", "*1", "+1", "+0.5", "*1.05", "-2"))
    ground.formula(place, f"({formula}){more}" if "*" in more else f"{formula}{more}")
    return made(f"{more} added in {place}", place)


@fault(5, "arithmetic", "constant changed inside a formula")
def constant_changed(ground: Ground) -> Made | None:
    """A number inside a formula typed over."""

    def numbers(formula: str) -> list[Token]:
        found = pieces(formula, "number")
        return [piece for piece in found if not re.search(r"MATCH\([^()]*,$", formula[: piece.start])]

    place = ground.pick(lambda place, cell: has_formula(place, cell) and bool(numbers(cell.formula or "")))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    piece = ground.random.choice(numbers(formula))
    old = float(piece.text)
    factors = (0.1, 0.5, 0.9, 1.1, 2, 10)
    other = ground.random.choice((1.0, 2.0)) if old in (0, 1) else old * ground.random.choice(factors)
    other = other if other != old else 3.0
    ground.formula(place, replaced(formula, piece, f"{other:.10g}"))
    return made(f"{piece.text} became {other:.10g} in {place}", place)


@fault(6, "arithmetic", "sign or operator flipped")
def operator_flipped(ground: Ground) -> Made | None:
    """Plus for minus, times for divided by, less for more."""

    def signs(formula: str) -> list[Token]:
        found = pieces(formula, "sign")
        around = {piece.start for piece in found}
        return [piece for piece in found if piece.text in FLIPPED and not {piece.start - 1, piece.start + 1} & around
                and piece.start > 0 and formula[piece.start - 1] not in "(,"]  # fmt: skip

    place = ground.pick(lambda place, cell: has_formula(place, cell) and bool(signs(cell.formula or "")))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    piece = ground.random.choice(signs(formula))
    ground.formula(place, replaced(formula, piece, FLIPPED[piece.text]))
    return made(f"{piece.text} became {FLIPPED[piece.text]} in {place}", place)


def respelled(piece: Token, row: int | None = None, column: int | None = None, fixed_row: bool = False) -> str:
    """A reference to one cell with another row or column."""
    before, mark, cell = piece.text.rpartition("!")
    found = SINGLE.fullmatch(cell)
    assert found is not None
    held = "$" if fixed_row else found[3]
    letters = column_letters(column) if column else found[2]
    return f"{before}{mark}{found[1]}{letters}{held}{row or found[4]}"


def cell_of(piece: Token) -> tuple[int, int]:
    """Row and column of a reference to one cell."""
    top, left, _, _ = corners(piece.text.rpartition("!")[2])
    return top, left


def changed_reference(ground: Ground, place: Place, text: str, spread: float) -> frozenset[Place]:
    """Type a formula into one cell, or fill it down to the end of its column as well."""
    rows = ground.run(place)
    if len(rows) > 2 and ground.random.random() < spread:
        return frozenset(ground.filled_down(place, text, [row for row in rows if row >= place[1]]))
    ground.formula(place, text)
    return frozenset({place})


@fault(7, "reference", "off-by-one row")
def off_by_one(ground: Ground) -> Made | None:
    """A formula that looks one row too high or too low."""
    place = ground.pick(lambda place, cell: has_formula(place, cell) and bool(singles(cell.formula or "")))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    piece = ground.random.choice(singles(formula))
    row, _ = cell_of(piece)
    text = replaced(formula, piece, respelled(piece, row=max(1, row + ground.random.choice((-1, 1)))))
    return Made(f"{piece.text} off by one row in {place}", changed_reference(ground, place, text, 0.2))


@fault(8, "reference", "relative/absolute slip on fill-down")
def slip(ground: Ground) -> Made | None:
    """A dollar sign missing or too many, filled down: an area that drifts, or rows that all look at one."""

    def slips(place: Place, cell: Cell) -> bool:
        if not has_formula(place, cell) or len(ground.run(place)) < 4:
            return False
        return bool(drifting(cell.formula or "") or holding(cell.formula or "", place[1]))

    def drifting(formula: str) -> list[Token]:
        areas = (piece for piece in pieces(formula, "reference") if ":" in piece.text)
        return [piece for piece in areas if re.search(r"[A-Z]\$[0-9]", piece.text)]

    def holding(formula: str, row: int) -> list[Token]:
        here = (piece for piece in singles(formula) if "!" not in piece.text and cell_of(piece)[0] == row)
        return [piece for piece in here if not re.search(r"[A-Z]\$", piece.text)]

    place = ground.pick(slips, filled=0)
    if place is None:
        return None
    sheet, _, column = place
    rows = ground.run(place)
    first = rows[ground.random.randrange(0, max(1, len(rows) // 2))]
    formula = ground.draft.cell((sheet, first, column)).formula or ""
    drift, hold = drifting(formula), holding(formula, first)
    if not (drift or hold):
        return None
    if drift and (not hold or ground.random.random() < 0.6):
        piece = ground.random.choice(drift)
        text = replaced(formula, piece, re.sub(r"(?<=[A-Z])\$", "", piece.text))
    else:
        piece = ground.random.choice(hold)
        text = replaced(formula, piece, respelled(piece, fixed_row=True))
    filled = ground.filled_down((sheet, first, column), text, [each for each in rows if each >= first])
    return Made(f"{piece.text} slips from {sheet} row {first} down", frozenset(filled))


@fault(9, "reference", "wrong column of same type")
def wrong_column(ground: Ground) -> Made | None:
    """A formula that looks at another column with the same unit and the same kind of values."""
    place = ground.pick(lambda place, cell: has_formula(place, cell) and bool(singles(cell.formula or "")))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    options = singles(formula)
    ground.random.shuffle(options)
    for piece in options:
        before = piece.text.rpartition("!")[0]
        sheet = unquoted(before) if before else place[0]
        row, column = cell_of(piece)
        table = ground.table((sheet, row, column)) if sheet in ground.draft.names else None
        if table is None:
            continue
        alike = [
            other
            for other in ground.layout.columns(table)
            if other not in (column, place[2]) and exchangeable(ground, table, row, column, other)
        ]
        if alike:
            near_by = sorted(alike, key=lambda other: abs(other - column))[:4]
            other = ground.random.choice(near_by)
            if closes_circle(ground, (sheet, row, other), place):
                continue
            text = replaced(formula, piece, respelled(piece, column=other))
            cells = changed_reference(ground, place, text, 0.3)
            return Made(f"{piece.text} became column {column_letters(other)} in {place}", cells)
    return None


def exchangeable(ground: Ground, table: Table, row: int, one: int, other: int) -> bool:
    """True where two columns have one unit and hold values of one kind that differ."""
    first, second = (ground.value((table.sheet, row, column)) for column in (one, other))
    unit = ground.layout.unit(table, one)
    return type(first) is type(second) and first != second and ground.layout.unit(table, other) == unit


def closes_circle(ground: Ground, start: Place, end: Place) -> bool:
    """True where `start` looks at `end`, by cells of the same sheet."""
    seen, waiting = {start}, [start]
    while waiting:
        each = waiting.pop()
        if each == end:
            return True
        formula = ground.draft.cell(each).formula
        for piece in pieces(formula or "", "reference"):
            if "!" not in piece.text and "#" not in piece.text:
                area = corners(piece.text)
                if area[0] <= end[1] <= area[2] and area[1] <= end[2] <= area[3] and each[0] == end[0]:
                    return True
                following = (each[0], *area[:2])
                if area[:2] == area[2:] and following not in seen:
                    seen.add(following)
                    waiting.append(following)
    return False


@fault(10, "reference", "wrong sheet")
def wrong_sheet(ground: Ground) -> Made | None:
    """A formula that looks at the same cells of another sheet."""

    def abroad(formula: str) -> list[Token]:
        return [piece for piece in pieces(formula, "reference") if "!" in piece.text and "[" not in piece.text]

    place = ground.pick(lambda place, cell: has_formula(place, cell) and bool(abroad(cell.formula or "")))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    piece = ground.random.choice(abroad(formula))
    before, _, area = piece.text.rpartition("!")
    others = [name for name in ground.draft.names if name not in (unquoted(before), place[0])
              and ground.layout.on(name) and name.isidentifier()]  # fmt: skip
    if not others:
        return None
    other = ground.random.choice(others)
    cells = changed_reference(ground, place, replaced(formula, piece, f"{other}!{area}"), 0.2)
    return Made(f"{piece.text} became {other}!{area} in {place}", cells)


@fault(11, "reference", "reference to blank, header or text")
def looks_at_nothing(ground: Ground) -> Made | None:
    """A formula that looks at a blank cell, a header or a text where it took a number."""

    def numbered(place: Place, formula: str) -> list[Token]:
        here = ((piece, (place[0], *cell_of(piece))) for piece in singles(formula) if "!" not in piece.text)
        return [piece for piece, cell in here if is_number(ground.value(cell)) and ground.table(cell)]

    place = ground.pick(lambda place, cell: has_formula(place, cell) and bool(numbered(place, cell.formula or "")))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    piece = ground.random.choice(numbered(place, formula))
    row, column = cell_of(piece)
    table = ground.table((place[0], row, column))
    assert table is not None
    wide = max(each for _, each in ground.draft.look(place[0]).cells)
    target = ground.random.choice(("blank", "header", "text"))
    texts = [each for each in ground.layout.columns(table) if isinstance(ground.value((place[0], row, each)), str)
             and ground.value((place[0], row, each)) and (place[0], row, each) != place
             and not closes_circle(ground, (place[0], row, each), place)]  # fmt: skip
    if target == "text" and texts:
        text = respelled(piece, column=ground.random.choice(texts))
    elif target == "header":
        text = respelled(piece, row=table.head)
    else:
        text = respelled(piece, column=wide + 3)
    ground.formula(place, replaced(formula, piece, text))
    return made(f"{piece.text} became {text}, a {target}, in {place}", place)


@fault(12, "reference", "circular")
def circular(ground: Ground) -> Made | None:
    """A formula that looks at itself, or at one that looks at it."""
    place = ground.pick(lambda place, cell: has_formula(place, cell) and ground.numeric(place))
    if place is None:
        return None
    formula = ground.draft.cell(place).formula or ""
    itself = f"{column_letters(place[2])}{place[1]}"
    if ground.random.random() < 0.5 or not singles(formula):
        text = f"{formula}+{itself}*0" if ground.random.random() < 0.5 else f"MAX({formula},{itself})"
        ground.formula(place, text, silent=True)
        return made(f"{place} looks at itself", place)
    locals_ = [cell_of(piece) for piece in singles(formula) if "!" not in piece.text]
    worked = [(place[0], *at) for at in locals_ if ground.draft.cell((place[0], *at)).formula is not None]
    if not worked:
        ground.formula(place, f"{formula}+{itself}", silent=True)
        return made(f"{place} looks at itself", place)
    other = ground.random.choice(worked)
    ground.formula(other, f"IF({itself}=0,0,{ground.draft.cell(other).formula})", silent=True)
    return made(f"{other} looks at {place}, which looks at it", place, other)
