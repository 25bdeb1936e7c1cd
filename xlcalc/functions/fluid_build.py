"""A fluid from what its words say and what its row of the table holds."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

from xlcalc.core.errors import OutOfRange, WrongKind
from xlcalc.core.tables import Provenance, Row, table
from xlcalc.core.units import unit
from xlcalc.functions import air
from xlcalc.functions.fluid import DENSITY, GROWTH, HEAT, VAPOUR, VISCOSITY, Fluid, celsius
from xlcalc.functions.laws import (
    BASE_15,
    D341,
    ZERO_CELSIUS,
    Antoine,
    Constant,
    Law,
    PetrolVapour,
    Single,
    Straight,
    class_span,
    density_law,
)

DEFAULT_SHARES = {VISCOSITY: 0.10, DENSITY: 0.01, GROWTH: 0.05, VAPOUR: 0.05, HEAT: 0.10}  # common practice
CONSTANT_SPAN = (ZERO_CELSIUS - 60.0, ZERO_CELSIUS + 200.0)
THINNEST_LIQUID = 100.0  # kg/m3, common practice: liquids in a vehicle have over 400, gases at its pressures less
LONGEST_NAME = 60  # characters of a fluid in words that messages repeat
BEYOND_MEASURED = 20.0  # K that a fluid in words reaches beyond its measured points


@dataclass(frozen=True, slots=True)
class ColdLimit:
    """The thickest that a grade allows (Pa s, or m2/s where not `dynamic`) at a temperature in K."""

    viscosity: float
    at: float
    dynamic: bool


@dataclass
class Said:
    """What the words say, in SI; `row` is the table's row that they start from."""

    row: Row | None = None
    kind: str = ""
    expansion: str = ""
    density: tuple[float, float | None] | None = None
    kinematic: list[tuple[float, float | None]] = field(default_factory=list)
    dynamic: list[tuple[float, float | None]] = field(default_factory=list)
    vapour: list[tuple[float, float | None]] = field(default_factory=list)
    rvp: float | None = None
    cold_limit: ColdLimit | None = None
    heat: float | None = None
    doubt: float | None = None
    coldest: float | None = None
    hottest: float | None = None


@lru_cache(64)
def _points(fluid: str, name: str) -> tuple[tuple[float, float], ...]:
    """Points (K, SI) of a property in data/fluid_points.csv."""
    return tuple(
        sorted(
            (row.number("temperature") or 0.0, unit(row.text("unit")).to_si(float(row.text("value"))))
            for row in table("fluid_points")
            if row.text("fluid") == fluid and row.text("property") == name
        )
    )


def build(words: str, said: Said) -> Fluid:
    """The fluid that the words and the table's row say together."""
    row = said.row
    name = row.text("fluid") if row else words if len(words) <= LONGEST_NAME else f"{words[:LONGEST_NAME]}…"
    kind = said.kind or (row.text("kind") if row else "")
    if said.density is not None and said.density[0] < THINNEST_LIQUID and kind != "air":
        raise OutOfRange(f"{said.density[0]:.5g} kg/m³ is the density of a gas: a liquid has e.g. 865 kg/m3 "
                         "(0.865 kg/L); for a gas add kind air")  # fmt: skip
    law_density = _density_law(said)
    law_viscosity, measured = _viscosity_law(said, law_density)
    coldest, hottest = _span(said, measured)
    return Fluid(
        name=name,
        kind=kind,
        density_law=law_density,
        viscosity_law=law_viscosity,
        vapour_law=_vapour_law(said),
        heat_law=_heat_law(said),
        coldest=coldest,
        hottest=hottest,
        measured=measured,
        thickest=_thickest(said, law_density, law_viscosity, measured),
        shares=_shares(said),
        cited=_cited(said),
        caution=row.text("caution") if row else "",
        density_at=_or_15(said.density[1]) if said.density else None,
    )


