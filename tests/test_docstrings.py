"""Docstrings hold what they say: their examples run, and whatever a function refuses stands in them."""

import ast
import doctest
import inspect
import re
import textwrap
from collections.abc import Callable, Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

import pytest

import xlcalc
from tests.declared import places, varied
from xlcalc.core import errors
from xlcalc.core.declaration import Declaration, example
from xlcalc.core.errors import CODES, CalcError
from xlcalc.core.evaluate import evaluate
from xlcalc.core.help_text import docstring, example_lines
from xlcalc.core.registry import FAMILIES

ROOT = Path(xlcalc.__file__).parent
DECLARED = xlcalc.functions()
OF_FAMILIES = {f"xlcalc.functions.{module}" for family in FAMILIES.values() for module in family.modules}
PUBLIC = (  # what another developer calls
    "evaluate", "units", "quantities", "kinds", "tables", "solve", "words", "doubt", "errors", "registry",
    "friction", "fluid", "laws", "air", "air_line", "effectiveness", "packing",
)  # fmt: skip
SIZE = re.compile(
    r"\bSI\b|\bPa\b|\bm\b|\bm2/s\b|\bm3/s\b|\bK\b|\bkg/m3\b|\bJ/\(kg K\)|\bfraction\b|\bshare\b|\bnumber\b|\bratio\b"
    r"|\brow|\brange\b|\bcell"
)  # a unit, something that has none, or a shape


