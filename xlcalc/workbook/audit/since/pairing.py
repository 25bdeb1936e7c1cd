"""Which sheets, rows and columns of two copies of a book belong together, however one was sorted, extended or renamed.

Rows go by the words in them, then by their name, then by their formulas, and what stands between two rows that belong
together goes by its place. Columns go by the rows that belong together, as beside the template.
"""

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from functools import cached_property
from itertools import islice, pairwise

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.known.matching import (
    FEWEST_ALIKE,
    FORMULA_WEIGHT,
    TEXT_WEIGHT,
    Vote,
    in_order,
    matched_columns,
)
from xlcalc.workbook.audit.since.row_keys import (
    Key,
    Side,
    formulas,
    formulas_without_name,
    name,
    name_of_table,
    words,
    words_of_table,
)

VOTERS = 200  # rows of a sheet that vote on its columns, headers first


class SheetPair:
    """A sheet of both books: `rows` and `columns` of the old one -> those of the new one."""

    def __init__(self, old: Side, new: Side) -> None:
        self.old, self.new = old.sheet, new.sheet
        self.rows = headers(old, new)
        self._pair(old, new, words_of_table)
        self.columns = columns(old, new, self.rows)
        new.names = self.columns.get(old.names, old.names)
        self._pair(old, new, name_of_table, loose=True)
        self._pair(old, new, words)
        self._pair(old, new, name)
        self._pair(old, new, formulas_without_name, loose=True)
        self._pair(old, new, formulas, loose=True)
        self._between(old, new)
        self.columns = columns(old, new, self.rows)
        self.new_rows = {there: here for here, there in self.rows.items()}
        self.new_columns = {there: here for here, there in self.columns.items()}
        self.held = old.held, new.held  # the rows that hold anything, of both books
        self.in_place = old.held == new.held  # then no row was put in or taken out, whatever was sorted

    def _pair(self, old: Side, new: Side, key: Key, *, loose: bool = False) -> None:
        """Pair rows of the same key from top to bottom; `loose`: also where one book has more of them."""
        taken = set(self.rows.values())
        sides: tuple[dict[Hashable, list[int]], dict[Hashable, list[int]]] = (defaultdict(list), defaultdict(list))
        for found, side, gone in zip(sides, (old, new), (self.rows, taken), strict=True):
            for row in side.held:
                if row not in gone and (known := key(side, row)) is not None:
                    found[known].append(row)
        for known, rows in sides[0].items():
            there = sides[1].get(known, [])
            if loose or len(rows) == len(there):
                self.rows.update(zip(rows, there, strict=False))

    def _between(self, old: Side, new: Side) -> None:
        """Pair the rows between two pairs that stand as far apart in both books, and those before and behind all."""
        taken = set(self.rows.values())
        ends = [(0, 0), *sorted(self.rows.items())]
        far = max(old.held[-1:] + new.held[-1:] + [0]) + 1 - max(*ends[-1])
        ends.append((ends[-1][0] + far, ends[-1][1] + far))
        for (above, above_there), (below, below_there) in pairwise(ends):
            if below - above == below_there - above_there:
                for step in range(1, below - above):
                    if above_there + step not in taken:
                        taken.add(above_there + step)
                        self.rows[above + step] = above_there + step

    @cached_property
    def _known(self) -> tuple[list[int], list[int]]:
        """The rows and the columns of the old book that the new one has."""
        return sorted(self.rows), sorted(self.columns)

    def row(self, row: int) -> int:
        """Where a row of the old book stands now; one that is gone or blank by the next row above it."""
        return self.rows.get(row) or beside(self._known[0], self.rows, row)

    def column(self, column: int) -> int:
        """Where a column of the old book stands now; one that is gone or blank by the next one on its left."""
        return self.columns.get(column) or beside(self._known[1], self.columns, column)


def beside(known: Sequence[int], there: Mapping[int, int], line: int) -> int:
    """A row or column as far behind the one before it as it stood."""
    place = bisect_right(known, line)
    before = known[place - 1] if place else 0
    return there.get(before, 0) + line - before


