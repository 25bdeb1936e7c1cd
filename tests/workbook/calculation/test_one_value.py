"""Areas where a formula wants one value: narrowed, gone through, or left to the spreadsheet.

The answers were asked of LibreOffice 7.4.7 with the cells below, converted headless: in a plain formula on row 2,
which the areas cross, in one on row 7, which they do not, and in an array formula of one cell. The rule is that of
OASIS OpenDocument 1.2, part 2, 3.3 (Non-Scalar Evaluation).
"""

import itertools
import string
from xml.sax.saxutils import escape

import pytest

from xlcalc.workbook.calculation.one_value import LIST, SEVERAL, SINGLE, UNSURE, OneValue
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import Token, spliced, tokens

from ..books import book, formula, number, row, text
from ..ours import values, worked

NUMBERS = {"B": (2.55, -3.7, 4.24, 0.6), "D": (1, 2, 5, 3), "E": (1, 0, 2, 1)}
TEXTS = {"C1": "ab", "C2": "x", "C4": "Aby"}
MEANINGS = {"Nums": "S!$B$1:$B$4", "Twice": "S!$B$2*2", "Doubled": "S!$B$1:$B$4*2"}
NAMES = "".join(f'<definedName name="{name}">{meaning}</definedName>' for name, meaning in MEANINGS.items())
ANSWERS: list[tuple[str, Value, Value, Value]] = [
    ("ROUND(B1:B4,1)", -3.7, "#VALUE!", 2.6), ("SUM(ROUND(B1:B4,1))", -3.7, "#VALUE!", 3.7),
    ("SUMPRODUCT(ROUND(B1:B4*D1:D4,1)*2)", 36.4, 36.4, 36.4), ("B1:B4*2", -7.4, "#VALUE!", 5.1),
    ("SUM((B1:B4)*2)", -7.4, "#VALUE!", 7.38), ("SUM(-B1:B4)", 3.7, "#VALUE!", -3.69),
    ("MAX(IF(B1:B4>0,B1:B4))", 0.0, "#VALUE!", 4.24), ("IF(B1:B4>0,1,2)", 2.0, "#VALUE!", 1.0),
    ("IFERROR(B1:B4/0,9)", 9.0, 9.0, 9.0), ("Nums*2", -7.4, "#VALUE!", 5.1), ("ROUND(Nums,1)", -3.7, "#VALUE!", 2.6),
    ("SUMPRODUCT(ROUND(Nums,1))", 3.7, 3.7, 3.7), ("SUM(LEN(C1:C4))", 1.0, "#VALUE!", 6.0),
    ("SUMPRODUCT(LEN(UPPER(C1:C4)))", 6.0, 6.0, 6.0), ("SUMPRODUCT((MOD(ROW(B1:B4),2)=0)*B1:B4)", -3.1, -3.1, -3.1),
    ("SUMPRODUCT(1/COUNTIF(B1:B4,B1:B4))", 4.0, 4.0, 4.0), ('SUM(COUNTIF(C1:C4,{"ab","x"}))', 2.0, 2.0, 2.0),
    ('SUM(SUMIF(C1:C4,{"ab","x"},B1:B4))', -1.15, -1.15, -1.15), ("SUM(LARGE(B1:B4,{1,2}))", 6.79, 6.79, 6.79),
    ("LOOKUP(2,1/(B1:B4>0),D1:D4)", 3.0, 3.0, 3.0), ("MATCH(1,INDEX((B1:B4>0)*(D1:D4>1),0),0)", 3.0, 3.0, 3.0),
    ('MATCH("ab",C1:C4&"",0)', 1.0, 1.0, 1.0), ('SUMPRODUCT(--ISNUMBER(SEARCH("a",C1:C4)))', 2.0, 2.0, 2.0),
    ('SUMPRODUCT(--(LEFT(C1:C4,1)="a"))', 2.0, 2.0, 2.0), ("SUMPRODUCT(ABS(B1:B4))", 11.09, 11.09, 11.09),
    ("SUMPRODUCT(INT(B1:B4))", 2.0, 2.0, 2.0), ('SUMPRODUCT(--(C1:C4="ab"),B1:B4)', 2.55, 2.55, 2.55),
    ("SUMPRODUCT(IF(B1:B4>0,1,0))", 3.0, 3.0, 3.0), ("SUMPRODUCT(NOT(B1:B4>0)*1)", 1.0, 1.0, 1.0),
    ("SUMPRODUCT(SUMIF(C1:C4,C1:C4,B1:B4))", -0.55, -0.55, -0.55),
    ("SUMPRODUCT(VLOOKUP(C1:C2,C1:D4,2,FALSE))", 3.0, 3.0, 3.0),
    ('SUMPRODUCT(VALUE(TEXT(B1:B4,"0.0")))', 3.7, 3.7, 3.7), ('CONCATENATE(C1:C4,"x")', "xx", "#VALUE!", "abx"),
    ('COUNTA(C1:C4&"")', 1.0, 1.0, 4.0), ("STDEV(B1:B4*2)", "#DIV/0!", "#VALUE!", 6.84359311083488),
    ("LARGE(B1:B4*2,1)", -7.4, "#VALUE!", 8.48), ("COUNTIF(B1:B4,B1:B4)", 1.0, "#VALUE!", 1.0),
    ("SUMIF(C1:C4,C1:C4,B1:B4)", -3.7, "#VALUE!", 2.55), ("VLOOKUP(C1:C4,C1:D4,2,FALSE)", 2.0, "#VALUE!", 1.0),
    ('VLOOKUP("ab",C1:D4,{1,2},FALSE)', "ab", "ab", "ab"), ("SUM(CHOOSE(1,B1:B4,D1:D4))", 3.69, 3.69, 3.69),
    ("MOD(B1:B4,2)", 0.3, "#VALUE!", 0.55),
    ("SLOPE(B1:B4*2,D1:D4)", 1.82914285714286, 1.82914285714286, 1.82914285714286),
    ("SUBTOTAL(9,B1:B4)", 3.69, 3.69, 3.69), ("SUM(B:B*1)", -3.7, 0.0, 3.69),
    ("SUM((B1:B4>0)*(D1:D4))", 0.0, "#VALUE!", 9.0), ("SUM(FREQUENCY(B1:B4,D1:D4))", 4.0, 4.0, 4.0),
    ("SUM(IF(1,B1:B4,0))", 3.69, 3.69, 3.69), ("SUM(IF(1,B1:B4*2,0))", -7.4, "#VALUE!", 7.38),
    ("SUMPRODUCT(ROUND(B1:B4,E1:E4))", 3.44, 3.44, 3.44), ("SUM({1.26,2}*B1:B2)", -12.062, "#VALUE!", -3.749),
    ('LEN({"a","bcd"})', 1.0, 1.0, 1.0), ("SUM(ROUND({1.26,2.36},1))", 3.7, 3.7, 3.7),
    ('SUMPRODUCT(MAX((C1:C4="ab")*ROW(B1:B4)))', 1.0, 1.0, 1.0),
    ('SUMPRODUCT(EXACT(C1:C4,"ab")*B1:B4)', 2.55, 2.55, 2.55), ("SUMPRODUCT(MAX(LEN(C1:C4)))", 3.0, 3.0, 3.0),
    ("SUMPRODUCT(FLOOR(B1:B4,0.5))", 3.0, 3.0, 3.0), ("SUMPRODUCT(ROUNDUP(D1:D4/6,0)*B1:B4)", 3.69, 3.69, 3.69),
    ("SUMPRODUCT(ISBLANK(C1:C4)*1)", 1.0, 1.0, 1.0), ("SUMPRODUCT(ISERROR(1/(D1:D4-1))*1)", 1.0, 1.0, 1.0),
    ("SUMPRODUCT(DATE(2020,D1:D4,1))", 175536.0, 175536.0, 175536.0),
    ('SUMPRODUCT(COUNTIFS(B1:B4,">0",C1:C4,C1:C4))', 2.0, 2.0, 2.0),
    ("SUMPRODUCT(MATCH(C1:C4,C1:C4,0))", "#N/A", "#N/A", "#N/A"), ("SUMPRODUCT(RANK(B1:B4,B1:B4))", 10.0, 10.0, 10.0),
    ("ROUND(INDEX(B1:B4,2),0)", -4.0, -4.0, -4.0), ("ROUND(IF(B1>0,B1,B2),1)", 2.6, 2.6, 2.6),
    ("ROUND(OFFSET(B1,1,0),0)", -4.0, -4.0, -4.0), ("ROUND(Twice,0)", -7.0, -7.0, -7.0),
    ("B1:B4&C1:C4", "-3.7x", "#VALUE!", "2.55ab"), ("SUMPRODUCT(Doubled)", 7.38, 7.38, 7.38),
    ("SUMPRODUCT(AND(B1:B4>-5)*1)", 1.0, 1.0, 1.0), ("SUMPRODUCT(SUM(B1:B4*2))", 7.38, 7.38, 7.38),
    ('IF(OR(C1:C4="ab"),1,2)', 2.0, "#VALUE!", 1.0), ('COUNTIF(B1:B4,">"&D1:D4)', 2.0, "#VALUE!", 2.0),
    ('_xlfn.IFS(B1:B4>0,C1:C4,TRUE,"b")', "b", "#VALUE!", "ab"),
    ("ROUND(_xlfn.IFS(B1>0,B1:B4,TRUE,D1:D4),1)", -3.7, "#VALUE!", 2.6),
    ("SUM(_xlfn.IFS(B2>0,B1:B4,TRUE,D1:D4))", 11.0, 11.0, 11.0),
    ("SUMPRODUCT(_xlfn.IFS(B1:B4>0,B1:B4,TRUE,0)*1)", 7.39, 7.39, 7.39),
    ('SUM(_xlfn.SWITCH(C1:C4,"ab",1,"x",2,3))', 2.0, "#VALUE!", 9.0),
    ('SUM(_xlfn.SWITCH(C2,"ab",B1:B4,D1:D4))', 11.0, 11.0, 11.0),
    ('SUMPRODUCT(_xlfn.SWITCH(C1:C4,"ab",B1:B4,0)*D1:D4)', 2.55, 2.55, 2.55),
    ("SUMPRODUCT(COLUMN(B1:D1)*D1:D4)", 99.0, 99.0, 99.0), ("SUM(OR(B1:B4>4)*1)", 0.0, "#VALUE!", 1.0),
]  # fmt: skip
"""The formula, what it answers on row 2 and on row 7, and in an array."""

