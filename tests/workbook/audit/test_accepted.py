"""Findings that were accepted stay quiet as long as they say the same of the same row and column."""

import re
from datetime import date
from functools import cache

import pytest

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.audit.accepted import accepting
from xlcalc.workbook.audit.audit import Audit
from xlcalc.workbook.audit.since.since import since
from xlcalc.workbook.file.package import Package

from .planted import audited, changed, job, replaced
from .sheets import part_of

DAY = date(2026, 3, 2)


def stale(cell: bytes = b"AJ11", value: bytes = b"99") -> Package:
    """The job with one cell that shows another value than its formula gives."""
    return changed(job(), part_of(job(), "Lines"),
                   replaced(rb'(<c r="%s"[^>]*><f>[^<]*</f><v>)[^<]*' % cell, rb"\g<1>" + value))  # fmt: skip


def accept_all(audit: Audit, reason: str = "as it was agreed") -> Audit:
    """The audit of the book once every finding is accepted, one after the other."""
    path = audit.book.package.path
    for finding in audit.findings.values():
        audit = audited(Package.from_bytes(accepting(audit.book, finding, reason, "N. N.", DAY), path))
    return audit


@cache
def first() -> Audit:
    """The job with one stale value."""
    return audited(stale())


@cache
def accepted() -> Audit:
    """The same, accepted."""
    return accept_all(first())


def test_an_accepted_finding_stays_quiet_and_is_listed_with_its_reason():
    assert [each.rule for each in first().findings.values()] == ["stale-value"]
    assert not accepted().findings, "accepted and found again"
    assert [reason for _, reason in accepted().accepted.values()] == ["as it was agreed"]


def test_everything_else_in_the_book_stays_byte_for_byte():
    package, after = first().book.package, accepted().book.package
    touched = {name for name in after.names if name not in package.names or after.read(name) != package.read(name)}
    new = "xl/worksheets/sheet5.xml"
    assert touched == {"[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", new}


def test_an_accepted_finding_that_changes_comes_back():
    package = accepted().book.package
    worse = changed(package, part_of(package, "Lines"), replaced(rb"<v>99</v>", b"<v>98</v>"))
    assert [each.there for each in audited(worse).findings.values()] == ["the file shows 98 (Flow number, L/min)"]


def test_a_second_finding_goes_into_the_same_sheet():
    package = accepted().book.package
    second = changed(package, part_of(package, "Lines"),
                     replaced(rb'(<c r="AN12"[^>]*><f>[^<]*</f><v>)[^<]*', rb"\g<1>77"))  # fmt: skip
    both = accept_all(audited(second))
    assert not both.findings, "accepted and found again"
    assert len(both.accepted) == 2


def test_a_row_of_the_sheet_without_a_reason_accepts_nothing():
    package = accepted().book.package
    sheet = part_of(package, "Accepted findings")
    emptied = changed(package, sheet, lambda xml: re.sub(rb"as it was agreed", b"", xml))
    assert len(audited(emptied).findings) == 1


@pytest.mark.parametrize("reason", ["", "  ", "x" * 1001])
def test_a_finding_is_not_accepted_without_a_reason(reason: str):
    (finding,) = first().findings.values()
    with pytest.raises(FileRefused, match="with a reason"):
        accepting(first().book, finding, reason, "", DAY)


def test_what_is_new_and_what_is_gone_since_an_older_copy():
    change = since(first(), audited(stale(b"AJ12", b"55")))
    assert [each.cells[0] for each in change.new.values()] == [("Lines", 12, 36)]
    assert [each.cells[0] for each in change.gone.values()] == [("Lines", 11, 36)]
    assert not change.still


def test_a_book_with_an_empty_sheet_is_audited():
    def emptied(xml: bytes) -> bytes:
        return re.sub(rb"<sheetData>.*</sheetData>", b"<sheetData/>", xml, flags=re.DOTALL)

    assert audited(changed(job(), part_of(job(), "Hoses"), emptied)).book.typed("Hoses") == {}