def headers(old: Side, new: Side) -> dict[int, int]:
    """Header rows, and the units below them, of the old sheet -> those of the new one; their tables get one number."""
    found: dict[int, int] = {}
    tried = sorted(
        ((-len(old.words(head) & new.words(other)), abs(place - there), head, other)
         for place, head in enumerate(old.heads) for there, other in enumerate(new.heads)),
    )  # fmt: skip
    for _, _, head, other in tried:
        if head not in old.section_of and other not in new.section_of:
            old.section_of[head] = new.section_of[other] = head
            found[head] = other
            if old.units(head + 1) and new.units(other + 1):
                found[head + 1] = other + 1
    return found


def columns(old: Side, new: Side, rows: Mapping[int, int]) -> dict[int, int]:
    """Column of the old sheet -> column of the new one."""
    found = votes(old, new, rows)
    paired = matched_columns(found)
    first, last = min(paired.items(), default=(1, 1)), max(paired.items(), default=(0, 0))
    holding = [{column for row in side.rows.values() for column in row.filled} for side in (old, new)]
    for column in sorted(holding[0]):  # before and behind all that is known, what both hold goes by its place
        known, known_there = first if column < first[0] else last
        there = column - known + known_there
        if not first[0] <= column <= last[0] and there in holding[1] and there not in paired.values():
            paired[column] = there
    return {here: there for here, there in paired.items() if (here, there) in found or alike(old, new, here, there)}


def votes(old: Side, new: Side, rows: Mapping[int, int]) -> Counter[Vote]:
    """Which columns belong together, by what stands in rows that do."""
    found = Counter[Vote]()
    heads = {head: rows[head] for head in old.heads if head in rows}
    for here, there in islice({**heads, **rows}.items(), VOTERS):
        if here in old.rows and there in new.rows:
            sides = old.rows[here], new.rows[there]
            for vote in in_order(*(side.texts.items() for side in sides)):
                found[vote] += TEXT_WEIGHT
            shapes = ({column: each.shape for column, each in side.formulas.items()} for side in sides)
            for vote in in_order(*(side.items() for side in shapes)):
                found[vote] += FORMULA_WEIGHT
    return found


def alike(old: Side, new: Side, here: int, there: int) -> bool:
    """False for two columns that only stand in the same place: their headers differ and their formulas too."""
    heads = old.title(here), new.title(there)
    shapes = old.dominant(here), new.dominant(there)
    return not all(heads) or heads[0] == heads[1] or (shapes[0] == shapes[1] != "")


class Pairing:
    """Two copies of a book: the sheets that both have, and those that only one has."""

    def __init__(self, old: Book, new: Book) -> None:
        self.old, self.new = old, new
        self.sheets = [SheetPair(Side(old, here), Side(new, there)) for here, there in sheets(old, new).items()]
        self.by_old = {pair.old.casefold(): pair for pair in self.sheets}
        self.removed = [sheet for sheet in old.sheets if sheet.casefold() not in self.by_old]
        self.added = [sheet for sheet in new.sheets if sheet not in {pair.new for pair in self.sheets}]


def sheets(old: Book, new: Book) -> dict[str, str]:
    """Sheet of the old book -> sheet of the new one: by the name, and what is left by the words that stand there."""
    folded = {sheet.casefold(): sheet for sheet in new.sheets}
    found = {sheet: folded[sheet.casefold()] for sheet in old.sheets if sheet.casefold() in folded}
    left = [said(old, sheet) for sheet in old.sheets if sheet not in found]
    there = [said(new, sheet) for sheet in new.sheets if sheet not in found.values()]
    tried = [(share(held, others), sheet, other) for sheet, held in left for other, others in there]
    for alike_by, sheet, other in sorted(tried, reverse=True):
        if alike_by >= FEWEST_ALIKE and sheet not in found and other not in found.values():
            found[sheet] = other
    return {sheet: found[sheet] for sheet in old.sheets if sheet in found}


def said(book: Book, sheet: str) -> tuple[str, frozenset[str]]:
    """A sheet and the words and formulas that stand on it."""
    texts: Iterable[str] = (text for row in book.rows(sheet).values() for text in row.texts.values())
    return sheet, frozenset([*texts, *(pattern.shape for pattern in book.patterns(sheet))])


def share(held: frozenset[str], others: frozenset[str]) -> float:
    """How much two sheets have in common, 0 to 1; blank sheets have nothing in common."""
    return len(held & others) / max(len(held), len(others), 1)
