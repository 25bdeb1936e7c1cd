"""One call from Calc, answered: what a zero stands for is settled here, the rest is the core's.

A required argument comes as text, and text that looks like a number as that number; where an argument takes words
alone it is text again. In an argument that may be left out, Calc hands over a blank cell as 0. Where the argument
cannot be 0, or its default is 0, such a 0 counts as blank. Where 0 means something else than the default, it is
refused, since one of the two would be computed wrongly without a word.
"""

import functools
from typing import Any

from xlcalc.core.declaration import Arg, Declaration
from xlcalc.core.errors import CalcError, WrongKind
from xlcalc.core.evaluate import evaluate
from xlcalc.core.registry import find, functions
from xlcalc.core.words import digits

ZERO = 0.0
BLANK, NUMBER, UNCLEAR = "blank", "number", "unclear"


def ready() -> None:
    """Load everything that an answer may need, so that the first cell waits no longer than the others."""
    for made in functions().values():
        evaluate(made, made.example.cells)


def answer(name: str, cells: list[Any]) -> Any:
    """What a cell gets: a number, a text, `{"error": code}`, or rows of these. Never raises.

    A cell is None (blank), a number, a text or rows of these; a single blank cell of an argument that may be left
    out is 0.0, and a range of one cell is one row of one.
    """
    declaration = find(name)
    if isinstance(declaration, str):
        return {"error": "#NAME?"}
    try:
        return _plain(evaluate(declaration, _settled(declaration, cells)))
    except Exception:  # a fault of ours in one cell must not take the office down
        return {"error": "#VALUE!"}


def _plain(value: Any) -> Any:
    if isinstance(value, list):
        return [[_plain(each) for each in row] for row in value]
    if isinstance(value, CalcError):
        return {"error": value.code}
    return value


def _settled(declaration: Declaration, cells: list[Any]) -> list[Any]:
    """The cells with every zero settled; a row of nothing but blanks and such zeros is a blank row."""
    if not declaration.about:
        loose = [not arg.required for arg in declaration.args]
        return _row(declaration, cells, loose)
    target = find(cells[0]) if cells and isinstance(cells[0], str) else ""
    if isinstance(target, str):
        return cells
    return [cells[0], *_row(target, cells[1:], [True] * len(target.args))]


def _row(declaration: Declaration, cells: list[Any], loose: list[bool]) -> list[Any]:
    """The cells of a call; `loose` says of each argument whether Calc handed it over as `any`."""
    places = list(zip(cells, loose, strict=False))
    if all(cell is None or (is_loose and _is_zero(cell)) for cell, is_loose in places):
        return []
    settled = [
        _cell(declaration, place, cell) if is_loose else _worded(declaration.args[place], cell)
        for place, (cell, is_loose) in enumerate(places)
    ]
    return settled + cells[len(places) :]


def _worded(arg: Arg, cell: Any) -> Any:
    """A cell that Calc wrote as text: what looks like a number is none where only words are taken, e.g. the unit 1."""
    return digits(cell) if type(cell) is float and not arg.reader.takes_numbers() else cell


def _is_zero(cell: Any) -> bool:
    return type(cell) is float and cell == ZERO


def _cell(declaration: Declaration, place: int, cell: Any) -> Any:
    if isinstance(cell, list) and len(cell) == 1 and len(cell[0]) == 1:
        return cell[0][0]  # written as a range, B7:B7, so that a blank in it is a blank
    if not _is_zero(cell):
        return cell
    meant = zero(declaration, place)
    if meant == UNCLEAR:
        name = declaration.args[place].label
        return WrongKind(f"{name}: Calc does not tell a blank cell from a 0 here; leave it out, or write B7:B7 for B7")
    return None if meant == BLANK else cell


def zero(declaration: Declaration, place: int) -> str:
    """What a bare 0 stands for in an argument that Calc hands over as `any`: BLANK, NUMBER or UNCLEAR."""
    return _zero(declaration.name, place)


@functools.cache
def _zero(name: str, place: int) -> str:
    arg = functions()[name].args[place]
    try:
        read = arg.reader.read(ZERO)
    except CalcError:
        return BLANK
    if arg.required:
        return NUMBER
    return BLANK if read == arg.default_value else UNCLEAR
