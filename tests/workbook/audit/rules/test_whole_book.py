"""Faults of the whole book: settings, names, lists, links, stamp. Each is planted in a small job, one at a time."""

import re

import pytest

import xlcalc
from xlcalc.core.tables import fingerprint
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Weight
from xlcalc.workbook.audit.newbook import known_cells
from xlcalc.workbook.audit.rules import RULES
from xlcalc.workbook.audit.rules.known_formulas import known_formulas
from xlcalc.workbook.audit.rules.names import moved_names
from xlcalc.workbook.audit.rules.settings import hidden_sheets
from xlcalc.workbook.audit.rules.validation import lost_beside_labels
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.stamp import seal
from xlcalc.workbook.template import content

from ..beside import anew, as_before
from ..planted import Change, changed, job, replaced
from ..sheets import book, edited, part_of

BOOK = "xl/workbook.xml"


def findings(package: Package) -> dict[str, list[Finding]]:
    """What the rules about the book find, by rule; the values are those of the unchanged job."""
    found = as_before(package)
    named: dict[str, list[Finding]] = {}
    for rule in RULES:
        if rule.__module__.rpartition(".")[2] in {"settings", "names", "spelling", "validation", "stamps"}:
            for each in rule(found):
                named.setdefault(each.rule, []).append(each)
    return named


def test_the_job_as_it_is_made_is_silent():
    assert findings(job()) == {}


@pytest.mark.parametrize(
    ("rule", "change", "says"),
    [
        ("manual-calculation", replaced(rb"<calcPr ", b'<calcPr calcMode="manual" '), "manual"),
        ("precision-as-displayed", replaced(rb"<calcPr ", b'<calcPr fullPrecision="0" '), "as its cells show"),
        ("iterative-calculation", replaced(rb"<calcPr ", b'<calcPr iterate="1" iterateCount="7" '), "7 rounds"),
        ("other-calendar", replaced(rb"<workbookPr ", b'<workbookPr date1904="1" '), "from 1904"),
        ("name-moved", replaced(rb'(name="RoadAltitude">[^<]*\$)(\d+)', rb"\g<1>3"), "Highest road"),
        ("name-moved", replaced(rb'(name="LineFlows">Lines!)\$AJ\$7:\$AJ', rb"\g<1>$AK$7:$AK"), "Flow number"),
        ("name-moved", replaced(rb'(name="LineHottest">Lines!\$AL\$7:\$AL\$)\d+', rb"\g<1>9"), "rows of its table"),
        ("name-moved", replaced(rb'(name="LineCircuits">)[^<]*', rb"\g<1>#REF!"), "cells that are there"),
        ("name-moved", replaced(rb'(name="RoadAltitude">)[^<]*', rb"\g<1>1900"), "stands for 1900"),
        ("name-moved", replaced(rb'<definedName name="RoadAltitude">[^<]*</definedName>', b""), "it is not there"),
        ("external-link", replaced(rb'(name="LineCircuits">)[^<]*', rb"\g<1>[prices.xlsx]S!$A$1:$A$9"), "prices.xlsx"),
    ],
)
def test_a_fault_of_the_book_is_found(rule: str, change: Change, says: str):
    got = findings(changed(job(), BOOK, change))
    assert list(got) == [rule], f"expected one {rule}, found {got}"
    assert any(says in text for each in got[rule] for text in (each.there, each.expected)), got


@pytest.mark.parametrize("version", [rb"0.0.9", rb""])
def test_an_edited_stamp_is_told_from_one_of_another_version(version: bytes):
    change = replaced(rb"(xlcalc version.*?<vt:lpwstr>)[^<]*", rb"\g<1>" + version)
    assert list(findings(changed(job(), "docProps/custom.xml", change))) == ["stamp-edited"]


def stamped(xml: bytes, version: str, data: str) -> bytes:
    """The stamp of a version and its data, with the check that belongs to them."""
    for name, value in (("version", version), ("data", data), ("seal", seal(version, data))):
        xml = re.sub(rb"(xlcalc %s.*?<vt:lpwstr>)[^<]*" % name.encode(), rb"\g<1>" + value.encode(), xml, count=1)
    return xml


def older(xml: bytes) -> bytes:
    """The stamp of another version and other data."""
    return stamped(xml, "0.0.9", "00000000")


def test_a_stamp_of_another_version_that_holds_is_a_note():
    assert list(findings(changed(job(), "docProps/custom.xml", older))) == ["other-version"]


@pytest.mark.parametrize(
    ("version", "data"), [("9.0.0", fingerprint()), (xlcalc.__version__, "0badcafe"), ("0.2.9", "0badcafe")]
)
def test_a_whole_stamp_of_another_version_or_of_other_data_names_both(version: str, data: str):
    """A newer one, the same with other data, and an older one; the check belongs to what stands there."""

    (got,) = findings(changed(job(), "docProps/custom.xml", lambda xml: stamped(xml, version, data)))["other-version"]
    assert (got.weight, got.there) == (Weight.NOTE, f"made with version {version}, data {data}")
    assert xlcalc.__version__ in got.expected
    assert fingerprint() in got.expected


