"""Areas where a formula wants one value, spelled so that the engine takes them as a spreadsheet does.

In a plain formula such an area stands for the cell of it in the row or column of the formula: `A1:A9*2` becomes
`@(A1:A9)*2` in the engine's copy. In an array formula, in SUMPRODUCT and its like, and for `{1,2}`, the function is
worked out for one cell after the other: `ROUND(A1:A9,1)` becomes `_XLCALC_EACH("ROUND",A1:A9,1)`. The engine would
take the first cell without a word, or answer #VALUE!.
"""

import re
from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass, field

from xlcalc.workbook.calculation.comparisons import AS_NUMBER, AS_TEXT, OPERANDS, Edit
from xlcalc.workbook.calculation.products import PRODUCTS, SUMPRODUCT, WHOLE_PRODUCTS
from xlcalc.workbook.calculation.takes import (
    ARRAY,
    GIVES_ARRAY,
    GONE_THROUGH,
    MAY_GIVE_AREA,
    ONE,
    OWN,
    PASSED_ON,
    SINGLES,
    TAKES,
    TOLD_APART,
    Taken,
)
from xlcalc.workbook.calculation.tolerant import LAST, OF_ONE, SPELLING
from xlcalc.workbook.formulas import Token, plain_name

SINGLE, SEVERAL, UNSURE, LIST = "single", "several", "unsure", "list"
"""What a name or a reference stands for: one value, an area, nobody can tell, or values that no row can be taken of."""

EACH = "_XLCALC_EACH"
"""Called in the engine only: works a built-in out for one cell after the other; its name comes first."""

WHOLE = re.compile(r"(?:^|!)(?:\$?[A-Za-z]+:\$?[A-Za-z]+|\$?[0-9]+:\$?[0-9]+)$")
"""An area of whole columns or rows."""

ONLY_THERE, EACH_CELL = "which only a spreadsheet works out", " of each cell of an area"
OPERATORS, COMPARING_SIGNS = frozenset("+-*/^&<>=%"), frozenset("<>=")
WHOLE_PLACES = {"ROW": "ROWS(", "COLUMN": "1,COLUMNS("}
"""Functions of a place, and what counts the places of an area."""

AS_IT_COMES, HANDED_ON = Taken("A*"), Taken("P*")


@dataclass
class Piece:
    """What stands between two commas, as far as it has been read."""

    start: int = -1
    areas: list[Token] = field(default_factory=list)  # that may stand for one of their cells
    several: bool = False  # values of which no row can be taken
    unsure: bool = False
    odd: bool = False  # an area made by `:`, a blank, `#` or `@`
    works: bool = False  # has an operator
    compares: bool = False
    joins: bool = False
    looks: bool = False  # at a cell
    count: int = 0
    last: Token | None = None


@dataclass
class Around:
    """A call or a bracket that is still open; `array`: what stands in it is worked out for whole areas."""

    opener: Token | None
    name: str
    takes: Taken
    array: bool
    piece: Piece = field(default_factory=Piece)
    pieces: list[Piece] = field(default_factory=list)
    handed: Piece = field(default_factory=Piece)  # what IF, CHOOSE and plain brackets hand on
    several: bool = False  # an argument that should be one value has several
    unsure: bool = False
    narrowed: bool = False  # an area stands for one of its cells

    @property
    def wants(self) -> str:
        """What is taken at the place that is being read."""
        return self.takes.at(len(self.pieces))


