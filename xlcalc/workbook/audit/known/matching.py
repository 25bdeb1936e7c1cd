"""Which rows and columns of a sheet are those of the template, however the sheet was sorted, extended or restyled.

Rows are matched from top to bottom by the words that stand in them and by the shape of their formulas, columns by
the matched rows. A person's own rows and columns match nothing.
"""

from collections import Counter
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from xlcalc.workbook.audit.known.template import KnownRow, KnownSheet, known_sheets
from xlcalc.workbook.audit.reading.rows import SheetRow
from xlcalc.workbook.explained.listing import numbered

TEXT_WEIGHT, FORMULA_WEIGHT = 5, 1
END_WEIGHT = 1_000  # of the row that ends a table: rows put in below it must not take its place
FEWEST_ALIKE = 0.4  # share of the words of a sheet of the template that a sheet must hold to be taken for it
SAMPLES = 3  # rows of a table that vote on its columns


@dataclass(frozen=True)
class Match:
    """A sheet that is one of the template: its rows and columns -> those of the template.

    The rows of a table all stand for the first of it.
    """

    sheet: str
    known: KnownSheet
    rows: Mapping[int, int]
    columns: Mapping[int, int]

    @cached_property
    def column_of(self) -> dict[int, int]:
        """Columns of the template -> columns of the sheet."""
        return {known: column for column, known in self.columns.items()}

    @cached_property
    def rows_of(self) -> dict[int, list[int]]:
        """Rows of the template -> rows of the sheet, from top to bottom."""
        found: dict[int, list[int]] = {}
        for row in sorted(self.rows):
            found.setdefault(self.rows[row], []).append(row)
        return found

    def repeated(self, known_row: int) -> bool:
        """True for a row of the template that stands for the rows of a table."""
        found = self.known.at(known_row)
        return found is not None and found.repeated

    def heads(self, head_row: int) -> dict[int, str]:
        """The headers that the columns of a header row have in the template; without those that it does not have."""
        known = self.known.at(self.rows.get(head_row, 0))
        heads = numbered(known.texts) if known else {}
        return {column: heads[at] for column, at in self.columns.items() if at in heads}


def matched_sheets(book: Mapping[str, Mapping[int, SheetRow]]) -> dict[str, Match]:
    """The sheets of a book that are those of the template, by their names in the book: by what stands in them."""
    words = {name: {text for row in rows.values() for text in row.texts.values()} for name, rows in book.items()}
    tried = sorted(
        ((share(known, said), known.name == name, name, known)
         for name, said in words.items() for known in known_sheets().values()),
        key=lambda each: each[:2], reverse=True,
    )  # fmt: skip
    found: dict[str, Match] = {}
    taken: set[str] = set()
    for alike, _, name, known in tried:
        if alike < FEWEST_ALIKE:
            break
        if name not in found and known.name not in taken:
            found[name] = match = matched(name, book[name], known)
            taken.add(match.known.name)
    return found


def share(known: KnownSheet, said: set[str]) -> float:
    """The share of the words of a sheet of the template that stand on a sheet."""
    return len(known.words & said) / len(known.words)


def matched(sheet: str, rows: Mapping[int, SheetRow], known: KnownSheet) -> Match:
    """A sheet beside the sheet of the template that it is."""
    paired = matched_rows(rows, known.rows)
    columns = matched_columns(votes(rows, known.rows, paired))
    return Match(sheet, known, with_empty_rows(paired, known), columns)


def matched_rows(rows: Mapping[int, SheetRow], known: Sequence[KnownRow]) -> dict[int, int]:
    """Row -> place in `known`, rising, so that as much as possible is alike."""
    words = Counter(text for each in known for text in set(each.texts.values()))
    ends = {each.last + 1 for each in known if each.repeated}
    weights = [END_WEIGHT if each.first in ends else 1 for each in known]
    texts = [set(each.texts.values()) for each in known]
    shapes = [{pattern.shape for pattern in each.formulas.values()} for each in known]
    seen: dict[Hashable, list[int]] = {}

    def likeness(row: SheetRow) -> list[int]:
        held = frozenset(text for text in row.texts.values() if text in words)
        formulas = frozenset(pattern.shape for pattern in row.formulas.values())
        if (held, formulas) not in seen:
            seen[held, formulas] = [
                weight * (TEXT_WEIGHT * len(said & held) + FORMULA_WEIGHT * len(formulas & shaped))
                for weight, said, shaped in zip(weights, texts, shapes, strict=True)
            ]
        return seen[held, formulas]

    numbers = sorted(rows)
    return best_path(numbers, [likeness(rows[row]) for row in numbers], [each.repeated for each in known])


