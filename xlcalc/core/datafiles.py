"""The data files as they are written. The only module that opens them."""

import csv
import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from importlib.resources import files
from io import StringIO

from xlcalc.core.errors import DeclarationError

_HEADER = re.compile(r"^(?P<name>[^\[]+?)(?: \[(?P<unit>[^\]]+)\])?$")


def raw_rows(name: str) -> Iterator[dict[str, str]]:
    """Rows of data/`name`.csv as they are written."""
    yield from csv.DictReader(_lines(name))


def as_written(rows: Iterable[Sequence[str]]) -> str:
    """Rows as a data file holds them, the first with the headers."""
    out = StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def packed(name: str) -> bytes:
    """A file of data/ that is no table, as it is."""
    return files("xlcalc").joinpath("data", name).read_bytes()


def headers(name: str) -> dict[str, str]:
    """Column name -> unit text (empty where the column holds words) of a table."""
    return dict(split_header(header) for header in next(csv.reader(_lines(name))))


def _lines(name: str) -> StringIO:
    return StringIO(files("xlcalc").joinpath("data", f"{name}.csv").read_text(encoding="utf-8"), newline="")


def split_header(header: str) -> tuple[str, str]:
    """`bore [mm]` -> (`bore`, `mm`). Raises DeclarationError for a header of another form."""
    found = _HEADER.match(header)
    if not found:
        raise DeclarationError(f"column header {header!r} is not of the form `name [unit]`")
    return found["name"], found["unit"] or ""


@lru_cache(maxsize=1)
def fingerprint() -> str:
    """Eight letters that change whenever a figure in any table changes."""
    digest = hashlib.sha256()
    folder = files("xlcalc").joinpath("data")
    for file in sorted(folder.iterdir(), key=lambda found: found.name):
        if file.name.endswith(".csv"):
            digest.update(file.name.encode() + file.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()[:8]
