import io
import random
import struct
import zipfile
from pathlib import Path

import pytest

from xlcalc.core.errors import FileError, FileRefused
from xlcalc.workbook import archive
from xlcalc.workbook.package import DefinedName, Package, Sheet, Table

from .books import LINKS, MAIN, OFFICE, SHEET, book, contents, number, packed, parts, rich_parts, row, sheet_xml

ROWS = row(1, number("A1", 1))
EDIT = {SHEET: sheet_xml(row(1, number("A1", 2))).encode()}


def saved(folder: Path, data: bytes, name: str = "book.xlsx") -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def test_reads_sheets_names_tables_and_texts(tmp_path: Path) -> None:
    made = parts(
        {"Lines": ROWS, "Old data": ""},
        names='<definedName name="TaxRate">Lines!$A$1</definedName>'
        '<definedName name="Own" localSheetId="1" hidden="1">Lines!$A$1</definedName>',
        properties='<workbookPr date1904="1"/>',
        links=f'<Relationship Id="s" Type="{OFFICE}/sharedStrings" Target="/xl/sharedStrings.xml"/>',
        states={"Old data": "veryHidden"},
    )
    made["xl/sharedStrings.xml"] = (
        f'<sst xmlns="{MAIN}"><si><t>one</t></si><si><r><t>t</t></r><r><t xml:space="preserve">wo </t></r>'
        "<rPh><t>no</t></rPh></si></sst>"
    ).encode()
    made["xl/tables/t.xml"] = f'<table xmlns="{MAIN}" name="x" displayName="Prices" ref="A1:B9"/>'.encode()
    made["xl/worksheets/_rels/sheet1.xml.rels"] = (
        f'<Relationships xmlns="{LINKS}"><Relationship Id="a" Type="{OFFICE}/table" Target="../tables/t.xml"/>'
        f'<Relationship Id="b" Type="{OFFICE}/hyperlink" Target="http://a/b" TargetMode="External"/></Relationships>'
    ).encode()
    package = Package.open(saved(tmp_path, packed(made)))
    assert package.sheets() == [
        Sheet("Lines", SHEET, "visible", "worksheet"),
        Sheet("Old data", "xl/worksheets/sheet2.xml", "veryHidden", "worksheet"),
    ]
    assert package.defined_names() == [
        DefinedName("TaxRate", None, "Lines!$A$1", False),
        DefinedName("Own", "Old data", "Lines!$A$1", True),
    ]
    assert package.tables() == [Table("Prices", "Lines", "A1:B9")]
    assert package.shared_strings() == ("one", "two ")
    assert package.date1904 is True
    assert package.names == tuple(made)
    assert package.read(SHEET) == made[SHEET]


def with_part(name: str, content: bytes) -> bytes:
    return packed(parts({"S": ROWS}) | {name: content})


def without_part(name: str) -> bytes:
    return packed({part: data for part, data in parts({"S": ROWS}).items() if part != name})


def renamed(old: bytes, new: bytes) -> bytes:
    """A file in which a part has another name of the same length, in both places."""
    return with_part(old.decode(), b"<a/>").replace(old, new)


def patched(signature: bytes, offset: int, value: bytes, name: bytes = SHEET.encode()) -> bytes:
    """A file in which some bytes of one header are others."""
    data = bytearray(book(ROWS))
    place = data.find(signature)
    head = {b"PK\x01\x02": 46, b"PK\x03\x04": 30}[signature]
    while data[place + head : place + head + len(name)] != name:
        place = data.find(signature, place + 1)
    data[place + offset : place + offset + len(value)] = value
    return bytes(data)


def twice() -> bytes:
    out = io.BytesIO(book(ROWS))
    with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(out, "a") as container:
        container.writestr(SHEET, b"<a/>")
    return out.getvalue()


def crowded() -> bytes:
    made = parts({"S": ROWS}) | {f"x/{i}": b"" for i in range(archive.ENTRY_LIMIT)}
    return packed(made)


def lying_bomb() -> bytes:
    """A part of 4 MB that says it is 100 bytes long."""
    data = bytearray(with_part("xl/bomb.xml", b"<a>" + b" " * 4_000_000 + b"</a>"))
    for signature, offset, head in ((b"PK\x01\x02", 24, 46), (b"PK\x03\x04", 22, 30)):
        place = data.find(signature)
        while data[place + head : place + head + 11] != b"xl/bomb.xml":
            place = data.find(signature, place + 1)
        data[place + offset : place + offset + 4] = struct.pack("<L", 100)
    return bytes(data)


