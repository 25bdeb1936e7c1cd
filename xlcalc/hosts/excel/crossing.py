"""Cells as they arrive from Excel, and answers as Excel takes them.

Between Excel and Python stands COM: a blank arrives as None, an error value as a whole number, a range as a tuple of
rows (one row of an array constant as a flat tuple), a date as its number. No error value can be sent back that way,
so an error goes as `ERROR` and its number and a fault of ours as `FAULT` and a sentence; the add-in's VBA makes both
into error values.
"""

from typing import Any

from xlcalc.core.errors import CalcError
from xlcalc.workbook.file.file_limits import LONGEST_TEXT

ERROR, FAULT = "\x01", "\x02"
NUMBERS = {"#NULL!": 2000, "#DIV/0!": 2007, "#VALUE!": 2015, "#REF!": 2023, "#NAME?": 2029, "#NUM!": 2036, "#N/A": 2042}
_CODES = {number: code for code, number in NUMBERS.items()}
SCODE = -2_146_828_288  # COM's own number for error 0 of Excel; an error value arrives as this plus its number
ERRORS = range(2000, 2100)  # Excel's error values; those younger than the seven above (#SPILL! ...) read as #N/A


def arrived(given: Any) -> Any:
    """A cell, or a range as a list of rows, as `core.evaluate` takes it."""
    if not isinstance(given, tuple):
        return _cell(given)
    rows = given if all(isinstance(row, tuple) for row in given) else (given,)
    return [[_cell(value) for value in row] for row in rows]


def _cell(value: Any) -> Any:
    if type(value) is int and value - SCODE in ERRORS:
        return CalcError("", _CODES.get(value - SCODE, "#N/A"))
    return value


def leaving(answer: Any) -> list[list[Any]]:
    """An answer, or rows of answers, as rows that COM carries: texts, floats and booleans."""
    rows = answer if isinstance(answer, list) else [[answer]]
    return [[_value(value) for value in row] for row in rows]


def _value(value: Any) -> Any:
    if isinstance(value, CalcError):
        return f"{ERROR}{NUMBERS[value.code]}"
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return f"{ERROR}{NUMBERS['#VALUE!']}"
    if type(value) is int:  # VBA of 32 bits has no place for a long one
        return float(value)
    return "" if value is None else value
