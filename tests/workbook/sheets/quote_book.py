"""What the tests of Quote read: a job worked out in a book, its named cells and its page, and the money by hand."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

import pytest

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.template import content

from .retyped import Retyped, Shows

LAST_ROW = 200
SHEETS = ("Parts", "Quote")
QUIET_LINES = ("PS-1", "FU-2", "VA-1", "CO-1")  # of the demo, each within its limits


@dataclass(frozen=True)
class Made:
    """A computed workbook and where its names point."""

    report: Shows
    names: Mapping[str, str]
    data: bytes = b""

    def __getitem__(self, name: str) -> object:
        """Value of a named cell."""
        sheet, _, cell = self.names[name].partition("!")
        return self.report.value_at(sheet.strip("'"), cell.replace("$", ""))

    def beside(self, words: str, column: str = "B", nth: int = 1) -> object:
        """What stands in a column of the row that begins with these words, of the first such row or a later one."""
        found = [row for row in range(1, LAST_ROW) if str(self.report.value_at("Quote", f"A{row}")) == words]
        return self.report.value_at("Quote", f"{column}{found[nth - 1]}")

    def page(self) -> list[str]:
        """The words and figures of the customer's page, row by row."""
        first, last = (int(each.lstrip("$ABCDEFG")) for each in self.names["Quote!print"].partition("!")[2].split(":"))
        rows = range(first, last + 1)
        values = ([self.report.value_at("Quote", f"{letter}{row}") for letter in "ABCDEFG"] for row in rows)
        return ["|".join(str(value) for value in row if value not in (None, "")) for row in values]


def names(package: Package) -> dict[str, str]:
    """Where the names point, and what the Quote prints."""
    known = package.defined_names()
    return {f"{each.sheet}!print" if each.name.endswith("Print_Area") else each.name: each.text for each in known}


def made(job: Job, rows: int = 8) -> Made:
    """A job worked out in a book of its own."""
    package = Package.from_bytes(data := content(job, rows, SHEETS), "quote.xlsx")
    return Made(compute(package), names(package), data)


@lru_cache(1)
def quiet_book() -> Retyped:
    """The book of the lines within their limits."""
    return Retyped(job(), 8, SHEETS)


@lru_cache(1)
def whole_book() -> Retyped:
    """The book of all lines with their routes."""
    return Retyped(job(whole=True), 17, [*SHEETS, "Routes", "Fittings"])


@lru_cache(1)
def book_without_parts() -> Retyped:
    """A book for what another sheet says of the parts: these cells are typed over in it."""
    return Retyped(job({"PartsOwn": None}), 8, SHEETS)


def typed(book: Retyped, job: Job) -> Made:
    """A book with another job typed into it. What is wanted of one job is read before the next is typed."""
    return Made(book.of(job), names(book.package), book.data)


def quiet(job: Job) -> Made:
    """A job of few lines, typed into their book."""
    return typed(quiet_book(), job)


def job(
    start: Mapping[str, object] | None = None,
    tables: Mapping[str, list[dict[str, object]]] | None = None,
    *,
    whole: bool = False,
) -> Job:
    """The demo job with parts of 1240.00 as the shop's own figure and changes; only its lines within limits, or all."""
    found = replace(demo_job(), start={**demo_job().start, "PartsOwn": 1240, **(start or {})})
    if not whole:
        ours = {"variations": [{**row, "line": "PS-1"} for row in found.tables["variations"]], **(tables or {})}
        lines = [row for row in found.lines if row["line"] in QUIET_LINES]
        found = replace(found, lines=lines, tables={**found.tables, **ours})
    return found


def labour(**changed: Mapping[str, object]) -> list[dict[str, object]]:
    """The hours of the demo with cells of some operations typed over."""
    return [{**row, **changed.get(str(row["operation"]).replace(" ", "_"), {})} for row in demo_job().tables["labour"]]


def cents(value: Decimal) -> Decimal:
    return value.quantize(Decimal("0.01"), ROUND_HALF_UP)


def by_hand(parts: str, added: str = "0") -> dict[str, Decimal]:
    """The money in decimals, the way a calculator on the desk does it: each sum rounded once."""
    hours = sum(Decimal(times) * Decimal(each) for times, each in (
        ("1", "1.5"), ("17", "0.2"), ("4", "0.3"), ("30", "0.05"), ("2", "0.25"), ("6", "0.15"),
        ("17", "0.3"), ("3", "0.4"), ("2", "0.5"), ("1", "0.9"), ("1", "0.8"),
    ))  # fmt: skip
    assert hours == 18
    work = hours * Decimal("1.2") * 50
    before = Decimal(parts) + 60 + Decimal(parts) * Decimal("0.03") + work
    cost = before * Decimal("1.08")
    price = cents(cost / Decimal("0.70") + Decimal(added))
    tax = cents(price * Decimal("0.20"))
    return {
        "NowParts": Decimal(parts), "NowLabour": work, "NowCost": cost, "NowPrice": price, "NowTax": tax,
        "NowTotal": price + tax, "NowDeposit": cents((price + tax) * Decimal("0.40")),
    }  # fmt: skip


def assert_money(found: Made, wanted: Mapping[str, Decimal]) -> None:
    for name, value in wanted.items():
        digits = 6 if name in ("NowCost", "NowLabour", "NowParts") else 9
        assert float(str(found[name])) == pytest.approx(float(value), abs=10**-digits), name
