"""The formulas that run down a column of a sheet, whatever the template knows of it."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.reading.rows import SheetRow

FEWEST = 2  # cells that must agree before one between them is said to differ


class Strand(NamedTuple):
    """The cells of a column that have one pattern."""

    column: int
    pattern: Pattern
    rows: list[int]


def strands(rows: Mapping[int, SheetRow]) -> Iterator[Strand]:
    """The patterns that hold in several cells of a column, the most frequent of each column and of each table."""
    columns: dict[int, dict[str, Strand]] = {}
    for row in sorted(rows):
        for column, pattern in rows[row].formulas.items():
            by_key = columns.setdefault(column, {})
            (by_key.get(pattern.key) or by_key.setdefault(pattern.key, Strand(column, pattern, []))).rows.append(row)
    for by_key in columns.values():
        taken: list[tuple[int, int]] = []
        for strand in sorted(by_key.values(), key=lambda each: -len(each.rows)):
            if len(strand.rows) < FEWEST:
                break
            first, last = strand.rows[0], strand.rows[-1]
            if not any(low <= last and first <= high for low, high in taken):
                taken.append((first, last))
                yield strand
