"""What a workbook carries beside its cells and must carry on, byte for byte; a signature, which no change survives."""

from collections.abc import Mapping

from ..books import HEAD, LINKS, MAIN, OFFICE, SHEET, formula, number, packed, parts, row, sheet_xml
from .case import Case, read, refused

MACRO = "application/vnd.ms-excel.sheet.macroEnabled.main+xml"
EXTENDED = "http://schemas.microsoft.com/office/spreadsheetml/2009/9/main"
ROWS = row(1, number("A1", 3), formula("B1", "A1*2", "1"))
EVERY_BYTE = bytes(range(256)) * 8


def carrying(
    more: Mapping[str, str | bytes], after: str = "", rows: str = ROWS, kind: str = "", book: str = "", **options: str
) -> bytes:
    """A workbook with further parts, which its sheet points at, and with XML behind its cells."""
    made = parts({"S": rows}, **options)
    made[SHEET] = sheet_xml(rows, after).encode()
    links = "".join(
        f'<Relationship Id="x{i}" Type="{OFFICE}/{kind or "drawing"}" Target="/{name}"/>'
        for i, name in enumerate(more, 1)
    )
    made["xl/worksheets/_rels/sheet1.xml.rels"] = f'<Relationships xmlns="{LINKS}">{links}</Relationships>'.encode()
    made |= {name: content.encode() if isinstance(content, str) else content for name, content in more.items()}
    made["xl/workbook.xml"] = made["xl/workbook.xml"].replace(b"<sheets>", f"{book}<sheets>".encode())
    return packed(made)


def xml(name: str, inside: str = "", space: str = MAIN) -> str:
    return f'{HEAD}<{name} xmlns="{space}">{inside}</{name}>'


