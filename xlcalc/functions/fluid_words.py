"""Fluids in words: a name of the table, figures told apart by their units, or both."""

import re
from functools import lru_cache
from typing import Any

from xlcalc.core.cells import number
from xlcalc.core.errors import NotInTable, OutOfRange, WrongKind
from xlcalc.core.kinds import Kind
from xlcalc.core.quantities import COLDEST_KELVIN
from xlcalc.core.tables import Row, table
from xlcalc.core.units import Unit, quantity, unit
from xlcalc.core.words import joined, leading_number, nearest, plain, shown
from xlcalc.functions.fluid import FUELS, OILS, Fluid
from xlcalc.functions.fluid_build import ColdLimit, Said, build

CLASSES = ("petrol", "kerosene", "diesel", "lubricating", "E10")
KINDS = (*FUELS, *OILS, "brake fluid", "coolant", "air", "water")
_HEADS = ("density", "viscosity")
_WORDED = re.compile(
    r"^(kind|class|doubt|rvp|vapour|vapor|from|to|cp|at most|density|viscosity)\b\s*[:=]?\s*(.+)$", re.I
)
_LIKE = {"doubt": "doubt 10 %", "from": "from -30 degC", "to": "to 150 degC", "cp": "cp 2.0 kJ/(kg K)",
         "rvp": "RVP 10 psi", "vapour": "vapour 55 kPa @ 37.8 degC", "vapor": "vapour 55 kPa @ 37.8 degC"}  # fmt: skip
_SPANS = {"density": (0.5, 5000.0), "nu": (1e-8, 1.0), "mu": (1e-6, 1000.0), "cp": (100.0, 10000.0),
          "vapour": (0.0, 5e6), "rvp": (6894.0, 138000.0)}  # fmt: skip


def fluid_of(cell: object) -> Fluid:
    """The fluid that a cell names. Raises WrongKind for what is not words, NotInTable for an unknown name."""
    if not isinstance(cell, str):
        raise WrongKind(
            f"{shown(cell)} is not a fluid: give its name{'' if isinstance(cell, bool) else _unit_hint(cell)}"
        )
    return _fluid(cell)


def _unit_hint(cell: object) -> str:
    number(cell)
    return ", or a density and a viscosity with their units"


@lru_cache(4096)
def _fluid(text: str) -> Fluid:
    words = plain(text)
    pieces = [piece.strip() for piece in words.split(";") if piece.strip()]
    if not pieces:
        raise WrongKind(f"{shown(text)} names no fluid")
    said = Said()
    for piece in pieces:
        _take(piece, said)
    return build(words, said)


def _take(piece: str, said: Said) -> None:
    """Add one piece of the words."""
    found = _WORDED.match(piece)
    head, rest = (found[1].lower(), found[2].strip()) if found else ("", piece)
    if head in ("kind", "class"):
        known = KINDS if head == "kind" else CLASSES
        word = {each.casefold(): each for each in known}.get(rest.casefold())
        if word is None:
            raise WrongKind(f"{shown(rest)} is not a {head} of fluid: {joined(known)}")
        setattr(said, "kind" if head == "kind" else "expansion", word)
    elif head and head not in _HEADS:
        _take_worded(head, rest, said)
    elif leading_number(rest) is not None and rest.casefold() not in _names():
        _take_figure(rest, said)
    else:
        _take_name(rest, said)


def _take_name(word: str, said: Said) -> None:
    if (row := _names().get(word.casefold())) is not None:
        if said.row is not None and said.row is not row:
            raise WrongKind(f"two fluids are named: {said.row.text('fluid')} and {row.text('fluid')}")
        said.row = row
    elif word.casefold() in {each.casefold(): each for each in CLASSES}:
        said.expansion = {each.casefold(): each for each in CLASSES}[word.casefold()]
    else:
        near = nearest(word, [*fluid_names(), *CLASSES]) or f": it has {joined(fluid_names())}"
        raise NotInTable(f"{shown(word)} is not in the fluids table{near}")


def _take_worded(head: str, rest: str, said: Said) -> None:
    value, at, measure = _figure(rest)
    if head == "doubt":
        said.doubt = _of(measure, value, "percent", rest, head)
        if not 0.0 <= said.doubt <= 0.9:
            raise OutOfRange(f"doubt {rest}: allowed 0 to 90 %")
    elif head in ("from", "to"):
        setattr(said, "coldest" if head == "from" else "hottest", _of(measure, value, "temperature", rest, head))
    elif head == "cp":
        _once(said.heat is None, "specific heat", rest)
        said.heat = _checked("cp", _of(measure, value, "cp", rest, head), rest)
    elif head == "rvp":
        _once(said.rvp is None, "Reid vapour pressure", rest)
        said.rvp = _checked("rvp", _of(measure, value, "pressure", rest, head), rest)
    elif head in ("vapour", "vapor"):
        said.vapour.append((_checked("vapour", _of(measure, value, "pressure", rest, head), rest), at))
    else:
        if measure not in ("mu", "nu") or at is None:
            raise WrongKind(f"at most {rest}: write it like at most 20000 mPa s @ -40 degC")
        said.cold_limit = ColdLimit(_checked(measure, value, rest), at, dynamic=measure == "mu")