class OneValue:
    """Reads the pieces of a formula once.

    `shape` says what a name or reference stands for, `ours` and `others` are as for `plain_name`; `array` says that
    the formula is one of an array, or the meaning of a name. `edits` are the changes for the engine, `fixed` the
    pieces whose very text stands in them, `obstacle` says why the engine cannot work the formula out, `answer` is
    what the whole of it stands for.
    """

    def __init__(
        self, pieces: Iterable[Token], shape: Callable[[Token], str], ours: Container[str], others: Container[str],
        *, array: bool,
    ) -> None:  # fmt: skip
        self.edits: list[Edit] = []
        self.fixed: list[Token] = []
        self.obstacle = ""
        self.answer = UNSURE
        self._shape, self._ours, self._others = shape, ours, others
        self._open = [Around(None, "", SINGLES, array)]
        for each in pieces:
            if each.kind != "space" and self._open:
                self._read(each)
        if len(self._open) == 1:
            self._close_formula()
        else:  # a bracket too many or too few: the engine refuses it
            self.edits.clear()

    def _close_formula(self) -> None:
        around = self._open[0]
        piece = around.piece
        if piece.odd or piece.unsure or around.pieces:
            self.answer = UNSURE
        elif piece.several or (piece.areas and piece.works and around.array):
            self.answer = LIST
        else:
            self.answer = SEVERAL if piece.areas else SINGLE
        self._finish(around)

    def _read(self, each: Token) -> None:
        around = self._open[-1]
        if each.kind in {"call", "open"}:
            self._begin(around.piece, each)
            self._open.append(self._opened(around, each))
        elif each.kind == "comma":
            self._finish(around)
        elif each.kind == "close":
            self._close(each)
        else:
            self._begin(around.piece, each)
            self._add(around.piece, each)

    def _opened(self, around: Around, opener: Token) -> Around:
        array = around.array or around.wants == ARRAY
        if opener.kind == "open":
            return Around(opener, opener.text, HANDED_ON, array)
        name = plain_name(opener.text, self._others)
        takes = AS_IT_COMES if name in self._ours else TAKES.get(name, SINGLES)
        return Around(opener, name, takes, array)

    @staticmethod
    def _begin(piece: Piece, each: Token) -> None:
        """A piece of a formula begins or goes on; two operands beside each other stand for the cells they share."""
        piece.start = each.start if piece.start < 0 else piece.start
        piece.count += 1
        starts = each.kind in OPERANDS or each.kind in {"call", "open"}
        piece.odd = piece.odd or (starts and piece.last is not None and ends(piece.last))
        piece.last = each

    def _add(self, piece: Piece, each: Token) -> None:
        if each.kind == "sign":
            piece.odd = piece.odd or each.text in {":", "#", "@"}
            piece.works = piece.works or each.text in OPERATORS
            piece.compares = piece.compares or each.text in COMPARING_SIGNS
            piece.joins = piece.joins or each.text == "&"
        elif each.kind in {"outside", "loose"}:
            piece.odd = True
        elif each.kind in {"reference", "name", "structured"}:
            piece.looks = True
            shape = self._shape(each)
            if shape == SEVERAL:
                piece.areas.append(each)
            piece.several = piece.several or shape == LIST
            piece.unsure = piece.unsure or shape == UNSURE

    def _finish(self, around: Around) -> None:
        """At a comma or the end: areas where one value is wanted are narrowed, or gone through."""
        piece, wants = around.piece, around.wants
        if piece.odd:
            piece.areas, piece.unsure = [], True
        elif piece.works or wants == ONE:
            if around.array or wants == ARRAY:
                piece.several = piece.several or bool(piece.areas)
            else:
                if piece.several and piece.areas and not piece.works:
                    self._stop("an area beside a list of values")
                around.narrowed = around.narrowed or bool(piece.areas)
                for each in piece.areas:
                    self.edits += (each.start, each.start, "@("), (after(each), after(each), ")")
            piece.areas = []
        if wants == ONE:
            around.several, around.unsure = around.several or piece.several, around.unsure or piece.unsure
        elif wants == PASSED_ON:
            hand_on(piece, around.handed)
        around.pieces.append(piece)
        around.piece = Piece()

    def _close(self, closes: Token) -> None:
        around = self._open[-1]
        self._finish(around)
        self._open.pop()
        if not self._open:  # nothing opens this bracket
            return
        to = self._open[-1].piece
        to.last = closes
        if around.name == "{":
            to.several = True
        elif around.name == "(":
            to.odd = to.odd or len(around.pieces) > 1  # areas joined by a comma
            hand_on(around.handed, to)
        else:
            self._close_call(around, to, closes)

    def _close_call(self, around: Around, to: Piece, closes: Token) -> None:
        name = around.name
        if around.narrowed and around.several:
            self._stop(f"{name} of an area and a list of values")
        if name == SUMPRODUCT and around.opener:
            self._products(around.opener, around.pieces)
        if name in LAST and around.opener and not around.several and seeks_last(around.pieces):
            self._last(around.opener, name, around.pieces)
        if name in WHOLE_PLACES:
            self._places(around, to, closes)
        elif around.several or (around.unsure and around.array):
            self._one_by_one(around)
            hand_on(around.handed, to)
            to.several, to.unsure = to.several or around.several, to.unsure or not around.several
        else:
            hand_on(around.handed, to)
            to.several = to.several or name in GIVES_ARRAY
            to.unsure = to.unsure or name in MAY_GIVE_AREA or name in self._ours

    def _one_by_one(self, around: Around) -> None:
        name, opener = around.name, around.opener
        if name in GONE_THROUGH or opener is None:
            return
        if name in TOLD_APART:
            if around.several:
                self._stop(f"{name}{EACH_CELL}")
            return
        if name in OWN and len(around.pieces) == (1 if name in OF_ONE else 2):  # else the engine's own refuses it
            new = f"{OWN[name]}("
            plain = (each for each in around.pieces if not (each.compares or each.joins) and each.start >= 0)
            self.edits += ((each.start, each.start, AS_TEXT if name in SPELLING else AS_NUMBER) for each in plain)
        else:
            new = f'{EACH}("{name}",'
        self.edits.append((opener.start, after(opener), new))

    def _last(self, opener: Token, name: str, pieces: Sequence[Piece]) -> None:
        """Spell a LOOKUP, or a MATCH with 1 or nothing as its third argument, which must then stay what it is."""
        if name == "MATCH" and len(pieces) == 3:
            kind = pieces[2].last
            if pieces[2].count > 1 or kind is None:
                return
            self.fixed.append(kind)
            if kind.text != "1":
                return
        self.edits.append((opener.start, after(opener), f"{LAST[name]}("))

    def _products(self, opener: Token, pieces: Sequence[Piece]) -> None:
        """A SUMPRODUCT of anything but one value or one thing that is reckoned out, for which the engine's own does."""
        first = pieces[0]
        reckoned = first.works and not first.compares and not first.joins
        if len(pieces) > 1 or ((first.areas or first.several or first.unsure) and not reckoned):
            whole = any(WHOLE.search(each.text) for piece in pieces for each in piece.areas)
            self.edits.append((opener.start, after(opener), f"{WHOLE_PRODUCTS if whole else PRODUCTS}("))

    def _places(self, around: Around, to: Piece, closes: Token) -> None:
        """ROW or COLUMN of an area: of each of its cells in an array, else of the first."""
        argument = around.pieces[0]
        if not (argument.areas or argument.several or argument.unsure) or around.opener is None:
            return
        if not around.array:
            if len(self._open) > 1:  # spreadsheets differ about it inside another call
                self._stop(f"{around.name}{EACH_CELL}")
            return
        to.several = True
        if argument.count > 1 or not argument.areas or argument.areas[0].kind != "reference":
            self._stop(f"{around.name}{EACH_CELL}")
            return
        area = argument.areas[0]
        count = f"(SEQUENCE({WHOLE_PLACES[around.name]}{area.text}))-1+{around.name}("
        self.edits += (around.opener.start, after(around.opener), count), (after(closes), after(closes), ")")
        self.fixed.append(area)

    def _stop(self, words: str) -> None:
        self.obstacle = self.obstacle or f"{words}, {ONLY_THERE}"


def seeks_last(pieces: Sequence[Piece]) -> bool:
    """True for the arguments of a LOOKUP or MATCH that may stand for the last fitting row, sorted or not.

    It searches what is worked out, or wants what no cell says, such as 9.99E+307: there the engine, which trusts that
    all is sorted, finds another row than a spreadsheet.
    """
    if len(pieces) not in {2, 3} or min(each.start for each in pieces) < 0:
        return False
    return pieces[1].works or pieces[1].several or not pieces[0].looks


def hand_on(piece: Piece, to: Piece) -> None:
    """Add what a bracket stands for to the piece that it is part of."""
    to.areas += piece.areas
    to.several, to.unsure = to.several or piece.several, to.unsure or piece.unsure


def ends(piece: Token) -> bool:
    """True for a piece that another operand cannot follow without standing for the cells that both share."""
    return piece.kind in OPERANDS or piece.kind == "close"


def after(piece: Token) -> int:
    """Where the text after a piece starts."""
    return piece.start + len(piece.text)
