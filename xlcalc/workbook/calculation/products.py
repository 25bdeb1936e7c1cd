"""SUMPRODUCT as spreadsheets do it: a text in an area counts as 0, and the areas are of one size.

The engine takes a text for the number that it looks like, and lets a smaller area repeat.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import reduce
from itertools import chain, zip_longest
from operator import add, mul

from xlcalc.core.errors import CalcError
from xlcalc.workbook.calculation.exchange import NOT_SAID, Unspeakable, error

Rows = Sequence[Sequence[object]]
NUMBERS = (int, float)


def sum_of_products(cells: Sequence[object]) -> object:
    """The sum over all places of the product of what stands there in every area; a single value is an area of one.

    The first error is the answer, #VALUE! where areas differ in size. TRUE is 1 in one spreadsheet and 0 in another:
    left to them.

    >>> sum_of_products([[[2.0], ["3"]], [[5.0], [7.0]]])
    10.0
    """
    areas = [area_of(cell) for cell in cells]
    if len({(len(area), len(area[0])) for area in areas}) > 1:
        return error("#VALUE!")
    return summed([list(chain.from_iterable(area)) for area in areas])


def sum_of_whole_products(cells: Sequence[object]) -> object:
    """The same over whole columns or rows, which arrive only as far as something stands in them."""
    areas = [area_of(cell) for cell in cells]
    wide = max(len(row) for area in areas for row in area)
    rows = zip_longest(*areas, fillvalue=())
    padded = [[[*row, *[None] * (wide - len(row))] for row in each] for each in rows]
    return summed([list(chain.from_iterable(area)) for area in zip(*padded, strict=True)])


def summed(columns: Sequence[Sequence[object]]) -> object:
    """The sum of the products of what stands at the same place of each column, added one by one as spreadsheets do."""
    odd = [column for column in columns if set(map(type, column)) != {float}]
    if any(isinstance(cell, CalcError) for column in odd for cell in column):
        return next(cell for place in zip(*odd, strict=True) for cell in place if isinstance(cell, CalcError))
    if any(cell is True for column in odd for cell in column):
        return Unspeakable(NOT_SAID)
    return reduce(add, reduce(lambda one, other: map(mul, one, other), map(numbers, columns)), 0.0)


def numbers(column: Sequence[object]) -> Iterable[float]:
    """What counts in a column: texts and blanks are 0."""
    return [cell if isinstance(cell, NUMBERS) else 0.0 for cell in column]


def area_of(cell: object) -> Rows:
    """An argument as rows."""
    return cell if isinstance(cell, list) else [[cell]]


SUMPRODUCT, PRODUCTS, WHOLE_PRODUCTS = "SUMPRODUCT", "_XLCALC_SUMPRODUCT", "_XLCALC_SUMPRODUCT_WHOLE"
"""The built-in, and what stands for it in the engine."""

FUNCTIONS: Mapping[str, Callable[[Sequence[object]], object]] = {
    PRODUCTS: sum_of_products, WHOLE_PRODUCTS: sum_of_whole_products,
}  # fmt: skip
