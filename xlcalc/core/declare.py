"""Declare a worksheet function. Everything else is generated from the declaration, nothing is declared twice."""

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from xlcalc.core.declaration import Answer, Arg, Declaration, Example, example, shown_as
from xlcalc.core.errors import LONGEST_SENTENCE, CalcError, DeclarationError
from xlcalc.core.evaluate import evaluate
from xlcalc.core.help_text import docstring
from xlcalc.core.registry import add, family_of
from xlcalc.core.tables import sources
from xlcalc.core.unit_names import UnitName

__all__ = ["Answer", "Arg", "Example", "example", "worksheet_function"]

F = TypeVar("F", bound=Callable[..., Any])
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


def worksheet_function(
    name: str,
    args: Mapping[str, Arg],
    answer: Answer,
    sources: tuple[str, ...],
    example: Example,
    cautions: tuple[str, ...] = (),
    about: bool = False,
    has_unit: bool | None = None,
    not_with: Mapping[str, str] | None = None,
) -> Callable[[F], F]:
    """Declare a worksheet function; the function stays as it is but for its docstring, which becomes the whole help.

    A function that answers one quantity gets a last optional argument `unit`. `not_with` has the kinds of fluid that
    its method does not hold for, each with the reason. Raises DeclarationError, which
    stops the import, where the declaration is not sound.
    """

    def declare(function: F) -> F:
        with_unit = bool(answer.unit_text) if has_unit is None else has_unit
        named = [replace(arg, name=key) for key, arg in args.items()]
        if with_unit:
            kind = UnitName(answer.unit_text or "1", _answer_flavours(answer.unit_text))
            named.append(Arg("Unit of the answer", kind, default="", name="unit"))
        method = {
            key: each.default
            for key, each in inspect.signature(function).parameters.items()
            if each.kind is inspect.Parameter.KEYWORD_ONLY
        }
        family = family_of(function.__module__.rpartition(".")[2])
        made = Declaration(
            name, family, function, tuple(named), answer, sources, example, cautions, about, method, with_unit,
            not_with or {},
        )  # fmt: skip
        check(made)
        add(made)
        function.__doc__ = docstring(made)
        return function

    return declare


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
        try:
            arg.default_value  # noqa: B018  (reads the default)
        except CalcError as error:
            problems.append(f"{arg.name}: its default {arg.default!r} is refused: {error}")
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
    if made.about:
        return []
    got = evaluate(made, made.example.cells)
    shown = shown_as(got, made.example.shows)
    return [] if shown == made.example.shows else [f"the example shows {shown}, not {made.example.shows}"]
