"""A hose as a cell names it: a row of the hoses table, words that say it, or a row with words over it.

`HoseKind` reads a hose, `BoreKind` reads a bore, which is a quantity or the bore of a hose.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from xlcalc.core.errors import CalcError, NotInTable, OutOfRange, WrongKind
from xlcalc.core.kinds import REMEMBERED, Kind, Word
from xlcalc.core.quantities import Percent, Quantity, Temperature
from xlcalc.core.tables import Row, table
from xlcalc.core.units import quantity
from xlcalc.core.words import digits, joined, leading_number, nearest, plain, shown
from xlcalc.functions.hose_value import FIGURES, SCALED, Hose, HoseBore

_SIZE = re.compile(r"-?\s*\d[\d.,]*(?:\s*mm)?$")
_YES_NO = Word("yes", "no")
_WORDS: Mapping[str, tuple[str, Kind | None]] = {
    "bore": ("bore", Quantity("mm", 1, 150)),
    "outside": ("outside", Quantity("mm", 1, 200)),
    "bend radius": ("bend_radius", Quantity("mm", 1, 3000)),
    "pressure limit": ("working", Quantity("kPa", 1, 200_000)),
    "clamps limit": ("clamps", Quantity("kPa", 1, 200_000)),
    "proof": ("proof", Quantity("kPa", 1, 500_000)),
    "burst": ("burst", Quantity("kPa", 1, 1_000_000)),
    "from": ("coldest", Temperature("degC", -200, 400)),
    "to": ("hottest", Temperature("degC", -200, 400)),
    "liner": ("liner", None),
    "conductive": ("conductive", _YES_NO),
    "suction": ("suction", _YES_NO),
    "doubt": ("said_doubt", Percent(0, 100, small=True)),
}  # word: the field it fills, how the rest of the piece is read


@lru_cache(maxsize=REMEMBERED)
def hose(text: str) -> Hose:
    """The hose that a text names or says.

    Raises NotInTable for a name that is not in the table, WrongKind for a word that is not known or given
    wrongly, OutOfRange where two figures contradict each other.
    """
    pieces = [piece.strip() for piece in plain(text).split(";") if piece.strip()]
    if not pieces:
        raise WrongKind(f"{shown(text)} names no hose")
    made = Hose()
    said: dict[str, Any] = {}
    for place, piece in enumerate(pieces):
        if (row := _rows().get(_key(piece))) is not None:
            if made.name:
                raise WrongKind(f"{shown(text)} names two hoses: {made.name} and {_name(row)}")
            made = _from_row(row)
        elif (found := _word(piece)) is not None:
            said[found[0]] = found[1]
        elif place == 0:
            raise _unknown(piece)
        else:
            raise WrongKind(f"{shown(piece)} is not a word for a hose: use {joined(_WORDS)}")
    said.setdefault("said_doubt", made.doubt)
    made = replace(made, said=frozenset(said) & set(SCALED), **said)
    _consistent(made)
    return made


def hose_names() -> tuple[str, ...]:
    """Names of the hoses table, as printed."""
    return tuple(_name(row) for row in table("hoses"))


def families() -> tuple[str, ...]:
    """Families of the hoses table, in its order."""
    return tuple(dict.fromkeys(row.text("family") for row in table("hoses")))


def size_text(text: str) -> str:
    """One spelling of a size: `-6`, `9.5`, whatever dash, decimal sign or unit mm it was typed with."""
    wanted = re.sub(r"^-\s+(?=\d)", "-", text.strip()).removesuffix("mm").strip()
    if re.fullmatch(r"-?\d{1,3}(?:[.,]\d{1,3})?", wanted):
        return digits(float(wanted.replace(",", ".")))
    return wanted


@lru_cache(maxsize=1)
def _rows() -> Mapping[str, Row]:
    return {_key(_name(row)): row for row in table("hoses")}


def _name(row: Row) -> str:
    return f"{row.text('family')} {row.text('size')}"


def _key(name: str) -> str:
    """A name as it is looked up: any case, any spelling of the size."""
    folded = name.casefold()
    found = _SIZE.search(folded)
    return f"{folded[: found.start()].strip()} {size_text(found[0])}" if found else folded


def _from_row(row: Row) -> Hose:
    figures: dict[str, Any] = {name: row.number(name) for name in SCALED}
    return Hose(
        name=_name(row), family=row.text("family"), size=row.text("size"), **figures,
        coldest=row.number("from"), hottest=row.number("to"), liner=row.text("liner") or None,
        conductive=row.text("conductive") or None, suction=row.text("suction") or None,
        caution=row.text("caution"), doubt=row.provenance.doubt, cited=((_name(row), row.provenance),),
    )  # fmt: skip


def _word(piece: str) -> tuple[str, Any] | None:
    """Field and value of `bore 7.9 mm`; None where the piece starts with no word for a hose."""
    folded = piece.casefold()
    word = next((word for word in _WORDS if folded == word or folded.startswith(f"{word} ")), None)
    if word is None:
        return None
    field, kind = _WORDS[word]
    written = FIGURES[field][1]
    rest = piece[len(word) :].strip()
    if not rest:
        raise WrongKind(f'"{word}" stands alone: write e.g. "{written}"')
    if kind is None:
        return field, next((known for known in liners() if known.casefold() == rest.casefold()), rest)
    if isinstance(kind, Quantity) and quantity(rest)[1] is None:
        raise WrongKind(f'"{piece}" has no unit: write e.g. "{written}"')
    try:
        return field, kind.read(rest)
    except CalcError as error:
        raise type(error)(f"{word}: {error}", error.code) from None


@lru_cache(maxsize=1)
def liners() -> tuple[str, ...]:
    """Liners of the liner table."""
    return tuple(dict.fromkeys(row.text("liner") for row in table("liners")))


def _unknown(name: str) -> NotInTable:
    """The error for a name that is not in the table: the sizes of its family, or the nearest names."""
    folded = name.casefold()
    family = next((each for each in families() if folded.startswith(each.casefold())), None)
    if family is not None:
        sizes = ", ".join(row.text("size") for row in table("hoses") if row.text("family") == family)
        return NotInTable(f"{shown(name)} is not in the hoses table: {family} has the sizes {sizes}")
    near = nearest(name, hose_names()) or f": its families are {joined(families())}"
    return NotInTable(f"{shown(name)} is not in the hoses table{near}")


def _consistent(made: Hose) -> None:
    """Refuse figures that contradict each other."""
    if made.bore is not None and made.outside is not None and made.outside <= made.bore:
        raise OutOfRange(f"{made.label}: outside {digits(made.outside * 1000)} mm is not larger than "
                         f"bore {digits(made.bore * 1000)} mm")  # fmt: skip
    if made.coldest is not None and made.hottest is not None and made.hottest <= made.coldest:
        raise OutOfRange(f"{made.label}: to {digits(made.hottest - 273.15)} °C is not above "
                         f"from {digits(made.coldest - 273.15)} °C: swapped?")  # fmt: skip


class HoseKind(Kind):
    """A hose: a name of the table, words that say it, or both."""

    refuses_later = "#N/A for a figure that is not known of the hose"

    def read(self, cell: object) -> Any:
        if type(cell) is not str:
            raise WrongKind(f"{shown(cell)} is not a hose: {self.allows()}")
        return hose(cell)

    def allows(self) -> str:
        return "a hose of the table, e.g. PTFE braid -6, or words: bore 7.9 mm; pressure limit 10.3 MPa"

    def show(self, value: Any) -> str:
        own = [f"{FIGURES[name][0]} said" for name in SCALED if name in value.said]
        return "; ".join([value.name or "hose in words", *own])

    def good(self) -> list[object]:
        return [
            "PTFE braid -6", "ptfe BRAID \u20136", "PTFE braid \u22126; outside 13 mm", "return hose 9,5",
            "bore 7.9 mm; outside 13 mm; bend radius 102 mm; pressure limit 10.3 MPa; clamps limit 0.69 MPa; "
            "from -54 degC; to 204 degC; liner PTFE; suction yes; doubt 5 %",
        ]  # fmt: skip

    def bad(self) -> list[tuple[object, str]]:
        return [
            ("no such hose -6", "#N/A"), ("PTFE braid -7", "#N/A"), ("PTFE braid -6; colour blue", "#VALUE!"),
            ("PTFE braid -6; bore 7.9", "#VALUE!"), ("PTFE braid -6; bore 5 kg", "#VALUE!"),
            ("PTFE braid -6; bore 900 mm", "#NUM!"), ("PTFE braid -6; outside 5 mm", "#NUM!"),
            (5.0, "#VALUE!"), (True, "#VALUE!"), (math.nan, "#VALUE!"), ("a\x07b", "#VALUE!"),
            ("x" * 5000, "#VALUE!"),
        ]  # fmt: skip


class BoreKind(Quantity):
    """An inside diameter: a number in mm, a length with unit, or a hose, which gives its bore."""

    def __init__(self) -> None:
        super().__init__("mm", 1, 150)

    def _read_text(self, text: str) -> float:
        if leading_number(plain(text)) is None:
            return HoseBore(hose(text))
        return super()._read_text(text)

    def outside(self, given: float, said: str) -> str:
        if given < 0:
            return f"{said} is below 1 mm; a dash size needs its family; allowed {self.allows()}"
        return super().outside(given, said)

    def allows(self) -> str:
        return f"{super().allows()}, or a hose, e.g. PTFE braid -6"

    def show(self, value: Any) -> str:
        shown_bore = super().show(value)
        return f"{shown_bore} ({value.hose.label})" if isinstance(value, HoseBore) else shown_bore

    def good(self) -> list[object]:
        return [*super().good(), "PTFE braid -6", "bore 7.9 mm; liner PTFE"]

    def bad(self) -> list[tuple[object, str]]:
        cells = [(cell, code) for cell, code in super().bad() if cell != "abc"]
        return [*cells, ("abc", "#N/A"), (-6, "#NUM!"), ("liner PTFE", "#N/A")]
