"""A book as the audit sees it: worked out, its formulas as patterns, its typed cells, its tables."""

from collections.abc import Callable, Iterator, Mapping
from functools import cached_property, wraps
from typing import TypeVar

from xlcalc.core.declaration import Declaration
from xlcalc.core.registry import functions
from xlcalc.core.tables import fingerprint
from xlcalc.workbook.audit.known.canonical import Canon
from xlcalc.workbook.audit.known.layout import Layout, other_layout
from xlcalc.workbook.audit.known.matching import matched_sheets
from xlcalc.workbook.audit.reading.areas import Total, totals
from xlcalc.workbook.audit.reading.looked_at import NOTHING, LookedAt, looked_at
from xlcalc.workbook.audit.reading.patterns import Pattern, formulas
from xlcalc.workbook.audit.reading.rows import SheetRow, rows
from xlcalc.workbook.audit.reading.sections import Column, Sections, columns
from xlcalc.workbook.audit.reading.strands import Strand, strands
from xlcalc.workbook.audit.reading.typed import typed
from xlcalc.workbook.calculation.links import other_files
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.calculation.written import Place, Written
from xlcalc.workbook.explained.headers import Headers
from xlcalc.workbook.explained.listing import Listing, listings
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package, Sheet
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.landmarks import MARKER
from xlcalc.workbook.stamp import stamp_of

ACCEPTED = "Accepted findings"
"""The sheet on which a person accepts findings."""

OWN = " (own)"


Answer = TypeVar("Answer")


def once(read: Callable[["Book", str], Answer]) -> Callable[["Book", str], Answer]:
    """Read something of a sheet the first time that a book is asked for it, and remember it."""
    known = f"_{read.__name__}"

    @wraps(read)
    def asked(book: "Book", sheet: str) -> Answer:
        read_before: dict[str, Answer] = book.__dict__.setdefault(known, {})
        if sheet not in read_before:
            read_before[sheet] = read(book, sheet)
        return read_before[sheet]

    return asked


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

    @once
    def formulas(self, sheet: str) -> dict[tuple[int, int], Pattern]:
        """Row and column of every formula cell of a sheet, with its pattern."""
        return formulas(self.package, self.sheets[sheet], self.ours, self.other_files, self.report.source(sheet))

    @once
    def patterns(self, sheet: str) -> dict[Pattern, list[Place]]:
        """The cells of each pattern of a sheet; a pattern that stands in two columns may come twice."""
        found: dict[Pattern, list[Place]] = {}
        for (row, column), pattern in self.formulas(sheet).items():
            found.setdefault(pattern, []).append((sheet, row, column))
        return found

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

    def looked_at(self, sheet: str) -> LookedAt:
        """What formulas of any sheet look at on this one."""
        return self._looked_at.get(sheet, NOTHING)

    @cached_property
    def _looked_at(self) -> dict[str, LookedAt]:
        return looked_at(self.every_pattern(), self.written)

    def formula(self, place: Place) -> str:
        """The formula of a cell without `=`; empty where it has none."""
        sheet, row, column = place
        pattern = self.formulas(sheet).get((row, column))
        return pattern.at(row) if pattern else ""

    @once
    def typed(self, sheet: str) -> dict[tuple[int, int], Value]:
        """Row and column of every cell that holds something and has no formula, with what it holds."""
        return typed(self.package, next(each for each in self.package.worksheets() if each.name == sheet))

    @once
    def texts(self, sheet: str) -> dict[tuple[int, int], str]:
        """The texts among what is typed."""
        return {cell: value for cell, value in self.typed(sheet).items() if isinstance(value, str)}

    def value(self, place: Place) -> Value:
        """What a cell holds once the book is worked out."""
        return self.report.value(*place)

    def headers(self, sheet: str) -> Headers:
        """The header rows of a sheet."""
        return self.workings.headers(sheet)

    @once
    def tables(self, sheet: str) -> list[Listing]:
        """The tables of a sheet whose rows have a Check, their columns called as in a new workbook."""
        found = listings(self.report, sheet, self.headers(sheet))
        return [called(table, self.known_heads(sheet, table.head_row)) for table in found]

    def known_heads(self, sheet: str, head_row: int) -> dict[int, str]:
        """The headers that the columns of a header row have in a new workbook; without those that the shop added."""
        match = self.canon.match(sheet)
        return match.heads(head_row) if match and not self.other_layout(sheet) else {}

    @once
    def other_layout(self, sheet: str) -> Layout:
        """What a sheet of a book of another version has otherwise throughout than the template installed here."""
        match = self.canon.match(sheet) if self.other_version else None
        return other_layout(match, self.rows(sheet), self.canon) if match else frozenset()

    def every_table(self) -> Iterator[Listing]:
        """The tables of all sheets whose rows have a Check."""
        for sheet in self.sheets:
            yield from self.tables(sheet)

    def title(self, place: Place) -> str:
        """` (Flow, L/min)`: header and unit of a cell, or the label beside it."""
        return self.workings.title(place)

    def section(self, place: Place) -> tuple[int, bool]:
        """The header row above a cell, and whether the row that ends its table stands between."""
        return self.sections(place[0]).of(place[1])

    @once
    def sections(self, sheet: str) -> Sections:
        """Which table of a sheet each of its rows belongs to."""
        return Sections(self.headers(sheet), self.ends(sheet))

    @once
    def rows(self, sheet: str) -> dict[int, SheetRow]:
        """What stands in each row of a sheet that holds anything."""
        return rows(self.formulas(sheet), self.typed(sheet))

    @once
    def unknown_rows(self, sheet: str) -> Mapping[int, SheetRow]:
        """The rows of a sheet without the formulas that the template knows."""
        if self.canon.match(sheet) is None:
            return self.rows(sheet)
        found = {}
        for row, held in self.rows(sheet).items():
            own = {column: pattern for column, pattern in held.formulas.items() if not self.known((sheet, row, column))}
            found[row] = SheetRow(held.texts, own, held.numbers)
        return found

    @once
    def strands(self, sheet: str) -> list[Strand]:
        """The formulas that run down its columns, without those that the template knows."""
        return list(strands(self.unknown_rows(sheet)))

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

    @once
    def columns(self, sheet: str) -> list[Column]:
        """The formula columns of every table of a sheet, from top to bottom and left to right."""
        return columns(sheet, self.formulas(sheet), self.sections(sheet))


def called(table: Listing, known: Mapping[int, str]) -> Listing:
    """A table by known headers of its columns, by their own ones where they are not known.

    A shop's own column may be headed like a known one: then its header says that it is the shop's own.
    """
    found = {}
    for head, column in table.columns.items():
        own = f"{head}{OWN}" if head in known.values() else head
        found[known.get(column, own)] = column
    return table._replace(columns=found)
