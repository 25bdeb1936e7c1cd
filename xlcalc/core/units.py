"""Units: a unit text is parsed once and remembered.

Only spellings of data/units.csv and products and quotients of them are read, so a cell can neither name a
unit that a workshop does not know nor make the parser work for long. This is the one module that converts.
"""

import re
from dataclasses import dataclass
from functools import lru_cache

from xlcalc.core.datafiles import raw_rows
from xlcalc.core.errors import WrongKind
from xlcalc.core.unit_sizes import size
from xlcalc.core.words import leading_number, nearest, plain, shown

UNKNOWN, NO_NUMBER = "is not a unit known here", "is not a number with a unit"
_GAUGE = re.compile(
    r"^(?P<unit>.+?)\s*\(?(?P<flavour>abs|absolute|a|gauge|gage|g|vac|vacuum|below atmosphere)\.?\)?$", re.I
)
_FLAVOURS = {
    "abs": "absolute",
    "absolute": "absolute",
    "a": "absolute",
    "gauge": "gauge",
    "gage": "gauge",
    "g": "gauge",
    "vac": "vacuum",
    "vacuum": "vacuum",
    "below atmosphere": "vacuum",
}
_ATOM = re.compile(r"^(.*?[^\d^*.])(?:\^|\*\*)?([1-4])$")
_BRACKETED = re.compile(r"/\s*\(([^()]*)\)")
_WORD_BELOW = re.compile(r"(?<=/)[^ /()*·⋅.^]+")
_PRINTED = {"degC": "°C", "degF": "°F", "mm2/s": "mm²/s (cSt)", "1": "", "m3/h": "m³/h", "kg/m3": "kg/m³",
            "cm2": "cm²", "mm2": "mm²"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = number * factor + offset.

    `dimension` is pint's (`[length] ** 3 / [time]`); `flavour` tells apart what the dimension cannot:
    gauge, absolute and vacuum pressures, temperatures and their differences, angles and per cent.

    >>> psi = unit("psi")
    >>> round(psi.to_si(150)), round(psi.from_si(1e6), 1)
    (1034214, 145.0)
    >>> unit("degC").to_si(20), unit("inHg vac").flavour, unit("degC").printed
    (293.15, 'vacuum', '°C')
    """

    text: str
    factor: float
    offset: float
    dimension: str
    flavour: str

    def to_si(self, number: float) -> float:
        """`number` of this unit in SI; one float."""
        return number * self.factor + self.offset

    def from_si(self, value: float) -> float:
        """An SI value as a number of this unit; one float."""
        return (value - self.offset) / self.factor

    @property
    def printed(self) -> str:
        """As a sheet or a message prints it."""
        return _PRINTED.get(self.text, self.text)


@lru_cache(maxsize=4096)
def unit(text: str) -> Unit:
    """The unit a text names.

    Raises WrongKind for an unknown unit (with the nearest known ones) and for `gal`, `gpm` and others that
    have two sizes.

    >>> unit("US gpm").dimension
    '[length] ** 3 / [time]'
    >>> unit("gpm")
    Traceback (most recent call last):
    xlcalc.core.errors.WrongKind: "gpm" alone has two sizes: write US gpm or imp gpm
    """
    wanted = plain(text)
    if len(wanted) > 40:
        raise WrongKind(f"{shown(text)} is not a unit")
    found = _pressure(wanted) or _expression(wanted)
    if found is None:
        meant = _taken_apart(wanted)
        hint = f": write it {meant}" if meant else nearest(wanted, _spellings())
        raise WrongKind(f"{shown(text)} {UNKNOWN}{hint}")
    pint_text, flavour = found
    factor, offset, dimension = size(pint_text)
    return Unit(wanted, factor, offset, dimension, flavour)


@lru_cache(maxsize=16384)
def quantity(text: str) -> tuple[float, Unit | None]:
    """Number and unit of a text such as `6 US gpm`, not yet in SI; the unit is None where only a number stands there.

    Raises WrongKind where the text is not a number with a unit known here.

    >>> number, inch = quantity("3/8 in")
    >>> number, inch.text
    (0.375, 'in')
    """
    wanted = plain(text)
    found = leading_number(wanted)
    if found is None:
        raise WrongKind(f"{shown(text)} {NO_NUMBER}")
    number, rest = found
    if number - number != 0:
        raise WrongKind(f"{shown(text)} is too large a number")
    return number, unit(rest) if rest else None


def _pressure(text: str) -> tuple[str, str] | None:
    """A pressure that says what it counts from: `psia`, `bar abs`, `kPa gauge`, `inHg vac`."""
    if text in _spellings() or not (found := _GAUGE.match(text)):
        return None
    known = _lookup(found["unit"])
    if known is None or known[1] != "pressure":
        return None
    return known[0], _FLAVOURS[found["flavour"].lower()]


def _expression(text: str) -> tuple[str, str] | None:
    """Pint's spelling and the flavour of a product or quotient of known units."""
    if (known := _lookup(text)) is not None:
        pint_text, measure = known
        return pint_text, measure if measure in (
            "temperature",
            "kelvin",
            "difference",
            "angle",
            "percent",
        ) else ""
    pieces = re.split(r"/(?![^(]*\))", text)
    if len(pieces) > 3:
        return None
    made = []
    for piece in pieces:
        product = _product(piece.strip().removeprefix("(").removesuffix(")").strip())
        if product is None:
            return None
        made.append(f"({product})")
    return "/".join(made), ""


def _taken_apart(text: str) -> str:
    """`kJ/kgK`, `kJ/(kgK)` -> `kJ/(kg K)` where a word below the stroke is two known units in one way; else empty."""
    found, text = [], _BRACKETED.sub(r"/\1", text)
    for word in _WORD_BELOW.finditer(text):
        for place in range(1, len(word[0])):
            parts = word[0][:place], word[0][place:]
            if all(part in _spellings() or part.rstrip("1234") in _spellings() for part in parts):
                found.append(f"{text[: word.start()]}({' '.join(parts)}){text[word.end() :]}")
    return found[0] if len(found) == 1 and _expression(found[0]) else ""


def _product(text: str) -> str | None:
    """Pint's spelling of `kg K`, `m2 K` or one unit."""
    if (known := _lookup(text)) is not None:
        return _multiplied(known)
    factors = []
    for word in re.split(r"[ *·⋅.]+", text):
        known = _lookup(word)
        if known is None and (power := _ATOM.match(word)) and (base := _lookup(power[1])):
            factors.append(f"({_multiplied(base)})**{power[2]}")
        elif known is not None:
            factors.append(_multiplied(known))
        else:
            return None
    return "*".join(factors) if factors else None


def _multiplied(known: tuple[str, str]) -> str:
    """Inside a product a temperature is a difference: kW/K and kW/°C are the same. An angle is refused there: its
    radians and degrees would count as whole turns."""
    if known[1] == "angle":
        raise WrongKind("an angle in a unit has no use here: write a speed of turning in rev/min")
    return {"degC": "delta_degC", "degF": "delta_degF"}.get(known[0], known[0])


def _lookup(word: str) -> tuple[str, str] | None:
    """Pint's spelling and the measure of one spelling of the table."""
    known = _spellings().get(word)
    if known is None:
        matches = {row for spelling, row in _spellings().items() if spelling.casefold() == word.casefold()}
        if len(matches) > 1:
            raise WrongKind(f'"{word}" has two readings: mind capital and small letters, as in mPa and MPa')
        known = matches.pop() if matches else None
    if known is not None and not known[0]:
        raise WrongKind(f'"{word}" alone has {known[1]}')
    return known


@lru_cache(maxsize=1)
def _spellings() -> dict[str, tuple[str, str]]:
    return {
        spelling: (row["pint"], row["measure"])
        for row in raw_rows("units")
        for spelling in (plain(word) for word in row["spellings"].split(";"))
    }
