"""What rounding leaves behind counts for nothing, as in a spreadsheet.

What a spreadsheet answers was asked of LibreOffice 7.4.7 with the cells below, converted headless; what it answers with
an error of its own for (FLOOR and CEILING of a positive number by a negative step, division by 0) is #NUM! and #DIV/0!
in Excel's list of errors of these functions (from memory).
"""

from xml.sax.saxutils import escape

import pytest

from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value

from ..books import book, formula, number, row, text
from ..ours import values

NUMBERS = {7: 1.1, 8: 3.3, 11: 12.1, 12: 12.1}
CELLS = "".join(row(at, number(f"B{at}", value)) for at, value in NUMBERS.items())
CELLS += row(14, text("B14", "äpfel"), text("C14", "2023-03-15"))
ANSWERS: list[tuple[str, Value]] = [
    ("0.1+0.2=0.3", True), ("1.1*3<=3.3", True), ("1.1*3>3.3", False), ('IF(B7*3<>B8,"apart","equal")', "equal"),
    ("(0.1+0.2-0.3)=0", True), ("ABS(B7+B7+B7-B8)>0", False), ("0.1+0.2-0.3>0", False),
    ("AND(B7*3<=B8,B8>=B7*3)", True), ("SUM(B7,B7,B7)=B8", True), ("3.3=3.30000000001", False),
    ("100000000000001=100000000000002", False), ("B9=0", True), ('B9=""', True), ("B9=FALSE", True),
    ('B14="Äpfel"', True), ("B14>5", True), ("NOT(B7*3>B8)", True), ('IF(B11-B12=0,"balanced","open")', "balanced"),
    ("C14-1=44999", True), ("INDEX(B7:B8,2)=B7*3", True), ("SUMPRODUCT((B7:B8>1)*1)", 2.0),
    ('"ß"="ss"', False), ('"ẞ"="ß"', True), ('"é"<"f"', True), ('"z"<"Ä"', False), ('"µ"="μ"', True),
    ("UPPER(B14)", "ÄPFEL"), ('LOWER("ÖL "&1.5)', "öl 1.5"), ("UPPER(1.5)", "1.5"), ("UPPER(B9)", ""),
    ("INT(0.6/0.2)", 3.0), ("INT(-2.5)", -3.0), ("INT(B7*3/1.1)", 3.0), ("INT(C14)", 45000.0),
    ("FLOOR(0.3,0.1)", 0.3), ("FLOOR(B7*3,0.1)", 3.3), ("FLOOR(-2.5,2)", -4.0), ("FLOOR(-2.5,-2)", -2.0),
    ("FLOOR(2.5,0.5)", 2.5), ("CEILING(B7*3,0.1)", 3.3), ("CEILING(-2.5,2)", -2.0), ("CEILING(-2.5,-2)", -4.0),
    ("CEILING(0,3)", 0.0), ("CEILING(0.1*3/0.1,1)", 3.0), ("CEILING(5,0)", 0.0), ("MOD(0.3,0.1)", 0.0),
    ("MOD(-7,3)", 2.0), ("MOD(7,-3)", -2.0), ('MOD("7",4)', 3.0), ("QUOTIENT(0.6,0.2)", 3.0), ("QUOTIENT(-7,2)", -3.0),
    ("MOD(50000,C14)", 5000.0), ("FLOOR(100000,C14)", 90000.0), ("MOD(,7)", 0.0),
    ("INT(123456789012345.9)", 123456789012345.0), ("INT(2199023255551.996)", 2199023255551.0),
    ("FLOOR(1E20,3)", 1e20), ("CEILING(1E20,3)", 1e20),
    ("INT(1.7976931348623157E308)", 1.7976931348623157e308), ("MOD(1.7976931348623157E308,1)", 0.0),
    ("FLOOR(1.7976931348623157E308,1)", 1.7976931348623157e308), ('LOWER("İÄ")', "İä"),
]  # fmt: skip
ERRORS = [
    ("MOD(5,0)", "#DIV/0!"), ("QUOTIENT(1,0)", "#DIV/0!"), ("FLOOR(5,0)", "#DIV/0!"), ("FLOOR(2,-1)", "#NUM!"),
    ("CEILING(2,-1)", "#NUM!"), ('INT("x")', "#VALUE!"), ("1/0>2", "#DIV/0!"), ('"x"-1=2', "#VALUE!"),
    ('MOD(7,"1_0")', "#VALUE!"), ("MOD(7)", "#VALUE!"), ("MOD(7,2,1)", "#VALUE!"), ("INT()", "#VALUE!"),
]  # fmt: skip


def answers(*written: str) -> list[Value]:
    """What the formulas give, in column A from row 20."""
    rows = CELLS + "".join(row(at, formula(f"A{at}", escape(each))) for at, each in enumerate(written, 20))
    return list(values(compute(Package.from_bytes(book(rows), "b.xlsx"))).values())


def test_the_answers_of_a_spreadsheet() -> None:
    got = answers(*(written for written, _ in ANSWERS))
    assert dict(zip((written for written, _ in ANSWERS), got, strict=True)) == {
        written: pytest.approx(value, rel=1e-15, abs=0) if isinstance(value, float) else value
        for written, value in ANSWERS
    }


def test_the_errors_of_a_spreadsheet() -> None:
    got = answers(*(written for written, _ in ERRORS))
    assert got == [code for _, code in ERRORS]


def test_a_letter_without_a_single_capital_stays() -> None:
    """LibreOffice answers its own large sign for it, and other programs two letters."""
    assert answers('UPPER("straße")') == ["STRAßE"]


def test_true_and_false_stay_truth_values() -> None:
    assert [type(each) for each in answers("B7>1", "IF(B7>1,B7>2,3)")] == [bool, bool]
