"""Arithmetic as spreadsheets do it: numbers that differ by no more than rounding leaves behind are equal.

The engine compares to the last bit: there 0.1+0.2=0.3 is false, 1.1*3<=3.3 too, and INT(0.6/0.2) is 2. In its copy of
a book, calls of these functions stand in place of such comparisons (`comparisons`) and roundings, so that a
recalculation says what the spreadsheet says.
"""

import math
import unicodedata
from collections.abc import Callable, Mapping, Sequence

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import over_ranges
from xlcalc.workbook.calculation.exchange import error

Cells = Sequence[object]
HAIR = 2.0**-48  # share by which equal numbers may differ: the last four of the 52 bits of a number
DIGITS = 15  # that a spreadsheet shows, and rounds by
GRAIN = 2.0**-11  # what rounding leaves behind is finer: a multiple of it is meant as it stands
LARGEST_WHOLE = 2.0**53  # up to here every whole number is one of the machine's
NUMBERS, TEXTS, TRUTHS = range(3)  # in the order in which spreadsheets sort what cannot be compared


def alike(one: float, other: float) -> bool:
    """True for numbers that a spreadsheet takes for equal; whole numbers are equal only if they are.

    >>> alike(0.1 + 0.2, 0.3), alike(0.3, 0.3000001), alike(1e15, 1e15 + 1)
    (True, False, False)
    """
    apart = abs(one - other)
    if not apart:
        return True
    if not apart < HAIR * min(abs(one), abs(other)):
        return False
    return not (one.is_integer() and other.is_integer() and max(abs(one), abs(other)) <= LARGEST_WHOLE)


def order(one: object, other: object) -> int:
    """-1, 0 or 1: how two cells stand to each other; a blank is what the other one makes of it."""
    first, second = filled(one, other), filled(other, one)
    rank = kind(first) - kind(second)
    if rank:
        return 1 if rank > 0 else -1
    if isinstance(first, str) and isinstance(second, str):
        one_key, other_key = letters(first), letters(second)
        return (one_key > other_key) - (one_key < other_key)
    low, high = number(first), number(second)
    return 0 if alike(low, high) else 1 if low > high else -1


def filled(cell: object, beside: object) -> object:
    """What stands in a cell; a blank is an empty text beside a text, FALSE beside a truth value, 0 beside the rest."""
    if cell is not None:
        return cell
    return "" if isinstance(beside, str) else False if isinstance(beside, bool) else 0.0


def kind(cell: object) -> int:
    """Numbers come before texts, texts before truth values."""
    return TRUTHS if isinstance(cell, bool) else TEXTS if isinstance(cell, str) else NUMBERS


def letters(text: str) -> tuple[str, str]:
    """By what texts are sorted: small letters without their accents, then with them; ß is no ss.

    >>> letters("Äb") == letters("äB"), letters("é") < letters("f")
    (True, True)
    """
    if text.isascii():
        return text.lower(), ""
    small = "".join(sign.casefold() if len(sign.casefold()) == 1 else sign.lower() for sign in text)
    return "".join(sign for sign in unicodedata.normalize("NFD", small) if not unicodedata.combining(sign)), small


def number(cell: object) -> float:
    """A number, a truth value or a blank as arithmetic takes it. Raises CalcError (#VALUE!) for anything else."""
    if cell is None:
        return 0.0
    if isinstance(cell, int | float):
        return float(cell)
    raise error("#VALUE!")


def total(one: object, other: object) -> float:
    """A sum, 0 where nothing but rounding is left."""
    return difference(number(one), -number(other))


def difference(one: object, other: object) -> float:
    """A difference, 0 where nothing but rounding is left.

    >>> difference(0.1 + 0.2, 0.3)
    0.0
    """
    first, second = number(one), number(other)
    return 0.0 if alike(first, second) else first - second


def whole(cell: object) -> float:
    """INT: the whole number at or below."""
    return float(math.floor(rounded(number(cell))))


def rounded(value: float) -> float:
    """A number in the digits that a spreadsheet shows, if it has a part that may be left behind by rounding.

    >>> rounded(0.6 / 0.2), rounded(123456789012345.9)
    (3.0, 123456789012345.9)
    """
    return float(f"{value:.{DIGITS}g}") if value % GRAIN else value


def quotient(one: object, other: object) -> float:
    """QUOTIENT: how often a number goes into another, without the rest."""
    return float(math.trunc(rounded(divided(number(one), number(other)))))


def remainder(one: object, other: object) -> float:
    """MOD: what is left, with the sign of the divisor."""
    first, second = number(one), number(other)
    return difference(first, second * math.floor(rounded(divided(first, second))))


def floor(one: object, step: object) -> float:
    """FLOOR: down to a multiple of a step; a negative step rounds a negative number towards 0."""
    return stepped(number(one), number(step), math.floor)


def ceiling(one: object, step: object) -> float:
    """CEILING: up to a multiple of a step; a negative step rounds a negative number away from 0."""
    return stepped(number(one), number(step), math.ceil) if number(step) else 0.0


def stepped(value: float, step: float, way: Callable[[float], int]) -> float:
    """A multiple of a step. Raises CalcError: #NUM! for a positive number with a negative step, #DIV/0! for step 0."""
    if value > 0 > step:
        raise error("#NUM!")
    return rounded(way(rounded(divided(value, step))) * step) if value else 0.0


def divided(value: float, by: float) -> float:
    """A quotient. Raises CalcError (#DIV/0!, or #NUM! where it is too large)."""
    if not by:
        raise error("#DIV/0!")
    found = value / by
    if not math.isfinite(found):
        raise error("#NUM!")
    return found


