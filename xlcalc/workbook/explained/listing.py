"""Where a sheet says its verdicts: the tables whose rows have a Check, found by their headers, and single Checks."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.explained.headers import CHECK, WIDEST, Headers
from xlcalc.workbook.landmarks import MARKER

NAME_COLUMN = 1
*FAILED, PASSED = VERDICTS
MARKED = range(1, 31)  # columns in which the row that ends a table says so


class Listing(NamedTuple):
    """A table: its header row, the column of each header, its rows of data; the first column names a row."""

    sheet: str
    head_row: int
    columns: dict[str, int]
    check: int
    rows: list[int]

    def head(self) -> str:
        """The header over the names of its rows."""
        return next((head for head, column in self.columns.items() if column == NAME_COLUMN), "")


def listings(report: Report, sheet: str, heads: Headers | None = None) -> list[Listing]:
    """The tables of a sheet from top to bottom; none where no header says Check."""
    heads = heads or Headers(report, sheet)
    formulas = report.places(sheet)
    last = max((row for row, _ in formulas), default=0)
    found = []
    for top, below in pairwise([*heads.rows, last + 1]):
        columns = headed(heads, top)
        check = next((column for head, column in columns.items() if head.casefold() == CHECK), None)
        if check is not None:
            end = marker(report, sheet, top, below)
            under = sorted(row for row, column in formulas if column == check and top < row < end)
            filled = of_checks(report, sheet, check, under if end < below else together(report, sheet, under))
            found.append(Listing(sheet, top, columns, check, data_rows(report, sheet, top, filled)))
    return [table for table in found if table.rows]


def headed(heads: Headers, top: int) -> dict[str, int]:
    """The column of each header; one that stands there again gets a number."""
    texts = {column: head for column in range(1, WIDEST) if (head := heads.head(top + 1, column).strip())}
    return {head: column for column, head in numbered(texts).items()}


def numbered(texts: Mapping[int, str]) -> dict[int, str]:
    """Headers by column from left to right; one that stands there again gets a number."""
    seen = Counter[str]()
    heads = {}
    for column, text in sorted(texts.items()):
        head = text.strip()
        seen[head] += 1
        heads[column] = head if seen[head] == 1 else f"{head} ({seen[head]})"
    return heads


def marker(report: Report, sheet: str, top: int, below: int) -> int:
    """The row that says where new rows go: what stands below it is another matter. `below` where there is none."""
    for row in range(top + 1, below):
        if any(report.value(sheet, row, column) == MARKER for column in MARKED):
            return row
    return below


def together(report: Report, sheet: str, rows: Sequence[int]) -> list[int]:
    """The rows down to the first gap of two without name and formula: what stands below is another list."""
    for upper, lower in pairwise(rows):
        bare = [report.value(sheet, row, NAME_COLUMN) in (None, "") for row in range(upper + 1, lower)]
        if any(one and next_one for one, next_one in pairwise(bare)):
            return [row for row in rows if row <= upper]
    return list(rows)


def of_checks(report: Report, sheet: str, check: int, rows: Iterable[int]) -> set[int]:
    """The rows that belong to a Check: below its last verdict another list may have other words in that column."""
    kept, judged = set[int](), False
    for row in rows:
        value = report.value(sheet, row, check)
        if judged and isinstance(value, str) and value and not is_verdict(value):
            break
        judged = judged or is_verdict(value)
        kept.add(row)
    return kept


def data_rows(report: Report, sheet: str, top: int, filled: set[int]) -> list[int]:
    """The rows whose Check is worked out and all between, with named rows beside them that lack their formulas."""
    if not filled:
        return []
    first, last = min(filled), max(filled)
    while first > top + 2 and report.value(sheet, first - 1, NAME_COLUMN) not in (None, ""):
        first -= 1
    while report.value(sheet, last + 1, NAME_COLUMN) not in (None, ""):
        last += 1
    return list(range(first, last + 1))


def single_checks(report: Report, sheet: str, heads: Headers, tables: Iterable[Listing]) -> Iterator[tuple[int, int]]:
    """Row and column of each Check outside the tables: a verdict that is worked out right beside a label.

    The title of a block of them may repeat the most urgent one beside it: that is none of its own.
    """
    inside = {row for table in tables for row in range(table.head_row, table.rows[-1] + 1)}
    first: dict[int, int] = {}
    for row, column in report.places(sheet):
        if row not in inside:
            first[row] = min(column, first.get(row, column))
    for row, column in sorted(first.items()):
        if column > NAME_COLUMN and is_verdict(report.value(sheet, row, column)):
            between = (report.value(sheet, row, place) for place in range(NAME_COLUMN + 1, column))
            alone = all(value in (None, "") for value in between)
            if alone and heads.typed(row, NAME_COLUMN) and heads.joined(row - 1):
                yield row, column


def is_verdict(value: object) -> bool:
    """True for what a Check says: a word that all is well, or one with a colon and what to do."""
    return value == PASSED or (isinstance(value, str) and value.startswith(tuple(f"{word}:" for word in FAILED)))
