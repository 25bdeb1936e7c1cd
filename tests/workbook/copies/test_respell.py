"""Names of our functions in a whole book: formula text changes and nothing else."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from xlcalc.core.errors import FileRefused
from xlcalc.core.registry import functions
from xlcalc.workbook.copies.respell import respelling
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import respellings, spliced
from xlcalc.workbook.spelling import EVERYONE, OLD_CALC

from ..books import HEAD, LINKS, MAIN, OFFICE, SHEET, STARTUP, formula, linked_parts, number, packed, parts, row

OURS = ("BORE_FOR_FLOW", "LINE_VELOCITY")
PREFIX = "XLCALC."
TABLE = "xl/tables/table1.xml"
AFTER = (  # behind the cells of a sheet; ~ stands before each name
    '<conditionalFormatting sqref="A1"><cfRule type="expression" dxfId="0" priority="1">'
    "<formula>~LINE_VELOCITY(A1,B1)&gt;2</formula></cfRule></conditionalFormatting>"
    '<dataValidations count="1"><dataValidation type="whole" sqref="B1"><formula1>~BORE_FOR_FLOW(1,2)</formula1>'
    "<formula2 >~BORE_FOR_FLOW( 3 , 4 )</formula2></dataValidation></dataValidations>"
    '<!-- <f>BORE_FOR_FLOW(1)</f> --><extLst><ext xmlns:x14="x" uri="u"><x14:formula1><xm:f xmlns:xm="m">'
    "~LINE_VELOCITY(A1,2)</xm:f></x14:formula1></ext></extLst>"
)
CELLS = [  # as the file has them: attributes and text of <f>
    ("", 'IF(A1&lt;&gt;"",~BORE_FOR_FLOW(A1,B1),&quot;BORE_FOR_FLOW(A1) &amp; x&quot;)&amp;"~"'),
    (' xml:space="preserve"', " ~BORE_FOR_FLOW( A1 , ~LINE_VELOCITY(1,2) ) "),
    (' t="shared" ref="D1:D9" si="0"', "~LINE_VELOCITY($A1,'it''s &amp; BORE_FOR_FLOW(1)'!B1)"),
    (' t="array" aca="1" ref="E1:E2"', '~LINE_VELOCITY({"ü &#252;","&#x1F600;"},~BORE_FOR_FLOW(😀ß,1))'),
    ("", "<![CDATA[IF(A1<2,~BORE_FOR_FLOW(A1,\"&amp;\"),0)]]>+A1"),
    ("", "A1<!-- BORE_FOR_FLOW(1) -->+~BORE_FOR_FLOW(<![CDATA[A1,]]>B1)"),
    ("", "SUM(A1:B1)+NOT_BORE_FOR_FLOW(1)+ÜBORE_FOR_FLOW(2)+BORE_FOR_FLOW+Sheet1!BORE_FOR_FLOW(1)"),
    ("", "MY_OWN(~BORE_FOR_FLOW(A1,B1))"),
]  # fmt: skip


def spelled(prefix: str) -> dict[str, bytes]:
    """A book that calls our functions in every place that holds a formula, each with the prefix."""
    cells = "".join(
        formula(f"{letter}1", text.replace('"~"', '"\x00"'), "7", attributes=attributes)
        for letter, (attributes, text) in zip("CDEFGHIJ", CELLS, strict=True)
    )
    names = '<definedName name="Twice" comment="BORE_FOR_FLOW(1)">2*~BORE_FOR_FLOW(S!$A$1,S!$B$1)</definedName>'
    made = parts({"S": row(1, number("A1", 1), number("B1", 2), cells)}, names=names)
    made[SHEET] = made[SHEET].replace(b"</sheetData>", b"</sheetData>" + AFTER.encode())
    made["xl/worksheets/_rels/sheet1.xml.rels"] = (
        f'{HEAD}<Relationships xmlns="{LINKS}">'
        f'<Relationship Id="rId1" Type="{OFFICE}/table" Target="../tables/table1.xml"/></Relationships>'.encode()
    )
    made[TABLE] = (
        f'{HEAD}<table xmlns="{MAIN}" name="T" displayName="T" ref="A1:B2"><tableColumns>'
        '<tableColumn name="BORE_FOR_FLOW(1)"><calculatedColumnFormula>~BORE_FOR_FLOW(T[[#This Row],[a]],2)'
        "</calculatedColumnFormula><totalsRowFormula>~LINE_VELOCITY(1,2)</totalsRowFormula></tableColumn>"
        "</tableColumns></table>".encode()
    )
    made["xl/charts/chart1.xml"] = b'<c:f xmlns:c="urn:c">BORE_FOR_FLOW(1)</c:f>'
    return {name: part.replace(b"~", prefix.encode()).replace(b"\x00", b"~") for name, part in made.items()}


def opened(made: dict[str, bytes]) -> Package:
    return Package.from_bytes(packed(made), "book.xlsx")


@pytest.mark.parametrize("before", ["", PREFIX, "[1]!", "_xll.", "_xludf.", "'C:\\a b\\o''clock\\xlcalc.xlam'!", "@"])
def test_every_place_that_holds_a_formula_is_respelled_and_nothing_else(before: str) -> None:
    package = opened(spelled(before))
    for way, prefix in ((EVERYONE, ""), (OLD_CALC, PREFIX)):
        made = respelling(package, way)
        wanted = spelled(prefix)
        assert {name: made.edits.get(name, package.read(name)) for name in package.names} == wanted
        assert set(made.edits) == ({SHEET, TABLE, "xl/workbook.xml"} if before != prefix else set())
        assert made.formulas == ({"defined names": 1, "S": 13} if before != prefix else {})


def test_lower_case_and_spaces_become_plain() -> None:
    package = opened(parts({"S": row(1, formula("A1", "bore_for_flow(1,2)+  Line_Velocity (3,4)"))}))
    assert b"<f>BORE_FOR_FLOW(1,2)+  LINE_VELOCITY(3,4)</f>" in respelling(package, EVERYONE).edits[SHEET]


def test_raw_text_may_begin_inside_a_name() -> None:
    package = opened(parts({"S": row(1, formula("A1", "bore_<![CDATA[for_flow(1<]]><!-- x -->2,3)"))}))
    edited = respelling(package, OLD_CALC).edits[SHEET]
    assert b"<f>XLCALC.BORE_FOR_FLOW(<![CDATA[1<]]><!-- x -->2,3)</f>" in edited


def test_a_function_of_another_add_in_is_left_alone_and_the_link_to_ours_stays() -> None:
    made = linked_parts(
        row(1, formula("A1", "[1]!BORE_FOR_FLOW(1,2)"), formula("B1", "[2]!BORE_FOR_FLOW(1,2)")),
        (STARTUP, "prices.xlam"),
        (STARTUP, "xlcalc.xlam"),
    )
    found = respelling(opened(made), EVERYONE)
    assert found.linked
    assert found.formulas == {"S": 1}
    changed = made[SHEET].replace(b"[2]!BORE_FOR_FLOW", b"BORE_FOR_FLOW")
    assert found.edits == {SHEET: changed}
    assert not respelling(opened(spelled("")), OLD_CALC).linked


def test_a_formula_that_would_grow_too_long_is_refused_with_its_cell() -> None:
    call = 'BORE_FOR_FLOW(1,"~")'
    fits = call.replace("~", "x" * (8193 - len(call) - len(PREFIX)))
    respelling(opened(parts({"S": row(1, formula("A1", fits))})), OLD_CALC)
    rows = row(1, formula("A1", "1"), formula("B1", "&quot;".join(fits.replace("xx", "xxx", 1).split('"'))))
    with pytest.raises(FileRefused, match=r"book.xlsx, S, B1: its formula would be 8,193 characters long .* 8,192"):
        respelling(opened(parts({"S": rows})), OLD_CALC)
    names = f'<definedName name="Long">{fits}+1</definedName>'
    with pytest.raises(FileRefused, match="defined names, the name Long: its formula would be"):
        respelling(opened(parts({"S": ""}, names=names)), OLD_CALC)
    too_long = PREFIX + fits + "x" * 100  # a formula that is too long already may still grow shorter
    assert respelling(opened(parts({"S": row(1, formula("A1", too_long))})), EVERYONE).edits


def test_a_part_in_a_rare_encoding_is_refused() -> None:
    made = parts({"S": row(1, formula("A1", "BORE_FOR_FLOW(1,2)"))})
    made[SHEET] = made[SHEET].decode().replace("UTF-8", "UTF-16").encode("utf-16")
    with pytest.raises(FileRefused, match="rare encoding"):
        respelling(opened(made), OLD_CALC)


@given(some.lists(some.sampled_from([
    *(f"{name}(" for name in OURS), "SUM(", "A1", ",", ")", " ", '"BORE_FOR_FLOW(1)"', "'BORE_FOR_FLOW('!B2", "+",
    "{1,2}", "T[a]", "Rate", "[1]S!A1", "XLCALC", ".", "@", '"',
]), max_size=12))  # fmt: skip
def test_names_for_old_calc_and_back_are_what_they_were(pieces: list[str]) -> None:
    plain = "".join(pieces)
    plain = spliced(plain, respellings(plain, functions()))
    old = spliced(plain, respellings(plain, functions(), PREFIX))
    assert spliced(old, respellings(old, functions())) == plain
    assert respellings(old, functions(), PREFIX) == []
    assert respellings(plain, functions()) == []
