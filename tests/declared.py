"""What the checks of every worksheet function share: calls made from a declaration, one argument at a time varied."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import xlcalc
from xlcalc import CalcError, functions
from xlcalc.core.declaration import Declaration
from xlcalc.core.declare import Arg
from xlcalc.core.errors import CODES, LONGEST_SENTENCE
from xlcalc.core.tables import raw_rows

Check = Callable[[Declaration], None]


class Checks(dict[str, Check]):
    """A list of checks by their names."""

    def add(self, function: Check) -> Check:
        """Add a check to the list."""
        self[function.__name__] = function
        return function


HAIR = 1e-12  # rounding on the way through SI
DECLARED = {name: made for name, made in functions().items() if not made.about}
SPELLINGS = sorted(
    spelling.strip() for row in raw_rows("units") if row["pint"] for spelling in row["spellings"].split(";")
)
COMPOUNDS = ("m3/s", "L/min", "L/h", "mL/h", "ft3/min", "m/s", "km/h", "ft/s", "kg/J", "g/kWh", "lb/(hp h)", "kW/K",
             "W/degC", "kPa vac", "inHg vac", "bar gauge", "rev/min", "g/(kW h)")  # fmt: skip


def answer(made: Declaration, cells: Sequence[object]) -> Any:
    """The answer, or the CalcError in its place."""
    try:
        return xlcalc.call(made.name, *cells)
    except CalcError as error:
        return error


def answer_about(about: str, made: Declaration, cells: Sequence[object]) -> Any:
    return answer(functions()[about], [made.name, *cells])


def cells_of(made: Declaration) -> list[Any]:
    """The cells of the example, with a blank for every argument left out."""
    cells = list(made.example.cells)
    return cells + [None] * (len(made.args) - len(cells))


def varied(made: Declaration, place: int, cell: object) -> list[Any]:
    """The cells of the example with one of them replaced."""
    cells = cells_of(made)
    cells[place] = cell
    return cells


def places(made: Declaration) -> Iterator[tuple[int, Arg]]:
    return enumerate(made.args)


def single_places(made: Declaration) -> list[int]:
    """Arguments that take one cell, not a whole range."""
    return [place for place, arg in places(made) if not arg.reader.takes_range]


def sound(got: object) -> bool:
    """A finite number, a text, rows of these, or an error that says something."""
    if isinstance(got, CalcError):
        return got.code in CODES and 0 < len(str(got).strip()) <= LONGEST_SENTENCE
    if isinstance(got, list):
        return bool(got) and all(isinstance(row, list) and row and all(map(sound, row)) for row in got)
    return isinstance(got, str) or (type(got) in (int, float) and math.isfinite(got))


def same(first: object, second: object, rel: float = 0.0) -> bool:
    """Whether two answers are the same: errors by code and sentence, numbers within `rel`."""
    if isinstance(first, list) and isinstance(second, list):
        return len(first) == len(second) and all(same(*pair, rel) for pair in zip(first, second, strict=True))
    if isinstance(first, CalcError) and isinstance(second, CalcError):
        return (first.code, str(first)) == (second.code, str(second))
    if isinstance(first, float) and isinstance(second, float):
        return math.isclose(first, second, rel_tol=rel, abs_tol=rel * 1e-3)
    return type(first) is type(second) and first == second


def refused(made: Declaration, place: int, cell: object, code: str) -> CalcError:
    got = answer(made, varied(made, place, cell))
    assert isinstance(got, CalcError), f"{made.args[place].name}: {cell!r:.80} gives {got!r:.80}"
    assert got.code == code, f"{made.args[place].name}: {cell!r:.80} gives {got.code} {got}"
    assert sound(got), f"{made.args[place].name}: {cell!r:.80} gives an error that says nothing: {got!r:.80}"
    return got


def fits(read: Callable[..., object], *given: object) -> bool:
    """Whether something is taken rather than refused."""
    try:
        read(*given)
    except CalcError:
        return False
    return True
