"""A workbook worked out: every form of cell, text and number comes back, and everything else stays."""

import os
from pathlib import Path

import openpyxl
import pytest

from xlcalc.core.errors import CalcError
from xlcalc.workbook.calculation.recalc import compute, recalc
from xlcalc.workbook.file.package import Package

from ..books import MAIN, OFFICE, SHEET, book, contents, formula, number, packed, parts, rich_parts, row, text
from ..ours import OURS, values, worked


def in_file(path: Path, sheet: str = "S") -> dict[str, object]:
    """What another program reads as cached values."""
    cells = openpyxl.load_workbook(path, data_only=True)[sheet]._cells.values()
    return {cell.coordinate: cell.value for cell in cells if cell.value is not None}


def test_works_out_a_file_and_a_second_run_changes_no_byte(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    rows = row(
        1,
        number("A1", 3),
        formula("B1", "DOUBLE(A1)"),
        formula("C1", "B1/4+0.1", "7", "str"),
        formula("D1", 'IF(A2="","",1)', "5"),
        formula("E1", "A1&amp;&quot; &lt;mm&gt;&quot;"),
        formula("F1", "A1=3", "0", "b"),
        formula("G1", "REFUSE(A1)", "9"),
        formula("H1", "IFERROR(REFUSE(A1),-1)"),
        formula("I1", "SUM(A1:B1)", "9"),
        formula("J1", "SHOWN(A1,A2,1/0,TRUE)"),
    )
    path.write_bytes(book(rows))
    report = recalc(path, functions=OURS)
    answers = {
        "B1": 6.0, "C1": 1.6, "D1": "", "E1": "3 <mm>", "F1": True, "G1": "#NUM!", "H1": -1.0, "I1": 9.0,
        "J1": "3.0 None #DIV/0! True",
    }  # fmt: skip
    assert values(report) == answers
    assert (report.computed, report.changed, report.written) == (9, 8, True)
    assert (report.frozen, report.kept) == ([], [])
    assert [(failed.cell, failed.code) for failed in report.errors] == [("S!G1", "#NUM!")]
    assert {**in_file(path), "D1": ""} == {"A1": 3, **answers}
    after = path.read_bytes()
    os.utime(path, (1, 1))
    again = recalc(path, functions=OURS)
    assert (again.changed, again.written, values(again)) == (0, False, answers)
    assert path.read_bytes() == after
    assert path.stat().st_mtime == 1


def test_everything_but_the_values_stays_byte_for_byte(tmp_path: Path) -> None:
    made = rich_parts(row(1, number("A1", 1)))
    cell = '<c  r="A2" s="7" cm="1" t="str" ><f ca="1">DOUBLE(A1)</f><v>old</v><extLst><ext uri="x"/></extLst></c >'
    rows = row(1, number("A1", 1)) + f'\n<row spans="1:3" r="2" ht="20">{cell}<c r="C2" s="3"/></row>\n'
    made[SHEET] = made[SHEET].replace(row(1, number("A1", 1)).encode(), rows.encode())
    path = tmp_path / "book.xlsm"
    path.write_bytes(packed(made))
    recalc(path, functions=OURS)
    new = '<c  r="A2" s="7" cm="1" ><f ca="1">DOUBLE(A1)</f><v>2</v><extLst><ext uri="x"/></extLst></c >'
    assert contents(path.read_bytes()) == made | {SHEET: made[SHEET].replace(cell.encode(), new.encode())}


def test_writes_a_copy_and_leaves_the_original(tmp_path: Path) -> None:
    path, copy = tmp_path / "book.xlsx", tmp_path / "copy.xlsx"
    data = book(row(1, formula("A1", "DOUBLE(4)")))
    path.write_bytes(data)
    assert recalc(path, to=copy, functions=OURS).written
    assert path.read_bytes() == data
    assert in_file(copy) == {"A1": 8}


@pytest.mark.parametrize(("cached", "kind"), [("1.50E1", ""), ("15.0", "n"), ("15", "")])
def test_a_number_spelled_otherwise_is_the_same_number(cached: str, kind: str) -> None:
    assert worked(row(1, formula("A1", "30/2", cached, kind))).changed == 0


@pytest.mark.parametrize(
    ("written", "cached"),
    [
        ("1/3", "0.3333333333333333"),
        ("0.1+0.2", "0.30000000000000004"),
        ("10^20", "1E+20"),
        ("2^53", "9007199254740992"),
        ("10^16", "1E+16"),
        ("-1/10^7", "-1E-07"),
        ("-2", "-2"),
    ],
)
def test_numbers_come_back_exactly(written: str, cached: str) -> None:
    report = worked(row(1, formula("A1", written)))
    assert f"<v>{cached}</v>".encode() in report.edits[SHEET]
    assert worked(row(1, formula("A1", written, cached))).changed == 0


@pytest.mark.parametrize(
    ("answer", "cached"),
    [
        ("a < b & c > d", "a &lt; b &amp; c &gt; d"),
        ("two\nlines", "two\nlines"),
        (" edge ", " edge "),
        ("bell\x07 return\r", "bell_x0007_ return_x000D_"),
        ("_x0041_", "_x005F_x0041_"),
        ("ü 😀", "ü 😀"),
    ],
)
def test_texts_come_back_exactly(answer: str, cached: str) -> None:
    functions = {"SAY": lambda _: answer}
    first = compute(Package.from_bytes(book(row(1, formula("A1", "SAY()"))), "b.xlsx"), functions)
    kept = ' xml:space="preserve"' if cached != cached.strip() else ""  # Calc 7.4 drops outer spaces without it
    assert f"<v{kept}>{cached}</v>".encode() in first.edits[SHEET]
    again = book(row(1, formula("A1", "SAY()", cached, "str")))
    assert compute(Package.from_bytes(again, "b.xlsx"), functions).changed == 0


@pytest.mark.parametrize(
    ("answer", "code"),
    [(float("nan"), "#NUM!"), (float("inf"), "#NUM!"), ("x" * 32_768, "#VALUE!"), (CalcError("", "#N/A"), "#N/A")],
    ids=["nan", "infinity", "long text", "not in table"],
)
def test_what_no_cell_can_hold_becomes_an_error(answer: object, code: str) -> None:
    report = compute(Package.from_bytes(book(row(1, formula("A1", "F()"))), "b.xlsx"), {"F": lambda _: answer})
    assert [(failed.cell, failed.code) for failed in report.errors] == [("S!A1", code)]


@pytest.mark.parametrize(
    "written",
    ["double(A1)", "[1]!DOUBLE(A1)", "'C:\\a b\\xlcalc.xlam'!Double(A1)", "_xll.DOUBLE(A1)", "_xludf.DOUBLE(A1)",
     "_xlfn.DOUBLE(A1)", "XLCALC.DOUBLE(A1)", "@DOUBLE(A1)", "_xlfn.SINGLE(DOUBLE(A1))", "xlcalc.xlam!DOUBLE(A1)",
     "'C:\\Ärger ß\\o''clock\\XLCALC.XLAM'!DOUBLE(A1)", "Double (A1)"],
)  # fmt: skip
def test_every_spelling_of_a_function_is_worked_out(written: str) -> None:
    assert values(worked(row(1, number("A1", 4), formula("B1", written)))) == {"B1": 8.0}


def test_left_out_arguments_and_blank_cells_are_blank_not_zero() -> None:
    rows = row(1, formula("A1", "SHOWN(1,,B9,)"), formula("B1", "[1]!SHOWN(,0)"), formula("C1", "SHOWN()"))
    assert values(worked(rows)) == {"A1": "1.0 None None None", "B1": "None 0.0", "C1": ""}


def test_errors_reach_a_function_with_their_code() -> None:
    rows = row(1, '<c r="A1" t="e"><v>#REF!</v></c>', formula("B1", "SHOWN(A1,A1:A2)"), formula("C1", "DOUBLE(A1)"))
    assert values(worked(rows)) == {"B1": "#REF! [#REF! None]", "C1": "#REF!"}


def test_shared_formulas_first_cell_and_the_others() -> None:
    shared = ' t="shared" ref="B1:B3" si="0"'
    rows = row(1, number("A1", 1), formula("B1", "SHOWN(A1,,3)", attributes=shared))
    rows += row(2, number("A2", 2), formula("B2", "", attributes=' t="shared" si="0"'))
    rows += row(3, number("A3", 3), formula("B3", "", "x", "str", ' si="0" t="shared"'))
    report = worked(rows)
    assert values(report) == {"B1": "1.0 None 3.0", "B2": "2.0 None 3.0", "B3": "3.0 None 3.0"}
    assert b'<c r="B2" t="str"><f t="shared" si="0"/><v>2.0 None 3.0</v></c>' in report.edits[SHEET]
    rows = row(1, formula("B1", "[1]X!A1", "7", attributes=shared))
    rows += row(2, formula("B2", "", "8", attributes=' t="shared" si="0"'), formula("C2", "B2*2"))
    report = worked(rows)
    assert values(report) == {"B1": 7.0, "B2": 8.0, "C2": 16.0}
    assert [stop.cell for stop in report.frozen] == ["S!B1", "S!B2"]


@pytest.mark.parametrize(
    ("look", "kept"), [("C:C", True), ("$2:$3", True), ("T!A:B", True), ("C1:C3", False), ("S!Cols", True)]
)
def test_an_array_over_whole_columns_keeps_its_values(look: str, kept: bool) -> None:
    """The engine ends them at the last row that is filled, and gives #N/A below; a spreadsheet gives 0 there."""
    array = ' t="array" ref="A5:A7"'
    rows = row(1, number("C1", 3)) + row(2, number("C2", 4)) + row(5, formula("A5", look, "0", attributes=array))
    made = parts({"S": rows, "T": ""}, names='<definedName name="Cols">S!$C:$C</definedName>')
    report = compute(Package.from_bytes(packed(made), "book.xlsx"))
    assert [stop.cell for stop in report.frozen] == (["S!A5"] if kept else [])


def test_an_array_fills_its_area_and_stays_so() -> None:
    array = ' t="array" ref="B2:B5"'
    rows = row(1, formula("A1", "SUM(B2:B3)"))
    rows += row(2, number("A2", 5), formula("B2", "COLUMN_OF(A2)", attributes=array), number("C2", 6))
    rows += row(3, number("A3", 1), number("C3", 2)) + row(5, '<c r="B5" s="4" t="str"><v>old</v></c>')
    report = worked(rows)
    assert values(report) == {"A1": 1.0, "B2": 1.0, "B3": "two", "B4": "#NUM!", "B5": "#N/A"}
    assert report.changed == 5
    new = row(2, number("A2", 5), formula("B2", "COLUMN_OF(A2)", "1", attributes=array), number("C2", 6))
    new += row(3, number("A3", 1), '<c r="B3" t="str"><v>two</v></c>', number("C3", 2))
    new += row(4, '<c r="B4" t="e"><v>#NUM!</v></c>') + row(5, '<c r="B5" s="4" t="e"><v>#N/A</v></c>')
    assert (
        report.edits[SHEET]
        .decode()
        .partition("<sheetData>")[2]
        .startswith(row(1, formula("A1", "SUM(B2:B3)", "1")) + new)
    )
    again = compute(Package.from_bytes(packed(parts({"S": ""}) | report.edits), "b.xlsx"), OURS)
    assert (again.changed, again.edits, values(again)) == (0, {}, values(report))


@pytest.mark.parametrize(
    ("area", "written", "answers"),
    [
        ("A1:B2", "LINE_OF()", [1.0, 2.0, 1.0, 2.0]),  # one row repeats downwards
        ("A1:B2", "DOUBLE(4)", [8.0, 8.0, 8.0, 8.0]),  # one value fills the area
        ("A1:B2", "COLUMN_OF()", [1.0, 1.0, "two", "two"]),  # one column repeats sideways, the third row is cut off
        ("A1:B2", "REFUSE()", ["#NUM!"] * 4),
        ("A1:B1", "C1:C2", [0.0, 0.0]),
        ("A1", "COLUMN_OF()", [1.0]),
        ("A1:C1", "LINE_OF()", [1.0, 2.0, "#N/A"]),
    ],
)
def test_an_answer_is_brought_to_the_size_of_its_area(area: str, written: str, answers: list[object]) -> None:
    report = worked(row(1, formula("A1", written, attributes=f' t="array" ref="{area}"')))
    assert list(values(report).values()) == answers


def test_a_plain_formula_gives_one_value_and_leaves_its_neighbours() -> None:
    rows = row(
        1, formula("A1", "COLUMN_OF()"), formula("B1", "SUM(A1:A3)"), formula("C1", "LINE_OF()"), number("D1", 7)
    )
    rows += row(2, number("F2", 5), formula("G2", "F1:F9*2"), formula("H2", "SUM(F1:F9*2)"))
    shared = ' t="shared" ref="G5:G6" si="3"'
    rows += row(5, number("F5", 1), formula("G5", "$F$1:$F$9", attributes=shared))
    rows += row(6, number("F6", 3), formula("G6", "", attributes=' t="shared" si="3"'))
    answers = {"A1": 1.0, "B1": 1.0, "C1": 1.0, "G2": 10.0, "H2": 10.0, "G5": 1.0, "G6": 3.0}
    report = worked(rows)
    assert values(report) == answers
    assert report.value("S", 1, 4) == 7.0
    assert report.value("S", 2, 1) is None
    assert report.kept == []


def test_dates_count_from_1904_where_the_book_says_so() -> None:
    rows = row(1, formula("A1", "YEAR(1)"))
    assert values(worked(rows)) == {"A1": 1900.0}
    assert values(worked(rows, properties='<workbookPr date1904="1"/>')) == {"A1": 1904.0}


def test_names_with_our_functions_and_names_of_a_sheet_are_followed() -> None:
    names = '<definedName name="Twice">DOUBLE(S!$A$1)</definedName>'
    names += '<definedName name="Own" localSheetId="1">S!$A$1</definedName>'
    report = worked(
        {"S": row(1, number("A1", 4), formula("B1", "Twice+1"), formula("C1", "T!Own")), "T": ""}, names=names
    )
    assert values(report) == {"B1": 9.0, "C1": 4.0}


def test_reads_every_cell_and_says_what_changed() -> None:
    rows = row(1, number("A1", 4), formula("B1", "DOUBLE(A1)", "7"), text("C1", "hose"), formula("D1", "B9"))
    report = worked({"Line s": rows})
    assert [report.value_at("Line s", ref) for ref in ("A1", "B1", "C1", "D1", "E1")] == [4.0, 8.0, "hose", 0.0, None]
    assert report.value("Line s", 1, 2) == 8.0
    changes = [(change.cell, change.old, change.new) for change in report.changes]
    assert changes == [("'Line s'!B1", 7.0, 8.0), ("'Line s'!D1", None, 0.0)]


def test_cached_texts_may_stand_among_the_shared_ones() -> None:
    made = parts(
        {"S": row(1, formula("A1", '"hose"', "1", "s"), formula("B1", '"hose"', "0", "s"))},
        links=f'<Relationship Id="s" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>',
    )
    made["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}"><si><t>x</t></si><si><t>hose</t></si></sst>'.encode()
    report = compute(Package.from_bytes(packed(made), "b.xlsx"), OURS)
    assert [(change.cell, change.old, change.new) for change in report.changes] == [("S!B1", "x", "hose")]


def test_tells_how_far_it_is(tmp_path: Path) -> None:
    path, heard = tmp_path / "book.xlsx", []
    path.write_bytes(book("".join(row(i, formula(f"A{i}", f"DOUBLE({i})")) for i in range(1, 5001))))
    report = recalc(path, functions=OURS, progress=heard.append)
    assert heard == ["reading", "working out", "working out: 40 %", "working out: 80 %", "writing"]
    assert report.changed == 5000
