"""The declaration of a worksheet function. Everything else is generated from it, nothing is declared twice."""

import inspect
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib import import_module
from types import MappingProxyType
from typing import Any, TypeVar

from xlcalc.core.errors import LONGEST_SENTENCE, DeclarationError
from xlcalc.core.kinds import (
    Angle,
    Difference,
    Kind,
    Number,
    Percent,
    Quantity,
    Temperature,
    UnitName,
    Vacuum,
    digits,
)
from xlcalc.core.tables import sources
from xlcalc.core.units import Unit, unit
from xlcalc.core.words import nearest

F = TypeVar("F", bound=Callable[..., Any])
FAMILIES: Mapping[str, tuple[str, ...]] = {
    "flow": ("flow", "line", "suction", "conversion"),
    "properties": ("properties",),
    "hoses": ("hoses",),
    "routing": ("routing",),
    "breathers": ("breathers",),
    "vacuum": ("vacuum",),
    "cooling": ("cooling",),
    "testing": ("testing",),
    "about": ("about",),
}  # family: its modules in xlcalc/functions, in the order in which a person reads them
_FAMILY_OF = {module: family for family, modules in FAMILIES.items() for module in modules}
_CELL_ADDRESS = re.compile(r"^([A-Z]{1,3}\d+|R\d*C\d*|R\d+|C\d+)$", re.I)
_WORKSHEET_NAME = re.compile(r"^[A-Z][A-Z0-9]*(_[A-Z0-9]+)+$")
_VBA_NAME = re.compile(r"^[a-z][a-z0-9_]{0,60}$")
_VBA_WORDS = frozenset(
    """abs and any append array as attribute base beep binary boolean byte byref byval call case cbool
    cbyte cdate cdbl chr cint clng close const csng cstr currency cvar date day debug decimal declare
    dim dir do double each else elseif empty end enum eof eqv erase error event exit exp false file fix
    for format friend function get global gosub goto hex hour if imp implements in input int is kill
    lbound left len let lib like line load loc lock log long loop lset me mid minute mod month new next
    not nothing now null object oct on open option optional or output paramarray pi preserve print
    private property public put raiseevent random read redim rem replace reset resume return right rnd
    round rset scale second seek select set sgn shared sin single space spc sqr static step stop str
    string sub switch tab tan then time timer to trim true type typeof ubound ucase until val variant
    wend while width with withevents write xor year""".split()  # noqa: SIM905 (a list of words reads better as text)
)  # argument names that VBA would refuse, or that would hide a function of its own
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
    return '"' + cell.replace('"', '""') + '"' if isinstance(cell, str) else digits(cell)


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


_declared: dict[str, Declaration] = {}


def worksheet_function(
    name: str,
    args: Mapping[str, Arg],
    answer: Answer,
    sources: tuple[str, ...],
    example: Example,
    cautions: tuple[str, ...] = (),
    about: bool = False,
    has_unit: bool | None = None,
) -> Callable[[F], F]:
    """Declare a worksheet function; the decorated function itself stays as it is.

    A function that answers one quantity gets a last optional argument `unit`. Raises DeclarationError, which
    stops the import, where the declaration is not sound.
    """

    def declare(function: F) -> F:
        with_unit = bool(answer.unit_text) if has_unit is None else has_unit
        named = [Arg(**{**vars_of(arg), "name": key}) for key, arg in args.items()]
        if with_unit:
            kind = UnitName(answer.unit_text or "1", _answer_flavours(answer.unit_text))
            named.append(Arg("Unit of the answer", kind, default="", name="unit"))
        method = {
            key: each.default
            for key, each in inspect.signature(function).parameters.items()
            if each.kind is inspect.Parameter.KEYWORD_ONLY
        }
        module = function.__module__.rpartition(".")[2]
        family = _FAMILY_OF.get(module, module)
        made = Declaration(
            name, family, function, tuple(named), answer, sources, example, cautions, about, method, with_unit
        )
        check(made)
        _declared[name] = made
        return function

    return declare


def vars_of(arg: Arg) -> dict[str, Any]:
    """The fields of an argument, for a copy with changes."""
    return {key: getattr(arg, key) for key in Arg.__dataclass_fields__}


def _answer_flavours(unit_text: str) -> frozenset[str]:
    """Which kinds of unit may hold the answer besides its own."""
    if unit_text == "degC":
        return frozenset({"temperature", "kelvin"})
    if unit_text.endswith("abs"):
        return frozenset({"", "absolute"})
    if unit_text.endswith("vac"):
        return frozenset({"", "vacuum"})
    return frozenset({"", "gauge"})


