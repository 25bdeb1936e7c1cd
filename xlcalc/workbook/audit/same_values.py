"""When two values are the same: as two programs work them out, as a source has them, as they print."""

import math
import re

from xlcalc.core.errors import CalcError
from xlcalc.workbook.file.values import Value

BY_PROGRAM = 1e-9  # two programs differ by less in the same arithmetic, and in writing a figure down
BY_PRINT = 1e-6  # numbers that differ by less print alike
ALL_BUT_NOUGHT = 1e-12  # what is left of a difference that should be 0
NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?(?:[Ee][+-]?[0-9]+)?")


def worked_alike(old: Value, new: Value) -> bool:
    """True for values that two programs may give for the same formula; nothing is the same as an empty text."""
    if isinstance(old, float) and isinstance(new, float):
        return near(old, new, nought=ALL_BUT_NOUGHT)
    if isinstance(old, CalcError) and isinstance(new, CalcError):
        return old.code == new.code
    if isinstance(old, str) and isinstance(new, str) and old != new:
        return words_alike(old, new)
    return (old or "") == (new or "") and isinstance(old, bool) == isinstance(new, bool)


def words_alike(old: str, new: str) -> bool:
    """True for texts that differ only in the last digits of numbers that were joined into them."""
    if NUMBER.sub("#", old) != NUMBER.sub("#", new):
        return False
    pairs = zip(NUMBER.findall(old), NUMBER.findall(new), strict=True)
    return all(near(float(one.replace(",", ".")), float(other.replace(",", "."))) for one, other in pairs)


def cited_alike(one: Value, other: Value) -> bool:
    """True for equal figures of a source, and for texts that differ in nothing but spaces at their ends."""
    if isinstance(one, float) and isinstance(other, float):
        return near(one, other)
    if isinstance(one, str) and isinstance(other, str):
        return one.strip() == other.strip()
    return one == other


def print_alike(one: Value, other: Value) -> bool:
    """True for values that a person cannot tell apart on a sheet."""
    if isinstance(one, float) and isinstance(other, float):
        return near(one, other, within=BY_PRINT)
    return one == other


def near(one: float, other: float, within: float = BY_PROGRAM, nought: float = 0.0) -> bool:
    """True for numbers that differ by a small share of the larger one, or by next to nothing."""
    return math.isclose(one, other, rel_tol=within, abs_tol=nought)
