"""The copy of a workbook that the engine sees: same cells, with what the engine would misread put right.

Only the copy is changed, in memory. What the engine cannot work out loses its formula there, so that the
cached value acts as a constant, and is reported.
"""

import re
from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass, field

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.cells import (
    ELEMENT,
    FORMULA,
    FORMULA_ATTRIBUTES,
    PLAIN_VALUE,
    Cell,
    SheetCells,
    formula_cells,
    places,
    plain_cells,
    spliced,
)
from xlcalc.workbook.facts import Facts, Reader
from xlcalc.workbook.formulas import corners
from xlcalc.workbook.package import Package
from xlcalc.workbook.values import plain_text, xml_text

KIND = re.compile(rb"""\bt=["'](\w+)["']""")
GROUP = re.compile(rb"""\bsi=["'](\d+)["']""")
AREA = re.compile(rb"""\bref=["']([A-Za-z0-9:$]+)["']""")
LARGEST_ARRAY = 1_000_000  # cells

Place = tuple[int, int]
Formulas = Mapping[Place, str]


@dataclass
class PreparedSheet:
    """One sheet's formula cells and what becomes of them.

    `areas` are the array formulas by their first cell: bottom row and right column. `frozen` says why a cell
    keeps its cached value. `groups` are the further cells of each shared formula by its first cell.
    """

    name: str
    part: str
    cells: SheetCells
    where: list[Place]
    areas: dict[Place, Place] = field(default_factory=dict)
    frozen: dict[Place, str] = field(default_factory=dict)
    groups: dict[Place, list[Place]] = field(default_factory=dict)
    plain: set[Place] = field(default_factory=set)
    written: set[str] = field(default_factory=set)
    edits: list[tuple[int, int, bytes]] = field(default_factory=list)


class Preparation:
    """Prepares the sheets of a package.

    `freeze` are cells that must keep their cached value with the reason, `narrow` those that must give one
    value, `explicit` formulas that replace what stands in the file.
    """

    def __init__(self, package: Package, ours: Container[str], known: Callable[[str], bool]) -> None:
        self._package, self._ours, self._known = package, ours, known
        self._names = package.defined_names()
        self._tables = [table.name for table in package.tables()]
        self.freeze: dict[str, dict[Place, str]] = {}
        self.narrow: dict[str, set[Place]] = {}
        self.explicit: dict[str, dict[Place, str]] = {}

    def sheets(self) -> list[PreparedSheet]:
        """The sheets that have formulas, prepared. Raises FileRefused for XML that cannot be edited."""
        found = []
        for sheet in self._package.worksheets():
            label = f"{self._package.path.name}, sheet {sheet.name}"
            cells = formula_cells(self._package.read(sheet.part), label)
            if cells is not None:
                made = PreparedSheet(sheet.name, sheet.part, cells, places(cells))
                reader = Reader(sheet.name, self._ours, self._known, self._names, self._tables)
                _prepare(made, reader, self)
                found.append(made)
        return found

    def copy(self, sheets: list[PreparedSheet]) -> bytes:
        """The workbook that the engine sees."""
        return self._package.edited({made.part: spliced(made.cells.xml, sorted(made.edits)) for made in sheets})


def _prepare(made: PreparedSheet, reader: Reader, wanted: Preparation) -> None:
    freeze = wanted.freeze.get(made.name, {})
    narrow = wanted.narrow.get(made.name, set())
    explicit = wanted.explicit.get(made.name, {})
    shared: dict[bytes, tuple[Place, Facts]] = {}
    for cell, place in zip(made.cells.cells, made.where, strict=True):
        attributes = cell[FORMULA_ATTRIBUTES] or b""
        found = KIND.search(attributes) if b"t=" in attributes else None
        kind = found[1] if found else b"normal"
        reason, facts, text = _read(cell, kind, attributes, place, made, reader, shared)
        reason = freeze.get(place, reason)
        if reason:
            made.frozen[place] = reason
            made.edits.append((cell.start(ELEMENT), cell.end(ELEMENT), b""))
            continue
        made.written |= facts.calls if facts else set()
        if place in explicit:
            made.edits.append((cell.start(ELEMENT), cell.end(ELEMENT), b"<f>%s</f>" % xml_text(explicit[place])))
        elif facts is not None and cell[FORMULA]:
            one_value = kind != b"array" and (facts.several or place in narrow)
            if facts.edits or one_value:
                text = f"@({facts.for_engine(text)})" if one_value else facts.for_engine(text)
                made.edits.append(
                    (cell.start(ELEMENT), cell.end(ELEMENT), b"<f%s>%s</f>" % (attributes, xml_text(text)))
                )
            if not one_value:
                made.plain.add(place)
    _empty_array_children(made)


def _read(
    cell: Cell,
    kind: bytes,
    attributes: bytes,
    place: Place,
    made: PreparedSheet,
    reader: Reader,
    shared: dict[bytes, tuple[Place, Facts]],
) -> tuple[str, Facts | None, str]:
    """Why a cell must keep its value (empty where it need not), the facts of its formula, and its text."""
    if kind == b"dataTable":
        return "part of a data table", None, ""
    text = plain_text(cell[FORMULA] or b"").strip()
    if kind == b"shared" and not text:
        group = GROUP.search(attributes)
        master = shared.get(group[1]) if group else None
        if master is None:
            return "shared formula whose first cell is missing", None, ""
        made.groups.setdefault(master[0], []).append(place)
        return master[1].obstacle, master[1], ""
    facts = reader.facts(text)
    if kind == b"shared" and (group := GROUP.search(attributes)):
        shared[group[1]] = (place, facts)
    if kind == b"array":
        _note_area(made, attributes, place)
    return facts.obstacle, facts, text


def _note_area(made: PreparedSheet, attributes: bytes, place: Place) -> None:
    found = AREA.search(attributes)
    top, left, bottom, right = corners(found[1].decode()) if found else (*place, *place)
    if (top, left) != place or (bottom - top + 1) * (right - left + 1) > LARGEST_ARRAY:
        raise FileRefused(f"{made.cells.label}: an array formula covers an area that does not begin at its own cell.")
    made.areas[place] = (bottom, right)


def _empty_array_children(made: PreparedSheet) -> None:
    """Take the cached values out of the further cells of arrays: they would block the answer (#SPILL!)."""
    inside = {
        (row, column)
        for (top, left), (bottom, right) in made.areas.items()
        if (top, left) not in made.frozen
        for row in range(top, bottom + 1)
        for column in range(left, right + 1)
    }
    if len(inside) <= len(made.areas):
        return
    formulas = set(made.where)
    for cell in plain_cells(made.cells, inside - formulas):
        if cell[PLAIN_VALUE]:
            made.edits.append((cell.start(PLAIN_VALUE), cell.end(PLAIN_VALUE), b""))
