"""Faults of the workbook and of the process: classes 36 to 45."""

import hashlib
import re

from xlcalc.workbook.calculation.recalc import worksheet_functions
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.values import plain_text, xml_text
from xlcalc.workbook.formulas import calls, column_letters, column_number, corners

from . import moves
from .draft import Cell
from .ground import GENERATED, Ground, Made, fault, made
from .plant_cells import has_formula
from .spellings import spelled

NAME = re.compile(rb'<definedName name="([^"]+)">([^<]*)</definedName>')
SPAN = re.compile(r"((?:'[^']+'|\w+)!)\$([A-Z]+)\$([0-9]+)(?::\$([A-Z]+)\$([0-9]+))?")
RULE = re.compile(rb"<dataValidation\s(?:(?!<dataValidation\s).)*?</dataValidation>", re.DOTALL)
PROPERTY = rb'(<property name="%s"[^>]*><vt:lpwstr>)([^<]*)(</vt:lpwstr></property>)'
PATHS = (r"'C:\Users\workshop\AddIns\xlcalc.xlam'!", r"'D:\Shop\xlcalc.xlam'!", r"'\\server\office\xlcalc.xlam'!")
STAMP = (b"xlcalc version", b"xlcalc data")
BOOK = ("book",)


def edit_book(ground: Ground, pattern: bytes, new: bytes) -> bool:
    """Change the part with the sheets, names and settings; False where nothing fits."""
    old = ground.draft.parts[ground.draft.workbook]
    ground.draft.parts[ground.draft.workbook] = re.sub(pattern, new, old, count=1)
    return ground.draft.parts[ground.draft.workbook] != old


def setting(ground: Ground, attributes: bytes, words: str) -> Made | None:
    """Change how the book computes."""
    return made(words, wheres=BOOK) if edit_book(ground, rb"<calcPr ", b"<calcPr %s " % attributes) else None


@fault(36, "workbook", "named range moved", whole=True)
def name_moved(ground: Ground) -> Made | None:
    """A name that stands for the cell or column beside its own, or for a row more or less."""
    book = ground.draft.parts[ground.draft.workbook]
    names = [(found, span) for found in NAME.finditer(book)
             if (span := SPAN.fullmatch(plain_text(found[2]))) and not found[1].startswith(b"_")]  # fmt: skip
    sheets = sorted({span[1] for _, span in names})
    sheet = ground.random.choice(sheets)
    found, span = ground.random.choice([each for each in names if each[1][1] == sheet])
    down, right = ground.random.choice(((1, 0), (-1, 0), (0, 1), (1, 0)))
    first = moved_end(span[2], span[3], down, right)
    text = f"{span[1]}{first}" + (f":{moved_end(span[4], span[5], down, right)}" if span[4] else "")
    new = b'<definedName name="%s">%s</definedName>' % (found[1], xml_text(text))
    ground.draft.parts[ground.draft.workbook] = book[: found.start()] + new + book[found.end() :]
    name = found[1].decode()
    plain = span[1].rstrip("!").strip("'")
    row, column = int(span[3]), column_number(span[2])
    return made(f"{name} became {text}", (plain, row, column), (plain, row + down, column + right), wheres=(name,))


def moved_end(letters: str, digits: str, down: int, right: int) -> str:
    """`$B$7` moved."""
    return f"${column_letters(column_number(letters) + right)}${int(digits) + down}"


@fault(37, "workbook", "validation removed")
def rule_removed(ground: Ground) -> Made | None:
    """What a cell takes is not checked any more: a rule deleted, as pasting over the cells does."""
    sheets = [name for name in ground.draft.names if b"<dataValidation " in ground.draft.look(name).after]
    sheet = ground.random.choice(sheets)
    grid = ground.draft.edit(sheet)
    rules = list(RULE.finditer(grid.after))
    rule = ground.random.choice(rules)
    area = re.search(rb'sqref="([^"]*)"', rule[0])
    assert area is not None
    grid.after = grid.after[: rule.start()] + grid.after[rule.end() :]
    if len(rules) == 1:
        grid.after = re.sub(rb"<dataValidations[^>]*>\s*</dataValidations>", b"", grid.after)
    cells = frozenset(each for part in area[1].decode().split() for each in covered(sheet, part))
    return Made(f"the rule of {sheet}!{area[1].decode()} was removed", cells)


def covered(sheet: str, area: str) -> list[Place]:
    """The cells of an area and the header above it."""
    top, left, bottom, right = corners(area)
    return [(sheet, row, column) for row in range(max(1, top - 3), bottom + 1) for column in range(left, right + 1)]


@fault(38, "workbook", "manual calculation mode", alone=True)
def manual(ground: Ground) -> Made | None:
    """The book does not work anything out by itself."""
    return setting(ground, b'calcMode="manual"', "manual calculation")


@fault(39, "workbook", "precision-as-displayed", alone=True)
def displayed(ground: Ground) -> Made | None:
    """The book computes with what it shows."""
    return setting(ground, b'fullPrecision="0"', "precision as displayed")