def check(made: Declaration) -> None:
    """Raise DeclarationError where a declaration is not sound."""
    problems = [*_name_problems(made), *_argument_problems(made), *_text_problems(made)]
    earlier = _declared.get(made.name)
    if earlier is not None and earlier.family != made.family:
        problems.append(f"is declared twice, in {earlier.family} and {made.family}")
    problems += [f"cites {source!r}, which is not in data/sources.csv" for source in made.sources
                 if source not in sources()]  # fmt: skip
    if not made.sources:
        problems.append("cites no source")
    if not problems:
        problems += _example_problems(made)
    if problems:
        raise DeclarationError(f"{made.name}: " + "; ".join(problems))


def _name_problems(made: Declaration) -> list[str]:
    problems = []
    if not _WORKSHEET_NAME.match(made.name) or len(made.name) > 40:
        problems.append("the name is not two or more capital words joined by _")
    if _CELL_ADDRESS.match(made.name):
        problems.append("the name reads as a cell address")
    for arg in made.args:
        if not _VBA_NAME.match(arg.name) or arg.name in _VBA_WORDS or _CELL_ADDRESS.match(arg.name):
            problems.append(f"argument name {arg.name!r} is not legal in VBA or reads as a cell address")
    return problems


def _argument_problems(made: Declaration) -> list[str]:
    problems = []
    wanted = [
        each.name
        for each in inspect.signature(made.function).parameters.values()
        if each.kind is not inspect.Parameter.KEYWORD_ONLY
    ]
    given = [arg.name for arg in made.workshop_args]
    if wanted != given and not made.about:
        problems.append(f"the function takes {wanted}, the declaration says {given}")
    optional_seen = False
    for arg in made.workshop_args:
        span = arg.reader.span()
        if span is not None and not span[0] < span[1]:
            problems.append(f"{arg.name}: low {span[0]} is not below high {span[1]}")
        if span is not None and getattr(arg.reader, "limit", "") not in sources():
            problems.append(f"{arg.name}: the limit's source is not in data/sources.csv")
        if arg.required and optional_seen:
            problems.append(f"{arg.name} is required but stands behind an optional one")
        optional_seen = optional_seen or not arg.required
        if not arg.required:
            arg.default_value  # noqa: B018  (reads the default: raises where the kind refuses it)
    return problems


def _text_problems(made: Declaration) -> list[str]:
    problems = []
    if len(", ".join(arg.name for arg in made.args)) > 254:
        problems.append("the argument names together are longer than 254 characters")
    texts = [("summary", made.summary), *((arg.name, arg.description) for arg in made.args)]
    problems += [f"text of {name} has {len(text)} characters, at most {LONGEST_SENTENCE}" for name, text in texts
                 if not 0 < len(text) <= LONGEST_SENTENCE]  # fmt: skip
    if not made.about and not made.relation:
        problems.append("the docstring has no Method part")
    return problems


def _example_problems(made: Declaration) -> list[str]:
    from xlcalc.core.evaluate import evaluate  # noqa: PLC0415  (evaluate knows declarations)

    if made.about:
        return []
    got = evaluate(made, made.example.cells)
    shown = shown_as(got, made.example.shows)
    return [] if shown == made.example.shows else [f"the example shows {shown}, not {made.example.shows}"]


def shown_as(got: object, like: str) -> str:
    """An answer printed to the digits of `like`."""
    if isinstance(got, bool) or not isinstance(got, int | float):
        return str(got)
    places = len(like.partition(".")[2])
    return f"{got:.{places}f}"


@lru_cache(1)
def functions() -> Mapping[str, Declaration]:
    """Worksheet name -> declaration, in the order of the families."""
    for module in _FAMILY_OF:
        import_module(f"xlcalc.functions.{module}")
    families = list(FAMILIES)
    order = sorted(
        (made for made in _declared.values() if made.family in FAMILIES), key=lambda made: families.index(made.family)
    )
    return MappingProxyType({made.name: made for made in order})


def find(name: str) -> Declaration | str:
    """The declaration of a worksheet name in any case, or the sentence that says what was meant."""
    known = functions()
    if (made := known.get(name.strip().upper())) is not None:
        return made
    return f"{name.strip()[:60]!r} is not a function of xlcalc{nearest(name.strip(), known)}"