def named(file: Path) -> str:
    parts = file.relative_to(ROOT.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


STARTS = re.compile(r"^ *>>> ", re.M)
WITH_EXAMPLES = sorted(
    {named(file) for file in ROOT.rglob("*.py") if STARTS.search(file.read_text(encoding="utf-8"))}
    | OF_FAMILIES
)
EXAMPLES = {
    found.name: found
    for module in WITH_EXAMPLES
    for found in doctest.DocTestFinder(exclude_empty=True).find(import_module(module))
    if found.examples
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_example_runs_and_shows_what_it_says(name: str) -> None:
    said: list[str] = []
    outcome = doctest.DocTestRunner(verbose=False).run(EXAMPLES[name], out=said.append)
    assert outcome.failed == 0, "".join(said)


def test_every_example_that_is_written_down_is_run() -> None:
    composed = {f"{made.function.__module__}.{made.function.__qualname__}" for made in DECLARED.values()}
    written = sum(len(STARTS.findall(file.read_text(encoding="utf-8"))) for file in ROOT.rglob("*.py"))
    assert written == sum(len(each.examples) for name, each in EXAMPLES.items() if name not in composed)


@pytest.mark.parametrize("made", DECLARED.values(), ids=list(DECLARED))
def test_the_help_of_a_worksheet_function_tells_all_that_is_declared(made: Declaration) -> None:
    function = made.function
    text = " ".join(str(function.__doc__).split())
    assert f"{function.__module__}.{function.__qualname__}" in EXAMPLES
    assert f"{made.name}(" in text
    for said in (made.summary, made.relation, made.not_for, made.no_answer, made.answer.label, *made.cautions,
                 *made.sources, *made.not_with.values(), *(arg.description for arg in made.args)):  # fmt: skip
        assert said in text
    assert inspect.getdoc(function) == docstring(made).strip(), "composed again it is the same"


@pytest.mark.parametrize("made", DECLARED.values(), ids=list(DECLARED))
def test_the_help_of_a_worksheet_function_names_what_its_relation_refuses(made: Declaration) -> None:
    later = " ".join(arg.reader.refuses_later for arg in made.args)
    for kind in refused(made.function):
        assert kind.code in made.no_answer + later, f"{kind.__name__} is raised"


@pytest.mark.parametrize("made", DECLARED.values(), ids=list(DECLARED))
def test_no_error_comes_that_the_help_does_not_name(made: Declaration) -> None:
    text = str(made.function.__doc__)
    of_the_relation = made.no_answer + " ".join(arg.reader.refuses_later for arg in made.args)
    for place, arg in places(made):
        for cell in (cell for cell, _ in arg.reader.bad()):
            got = evaluate(made, varied(made, place, cell))
            assert not isinstance(got, CalcError) or got.code in text, f"{arg.name} {cell!r}: {got}"
        for cell in arg.reader.good():
            got = evaluate(made, varied(made, place, cell))
            if isinstance(got, CalcError) and not str(got).startswith("the numbers leave"):
                assert got.code in of_the_relation, f"{arg.name} {cell!r}: {got}"
    assert {code for code in CODES if code in text} <= {"#VALUE!", "#NUM!", "#N/A"}


def test_a_range_a_blank_and_a_quote_come_into_the_example_as_python_writes_them() -> None:
    made = replace(DECLARED["HOSE_SIZE_FOR_BORE"], example=example('1/2"', [["a", None], [1, 2.5]], shows="it's"))
    _, call, shows = example_lines(made)
    assert ast.literal_eval(call.removeprefix(">>> xlcalc.call")) == (made.name, '1/2"', [["a", None], [1, 2.5]])
    assert ast.literal_eval(shows) == "it's"


def calls_and_raises(function: Callable[..., Any]) -> Iterator[tuple[bool, object]]:
    """(is raised, what is called) for each call of a plain name, and each error raised by its class."""
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    names = inspect.unwrap(function).__globals__
    raised = {id(node.exc) for node in ast.walk(tree) if isinstance(node, ast.Raise)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            yield id(node) in raised, names.get(node.func.id)


def refused(function: Callable[..., Any], own: bool = False) -> set[type[CalcError]]:
    """The cell errors that a function raises itself, or that a function of ours does which it calls by its name."""
    found: set[type[CalcError]] = set()
    waiting, seen = [function], set()
    while waiting:
        one = waiting.pop()
        seen.add(one)
        for is_raised, what in calls_and_raises(one):
            if isinstance(what, type) and issubclass(what, CalcError):
                found |= {what} if is_raised else set()
            elif isinstance(what, FunctionType) and is_raised:
                found.add(what.__annotations__["return"])
            elif isinstance(what, FunctionType) and not own and what not in seen and descended(what):
                waiting.append(what)
    return found


def descended(function: FunctionType) -> bool:
    return function.__module__.startswith("xlcalc.functions.") or function.__module__ == "xlcalc.core.solve"


def public(module: ModuleType) -> Iterator[tuple[str, Callable[..., Any], str]]:
    """Name, function and docstring (with that of its class) of what a module offers."""
    for name, made in vars(module).items():
        if name.startswith("_") or getattr(made, "__module__", "") != module.__name__:
            continue
        if isinstance(made, FunctionType) or hasattr(made, "cache_info"):
            yield f"{module.__name__}.{name}", inspect.unwrap(made), inspect.getdoc(made) or ""
        elif isinstance(made, type):
            yield from methods(made)


def methods(made: type) -> Iterator[tuple[str, Callable[..., Any], str]]:
    for name, value in vars(made).items():
        method = value.fget if isinstance(value, property) else getattr(value, "func", value)
        if isinstance(method, FunctionType) and (name == "__call__" or not name.startswith("_")):
            of_it = inspect.getdoc(getattr(made, name)) or ""
            yield f"{made.__module__}.{made.__qualname__}.{name}", method, f"{of_it}\n{inspect.getdoc(made)}"


OFFERED = {
    name: (function, text)
    for module in PUBLIC
    for layer in ("core", "functions")
    if (ROOT / layer / f"{module}.py").exists()
    for name, function, text in public(import_module(f"xlcalc.{layer}.{module}"))
}


@pytest.mark.parametrize("name", OFFERED)
def test_what_another_developer_calls_says_what_it_raises_and_in_what_it_counts(name: str) -> None:
    function, text = OFFERED[name]
    assert text.strip(), "it has no docstring"
    for kind in refused(function, own=True):
        names = [each.__name__ for each in kind.__mro__[: kind.__mro__.index(CalcError) + 1]]
        assert [each for each in names if each in text], f"it raises {kind.__name__}, but says none of {names}"
    counts = {float, "float"} & set(function.__annotations__.values())
    assert not counts or SIZE.search(text), "it takes or gives numbers without a unit"


def test_the_tree_of_errors_is_whole() -> None:
    kinds = [each for each in vars(errors).values() if isinstance(each, type) and issubclass(each, Exception)]
    for kind in kinds:
        assert kind.__doc__, f"{kind.__name__} has no docstring"
        assert kind.__name__ in str(errors.__doc__)
