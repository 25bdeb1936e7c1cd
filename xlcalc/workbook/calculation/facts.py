"""What the recalculation must know of a formula before the engine sees it.

Formulas filled down a column differ only in their row numbers, so each pattern is read once and the
answer is given again for every row. References to tables are spelled as cells; those to the row of the formula
differ in nothing but its number, which is put in last.
"""

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from xlcalc.workbook.calculation.comparisons import WANTED, Comparisons, Edit
from xlcalc.workbook.calculation.hidden_rows import LEAVES_OUT
from xlcalc.workbook.calculation.one_value import LIST, SEVERAL, SINGLE, UNSURE, OneValue
from xlcalc.workbook.calculation.otherwise import judged, otherwise
from xlcalc.workbook.calculation.structured import EVERYWHERE, ROW_HERE, Box, Meaning, Tables, crossing, within
from xlcalc.workbook.file.package import DefinedName
from xlcalc.workbook.file.values import plain_text
from xlcalc.workbook.formulas import (
    DIGITS,
    LINK_NUMBER,
    Token,
    file_name,
    pattern,
    plain_name,
    references,
    spliced,
    tokens,
    unquoted,
)

EMPTY_CELL = "$XFD$1048576"
"""Stands in a left-out argument: the engine would hand that over as zero, an empty cell arrives as blank."""

SEVERAL_VALUES = {"SEQUENCE", "RANDARRAY", "MUNIT", "TEXTSPLIT", "OFFSET", "INDIRECT", "ANCHORARRAY"}
IMPLICIT_INTERSECTION = "SINGLE"
NO_LINKS: Mapping[str, str] = MappingProxyType({})
NOT_NAMES = {"TRUE", "FALSE"}

Fixed = tuple[int, int, str]
"""Text that must stand between two places of a formula for a remembered answer to hold."""

Kept = dict[bytes, list[tuple[tuple[Fixed, ...], "Facts"]]]
"""What was found of each pattern of formula."""


class Facts(NamedTuple):
    """What one pattern of formula needs."""

    ours: frozenset[str]  # those of our functions that it calls, plain
    edits: tuple[Edit, ...]  # changes for the engine: (start, end, new)
    obstacle: str  # why the engine cannot work the cell out; empty when it can
    several: bool  # may answer more than one value
    holds: Box | None = None  # the cells of the sheet for which this is so; None for all of them
    seen: bool = False  # leaves out rows that nobody sees
    always: bool = False  # holds for every formula of the pattern, in any cell

    def for_engine(self, formula: str, row: int) -> str:
        """The formula of a cell on this row as the engine must see it."""
        ready = spliced(formula, self.edits)
        return ready.replace(ROW_HERE, str(row)) if self.holds else ready


