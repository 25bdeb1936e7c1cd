"""Fittings of a line: a sum of K, or words such as `2x elbow 90; 1x ball valve` by the three-K method."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from operator import add  # one by one: the sum of Python rounds otherwise from 3.12 on
from typing import Any, Self

from xlcalc.core.cells import number
from xlcalc.core.errors import CalcError, OutOfRange, WrongKind
from xlcalc.core.kinds import Kind
from xlcalc.core.tables import Provenance, Row, table
from xlcalc.core.words import digits, leading_number, nearest, plain, shown

THREE_K = "loss of the fittings"
THREE_K_DOUBT = 0.25  # common practice: the figures come from one set of fittings, threads and makes differ
MOST_K, MOST_EACH = 1000.0, 100
_INCH = 0.0254
_ITEM = re.compile(r"^(?:(\d{1,3})\s*x?\s+|(\d{1,3})\s*x\s*)?(.+)$", re.I)


@dataclass(frozen=True, slots=True)
class Fittings:
    """Loss of all fittings of a line: K = k1/Re + ki + ki_kd / (bore in inches)^0.3.

    `said` are the words; `cited` where the figures come from; `doubt` is a fraction of the loss.
    """

    k1: float = 0.0
    ki: float = 0.0
    ki_kd: float = 0.0
    said: str = "0"
    cited: tuple[tuple[str, Provenance], ...] = ()
    doubt: float = 0.0

    def loss(self, reynolds: float, bore: float) -> float:
        """Loss coefficient K on the velocity in the line, for a Reynolds number above 0 and a bore in m."""
        if self.ki_kd:
            return float(self.k1 / reynolds + self.ki + self.ki_kd / (bore / _INCH) ** 0.3)
        return self.k1 / reynolds + self.ki

    @property
    def doubts(self) -> Sequence[str]:
        """The three-K figures, where they are used."""
        return (THREE_K,) if self.doubt else ()

    def lean(self, doubt: str, side: int) -> Self:
        """The same fittings with the loss at one end of its doubt."""
        share = 1.0 + side * self.doubt if doubt == THREE_K else 1.0
        return replace(self, k1=self.k1 * share, ki=self.ki * share, ki_kd=self.ki_kd * share, doubt=0.0)


NO_FITTINGS = Fittings()


def fitting_words() -> dict[str, Row]:
    """Word a person types -> row of the loss table."""
    return {row.text("word"): row for row in table("losses") if row.text("word")}


class FittingsKind(Kind):
    """A sum of K, or fittings in words."""

    def read(self, cell: object) -> Any:
        return fittings_of(cell) if isinstance(cell, str) else _plain_k(number(cell))

    def allows(self) -> str:
        return "a sum of K, or fittings such as 2x elbow 90; 1x ball valve"

    def show(self, value: Any) -> str:
        return str(value.said)

    def good(self) -> list[object]:
        return [0, 2.5, "2,5", "2x elbow 90; 1x tee run; 1x ball valve", "elbow 45", "2 elbow 90 long; exit"]

    def bad(self) -> list[tuple[object, str]]:
        return [(-1, "#NUM!"), (1e308, "#NUM!"), (True, "#VALUE!"), ("3x elbow 91", "#VALUE!"), ("2 kPa", "#VALUE!"),
                ("1x", "#VALUE!"), ("x" * 5000, "#VALUE!"), (float("nan"), "#VALUE!")]  # fmt: skip

    def takes_numbers(self) -> bool:
        return True


@lru_cache(8192)
def fittings_of(text: str) -> Fittings:
    """Fittings that a text names. Raises WrongKind for a word that is not in the table."""
    said = plain(text)
    try:
        found = leading_number(said)
    except CalcError:
        found = None
    if found is not None and not found[1]:
        return _plain_k(found[0])
    items = [_item(piece.strip()) for piece in re.split(r"[;+]|,(?!\d)", said) if piece.strip()]
    if not items:
        raise WrongKind(f"{shown(text)} names no fitting")
    k1, ki, ki_kd = (reduce(add, (each[place] for _, each, _ in items)) for place in range(3))
    three_k = any(row.number("K1") for _, _, row in items)
    doubt = THREE_K_DOUBT if three_k else max(row.provenance.doubt for _, _, row in items)
    cited = {words: row.provenance for words, _, row in items}
    return Fittings(k1, ki, ki_kd, said, tuple(cited.items()), doubt)


def _item(piece: str) -> tuple[str, tuple[float, float, float], Row]:
    """The words, K1, Ki and Ki times Kd of `2x elbow 90`, and its row."""
    known = {word.casefold(): row for word, row in fitting_words().items()}
    found = None if piece.casefold() in known else _ITEM.match(piece)  # "180 bend" is one bend, not 180
    words = found[3].casefold() if found else piece.casefold()
    row = known.get(words) or known.get(words.removesuffix("s"))
    if row is None:
        raise WrongKind(f"{shown(piece)} is not a fitting known here{nearest(words, fitting_words())}")
    count = int(found[1] or found[2] or 1) if found else 1
    if count > MOST_EACH:
        raise OutOfRange(f"{count} of one fitting: at most {MOST_EACH}")
    k1, ki, kd = (row.number(name) or 0.0 for name in ("K1", "Ki", "Kd"))
    return row.text("word"), (count * k1, count * ki, count * ki * kd), row


def _plain_k(given: float) -> Fittings:
    if not 0 <= given <= MOST_K:
        raise OutOfRange(f"a sum of K of {digits(given)}: allowed 0 to {digits(MOST_K)}")
    return Fittings(ki=given, said=digits(given))
