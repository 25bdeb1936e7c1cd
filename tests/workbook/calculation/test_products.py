"""SUMPRODUCT with texts, blanks, truth values, errors, and areas of different size.

The answers were asked of LibreOffice 7.4.7 with the cells below, converted headless. That TRUE counts as 1 there and
as 0 in Excel is from memory: such a cell keeps its value.
"""

from xml.sax.saxutils import escape

import pytest

from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.file.values import Value

from ..books import formula, number, row, text
from ..ours import values, worked

CELLS = [
    row(1, number("B1", 1.5), number("D1", 3), text("G1", "12")),
    row(2, number("B2", -2.5), number("D2", 1), text("G2", "5")),
    row(3, number("B3", 4), number("D3", 7), text("G3", "abc"), '<c r="H3" t="b"><v>1</v></c>'),
    row(4, number("B4", 10), number("D4", 2), text("G4", "7.5")),
    row(5, number("B5", 8), formula("G5", "1/0")),
]
ANSWERS: list[tuple[str, Value]] = [
    ("SUMPRODUCT(B1:B4,D1:D4)", 50.0), ("SUMPRODUCT(G1:G4,D1:D4)", 0.0), ("SUMPRODUCT(G1:G2*D1:D2)", 41.0),
    ("SUMPRODUCT(G1:G4)", 0.0), ('SUMPRODUCT(G1:G4&"")', 0.0), ("SUMPRODUCT(LEFT(G1:G4,1))", 0.0),
    ("SUMPRODUCT(B1:B4,D1:D3)", "#VALUE!"), ("SUMPRODUCT(B1:B4,D1:E4)", "#VALUE!"), ("SUMPRODUCT(B1:B4,2)", "#VALUE!"),
    ("SUMPRODUCT(B1:B4,F1:F4)", 0.0), ("SUMPRODUCT(B1:B4)", 13.0), ("SUMPRODUCT({1,2},{3,4})", 11.0),
    ('SUMPRODUCT({"1","2"},{3,4})', 0.0), ("SUMPRODUCT(B4:B5,G4:G5)", "#DIV/0!"), ("SUMPRODUCT(D:D,B:B)", 50.0),
    ("SUMPRODUCT(D:D,$G:$G)", "#DIV/0!"), ("SUMPRODUCT(1:1,2:2)", -0.75), ("SUMPRODUCT(IF(D1:D4>2,B1:B4))", 5.5),
    ("SUMPRODUCT(B1:B4,--(D1:D4>2))", 5.5), ("SUMPRODUCT(ROUND(B1:B4,0),D1:D4)", 51.0),
    ("SUMPRODUCT(Amounts,Amounts)", 124.5),
]  # fmt: skip
TRUTHS = [
    "SUMPRODUCT(D1:D4>2)", "SUMPRODUCT((D1:D4>2),B1:B4)", "SUMPRODUCT(ISNUMBER(B1:B4),B1:B4)",
    "SUMPRODUCT(H1:H4,B1:B4)",
]  # fmt: skip


def calculated(*written: str) -> Report:
    formulas = (row(at, formula(f"A{at}", escape(each), "7")) for at, each in enumerate(written, 20))
    return worked("".join([*CELLS, *formulas]), names='<definedName name="Amounts">S!$B$1:$B$4</definedName>')


def test_texts_count_as_nothing_and_areas_are_alike() -> None:
    found = values(calculated(*(written for written, _ in ANSWERS)))
    assert [found[f"A{at}"] for at in range(20, 20 + len(ANSWERS))] == [
        pytest.approx(value) if isinstance(value, float) else value for _, value in ANSWERS
    ]


def test_where_spreadsheets_count_true_differently_the_cell_keeps_its_value_and_so_the_sum_of_it() -> None:
    report = calculated(*TRUTHS, "SUM(A20:A23)")
    found = values(report)
    assert [found[f"A{at}"] for at in range(20, 24)] == [7.0] * 4
    assert found["A24"] == 28.0
    assert [stop.place[1] for stop in report.kept] == [20, 21, 22, 23]
