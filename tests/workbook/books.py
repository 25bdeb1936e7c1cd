"""Small workbook files made by hand, part by part, so that a test sees every byte."""

import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/package/2006/relationships"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
STYLES = (
    "<fonts><font/></fonts><fills><fill><patternFill/></fill></fills><borders><border/></borders><cellStyleXfs><xf/></cellStyleXfs>"
    + f"<cellXfs>{8 * '<xf/>'}</cellXfs>"
    + '<cellStyles><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles>'
)
STAMP = (2024, 3, 1, 7, 30, 10)


def sheet_xml(rows: str, after: str = "") -> str:
    """A worksheet part round its rows."""
    return f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData>{after}</worksheet>'


def parts(
    sheets: Mapping[str, str],
    *,
    names: str = "",
    properties: str = "",
    calculation: str = "",
    links: str = "",
    content_type: str = SHEET_TYPE,
    states: Mapping[str, str] | None = None,
) -> dict[str, bytes]:
    """The parts of a workbook: sheet name to the XML between its `sheetData` tags."""
    numbered = list(enumerate(sheets, 1))
    state = {name: f' state="{value}"' for name, value in (states or {}).items()}
    tabs = "".join(f'<sheet name="{name}" sheetId="{i}"{state.get(name, "")} r:id="rId{i}"/>' for i, name in numbered)
    targets = "".join(
        f'<Relationship Id="rId{i}" Type="{OFFICE}/worksheet" Target="worksheets/sheet{i}.xml"/>' for i, _ in numbered
    )
    targets += f'<Relationship Id="styles" Type="{OFFICE}/styles" Target="styles.xml"/>'
    root = f'<Relationship Id="rId1" Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
    workbook = f"{properties}<sheets>{tabs}</sheets><definedNames>{names}</definedNames>{calculation}"
    made = {
        "[Content_Types].xml": f'{HEAD}<Types xmlns="{TYPES}"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{content_type}"/></Types>',
        "_rels/.rels": f'{HEAD}<Relationships xmlns="{LINKS}">{root}</Relationships>',
        "xl/workbook.xml": f'{HEAD}<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}">{workbook}</workbook>',
        "xl/_rels/workbook.xml.rels": f'{HEAD}<Relationships xmlns="{LINKS}">{targets}{links}</Relationships>',
        "xl/styles.xml": f'{HEAD}<styleSheet xmlns="{MAIN}">{STYLES}</styleSheet>',
    }
    made |= {f"xl/worksheets/sheet{i}.xml": sheet_xml(sheets[name]) for i, name in numbered}
    return {name: content.encode() for name, content in made.items()}


