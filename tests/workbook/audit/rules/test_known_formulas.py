"""A workbook made from the template: every cell says what the template says, whatever was moved, or it is found."""

import re
from collections.abc import Callable

import pytest

from xlcalc.core.registry import functions
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules.known_formulas import known_formulas
from xlcalc.workbook.audit.rules.table_rows import rows_outside
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.calculation.written import Written
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import calls, spliced
from xlcalc.workbook.landmarks import MARKER

from ..beside import Beside
from ..sheets import DEMO, Rule, cell, edited, part_of, places, respelled, row_put_in, rows

Look = Callable[[Package, Rule], list[Finding]]
FAULTS = {  # sheet and cell: a piece of its formula, and what is typed instead
    ("Lines", "AN9"): ("$N9", "$N10"),  # a row too low
    ("Lines", "AO10"): ("$AC10", "$AD10"),  # another column
    ("Lines", "AO11"): ("$AC11", "AC$11"),  # a sign at the wrong place
    ("Start", "C7"): ("Lines!", "Routes!"),
    ("Start", "C8"): ("$B$7", "$B$9"),  # the first row left out
    ("Start", "C9"): ("$B$28", "$B$27"),  # the row above the marker instead of the marker
    ("Start", "C58"): ("MAX(Lines!$AF$7:$AF$28))", "MAX(Lines!$AF$7:$AF$28))+0"),
    ("Options", "BJ27"): ("3/9", "4/9"),
    ("Quote", "F23"): ("NowParts+", "NowParts-"),
}


@pytest.fixture(scope="module")
def demo() -> Package:
    return Package.open(DEMO)


@pytest.fixture(scope="module")
def clean(demo: Package) -> Book:
    return Book(demo, compute(demo))


@pytest.fixture(scope="module")
def report(clean: Book) -> Report:
    return clean.report


@pytest.fixture(scope="module")
def looked_at(clean: Book) -> Look:
    """What a rule finds in the demo with a change, with the values that it had."""

    def look(package: Package, rule: Rule) -> list[Finding]:
        return list(rule(Beside(package, clean.report, clean)))

    return look


def planted(package: Package, report: Report, faults: dict[tuple[str, str], tuple[str, str]]) -> Package:
    for (sheet, ref), (old, new) in faults.items():
        letters = ref.rstrip("0123456789")
        row = int(ref.removeprefix(letters))
        column = 0
        for letter in letters:
            column = column * 26 + ord(letter) - 64
        written = Written(package, report.source).formula((sheet, row, column))
        assert old in written, (ref, written)
        package = edited(package, sheet, ref, "=" + written.replace(old, new))
    return package


def test_formulas_that_say_something_else_are_found_and_no_others(
    demo: Package, report: Report, looked_at: Look
) -> None:
    found = looked_at(planted(demo, report, FAULTS), known_formulas)
    assert sorted(places(found)) == sorted(ref for _, ref in FAULTS)
    assert [each for each in found if "as the template has it" not in each.expected] == []
    said = {ref: each for each in found for ref in places([each])}
    assert said["AO10"].why == "it looks at $AD10 where $AC10 is meant"
    assert said["BJ27"].why == "the figure 4 stands where 3 is meant"
    assert said["C58"].why.startswith("`+0` was put in")


def test_a_row_that_was_emptied_was_taken_out(demo: Package, report: Report, looked_at: Look) -> None:
    """A shop deletes a sentence of the customer's page that it does not want to print: nothing is left of that row."""
    formulas = Written(demo, report.source)
    written = {row: formulas.formula(("Quote", row, 1)) for row, column in report.places("Quote") if column == 1}
    (row,) = (row for row, text in written.items() if "at the rating of the cap" in text)
    assert looked_at(edited(demo, "Quote", f"A{row}", None), known_formulas) == []


def test_cells_that_lost_their_formula_are_found_also_where_the_value_is_equal(
    demo: Package, report: Report, looked_at: Look
) -> None:
    right = report.value_at("Lines", "AN9")
    package = edited(edited(edited(demo, "Lines", "AN9", right), "Lines", "AN10", 99.5), "Lines", "AN11", None)
    equal, other, missing = looked_at(package, known_formulas)
    assert (places([equal]), equal.rule, "right today" in equal.why) == (["AN9"], "typed-over", True)
    assert (places([other]), other.rule, "right today" in other.why) == (["AN10"], "typed-over", False)
    assert (places([missing]), missing.rule) == (["AN11"], "formula-missing")


