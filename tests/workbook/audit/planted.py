"""A small worked-out job, and ways to change its file as a person or another program would."""

import re
from collections.abc import Callable
from functools import cache

from xlcalc.workbook.audit.audit import Audit, audit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.rules.arithmetic import stale_values
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.template import content

Change = Callable[[bytes], bytes]


@cache
def job() -> Package:
    """Start, Lines and the figures that all sheets rest on, with the demo's lines, worked out."""
    package = Package.from_bytes(content(demo_job(), 12, only=["Lines"]), "job.xlsx")
    return Package.from_bytes(package.edited(compute(package).edits), "job.xlsx")


def changed(package: Package, part: str, change: Change) -> Package:
    """The book with one part changed; the change must change something."""
    old = package.read(part)
    new = change(old)
    assert new != old, f"the change leaves {part} as it is"
    return Package.from_bytes(package.edited({part: new}), package.path)


def replaced(pattern: bytes, new: bytes) -> Change:
    """One place replaced."""

    def change(xml: bytes) -> bytes:
        made, count = re.subn(pattern, new, xml, count=1, flags=re.DOTALL)
        assert count == 1, f"{pattern!r} is not there"
        return made

    return change


def audited(package: Package) -> Audit:
    """An audit by the one rule that these tests are about, which takes a third of the time of all."""
    return audit(package, rules=(stale_values,))


@cache
def clean_job() -> Book:
    """The small job as the audit sees it."""
    return Book(job(), compute(job()))


@cache
def unit_row() -> int:
    """The row with the units of Lines."""
    return clean_job().headers("Lines").row + 1


def header(column: str, text: str) -> Change:
    """Another unit under the header of a column."""
    cell = rb'(<c r="%s%d"[^>]*>.*?<t[^>]*>)[^<]*' % (column.encode(), unit_row())
    return replaced(cell, rb"\g<1>" + text.encode())
