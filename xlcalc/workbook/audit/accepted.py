"""Findings that a person accepted, with the reason: a sheet of the book holds them.

An accepted finding stays quiet as long as it says the same of the same cell. Rows may be sorted and moved: a cell is
known by its row's name and its header where it has both, and by its address where it has not.
"""

import hashlib
import re
from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.audit.book import ACCEPTED, Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.extra_sheet import with_sheet
from xlcalc.workbook.file.filling import with_typed_values
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import address

HEADS = ("Code", "Where", "What", "There", "Expected", "Reason", "By", "Date")
WIDTHS = (10, 26, 22, 48, 48, 48, 16, 12)
CODE, REASON = 1, 6
NAME_COLUMN = 1
LONGEST_REASON = 1_000
MOST_ACCEPTED = 20_000
ROW_NUMBER = re.compile(r"(\$?[A-Z]{1,3}\$?)[0-9]{1,7}\b")


class Acceptance(NamedTuple):
    """A row of the sheet: the code of the finding and why it is accepted."""

    code: str
    reason: str
    row: int


def code_of(finding: Finding, book: Book) -> str:
    """Eight letters and figures that stay the same as long as a finding says the same of the same cells."""
    cells = sorted(f"{called(book, place)}\0{held(book, place)}" for place in finding.cells)
    texts = (ROW_NUMBER.sub(r"\1", text) for text in (finding.there, finding.expected))
    return hashlib.sha256("\0".join((finding.rule, finding.where, *texts, *cells)).encode()).hexdigest()[:8]


def called(book: Book, place: Place) -> str:
    """What a cell is called wherever its row stands; its address where row or column has no name."""
    sheet, row, column = place
    heads = book.headers(sheet)
    name, head = book.value((sheet, row, NAME_COLUMN)), heads.head(row, column)
    named = isinstance(name, str) and name and head and row > heads.above(row) + 1
    return f"{sheet}\0{name}\0{head}" if named else address(*place)


def held(book: Book, place: Place) -> str:
    """The pattern of a cell's formula, or what was typed into it."""
    sheet, row, column = place
    pattern = book.formulas(sheet).get((row, column)) if sheet in book.sheets else None
    return pattern.key if pattern else shown(book.value(place))


def acceptances(book: Book) -> dict[str, Acceptance]:
    """The rows of the sheet by their code; a row without a reason accepts nothing."""
    name = sheet_name(book.package)
    typed = book.typed(name) if name else {}
    found = {}
    for (row, column), value in typed.items():
        reason = typed.get((row, REASON))
        if column == CODE and row > 1 and isinstance(value, str | float) and reason not in (None, ""):
            code = shown(value).strip().lower()
            found[code] = Acceptance(code, str(reason), row)
    return found


def sheet_name(package: Package) -> str:
    """The sheet of accepted findings as the book spells its name; empty where there is none."""
    return next((each.name for each in package.worksheets() if each.name.casefold() == ACCEPTED.casefold()), "")


def accepting(book: Book, finding: Finding, reason: str, by: str, today: date) -> bytes:
    """The file with one more accepted finding in its sheet, which is put behind the others where there is none.

    Raises FileRefused where the file cannot be edited.
    """
    if not reason.strip() or len(reason) > LONGEST_REASON:
        raise FileRefused(f"A finding is accepted with a reason of 1 to {LONGEST_REASON} characters.")
    package, name = book.package, sheet_name(book.package)
    texts = (code_of(finding, book), finding.place, finding.rule, finding.there, finding.expected, reason.strip(), by)
    values: list[Value] = [*texts, f"{today:%Y-%m-%d}"]  # a date as text reads the same in every spreadsheet
    if not name:
        rows = {**row_of(1, HEADS), **row_of(2, values)}
        return with_sheet(package, ACCEPTED, WIDTHS, rows)
    last = max((row for row, _ in book.typed(name)), default=1)
    if last > MOST_ACCEPTED:
        raise FileRefused(f"{package.path.name}: the sheet {name} holds more than {MOST_ACCEPTED} rows.")
    part = next(each.part for each in package.worksheets() if each.name == name)
    edited = with_typed_values(package.read(part), row_of(last + 1, values), f"{package.path.name}, sheet {name}")
    return package.edited({part: edited})


def row_of(row: int, values: Iterable[Value]) -> dict[tuple[int, int], Value]:
    """Values side by side."""
    return {(row, column): value for column, value in enumerate(values, 1)}