def test_a_sheet_that_another_version_lays_out_otherwise_is_one_note():
    """In a book of this version each of its columns is a finding; nothing is told of the other sheets."""
    anew = re.sub(rb"<f>(IFERROR\()", rb"<f>\g<1>0+", job().read(part_of(job(), "Lines")))
    package = changed(job(), part_of(job(), "Lines"), lambda _: anew)
    assert len({each.cells[0][2] for each in known_formulas(as_before(package))}) > 6
    (got,) = known_formulas(as_before(changed(package, "docProps/custom.xml", older)))
    assert (got.rule, got.weight, got.place) == ("other-layout", Weight.NOTE, "the sheet Lines")


def test_a_book_of_another_version_may_have_other_formulas_by_right():
    flipped = changed(job(), part_of(job(), "Lines"), replaced(rb"(<f>IF\([^<]*?)&lt;", rb"\g<1>&gt;"))
    for package, weight in ((flipped, Weight.WRONG), (changed(flipped, "docProps/custom.xml", older), Weight.NOTE)):
        (got,) = known_formulas(as_before(package))
        assert (got.rule, got.weight) == ("other-formula", weight)


@pytest.mark.parametrize(("sheet", "ref", "held"), [("Start", "C89", "3 psi"), ("Lines", "Q5", "Hose type")])
def test_a_text_beside_a_cell_and_a_reworded_header_move_no_name(sheet: str, ref: str, held: str):
    package = edited(job(), sheet, ref, held)
    assert list(moved_names(anew(package))) == []


def test_a_list_that_one_row_has_lost_is_found():
    lines = part_of(job(), "Lines")

    def without_h10(xml: bytes) -> bytes:
        return replaced(rb'(<dataValidation sqref=")F8:F', rb"\g<1>F8:F9 F11:F")(xml)

    got = findings(changed(job(), lines, without_h10))
    assert [each.cells for each in got["validation-removed"]] == [(("Lines", 10, 6),)]


@pytest.mark.parametrize(
    "change",
    [
        replaced(rb'<dataValidation [^>]*sqref="F8:F\d+"[^>]*>.*?</dataValidation>', b""),
        replaced(rb'(<dataValidation sqref="F8:F\d+"[^>]*showErrorMessage=")1', rb"\g<1>0"),
    ],
    ids=["gone", "stops nothing"],
)
def test_a_column_that_has_lost_its_lists_is_found(change: Change):
    got = findings(changed(job(), part_of(job(), "Lines"), change))
    assert {cell[2] for each in got["validation-removed"] for cell in each.cells} == {6}


def test_a_table_that_has_lost_all_its_lists_is_one_finding():
    lines = part_of(job(), "Lines")
    gone = replaced(rb"<dataValidations.*?</dataValidations>", b"")
    (got,) = findings(changed(job(), lines, gone))["validation-removed"]
    assert {cell[2] for cell in got.cells} == {1}
    assert "the checks that this table has" in got.expected


def test_a_row_put_in_without_any_list_is_silent():
    """As both spreadsheets leave a row that is put in above the first."""
    lines = part_of(job(), "Lines")

    def without_row_8(xml: bytes) -> bytes:
        return re.sub(rb'(sqref="[A-Z]+)8:', rb"\g<1>9:", xml)

    assert findings(changed(job(), lines, without_row_8)) == {}


def test_a_list_that_stands_by_itself_below_a_table_is_known_and_found_where_it_is_gone():
    """The cell of Cooling that says which fan its chart shows is the only one with that list."""
    package = Package.from_bytes(content(demo_job(), 6, only=["Lines", "Cooling"]), "job.xlsx")
    held = compute(package)
    (row,) = (row for row in range(1, 80) if held.value("Cooling", row, 4) == "Fan shown")
    beside = set(known_cells(Book(package, held)))
    assert ("Cooling", str(row), "5") in beside
    assert ("Cooling", "10", "1") not in beside, "rows of tables begin with names of the job"
    gone = replaced(rb'<dataValidation sqref="E%d".*?</dataValidation>' % row, b"")
    without = changed(package, part_of(package, "Cooling"), gone)
    assert [each.place for each in lost_beside_labels(Book(without, held))] == [f"Cooling!E{row}"]


def test_a_hidden_sheet_with_numbers_that_count_is_found():
    hide = replaced(rb'(<sheet name="Fluids"[^>]*state=")visible', rb"\g<1>veryHidden")
    (got,) = findings(changed(job(), BOOK, hide))["hidden-inputs"]
    assert got.cells[0][0] == "Fluids"
    assert "VBA editor" in got.mend


@pytest.mark.parametrize(("formula", "found"), [("T!B2", True), ("B1*3", False)])
def test_a_hidden_sheet_that_no_other_one_looks_at_decides_nothing(formula: str, found: bool):
    own = {"A1": "Sample", "B1": 7.0, "B2": "=B1*2"}
    made = book({"S": {"A1": "Length", "B1": 2.0, "B2": f"={formula}"}, "T": own}).package
    package = changed(made, BOOK, replaced(rb'<sheet name="T"', b'<sheet name="T" state="hidden"'))
    assert bool(list(hidden_sheets(Book(package, compute(package))))) is found


def test_a_function_called_through_the_path_of_one_computer_is_found():
    lines = part_of(job(), "Lines")
    path = replaced(rb"QUANTITY_IN\(", rb"'C:\\\\Users\\\\x\\\\xlcalc.xlam'!QUANTITY_IN(")
    (got,) = findings(changed(job(), lines, path))["add-in-path"]
    assert got.cells[0][0] == "Lines"
