"""What the template of this version says in every cell, its rows of data once: made from it, kept in `data/audit`.

A table whose rows all have the same formulas stands there with one row. `python -m xlcalc.hosts.handbook` makes it.
"""

import gzip
import json
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from xlcalc.core.datafiles import packed
from xlcalc.core.registry import functions
from xlcalc.workbook.audit.reading.patterns import Pattern, formulas, read
from xlcalc.workbook.audit.reading.typed import typed
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value

PLACE = "audit/template.json.gz"
FEWEST_OF_TABLE = 3  # formulas that a row of a table has; labelled cells under each other have fewer
LONGEST_LABEL = 120  # letters; a longer text is a sentence that a shop rewrites


@dataclass(frozen=True, eq=False)
class KnownRow:
    """A row of the template, or the rows of a table, one below the other with the same formulas: `first` to `last`.

    `texts` and `spelled` are what the first of them holds, by column.
    """

    first: int
    last: int
    texts: dict[int, str]
    spelled: dict[int, str]

    @property
    def repeated(self) -> bool:
        """True for the rows of a table."""
        return self.last > self.first

    @cached_property
    def formulas(self) -> dict[int, Pattern]:
        """The formulas by column, as patterns."""
        return {column: read(text, self.first, column, functions()) for column, text in self.spelled.items()}


@dataclass(frozen=True, eq=False)
class KnownSheet:
    """A sheet of the template."""

    name: str
    rows: list[KnownRow]

    @cached_property
    def _firsts(self) -> list[int]:
        return [row.first for row in self.rows]

    @cached_property
    def words(self) -> frozenset[str]:
        """The texts that stand on it."""
        return frozenset(text for row in self.rows for text in row.texts.values())

    def at(self, row: int) -> KnownRow | None:
        """The row of the template; None for one that holds nothing."""
        place = bisect_right(self._firsts, row) - 1
        return self.rows[place] if place >= 0 and row <= self.rows[place].last else None


@lru_cache(1)
def known_sheets() -> dict[str, KnownSheet]:
    """The sheets of the template that have formulas, by name."""
    data = json.loads(gzip.decompress(packed(PLACE)))
    return {name: KnownSheet(name, [known_row(*row) for row in rows]) for name, rows in data.items()}


def known_row(first: int, last: int, held: dict[str, str]) -> KnownRow:
    """A row as the file holds it: texts, and formulas with `=` before them, by the number of their column."""
    texts = {int(column): text for column, text in held.items() if not text.startswith("=")}
    return KnownRow(first, last, texts, {int(c): text[1:] for c, text in held.items() if text.startswith("=")})


def contents(template: Package) -> bytes:
    """The file, made of the template."""
    book = {sheet.name: reduced(formulas(template, sheet, functions()), typed(template, sheet))
            for sheet in template.worksheets()}  # fmt: skip
    kept = {name: rows for name, rows in book.items() if rows}
    return gzip.compress(json.dumps(kept, separators=(",", ":"), ensure_ascii=False).encode(), mtime=0)


def reduced(
    formulas: Mapping[tuple[int, int], Pattern], labels: Mapping[tuple[int, int], Value]
) -> list[tuple[int, int, dict[str, str]]]:
    """First row, last row and what the first holds, for all rows of a sheet; nothing for a sheet without formulas."""
    patterns: dict[int, dict[int, Pattern]] = {}
    for (row, column), pattern in formulas.items():
        patterns.setdefault(row, {})[column] = pattern
    texts: dict[int, dict[int, str]] = {}
    for (row, column), value in labels.items():
        if isinstance(value, str) and len(value) <= LONGEST_LABEL and not value.startswith("="):
            texts.setdefault(row, {})[column] = value
    found: list[tuple[int, int, dict[str, str]]] = []
    before: dict[int, str] = {}
    for row in sorted({*patterns, *texts} if patterns else ()):
        keys = {column: pattern.key for column, pattern in patterns.get(row, {}).items()}
        if len(keys) >= FEWEST_OF_TABLE and keys == before and found[-1][1] == row - 1:
            found[-1] = (found[-1][0], row, found[-1][2])
        else:
            held = {str(column): f"={pattern.at(row)}" for column, pattern in patterns.get(row, {}).items()}
            found.append((row, row, {str(column): text for column, text in texts.get(row, {}).items()} | held))
        before = keys
    return found