def packed(content: Mapping[str, bytes], store: str = ".png") -> bytes:
    """Parts as a file, in their order; those whose names end in `store` are not compressed."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as container:
        for name, data in content.items():
            info = zipfile.ZipInfo(name, STAMP)
            info.external_attr = 0o600 << 16
            container.writestr(info, data, zipfile.ZIP_STORED if name.endswith(store) else zipfile.ZIP_DEFLATED)
    return out.getvalue()


def book(rows: str | Mapping[str, str] = "", **options: str) -> bytes:
    """A workbook file with one sheet `S`, or with the sheets given."""
    sheets = {"S": rows} if isinstance(rows, str) else rows
    return packed(parts(sheets, **options))  # type: ignore[arg-type]


def row(number: int, *cells: str) -> str:
    """A row of cells."""
    return f'<row r="{number}">{"".join(cells)}</row>'


def number(ref: str, value: float) -> str:
    """A cell with a typed number."""
    return f'<c r="{ref}"><v>{value}</v></c>'


def text(ref: str, value: str) -> str:
    """A cell with a typed text."""
    return f'<c r="{ref}" t="inlineStr"><is><t>{value}</t></is></c>'


def formula(ref: str, written: str, value: str = "", kind: str = "", attributes: str = "") -> str:
    """A cell with a formula, its cached value and its type."""
    cached = f"<v>{value}</v>" if value else ""
    typed = f' t="{kind}"' if kind else ""
    inside = f"<f{attributes}>{written}</f>" if written else f"<f{attributes}/>"
    return f'<c r="{ref}"{typed}>{inside}{cached}</c>'


def contents(data: bytes) -> dict[str, bytes]:
    """Every part of a file, unpacked by the standard library."""
    with zipfile.ZipFile(io.BytesIO(data)) as container:
        return {name: container.read(name) for name in container.namelist()}


SHEET = "xl/worksheets/sheet1.xml"
ROWS = row(1, number("A1", 1))
EDIT = {SHEET: sheet_xml(row(1, number("A1", 2))).encode()}
"""One cell, and the same sheet with another number in it."""


def saved(folder: Path, data: bytes, name: str = "book.xlsx") -> Path:
    """A file with this content."""
    path = folder / name
    path.write_bytes(data)
    return path


def rich_parts(rows: str) -> dict[str, bytes]:
    """A workbook with macros, a chart, a comment, a picture and a part that nobody knows."""
    made = parts({"S": rows}, content_type="application/vnd.ms-excel.sheet.macroEnabled.main+xml")
    return {
        "xl/media/image1.png": b"\x89PNG\r\n" + bytes(range(256)) * 9,
        **made,
        "xl/vbaProject.bin": bytes(range(255, -1, -1)) * 40,
        "xl/charts/chart1.xml": f'{HEAD}<c:chartSpace xmlns:c="urn:c"/>'.encode(),
        "xl/comments1.xml": f'{HEAD}<comments xmlns="{MAIN}"><authors/></comments>'.encode(),
        "xl/drawings/vmlDrawing1.vml": b'<xml xmlns:v="urn:v"><v:shape/></xml>',
        "customXml/item1.xml": "<note>ü</note>".encode("utf-16"),
        "xl/unknown.dat": b"",
    }


STARTUP = "http://schemas.microsoft.com/office/2006/relationships/xlExternalLinkPath/xlStartup"
ANYWHERE = f"{OFFICE}/externalLinkPath"
LINK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.externalLink+xml"


def linked_parts(rows: str, *targets: tuple[str, str], **options: str) -> dict[str, bytes]:
    """A workbook as Excel stores one that calls functions of add-ins: `[1]` is the first target, a kind and a path."""
    numbered = list(enumerate(targets, 1))
    links = "".join(
        f'<Relationship Id="link{i}" Type="{OFFICE}/externalLink" Target="externalLinks/externalLink{i}.xml"/>'
        for i, _ in numbered
    )
    made = parts({"S": rows}, links=links, **options)  # type: ignore[arg-type]
    listed = "".join(f'<externalReference r:id="link{i}"/>' for i, _ in numbered)
    made["xl/workbook.xml"] = made["xl/workbook.xml"].replace(
        b"<definedNames>", f"<externalReferences>{listed}</externalReferences><definedNames>".encode()
    )
    types = "".join(
        f'<Override PartName="/xl/externalLinks/externalLink{i}.xml" ContentType="{LINK_TYPE}"/>' for i, _ in numbered
    )
    made["[Content_Types].xml"] = made["[Content_Types].xml"].replace(b"</Types>", f"{types}</Types>".encode())
    for i, (kind, target) in numbered:
        names = '<sheetNames><sheetName val="Sheet1"/></sheetNames><definedNames><definedName name="F"/></definedNames>'
        inside = f'<externalBook xmlns:r="{OFFICE}" r:id="rId1">{names}</externalBook>'
        made[f"xl/externalLinks/externalLink{i}.xml"] = (
            f'{HEAD}<externalLink xmlns="{MAIN}">{inside}</externalLink>'.encode()
        )
        link = f'<Relationship Id="rId1" Type="{kind}" Target="{target}" TargetMode="External"/>'
        made[f"xl/externalLinks/_rels/externalLink{i}.xml.rels"] = (
            f'{HEAD}<Relationships xmlns="{LINKS}">{link}</Relationships>'.encode()
        )
    return made
