"""Books of which most sheets are those of another: what was read of these is not read again for every fault."""

import re
from functools import cached_property

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.known.canonical import Canon
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.reading.rows import SheetRow
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.headers import Headers
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value

from .planted import clean_job

WITH_FORMULA = re.compile(rb'<c r="([A-Z]+[0-9]+)"[^<>]*>\s*(<f[^<>]*>[^<]*)')


class Overlaid:
    """The report of an unchanged book, in which typed cells hold what was typed."""

    def __init__(self, report: Report, typed: dict[Place, Value]) -> None:
        self._report, self._typed = report, typed

    def __getattr__(self, name: str) -> object:
        return getattr(self._report, name)

    def value(self, sheet: str, row: int, column: int) -> Value:
        return self._typed.get((sheet, row, column), self._report.value(sheet, row, column))


class Beside(Book):
    """A book beside another one. Sheets that are the same byte for byte are read in the other one, and so are the
    formulas of those in which every formula is what it was and where it was."""

    def __init__(self, package: Package, report: Report, other: Book) -> None:
        super().__init__(package, report)
        self._other = other
        parts, old = ({each.name: each.part for each in of.worksheets()} for of in (package, other.package))
        links = self.other_files == other.other_files
        xml = {name: (package.read(part), other.package.read(old[name])) for name, part in parts.items() if name in old}
        self._same = {name for name, (here, there) in xml.items() if links and here == there}
        self._same_formulas = self._same | {
            name for name, (here, there) in xml.items()
            if links and WITH_FORMULA.findall(here) == WITH_FORMULA.findall(there)
        }  # fmt: skip
        self._all_same = self._same == parts.keys() == old.keys()

    def formulas(self, sheet: str) -> dict[tuple[int, int], Pattern]:
        return self._other.formulas(sheet) if sheet in self._same_formulas else super().formulas(sheet)

    def patterns(self, sheet: str) -> dict[Pattern, list[Place]]:
        return self._other.patterns(sheet) if sheet in self._same_formulas else super().patterns(sheet)

    def typed(self, sheet: str) -> dict[tuple[int, int], Value]:
        return self._other.typed(sheet) if sheet in self._same else super().typed(sheet)

    def rows(self, sheet: str) -> dict[int, SheetRow]:
        return self._other.rows(sheet) if sheet in self._same else super().rows(sheet)

    def headers(self, sheet: str) -> Headers:
        shown = isinstance(self.report, Overlaid) and sheet in self._same  # with the values that it had
        return self._other.headers(sheet) if shown else super().headers(sheet)

    @cached_property
    def canon(self) -> Canon:
        return self._other.canon if self._all_same else super().canon


def as_before(package: Package, typed: dict[Place, Value] | None = None) -> Book:
    """The small job with a change after which its formulas give what they gave; `typed` are cells typed over."""
    clean = clean_job()
    return Beside(package, Overlaid(clean.report, typed or {}), clean)  # type: ignore[arg-type]


def anew(package: Package) -> Book:
    """The small job with a change, worked out anew."""
    return Beside(package, compute(package), clean_job())
