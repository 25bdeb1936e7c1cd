"""What keeps a recalculation from its end: circles, what the engine cannot have, odd files, Ctrl-C, faults."""

import os
import random
import signal
from pathlib import Path

import pytest

from xlcalc.core.errors import FileError, FileRefused
from xlcalc.workbook.calculation.recalc import compute, recalc
from xlcalc.workbook.file.package import Package

from .books import MAIN, OFFICE, SHEET, book, formula, number, packed, parts, row
from .ours import OURS, Cells, values, worked


def test_circles_keep_their_values_and_what_waits_for_them_is_worked_out() -> None:
    rows = row(
        1, formula("A1", "B1+1", "30"), formula("B1", "A1+1", "40"), formula("C1", "A1*2"), formula("D1", "C1+1")
    )
    rows += row(2, formula("A2", "SUM(A2:A3)", "5"), formula("B2", "A2+1"), formula("C2", "IF(TRUE,4,C2)"))
    rows += row(3, formula("A3", "Rate+1", "6"), formula("B3", "A3", "1"))
    report = worked(rows, names='<definedName name="Rate">S!$B$3</definedName>')
    assert [(stop.cell, stop.reason) for stop in report.frozen] == [
        (f"S!{cell}", "circular reference") for cell in ("A1", "B1", "A2", "A3", "B3")
    ]
    assert values(report) == {
        "A1": 30.0, "B1": 40.0, "C1": 60.0, "D1": 61.0, "A2": 5.0, "B2": 6.0, "C2": 4.0, "A3": 6.0, "B3": 1.0,
    }  # fmt: skip
    assert report.kept == []


def test_iterative_calculation_is_not_imitated() -> None:
    rows = row(1, formula("A1", "A1+1", "30"))
    report = worked(rows, calculation='<calcPr calcId="191029" iterate="1"/>')
    assert [(stop.cell, stop.reason) for stop in report.frozen] == [("S!A1", "circular reference")]
    assert report.edits == {}


def test_what_the_engine_cannot_have_keeps_its_value_and_says_why() -> None:
    data = ' t="dataTable" ref="B9:B10" dt2D="0" dtr="0" r1="A1"'
    cells = {
        "A1": ("[1]Sheet1!A1", "external link [1]Sheet1"),
        "A2": ("THEIR_MACRO(A1)", "unknown function THEIR_MACRO"),
        "A3": ("SUM(Prices[Cost])", "the table Prices has no column Cost"),
        "A4": ("SUM([Cost])", "[Cost] names no table and stands in none"),
        "A5": ("Old*2", "external link [1]S in the name Old"),
        "A6": ("SUM(S:T!A1)", "one cell of several sheets S:T"),
    }
    rows = "".join(
        row(i, formula(ref, written, str(i)), formula(f"B{i}", f"A{i}*10"))
        for i, (ref, (written, _)) in enumerate(cells.items(), 1)
    )
    rows += row(9, formula("B9", "", "9", attributes=data), formula("C9", "B9+B10")) + row(10, number("B10", 10))
    made = parts({"S": rows, "T": ""}, names='<definedName name="Old">[1]S!$A$1</definedName>')
    made["xl/tables/t.xml"] = f'<table xmlns="{MAIN}" name="Prices" displayName="Prices" ref="J1:J3"/>'.encode()
    links = f'<Relationship Id="a" Type="{OFFICE}/table" Target="../tables/t.xml"/>'
    made["xl/worksheets/_rels/sheet2.xml.rels"] = made["_rels/.rels"].split(b"<Relationship ")[0] + (
        f"{links}</Relationships>".encode()
    )
    report = compute(Package.from_bytes(packed(made), "b.xlsx"), OURS)
    assert [(stop.cell, stop.reason) for stop in report.frozen] == [
        *((f"S!{ref}", why) for ref, (_, why) in cells.items()),
        ("S!B9", "data table"),
    ]
    found = values(report)
    assert {ref: found[ref] for ref in found if ref != "B9"} == {
        **{f"A{i}": float(i) for i in range(1, 7)},
        **{f"B{i}": i * 10.0 for i in range(1, 7)},
        "C9": 19.0,
    }
    assert (found["B9"], report.computed, report.changed) == (9.0, 7, 7)


def test_an_answer_without_spelling_keeps_the_value_and_what_needs_it_is_worked_out() -> None:
    deep = "+".join(["C1"] * 3000)
    rows = row(1, formula("A1", deep, "30"), formula("B1", "A1*2"), formula("C1", "5"), formula("D1", "(B1,C1)", "3"))
    array = formula("A2", "COLUMN_OF()", "1", attributes=' t="array" ref="A2:A3"')
    rows += row(2, array, formula("B2", "SUM(A2:A3)")) + row(3, formula("A3", "7"))
    report = worked(rows)
    assert [(stop.cell, stop.reason) for stop in report.kept] == [
        ("S!A1", "this formula can only be worked out in the spreadsheet"),
        ("S!D1", "this formula can only be worked out in the spreadsheet"),
        ("S!A2", "its array is blocked by other cells"),
    ]
    assert values(report) == {"A1": 30.0, "B1": 60.0, "C1": 5.0, "D1": 3.0, "A2": 1.0, "A3": 7.0, "B2": 8.0}


def test_a_value_that_no_spreadsheet_writes_is_refused_in_words() -> None:
    with pytest.raises(FileRefused, match="the cell A1 is to hold a number and holds 'fifteen'"):
        worked(row(1, formula("A1", "30/2", "fifteen", "n")))