SPARKLINES = (
    f'<extLst><ext xmlns:x14="{EXTENDED}" uri="{{05C60535-1F16-4fd2-B633-F4F36F0B64E0}}"><x14:sparklineGroups>'
    '<x14:sparklineGroup><x14:sparklines><x14:sparkline><xm:f xmlns:xm="urn:xm">S!A1:A9</xm:f></x14:sparkline>'
    "</x14:sparklines></x14:sparklineGroup></x14:sparklineGroups></ext></extLst>"
)
FORMATS = (
    '<conditionalFormatting sqref="A1:A9"><cfRule type="expression" priority="1"><formula>A1&gt;2</formula></cfRule>'
    "</conditionalFormatting>"
)
VALIDATION = (
    '<dataValidations count="1"><dataValidation type="list" sqref="A1"><formula1>"3,4"</formula1></dataValidation>'
    "</dataValidations>"
)
UNKNOWN = '<extLst><ext uri="{1}"><u:u xmlns:u="urn:u"/></ext></extLst>'
DECORATED = (
    '<c r="B1" s="3" cm="1" vm="2" ph="1"><f ca="1">A1*2</f><v>1</v><extLst><ext uri="{x}"><a xmlns="urn:a">B</a></ext>'
    "</extLst></c>"
)
CARRIED: dict[str, Case] = {
    "charts": read(carrying({"xl/drawings/drawing1.xml": xml("wsDr"), "xl/charts/chart1.xml": xml("chartSpace"),
                             "xl/charts/style1.xml": xml("chartStyle")}, '<drawing r:id="x1" xmlns:r="urn:r"/>')),
    "pictures": read(carrying({"xl/media/image1.png": EVERY_BYTE, "xl/media/image2.jpeg": EVERY_BYTE[::-1],
                               "xl/media/image3.emf": b""})),
    "macros": read(carrying({"xl/vbaProject.bin": EVERY_BYTE, "xl/vbaProjectSignature.bin": b"\0\1"},
                            content_type=MACRO), suffix=".xlsm"),
    "old macro sheet": read(carrying({"xl/macrosheets/sheet1.xml": xml("macrosheet", "<f>EXEC(\"calc\")</f>")})),
    "remarks": read(carrying({"xl/comments1.xml": xml("comments", "<authors/>"),
                              "xl/drawings/vmlDrawing1.vml": '<xml xmlns:v="urn:v"><v:shape/></xml>'})),
    "threaded remarks": read(carrying({"xl/threadedComments/threadedComment1.xml": xml("ThreadedComments"),
                                       "xl/persons/person.xml": xml("personList")})),
    "sparklines": read(carrying({}, SPARKLINES)),
    "slicers": read(carrying({"xl/slicers/slicer1.xml": xml("slicers"),
                              "xl/slicerCaches/slicerCache1.xml": xml("slicerCacheDefinition")})),
    "timelines": read(carrying({"xl/timelines/timeline1.xml": xml("timelines")})),
    "pivot table": read(carrying({"xl/pivotTables/pivotTable1.xml": xml("pivotTableDefinition"),
                                  "xl/pivotCache/pivotCacheDefinition1.xml": xml("pivotCacheDefinition"),
                                  "xl/pivotCache/pivotCacheRecords1.xml": xml("pivotCacheRecords", "<r/>" * 999)})),
    "conditional formats": read(carrying({}, FORMATS)),
    "lists to choose from": read(carrying({}, VALIDATION)),
    "custom XML": read(carrying({"customXml/item1.xml": "<note>ü</note>".encode("utf-16"),
                                 "customXml/itemProps1.xml": xml("datastoreItem")})),
    "signature": refused(carrying({"_xmlsignatures/sig1.xml": xml("Signature")}), "digital signature"),
    "signature and nothing to change": read(
        carrying({"_xmlsignatures/sig1.xml": xml("Signature")}, rows=ROWS.replace("<v>1</v>", "<v>6</v>"))
    ),
    "links to other books": read(carrying(
        {"xl/externalLinks/externalLink1.xml": xml("externalLink"),
         "xl/externalLinks/_rels/externalLink1.xml.rels": xml(
             "Relationships", f'<Relationship Id="a" Type="{OFFICE}/externalLinkPath" Target="file:///C:/b.xlsx" '
             'TargetMode="External"/>', LINKS)})),
    "protected sheet": read(carrying({}, '<sheetProtection sheet="1" password="CC1A" objects="1"/>')),
    "protected structure": read(carrying({}, book='<workbookProtection lockStructure="1" workbookPassword="CC1A"/>')),
    "recommended to be read only": read(carrying({}, book='<fileSharing readOnlyRecommended="1" userName="ü"/>')),
    "printer settings": read(carrying({"xl/printerSettings/printerSettings1.bin": EVERY_BYTE})),
    "diagrams": read(carrying({"xl/diagrams/data1.xml": xml("dataModel"), "xl/diagrams/layout1.xml": xml("l")})),
    "form controls": read(carrying({"xl/ctrlProps/ctrlProp1.xml": xml("formControlPr")})),
    "embedded objects": read(carrying({"xl/embeddings/oleObject1.bin": EVERY_BYTE, "xl/activeX/activeX1.bin": b"\0"})),
    "web extension": read(carrying({"xl/webextensions/webextension1.xml": xml("webextension"),
                                    "xl/webextensions/taskpanes.xml": xml("taskpanes")})),
    "connections and queries": read(carrying({"xl/connections.xml": xml("connections"), "xl/queryTables/q1.xml":
                                              xml("queryTable"), "customXml/item9.xml": xml("DataMashup", "AAAA")})),
    "data model": read(carrying({"xl/model/item.data": EVERY_BYTE})),
    "rich values": read(carrying({"xl/metadata.xml": xml("metadata"), "xl/richData/rdrichvalue.xml": xml("rvData")})),
    "order of calculation": read(carrying({"xl/calcChain.xml": xml("calcChain", '<c r="B1" i="1"/>')})),
    "unknown part": read(carrying({"xl/unknown.dat": EVERY_BYTE, "unknown/é.bin": b"\xff"})),
    "unknown extension of the sheet": read(carrying({}, UNKNOWN)),
    "decorated cell": read(carrying({}, rows=row(1, number("A1", 3), DECORATED))),
    "merged, hidden, grouped": read(carrying(
        {}, '<mergeCells count="1"><mergeCell ref="A3:C3"/></mergeCells>',
        rows=f'{ROWS}<row r="2" hidden="1" outlineLevel="1" collapsed="1"><c r="A2" s="4"/></row>')),
    "thumbnail and properties": read(carrying({"docProps/thumbnail.jpeg": EVERY_BYTE, "docProps/app.xml":
                                               xml("Properties", "<Application>Any</Application>")})),
}  # fmt: skip
