"""One line of the explanation of a cell."""

from typing import NamedTuple

from xlcalc.workbook.calculation.written import Place


class Remark(NamedTuple):
    """A line of an explanation: what part of the explanation it is, its words, how far in it stands, its cell.

    Parts: cell, formula, kept, call, unused, argument, step, why, source, covers, reasons, reason, typed, help,
    user, through.
    """

    part: str
    text: str
    depth: int = 0
    place: Place | None = None