def _take_figure(piece: str, said: Said) -> None:
    value, at, measure = _figure(piece)
    if measure == "density":
        _once(said.density is None, "density", piece)
        said.density = (_checked(measure, value, piece), at)
    elif measure == "nu":
        said.kinematic.append((_checked(measure, value, piece), at))
    elif measure == "mu":
        said.dynamic.append((_checked(measure, value, piece), at))
    elif measure == "cp":
        _once(said.heat is None, "specific heat", piece)
        said.heat = _checked(measure, value, piece)
    else:
        raise WrongKind(
            f"{shown(piece)} is neither a density nor a viscosity: say what it is, e.g. vapour 55 kPa @ 38 degC"
        )


def _figure(piece: str) -> tuple[float, float | None, str]:
    """Value in SI, temperature after the @ in K, and what its unit measures."""
    text, _, place = piece.partition("@")
    value, said = quantity(text.strip())
    at = None
    if place.strip():
        given, degrees = quantity(place.strip())
        if degrees is None or _measure(degrees) != "temperature" or _a_difference(degrees, given):
            raise WrongKind(f"{shown(piece)}: after the @ stands a temperature with its unit, e.g. @ 40 degC")
        at = degrees.to_si(given)
    if said is None:
        raise WrongKind(f"{shown(piece)} has no unit")
    if _a_difference(said, value):
        raise WrongKind(f"{shown(piece)} reads as a difference of temperatures: give a temperature in °C")
    return said.to_si(value), at, _measure(said)


def _a_difference(said: Unit, value: float) -> bool:
    """True for so few kelvin that a difference of temperatures is meant."""
    return said.flavour == "kelvin" and value < COLDEST_KELVIN


def _measure(said: Unit) -> str:
    """What a unit measures; a pressure that counts from or down from the atmosphere is none of a vapour."""
    if said.flavour in ("temperature", "kelvin", "percent"):
        return "temperature" if said.flavour == "kelvin" else said.flavour
    known = {unit(text).dimension: name for text, name in (
        ("kg/m3", "density"), ("mm2/s", "nu"), ("mPa s", "mu"), ("kJ/(kg K)", "cp"), ("kPa", "pressure"))}  # fmt: skip
    measure = known.get(said.dimension, "")
    return said.flavour if measure == "pressure" and said.flavour in ("gauge", "vacuum") else measure


def _of(measure: str, value: float, wanted: str, piece: str, head: str) -> float:
    if measure in ("gauge", "vacuum") and wanted == "pressure":
        raise WrongKind(f"{head} {piece}: a vapour pressure counts from a perfect vacuum, write it in kPa abs")
    if measure != wanted:
        raise WrongKind(f"{head} {piece} is not in a unit of that kind: write it like {_LIKE[head]}")
    return value


def _once(first: bool, what: str, piece: str) -> None:
    """Refuse a second figure where the words can hold one only."""
    if not first:
        raise WrongKind(f"{shown(piece)}: the {what} is said twice, leave one of them")


def _checked(measure: str, value: float, piece: str) -> float:
    low, high = _SPANS[measure]
    if not low <= value <= high:
        raise OutOfRange(f"{shown(piece)} is not a figure of any fluid in a vehicle: check number and unit")
    return value


@lru_cache(1)
def _names() -> dict[str, Row]:
    return {row.text("fluid").casefold(): row for row in table("fluids")}


def fluid_names() -> list[str]:
    """Names of the fluids table, in its order."""
    return [row.text("fluid") for row in table("fluids")]


class FluidKind(Kind):
    """A fluid of the table, or words that say it."""

    refuses_later = "#NUM! at a temperature at which the fluid is not known, #N/A for a property not known of it"

    def read(self, cell: object) -> Any:
        return fluid_of(cell)

    def allows(self) -> str:
        return "a name of the fluids table, or words such as 865 kg/m3; 34 mm2/s @ 40 degC; 7.2 mm2/s @ 100 degC"

    def show(self, value: Any) -> str:
        return str(value.name)

    def good(self) -> list[object]:
        return ["ATF generic", "water", "COOLANT 50/50", "petrol; RVP 7 psi", "900 kg/m3; 444 mm2/s",
                "865 kg/m3; 34 mm2/s @ 40 degC; 7.2 mm2/s @ 100 degC", "ATF generic; 900 mm2/s @ -20 degC"]  # fmt: skip

    def bad(self) -> list[tuple[object, str]]:
        return [("no such fluid", "#N/A"), (5, "#VALUE!"), (True, "#VALUE!"), ("865 kg/m3; 34 mm", "#VALUE!"),
                ("x" * 5000, "#VALUE!"), (float("nan"), "#VALUE!"), ("865 kg/m3; 3 gal", "#VALUE!"),
                ("9000 kg/m3; 34 mm2/s", "#NUM!")]  # fmt: skip
