"""A book as the audit sees it: worked out, its formulas as patterns, its typed cells, its tables."""

from bisect import bisect_left
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from xlcalc.core.declaration import Declaration
from xlcalc.core.registry import functions
from xlcalc.core.tables import fingerprint
from xlcalc.workbook.audit.areas import Total, totals
from xlcalc.workbook.audit.canonical import Canon
from xlcalc.workbook.audit.matching import SheetRow, matched_sheets
from xlcalc.workbook.audit.patterns import Pattern, formulas
from xlcalc.workbook.audit.typed import typed
from xlcalc.workbook.headers import Headers
from xlcalc.workbook.links import other_files
from xlcalc.workbook.listing import Listing, listings, numbered
from xlcalc.workbook.package import Package, Sheet
from xlcalc.workbook.recalc import Report
from xlcalc.workbook.rows import MARKER
from xlcalc.workbook.stamp import stamp_of
from xlcalc.workbook.values import Value
from xlcalc.workbook.workings import Workings
from xlcalc.workbook.written import Place, Written

ACCEPTED = "Accepted findings"
"""The sheet on which a person accepts findings."""


class Column(NamedTuple):
    """The formula cells of one column of one table, from top to bottom.

    `top` is the header row that they stand under, 0 where there is none; `after` is True for what stands below the
    row that ends the table.
    """

    sheet: str
    column: int
    top: int
    after: bool
    rows: list[int]
    patterns: list[Pattern]

    def groups(self) -> dict[str, list[int]]:
        """The places in `rows` by the key of their pattern, the most frequent first."""
        found: dict[str, list[int]] = {}
        for place, pattern in enumerate(self.patterns):
            found.setdefault(pattern.key, []).append(place)
        return dict(sorted(found.items(), key=lambda each: -len(each[1])))


class Sections:
    """Which table of a sheet a row belongs to, by the header rows and the rows that end a table."""

    def __init__(self, book: "Book", sheet: str) -> None:
        self._heads = book.headers(sheet)
        self._ends = book.ends(sheet)

    def of(self, row: int) -> tuple[int, bool]:
        """The header row above, and whether a row that ends its table stands between."""
        top = self._heads.above(row)
        return top, bisect_left(self._ends, row) > bisect_left(self._ends, top)


