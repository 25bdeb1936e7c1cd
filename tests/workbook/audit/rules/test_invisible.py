"""Values that cannot be read in their cell: which of them count, and what is said."""

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Weight
from xlcalc.workbook.audit.rules.invisible import errors_out_of_sight, invisible_values, scaled_values
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

from ..beside import as_before
from ..planted import clean_job, job
from ..sheets import book, dressed, part_of, places, table

RED = '<fill><patternFill><bgColor rgb="FFC00000"/></patternFill></fill>'
WHITE = '<color rgb="FFFFFFFF"/>'


@pytest.mark.parametrize(
    ("ref", "found"),
    [
        ("B3", ["B3"]),  # a length that its row takes
        ("A3", []),  # a word that nothing looks at
        ("D3", []),  # a formula of the shop's own
        ("E3", []),  # a number that nothing looks at
        ("F3", ["F3"]),  # an error
    ],
)
def test_a_value_in_white_letters_is_found_where_it_counts(ref: str, found: list[str]):
    cells = table() | {"E1": "Bin", "E3": 7.0, "F1": "Each", "F3": "=D3/0"}
    package = dressed(book(cells).package, "S", ref, font=WHITE)
    assert places(invisible_values(Book(package, compute(package)))) == found


def test_a_hidden_error_is_worse_than_a_hidden_number():
    cells = table() | {"F1": "Each", "F3": "=D3/0"}
    for ref, weight in (("B3", Weight.WEAK), ("F3", Weight.WRONG)):
        package = dressed(book(cells).package, "S", ref, font=WHITE)
        (found,) = invisible_values(Book(package, compute(package)))
        assert (found.rule, found.weight) == ("value-invisible", weight)


@pytest.mark.parametrize(
    ("asks", "look", "found"),
    [
        ('type="containsErrors"', '<font><color rgb="FFFFFFFF"/></font>', True),
        ('type="expression"', '<font><color theme="0"/></font>', True),
        ('type="containsErrors"', f"<font>{WHITE}</font>{RED}", False),
        ('type="containsErrors"', '<font><color rgb="FFC00000"/></font>', False),
    ],
)
def test_an_error_that_a_conditional_format_takes_out_of_sight_is_found(asks: str, look: str, found: bool):
    rule = f'<cfRule {asks} priority="1" dxfId="0"><formula>ISERROR(F1)</formula></cfRule>'
    after = f'<conditionalFormatting sqref="F1:F9">{rule}</conditionalFormatting>'
    cells = table() | {"F1": "Each", "F3": "=D3/0", "F4": "=D4/2", "G3": "=D3/0"}
    package = dressed(book(cells).package, "S", "A1", after=after, looks=f"<dxf>{look}</dxf>")
    assert places(errors_out_of_sight(Book(package, compute(package)))) == (["F3"] if found else [])


def formatted(code: str) -> Package:
    """The job with one answer in a number format."""
    styles, lines = job().read("xl/styles.xml"), part_of(job(), "Lines")
    count = styles[styles.index(b"<cellXfs") :].partition(b"</cellXfs>")[0].count(b"<xf ")
    dressed_up = styles.replace(b"</numFmts>", f'<numFmt numFmtId="300" formatCode="{code}"/></numFmts>'.encode())
    dressed_up = dressed_up.replace(b"</cellXfs>", b'<xf numFmtId="300" fontId="1" fillId="0"/></cellXfs>')
    xml = job().read(lines)
    at = xml.index(b'<c r="BR8" s="')
    end = xml.index(b'"', at + 14)
    edits = {"xl/styles.xml": dressed_up, lines: xml[:at] + b'<c r="BR8" s="%d' % count + xml[end:]}
    return Package.from_bytes(job().edited(edits), "job.xlsx")


def test_an_answer_of_the_job_hidden_by_its_number_format_is_found_and_the_job_itself_is_silent():
    assert [*invisible_values(clean_job()), *scaled_values(clean_job())] == []
    (found,) = invisible_values(as_before(formatted(";;;")))
    assert (found.place, found.weight) == ("Lines!BR8", Weight.WEAK)
    assert "does not show it" in found.there


@pytest.mark.parametrize(
    ("code", "found"), [("0,", 1), ("#,##0.0,,", 1), ("#,##0", 0), ("#,##0.00", 0), ("0&quot;,&quot;", 0), ("0\\,", 0)]
)
def test_an_answer_of_the_job_that_is_shown_in_thousands_is_found(code: str, found: int):
    """By the file format a comma behind the last digit divides by a thousand; one between digits groups them."""
    assert places(scaled_values(as_before(formatted(code)))) == ["BR8"] * found


def test_a_sheet_of_the_shops_own_may_show_thousands():
    package = dressed(book(table()).package, "S", "C3", code="0,")
    assert list(scaled_values(Book(package, compute(package)))) == []
