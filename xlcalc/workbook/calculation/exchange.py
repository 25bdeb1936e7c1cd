"""Values on their way between the engine and our functions.

The engine holds an error as a mapping with its kind; here it is a CalcError with the code that a file holds.
"""

import functools
import re
from collections.abc import Sequence
from itertools import chain
from typing import Any, NamedTuple

from xlcalc.core.errors import CalcError, UpstreamError
from xlcalc.workbook.file.file_limits import LONGEST_TEXT
from xlcalc.workbook.file.values import Value

CODES = {
    "Div": "#DIV/0!",
    "Na": "#N/A",
    "Name": "#NAME?",
    "Null": "#NULL!",
    "Num": "#NUM!",
    "Ref": "#REF!",
    "Value": "#VALUE!",
}
COMPOUND = frozenset({dict, list})  # errors and ranges, as the engine hands them over
DIGITS = 15  # of a number in a spreadsheet's text
NOT_SAID = "NImpl"
"""Kind of the error that a function answers where only a spreadsheet can say what it is."""

LONG_NUMBER = re.compile(r"(?<![0-9.])[0-9]+\.[0-9]+(?![0-9.])")
KINDS = {code: kind for kind, code in CODES.items()}


class Unspeakable(NamedTuple):
    """An error of the engine that a file cannot hold, such as `Circ` or `Spill`."""

    kind: str


@functools.cache
def error(code: str) -> CalcError:
    """The error value of a cell; one object a code, since a book may hold many."""
    return UpstreamError(code=code)


def plain(value: Any) -> Value | Unspeakable:
    """A value of the engine that is not a plain number, as this program holds it."""
    if isinstance(value, dict):
        code = CODES.get(value["kind"])
        return error(code) if code else Unspeakable(value["kind"])
    if isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            return error("#VALUE!")
        return LONG_NUMBER.sub(rounded, value) if len(value) > DIGITS and "." in value else value
    return float(value)


def rounded(number: re.Match[str]) -> str:
    """A number in a text as a spreadsheet writes it there, in 15 digits; the engine writes up to 17.

    Only where it is what the engine makes of a number: other digits are somebody's own.
    """
    written, exact = number[0], float(number[0])
    made = repr(exact).partition("e")[0]
    figures, of_engine = (each.replace(".", "").lstrip("0") for each in (written, made))
    return f"{exact:.{DIGITS}g}".replace("e", "E") if figures == of_engine and len(figures) > DIGITS else written


def received(cell: Any) -> object:
    """An argument of the engine as our functions take it: errors as CalcError, ranges as rows."""
    if isinstance(cell, list):
        if not holds_error(cell):
            return cell
        return [[received(item) if type(item) is dict else item for item in row] for row in cell]
    return UpstreamError(cell.get("message", ""), code=CODES[cell["kind"]])


def holds_error(rows: Sequence[Sequence[Any]]) -> bool:
    """Whether an error stands in a range; most have none, and then nothing else need look at every cell."""
    return not COMPOUND.isdisjoint(map(type, chain.from_iterable(rows)))


def nameless(cell: Any) -> dict[str, object] | None:
    """The first error in an argument that a file cannot hold; it goes through a function unchanged."""
    if isinstance(cell, dict):
        return None if cell["kind"] in CODES else cell
    if not holds_error(cell):
        return None
    return next((found for row in cell for item in row if type(item) is dict and (found := nameless(item))), None)


def first_nameless(cells: Sequence[Any]) -> dict[str, object] | None:
    """The first error that a file cannot hold among the arguments of a call."""
    return next((found for cell in cells if type(cell) in COMPOUND and (found := nameless(cell))), None)


def given(answer: object) -> object:
    """An answer of our functions as the engine takes it.

    Raises TypeError for anything but a number, a text, an error or rows of these: a fault of ours.
    """
    if isinstance(answer, CalcError | Unspeakable):
        return given_error(answer)
    if isinstance(answer, bool):
        return answer
    if isinstance(answer, int | float):
        number = float(answer)
        return number if number - number == 0 else {"type": "Error", "kind": "Num"}
    if isinstance(answer, str):
        return answer if len(answer) <= LONGEST_TEXT else {"type": "Error", "kind": "Value"}
    if isinstance(answer, list):
        return [[given(item) for item in row] for row in answer]
    if answer is None:
        return ""
    raise TypeError(f"a worksheet function answered {type(answer).__name__}, which no cell can hold")


def given_error(answer: CalcError | Unspeakable) -> dict[str, str]:
    """An error as the engine holds it."""
    if isinstance(answer, Unspeakable):
        return {"type": "Error", "kind": answer.kind}
    return {"type": "Error", "kind": KINDS[answer.code], "message": str(answer)}


def fit(answer: Any, rows: float, columns: float) -> object:
    """An array answer in the size of its area: one row, column or value repeats, beyond it stands #N/A."""
    height, width = int(rows), int(columns)
    if not isinstance(answer, list):
        answer = [[answer]]
    nothing = {"type": "Error", "kind": "Na"}
    high, wide = len(answer), len(answer[0]) if answer else 0

    def item(row: int, column: int) -> object:
        row = 0 if high == 1 else row
        column = 0 if wide == 1 else column
        return answer[row][column] if row < high and column < wide else nothing

    if height == width == 1:
        return item(0, 0)
    return [[item(row, column) for column in range(width)] for row in range(height)]
