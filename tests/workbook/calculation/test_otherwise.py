"""Where the engine answers otherwise than a spreadsheet: the cell keeps its value, or the answer is brought in line.

What a spreadsheet answers was asked of LibreOffice 7.4.7: books with these formulas and without values, converted
headless to .xlsx and read back.
"""

from xml.sax.saxutils import escape

import pytest

from xlcalc.workbook.calculation.otherwise import otherwise
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.file.package import Package

from ..books import SHEET, book, formula, number, packed, parts, row, text
from ..ours import OURS, values
from .test_structured import table_xml, with_tables

KEPT = [
    ('CELL("filename")', 'CELL("filename"), which only a spreadsheet works out'),
    ('CELL("width",B7)', 'CELL("width"), which only a spreadsheet works out'),
    ("CELL(B7,B7)", "CELL(B7), which only a spreadsheet works out"),
    ('CONVERT(1,"psi","Pa")', "CONVERT from psi to Pa, which only a spreadsheet works out"),
    ('IFERROR(CONVERT(B7,"gal","l"),0)', "CONVERT from gal to l, which only a spreadsheet works out"),
    ('CONVERT(1,"m2","ft2")', "CONVERT from m2 to ft2, which only a spreadsheet works out"),
    ('TEXT(1234.567,"0.00E+00")', 'the number format "0.00E+00", which only a spreadsheet works out'),
    ('"about "&TEXT(0.125,"# ?/8")', 'the number format "# ?/8", which only a spreadsheet works out'),
    ('TEXT(B7,"[>1000]0.0;0")', 'the number format "[>1000]0.0;0", which only a spreadsheet works out'),
    ('TEXT(B7,"# ##0")', 'the number format "# ##0", which only a spreadsheet works out'),
    ('INDIRECT("R7C2",FALSE)', "INDIRECT in the style R1C1, which only a spreadsheet works out"),
    ('COUNTIF(B7:B8,"#N/A")', "a count or sum by the error #N/A, which only a spreadsheet works out"),
    ('SUMIFS(B7:B8,C7:C8,"<>#div/0!")', "a count or sum by the error <>#div/0!, which only a spreadsheet works out"),
    ("_xlfn.FORMULATEXT(B7)", "FORMULATEXT, which only a spreadsheet works out"),
    ("_xlfn.ISFORMULA(B7)", "ISFORMULA, which only a spreadsheet works out"),
    ('INDIRECT("R7C2",0)', "INDIRECT in the style R1C1, which only a spreadsheet works out"),
]
ALIKE = [
    ('CELL("row",C5)', 5.0), ('CELL("Address",B7)', "$B$7"),
    ('CONVERT(1,"in","mm")', 25.4), ('CONVERT(100,"C","F")', 212.0),
    ('TEXT(1234.567,"#,##0.0")', "1,234.6"), ('TEXT(45000.75,"d/m/yy")', "15/3/23"), ('TEXT(-5,"0;(0)")', "(5)"),
    ('TEXT(1234.567,"0"" E+""")', "1235 E+"), ('TEXT(0.5,"h:mm AM/PM")', "12:00 PM"), ('INDIRECT("B7",TRUE)', 7.0),
    ('INDIRECT("B7",1)', 7.0),
    ('"x"&0.1*3', "x0.3"), ('CONCATENATE("x",1.1*1.1)', "x1.21"), ('100*1.1&""', "110"), ('-0.1*3&""', "-0.3"),
    ('1/3&" mm"', "0.333333333333333 mm"), ('1234567.891&""', "1234567.891"),
    ('2/3&" to "&4/3', "0.666666666666667 to 1.33333333333333"),
    ('"0.30000000000000004000"', "0.30000000000000004000"), ('"1.2.30000000000000004"', "1.2.30000000000000004"),
]  # fmt: skip


def worked(*written: str) -> Report:
    """The formulas in column A from row 20, each with the cached value 77, over a few typed cells."""
    rows = row(7, number("B7", 7)) + row(8, number("B8", 9))
    rows += "".join(row(at, formula(f"A{at}", escape(each), "77")) for at, each in enumerate(written, 20))
    return compute(Package.from_bytes(book(rows), "b.xlsx"), OURS)


def test_what_the_engine_would_answer_otherwise_keeps_its_value_and_says_why() -> None:
    report = worked(*(written for written, _ in KEPT))
    assert [stop.reason for stop in report.frozen] == [why for _, why in KEPT]
    assert set(values(report).values()) == {77.0}


def test_what_it_answers_alike_is_worked_out() -> None:
    report = worked(*(written for written, _ in ALIKE))
    assert (report.frozen, report.kept) == ([], [])
    assert list(values(report).values()) == [answer for _, answer in ALIKE]


def test_digits_in_a_call_tell_one_from_another() -> None:
    report = worked('INDIRECT("B7",1)', 'INDIRECT("B7",0)', 'TEXT(1,"0.0 0")', 'TEXT(1,"0.0")')
    assert [stop.cell for stop in report.frozen] == ["S!A21", "S!A22"]
    assert not otherwise("SUM(A1:A9)")


