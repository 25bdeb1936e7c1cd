"""A workbook as Excel stores it: `[1]!NAME` is ours where the book says that link 1 leads to our add-in."""

import math
from pathlib import Path

import pytest

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.calculation.links import addin_targets, linked_files, other_files
from xlcalc.workbook.calculation.recalc import compute, recalc
from xlcalc.workbook.explained.explain import explain
from xlcalc.workbook.file.package import Package

from ..books import ANYWHERE, MAIN, OFFICE, SHEET, STARTUP, contents, formula, linked_parts, number, packed, row
from ..ours import OURS, values

LIBRARY = "http://schemas.microsoft.com/office/2006/relationships/xlExternalLinkPath/xlLibrary"
MISSING = "http://schemas.microsoft.com/office/2006/relationships/xlExternalLinkPath/xlPathMissing"
OUR_ADDIN = (STARTUP, "xlcalc.xlam")
BORE = 1000 * math.sqrt(4 * 0.030 / 60 / (math.pi * 2))  # mm, for 30 L/min at 2 m/s: the area is flow over velocity


def opened(made: dict[str, bytes]) -> Package:
    return Package.from_bytes(packed(made), "book.xlsx")


@pytest.mark.parametrize(
    ("kind", "target", "name"),
    [
        (STARTUP, "xlcalc.xlam", "xlcalc.xlam"),
        (LIBRARY, "XLCALC.XLAM", "xlcalc.xlam"),
        (MISSING, "xlcalc.xlam", "xlcalc.xlam"),
        (ANYWHERE, "file:///C:\\Users\\some%20one\\XLSTART\\xlcalc.xlam", "xlcalc.xlam"),
        (ANYWHERE, "file:///\\\\server\\share\\xlcalc%2Exlam", "xlcalc.xlam"),
        (ANYWHERE, "../add%20ins/Xlcalc.xlam", "xlcalc.xlam"),
        (ANYWHERE, "/Users/someone/xlcalc.xlam/prices.xlam", "prices.xlam"),
        (LIBRARY, "EUROTOOL.XLAM", "eurotool.xlam"),
        (ANYWHERE, "my%20xlcalc.xlam", "my xlcalc.xlam"),
    ],
)
def test_a_link_is_known_by_the_file_that_it_leads_to(kind: str, target: str, name: str) -> None:
    package = opened(linked_parts("", (kind, target)))
    assert linked_files(package) == {"1": name}
    assert other_files(package) == ({} if name == "xlcalc.xlam" else {"1": name})


def test_links_count_in_the_order_of_the_book_and_those_that_lead_nowhere_are_left_out() -> None:
    made = linked_parts("", (ANYWHERE, "prices.xlsx"), (ANYWHERE, "gone.xlsx"), OUR_ADDIN, (ANYWHERE, "dde"))
    del made["xl/externalLinks/externalLink2.xml"]
    made["xl/externalLinks/externalLink4.xml"] = f'<externalLink xmlns="{MAIN}"><ddeLink/></externalLink>'.encode()
    package = opened(made)
    assert linked_files(package) == {"1": "prices.xlsx", "3": "xlcalc.xlam", "4": "another program"}
    made["xl/_rels/workbook.xml.rels"] = made["xl/_rels/workbook.xml.rels"].replace(
        f'Id="link1" Type="{OFFICE}/externalLink"'.encode(), f'Id="link9" Type="{OFFICE}/externalLink"'.encode()
    )
    assert list(linked_files(opened(made))) == ["3", "4"]
    made["xl/externalLinks/externalLink3.xml"] = b"<externalLink"
    with pytest.raises(FileRefused, match=r"externalLink3\.xml cannot be read"):
        linked_files(opened(made))


def test_of_two_spellings_of_a_place_the_one_that_the_link_names_counts() -> None:
    made = linked_parts("", (ANYWHERE, "file:///C:\\some%20one\\xlcalc.xlam"))
    place = "xl/externalLinks/_rels/externalLink1.xml.rels"
    other = f'<Relationship Id="rId9" Type="{ANYWHERE}" Target="https://example.org/old.xlam" TargetMode="External"/>'
    made[place] = made[place].replace(b"<Relationship ", other.encode() + b"<Relationship ", 1)
    package = opened(made)
    assert linked_files(package) == {"1": "xlcalc.xlam"}
    assert addin_targets(package) == {"1": "file:///C:\\some one\\xlcalc.xlam"}


