"""Put one more sheet behind the others of a person's workbook; every other part stays as it was."""

import re
from collections.abc import Mapping, Sequence
from itertools import count

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.file.filling import with_typed_values
from xlcalc.workbook.file.package import CONTENT_TYPES, Package
from xlcalc.workbook.file.values import Value, xml_text

SHEET_TYPE = b"application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
LINK_TYPE = b"http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet"
SHEET_ID = re.compile(rb"""<sheet\s[^<>]*\bsheetId=["']([0-9]+)""")
LINK_ID = re.compile(rb"""<sheet\s[^<>]*\b(\w+):id=["']""")
LINKS = re.compile(rb"""\bId=["']rId([0-9]+)["']""")
EMPTY_SHEET = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    b'<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr><sheetViews>'
    b'<sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/>'
    b"</sheetView></sheetViews><cols>%s</cols><sheetData/>"
    b'<pageSetup orientation="landscape" fitToHeight="0"/></worksheet>'
)  # fmt: skip


def with_sheet(package: Package, name: str, widths: Sequence[int], values: Mapping[tuple[int, int], Value]) -> bytes:
    """The file with one more sheet that holds values as a person types them, by row and column.

    `widths` are those of its columns in characters. Raises FileRefused where the file's lists of sheets are in a
    form that cannot be edited.
    """
    taken = {each.casefold() for each in package.names}
    part = next(each for number in count(1) if (each := f"xl/worksheets/sheet{number}.xml") not in taken)
    links = package.links_of(package.workbook_part)
    types, main, rels = (package.read(each) for each in (CONTENT_TYPES, package.workbook_part, links))
    ids, prefix = SHEET_ID.findall(main), LINK_ID.search(main)
    if not ids or prefix is None:
        raise refused(package)
    link = b"rId%d" % (1 + max((int(each) for each in LINKS.findall(rels)), default=0))
    sheet = b'<sheet name="%s" sheetId="%d" %s:id="%s"/>' % (
        xml_text(name).replace(b'"', b"&quot;"), 1 + max(map(int, ids)), prefix[1], link)  # fmt: skip
    override = b'<Override PartName="/%s" ContentType="%s"/>' % (part.encode(), SHEET_TYPE)
    relation = b'<Relationship Id="%s" Type="%s" Target="/%s"/>' % (link, LINK_TYPE, part.encode())
    edits = {
        CONTENT_TYPES: before(types, b"</Types>", override, package),
        package.workbook_part: before(main, b"</sheets>", sheet, package),
        links: before(rels, b"</Relationships>", relation, package),
    }
    columns = b"".join(b'<col min="%d" max="%d" width="%d" customWidth="1"/>' % (place, place, width)
                       for place, width in enumerate(widths, 1))  # fmt: skip
    return package.edited(edits, {part: with_typed_values(EMPTY_SHEET % columns, values, name)})


def before(xml: bytes, end: bytes, new: bytes, package: Package) -> bytes:
    """XML with a piece put in before the one end of a list. Raises FileRefused where there is not just one."""
    if xml.count(end) != 1:
        raise refused(package)
    return xml.replace(end, new + end)


def refused(package: Package) -> FileRefused:
    """The refusal of a file whose lists of sheets are written in another way."""
    return FileRefused(
        f"{package.path.name}: no sheet can be added to it as it is written. Save it again in the spreadsheet."
    )