class Reader:
    """Reads the formulas of one sheet.

    `ours` are the plain names of our functions, `known` says whether the engine has a function, `names`
    are the defined names of the book, `tables` its tables, `others` the numbers of its links to files that
    are not our add-in, with their names.
    """

    def __init__(
        self,
        sheet: str,
        ours: Container[str],
        known: Callable[[str], bool],
        names: Iterable[DefinedName] = (),
        tables: Tables | None = None,
        others: Mapping[str, str] = NO_LINKS,
    ) -> None:
        self._sheet = sheet
        self._ours = ours
        self._known = known
        self._others = others
        self._tables = tables or Tables()
        self._names = {(name.sheet, name.name.upper()): name.text for name in names}
        self._written: dict[bytes, Facts] = {}
        self._plain: Kept = {}
        self._arrays: Kept = {}
        self._meanings: Kept = {}
        self._following: set[str] = set()
        self._measured: set[str] = set()

    def facts(self, formula: str, row: int, column: int, *, plain: bool = False) -> Facts:
        """What this formula needs in a cell; `plain`: it is that of a single cell, and none of an array."""
        memory = self._plain if plain else self._meanings if self._following else self._arrays
        kept = memory.setdefault(pattern(formula), [])
        for fixed, facts in kept:
            if facts.holds and not within(facts.holds, row, column):
                continue
            for start, end, text in fixed:
                if formula[start:end] != text:
                    break
            else:
                return facts
        pieces = list(tokens(formula))
        found = Finding(row, column, edits=gaps(pieces, self._ours, self._others))
        for piece in pieces:
            self._add(piece, found)
        if WANTED.search(formula) and not self._following:  # a name need not be written out for this
            found.edits += Comparisons(pieces, self._is_single).edits
        written = self._one_value(pieces, found, array=not plain) if found.several else ()
        if found.judged and (why := otherwise(formula)):
            found.stop(why)
        digits = (fixed_part(piece, judged=found.judged, whole=piece in written) for piece in pieces)
        fixed = tuple(filter(None, digits))
        facts = found.facts()
        facts = facts._replace(always=not fixed and facts.holds is None)
        kept.append((fixed, facts))
        return facts

    def as_written(self, raw: bytes, row: int, column: int) -> Facts:
        """As `facts` for the plain formula of a cell, as it stands in the XML: most need not even be decoded."""
        key = raw.translate(DIGITS)
        facts = self._written.get(key)
        if facts is None:
            facts = self.facts(plain_text(raw), row, column, plain=True)
            if facts.always and b"&#" not in raw:  # the number of a character is no digit of the formula
                self._written[key] = facts
        return facts

    def _add(self, piece: Token, found: "Finding") -> None:
        kind, text = piece.kind, piece.text
        if kind == "call":
            self._add_call(piece, found)
        elif kind == "name" and text.upper() not in NOT_NAMES:
            found.several = True
            self._add_name(piece, found)
        elif kind == "structured":
            found.put(piece, self._tables.meaning(text, self._sheet, found.row, found.column), self._sheet)
        elif kind == "outside" or (kind == "reference" and "[" in text):
            found.stop(f"external link {text.rpartition('!')[0] or text}")
        elif kind == "reference" and ":" in text.rpartition("!")[0]:
            found.stop(f"one cell of several sheets {text.rpartition('!')[0]}")
        elif text in {"{", "#", ":"} or (kind == "reference" and ":" in text):
            found.several = True

    def _one_value(self, pieces: list[Token], found: "Finding", *, array: bool) -> Sequence[Token]:
        """Note how areas stand where one value is wanted; the pieces whose very text was written for it."""
        def shape(piece: Token) -> str:
            return self._shape(piece, found.row, found.column)

        one = OneValue(pieces, shape, self._ours, self._others, array=array)
        found.add(one.edits)
        if one.obstacle:
            found.stop(one.obstacle)
        return one.fixed

    def _is_single(self, piece: Token) -> bool:
        """True for a name or a reference to a table that stands for one cell or one value."""
        name = piece.text.rpartition("!")[2].upper()
        return piece.kind != "structured" and name not in self._tables and self._shape(piece, 1, 1) == SINGLE

    def _is_list(self, piece: Token, found: "Finding") -> bool:
        return self._shape(piece, found.row, found.column) == LIST

    def _shape(self, piece: Token, row: int, column: int) -> str:
        """What a name or a reference to a table stands for, as `workbook/calculation/one_value` has it."""
        name = piece.text.rpartition("!")[2].upper()
        if piece.kind == "reference":
            return SEVERAL if ":" in name else SINGLE
        if name in NOT_NAMES:
            return SINGLE
        if piece.kind == "structured" or name in self._tables:
            return SINGLE if self._tables.meaning(piece.text, self._sheet, row, column).single else SEVERAL
        sheet = unquoted(piece.text.rpartition("!")[0]) or self._sheet
        text = self._names.get((sheet, name), self._names.get((None, name)))
        if text is None or name in self._measured:
            return UNSURE
        self._measured.add(name)
        meaning = OneValue(
            tokens(text), lambda each: self._shape(each, row, column), self._ours, self._others, array=True
        )
        self._measured.discard(name)
        return meaning.answer

    def _add_call(self, piece: Token, found: "Finding") -> None:
        name, end = plain_name(piece.text, self._others), piece.start + len(piece.text)
        spelling = piece.text.removesuffix("(").rstrip().removeprefix("@")
        found.several = found.several or name in SEVERAL_VALUES
        found.judged = found.judged or judged(name)
        found.seen = found.seen or name in LEAVES_OUT
        if name in self._ours:
            found.ours.add(name)
            if piece.text.removeprefix("@").upper() != f"{name}(":
                sign = "@" if piece.text.startswith("@") else ""
                found.edits.append((piece.start, end, f"{sign}{name}("))
        elif name == IMPLICIT_INTERSECTION:
            found.edits.append((piece.start, end, "@("))
        elif "!" in name:
            found.stop(f"the function {self._elsewhere(spelling)}, which is none of xlcalc")
        elif not self._known(spelling.upper()):
            found.stop(f"unknown function {name}")

    def _elsewhere(self, spelling: str) -> str:
        """`MARK_UP of prices.xlam` for a function of another file, also where only its number stands there."""
        place, _, name = spelling.rpartition("!")
        link = LINK_NUMBER.fullmatch(place)
        where = self._others.get(link[1], "this book's macros") if link else file_name(unquoted(place))
        return f"{name} of {where}"

    def _add_name(self, piece: Token, found: "Finding") -> None:
        """Look a name up; write it out where the engine would not follow it.

        The engine knows a name that stands for an area, but neither `Sheet!Name` nor one that calls our functions,
        SUBTOTAL or AGGREGATE, nor one that reckons with areas: those are written out, if they stand for the same
        cells everywhere.
        """
        before, _, bare = piece.text.rpartition("!")
        name = bare.upper()
        if "[" in before:
            found.stop(f"external link {before}")
        elif name in self._tables:
            found.put(piece, self._tables.meaning(bare, self._sheet, found.row, found.column), self._sheet)
        else:
            sheet = unquoted(before) or self._sheet
            text = self._names.get((sheet, name), self._names.get((None, name)))
            if text is not None and name not in self._following:
                self._following.add(name)
                meaning = self.facts(text, found.row, found.column)
                self._following.discard(name)
                found.take_over(meaning, bare)
                if before or meaning.ours or meaning.edits or meaning.seen or self._is_list(piece, found):
                    if not stands_still(text):
                        found.stop(f"the name {bare}, which stands for another cell in each place")
                    written_out = f"({spliced(text, meaning.edits)})"
                    found.edits.append((piece.start, piece.start + len(piece.text), written_out))