def test_a_workbook_as_excel_stores_it_is_worked_out_and_explained(tmp_path: Path) -> None:
    shared = ' t="shared" ref="D1:D2" si="0"'
    rows = row(1, number("A1", 30), number("B1", 2), formula("C1", "[1]!BORE_FOR_FLOW(A1,B1)", "7"),
               formula("D1", "ROUND([1]!BORE_FOR_FLOW(A1,$B$1,),1)", "7", attributes=shared), formula("E1", "Again"))
    rows += row(2, number("A2", 30), formula("C2", "IFERROR([1]!LINE_VELOCITY(A2,C1),0)", "#NAME?", "e"),
                formula("D2", "", "7", attributes=' t="shared" si="0"'))
    rows += row(3, formula("C3", "[1]!BORE_FOR_FLOW(A1:A2,B1)", "7", attributes=' t="array" ref="C3:C4"'))
    names = '<definedName name="Again">[1]!BORE_FOR_FLOW(S!$A$1,S!$B$1)</definedName>'
    made = linked_parts(rows, OUR_ADDIN, names=names)
    path = tmp_path / "stored.xlsx"
    path.write_bytes(packed(made))
    report = recalc(path)
    answers = {"C1": BORE, "D1": round(BORE, 1), "E1": BORE, "C2": 2.0, "D2": round(BORE, 1), "C3": BORE, "C4": BORE}
    assert values(report) == {cell: pytest.approx(answer, rel=1e-12) for cell, answer in answers.items()}
    assert (report.frozen, report.kept, report.errors) == ([], [], [])
    after = contents(path.read_bytes())
    assert {name: part for name, part in after.items() if name != SHEET} == {
        name: part for name, part in made.items() if name != SHEET
    }
    assert b"<f>[1]!BORE_FOR_FLOW(A1,B1)</f><v>17.84" in after[SHEET]
    assert recalc(path).changed == 0
    lines = [line.text for line in explain(path, "S!C1").lines]
    assert "Formula: =[1]!BORE_FOR_FLOW(A1,B1)" in lines
    assert [line for line in lines if line.startswith("BORE_FOR_FLOW: Smallest inside diameter")], f"not among {lines}"
    assert "Answer: 17.84 mm" in lines
    inner = explain(path, "S!C2").lines
    called = [line for line in inner if line.part == "call" and line.text.startswith("LINE_VELOCITY: ")]
    assert called, f"no line tells of the call: {inner}"


def test_a_function_of_another_add_in_keeps_its_value_and_is_not_explained_as_ours(tmp_path: Path) -> None:
    rows = row(1, number("A1", 30), number("B1", 2), formula("C1", "[1]!BORE_FOR_FLOW(A1,B1)", "7"),
               formula("D1", "[2]!BORE_FOR_FLOW(A1,B1)", "7"),
               formula("E1", "[2]!LINE_VELOCITY([1]!BORE_FOR_FLOW(A1,B1),C1)", "7"))  # fmt: skip
    path = tmp_path / "two.xlsx"
    path.write_bytes(packed(linked_parts(rows, (LIBRARY, "PRICES.XLAM"), OUR_ADDIN)))
    report = recalc(path)
    assert values(report) == {"C1": 7.0, "D1": pytest.approx(BORE), "E1": 7.0}
    why = "the function BORE_FOR_FLOW of prices.xlam, which is none of xlcalc"
    assert [(stop.cell, stop.reason) for stop in report.frozen] == [("S!C1", why), ("S!E1", why)]
    lines = explain(path, "S!C1").lines
    assert f"It keeps the value it had: {why}" in [line.text for line in lines]
    assert not [line for line in lines if line.part == "call"]
    calls = [line.text for line in explain(path, "S!E1").lines if line.part == "call"]
    assert len(calls) == 1
    assert calls[0].startswith("LINE_VELOCITY: ")


def test_calc_drops_the_link_and_keeps_its_number_so_the_name_alone_counts() -> None:
    rows = row(1, number("A1", 4), formula("B1", "[1]!double(A1)"), formula("C1", "[0]!DOUBLE(A1)", "5"))
    made = linked_parts(rows)
    report = compute(opened(made), OURS)
    assert values(report) == {"B1": 8.0, "C1": 5.0}
    assert [stop.cell for stop in report.frozen] == ["S!C1"]
