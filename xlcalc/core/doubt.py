"""How far an answer can be trusted: the stated doubt of data and method, run through the function.

A value that carries doubt names each of its doubts and can lean: `fluid.lean("viscosity", +1)` is the same
fluid as thick as its doubt allows. Every doubt is tried alone, to see which way it pushes the answer; then
all are leaned together, each to the side that pushes the answer down, and up.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol, Self, runtime_checkable

from xlcalc.core.errors import CalcError


@runtime_checkable
class Doubtful(Protocol):
    """A value or a correlation with stated doubts; what it counts in (SI) is its own matter."""

    @property
    def doubts(self) -> Sequence[str]:
        """Names of what is doubtful in it, as a person would say them."""

    def lean(self, doubt: str, side: int) -> Self:
        """The same value at the upper (+1) or lower (-1) end of one doubt."""


@dataclass(frozen=True, slots=True)
class Span:
    """Ends of an answer in SI (two floats), and which doubt moves it most (empty where nothing is in doubt)."""

    low: float
    high: float
    decides: str


def span(function: Callable[..., Any], values: Sequence[Any], method: Mapping[str, Any]) -> Span:
    """Ends of `function(*values, **method)` when every stated doubt runs through it.

    `values` and the answer are SI. Where one end has no answer, the end is the last side that has one.
    Raises CalcError where the function itself has no answer.

    >>> span(lambda length, width: length * width, [2.0, 3.0], {})  # nothing in doubt
    Span(low=6.0, high=6.0, decides='')
    """
    base = float(function(*values, **method))
    places: list[int | str] = [*range(len(values)), *method]
    doubts = [(place, doubt) for place in places for doubt in _doubts(_at(values, method, place))]
    answers = [base]
    sides: dict[tuple[int | str, str], int] = {}
    widest, decides = 0.0, ""
    for place, doubt in doubts:
        down, up = (_answer(function, values, method, {(place, doubt): side}, base) for side in (-1, 1))
        answers += [down, up]
        sides[place, doubt] = 1 if up >= down else -1
        if abs(up - down) > widest:
            widest, decides = abs(up - down), doubt
    if sides:
        answers.append(_answer(function, values, method, sides, base))
        answers.append(_answer(function, values, method, {key: -side for key, side in sides.items()}, base))
    return Span(min(answers), max(answers), decides)


def _doubts(value: Any) -> Sequence[str]:
    return value.doubts if isinstance(value, Doubtful) else ()


def _at(values: Sequence[Any], method: Mapping[str, Any], place: int | str) -> Any:
    return values[place] if isinstance(place, int) else method[place]


def _answer(
    function: Callable[..., Any],
    values: Sequence[Any],
    method: Mapping[str, Any],
    sides: Mapping[tuple[int | str, str], int],
    base: float,
) -> float:
    """The answer with some doubts leaned; the base where the leaned inputs have none."""
    leaned, correlations = list(values), dict(method)
    for (place, doubt), side in sides.items():
        if isinstance(place, int):
            leaned[place] = leaned[place].lean(doubt, side)
        else:
            correlations[place] = correlations[place].lean(doubt, side)
    try:
        return float(function(*leaned, **correlations))
    except (CalcError, OverflowError, ZeroDivisionError):
        return base
