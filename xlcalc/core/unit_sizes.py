"""Sizes of units: pint knows them; those that are asked for most are looked up in a table made from it.

To load pint and its definitions takes longer than to answer a formula. `data/unit_sizes.csv` is written by
`python -m xlcalc.hosts.handbook` and compared with pint by a test; nothing in it is typed.
"""

from collections.abc import Iterator
from functools import lru_cache
from typing import Any, NamedTuple

from xlcalc.core.datafiles import raw_rows

TABLE = "unit_sizes"
PRODUCTS = (
    "(liter)/(minute)", "(liter)/(second)", "(liter)/(hour)", "(milliliter)/(minute)", "(milliliter)/(hour)",
    "(meter**3)/(hour)", "(meter**3)/(second)", "(US_liquid_gallon)/(second)", "(meter)/(second)", "(foot)/(second)",
    "(millimeter**2)/(second)", "(kilogram)/(meter**3)", "(kilogram)/(meter**3*kelvin)", "(kilogram)/(liter)",
    "((kilogram)**2)/(meter**3*meter**3*kelvin)", "(gram)/(centimeter**3)", "(pound)/(foot**3)",
    "(kilojoule)/(kilogram*kelvin)", "(joule)/(kilogram*kelvin)", "(millipascal*second)", "(pascal*second)",
    "(dimensionless)/(kelvin)", "(dimensionless)/(delta_degC)", "(dimensionless)/(delta_degF)",
    "(dimensionless)/(minute)", "(kilowatt)/(kelvin)", "(watt)/(kelvin)", "(watt)/(meter*kelvin)", "(Btu)/(hour)",
    "(gram)/(kilowatt_hour)", "(ohm*millimeter**2)/(meter)", "(millimeter)/(meter)",
)  # fmt: skip  # in pint's spelling, as `units` writes them: those of our tables, functions and sheets, and common ones


class Size(NamedTuple):
    """SI value = number * factor + offset; `dimension` is pint's, e.g. `[length] ** 3 / [time]`."""

    factor: float
    offset: float
    dimension: str


@lru_cache(maxsize=1024)
def size(pint_text: str) -> Size:
    """Size of a unit in pint's spelling; pint loads only for one that the table does not hold."""
    return _made_beforehand().get(pint_text) or by_pint(pint_text)


def by_pint(pint_text: str) -> Size:
    """Size of a unit as pint works it out."""
    registry = _registry()
    offset = 0.0
    if pint_text in ("degC", "degF"):
        offset = float(registry.Quantity(0, pint_text).to("kelvin").magnitude)
        pint_text = f"delta_{pint_text}"
    base = registry.Quantity(registry.parse_expression(pint_text)).to_base_units()
    return Size(float(base.magnitude), offset, str(base.dimensionality))


def table_rows() -> Iterator[tuple[str, ...]]:
    """What data/unit_sizes.csv holds: headers, then the units of data/units.csv and the usual products of them."""
    yield "pint", "factor", "offset", "dimension"
    for text in dict.fromkeys([*(row["pint"] for row in raw_rows("units") if row["pint"]), *PRODUCTS]):
        factor, offset, dimension = by_pint(text)
        yield text, repr(factor), repr(offset), dimension


@lru_cache(maxsize=1)
def _made_beforehand() -> dict[str, Size]:
    return {row["pint"]: Size(float(row["factor"]), float(row["offset"]), row["dimension"]) for row in raw_rows(TABLE)}


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint  # noqa: PLC0415  (a third of a second: only for a unit that is not in the table)

    return pint.UnitRegistry(cache_folder=None)
