"""Make the copy of a workbook that the engine sees. The person's own file is never changed for it.

The engine stumbles over parts of a real workbook (tests/workbook/test_engine_facts.py): left-out arguments,
cached cells of arrays, links to other files, functions it does not know. The copy has them mended or
frozen: a frozen cell keeps its cached value as a constant, and the report says so.
"""

import re
from collections.abc import Container
from typing import NamedTuple

from xlcalc.workbook.calculation.engine import FIT, has_function, stored
from xlcalc.workbook.calculation.facts import EMPTY_CELL, Facts, Reader
from xlcalc.workbook.calculation.hidden_rows import HiddenRows
from xlcalc.workbook.calculation.links import other_files
from xlcalc.workbook.calculation.structured import Tables
from xlcalc.workbook.file import cells
from xlcalc.workbook.file.cell_index import LOST, Places
from xlcalc.workbook.file.cell_xml import AREA, ELEMENT, FORMULA, PLAIN_ATTRIBUTES
from xlcalc.workbook.file.cells import SheetCells
from xlcalc.workbook.file.package import CONTENT_TYPES, Package, Sheet
from xlcalc.workbook.file.values import TYPE, plain_text, xml_text
from xlcalc.workbook.formulas import tokens

ITERATE = re.compile(rb"""\siterate=["'][^"']*["']""")
EXTENSIONS = re.compile(rb"<extLst(?:\s[^<>]*)?(?:/>|>(?>(?:[^<]++|<(?!/?extLst[\s>/]))*)</extLst>)")
ENGINE_READS = {"worksheet", "chartsheet", "dialogsheet", "xlMacrosheet", "sharedStrings", "styles"}
LAST_CELL = EMPTY_CELL.replace("$", "").encode()
LAST_FILLED = re.compile(rb"""\sr=["']%s["']""" % LAST_CELL)
ENDLESS = "array of whole columns or rows, which the engine ends at the last one that is filled"
NO_FACTS = Facts(frozenset(), (), "", False)


class SheetPlan(NamedTuple):
    """The formula cells of a sheet, each list in the order of the file."""

    sheet: Sheet
    source: SheetCells
    places: Places
    facts: list[Facts]
    areas: dict[int, tuple[int, int, int, int]]  # of array formulas: top, left, bottom, right
    frozen: dict[int, str]  # index of a cell, and why the engine cannot have it
    unshared: dict[int, str]  # the formulas of cells that cannot share one in the engine, as they read in their cell


class Plan(NamedTuple):
    """What the engine is to work out."""

    sheets: list[SheetPlan]
    called: frozenset[str]  # our functions that the book calls, by their plain names
    parts: dict[str, bytes]

    def book(self) -> bytes:
        """The file that the engine reads."""
        return stored(self.parts)


def prepare(package: Package, ours: Container[str]) -> Plan:
    """Read every formula and make the copy for the engine; `ours` holds the plain names of our functions.

    Raises FileRefused for a sheet that cannot be read or edited.
    """
    names, tables = package.defined_names(), Tables(package.tables())
    others, plans, parts = other_files(package), [], engine_parts(package)
    hidden = HiddenRows(package)
    for sheet in package.worksheets():
        source = cells.formula_cells(package.read(sheet.part), f"{package.path.name}, sheet {sheet.name}")
        if source:
            plan = read_sheet(sheet, source, Reader(sheet.name, ours, has_function, names, tables, others), hidden)
            parts[sheet.part] = for_engine(plan)
            plans.append(plan)
        parts[sheet.part] = without_extensions(parts[sheet.part])
    called = frozenset(name for plan in plans for facts in set(plan.facts) for name in facts.ours)
    return Plan(plans, called, parts)


def engine_parts(package: Package) -> dict[str, bytes]:
    """The parts that the engine reads; pictures, charts and macros stay out of the copy."""
    wanted = [CONTENT_TYPES, "_rels/.rels", package.links_of(package.workbook_part)]
    wanted += [part for kind, part in package.related(package.workbook_part).values() if kind in ENGINE_READS]
    parts = {part: package.read(part) for part in wanted if part in package}
    parts[package.workbook_part] = ITERATE.sub(b"", package.read(package.workbook_part))
    return parts


def without_extensions(xml: bytes) -> bytes:
    """The sheet's XML without the extensions that a cell may carry; the engine stumbles over them."""
    stop = xml.rfind(b"</sheetData>")
    if xml.find(b"<extLst", 0, max(stop, 0)) < 0:
        return xml
    return EXTENSIONS.sub(b"", xml[:stop]) + xml[stop:]


