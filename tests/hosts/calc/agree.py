"""Whether what Calc holds is what the engine answers: numbers to one part in a thousand million, else the same."""

import math
import re
from typing import Any

from tests.hosts.calc.cases import OMITTED, Case, Held
from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CalcError, UpstreamError
from xlcalc.core.evaluate import evaluate
from xlcalc.core.kinds import digits, flat
from xlcalc.core.registry import functions
from xlcalc.hosts.calc.answering import UNCLEAR, zero
from xlcalc.hosts.calc.component.bridge import ERRORS
from xlcalc.hosts.calc.signatures import answers_words

CODES = {number: code for code, number in ERRORS.items()}
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?")
CLOSE = 1e-9


def code_of(value: Any) -> str:
    """The error that a value of Calc is in a file; its own errors are saved as #VALUE!."""
    return CODES.get(value["error"], "#VALUE!") if isinstance(value, dict) else ""


def same(calc: Any, engine: Any) -> bool:
    """Whether a value read from Calc is the engine's."""
    if isinstance(engine, CalcError):
        return code_of(calc) == engine.code
    if isinstance(engine, str) or engine is None:
        return isinstance(calc, str) and same_text(calc, engine or "")
    return isinstance(calc, float) and math.isclose(calc, engine, rel_tol=CLOSE, abs_tol=1e-12)


def same_text(calc: str, engine: str) -> bool:
    """Texts with the same words; the numbers in them may be written with more or fewer digits."""
    if calc == engine:
        return True
    pairs = zip(NUMBER.findall(calc), NUMBER.findall(engine), strict=False)
    return NUMBER.sub("#", calc) == NUMBER.sub("#", engine) and all(
        math.isclose(float(first), float(second), rel_tol=CLOSE) for first, second in pairs
    )


def allowed(case: Case, calc: Any, engine: Any) -> str:
    """Name of the difference that a case shows, or an empty text where it is none of those that are named."""
    made = functions()[case.name]
    target = functions().get(str(case.cells[0])) if made.about and case.cells else None
    return next((name for name, shows in SHOWS.items() if shows(case, target or made, calc, engine)), "")


def _as_with(case: Case, calc: Any, *instead: Any) -> bool:
    """Whether Calc answers what the function answers with one of these in place of the cell that is varied."""
    given = [None if cell is OMITTED else UpstreamError(code=cell.code) if isinstance(cell, Held) else cell
             for cell in case.cells]  # fmt: skip
    calls = [[*given[: case.place], cell, *given[case.place + 1 :]] for cell in instead]
    answers = [evaluate(functions()[case.name], cells) for cells in calls]
    return any(same(calc, answer[0][0] if isinstance(answer, list) else answer) for answer in answers)


def _is_number(cell: Any, number: float) -> bool:
    return type(cell) in (int, float) and cell == number


def _optional(made: Declaration, place: int) -> bool:
    return place < len(made.args) and not made.args[place].required


def _blank_or_zero(case: Case, made: Declaration, calc: Any, _: Any) -> bool:
    place = case.place - (made.name != case.name)
    unclear = _optional(made, place) and zero(made, place) == UNCLEAR
    bare = case.cell in (None, 0) and not case.array
    return unclear and bare and code_of(calc) == "#VALUE!"


def _zero_as_left_out(case: Case, made: Declaration, calc: Any, engine: Any) -> bool:
    refused = _is_number(case.cell, 0) and isinstance(engine, CalcError)
    return refused and _optional(made, case.place) and _as_with(case, calc, None)


def _blank_handed_on(case: Case, made: Declaration, calc: Any, _: Any) -> bool:
    handed_on = made.name != case.name and case.place > 0
    return handed_on and (case.cell is None or _is_number(case.cell, 0)) and _as_with(case, calc, 0.0, None)


def _true(case: Case, _: Any, calc: Any, __: Any) -> bool:
    return case.cell is True and _as_with(case, calc, 1.0, "1")


def _error_first(case: Case, made: Declaration, calc: Any, engine: Any) -> bool:
    held = isinstance(case.cell, Held) and code_of(calc) == case.cell.code
    return held and (made.name != case.name or isinstance(engine, CalcError))


def _error_in_range(case: Case, _: Declaration, calc: Any, __: Any) -> bool:
    listed = isinstance(case.cell, list) and any(isinstance(each, Held) for each in flat(case.cell))
    return listed and code_of(calc) == "#VALUE!"


def _required_left_out(case: Case, made: Declaration, calc: Any, _: Any) -> bool:
    return case.cell is OMITTED and not _optional(made, case.place) and code_of(calc) == "#VALUE!"


def _text_like_a_number(case: Case, made: Declaration, calc: Any, _: Any) -> bool:
    if made.name != case.name or case.place >= len(made.args) or not made.args[case.place].required:
        return False
    if isinstance(case.cell, str) and re.fullmatch(r"-?\d+(\.\d+)?", case.cell):
        return _as_with(case, calc, float(case.cell))
    return type(case.cell) in (int, float) and _as_with(case, calc, digits(case.cell))


def _words_over_a_range(case: Case, _: Declaration, calc: Any, __: Any) -> bool:
    several = isinstance(case.cell, list) and len(case.cell) > 1
    return several and answers_words(functions()[case.name]) and code_of(calc) == "#VALUE!"


SHOWS = {
    "blank or zero": _blank_or_zero,
    "zero as left out": _zero_as_left_out,
    "true and false": _true,
    "error first": _error_first,
    "error in a range": _error_in_range,
    "blank handed on": _blank_handed_on,
    "required left out": _required_left_out,
    "text like a number": _text_like_a_number,
    "words over a range": _words_over_a_range,
}
"""For each named difference, whether a case shows it."""
