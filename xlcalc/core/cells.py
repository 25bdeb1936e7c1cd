"""A cell as a door hands it over: blank or filled, one or a range of them, a number."""

from collections.abc import Sequence

from xlcalc.core.errors import OutOfRange, WrongKind
from xlcalc.core.words import shown


def blank(cell: object) -> bool:
    """True for an empty cell and for text without letters."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def any_given(cell: object) -> bool:
    """True where a cell, or any cell of a range, holds anything."""
    if isinstance(cell, list):
        return any(not blank(each) for each in flat(cell))
    return not blank(cell)


def flat(cell: object) -> Sequence[object]:
    """Cells of a range in reading order; a single cell is a range of one.

    >>> flat([[1, 2], [3, 4]]), flat(5)
    ([1, 2, 3, 4], (5,))
    """
    if not isinstance(cell, list):
        return (cell,)
    return [each for row in cell for each in (row if isinstance(row, list) else (row,))]


def number(cell: object) -> float:
    """A number that is not text, as a float without unit.

    Raises WrongKind for true/false, dates, NaN and everything else, OutOfRange for an integer too large for a cell.
    """
    if isinstance(cell, bool | str | bytes | list | tuple | dict):
        raise WrongKind(f"{shown(cell)} is not a number")
    try:
        value = float(cell)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise WrongKind(f"{shown(cell)} is not a number") from None
    except OverflowError:
        raise OutOfRange("the number is too large for a cell") from None
    if value - value != 0:
        raise WrongKind(f"{shown(cell)} is not a number")
    return value