KEPT = [
    "SUM(ROW(B1:B4))", "SUMPRODUCT(N(B1:B4))", 'SUMPRODUCT(ROW(INDIRECT("1:3")))', "SUMPRODUCT(EOMONTH(D1:D4,0))",
    "SUM(CHOOSE({1,2},B1:B4,D1:D4))", "GCD(D1:D4)", "IF({1,2},B1:B4,D1:D4)", "SUM(ROUND(B1:B4,{1,2}))",
]  # fmt: skip
SPELLED = [  # of a plain formula; Column is a name for an area
    ("A1:A9*2", "@(A1:A9)*2"),
    ("SUM(A1:A9,B1:B9*2)", "SUM(A1:A9,@(B1:B9)*2)"),
    ("IF(A1:A9>0,B1:B9,C1)", "IF(@(A1:A9)>0,@(B1:B9),C1)"),
    ("SUM(IF(A1>0,B1:B9,C1:C9))", "SUM(IF(A1>0,B1:B9,C1:C9))"),
    ("SUM((A1:A9))", "SUM((A1:A9))"),
    ("Column*2+Cell", "@(Column)*2+Cell"),
    ("SUMIF(A1:A9,B1:B9,C1:C9)", "SUMIF(A1:A9,@(B1:B9),C1:C9)"),
    ("SUMIFS(A:A,B:B,C1:C9,D:D,2)", "SUMIFS(A:A,B:B,@(C1:C9),D:D,2)"),
    ("SUMPRODUCT(ROUND(A1:A9,1)*B1:B9)", 'SUMPRODUCT(_XLCALC_EACH("ROUND",A1:A9,1)*B1:B9)'),
    ("SUMPRODUCT(INT(A1:A9))", "_XLCALC_SUMPRODUCT(_XLCALC_INT(0+A1:A9))"),
    ("SUMPRODUCT(LEN(OFFSET(A1,0,0,3)))", '_XLCALC_SUMPRODUCT(_XLCALC_EACH("LEN",OFFSET(A1,0,0,3)))'),
    ("LEN(OFFSET(A1,0,0,3))", "LEN(OFFSET(A1,0,0,3))"),
    ("SUMPRODUCT(A1:A9,S!$B:$B)", "_XLCALC_SUMPRODUCT_WHOLE(A1:A9,S!$B:$B)"),
    ("SUMPRODUCT(MAX((A1:A9>0)*B1:B9))", "SUMPRODUCT(MAX((A1:A9>0)*B1:B9))"),
    ("SUM(LEN({1,2}))", 'SUM(_XLCALC_EACH("LEN",{1,2}))'),
    ("SUMPRODUCT(ROW(A1:A9))", "_XLCALC_SUMPRODUCT((SEQUENCE(ROWS(A1:A9))-1+ROW(A1:A9)))"),
    ("A1:INDEX(B:B,3)", "A1:INDEX(B:B,3)"),
    ("ROUND(A1:A9 A3:C3,1)", "ROUND(A1:A9 A3:C3,1)"),
    ("SUM((A1:A3,B1:B3))", "SUM((A1:A3,B1:B3))"),
    ("OURS(A1:A9,2)", "OURS(A1:A9,2)"),
    ("ROUND(A1:A9", "ROUND(A1:A9"),
    ("ROUND(A1:A9,1))", "ROUND(A1:A9,1))"),
    ("INDEX(A1:A9,ROUND(B1:B9,0))", "INDEX(A1:A9,ROUND(@(B1:B9),0))"),
]
STANDS_FOR = [
    ("A1", SINGLE), ("A1:A9", SEVERAL), ("A1:A9*2", LIST), ("{1,2}", LIST), ("OFFSET(A1,1,1)", UNSURE),
    ("A1*2", SINGLE), ("SUM(A1:A9)", SINGLE), ("(A1:A9)", SEVERAL), ("TRANSPOSE(A1:A9)", LIST),
    ("IF(A1,B1:B9,C1)", SEVERAL), ("A1,B1", UNSURE), ("Unknown", UNSURE), ("ROUND(A1:A9,1)", LIST),
    ("A1:A9 A3:C3", UNSURE),
]  # fmt: skip


