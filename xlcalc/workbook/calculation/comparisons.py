"""Comparisons, roundings and capitals in a formula, spelled as calls of the functions of `tolerant`.

`A1*3<=B1` becomes `_XLCALC_UP_TO(A1*3,B1)` in the engine's copy, and a sum that is compared becomes calls too. Only
where single values are compared: areas stay as they are, and so does what is the same as plain words or not.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from xlcalc.workbook.calculation.takes import ANSWERS_ONE, OWN
from xlcalc.workbook.calculation.tolerant import ADDING, COMPARING, OF_ONE, ROUNDING
from xlcalc.workbook.formulas import Token

Edit = tuple[int, int, str]
"""Start, end and what stands there instead."""

SIGNS = frozenset("<>=")
EQUALS = frozenset({"=", "<>"})
AS_NUMBER = "0+"  # before a term: the engine makes a number of a text, a date too, or #VALUE!
AS_TEXT = '""&'
OPERANDS = frozenset({"number", "text", "reference", "name", "structured", "error"})
WANTED = re.compile(
    rf"""(?>(?:<>|(?<![<>])=)\s*)(?!"[ -~]*?") | <(?!>) | (?<!<)> | \b(?:{'|'.join(OWN)})\(""",
    re.IGNORECASE | re.VERBOSE,
)
"""What may have to be spelled anew: anything but a formula that compares with plain words only, if at all."""


@dataclass
class Operand:
    """One side of a comparison, as far as it has been read: where it stands, its terms and the signs between them."""

    start: int = -1
    end: int = -1
    words: str | None = None  # a text in quotes that it consists of
    pieces: int = 0
    single: bool = True
    joined: bool = False  # by &
    signs: list[Token] = field(default_factory=list)  # + and - between its terms
    ends: list[int] = field(default_factory=list)  # of the terms before those signs

    def take(self, piece: Token) -> None:
        """Add a piece to it."""
        self.start = piece.start if self.start < 0 else self.start
        self.end = piece.start + len(piece.text)
        self.words = piece.text if not self.pieces and piece.kind == "text" else None
        self.pieces += 1

    @property
    def plain(self) -> bool:
        """True for words that nothing is nearly equal to."""
        return self.words is not None and self.words.isascii()


class Part:
    """What stands between two commas of a bracket, or outside of all brackets; `opener` is what opens it."""

    def __init__(self, opener: Token | None = None) -> None:
        self.opener = opener
        self.calls = opener.text.strip("@(").strip().upper() if opener and opener.kind == "call" else ""
        self.single, self.compares, self.joins = True, False, False  # what stands before its last comma
        self.sums: list[Operand] = []  # in it, also in brackets, that are not spelled yet
        self.starts: list[int] = []  # of what stands before its commas and at its end; -1 for nothing
        self.begin()

    def begin(self) -> None:
        """Start after a bracket or a comma."""
        self.sides = [Operand()]
        self.signs: list[Edit] = []  # of comparison
        self.last: Token | None = None  # the piece before, spaces left out

    def end(self) -> None:
        """Remember at a comma or a closing bracket what stood before it."""
        self.single = self.single and all(side.single for side in self.sides)
        self.compares = self.compares or bool(self.signs)
        self.joins = self.joins or self.sides[0].joined
        self.starts.append(self.sides[0].start)
        self.sums += (side for side in self.sides if side.signs and side.single and not side.joined)

    @property
    def built_in(self) -> bool:
        """True for a call of a built-in with as many single values as it takes: any other is left to the engine."""
        if self.calls not in OWN or self.compares or not self.single or min(self.starts) < 0:
            return False
        return len(self.starts) == (1 if self.calls in OF_ONE else 2) and not (self.joins and self.calls in ROUNDING)


class Comparisons:
    """Reads the pieces of a formula once; `edits` are the changes for the engine.

    `single` says of a name or a reference to a table whether it stands for one cell.
    """

    def __init__(self, pieces: Iterable[Token], single: Callable[[Token], bool]) -> None:
        self._single = single
        self._puts: dict[int, list[str]] = {}
        self._replaced: list[Edit] = []
        self._open = [Part()]
        for piece in pieces:
            if piece.kind != "space":
                self._read(piece)
        self._whole = len(self._open) == 1
        self._finish(self._open[0])

    @property
    def edits(self) -> list[Edit]:
        """The changes, none at the same place as another one; none where a bracket is not closed or not opened."""
        if not self._whole:
            return []
        return [*((at, at, "".join(texts)) for at, texts in self._puts.items()), *self._replaced]

    def _read(self, piece: Token) -> None:
        part = self._open[-1]
        if piece.kind in {"call", "open"}:
            part.sides[-1].take(piece)
            part.last = piece
            self._open.append(Part(piece))
        elif piece.kind == "comma":
            self._finish(part)
            part.begin()
        elif piece.kind == "close":
            self._finish(part)
            self._close(piece)
        elif piece.kind == "sign" and piece.text in SIGNS:
            self._sign(part, piece)
        else:
            self._add(part, part.sides[-1], piece)

    def _close(self, piece: Token) -> None:
        """Go back to what stands round a bracket: an area where one stands in it, unless a function adds it up."""
        part = self._open.pop()
        opener = part.opener
        if opener is None:  # nothing opens this bracket: the engine refuses the formula
            self._open += part, part
            return
        around = self._open[-1]
        side = around.sides[-1]
        side.take(piece)
        around.last = piece
        around.sums += part.sums
        if part.built_in:
            self._replaced.append((opener.start, opener.start + len(opener.text), f"{OWN[part.calls]}("))
            for start in part.starts:
                self._put(start, AS_NUMBER if part.calls in ROUNDING else AS_TEXT)
        if opener.text == "{" or not (part.single or part.calls in ANSWERS_ONE):
            side.single = False

    def _sign(self, part: Part, piece: Token) -> None:
        """A sign of comparison, of which `<=`, `>=` and `<>` have two."""
        if part.signs and part.signs[-1][1] == piece.start:
            start, _, text = part.signs[-1]
            part.signs[-1] = start, piece.start + 1, text + piece.text
        else:
            part.signs.append((piece.start, piece.start + 1, piece.text))
            part.sides.append(Operand())
        part.last = piece

    def _add(self, part: Part, side: Operand, piece: Token) -> None:
        """A piece of a side that is no bracket."""
        follows = part.last is not None and side.pieces > 0 and ends_operand(part.last)
        if piece.kind == "sign" and piece.text in ADDING and follows:
            side.signs.append(piece)
            side.ends.append(side.end)
        elif piece.kind == "sign" and piece.text == "&":
            side.joined = True
        elif self._is_area(piece) or (follows and piece.kind in OPERANDS):
            side.single = False  # two areas beside each other stand for the cells that they share
        side.take(piece)
        part.last = piece

    def _is_area(self, piece: Token) -> bool:
        if piece.kind in {"name", "structured"}:
            return not self._single(piece)
        return piece.kind in {"outside", "loose"} or (piece.kind == "reference" and ":" in piece.text) or (
            piece.kind == "sign" and piece.text in ":#@"
        )

    def _finish(self, part: Part) -> None:
        """Spell the comparison of a part, where it has one of single values."""
        part.end()
        if len(part.signs) != 1 or not all(side.pieces and side.single for side in part.sides):
            return
        start, end, sign = part.signs[0]
        first, second = part.sides
        if sign not in COMPARING or (sign in EQUALS and (first.plain or second.plain)):
            return
        self._put(first.start, f"{COMPARING[sign]}(")
        self._replaced.append((start, end, ","))
        for each in part.sums:
            self._terms(each)
        part.sums.clear()
        self._put(second.end, ")")

    def _terms(self, side: Operand) -> None:
        """Spell the sums and differences of a side, the last one outside."""
        opened = "".join(f"{ADDING[sign.text]}(" for sign in reversed(side.signs))
        self._put(side.start, f"{opened}{AS_NUMBER}")
        for sign, end in zip(side.signs, [*side.ends[1:], side.end], strict=True):
            self._replaced.append((sign.start, sign.start + 1, f",{AS_NUMBER}"))
            self._put(end, ")")

    def _put(self, at: int, text: str) -> None:
        self._puts.setdefault(at, []).append(text)


def ends_operand(piece: Token) -> bool:
    """True for a piece after which `-` takes something away from what stands before it."""
    return piece.kind in OPERANDS or piece.kind == "close" or piece.text in {"%", "#"}