def test_a_sheet_without_formulas_is_not_looked_at() -> None:
    report = worked({"S": row(1, formula("A1", "T!A1*2")), "T": "<!-- remark -->" + row(1, number("A1", 4))})
    assert values(report) == {"A1": 8.0}
    assert list(report.edits) == [SHEET]


ARRAY = formula("A1", "COLUMN_OF()", attributes=' t="array" ref="A1:A2"')
CELL = formula("A1", "1+1")
ODD = {
    "remark": (row(1, f"<!-- x -->{CELL}"), "remarks or raw text"),
    "raw text": (row(1, CELL, '<c r="B1" t="str"><f>1</f><v><![CDATA[x]]></v></c>'), "remarks or raw text"),
    "no address": (row(1, "<c><f>1+1</f></c>"), "without an address"),
    "twice": (row(1, CELL, CELL), "A1 stands there twice"),
    "too far down": (row(1_048_577, formula("A1048577", "1")), "outside the rows and columns"),
    "too far right": (row(1, formula("XFE1", "1")), "outside the rows and columns"),
    "huge array": (row(1, formula("A1", "1", attributes=' t="array" ref="A1:Z99999"')), "covers too many cells"),
    "odd array": (row(1, formula("A1", "1", attributes=' t="array" ref="A1:"')), "not a cell or an area"),
    "sign in an attribute": (row(1, '<c s="1>2" r="A1"><f>1+1</f></c>'), "in an unknown form"),
    "row without number": (f"<row>{ARRAY}</row>", "row stands there without its number"),
}


@pytest.mark.parametrize("case", ODD)
def test_refuses_what_it_cannot_edit_and_leaves_the_file(case: str, tmp_path: Path) -> None:
    rows, words = ODD[case]
    path = tmp_path / "book.xlsx"
    path.write_bytes(book(rows))
    before = path.read_bytes()
    with pytest.raises(FileRefused) as refusal:
        recalc(path, functions=OURS)
    assert words in str(refusal.value)
    assert "book.xlsx, sheet S" in str(refusal.value)
    assert path.read_bytes() == before


def test_refuses_cells_with_a_prefix() -> None:
    made = parts({"S": ""})
    made[SHEET] = (
        f'<x:worksheet xmlns:x="{MAIN}"><x:sheetData><x:row r="1"><x:c r="A1"><x:f>1+1</x:f></x:c></x:row>'
        "</x:sheetData></x:worksheet>"
    ).encode()
    with pytest.raises(FileRefused, match="prefix"):
        compute(Package.from_bytes(packed(made), "b.xlsx"), OURS)


@pytest.mark.parametrize("how", ["signal", "exception"])
def test_ctrl_c_stops_at_once_and_leaves_the_file(how: str, tmp_path: Path) -> None:
    calls = []

    def interrupted(cells: Cells) -> object:
        calls.append(1)
        if how == "exception":
            raise KeyboardInterrupt
        os.kill(os.getpid(), signal.SIGINT)
        return 1.0

    path = tmp_path / "book.xlsx"
    path.write_bytes(book("".join(row(i, formula(f"A{i}", "STOP()")) for i in range(1, 500))))
    before, handler = path.read_bytes(), signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        recalc(path, functions={"STOP": interrupted})
    assert len(calls) == 1
    assert path.read_bytes() == before
    assert [file.name for file in tmp_path.iterdir()] == ["book.xlsx"]
    assert signal.getsignal(signal.SIGINT) is handler


@pytest.mark.parametrize("answer", [{"a": 1}, (1.0, 2.0), object()], ids=["mapping", "tuple", "object"])
def test_a_fault_of_a_function_is_never_taken_for_a_value(answer: object) -> None:
    package = Package.from_bytes(book(row(1, formula("A1", "IFERROR(F(),1)"))), "b.xlsx")
    with pytest.raises(TypeError, match="no cell can hold"):
        compute(package, {"F": lambda _: answer})

    def broken(cells: Cells) -> object:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        compute(package, {"F": broken})


SCRAPS = [
    b"<",
    b">",
    b'"',
    b"'",
    b"</c>",
    b"<f>",
    b"<v>",
    b"&",
    b"(",
    b",",
    b"!",
    b"[1]",
    b"9999999",
    b"",
    b"\xff",
    b":",
]


def test_a_damaged_sheet_is_refused_or_worked_out_once_and_for_all() -> None:
    chance = random.Random(20240301)
    shared = [' t="shared" ref="C2:C3" si="0"', ' t="shared" si="0"']
    rows = row(1, number("A1", 3), formula("B1", "SHOWN(A1,,2)", "6"), formula("C1", "[1]S!A1", "4"))
    rows += row(2, formula("A2", "COLUMN_OF()", "1", attributes=' t="array" ref="A2:A4"'), formula("B2", "A2:A4"))
    rows += row(3, formula("C2", "SUM(A2:A3)", attributes=shared[0])) + row(3, formula("C3", "", attributes=shared[1]))
    whole = parts({"S": rows})
    worked_out = 0
    for _ in range(500):
        sheet = bytearray(whole[SHEET])
        for _ in range(chance.choice([1, 1, 2])):
            place = chance.randrange(150, len(sheet))
            sheet[place : place + chance.choice([0, 0, 1, 3])] = chance.choice(SCRAPS)
        damaged = whole | {SHEET: bytes(sheet)}
        try:
            edits = compute(Package.from_bytes(packed(damaged), "b.xlsx"), OURS).edits
        except FileError:
            continue
        worked_out += 1
        assert compute(Package.from_bytes(packed(damaged | edits), "b.xlsx"), OURS).edits == {}
    assert worked_out > 50