def shape(piece: Token) -> str:
    shapes = {"Column": SEVERAL, "Cell": SINGLE}
    return SEVERAL if ":" in piece.text else shapes.get(piece.text, SINGLE if piece.kind == "reference" else UNSURE)


def read(written: str, *, array: bool) -> OneValue:
    return OneValue(tokens(written), shape, {"OURS"}, {}, array=array)


@pytest.mark.parametrize(("written", "spelled"), SPELLED)
def test_a_plain_formula_takes_one_cell_of_an_area_or_goes_through_it(written: str, spelled: str) -> None:
    assert spliced(written, sorted(read(written, array=False).edits, key=lambda edit: edit[:2])) == spelled


@pytest.mark.parametrize(("written", "meant"), STANDS_FOR)
def test_a_formula_stands_for_one_value_or_several(written: str, meant: str) -> None:
    assert read(written, array=True).answer == meant


@pytest.fixture(scope="module")
def calculated() -> Report:
    """The formulas in columns from K on: on rows 2 and 7, and on row 9 as arrays of one cell."""
    cells: dict[int, list[str]] = {2: [], 7: [], 9: []}
    for column, (written, *_) in enumerate(ANSWERS):
        letters = f"{'KLMN'[column // 26]}{chr(65 + column % 26)}"
        cells[2].append(formula(f"{letters}2", escape(written)))
        cells[7].append(formula(f"{letters}7", escape(written)))
        cells[9].append(formula(f"{letters}9", escape(written), attributes=f' t="array" ref="{letters}9"'))
    rows = ""
    for at in range(1, 10):
        typed = [number(f"{letter}{at}", each[at - 1]) for letter, each in NUMBERS.items() if at < 5]
        typed += [text(where, words) for where, words in TEXTS.items() if where.endswith(str(at))]
        rows += row(at, *sorted(typed), *cells.get(at, []))
    return compute(Package.from_bytes(book(rows, names=NAMES), "areas.xlsx"))


