"""The XML inside: document types, depth, encodings, and cells that are written in every way a file may hold."""

from ..books import HEAD, MAIN, OFFICE, SHEET, book, formula, number, packed, parts, row, sheet_xml
from .case import Case, read, refused
from .containers import PARTS, ROWS

FORMULA = formula("B1", "A1*2", "1")
DEEP = 100_000


def part(name: str, content: str | bytes, rows: str = ROWS) -> bytes:
    return packed(parts({"S": rows}) | {name: content.encode() if isinstance(content, str) else content})


def sheet(content: str | bytes) -> bytes:
    return part(SHEET, content)


def texts(content: str, rows: str) -> bytes:
    """A workbook with shared texts."""
    made = parts(
        {"S": rows}, links=f'<Relationship Id="t" Type="{OFFICE}/sharedStrings" Target="sharedStrings.xml"/>'
    )
    return packed(made | {"xl/sharedStrings.xml": f'{HEAD}<sst xmlns="{MAIN}">{content}</sst>'.encode()})


def doctype(inside: str) -> str:
    return f'<?xml version="1.0"?><!DOCTYPE worksheet [{inside}]>{sheet_xml(ROWS).removeprefix(HEAD)}'


LAUGHS = '<!ENTITY a0 "ha">' + "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10))
PREFIXED = (
    f'<x:worksheet xmlns:x="{MAIN}"><x:sheetData><x:row r="1"><x:c r="A1"><x:f>1+1</x:f></x:c></x:row>'
    "</x:sheetData></x:worksheet>"
)
PREFIXED_BOOK = (
    f'<w:workbook xmlns:w="{MAIN}" xmlns:q="{OFFICE}"><w:sheets><w:sheet name="S" sheetId="1" q:id="rId1"/></w:sheets>'
    "</w:workbook>"
)
XML = sheet_xml(ROWS)
ADDRESSES = " r='A1'" * 100_000
SHARED = ' t="shared" ref="B1:B2" si="0"'
MARKUP: dict[str, Case] = {
    "doctype": refused(sheet(doctype("")), "DOCTYPE"),
    "entities that multiply": refused(sheet(doctype(LAUGHS).replace("<v>3</v>", "<v>&a9;</v>")), "DOCTYPE"),
    "one entity very often": refused(sheet(doctype(f'<!ENTITY b "{"b" * 50_000}">')), "DOCTYPE"),
    "entity with a file": refused(sheet(doctype('<!ENTITY x SYSTEM "file:///etc/passwd">')), "DOCTYPE"),
    "blanks around an equals sign of a formula": read(
        sheet(sheet_xml(ROWS + row(7, formula("B7", 'IF(A1 = "x",1,2)', "1")))), {"B1": 6.0, "B7": 2.0}
    ),
    "external document type": refused(
        sheet(f'<!DOCTYPE a SYSTEM "http://127.0.0.1:9/a.dtd">{XML.removeprefix(HEAD)}'), "DOCTYPE"
    ),
    "doctype in utf-16": refused(part("xl/a.xml", doctype("").encode("utf-16")), "DOCTYPE"),
    "doctype in utf-16 without mark": refused(part("xl/a.xml", doctype("").encode("utf-16-be")), "DOCTYPE"),
    "doctype in the workbook": refused(part("xl/workbook.xml", doctype(LAUGHS)), "DOCTYPE"),
    "doctype in the list of types": refused(part("[Content_Types].xml", doctype(LAUGHS)), "DOCTYPE"),
    "utf-7": refused(part("xl/a.xml", '<?xml version="1.0" encoding="UTF-7"?><a/>'), "rare encoding"),
    "utf-32": refused(part("xl/a.xml", XML.encode("utf-32")), "rare encoding"),
    "100,000 deep in a sheet": refused(
        sheet(sheet_xml(f"{'<x>' * DEEP}{'</x>' * DEEP}{ROWS}")), "not written as a spreadsheet writes it"
    ),
    "100,000 deep in the workbook": refused(
        part("xl/workbook.xml", PARTS["xl/workbook.xml"].replace(b"<definedNames>", b"<x>" * DEEP + b"</x>" * DEEP
                                                                 + b"<definedNames>")),
        "not written as a spreadsheet writes it",
    ),
    "100,000 deep in the styles": refused(
        part("xl/styles.xml", "<a>" * DEEP + "</a>" * DEEP), "not written as a spreadsheet writes it"
    ),
    "100,000 deep in a part that nobody reads": read(part("xl/charts/c.xml", "<a>" * DEEP + "</a>" * DEEP)),
    "attribute of 4 MB": read(sheet(XML.replace('<row r="1">', f'<row r="1" x="{"a" * 2**22}">'))),
    "one attribute again and again": refused(book(row(1, f"<c{ADDRESSES} s='<'><f>1</f></c>")), "cannot be read"),
    "spaces without end": refused(book(row(1, f'<c r="A1"><f>1</f>{" " * 2_000_000}<x/></c>')), "unknown form"),
    "texts that are not closed": refused(
        book("".join(f'<c r="A{i}"><f>1</f><is>' for i in range(1, 5_000))), "cannot be read"
    ),
    "rows that are not closed": refused(
        book("".join(f'<row r="{i}">' for i in range(1, 5_000)) + formula("A1", "1")), "cannot be read"
    ),
    "extensions that are not closed": refused(
        book(row(1, FORMULA) + "<extLst>" * 20_000), "cannot be read"
    ),
    "not closed": refused(sheet(XML.removesuffix("</worksheet>")), "cannot be read"),
    "cells without end": refused(sheet(XML.partition("</sheetData>")[0]), "cannot be read"),
    "workbook not closed": refused(part("xl/workbook.xml", "<workbook"), "xl/workbook.xml cannot be read"),
    "bad utf-8": refused(
        sheet(sheet_xml(row(1, '<c r="A1" t="str"><v>\xff</v></c>', FORMULA)).encode("latin-1")), "cannot be read"
    ),
    "control character": refused(
        sheet(XML.replace("<v>3</v>", "<v>3\x01</v>")), "cannot be read"
    ),
    "entity of no character": refused(book(row(1, formula("B1", "LEN(&quot;&#x110000;&quot;)"))), "cannot be read"),
    "one attribute twice": refused(sheet(XML.replace('r="A1"', 'r="A1" r="C1"')), "duplicate attribute"),
    "something behind the end": refused(sheet(f"{XML}<x/>"), "junk after document element"),
    "number in references to its digits": read(
        book(row(1, '<c r="A1"><v>&#51;</v></c>', formula("B1", "A1*2"))),
    ),
    "value of no known kind": refused(
        book(row(1, '<c r="A1" t="z"><v>3</v></c>', FORMULA)), "A1 says that it holds a value of the kind 'z'"
    ),
    "word for a number": refused(
        book(row(1, '<c r="A1" t="n"><v>three</v></c>', FORMULA)), "A1 is to hold a number and holds 'three'"
    ),
    "word for an error": refused(
        book(row(1, '<c r="A1" t="e"><v>oh</v></c>', FORMULA)), "A1 is to hold an error value and holds 'oh'"
    ),
    "a million links in each other": refused(
        part("xl/_rels/workbook.xml.rels", f"<a>{'<b>' * 600_000}{'</b>' * 600_000}</a>"), "more than 1,000,000 tags"
    ),
    "workbook with 100,000 attributes": refused(
        part("xl/workbook.xml", PARTS["xl/workbook.xml"].replace(
            b"<sheets>", b"<x%s/><sheets>" % b"".join(b' a%d="1"' % i for i in range(100_000)))),
        "a tag of more than 64 KiB",
    ),
    "_x000D_": read(
        book(row(1, '<c r="A1" t="str"><v>a_x000D_b</v></c>', formula("B1", "LEN(A1)", "0"))), {"B1": 3.0}
    ),
    "_x000D_ in a shared text": read(
        texts("<si><t>a_x000D_b</t></si>", row(1, '<c r="A1" t="s"><v>0</v></c>', formula("B1", "LEN(A1)"))),
        {"B1": 3.0},
    ),
    "_x005F_x000D_": read(
        texts("<si><t>_x005F_x000D_</t></si>", row(1, '<c r="A1" t="s"><v>0</v></c>', formula("B1", "A1"))),
        {"B1": "_x000D_"},
    ),
    "raw text": refused(book(row(1, '<c r="A1" t="str"><v><![CDATA[x]]></v></c>', FORMULA)), "raw text (CDATA)"),
    "remark in a value": refused(book(row(1, '<c r="A1"><v><!-- x -->3</v></c>', FORMULA)), "remarks"),
    "remark outside the cells": read(sheet(XML.replace("<sheetData>", "<!-- remark --><sheetData>"))),
    "row without number": read(book(f"<row>{number('A1', 3)}{FORMULA}</row>")),
    "cells without address": read(
        book({"S": row(1, formula("B1", "T!A1*2")), "T": "<row><c><v>3</v></c><c><v>4</v></c></row>"})
    ),
    "formula without address": refused(book("<row><c><f>1+1</f></c></row>"), "without an address"),
    "cells out of order": read(book(row(1, FORMULA, number("A1", 3)))),
    "rows out of order": read(book(row(9, number("A9", 1)) + row(1, number("A1", 3), FORMULA))),
    "formula twice": refused(book(row(1, FORMULA, FORMULA)), "B1 stands there twice"),
    "value twice": refused(book(row(1, number("A1", 3), number("A1", 4), FORMULA)), "A1 stands there twice"),
    "value twice where no formula stands": refused(
        book({"S": row(1, formula("B1", "T!A1*2")), "T": row(1, number("A1", 3), number("A1", 4))}),
        "A1 stands there twice",
    ),
    "row 1,048,577": refused(book(row(1_048_577, formula("A1048577", "1"))), "outside the rows and columns"),
    "column 16,385": refused(book(row(1, formula("XFE1", "1"))), "outside the rows and columns"),
    "row 0": refused(book(row(0, formula("A0", "1"))), "outside the rows and columns"),
    "value in row 1,048,577": refused(book(ROWS + row(1_048_577, number("A1048577", 1))), "not written as"),
    "shared formula without its first": read(
        book(row(1, number("A1", 3), formula("B1", "", "7", attributes=' t="shared" si="4"'))), {"B1": 7.0}
    ),
    "shared formulas": read(
        book(row(1, number("A1", 3), formula("B1", "A1*2", attributes=SHARED))
             + row(2, number("A2", 4), formula("B2", "", attributes=' t="shared" si="0"'))),
        {"B1": 6.0, "B2": 8.0},
    ),
    "array formula": read(
        book(row(1, number("A1", 3), formula("B1", "A1:A2*2", attributes=' t="array" ref="B1:B2"'))
             + row(2, number("A2", 4), number("B2", 0))),
        {"B1": 6.0, "B2": 8.0},
    ),
    "array over a million cells": refused(
        book(row(1, formula("A1", "1", attributes=' t="array" ref="A1:Z99999"'))), "covers too many cells"
    ),
    "array over no area": refused(
        book(row(1, formula("A1", "1", attributes=' t="array" ref="A1:"'))), "not a cell or an area"
    ),
    "array that begins elsewhere": refused(
        book(row(1, formula("A1", "1", attributes=' t="array" ref="B1:B2"'))), "A1 says that it fills B1:B2"
    ),
    "array behind a sign that ends no tag": refused(
        book(row(1, formula("A1", "1", attributes=' t="array" aca=">" ref="B1:B2"'))), "A1 says that it fills B1:B2"
    ),
    "arrays over a million cells together": refused(
        book(row(1, *(formula(ref[:2], "1", attributes=f' t="array" ref="{ref}"') for ref in ("A1:A9", "B1:B999995")))),
        "up to that over B1:B999995 cover too many cells",
    ),
    "array over a cell of no known form": refused(
        book(row(1, formula("A1", "B1:B2*2", attributes=' t="array" ref="A1:A2"')) + row(2, '<c r="A2">&#65;</c>')),
        "the cell A2 is in an unknown form",
    ),
    "arrays over each other": refused(
        book(row(1, formula("A1", "1", attributes=' t="array" ref="A1:A2"'))
             + row(2, formula("A2", "1", attributes=' t="array" ref="A2:A3"'))),
        "fills cells that another one fills",
    ),
    "data table": read(
        book(row(1, number("A1", 3), formula("B1", "", "9", attributes=' t="dataTable" ref="B1" r1="A1"'))),
        {"B1": 9.0},
    ),
    "error value": read(
        book(row(1, '<c r="A1" t="e"><v>#N/A</v></c>', formula("B1", "IFERROR(A1,6)"))),
    ),
    "error value that no file has": read(
        book(row(1, '<c r="A1" t="e"><v>#SPILL!</v></c>', formula("B1", "IFERROR(A1,6)"))),
    ),
    "date value": read(
        book(row(1, '<c r="A1" t="d"><v>2024-03-01</v></c>', formula("B1", "YEAR(A1)"))), {"B1": 2024.0}
    ),
    "inline text": read(
        book(row(1, '<c r="A1" t="inlineStr"><is><t>six</t></is></c>', formula("B1", "LEN(A1)"))), {"B1": 3.0}
    ),
    "rich text": read(
        texts("<si><r><rPr><b/></rPr><t>two</t></r><r><t xml:space='preserve'> parts</t></r></si>",
              row(1, '<c r="A1" t="s"><v>0</v></c>', formula("B1", "LEN(A1)"))),
        {"B1": 9.0},
    ),
    "reading aid": read(
        texts("<si><t>abc</t><rPh sb='0' eb='1'><t>xx</t></rPh></si>",
              row(1, '<c r="A1" t="s"><v>0</v></c>', formula("B1", "LEN(A1)", "0"))),
        {"B1": 3.0},
    ),
    "text that is not there": refused(
        texts("<si><t>a</t></si>", row(1, '<c r="A1" t="s"><v>7</v></c>', formula("B1", "LEN(A1)"))),
        "the cell A1 shows the shared text number 7, and there are 1",
    ),
    **{
        f"text number {number}": refused(
            texts("<si><t>a</t></si>", row(1, f'<c r="A1" t="s"><v>{number}</v></c>', formula("B1", "LEN(A1)"))),
            "A1 points at a shared text by something that is no number",
        )
        for number in ("-1", "0.5", "1e3", "a", "9" * 400)
    },
    "cached text that is not there": read(
        texts("<si><t>a</t></si>", row(1, '<c r="B1" t="s"><f>2*3</f><v>-1</v></c>')),
    ),
    "texts not closed": refused(
        texts("<si><t>a</t>", row(1, '<c r="A1" t="s"><v>0</v></c>', formula("B1", '"a"', "0", "s"))), "cannot be"
    ),
    "prefix in a sheet": refused(sheet(PREFIXED), "with a prefix"),
    "prefix in the workbook": read(part("xl/workbook.xml", PREFIXED_BOOK)),
    "sheet in utf-16": refused(sheet(XML.replace("UTF-8", "UTF-16").encode("utf-16")), "rare encoding"),
    "sheet in latin-1": refused(
        sheet(XML.replace("UTF-8", "ISO-8859-1").encode("latin-1")), "in the encoding ISO-8859-1 instead of UTF-8"
    ),
    "workbook in utf-16": read(
        part("xl/workbook.xml", PARTS["xl/workbook.xml"].decode().replace("UTF-8", "UTF-16").encode("utf-16"))
    ),
    "part in utf-16 that nobody reads": read(part("customXml/item1.xml", "<a>ü</a>".encode("utf-16"))),
    "byte order mark": read(sheet(XML.encode("utf-8-sig"))),
    "apostrophes round attributes": read(sheet(XML.replace('r="A1"', "r='A1'").replace('r="B1"', "r='B1'"))),
    "spaces round the sign": refused(sheet(XML.replace('r="B1"', 'r = "B1"')), "blanks around the ="),
    "a space behind the sign of a type": refused(
        sheet(sheet_xml(row(1, number("A1", 3), FORMULA.replace('r="B1"', 'r="B1" t= "n"')))), "blanks around the ="
    ),
    "no cells at all": read(sheet(f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData/></worksheet>'), {}),
    "no list of cells": refused(sheet(f'{HEAD}<worksheet xmlns="{MAIN}"/>'), "not written as"),
    "sheet that is no XML": refused(sheet(b"\x01\x02\x03"), "cannot be read"),
    "empty sheet part": refused(sheet(b""), "cannot be read"),
}  # fmt: skip