def _density_law(said: Said) -> Law | None:
    row = said.row
    if said.density is None and row is not None:
        if row.text("kind") == "air":
            return air.density
        if points := _points(row.text("fluid"), "density"):
            return Straight(points)
    stated = said.density or ((row.number("density_15"), None) if row else (None, None))
    value, at = stated[0], stated[1]
    if value is None:
        return None
    expansion = said.expansion or (row.text("class") if row else "")
    if not expansion:
        return Constant(value)
    law = density_law(expansion, value, _or_15(at))
    _check_class(expansion, law(BASE_15))
    return law


def _or_15(at: float | None) -> float:
    return BASE_15 if at is None else at


def _check_class(expansion: str, density_15: float) -> None:
    """A class word that does not go with its density is a slip of the pen."""
    low, high = class_span(expansion)
    if not low <= density_15 <= high:
        raise OutOfRange(f"{expansion} of {density_15:.5g} kg/m³ at 15 °C: {expansion} has {low:g} to {high:g} kg/m³")


def _viscosity_law(said: Said, density: Law | None) -> tuple[Law | None, tuple[float, float] | None]:
    """Law of the kinematic viscosity and the ends of its measured points."""
    stated = [*said.kinematic, *_kinematic_of(said.dynamic, density)]
    fixed = [value for value, at in stated if at is None]
    if fixed or (said.dynamic and any(at is None for _, at in said.dynamic)):
        if len(fixed) + len([at for _, at in said.dynamic if at is None]) > 1 or len(stated) > 1:
            raise WrongKind("a viscosity without @ holds at every temperature: give one, or all with @")
        return (Constant(fixed[0]) if fixed else _over(Constant(said.dynamic[0][0]), density)), None
    points = {at: value for value, at in stated if at is not None}
    row = said.row
    if row is not None and len(points) < 2:
        if not points and row.text("kind") == "air":
            return air.kinematic_viscosity, None
        if not points and (tabled := _points(row.text("fluid"), "dynamic viscosity")):
            return _over(Straight(tabled, logarithmic=True), density), _measured(row)
        points = {**_table_points(row), **points}
    return _joined(points)


def _measured(row: Row) -> tuple[float, float] | None:
    """Ends of what was measured, which may be less than the table's points: petrol is carried on from one point, a
    blend is worked out from its parts and was measured nowhere."""
    low, high = row.number("measured_from"), row.number("measured_to")
    return None if low is None or high is None else (low, high)


def _table_points(row: Row) -> dict[float, float]:
    known = {
        ZERO_CELSIUS + 40.0: row.number("viscosity_40"),
        ZERO_CELSIUS + 100.0: row.number("viscosity_100"),
    }
    return {at: value for at, value in known.items() if value is not None}


def _joined(points: dict[float, float]) -> tuple[Law | None, tuple[float, float] | None]:
    if not points:
        return None, None
    ordered = tuple(sorted(points.items()))
    if len(ordered) == 1:
        return Single(*ordered[0]), (ordered[0][0], ordered[0][0])
    for (cold, at_cold), (hot, at_hot) in pairwise(ordered):
        if at_hot >= at_cold:
            raise WrongKind(f"{at_hot * 1e6:.4g} mm²/s at {celsius(hot)} is not thinner than {at_cold * 1e6:.4g} at "
                            f"{celsius(cold)}: swapped?")  # fmt: skip
    return D341(ordered), (ordered[0][0], ordered[-1][0])


def _kinematic_of(
    dynamic: Iterable[tuple[float, float | None]], density: Law | None
) -> list[tuple[float, float | None]]:
    """Measured dynamic viscosities as kinematic ones; those without a temperature are left to `_over`."""
    if density is None and dynamic:
        raise WrongKind("a viscosity in mPa s needs a density beside it, e.g. 865 kg/m3")
    return [(value / density(at), at) for value, at in dynamic if at is not None and density is not None]


def _over(dynamic: Law, density: Law | None) -> Law:
    if density is None:
        raise WrongKind("a viscosity in mPa s needs a density beside it, e.g. 865 kg/m3")
    return lambda temperature: dynamic(temperature) / density(temperature)


def _vapour_law(said: Said) -> Law | None:
    row = said.row
    if said.vapour:
        return _said_vapour(said.vapour)
    if said.rvp is not None:
        if (said.kind or (row.text("kind") if row else "")) in ("E10", "E85"):
            raise WrongKind(
                "the Reid relation does not hold for ethanol blends: give the vapour pressure at two temperatures"
            )
        return PetrolVapour(said.rvp)
    return None if row is None else _table_vapour(row)