@pytest.mark.parametrize(("place", "line"), [(1, 2), (2, 7), (3, 9)])
def test_areas_are_taken_as_calc_takes_them(calculated: Report, place: int, line: int) -> None:
    assert not calculated.kept
    cells = values(calculated).items()
    found = [value for where, value in cells if where.strip(string.ascii_uppercase) == str(line)]
    wanted = [each[place] for each in ANSWERS]
    wrong = [
        (each[0], answer, asked)
        for each, answer, asked in zip(ANSWERS, found, wanted, strict=True)
        if (answer != pytest.approx(asked, rel=1e-9) if isinstance(asked, float) else answer != asked)
    ]
    assert wrong == []


@pytest.mark.parametrize("written", KEPT)
def test_a_cell_keeps_its_value_where_spreadsheets_differ_or_only_they_know(written: str) -> None:
    report = worked(row(1, formula("A1", escape(written), "7")))
    assert values(report) == {"A1": 7.0}
    assert "which only a spreadsheet works out" in report.frozen[0].reason


def test_filled_down_formulas_take_each_their_own_row_of_a_table_or_name() -> None:
    names = '<definedName name="Flow">S!$B$1:$B$3</definedName>'
    typed = {at: number(f"B{at}", at * 1.26) for at in range(1, 4)}
    rows = "".join(
        row(at, cell, formula(f"C{at}", "ROUND(Flow,1)*DOUBLE(1)"), formula(f"D{at}", "Flow&gt;2"))
        for at, cell in typed.items()
    )
    found = values(worked(rows, names=names))
    assert [found[f"C{at}"] for at in range(1, 4)] == pytest.approx([2.6, 5.0, 7.6])
    assert [found[f"D{at}"] for at in range(1, 4)] == [False, True, True]


