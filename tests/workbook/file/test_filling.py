"""Values typed into a sheet's XML: every form of cell, and nothing else touched."""

import pytest

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.filling import with_typed_values
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value

from ..books import MAIN, OFFICE, SHEET, formula, number, packed, parts, row, sheet_xml, text
from ..ours import OURS

INLINE = '<c r="B2" s="3" t="inlineStr"><is><t>%s</t></is></c>'


def put(rows: str, value: Value, before: str = "") -> str:
    """What the rows of a sheet become with a value in B2; what stands round them must stay."""
    xml = sheet_xml(rows, "<pageMargins/>").replace("<sheetData>", f"{before}<sheetData>")
    new = with_typed_values(xml.encode(), {(2, 2): value}, "book.xlsx, sheet S").decode()
    start, stop = xml.index("<sheetData>") + 11, len(xml) - xml.index("</sheetData>")
    assert new.startswith(xml[:start])
    assert new.endswith(xml[-stop:])
    return new[start:-stop]


@pytest.mark.parametrize(
    ("held", "value", "becomes"),
    [
        ('<c r="B2" s="3"><v>7</v></c>', 12.5, '<c r="B2" s="3"><v>12.5</v></c>'),
        ('<c r="B2" s="3" t="n"><v>7</v></c>', "B", INLINE % "B"),
        ('<c r="B2" s="3"/>', 46083.0, '<c r="B2" s="3"><v>46083</v></c>'),
        ('<c r="B2" s="3"/>', "a < b & c", INLINE % "a &lt; b &amp; c"),
        ('<c r="B2" s="3"></c>', " B ", '<c r="B2" s="3" t="inlineStr"><is><t xml:space="preserve"> B </t></is></c>'),
        ('<c r="B2" s="3" t="s"><v>0</v></c>', "B", INLINE % "B"),
        ('<c r="B2" s="3" t="s"><v>0</v></c>', 0.1, '<c r="B2" s="3"><v>0.1</v></c>'),
        (INLINE % "A", "B", INLINE % "B"),
        (INLINE % "A", 3.0, '<c r="B2" s="3"><v>3</v></c>'),
        ('<c r="B2" s="3" t="str"><v>A</v></c>', "B", INLINE % "B"),
        ('<c r="B2" s="3" t="b"><v>1</v></c>', 3.0, '<c r="B2" s="3"><v>3</v></c>'),
        ('<c r="B2" s="3"><v>7</v></c>', 7.0, '<c r="B2" s="3"><v>7</v></c>'),
        ('<c r="B2" s="3"><v>7</v></c>', None, '<c r="B2" s="3"></c>'),
    ],
)
def test_a_value_goes_into_a_cell_of_any_kind_and_keeps_its_look(held: str, value: Value, becomes: str) -> None:
    around = number("A2", 1), '<c r="C2" s="4"/>'
    rows = row(1, number("B1", 5)) + '<row r="2" ht="20">%s%s%s</row>' + row(3, number("B3", 6))
    assert put(rows % (around[0], held, around[1]), value) == rows % (around[0], becomes, around[1])


@pytest.mark.parametrize(
    ("rows", "becomes"),
    [
        (row(2, number("A2", 1), number("C2", 1)), row(2, number("A2", 1), '<c r="B2"><v>7</v></c>', number("C2", 1))),
        ('<row r="2" s="5" customFormat="1"/>', '<row r="2" s="5" customFormat="1"><c r="B2" s="5"><v>7</v></c></row>'),
        ('<row r="2" s="5"/>', '<row r="2" s="5"><c r="B2"><v>7</v></c></row>'),
        (row(1) + row(3), row(1) + row(2, '<c r="B2"><v>7</v></c>') + row(3)),
        (row(1), row(1) + row(2, '<c r="B2"><v>7</v></c>')),
        ("", row(2, '<c r="B2"><v>7</v></c>')),
    ],
)
def test_a_cell_or_row_that_was_not_there_is_put_where_it_belongs(rows: str, becomes: str) -> None:
    assert put(rows, 7.0) == becomes


def test_a_cell_that_was_not_there_looks_like_its_column() -> None:
    columns = '<cols><col min="1" max="1" style="9"/><col min="2" max="4" width="8" style="6"/></cols>'
    assert put(row(2), 7.0, columns) == row(2, '<c r="B2" s="6"><v>7</v></c>')
    assert put("", 7.0, columns) == row(2, '<c r="B2" s="6"><v>7</v></c>')
    empty = sheet_xml("").replace("<sheetData></sheetData>", "<sheetData/>").encode()
    assert row(2, '<c r="B2"><v>7</v></c>').encode() in with_typed_values(empty, {(2, 2): 7.0}, "S")


def test_a_sheet_in_another_form_is_refused() -> None:
    for xml in (b"<worksheet/>", sheet_xml("<row><c><v>1</v></c></row>").encode(), b"<x:sheetData></x:sheetData>"):
        with pytest.raises(FileRefused, match="sheet S cannot be edited"):
            with_typed_values(xml, {(1, 1): 7.0}, "book.xlsx, sheet S")


def test_the_engine_reads_what_was_typed() -> None:
    held = '<c r="A1" t="s"><v>0</v></c>', text("B1", "x"), '<c r="C1" s="1"/>'
    rows = row(1, *held, formula("E1", "SHOWN(A1:D1,A2)"))
    made = parts({"S": rows}, links=f'<Relationship Id="s" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>')
    made["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}"><si><t>old</t></si></sst>'.encode()
    package = Package.from_bytes(packed(made), "book.xlsx")
    typed = {(1, 1): "new & <so>", (1, 2): 2.0, (1, 3): " B ", (1, 4): "_x0041_", (2, 1): 5.0}
    content = package.edited({SHEET: with_typed_values(package.read(SHEET), typed, "S")})
    report = compute(Package.from_bytes(content, "book.xlsx"), OURS)
    assert report.value("S", 1, 5) == "['new & <so>' 2.0 ' B ' '_x0041_'] 5.0"