class Book:
    """Everything that the rules ask for, read once and only when it is asked for.

    `package` is the file, `report` what `recalc.compute` worked out of it, `new` is True for the new workbook itself
    from which what is known of one is made.
    """

    def __init__(self, package: Package, report: Report, *, new: bool = False) -> None:
        self._new = new
        self.package = package
        self.report = report
        self.workings = Workings(package, report)
        self._formulas: dict[str, dict[tuple[int, int], Pattern]] = {}
        self._patterns: dict[str, dict[Pattern, list[Place]]] = {}
        self._typed: dict[str, dict[tuple[int, int], Value]] = {}
        self._sections: dict[str, Sections] = {}
        self._columns: dict[str, list[Column]] = {}
        self._rows: dict[str, dict[int, SheetRow]] = {}
        self._tables: dict[str, list[Listing]] = {}

    @property
    def written(self) -> Written:
        """The formulas as the file spells them, and what they look at."""
        return self.workings.written

    @property
    def ours(self) -> Mapping[str, Declaration]:
        """The worksheet functions by name."""
        return functions()

    @cached_property
    def sheets(self) -> dict[str, Sheet]:
        """The sheets that are audited, by name and in the order of the tabs, without that of accepted findings."""
        found = (sheet for sheet in self.package.worksheets() if sheet.name.casefold() != ACCEPTED.casefold())
        return {sheet.name: sheet for sheet in found}

    def formulas(self, sheet: str) -> dict[tuple[int, int], Pattern]:
        """Row and column of every formula cell of a sheet, with its pattern."""
        if sheet not in self._formulas:
            found = formulas(self.package, self.sheets[sheet], self.ours, self.other_files, self.report.source(sheet))
            self._formulas[sheet] = {(each.row, each.column): each.pattern for each in found}
        return self._formulas[sheet]

    def patterns(self, sheet: str) -> dict[Pattern, list[Place]]:
        """The cells of each pattern of a sheet; a pattern that stands in two columns may come twice."""
        if sheet not in self._patterns:
            found: dict[Pattern, list[Place]] = {}
            for (row, column), pattern in self.formulas(sheet).items():
                found.setdefault(pattern, []).append((sheet, row, column))
            self._patterns[sheet] = found
        return self._patterns[sheet]

    def every_pattern(self) -> Iterator[tuple[Pattern, list[Place]]]:
        """The patterns of all sheets, each with its cells."""
        for sheet in self.sheets:
            yield from self.patterns(sheet).items()

    @cached_property
    def other_version(self) -> bool:
        """True for a book that was made by another version of the program or with other data, as its stamp says."""
        from xlcalc import __version__  # noqa: PLC0415  (the package's version, known once it is loaded)

        stamp = stamp_of(self.package)
        return stamp is not None and stamp.whole and (stamp.version, stamp.data) != (__version__, fingerprint())

    @cached_property
    def other_files(self) -> dict[str, str]:
        """The links of the book to other files than our add-in: number, as `[1]` has it, and file."""
        return other_files(self.package)

    @cached_property
    def users(self) -> dict[str, list[tuple[int, int, int, int]]]:
        """The areas of each sheet that formulas of any sheet look at: top, left, bottom, right."""
        found: dict[str, set[tuple[int, int, int, int]]] = {}
        for pattern, places in self.every_pattern():
            for place in places:
                for look in self.written.looks(pattern.at(place[1]), place):
                    found.setdefault(look.sheet, set()).add(look[1:5])
        return {sheet: sorted(areas) for sheet, areas in found.items()}

    def looked_at(self, sheet: str, cell: tuple[int, int]) -> bool:
        """True for a cell that any formula looks at."""
        row, column = cell
        areas = self.users.get(sheet, ())
        return any(top <= row <= bottom and left <= column <= right for top, left, bottom, right in areas)

    def formula(self, place: Place) -> str:
        """The formula of a cell without `=`; empty where it has none."""
        sheet, row, column = place
        pattern = self.formulas(sheet).get((row, column))
        return pattern.at(row) if pattern else ""

    def typed(self, sheet: str) -> dict[tuple[int, int], Value]:
        """Row and column of every cell that holds something and has no formula, with what it holds."""
        if sheet not in self._typed:
            found = next(each for each in self.package.worksheets() if each.name == sheet)
            self._typed[sheet] = typed(self.package, found)
        return self._typed[sheet]

    def value(self, place: Place) -> Value:
        """What a cell holds once the book is worked out."""
        return self.report.value(*place)

    def headers(self, sheet: str) -> Headers:
        """The header rows of a sheet."""
        return self.workings.headers(sheet)

    def tables(self, sheet: str) -> list[Listing]:
        """The tables of a sheet whose rows have a Check, their columns called as in a new workbook."""
        if sheet not in self._tables:
            found = listings(self.report, sheet, self.headers(sheet))
            self._tables[sheet] = [called(table, self.known_heads(sheet, table.head_row)) for table in found]
        return self._tables[sheet]

    def known_heads(self, sheet: str, head_row: int) -> dict[int, str]:
        """The headers that the columns of a header row have in a new workbook; without those that the shop added."""
        match = self.canon.match(sheet)
        known = match.known.at(match.rows.get(head_row, 0)) if match else None
        heads = numbered(known.texts) if known else {}
        return {column: heads[at] for column, at in match.columns.items() if at in heads} if match else {}

    def every_table(self) -> Iterator[Listing]:
        """The tables of all sheets whose rows have a Check."""
        for sheet in self.sheets:
            yield from self.tables(sheet)

    def title(self, place: Place) -> str:
        """` (Flow, L/min)`: header and unit of a cell, or the label beside it."""
        return self.workings.title(place)

    def section(self, place: Place) -> tuple[int, bool]:
        """The header row above a cell, and whether the row that ends its table stands between."""
        if place[0] not in self._sections:
            self._sections[place[0]] = Sections(self, place[0])
        return self._sections[place[0]].of(place[1])

    def rows(self, sheet: str) -> dict[int, SheetRow]:
        """What stands in each row of a sheet that holds anything."""
        if sheet not in self._rows:
            found: dict[int, SheetRow] = {}
            for (row, column), pattern in self.formulas(sheet).items():
                (found.get(row) or found.setdefault(row, SheetRow({}, {}, {}))).formulas[column] = pattern
            for (row, column), value in self.typed(sheet).items():
                into = found.get(row) or found.setdefault(row, SheetRow({}, {}, {}))
                if isinstance(value, str):
                    into.texts[column] = value
                elif isinstance(value, float | int):
                    into.numbers[column] = value
            self._rows[sheet] = found
        return self._rows[sheet]

    @cached_property
    def canon(self) -> Canon:
        """The sheets that are those of the template, beside it."""
        return Canon({} if self._new else matched_sheets({name: self.rows(name) for name in self.sheets}))

    @cached_property
    def totals(self) -> list[Total]:
        """The areas that totals look at, of the cells of a column with the same pattern the first and the last."""
        return list(totals(self))

    def known(self, place: Place) -> bool:
        """True for a cell in which the template has a formula."""
        sheet, row, column = place
        match = self.canon.match(sheet)
        there = match.known.at(match.rows.get(row, 0)) if match else None
        return match is not None and there is not None and match.columns.get(column) in there.formulas

    def ends(self, sheet: str) -> list[int]:
        """The rows of a sheet that end a table, from top to bottom."""
        return sorted(row for (row, _), value in self.typed(sheet).items() if value == MARKER)

    def columns(self, sheet: str) -> list[Column]:
        """The formula columns of every table of a sheet, from left to right and top to bottom."""
        if sheet not in self._columns:
            found: dict[tuple[int, bool, int], Column] = {}
            for (row, column), pattern in sorted(self.formulas(sheet).items()):
                top, after = self.section((sheet, row, column))
                into = found.setdefault((top, after, column), Column(sheet, column, top, after, [], []))
                into.rows.append(row)
                into.patterns.append(pattern)
            self._columns[sheet] = [found[key] for key in sorted(found)]
        return self._columns[sheet]


def called(table: Listing, known: Mapping[int, str]) -> Listing:
    """A table by known headers of its columns, by their own ones where they are not known."""
    of_shop = {(head if head not in known.values() else f"{head} (own)"): column
               for head, column in table.columns.items() if column not in known}  # fmt: skip
    columns = {known[column]: column for column in table.columns.values() if column in known} | of_shop
    return table._replace(columns=dict(sorted(columns.items(), key=lambda each: each[1])))