def _said_vapour(said: list[tuple[float, float | None]]) -> Law:
    """One vapour pressure that holds at all temperatures, or ln(p) straight in 1/T through two."""
    points = sorted((at, value) for value, at in said if at is not None)
    if len(said) == 1 and not points:
        return Constant(said[0][0])
    if len(points) != 2 or len(said) != 2 or points[0][0] == points[1][0]:
        raise WrongKind("give the vapour pressure at two temperatures, or one without @ that holds at all")
    (cold, at_cold), (hot, at_hot) = points
    if at_cold <= 0.0:
        raise OutOfRange("a vapour pressure with @ must be above 0")
    if at_hot <= at_cold:
        raise WrongKind(f"the vapour pressure at {celsius(hot)} is not above that at {celsius(cold)}: swapped?")
    return Straight(((cold, at_cold), (hot, at_hot)), logarithmic=True)


def _table_vapour(row: Row) -> Law | None:
    if (constant := row.number("vapour")) is not None:
        return Constant(constant)
    if (a := row.number("antoine_A")) is not None:
        return Antoine(a, row.number("antoine_B") or 0.0, row.number("antoine_C") or 0.0)
    points = _points(row.text("fluid"), "vapour pressure")
    return Straight(points, logarithmic=True) if points else None


def _heat_law(said: Said) -> Law | None:
    if said.heat is not None:
        return Constant(said.heat)
    if said.row is None:
        return None
    if points := _points(said.row.text("fluid"), "specific heat"):
        return Straight(points)
    stated = said.row.number("cp")
    return None if stated is None else Constant(stated)


def _span(said: Said, measured: tuple[float, float] | None) -> tuple[float, float]:
    if said.row is not None:
        low, high = said.row.number("from") or CONSTANT_SPAN[0], said.row.number("to") or CONSTANT_SPAN[1]
    elif measured is not None:
        low, high = measured[0] - BEYOND_MEASURED, measured[1] + BEYOND_MEASURED
    else:
        low, high = CONSTANT_SPAN
    low, high = said.coldest or low, said.hottest or high
    if low >= high:
        raise WrongKind(f"the span runs from {celsius(low)} to {celsius(high)}: swapped?")
    return low, high


def _thickest(
    said: Said, density: Law | None, viscosity: Law | None, measured: tuple[float, float] | None
) -> Law | None:
    """The line through the coldest measured point and the thickest that the grade allows in the cold."""
    limit = said.cold_limit
    if limit is None and said.row is not None and (stated := said.row.number("cold_limit")) is not None:
        limit = ColdLimit(stated, said.row.number("cold_limit_at") or 0.0, dynamic=True)
    if limit is None or density is None or viscosity is None or measured is None or limit.at >= measured[0]:
        return None
    kinematic = limit.viscosity / density(limit.at) if limit.dynamic else limit.viscosity
    return D341(((limit.at, kinematic), (measured[0], viscosity(measured[0]))))


def _shares(said: Said) -> dict[str, float]:
    shares = dict(DEFAULT_SHARES)
    if said.row is not None:
        columns = {VISCOSITY: "doubt_viscosity", DENSITY: "doubt_density", GROWTH: "doubt_growth",
                   VAPOUR: "doubt_vapour", HEAT: "doubt_cp"}  # fmt: skip
        shares.update({name: share for name, column in columns.items()
                       if (share := said.row.number(column)) is not None})  # fmt: skip
    if said.doubt is not None:
        shares[VISCOSITY] = said.doubt
    return shares


def _cited(said: Said) -> tuple[tuple[str, Provenance], ...]:
    cited: list[tuple[str, Provenance]] = []
    if said.row is not None:
        cited.append((said.row.text("fluid"), said.row.provenance))
        fluid = said.row.text("fluid")
        cited += {f"{fluid}, {row.text('property')}": row.provenance for row in table("fluid_points")
                  if row.text("fluid") == fluid}.items()  # fmt: skip
    return tuple(cited)
