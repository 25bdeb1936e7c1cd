"""What a hose bears: pressure at a temperature, and the fluid that its liner suits."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Self

from xlcalc.core.errors import NotInTable, OutOfRange
from xlcalc.core.steps import cite, listening, step
from xlcalc.core.tables import Row, table
from xlcalc.core.words import digits, joined
from xlcalc.functions.fluid import FUELS, Fluid, celsius
from xlcalc.functions.hose_value import Hose

BURST_RATIO, PROOF_RATIO = 4.0, 2.0  # 14 CFR 25.1435: burst and proof over working pressure
DERATING = "derating of the liner"
FOR_OIL = ("oil suction",)  # families that their rows in data/hoses.csv call hoses for mineral oil
A_HAIR, A_HAIR_OF_HEAT = 1e-6, 0.005  # share, K: the tables round limits printed in psi and degF by less


@dataclass(frozen=True, slots=True)
class Derating:
    """Share of its cold pressure limit that a hose keeps when hot, by its liner; `side` leans the points.

    Straight between the points of data/derating.csv, full below the first, straight on above the last. A
    liner without points keeps its full limit up to its rated temperature.
    """

    side: int = 0

    @property
    def doubts(self) -> Sequence[str]:
        """The points of the table, but the first: that is where the full limit is stated."""
        return (DERATING,)

    def lean(self, doubt: str, side: int) -> Self:
        """The same rule with its points at the upper (+1) or lower (-1) end of their doubt."""
        return replace(self, side=side if doubt == DERATING else self.side)

    def share(self, hose: Hose, temperature: float) -> float:
        """Share of the pressure limit at a temperature (K). Raises NotInTable where the liner is needed."""
        if hose.liner is None:
            if temperature > min(first for first, _ in _first_points()):
                raise hose.lacks("liner")
            return 1.0
        rows = _derating().get(hose.liner, ())
        if not rows or temperature <= _point(rows[0])[0]:
            return 1.0
        if listening():
            cite(f"Derating of {hose.liner}", rows[-1].provenance)
        points = [_point(rows[0]), *(self._leaned(row) for row in rows[1:])]
        place = next((place for place, (at, _) in enumerate(points) if temperature <= at), len(points) - 1)
        (cooler, more), (hotter, less) = points[place - 1], points[place]
        return more + (less - more) * (temperature - cooler) / (hotter - cooler)

    def _leaned(self, row: Row) -> tuple[float, float]:
        at, share = _point(row)
        return at, min(1.0, share * (1.0 + self.side * row.provenance.doubt))


BY_LINER = Derating()


@lru_cache(maxsize=1)
def _derating() -> Mapping[str, Sequence[Row]]:
    """Rows of each liner, coldest first."""
    rows: dict[str, list[Row]] = {}
    for row in sorted(table("derating"), key=lambda row: _point(row)[0]):
        rows.setdefault(row.text("liner"), []).append(row)
    return rows


def _first_points() -> Sequence[tuple[float, float]]:
    return [_point(rows[0]) for rows in _derating().values()]


def _point(row: Row) -> tuple[float, float]:
    return row.number("temperature") or 0.0, row.number("factor") or 0.0


def pressure_limit(hose: Hose, temperature: float, ends: str, derating: Derating = BY_LINER) -> float:
    """Highest pressure (Pa gauge) of a hose with its ends at a temperature (K).

    Raises NotInTable where a figure is not known or clamps are not allowed, OutOfRange above the rated
    temperature.
    """
    hottest = hose.figure("hottest")
    if temperature > hottest + A_HAIR_OF_HEAT:
        raise OutOfRange(f"{hose.label} is rated to {celsius(hottest)}; {celsius(temperature)} is too hot for it")
    limit = hose.figure("working")
    if hose.burst is not None:
        limit = min(limit, hose.burst / BURST_RATIO)
    if hose.proof is not None:
        limit = min(limit, hose.proof / PROOF_RATIO)
    share = derating.share(hose, temperature)
    if listening():
        _tell(hose, temperature, limit, share)
    if ends != "clamps":
        return limit * share
    if hose.clamps is None:
        raise no_clamps(hose)
    return min(limit * share, hose.clamps)


def _tell(hose: Hose, temperature: float, limit: float, share: float) -> None:
    """Say the figures that the limit is the smallest of (ANSWER_STEPS)."""
    step(f"Pressure limit of the hose: {kilopascal(hose.working)}")
    if hose.burst is not None:
        step(f"A quarter of its burst pressure: {kilopascal(hose.burst / BURST_RATIO)}")
    if hose.proof is not None:
        step(f"Half of its proof pressure: {kilopascal(hose.proof / PROOF_RATIO)}")
    step(f"The smallest, {kilopascal(limit)}, times {digits(round(share, 4))} at {celsius(temperature)}")
    if hose.clamps is not None:
        step(f"Limit with clamps, not derated: {kilopascal(hose.clamps)}")


def no_clamps(hose: Hose) -> NotInTable:
    """The error for clamps on a hose that has no limit with clamps."""
    start = hose.name or "…"
    return NotInTable(
        f"clamps are not allowed on {hose.label}: use crimped or reusable ends; where its maker allows "
        f'clamps, write "{start}; clamps limit 0.69 MPa"'
    )


def liner_match(hose: Hose, fluid: Fluid) -> str:
    """`yes`, `limited` or `no`: how the liner bears the fluid.

    Raises NotInTable where the liner or the kind of fluid is not known or the pair is not in the table.
    """
    if hose.liner is None:
        raise hose.lacks("liner")
    known = _liners().get(hose.liner)
    if known is None:
        raise NotInTable(f"liner {hose.liner} is not in the liner table, which knows {joined(_liners())}")
    if not fluid.kind:
        raise NotInTable(
            f"the kind of {fluid.name} is not known, so the liner cannot be judged: write e.g. "
            f'"…; kind {next(iter(known))}", one of {joined(known)}'
        )
    row = known.get(fluid.kind)
    if row is None:
        raise NotInTable(f"the liner table does not say how {hose.liner} bears {fluid.kind}; it knows {joined(known)}")
    cite(f"Liner {hose.liner} in {fluid.kind}", row.provenance)
    return row.text("match")


@lru_cache(maxsize=1)
def _liners() -> Mapping[str, Mapping[str, Row]]:
    rows: dict[str, dict[str, Row]] = {}
    for row in table("liners"):
        rows.setdefault(row.text("liner"), {})[row.text("fluid_kind")] = row
    return rows


@lru_cache(maxsize=16)
def suction_families(kind: str) -> tuple[str, ...]:
    """Families of the hoses table that may be used in suction and whose liner suits a kind of fluid.

    A hose for oil is not named for a fuel, though its liner would bear it.
    """
    suited = {liner for liner, kinds in _liners().items() if kind in kinds and kinds[kind].text("match") == "yes"}
    return tuple(dict.fromkeys(row.text("family") for row in table("hoses")
                               if row.text("suction") == "yes" and row.text("liner") in suited
                               and not (kind in FUELS and row.text("family") in FOR_OIL)))  # fmt: skip


def kilopascal(pressure: float | None) -> str:
    """A pressure (Pa) as a step prints it."""
    return f"{digits(float(f'{(pressure or 0.0) / 1000.0:.5g}'))} kPa"