class Finding:
    """The facts of a pattern while it is being read, in a cell on this row and column."""

    def __init__(self, row: int, column: int, edits: list[Edit]) -> None:
        self.row, self.column = row, column
        self.holds = EVERYWHERE
        self.ours: set[str] = set()
        self.edits = edits
        self.obstacle = ""
        self.several = self.judged = self.seen = False

    def add(self, edits: Iterable[Edit]) -> None:
        """Add changes; what is replaced already stays so, what is put in comes behind what was."""
        replaced = {each[:2] for each in self.edits if each[0] < each[1]}
        self.edits += (each for each in edits if each[:2] not in replaced)

    def stop(self, words: str) -> None:
        """Note why the engine cannot work the cell out; the first reason stays."""
        self.obstacle = self.obstacle or words

    def put(self, piece: Token, meaning: Meaning, sheet: str) -> None:
        """Write cells in place of a reference to a table, or note why that cannot be done."""
        if meaning.why and not meaning.error:
            self.stop(meaning.why)
        else:
            self.edits.append((piece.start, piece.start + len(piece.text), meaning.written(sheet)))
        self.holds = crossing(self.holds, meaning.holds)
        self.several = self.several or not meaning.single

    def take_over(self, meaning: Facts, name: str) -> None:
        """Add what the formula behind a name needs."""
        self.ours |= meaning.ours
        self.seen = self.seen or meaning.seen
        self.holds = crossing(self.holds, meaning.holds or EVERYWHERE)
        if meaning.obstacle:
            self.stop(f"{meaning.obstacle} in the name {name}")

    def facts(self) -> Facts:
        """The facts, complete."""
        edits = tuple(sorted(self.edits, key=lambda edit: edit[:2]))
        holds = None if self.holds == EVERYWHERE else self.holds
        return Facts(frozenset(self.ours), edits, self.obstacle, self.several, holds, self.seen)


def fixed_part(piece: Token, *, judged: bool, whole: bool) -> Fixed | None:
    """The part of a piece whose digits tell one pattern from another; None where they do not matter.

    `judged`: texts and numbers do matter, to a function that is judged by what is written into its call; `whole`: the
    digits of an area do, since it was written into the changes.
    """
    text = piece.text
    if whole:
        pass
    elif piece.kind == "reference":
        text = text.rpartition("!")[0] if "[" in text else ""
    elif judged and piece.kind in {"text", "number"}:
        pass
    elif piece.kind not in {"call", "name", "structured", "outside"}:
        return None
    return (piece.start, piece.start + len(text), text) if any(map(str.isdigit, text)) else None


def stands_still(formula: str) -> bool:
    """True when every area in the formula names its sheet and does not move with the cell."""
    return all(area.sheet is not None and area.text.count("$") >= 2 for area in references(formula))


def gaps(pieces: list[Token], ours: Container[str], others: Container[str]) -> list[Edit]:
    """Where an argument of one of our functions is left out: `F(a,,c)`, `F(a,)`, `F(,b)`."""
    edits: list[Edit] = []
    still_open: list[bool] = []
    last = Token("", "", 0)  # the piece before this one, spaces left out
    for piece in pieces:
        closes = piece.kind == "close"
        if still_open and still_open[-1] and (closes or piece.kind == "comma"):
            nothing = last.kind == "comma" or (last.kind == "call" and not closes)
            if nothing:
                edits.append((piece.start, piece.start, EMPTY_CELL))
        if closes and still_open:
            still_open.pop()
        elif piece.kind in {"call", "open"}:
            still_open.append(piece.kind == "call" and plain_name(piece.text, others) in ours)
        if piece.kind != "space":
            last = piece
    return edits
