"""Sizes of tubes and nuts, and the rows of the support and torque tables that belong to them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, Self

from xlcalc.core.cells import number
from xlcalc.core.errors import MissingInput, NotInTable, WrongKind
from xlcalc.core.kinds import Kind
from xlcalc.core.quantities import Quantity
from xlcalc.core.steps import cite
from xlcalc.core.tables import Row, table
from xlcalc.core.words import digits, joined, plain, shown
from xlcalc.functions.hose import size_text

LINE_KINDS = ("hose", "steel tube", "aluminium tube")
_A_HAIR = 1e-4  # m: an outside diameter may be typed to a tenth of a millimetre
_OUTSIDE = Quantity("mm", 1, 150)


@dataclass(frozen=True, slots=True)
class Size:
    """A tube or nut size: a dash number, or the outside diameter (m) of its tube."""

    dash: str = ""
    outside: float | None = None

    @property
    def label(self) -> str:
        """As a sentence prints it."""
        return self.dash if self.outside is None else f"{digits(round(self.outside * 1000, 3))} mm"


class SizeKind(Kind):
    """A dash size, as text or typed as a negative number, or an outside diameter of the tube."""

    refuses_later = "#N/A for a size that the table does not have"

    def read(self, cell: object) -> Any:
        if not isinstance(cell, str):
            given = number(cell)
            dash = given < 0 and given == int(given)
            return Size(dash=digits(given)) if dash else Size(outside=_OUTSIDE.read(given))
        text = size_text(plain(cell))
        if text.startswith("-") and text[1:].isdecimal():
            return Size(dash=text)
        if not text[:1].isdecimal() and text[:1] != ".":
            raise WrongKind(f"{shown(cell)} is not a size: {self.allows()}")
        return Size(outside=_OUTSIDE.read(plain(cell)))

    def allows(self) -> str:
        return "a dash size such as -6, or the outside diameter of the tube such as 3/8 in (a number is mm)"

    def show(self, value: Any) -> str:
        return str(value.label)

    def good(self) -> list[object]:
        return [-6, "-6", "\u22126", "\u20136", "3/8 in", "9.525 mm", 9.525]

    def bad(self) -> list[tuple[object, str]]:
        return [
            ("six", "#VALUE!"), ("3/8 kg", "#VALUE!"), (True, "#VALUE!"), (math.nan, "#VALUE!"),
            (-6.5, "#NUM!"), (1e308, "#NUM!"), ("x" * 5000, "#VALUE!"), ("a\x07b", "#VALUE!"),
        ]  # fmt: skip

    def takes_numbers(self) -> bool:
        return True


@dataclass(frozen=True, slots=True)
class TableFigure:
    """Figures of a table, leaned to one end of the doubt of their row by `side`."""

    what: str
    side: int = 0

    @property
    def doubts(self) -> Sequence[str]:
        """The figures of the table."""
        return (self.what,)

    def lean(self, doubt: str, side: int) -> Self:
        """The same table with its figures at the upper (+1) or lower (-1) end of their doubt."""
        return replace(self, side=side if doubt == self.what else self.side)

    def of(self, row: Row, column: str) -> float:
        """The figure of a row in SI. Raises NotInTable where the row has none."""
        figure = row.number(column)
        if figure is None:
            raise NotInTable(f"the table of {self.what} has no figure there: ask the maker of the part")
        return figure * (1.0 + self.side * row.provenance.doubt)


def support_row(line_kind: str, size: Size | None) -> Row:
    """Row of the support table.

    Raises MissingInput where a tube has no size, NotInTable where the table does not have it.
    """
    rows = _supports_of(line_kind)
    if line_kind == "hose":
        return rows[0]
    if size is None:
        raise MissingInput(f"the size of the {line_kind} is missing: give {SizeKind().allows()}")
    return _sized(rows, size, f"{line_kind} supports")


@lru_cache
def _supports_of(line_kind: str) -> list[Row]:
    return [row for row in table("supports") if row.text("line_kind") == line_kind]


def torque_row(size: Size, metal: str) -> Row:
    """Row of the torque table for the swivel nut of a hose end; mixed metals take the aluminium row.

    Raises NotInTable where the table does not have the size.
    """
    wanted = "aluminium" if metal == "mixed" else metal
    rows = [
        row for row in table("torques")
        if row.text("for") == "hose" and row.number("rank") == 1.0 and row.text("metal") == wanted
    ]  # fmt: skip
    return _sized(rows, size, "nut torques")


def tell_second_torque(dash: str, metal: str) -> None:
    """Say what the second source has for the same nut (ANSWER_STEPS)."""
    for row in table("torques"):
        second = row.text("for") == "hose" and row.number("rank") == 2.0 and row.text("size") == dash
        if second and metal in row.text("metal"):
            low, high = (digits(row.number(bound) or 0.0) for bound in ("low", "high"))
            cite(f"A second source has {low} to {high} N m", row.provenance)


def _sized(rows: Sequence[Row], size: Size, what: str) -> Row:
    """The row of a size: by its dash, or by the outside diameter of its tube."""
    for row in rows:
        if size.outside is None and row.text("size") == size.dash:
            return row
        if size.outside is not None and abs(size.outside - tube_outside(row.text("size"))) <= _A_HAIR:
            return row
    dashes = [row.text("size") for row in rows]
    known = joined(f"{dash} ({digits(tube_outside(dash) * 1000)} mm)" for dash in dashes)
    raise NotInTable(f"the table of {what} has no size {size.label}: it has {known}")


def tube_outside(dash: str) -> float:
    """Outside diameter (m) of the tube that a dash size names: sixteenths of an inch (NAVEDTRA 14018)."""
    return int(dash.removeprefix("-")) * 0.0254 / 16.0