HIDDEN = {"SUBTOTAL(109,B7:B8)", "SUBTOTAL(103,B:B)", "AGGREGATE(9,5,B7:B8)", "SUM(1,SUBTOTAL(109,Rows))",
          "SUBTOTAL(B9,B7:B8)"}  # fmt: skip
BY_FILTER = {"SUBTOTAL(9,B7:B8)"}
OTHERS = {"SUBTOTAL(109,B8:B9)", "AGGREGATE(9,6,B7:B8)", "SUM(B7:B8)"}


@pytest.mark.parametrize("filtered", ["", "on the sheet", "on a table"])
def test_hidden_rows_are_left_out_by_a_spreadsheet_only(filtered: str) -> None:
    """Row 7 is hidden; in Calc SUBTOTAL(109,...) over 7 and 9 is then 9, and the engine says 16."""
    typed = row(7, number("B7", 7)).replace("<row ", '<row hidden="1" ')
    rows = typed + row(8, number("B8", 9)) + row(9, number("B9", 109))
    written = sorted(HIDDEN | BY_FILTER | OTHERS)
    rows += "".join(row(at, formula(f"A{at}", each, "77")) for at, each in enumerate(written, 20))
    made = parts({"S": rows}, names='<definedName name="Rows">S!$B$7:$B$8</definedName>')
    chosen = '<filterColumn colId="0"><filters><filter val="9"/></filters></filterColumn>'
    if filtered == "on the sheet":
        after = f'</sheetData><autoFilter ref="B6:B8">{chosen}</autoFilter>'.encode()
        made[SHEET] = made[SHEET].replace(b"</sheetData>", after)
    own = f'<autoFilter ref="B6:B9">{chosen}</autoFilter><tableColumns'
    table = table_xml("T", "B6:B9", ("N",)).replace("<tableColumns", own)
    package = with_tables(made, table) if filtered == "on a table" else Package.from_bytes(packed(made), "b.xlsx")
    report = compute(package, OURS)
    kept = {written[int(stop.cell.removeprefix("S!A")) - 20] for stop in report.frozen}
    assert kept == HIDDEN | (BY_FILTER if filtered else set())
    assert all("over hidden rows, which only a spreadsheet leaves out" in stop.reason for stop in report.frozen)
    assert values(report)[f"A{20 + written.index('SUM(B7:B8)')}"] == 16.0


@pytest.mark.parametrize("behind", ["SUBTOTAL(109,S!$B$7:$B$8)", "AGGREGATE(9,5,S!$B$7:$B$8)"])
def test_a_subtotal_behind_a_name_is_one_too(behind: str) -> None:
    """By hand 7 + 9 + 1; with row 7 hidden it is another number, and the cell keeps its value."""
    for hidden, answer in (("", 17.0), ('hidden="1" ', 77.0)):
        typed = row(7, number("B7", 7)).replace("<row ", f"<row {hidden}") + row(8, number("B8", 9))
        rows = typed + row(9, formula("A9", "C9+Total+1", "77", attributes=' t="shared" si="0" ref="A9:A10"'))
        rows += row(10, formula("A10", "", "77", attributes=' t="shared" si="0"'), formula("B10", "S!Total+1", "77"))
        made = parts({"S": rows}, names=f'<definedName name="Total">{behind}</definedName>')
        report = compute(Package.from_bytes(packed(made), "b.xlsx"), OURS)
        assert [stop.cell for stop in report.frozen] == (["S!A9", "S!A10", "S!B10"] if hidden else [])
        assert values(report) == dict.fromkeys(["A9", "A10", "B10"], answer)


def test_without_hidden_rows_a_subtotal_is_worked_out() -> None:
    assert values(worked("SUBTOTAL(109,B7:B8)", "AGGREGATE(9,5,B7:B8)")) == {"A20": 16.0, "A21": 16.0}


def test_the_cell_that_stands_for_a_left_out_argument_must_be_empty() -> None:
    rows = row(1, formula("A1", "SHOWN(1,,2)", "5"), formula("B1", "A1*2"), formula("C1", "SHOWN(1)"))
    filled = row(1_048_576, text("XFD1048576", "ft/s"))
    assert values(compute(Package.from_bytes(book(rows), "b.xlsx"), OURS))["A1"] == "1.0 None 2.0"
    report = compute(Package.from_bytes(book(rows + filled), "b.xlsx"), OURS)
    assert [stop.cell for stop in report.frozen] == ["S!A1"]
    assert "the last cell of the sheet that stands for it here is filled: clear it" in report.frozen[0].reason
    assert (values(report)["B1"], values(report)["C1"]) == (10.0, "1.0")
    named = row(2, formula("B2", "SUM(A3:XFD1048576)"))
    assert values(compute(Package.from_bytes(book(rows + named), "b.xlsx"), OURS))["A1"] == "1.0 None 2.0"