@fault(40, "workbook", "add-in path in front of a function name")
def add_in_path(ground: Ground) -> Made | None:
    """A call that names the folder of the add-in on somebody's machine; its value is the one of that machine."""
    ours = worksheet_functions()
    place = ground.pick(
        lambda place, cell: has_formula(place, cell) and any(call.name in ours for call in calls(cell.formula or ""))
    )
    if place is None:
        return None
    path = ground.random.choice(PATHS)
    sheet, row, column = place
    rows = ground.run(place) if ground.random.random() < 0.4 else [row]
    cells = []
    for each in rows:
        formula = ground.draft.cell((sheet, each, column)).formula or ""
        ground.formula((sheet, each, column), spelled(formula, lambda name: f"{path}{name}("), silent=True)
        cells.append((sheet, each, column))
    return made(f"{path} in front of a function in {place}", *cells)


def property_changed(ground: Ground, name: bytes, new: bytes) -> bool:
    """Type another value over a property of the file."""
    part = ground.draft.parts["docProps/custom.xml"]
    changed = re.sub(PROPERTY % name, rb"\g<1>" + new + rb"\g<3>", part)
    ground.draft.parts["docProps/custom.xml"] = changed
    return changed != part


@fault(41, "process", "version/data fingerprint mismatch", alone=True)
def other_version(ground: Ground) -> Made | None:
    """The book was made by another version, or with other data."""
    if ground.random.random() < 0.5:
        other = b"0.%d.%d" % (ground.random.randint(2, 9), ground.random.randint(0, 9))
        done = property_changed(ground, b"xlcalc version", other)
    else:
        done = property_changed(ground, b"xlcalc data", b"%08x" % ground.random.getrandbits(32))
    stamped = [re.search(PROPERTY % name, ground.draft.parts["docProps/custom.xml"]) for name in STAMP]
    version, data = (found[2].decode() if found else "" for found in stamped)
    seal = hashlib.sha256(f"xlcalc {version} {data}".encode()).hexdigest()[:8]
    property_changed(ground, b"xlcalc seal", seal.encode())
    return made("made with another version or other data", wheres=BOOK) if done else None


@fault(42, "process", "stamp edited", alone=True)
def stamp_edited(ground: Ground) -> Made | None:
    """The stamp of the file taken out or written over with words."""
    part = ground.draft.parts["docProps/custom.xml"]
    name = ground.random.choice(STAMP)
    way = ground.random.random()
    if way < 0.4:
        ground.draft.parts["docProps/custom.xml"] = re.sub(PROPERTY % name, b"", part)
    elif way < 0.7:
        property_changed(ground, name, ground.random.choice((b"latest", b"x", b"", b"0.1", b"ok")))
    else:
        ground.draft.parts["docProps/custom.xml"] = part.replace(name, name + b" of us")
    return made("the stamp was edited", wheres=BOOK) if ground.draft.parts["docProps/custom.xml"] != part else None


@fault(43, "process", "hidden sheet with inputs")
def hidden_sheet(ground: Ground) -> Made | None:
    """Inputs on a sheet that nobody sees: a sheet hidden, or a number moved to a hidden one."""
    state = ground.random.choice(("hidden", "veryHidden"))
    if ground.random.random() < 0.5:
        typed = (name for name, columns in ground.bench.typed.items() if columns)
        sheets = [name for name in typed if name not in ("Start", "Lines", *GENERATED)]
        sheet = ground.random.choice(sheets)
        pattern = rb'(<sheet name="%s"[^>]*?) state="visible"' % re.escape(xml_text(sheet))
        if not edit_book(ground, pattern, rb'\g<1> state="%s"' % state.encode()):
            return None
        cells = frozenset((sheet, row, column) for row, column in ground.draft.look(sheet).cells)
        return Made(f"the sheet {sheet} is hidden", cells, (sheet,))
    place = ground.pick_typed(lambda place, _: ground.numeric(place))
    value = ground.value(place) if place else None
    if place is None or not isinstance(value, float):
        return None
    sheet, at = f"Calc{len(ground.draft.names)}", ground.random.randint(2, 30)
    moves.add_sheet(ground.draft, sheet, {f"A{at}": Cell().typed("figure"), f"B{at}": Cell().typed(value)}, state)
    ground.formula(place, f"{sheet}!B{at}", silent=True)
    return made(f"{place} takes its number from the hidden sheet {sheet}", place, (sheet, at, 2), wheres=(sheet,))


@fault(44, "process", "external link")
def external_link(ground: Ground) -> Made | None:
    """A cell that takes its number from another file, with the link as Excel keeps it."""
    draft = ground.draft
    pick = ground.pick_typed if ground.random.random() < 0.5 else ground.pick
    place = pick(lambda place, cell: not cell.array and ground.numeric(place))
    if place is None:
        return None
    target = ground.random.choice(("prices%202026.xlsx", "file:///C:/Shop/rates.xlsx", "../old/job.xlsx"))
    number = moves.add_link(draft, target, '<sheetNames><sheetName val="Sheet1"/></sheetNames>')
    formula = draft.cell(place).formula
    ground.formula(place, f"{formula}+[{number}]Sheet1!$B$2*0" if formula else f"[{number}]Sheet1!$B$2", silent=True)
    return made(f"{place} takes its number from {target}", place, wheres=(target.rpartition("/")[2], target))


@fault(45, "process", "iterative calculation on", alone=True)
def iterative(ground: Ground) -> Made | None:
    """The book repeats circles until they seem to rest."""
    return setting(ground, b'iterate="1" iterateCount="100"', "iterative calculation")