def upper(cell: object) -> str:
    """UPPER of a text or a truth value: a letter that has two capitals, ß, stays."""
    text = str(cell)
    return "".join(sign.upper() if len(sign.upper()) == 1 else sign for sign in text)


def lower(cell: object) -> str:
    """LOWER of a text or a truth value: a capital that has two small letters, İ, stays."""
    text = str(cell)
    return "".join(sign.lower() if len(sign.lower()) == 1 else sign for sign in text)


def last_match(cells: Cells) -> object:
    """LOOKUP: what stands beside the last value that is not above the wanted one; errors are passed over.

    Takes the wanted value, the array and perhaps the area of the answers. #N/A where there is none.

    >>> last_match([2.0, [[1.0], [error("#DIV/0!")], [1.0]], [[10.0], [20.0], [30.0]]])
    30.0
    """
    wanted, searched, *beside = cells
    if not beside and isinstance(searched, list):  # the first row or column is searched, the last one answers
        wide = len(searched[0]) > len(searched)
        lines = searched if wide else [list(column) for column in zip(*searched, strict=True)]
        searched, beside = [lines[0]], [[lines[-1]]]
    place, answers = last_place(wanted, in_line(searched)), in_line(beside[0] if beside else searched)
    if isinstance(place, CalcError):
        return place
    return filled(answers[place], None) if place < len(answers) else error("#N/A")


def last_row(cells: Cells) -> object:
    """MATCH with 1 or nothing: which value is the last that is not above the wanted one, counted from 1."""
    wanted, searched, *_ = cells
    if isinstance(searched, list) and len(searched) > 1 < len(searched[0]):
        return error("#N/A")
    place = last_place(wanted, in_line(searched))
    return place if isinstance(place, CalcError) else place + 1.0


def last_place(wanted: object, values: Sequence[object]) -> int | CalcError:
    """Where the last value of the kind of the wanted one stands that is not above it; #N/A where none does."""
    if isinstance(wanted, CalcError | list):
        return wanted if isinstance(wanted, CalcError) else error("#VALUE!")
    wanted = filled(wanted, None)
    for place in range(len(values) - 1, -1, -1):
        value = values[place]
        if value is None or isinstance(value, CalcError) or kind(value) != kind(wanted):
            continue
        if order(value, wanted) <= 0:
            return place
    return error("#N/A")


def in_line(cells: object) -> list[object]:
    """The cells of an area one after the other; a single cell is one."""
    return [cell for row in cells for cell in row] if isinstance(cells, list) else [cells]


def for_engine(work: Callable[..., object]) -> Callable[[Cells], object]:
    """A function for the engine: the first error among its cells is its answer, ranges are gone through."""

    def one(cells: Cells) -> object:
        found = next((cell for cell in cells if isinstance(cell, CalcError)), None)
        if found is not None:
            return found
        try:
            return work(*cells)
        except CalcError as fault:
            return fault

    def call(cells: Cells) -> object:
        try:
            return over_ranges(cells, one, set()) if list in map(type, cells) else one(cells)
        except CalcError as fault:
            return fault

    return call


COMPARING: Mapping[str, str] = {
    "=": "_XLCALC_IS", "<>": "_XLCALC_IS_NOT", "<": "_XLCALC_UNDER", "<=": "_XLCALC_UP_TO", ">": "_XLCALC_OVER",
    ">=": "_XLCALC_FROM",
}  # fmt: skip
"""The functions that stand in the engine for signs of comparison."""

ADDING: Mapping[str, str] = {"+": "_XLCALC_PLUS", "-": "_XLCALC_LESS"}
"""Those that stand for the signs of a sum that is compared."""

ROUNDING: Mapping[str, str] = {
    name: f"_XLCALC_{name}" for name in ("INT", "QUOTIENT", "MOD", "FLOOR", "CEILING")
}
"""Those that stand for built-ins."""

SPELLING: Mapping[str, str] = {"UPPER": "_XLCALC_UPPER", "LOWER": "_XLCALC_LOWER"}
"""Those that stand for built-ins which the engine knows for the letters of English only."""

OF_ONE = frozenset({"INT", *SPELLING})
"""Those built-ins that take one value; the others take two."""

_WORK: Mapping[str, Callable[..., object]] = {
    COMPARING["="]: lambda one, other: order(one, other) == 0,
    COMPARING["<>"]: lambda one, other: order(one, other) != 0,
    COMPARING["<"]: lambda one, other: order(one, other) < 0,
    COMPARING["<="]: lambda one, other: order(one, other) <= 0,
    COMPARING[">"]: lambda one, other: order(one, other) > 0,
    COMPARING[">="]: lambda one, other: order(one, other) >= 0,
    ADDING["+"]: total,
    ADDING["-"]: difference,
    ROUNDING["INT"]: whole,
    ROUNDING["QUOTIENT"]: quotient,
    ROUNDING["MOD"]: remainder,
    ROUNDING["FLOOR"]: floor,
    ROUNDING["CEILING"]: ceiling,
    SPELLING["UPPER"]: upper,
    SPELLING["LOWER"]: lower,
}  # fmt: skip

LAST: Mapping[str, str] = {"LOOKUP": "_XLCALC_LOOKUP", "MATCH": "_XLCALC_MATCH"}
"""Those that stand for built-ins where the last fitting row is meant."""

FUNCTIONS: Mapping[str, Callable[[Cells], object]] = {
    LAST["LOOKUP"]: last_match, LAST["MATCH"]: last_row, **{name: for_engine(work) for name, work in _WORK.items()}
}  # fmt: skip
"""All of them by the names that the engine's copy calls them by."""