def read_sheet(sheet: Sheet, source: SheetCells, reader: Reader, hidden: HiddenRows) -> SheetPlan:
    """Say of every formula cell what it needs."""
    plan = SheetPlan(sheet, source, cells.places(source), [], {}, {}, {})
    named = source.xml.find(LAST_CELL, source.start, source.stop) >= 0  # the quick look, which nearly always does
    taken = named and LAST_FILLED.search(source.xml, source.start, source.stop) is not None
    for index, ((attributes, formula, first), place) in enumerate(zip(source.cells.shared(), plan.places, strict=True)):
        alone = not (attributes and b"array" in attributes)
        facts = facts_of(reader, formula, place, alone=alone)
        why = facts.obstacle
        if first == LOST:
            why = "shared formula whose first cell is missing"
        elif first is not None:
            facts = plan.facts[first]
            if facts.holds:
                plan.unshared[index] = cells.moved_here(source, first, *place)
                facts = reader.facts(plan.unshared[index], *place, plain=True)
            why = facts.obstacle
        if attributes:
            area = AREA.search(attributes)
            if b"dataTable" in attributes:
                why = "data table"
                if area:
                    cells.rectangle(area[1], source.label)  # one that is none is refused here as by `explain`
            elif area and not alone:
                plan.areas[index] = cells.area(area[1], source.label)
                why = why or cut_short(plan.areas[index], facts.for_engine(plain_text(formula), place[0]))
        plan.facts.append(facts)
        if facts.seen and not why:
            text = plain_text(formula) if first is None else cells.moved_here(source, first, *place)
            with_names = reader.facts(text, *place, plain=alone).for_engine(text, place[0])  # names written out
            why = hidden.left_out(with_names, (sheet.name, *place))
        if taken and not why and any(EMPTY_CELL in new for _, _, new in facts.edits):
            why = "an argument is left out, and the last cell of the sheet that stands for it here is filled: clear it"
        if why:
            plan.frozen[index] = why
    return plan


def facts_of(reader: Reader, formula: bytes, place: tuple[int, int], *, alone: bool) -> Facts:
    """What the formula of a cell needs, as the XML has it; `alone`: it is none of an array."""
    if alone and formula:
        return reader.as_written(formula, *place)
    return reader.facts(plain_text(formula), *place) if formula else NO_FACTS


def cut_short(area: tuple[int, int, int, int], formula: str) -> str:
    """Why the engine fills an area otherwise than a spreadsheet: it ends whole columns at the last row filled."""
    areas = (each.text.rpartition("!")[2] for each in tokens(formula) if each.kind == "reference")
    endless = any(":" in each and not (each.upper().isupper() and re.search("[0-9]", each)) for each in areas)
    return ENDLESS if endless and area[:2] != area[2:] else ""


def further_cells(area: tuple[int, int, int, int]) -> list[tuple[int, int]]:
    """The cells of an array without its first."""
    top, left, bottom, right = area
    return [(row, column) for row in range(top, bottom + 1) for column in range(left, right + 1)][1:]


def for_engine(plan: SheetPlan) -> bytes:
    """The sheet's XML as the engine must see it."""
    edits = []
    for index, facts in enumerate(plan.facts):
        if not (facts.edits or index in plan.frozen or index in plan.areas):  # an unshared one has edits
            continue
        cell = plan.source.cells[index]
        if index in plan.frozen:
            edits.append((*cell.span(ELEMENT), b""))
        elif index in plan.unshared:
            ready = facts.for_engine(plan.unshared[index], plan.places[index][0])
            edits.append((*cell.span(ELEMENT), b"<f>%s</f>" % xml_text(ready)))
        elif cell[FORMULA]:
            ready = facts.for_engine(plain_text(cell[FORMULA]), plan.places[index][0])
            edits.append((*cell.span(FORMULA), engine_formula(ready, plan.areas.get(index))))
    arrays = [area for index, area in plan.areas.items() if index not in plan.frozen]
    if covered := {place for area in arrays for place in further_cells(area)}:
        for _, child in cells.plain_cells(plan.source, covered):
            emptied = b"<c%s/>" % TYPE.sub(b"", child[PLAIN_ATTRIBUTES])
            edits.append((child.start(), child.end(), emptied))
    return cells.spliced(plan.source.xml, sorted(edits)) if edits else plan.source.xml


def engine_formula(formula: str, area: tuple[int, int, int, int] | None) -> bytes:
    """A formula for the engine as XML; that of an array is brought to the size of its area."""
    if area:
        top, left, bottom, right = area
        formula = f"{FIT}({formula.removeprefix('=')},{bottom - top + 1},{right - left + 1})"
    return xml_text(formula)
