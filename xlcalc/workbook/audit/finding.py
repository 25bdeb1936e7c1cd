"""A finding of the audit: where, what is there, what was expected, why it matters, how to mend it, how sure."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import IntEnum

from xlcalc.core.words import plural
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import address, column_letters


class Sure(IntEnum):
    """How sure a finding is; `CERTAIN` was worked out or stands in the file, `LIKELY` and `POSSIBLE` are inferred."""

    CERTAIN = 1
    LIKELY = 2
    POSSIBLE = 3

    @property
    def word(self) -> str:
        """`certain`, `likely` or `possible`."""
        return self.name.lower()


class Weight(IntEnum):
    """What a finding may do: a number or verdict is wrong now, it may go wrong unseen, or it is good to know."""

    WRONG = 1
    WEAK = 2
    NOTE = 3


@dataclass(frozen=True)
class Finding:
    """One fault, in as many cells as it runs through.

    `rule` names what was looked for, with dashes. `cells` are the places it concerns, the first one first;
    where it concerns none, `where` says in words what it concerns. The four texts are whole phrases without a
    full stop at the end. `fault` is what findings of one and the same fault share where their texts differ.
    """

    rule: str
    cells: tuple[Place, ...]
    there: str
    expected: str
    why: str
    mend: str
    sure: Sure
    weight: Weight
    where: str = ""
    fault: str = ""

    @property
    def place(self) -> str:
        """`Lines!Z8:Z12`, `Lines!Z8 and 3 more cells`, or the words of a finding without a cell."""
        return places(self.cells) if self.cells else self.where

    def joined(self, others: "tuple[Finding, ...]") -> "Finding":
        """This finding with the cells of others that say the same of further cells."""
        return replace(self, cells=(*self.cells, *(cell for other in others for cell in other.cells)))


def places(cells: Sequence[Place]) -> str:
    """`Lines!Z8:Z12`, or `Lines!Z8 and 3 more cells` where they do not stand one below the other; at least one cell."""
    first, count = address(*cells[0]), len(cells)
    sheet, row, column = cells[0]
    if count == 1:
        return first
    if list(cells) == [(sheet, row + down, column) for down in range(count)]:
        return f"{first}:{column_letters(column)}{row + count - 1}"
    return f"{first} and {plural(count - 1, 'more cell')}"
