"""What is declared of a worksheet function: its arguments, its answer, its example, where it comes from."""

import inspect
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from xlcalc.core.kinds import Kind
from xlcalc.core.quantities import Angle, Difference, Number, Percent, Quantity, Temperature, Vacuum
from xlcalc.core.units import Unit, unit
from xlcalc.core.words import digits

_FLAVOUR_KINDS: dict[str, type[Quantity]] = {
    "degC": Temperature,
    "K": Difference,
    "deg": Angle,
    "kPa vac": Vacuum,
}


@dataclass(frozen=True)
class Arg:
    """One argument: label, kind (or the workshop unit of a quantity with its span), default.

    `low` and `high` are in the workshop unit, `limit` is the source id that the span rests on. An argument
    without `default` is required; the default is written as a cell would hold it.
    """

    label: str
    kind: Kind | str
    low: float = 0.0
    high: float = 0.0
    limit: str = "WORKSHOP"
    default: Any = None
    help: str = ""
    name: str = ""

    @cached_property
    def reader(self) -> Kind:
        """The kind that reads this argument's cell."""
        if isinstance(self.kind, Kind):
            return self.kind
        if self.kind == "%":
            return Percent(self.low, self.high, self.limit)
        if self.kind == "1":
            return Number(self.low, self.high, self.limit)
        return _FLAVOUR_KINDS.get(self.kind, Quantity)(self.kind, self.low, self.high, self.limit)

    @property
    def required(self) -> bool:
        """True where a blank cell is an error."""
        return self.default is None

    @property
    def lacking(self) -> str:
        """What is said where a cell is needed and blank."""
        return f"{self.label} is missing: give {self.reader.allows()}"

    @cached_property
    def default_value(self) -> Any:
        """The default as read, in SI."""
        return None if self.default in (None, "") else self.reader.read(self.default)

    @property
    def unit(self) -> str:
        """The workshop unit, or an empty text."""
        return self.reader.unit_text if isinstance(self.reader, Quantity) else ""

    @cached_property
    def description(self) -> str:
        """One sentence for argument help, at most 255 characters."""
        default = "" if self.required else f" Left out: {self.default}." if self.default != "" else " May be left out."
        return f"{self.label}{': ' + self.help if self.help else ''}. Takes {self.reader.allows()}.{default}"


@dataclass(frozen=True)
class Answer:
    """What a function answers: a quantity in a workshop unit, or words where there is no unit."""

    label: str
    unit_text: str = ""

    @cached_property
    def unit(self) -> Unit:
        """The unit in which the answer comes when none is asked for."""
        return unit(self.unit_text or "1")

    def format(self, value: object, asked: Unit | None = None) -> str:
        """An answer as a sentence prints it: four significant digits with unit, or the words."""
        if not isinstance(value, int | float):
            return str(value)
        short = value if isinstance(value, int) else float(f"{value:.4g}")
        return f"{digits(short)} {(asked or self.unit).printed}".strip()


@dataclass(frozen=True)
class Example:
    """A call as a person would type it, and what it shows, to the digits printed."""

    cells: tuple[Any, ...]
    shows: str
    source: str

    def formula(self, name: str) -> str:
        """`NAME("30 US gpm", 5)`, a range as an array constant."""
        return formula_text(name, self.cells)


def example(*cells: Any, shows: str, source: str = "") -> Example:
    """An example of a declaration: cells, what it shows, and who printed that (empty: worked by hand)."""
    return Example(cells, shows, source)


def formula_text(name: str, cells: Sequence[Any]) -> str:
    """A call as a person would type it: `NAME("30 US gpm", 5)`, a range as an array constant."""
    return f"{name}({', '.join(_literal(cell) for cell in cells)})"


def _literal(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, list):
        return "{" + ";".join(",".join(_literal(each) or '""' for each in row) for row in cell) + "}"
    if isinstance(cell, str):
        return '"' + cell.replace('"', '""') + '"'
    return str(int(cell)) if cell == int(cell) and abs(cell) < 1e15 else repr(cell)


@dataclass(frozen=True)
class Declaration:
    """A worksheet function with everything that is known of it.

    `about` functions take the name of another function and its cells, as they stand.
    """

    name: str
    family: str
    function: Callable[..., Any]
    args: tuple[Arg, ...]
    answer: Answer
    sources: tuple[str, ...]
    example: Example
    cautions: tuple[str, ...]
    about: bool
    method: Mapping[str, Any] = field(default_factory=dict)
    has_unit: bool = False
    not_with: Mapping[str, str] = field(default_factory=dict)
    """Kinds of fluid that its method does not hold for, each with the reason; part of Not for that can be looked up."""

    @cached_property
    def summary(self) -> str:
        """First sentence of the docstring: what it answers."""
        return self._part("")

    @cached_property
    def relation(self) -> str:
        """The Method part of the docstring."""
        return self._part("Method")

    @cached_property
    def not_for(self) -> str:
        """Where the function misleads."""
        return self._part("Not for")

    @cached_property
    def no_answer(self) -> str:
        """What the relation refuses, each with its error value; empty where only the kinds of its arguments do."""
        return self._part("No answer")

    def _part(self, heading: str) -> str:
        parts = re.split(r"\n\s*\n|\n(?=[A-Z][a-z ]+: )", inspect.cleandoc(self.function.__doc__ or ""))
        texts = [" ".join(part.split()) for part in parts]
        if not heading:
            return texts[0]
        found = [text for text in texts if text.startswith(f"{heading}: ")]
        return found[0].partition(": ")[2] if found else ""

    @cached_property
    def slots(self) -> tuple[tuple[Arg, Callable[[Any], Any], Any, dict[Any, Any], bool], ...]:
        """For each argument: itself, what reads its cell, its default in SI, the texts read before, and
        whether it counts as an input (a unit alone does not)."""
        return tuple((arg, arg.reader.read, arg.default_value, {}, arg.name != "unit") for arg in self.args)

    @cached_property
    def left_out(self) -> tuple[tuple[tuple[Any, ...], Arg | None], ...]:
        """For each number of cells given: the defaults of the arguments behind them, and the first of those that is
        required."""
        behind = [self.args[count:] for count in range(len(self.args) + 1)]
        return tuple(
            (tuple(arg.default_value for arg in args), next((arg for arg in args if arg.required), None))
            for args in behind
        )

    @cached_property
    def factor(self) -> float:
        """Size of the answer's workshop unit in SI."""
        return self.answer.unit.factor

    @cached_property
    def offset(self) -> float:
        """Zero of the answer's workshop unit in SI."""
        return self.answer.unit.offset

    @property
    def signature(self) -> str:
        """`NAME(flow, bore, [unit])`."""
        names = [arg.name if arg.required else f"[{arg.name}]" for arg in self.args]
        return f"{self.name}({', '.join(names)})"

    @property
    def workshop_args(self) -> tuple[Arg, ...]:
        """The arguments without `unit`."""
        return self.args[:-1] if self.has_unit else self.args


def shown_as(got: object, like: str) -> str:
    """An answer printed to the digits of `like`."""
    if isinstance(got, bool) or not isinstance(got, int | float):
        return str(got)
    places = len(like.partition(".")[2])
    return f"{got:.{places}f}"