def best_path(rows: Sequence[int], likeness: Sequence[Sequence[int]], repeated: Sequence[bool]) -> dict[int, int]:
    """The rising assignment of rows with the greatest sum; only a repeated place takes several rows."""
    width = len(repeated)
    best = [0] * (width + 1)  # best[j]: with the first j places
    steps: list[list[int]] = []
    for alike in likeness:
        fresh, step = [0] * (width + 1), [0] * (width + 1)  # steps: 0 row left out, 1 place left out, 2 and 3 matched
        for place in range(1, width + 1):
            value, how = best[place], 0
            if fresh[place - 1] > value:
                value, how = fresh[place - 1], 1
            if gain := alike[place - 1]:
                again = repeated[place - 1] and best[place] > best[place - 1]
                if gain + best[place if again else place - 1] > value:
                    value, how = gain + best[place if again else place - 1], 3 if again else 2
            fresh[place], step[place] = value, how
        best = fresh
        steps.append(step)
    found: dict[int, int] = {}
    at, place = len(rows), width
    while at and place:
        how = steps[at - 1][place]
        if how == 1:
            place -= 1
            continue
        at -= 1
        if how >= 2:
            found[rows[at]] = place - 1
            place -= how == 2
    return found


Vote = tuple[int, int]
"""A column of the sheet and one of the template."""


def votes(rows: Mapping[int, SheetRow], known: Sequence[KnownRow], paired: Mapping[int, int]) -> Counter[Vote]:
    """Which columns belong together, by what stands in the rows that are paired."""
    found = Counter[Vote]()
    taken = Counter[int]()
    for row, place in paired.items():
        if taken[place] < SAMPLES:
            taken[place] += 1
            here, there = rows[row], known[place]
            for column, other in in_order(here.texts.items(), there.texts.items()):
                found[column, other] += TEXT_WEIGHT
            shapes = ({column: pattern.shape for column, pattern in each.formulas.items()} for each in (here, there))
            for column, other in in_order(*(each.items() for each in shapes)):
                found[column, other] += FORMULA_WEIGHT
    return found


def in_order(here: Iterable[tuple[int, str]], there: Iterable[tuple[int, str]]) -> Iterable[Vote]:
    """The columns that hold the same on both sides; what stands there several times, from left to right.

    What stands more often on one side than on the other says nothing: nobody knows which of them is missing.
    """
    sides: tuple[dict[str, list[int]], dict[str, list[int]]] = ({}, {})
    for side, held in zip(sides, (here, there), strict=True):
        for column, text in sorted(held):
            side.setdefault(text, []).append(column)
    for text, columns in sides[0].items():
        others = sides[1].get(text, [])
        if len(columns) == len(others):
            yield from zip(columns, others, strict=True)


def matched_columns(found: Counter[Vote]) -> dict[int, int]:
    """Column -> column of the template: the pairs with most votes, then those that stand between two such pairs."""
    paired: dict[int, int] = {}
    taken: set[int] = set()
    for (column, other), _ in sorted(found.items(), key=lambda each: (-each[1], abs(each[0][0] - each[0][1]), each[0])):
        if column not in paired and other not in taken:
            paired[column] = other
            taken.add(other)
    anchors = sorted(paired.items())
    for (left, known_left), (right, known_right) in pairwise(anchors):
        if right - left == known_right - known_left:
            for step in range(1, right - left):
                if known_left + step not in taken:
                    paired[left + step] = known_left + step
                    taken.add(known_left + step)
    return paired


def with_empty_rows(paired: Mapping[int, int], known: KnownSheet) -> dict[int, int]:
    """Row -> row of the template, the first one for a table; with the rows that hold nothing, such as the thin row
    above a table, by the rows around them."""
    found = {row: known.rows[place].first for row, place in paired.items()}
    numbers = sorted(paired)
    for above, below in pairwise([0, *numbers]):
        before = known.rows[paired[above]].last if above else 0
        after = known.rows[paired[below]].first
        for step in range(1, min(below - above, after - before)):
            found[above + step] = before + step
    return found