def test_every_spelling_of_a_program_says_the_same(demo: Package, looked_at: Look) -> None:
    spellings = {"Lines": str.lower, "Breathers": "[1]!{}".format, "Vacuum": "_xll.{}".format, "Cooling": "@{}".format}

    def spelled(sheet: str, written: str) -> str:
        if sheet not in spellings:
            return written
        spell = spellings[sheet]
        return spliced(written, [(each.start, each.start + len(each.written), spell(each.name))
                                 for each in calls(written) if each.name in functions()])  # fmt: skip

    respelt = respelled(demo, spelled)
    assert respelt.data != demo.data
    assert looked_at(respelt, known_formulas) == []


def test_rows_put_in_reworded_headers_and_renamed_sheets_change_nothing(demo: Package, looked_at: Look) -> None:
    moved = row_put_in(edited(demo, "Lines", "D5", "from which port"), "Lines", 12)
    book = moved.read(moved.workbook_part)
    for old, new in ((b'name="Lines"', b'name="All lines"'), (b"'Lines'!", b"'All lines'!")):
        book = book.replace(old, new)
    renamed = respelled(
        Package.from_bytes(moved.edited({moved.workbook_part: book}), moved.path),
        lambda _, written: written.replace("Lines!", "'All lines'!"),
    )
    assert looked_at(renamed, known_formulas) == []
    assert looked_at(renamed, rows_outside) == []
    short = edited(renamed, "Start", "C9", "=COUNTIF('All lines'!$B$7:$B$28,\"Not checked*\")")
    (found,) = looked_at(short, known_formulas)
    assert (found.place, found.expected) == (
        "Start!C9", "=COUNTIF('All lines'!$B$7:$B$29,\"Not checked*\"), as the template has it"
    )  # fmt: skip


def test_a_row_below_the_end_of_its_table_and_one_without_formulas_are_found(demo: Package, looked_at: Look) -> None:
    part = part_of(demo, "Prices")
    xml = demo.read(part)
    line = next(each for each in re.findall(rb"<row .*?</row>", xml, re.DOTALL) if MARKER.encode() in each)
    end = int(re.findall(rb'r="([0-9]+)"', line)[0])
    assert b'<row r="%d"' % (end + 1) not in xml
    cells = {f"{letter}{end + 1}": held for letter, held in (("A", "clip"), ("D", "each"), ("E", 2.5))}
    below = xml.replace(line, line + rows(cells).encode())
    (found,) = looked_at(Package.from_bytes(demo.edited({part: below}), demo.path), rows_outside)
    assert (found.rule, found.there) == ("row-outside", f"row {end + 1} stands below row {end}, which ends the table")
    bare = re.sub(rb'(<c r="[A-Z]+%d"[^<>]*?)( t="[a-z]+")?><f>.*?</c>' % (end - 1), rb"\1/>", xml)
    for letter, held in (("A", "clip"), ("D", "each"), ("E", 2.5)):
        ref = f"{letter}{end - 1}"
        bare = re.sub(rb'<c r="%s"[^<>]*?/>' % ref.encode(), cell(ref, held).encode(), bare)
    (found,) = looked_at(Package.from_bytes(demo.edited({part: bare}), demo.path), rows_outside)
    assert (found.rule, places([found])) == ("row-without-formulas", [f"A{end - 1}"])


def test_a_filled_row_with_few_of_its_formulas_left_is_found(demo: Package, looked_at: Look) -> None:
    """As where only what is typed was copied, beside the Check that an empty row had already."""
    part = part_of(demo, "Lines")
    few = re.sub(rb'(<c r="(?:[D-Z]|[A-Z]{2})18"[^<>]*?)( t="[a-z]+")?><f>.*?</c>', rb"\1/>", demo.read(part))
    (found,) = looked_at(Package.from_bytes(demo.edited({part: few}), demo.path), rows_outside)
    assert (found.place, found.there.partition(" of ")[0]) == ("Lines!A18", "row 18 is filled in and has only 2")
