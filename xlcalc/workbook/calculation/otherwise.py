"""Calls of built-ins that the engine answers otherwise than a spreadsheet: their cells keep the value they have."""

import re
from collections.abc import Callable, Mapping, Sequence

from xlcalc.workbook.calculation.engine import converts
from xlcalc.workbook.calculation.exchange import CODES
from xlcalc.workbook.calculation.one_value import ONLY_THERE
from xlcalc.workbook.formulas import calls

LITERAL = re.compile(r'"((?:[^"]|"")*)"')
CELL_KINDS = {"address", "col", "contents", "row", "type"}  # what the engine's CELL answers; it looks at no format
SAID = re.compile(r'"[^"]*"|\\.')  # what a number format prints as it stands
ODD_FORMAT = re.compile(r"[Ee][+-]|[?_*]|\[[<>=]|[0#]/|[0#]\s+[0#]")
"""Exponents, fractions, conditions, blanks as wide as a sign, blanks between thousands: the engine passes over them."""
ERRORS = set(CODES.values())
A1_STYLE = {"", "TRUE", "TRUE()", "1"}


def otherwise(formula: str) -> str:
    """Why the engine would give a formula another answer than a spreadsheet; empty where it does not."""
    found = (JUDGES[call.name]([each.text for each in call.arguments]) for call in calls(formula) if judged(call.name))
    return next(filter(None, found), "")


def judged(name: str) -> bool:
    """True for a function whose answer depends on the words and numbers written into its call."""
    return name in JUDGES


def literal(arguments: Sequence[str], place: int) -> str | None:
    """The text that stands in quotes as an argument; None for anything else."""
    found = LITERAL.fullmatch(arguments[place]) if place < len(arguments) else None
    return found[1].replace('""', '"') if found else None


def _cell(arguments: Sequence[str]) -> str:
    known = (literal(arguments, 0) or "").lower() in CELL_KINDS and len(arguments) > 1
    return "" if known else f"CELL({', '.join(arguments[:1])}), {ONLY_THERE}"


def _convert(arguments: Sequence[str]) -> str:
    first, second = literal(arguments, 1), literal(arguments, 2)
    if first is None or second is None or converts(first, second):
        return ""
    return f"CONVERT from {first} to {second}, {ONLY_THERE}"


def _text(arguments: Sequence[str]) -> str:
    form = literal(arguments, 1)
    return f'the number format "{form}", {ONLY_THERE}' if form and ODD_FORMAT.search(SAID.sub("", form)) else ""


def _indirect(arguments: Sequence[str]) -> str:
    a1 = len(arguments) < 2 or arguments[1].upper() in A1_STYLE
    return "" if a1 else f"INDIRECT in the style R1C1, {ONLY_THERE}"


def _no_areas(arguments: Sequence[str]) -> str:
    return f"a common divisor or multiple of areas, {ONLY_THERE}" if any(":" in each for each in arguments) else ""


def _criterion(arguments: Sequence[str]) -> str:
    wanted = (literal(arguments, place) for place in range(len(arguments)))
    found = next((each for each in wanted if each and each.lstrip("=<>").upper() in ERRORS), "")
    return f"a count or sum by the error {found}, {ONLY_THERE}" if found else ""


JUDGES: Mapping[str, Callable[[Sequence[str]], str]] = {
    "CELL": _cell, "CONVERT": _convert, "TEXT": _text, "INDIRECT": _indirect,
    "GCD": _no_areas, "LCM": _no_areas,
    **dict.fromkeys(("COUNTIF", "COUNTIFS", "SUMIF", "SUMIFS", "AVERAGEIF", "AVERAGEIFS"), _criterion),
    "FORMULATEXT": lambda _: f"FORMULATEXT, {ONLY_THERE}",  # the engine's copy is spelled anew, and cells that
    "ISFORMULA": lambda _: f"ISFORMULA, {ONLY_THERE}",  # keep their value have no formula in it
}  # fmt: skip
