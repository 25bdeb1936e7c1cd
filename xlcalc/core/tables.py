"""Tables of figures, each with source, place, mark and doubt."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from xlcalc.core.datafiles import fingerprint, headers, raw_rows, split_header
from xlcalc.core.errors import DeclarationError
from xlcalc.core.units import unit

__all__ = [
    "FROM_MEMORY",
    "MARKS",
    "Provenance",
    "Row",
    "Source",
    "fingerprint",
    "headers",
    "raw_rows",
    "sources",
    "table",
]

FROM_MEMORY = "from memory, not seen in print"
MARKS = {
    "V": "seen in a reproduction of the source",
    "C": "computed from figures that were seen",
    "S": "seen in a secondary copy only",
    "M": "from memory",
    "P": "common practice",
}
_PROVENANCE = ("note", "source", "place", "mark", "doubt_basis", "doubt")


@dataclass(frozen=True, slots=True)
class Source:
    """Where figures come from. `kind`: published, library, derived, practice or memory.

    >>> sources()["USSA76"].cited
    'US Standard Atmosphere 1976, 1976'
    """

    id: str
    title: str
    edition: str
    kind: str
    reread: bool
    checked: str
    note: str

    @property
    def cited(self) -> str:
        """One line for a sheet or a message."""
        edition = f", {self.edition}" if self.edition else ""
        return f"{self.title}{edition}" + (" (not re-read)" if self.kind == "published" and not self.reread else "")


@dataclass(frozen=True, slots=True)
class Provenance:
    """Source id, place in it, mark (V, S, C, M, P) and doubt (fraction of the value) of a row."""

    source: str
    place: str
    mark: str
    doubt: float
    doubt_basis: str = ""
    note: str = ""

    @property
    def memory(self) -> bool:
        """True where the figure was written down from memory."""
        return self.mark == "M"

    @property
    def cited(self) -> str:
        """`AC 43.13-1B, Table 9-3 (seen in a reproduction of the source)`."""
        if self.source == "PRACTICE":
            return "common practice"
        if self.source == "MEM":
            return FROM_MEMORY
        place = f", {self.place}" if self.place else ""
        return f"{sources()[self.source].cited}{place} ({MARKS[self.mark]})"


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: `row["bore"]` is SI (float), text, or None where the cell is blank. KeyError for no column.

    >>> row = next(row for row in table("hoses") if row.text("family") == "wire braid rubber")
    >>> row.text("size"), row["bore"], row.provenance.source  # bore in m
    ('-3', 0.003175, 'AC43-9-3')
    """

    cells: Mapping[str, float | str | None]
    provenance: Provenance

    def __getitem__(self, name: str) -> float | str | None:
        return self.cells[name]

    def number(self, name: str) -> float | None:
        """A figure in SI, or None where it is not known."""
        value = self.cells[name]
        return value if isinstance(value, float) else None

    def text(self, name: str) -> str:
        """A word, or an empty text."""
        value = self.cells[name]
        return value if isinstance(value, str) else ""


@lru_cache(maxsize=1)
def sources() -> Mapping[str, Source]:
    """Source id -> source, in the order of data/sources.csv."""
    return {
        row["id"]: Source(
            row["id"],
            row["title"],
            row["edition"],
            row["kind"],
            row["reread"] == "yes",
            row["checked"],
            row["note"],
        )
        for row in raw_rows("sources")
    }


@lru_cache(maxsize=32)
def table(name: str) -> tuple[Row, ...]:
    """Rows of data/`name`.csv, numbers in SI.

    Raises DeclarationError where a row has no known source, mark or doubt, or a number is not one.
    """
    columns = headers(name)
    return tuple(_row(name, place, raw, columns) for place, raw in enumerate(raw_rows(name), start=2))


def _row(name: str, place: int, raw: Mapping[str, str], columns: Mapping[str, str]) -> Row:
    where = f"data/{name}.csv, line {place}"
    cells: dict[str, float | str | None] = {}
    for header, text in raw.items():
        column, unit_text = split_header(header)
        if column not in _PROVENANCE:
            cells[column] = _cell(text, columns[column], where) if unit_text else (text or None)
    mark, source, doubt = raw["mark"], raw["source"], raw.get("doubt [%]", "")
    if mark not in MARKS or source not in sources():
        raise DeclarationError(f"{where}: mark {mark!r} or source {source!r} is not known")
    try:
        share = float(doubt) / 100
    except ValueError:
        raise DeclarationError(f"{where}: the doubt {doubt!r} is not a number") from None
    return Row(cells, Provenance(source, raw["place"], mark, share, raw.get("doubt_basis", ""), raw["note"]))


def _cell(text: str, unit_text: str, where: str) -> float | None:
    if not text:
        return None
    try:
        return unit(unit_text).to_si(float(text))
    except ValueError:
        raise DeclarationError(f"{where}: {text!r} is not a number") from None