DOCTYPE = '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
WHOLE = book(ROWS)
REFUSED = {
    "empty": (b"", "is empty"),
    "one byte": (b"P", "is not a workbook"),
    "csv": (b"Line;Bore\nA;12,5\n", "CSV"),
    "web page": (b"  <HTML><table>", "web page"),
    "xml of 2003": (b'<?xml version="1.0"?><W xmlns="urn:schemas-microsoft-com:office:spreadsheet"/>', "2003"),
    "old kind": (OLE, "old kind (.xls)"),
    "password": (OLE + "EncryptedPackage".encode("utf-16-le"), "password"),
    "pdf": (b"%PDF-1.7 ...", "is a PDF"),
    "binary workbook": (
        packed({"[Content_Types].xml": b"<Types/>", "xl/workbook.bin": b""}),
        "binary workbook (.xlsb)",
    ),
    "open document": (
        packed({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<a/>"}),
        "OpenDocument",
    ),
    "text document": (book(ROWS, content_type="application/vnd.wordprocessingml.document.main+xml"), "text document"),
    "workbook in a zip": (packed({"book.xlsx": WHOLE}), "Unpack it first"),
    "no content types": (without_part("[Content_Types].xml"), "[Content_Types].xml is missing"),
    "no root links": (without_part("_rels/.rels"), "_rels/.rels is missing"),
    "no workbook": (without_part("xl/workbook.xml"), "xl/workbook.xml is missing"),
    "sheet without name": (book({"": ROWS}), "the sheet '' is missing"),
    "no sheet": (without_part(SHEET), "the sheet 'S' is missing"),
    "strict": (
        packed(
            parts({"S": ROWS})
            | {
                "_rels/.rels": f'<Relationships xmlns="{LINKS}"><Relationship Id="r" Target="xl/workbook.xml" Type='
                '"http://purl.oclc.org/ooxml/officeDocument/relationships/officeDocument"/></Relationships>'.encode()
            }
        ),
        "Strict Open XML",
    ),
    "climbs": (renamed(b"abc/x.xml", b"../../x.x"), "name no spreadsheet writes"),
    "absolute": (renamed(b"abc/x.xml", b"/bc/x.xml"), "name no spreadsheet writes"),
    "drive": (renamed(b"abc/x.xml", b"c:c/x.xml"), "name no spreadsheet writes"),
    "backslash": (renamed(b"abc/x.xml", b"abc\\x.xml"), "name no spreadsheet writes"),
    "nul": (renamed(b"abc/x.xml", b"ab\0/x.xml"), "name no spreadsheet writes"),
    "case twin": (with_part("XL/worksheets/Sheet1.xml", b"<a/>"), "two parts called"),
    "link": (patched(b"PK\x01\x02", 38, struct.pack("<L", 0o120777 << 16)), "link to another file"),
    "encrypted part": (patched(b"PK\x01\x02", 8, b"\x01\x00"), "password"),
    "odd packing": (patched(b"PK\x01\x02", 10, b"\x0c\x00"), "packed in a way"),
    "two names": (patched(b"PK\x03\x04", 30, b"xl/w0rksheets"), "two different names"),
    "bad checksum": (patched(b"PK\x01\x02", 16, b"\0\0\0\0"), "checksum"),
    "too large a part": (
        patched(b"PK\x01\x02", 24, struct.pack("<L", archive.PART_LIMIT + 1)),
        "unpacks to more than this program reads",
    ),
    "lying bomb": (lying_bomb(), "not as long as it says"),
    "doctype": (with_part("xl/a.xml", DOCTYPE.encode()), "DOCTYPE"),
    "doctype in utf-16": (with_part("xl/a.xml", DOCTYPE.encode("utf-16")), "DOCTYPE"),
    "doctype in utf-16 without mark": (with_part("xl/a.xml", DOCTYPE.encode("utf-16-be")), "DOCTYPE"),
    "rare encoding": (with_part("xl/a.xml", b'<?xml version="1.0" encoding="UTF-7"?><a/>'), "rare"),
    "not xml": (packed(parts({"S": ROWS}) | {"xl/workbook.xml": b"<workbook"}), "cannot be read"),
    **{f"cut at {tenth * 10} %": (WHOLE[: len(WHOLE) * tenth // 10], "cut off") for tenth in range(1, 10)},
}


@pytest.mark.parametrize("case", REFUSED)
def test_refuses_in_words(case: str, tmp_path: Path) -> None:
    data, words = REFUSED[case]
    path = saved(tmp_path, data)
    with pytest.raises(FileRefused) as refusal:
        Package.open(path)
    assert words in str(refusal.value)
    assert str(refusal.value).startswith("book.xlsx")
    assert path.read_bytes() == data


def test_refuses_doubles_and_crowds() -> None:
    for data, words in ((twice(), "two parts called"), (crowded(), "more than 10,000 parts")):
        with pytest.raises(FileRefused, match=words):
            Package.from_bytes(data, "book.xlsx")


def test_reads_data_descriptors_zip64_comments_and_trailing_bytes(tmp_path: Path) -> None:
    class Pipe(io.BytesIO):
        def seekable(self) -> bool:
            return False

    out = Pipe()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as container:  # sizes follow the data
        for name, data in parts({"S": ROWS}).items():
            with container.open(zipfile.ZipInfo(name, (2024, 1, 1, 0, 0, 0)), "w", force_zip64=True) as part:
                part.write(data)
        container.comment = b"a remark"
    package = Package.from_bytes(out.getvalue(), tmp_path / "new.xlsx")
    assert contents(package.edited(EDIT)) == parts({"S": ROWS}) | EDIT
    Package.from_bytes(WHOLE + bytes(20), "book.xlsx")


def test_a_damaged_file_is_refused_or_read_but_nothing_else() -> None:
    chance = random.Random(20240301)
    source = packed(rich_parts(ROWS))
    refused = 0
    for _ in range(1500):
        data = bytearray(source)
        for _ in range(chance.choice([1, 1, 3])):
            place = chance.randrange(len(data))
            data[place : place + chance.choice([0, 1, 4])] = chance.randbytes(chance.choice([0, 1, 4]))
        try:
            package = Package.from_bytes(bytes(data), "book.xlsm")
        except FileRefused:
            refused += 1
        else:
            contents(package.edited({package.sheets()[0].part: b"<a/>"}))
    assert refused > 1000


@pytest.mark.parametrize(
    ("path", "words"), [("none.xlsx", "There is no file"), ("", "is a folder"), ("x" * 300, "cannot be read")]
)
def test_says_why_a_path_cannot_be_read(path: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(FileError, match=words):
        Package.open(tmp_path / path)
