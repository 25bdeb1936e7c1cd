"""The audit of a workbook: works it out, asks every rule, puts the most serious first."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from xlcalc.workbook.audit.accepted import acceptances, code_of
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.cited import found_tables
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules import RULES, Rule
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

TORN, GUESSED = "sorted-in-part", "other-unit"  # codes of rules

Progress = Callable[[str], None]


class Audit(NamedTuple):
    """What an audit found, most serious first, with the codes by which a person accepts a finding.

    `accepted` are those that the book's own sheet accepts, with the reason that it gives.
    """

    findings: dict[str, Finding]
    accepted: dict[str, tuple[Finding, str]]
    book: Book


def audit(package: Package, progress: Progress | None = None, rules: Sequence[Rule] = RULES) -> Audit:
    """Audit a workbook by all rules or some; the file is not touched. Raises FileRefused where it cannot be read."""
    tell = progress or (lambda _: None)
    report = compute(package, progress=progress)
    book = Book(package, report)
    found: list[Finding] = []
    for rule in rules:
        tell(f"looking for {rule.__name__.replace('_', ' ')}")
        found += rule(book)
    coded = with_codes(in_order(folded(without_echoes(found, book)), list(book.sheets)), book)
    known = acceptances(book)
    accepted = {code: (each, known[code].reason) for code, each in coded.items() if code in known}
    return Audit({code: each for code, each in coded.items() if code not in accepted}, accepted, book)


def without_echoes(found: Sequence[Finding], book: Book) -> Iterator[Finding]:
    """Findings without guesses at units on sheets that were torn apart by sorting: there nothing goes together.

    From torn tables of figures guesses are made on all sheets.
    """
    torn = {cell[0] for each in found if each.rule == TORN for cell in each.cells}
    everywhere = any(table.sheet in torn for _, table in found_tables(book))
    for each in found:
        if each.rule != GUESSED or not (everywhere or any(cell[0] in torn for cell in each.cells)):
            yield each


def with_codes(found: Iterable[Finding], book: Book) -> dict[str, Finding]:
    """Findings by their codes; of two that say the same of cells with the same name, the second counts on."""
    coded: dict[str, Finding] = {}
    for each in found:
        code, again = code_of(each, book), 1
        while code in coded:
            again += 1
            code = code_of(replace(each, where=f"{each.where} ({again})"), book)
        coded[code] = each
    return coded


def folded(found: Iterable[Finding]) -> list[Finding]:
    """The same fault in many cells as one finding."""
    alike: dict[tuple[str, ...], list[Finding]] = {}
    for each in found:
        alike.setdefault(likeness(each), []).append(each)
    return [first.joined(tuple(others)) if others else first for first, *others in alike.values()]


def likeness(each: Finding) -> tuple[str, ...]:
    """What two findings share that are the same fault: rule, column and words, or what they say of it themselves."""
    column = str(each.cells[0][2]) if each.cells else each.where
    sheet = each.cells[0][0] if each.cells else ""
    return each.rule, sheet, column, *([each.fault] if each.fault else [each.there, each.expected, each.why])


def in_order(found: Iterable[Finding], sheets: list[str]) -> list[Finding]:
    """Findings by weight, sureness and place."""

    def rank(each: Finding) -> tuple[int, int, int, tuple[int, int]]:
        sheet, row, column = each.cells[0] if each.cells else ("", 0, 0)
        return each.weight, each.sure, sheets.index(sheet) if sheet in sheets else -1, (row, column)

    return sorted(found, key=rank)