def test_error_values_in_an_area_reach_the_function_that_asks_for_them() -> None:
    rows = row(1, formula("A1", "1/0"), number("B1", 2), text("C1", "x"))
    rows += row(2, formula("A2", "SUMPRODUCT(ISERROR(A1:C1)*1)"), formula("B2", "SUMPRODUCT(ABS(A1:B1))"))
    rows += row(3, formula("A3", 'SUM(COUNTIF(A1:C1,{"x",2}))'), formula("B3", "SUMPRODUCT(LEN(B1:C1)*{1,10})"))
    assert {**values(worked(rows)), "A1": 0} == {"A1": 0, "A2": 1.0, "B2": "#DIV/0!", "A3": 2.0, "B3": 11.0}


@pytest.mark.parametrize("flags", list(itertools.product((0, 1), repeat=4)))
def test_the_last_row_that_fits_is_found_whichever_do_not(flags: tuple[int, ...]) -> None:
    rows = "".join(row(at, number(f"A{at}", flag), number(f"B{at}", at * 10)) for at, flag in enumerate(flags, 1))
    rows += row(5, formula("A5", "LOOKUP(2,1/(A1:A4=1),B1:B4)"), formula("B5", "LOOKUP(2,1/(A1:A4=1))"))
    last = max((at for at, flag in enumerate(flags, 1) if flag), default=0)
    found = values(worked(rows))
    assert (found["A5"], found["B5"]) == ((last * 10.0, 1.0) if last else ("#N/A", "#N/A"))


LAST_ROWS = [  # answers of LibreOffice 7.4.7; MATCH in a block has an error of its own there, #N/A in Excel (memory)
    ("LOOKUP(9.99E+307,A1:A5)", 2.0), ('LOOKUP("zzz",A1:A5)', "x"), ("LOOKUP(9.99E+307,A1:A5,B1:B5)", 30.0),
    ("MATCH(9.99E+307,A1:A5)", 3.0), ("MATCH(9.99E+307,A1:A5,1)", 3.0), ('MATCH("zzz",A1:A5)', 4.0),
    ("MATCH(1,A1:A5,0)", 2.0), ("MATCH(9.99E+307,A1:A5,0)", "#N/A"), ("MATCH(B1,B1:B3)", 1.0),
    ("INDEX(B:B,MATCH(1E+99,B1:B5))", 30.0), ("LOOKUP(20,B1:B3,A1:A3)", 1.0),
    ("LOOKUP(9.99E+307,A1:B5)", 30.0), ("MATCH(9.99E+307,A1:B5)", "#N/A"), ("LOOKUP(9.99E+307,A1:C2)", 20.0),
]  # fmt: skip


def test_the_last_number_or_text_of_a_column_is_found() -> None:
    rows = row(1, number("A1", 3), number("B1", 10)) + row(2, number("A2", 1), number("B2", 20))
    rows += row(3, number("A3", 2), number("B3", 30)) + row(4, text("A4", "x"))
    cells = [formula(f"{chr(67 + place)}7", escape(written)) for place, (written, _) in enumerate(LAST_ROWS)]
    found = values(worked(rows + row(7, *cells)))
    assert dict(zip(LAST_ROWS, found.values(), strict=True)) == {each: each[1] for each in LAST_ROWS}


@pytest.mark.parametrize("written", ["INT(A1:A3,)", "INT(A1:A3,1)", "MOD(A1:A3)", "FLOOR(A1:A3,1,2)", "UPPER(A1:A3,1)"])
def test_a_wrong_number_of_arguments_ends_no_recalculation(written: str) -> None:
    report = worked(row(1, number("A1", 1), formula("B1", f"SUMPRODUCT({written})"), formula("C1", "A1*2")))
    assert values(report)["C1"] == 2.0


def test_our_functions_take_what_a_built_in_gives_cell_by_cell() -> None:
    rows = row(1, number("A1", 1.26), number("B1", 2.6), formula("C1", "SHOWN(ROUND(A1:B1,1),2)"))
    assert values(worked(rows)) == {"C1": "[1.3 2.6] 2.0"}


def test_dates_taken_cell_by_cell_count_from_1904_where_the_book_says_so() -> None:
    rows = row(1, number("A1", 1), number("B1", 400), formula("C1", "SUMPRODUCT(YEAR(A1:B1)*{1,10000})"))
    assert values(worked(rows, properties='<workbookPr date1904="1"/>')) == {"C1": 19051904.0}
