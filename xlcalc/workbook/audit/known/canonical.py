"""A book beside the template, whatever rows, columns and sheets were moved: does a formula say what is said there?

Two formulas say the same where they have the same shape and look at the same cells of the template. What one of the
two does not have is the same as anything that the other does not have.
"""

import re
from collections.abc import Iterable, Mapping

from xlcalc.workbook.audit.known.matching import Match
from xlcalc.workbook.audit.known.template import KnownRow
from xlcalc.workbook.audit.reading.patterns import LOOK, Corner, Pattern, Target
from xlcalc.workbook.formulas import address, column_letters

NOWHERE = "?"
INVENTED = re.compile(r'&" {3}\([^"]*\binvented\b[^"]*\)"$')  # stands behind the job's number of an invented job
Form = tuple[str, ...]
"""What a reference looks at: the sheet of the template, and its corners there."""


class Canon:
    """A book beside the template: `matches` by the names of its sheets."""

    def __init__(self, matches: Mapping[str, Match]) -> None:
        self.matches = matches
        self._folded = {name.casefold(): match for name, match in matches.items()}
        self._by_known = {match.known.name: match for match in matches.values()}

    def match(self, sheet: str) -> Match | None:
        """The match of a sheet of the book, by its name in any case."""
        return self._folded.get(sheet.casefold())

    def same(self, pattern: Pattern, home: Match, row: int, known: KnownRow, wanted: Pattern) -> bool:
        """True where a formula in a row of a sheet of the book says what one of the template says."""
        if pattern.shape != wanted.shape and INVENTED.sub("", pattern.shape) != wanted.shape:
            return False
        pairs = zip(pattern.targets, wanted.targets, strict=False)
        return all(self.here(target, home, row) == self.there(other, home, known) for target, other in pairs)

    def here(self, target: Target, home: Match, row: int) -> Form:
        """What a reference of a formula of the book looks at."""
        match = self.match(target.sheet) if target.sheet else home
        if match is None:
            return (NOWHERE,)
        corners = (corner_here(each, match, home, row) for each in target.corners)
        across = covered(target)
        return match.known.name, *(rows_only(corners) if across else corners), *covered_columns(across, match.columns)

    def there(self, target: Target, home: Match, known: KnownRow) -> Form:
        """What a reference of a formula of the template looks at, as far as the book has it."""
        match = self._by_known.get(target.sheet) if target.sheet else home
        if match is None:
            return (NOWHERE,)
        corners = (corner_there(each, match, home, known) for each in target.corners)
        across = covered(target)
        kept = {column: column for column in match.column_of}
        return match.known.name, *(rows_only(corners) if across else corners), *covered_columns(across, kept)

    def expected(self, wanted: Pattern, home: Match, known: KnownRow, row: int) -> str:
        """A formula of the template as it reads in a row of the book; empty where the book lacks what it looks at."""
        spelled = [self._spelled(target, home, known, row) for target in wanted.targets]
        parts = wanted.text.split(LOOK)
        if not all(spelled) or len(parts) != len(spelled) + 1:
            return ""
        return parts[0] + "".join(f"{area}{part}" for area, part in zip(spelled, parts[1:], strict=True))

    def _spelled(self, target: Target, home: Match, known: KnownRow, row: int) -> str:
        match = self._by_known.get(target.sheet) if target.sheet else home
        corners = [spelled_corner(each, match, home, known, row) for each in target.corners] if match else [""]
        if match is None or not all(corners):
            return ""
        return (address(match.sheet, 1, 1).removesuffix("A1") if target.sheet else "") + ":".join(corners)


def covered(target: Target) -> range | None:
    """The columns of an area that covers several."""
    ends = [corner.column for corner in target.corners if corner.column is not None]
    return range(min(ends), max(ends) + 1) if len(ends) > 1 and ends[0] != ends[1] else None


def covered_columns(across: range | None, columns: Mapping[int, int]) -> list[str]:
    """The columns of the template in an area of several, in whatever order they stand now; own ones do not count."""
    return sorted(str(columns[column]) for column in across or () if column in columns)


def rows_only(corners: Iterable[str]) -> list[str]:
    """Corners by their rows."""
    return [corner.rpartition("R")[2] for corner in corners]


def corner_here(corner: Corner, match: Match, home: Match, row: int) -> str:
    """A corner of a reference of the book by the row and column of the template that it stands for."""
    line = ""
    if corner.row is not None:
        at = corner.row if corner.fixed_row else row + corner.row
        first = match.rows.get(at, 0)
        line = str(first) if first else NOWHERE
        if first and match.repeated(first):
            same_table = match is home and match.rows.get(row) == first and not corner.fixed_row
            line = f"@{at - row}" if same_table else f"{first} {among(at, match.rows_of[first])}"
    column = "" if corner.column is None else str(match.columns.get(corner.column, NOWHERE))
    return f"{corner.fixed_column}{column}{corner.fixed_row}R{line}"


def corner_there(corner: Corner, match: Match, home: Match, known: KnownRow) -> str:
    """A corner of a reference of the template."""
    line = ""
    if corner.row is not None:
        at = corner.row if corner.fixed_row else known.first + corner.row
        there = match.known.at(at)
        line = str(at) if at in match.rows_of else NOWHERE
        if there is not None and there.repeated and there.first in match.rows_of:
            same_table = match is home and there is known and not corner.fixed_row
            line = f"@{at - known.first}" if same_table else f"{there.first} {among(at, [there.first, there.last])}"
    column = "" if corner.column is None else str(corner.column if corner.column in match.column_of else NOWHERE)
    return f"{corner.fixed_column}{column}{corner.fixed_row}R{line}"


def spelled_corner(corner: Corner, match: Match, home: Match, known: KnownRow, row: int) -> str:
    """A corner of the template as it stands in the book, for a formula in a row of it; empty where it is not there."""
    column = match.column_of.get(corner.column or 0, 0)
    line = 0
    if corner.row is not None:
        at = corner.row if corner.fixed_row else known.first + corner.row
        there = match.known.at(at)
        if there is known and match is home and not corner.fixed_row:
            line = row + corner.row
        elif there is not None and there.repeated:
            rows = match.rows_of.get(there.first, [0])
            line = rows[-1] if at == there.last else rows[0]
        else:
            line = match.rows_of.get(at, [0])[0]
    if (corner.column is not None and not column) or (corner.row is not None and not line):
        return ""
    return f"{corner.fixed_column}{column_letters(column)}{corner.fixed_row}{line or ''}"


def among(row: int, rows: list[int]) -> str:
    """Where a row stands in a table: its ends stay its ends, whatever is put in between."""
    return "first" if row == rows[0] else "last" if row == rows[-1] else "inside"
