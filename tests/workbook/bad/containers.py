"""The container: files of other kinds, cut off, patched, crowded, swollen, and odd ones that are right."""

import io
import struct
import warnings
import zipfile
import zlib
from collections.abc import Callable, Mapping

from ..books import HEAD, LINKS, MAIN, OFFICE, SHEET, book, formula, number, packed, parts, row
from .case import Case, read, refused

ROWS = row(1, number("A1", 3), formula("B1", "A1*2", "1"))
WHOLE = book(ROWS)
PARTS = parts({"S": ROWS})
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
LIST, LOCAL = b"PK\x01\x02", b"PK\x03\x04"  # an entry of the list of parts, and what stands before its bytes
MIB = 2**20
HEAD_OF = {LIST: 46, LOCAL: 30}
STRICT = "http://purl.oclc.org/ooxml/officeDocument/relationships"


def with_parts(more: Mapping[str, bytes]) -> bytes:
    return packed(PARTS | dict(more))


def without(name: str) -> bytes:
    return packed({part: data for part, data in PARTS.items() if part != name})


def renamed(name: str) -> bytes:
    """A file with a further part of a name that no ZIP writer would take."""
    stand_in = "z" * len(name.encode())
    return with_parts({stand_in: b"<a/>"}).replace(stand_in.encode(), name.encode())


def patched(signature: bytes, offset: int, value: bytes, name: str = SHEET, data: bytes = WHOLE) -> bytes:
    """A file in which some bytes of one header are others."""
    changed, head = bytearray(data), HEAD_OF[signature]
    place = changed.find(signature)
    while changed[place + head : place + head + len(name)] != name.encode():
        place = changed.find(signature, place + 1)
    changed[place + offset : place + offset + len(value)] = value
    return bytes(changed)


def stating(name: str, size: int, data: bytes) -> bytes:
    """A part that says of itself that it is `size` bytes long."""
    listed = patched(LIST, 24, struct.pack("<L", size), name, data)
    return patched(LOCAL, 22, struct.pack("<L", size), name, listed)


def swollen(name: str, size: int, told: int | None = None) -> Callable[[], bytes]:
    """A part of very many spaces; `told` is the size that it states, if not its own.

    Packed pieces are put behind each other, for packing so much takes longer than refusing it.
    """

    def made() -> bytes:
        pack = zlib.compressobj(9, zlib.DEFLATED, -15)
        piece = pack.compress(b" " * MIB) + pack.flush(zlib.Z_FULL_FLUSH)
        data = packed({"first": b"", **PARTS, name: piece * (size // MIB) + pack.flush()}, store=name)
        packing = struct.pack("<H", zipfile.ZIP_DEFLATED)
        data = patched(LOCAL, 8, packing, name, patched(LIST, 10, packing, name, data))
        return stating(name, size if told is None else told, data)

    return made


def twice() -> bytes:
    out = io.BytesIO(WHOLE)
    with warnings.catch_warnings(), zipfile.ZipFile(out, "a") as container:
        warnings.simplefilter("ignore")
        container.writestr(SHEET, PARTS[SHEET].replace(b"<v>3</v>", b"<v>4</v>"))
    return out.getvalue()


class Pipe(io.BytesIO):
    """A stream that cannot be gone back in, so that sizes follow the data."""

    def seekable(self) -> bool:
        return False


def streamed() -> bytes:
    """Data descriptors and sizes of 64 bits, as a program writes them that streams."""
    out = Pipe()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as container:
        for name, data in PARTS.items():
            with container.open(zipfile.ZipInfo(name, (2024, 1, 1, 0, 0, 0)), "w", force_zip64=True) as part:
                part.write(data)
    return out.getvalue()


def remarked() -> bytes:
    out = io.BytesIO(WHOLE)
    with zipfile.ZipFile(out, "a") as container:
        container.comment = b"saved in the workshop"
    return out.getvalue()


def overlapping() -> bytes:
    """Two entries of the list that lead to the same bytes."""
    data = with_parts({"xl/worksheets/sheet2.xml": PARTS[SHEET]})
    place = data.find(b"xl/worksheets/sheet1.xml") - HEAD_OF[LOCAL]
    return patched(LIST, 42, struct.pack("<L", place), "xl/worksheets/sheet2.xml", data)


def pictures() -> bytes:
    """Real pictures pack badly; one of a single colour packs a thousand times: neither is refused for it."""
    return with_parts({"xl/media/image1.bmp": b"BM" + bytes(8_000_000), "xl/media/image2.png": bytes(range(256)) * 40})


def replaced(name: str, old: bytes, new: bytes) -> bytes:
    assert old in PARTS[name]
    return packed(PARTS | {name: PARTS[name].replace(old, new)})


CONTAINERS: dict[str, Case] = {
    "empty": refused(b"", "is empty (0 bytes)"),
    "one byte": refused(b"P", "is not a workbook"),
    "only zeros": refused(bytes(5000), "is not a workbook"),
    **{f"cut at {tenth * 10} %": refused(WHOLE[: len(WHOLE) * tenth // 10], "cut off") for tenth in range(1, 10)},
    "last byte missing": refused(WHOLE[:-1], "cut off"),
    "begins later": refused(b"\n" + WHOLE, "is not a workbook"),
    "csv": refused(b"Line;Bore\nA;12,5\n", "text table (CSV)", ".csv"),
    "csv with mark": refused(b"\xef\xbb\xbfLine,Bore\nA,12\n", "text table (CSV)"),
    "csv in utf-16": refused("Line\tBore\nA\t12\n".encode("utf-16"), "text table (CSV)"),
    "web page": refused(b"  <HTML><table>", "web page"),
    "old kind": refused(OLE, "old kind (.xls)", ".xls"),
    "xml of 2003": refused(b'<?xml version="1.0"?><W xmlns="urn:schemas-microsoft-com:office:spreadsheet"/>', "2003"),
    "binary workbook": refused(
        packed({"[Content_Types].xml": b"<Types/>", "xl/workbook.bin": b""}), "binary workbook (.xlsb)", ".xlsb"
    ),
    "open document": refused(
        packed({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<a/>"}),
        "OpenDocument", ".ods",
    ),
    "pdf": refused(b"%PDF-1.7 ...", "is a PDF", ".pdf"),
    "picture": refused(b"\xff\xd8\xff\xe0\0\x10JFIF\0", "a picture, not a workbook"),
    "gzip": refused(b"\x1f\x8b\x08\0", "gzip archive"),
    "password": refused(OLE + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
    "text document": refused(
        book(ROWS, content_type="application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"),
        "text document",
    ),
    "add-in": refused(book(ROWS, content_type="application/vnd.ms-excel.addin.macroEnabled.main+xml"), "an add-in"),
    "workbook in a zip": refused(packed({"book.xlsx": WHOLE}), "Unpack it first"),
    "any zip": refused(packed({"a.txt": b"x"}), "ZIP archive, not a workbook"),
    "no content types": refused(without("[Content_Types].xml"), "[Content_Types].xml is missing"),
    "no root links": refused(without("_rels/.rels"), "_rels/.rels is missing"),
    "no workbook": refused(without("xl/workbook.xml"), "xl/workbook.xml is missing"),
    "sheet without a name": refused(book({"": ROWS}), "the sheet '' is missing"),
    "no links of the workbook": refused(without("xl/_rels/workbook.xml.rels"), "the sheet 'S' is missing"),
    "no sheet": refused(without(SHEET), "the sheet 'S' is missing"),
    "no styles": refused(without("xl/styles.xml"), "the part xl/styles.xml is missing"),
    "wrong content type": refused(book(ROWS, content_type="text/plain"),
                                  "names no workbook. If the workbook is inside, unpack it first."),
    "sheet that is no sheet": refused(replaced("xl/_rels/workbook.xml.rels", b"/worksheet\"", b"/image\""), "no sheet"),
    "strict": refused(
        packed(PARTS | {"_rels/.rels": f'<Relationships xmlns="{LINKS}"><Relationship Id="r" Target="xl/workbook.xml"'
                        f' Type="{STRICT}/officeDocument"/></Relationships>'.encode()}),
        "Strict Open XML",
    ),
    "two sheets of one name": refused(book({"S": ROWS, "s": ROWS}), "the sheet 's' stands there twice"),
    "two sheets in one part": refused(
        packed(parts({"S": ROWS, "T": ROWS}) | {"xl/_rels/workbook.xml.rels": parts({"S": "", "T": ""})[
            "xl/_rels/workbook.xml.rels"].replace(b"sheet2", b"sheet1")}),
        "stands there twice",
    ),
    "part twice": refused(twice, "two parts called"),
    "part twice but for case": refused(with_parts({"XL/worksheets/Sheet1.xml": b"<a/>"}), "two parts called"),
    "climbs": refused(renamed("../../x.xml"), "name no spreadsheet writes"),
    "climbs inside": refused(renamed("xl/../../x.xml"), "name no spreadsheet writes"),
    "absolute": refused(renamed("/etc/passwd"), "name no spreadsheet writes"),
    "drive": refused(renamed("c:/x.xml"), "name no spreadsheet writes"),
    "backslash": refused(renamed("xl\\x.xml"), "name no spreadsheet writes"),
    "zero in a name": refused(renamed("xl/x\0.xml"), "name no spreadsheet writes"),
    "device name": read(with_parts({"xl/media/CON.png": b"x", "xl/media/nul": b""})),  # nothing is ever unpacked
    "link to another file": refused(patched(LIST, 38, struct.pack("<L", 0o120777 << 16)), "link to another file"),
    "encrypted part": refused(patched(LIST, 8, b"\x01\x00"), "password"),
    "strongly encrypted part": refused(patched(LIST, 8, b"\x40\x00"), "password"),
    "patch for another part": refused(patched(LIST, 8, b"\x20\x00"), "packed in a way"),
    "odd packing": refused(patched(LIST, 10, b"\x0c\x00"), "packed in a way"),
    "two names for one part": refused(patched(LOCAL, 30, b"xl/w0rksheets"), "two different names"),
    "two parts in one place": refused(overlapping, "two different names"),
    "overlapping parts": refused(patched(LIST, 20, struct.pack("<L", 1_000), "xl/workbook.xml"), "the parts overlap"),
    "version that nobody knows": refused(patched(LIST, 6, b"\x67\0"), "the list of its parts cannot be read"),
    "bad checksum": refused(patched(LIST, 16, b"\0\0\0\0"), "checksum does not fit"),
    "bad checksum of a picture": refused(
        patched(LIST, 16, b"\0\0\0\0", "xl/media/a.png", with_parts({"xl/media/a.png": b"abc"})), "checksum"
    ),
    "two versions for one part": read(patched(LOCAL, 4, b"\x67\0")),
    "encrypted by one word of two": refused(patched(LOCAL, 6, b"\x01\0"), "does not fit together"),
    "broken packing": refused(
        WHOLE.replace(WHOLE[WHOLE.find(b"sheet1.xml") + 40 : WHOLE.find(b"sheet1.xml") + 60], b"\xff" * 20, 1),
        "damaged",
    ),
    "nested zip": read(with_parts({"xl/embeddings/book.xlsx": WHOLE})),
    "sizes of 64 bits, sizes behind the data": read(streamed),
    "trailing bytes": read(WHOLE + bytes(20)),
    "comment": read(remarked),
    "folders among the parts": read(with_parts({"xl/": b"", "docProps/": b""})),
    "links with a leading slash": read(
        replaced("xl/_rels/workbook.xml.rels", b'"worksheets/sheet1.xml"', b'"/xl/worksheets/sheet1.xml"')
    ),
    "links in another case": read(replaced("xl/_rels/workbook.xml.rels", b"worksheets/sheet1", b"WorkSheets/Sheet1")),
    "macros": read(book(ROWS, content_type="application/vnd.ms-excel.sheet.macroEnabled.main+xml"), suffix=".xlsm"),
    "template": read(book(
        ROWS, content_type="application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml"
    ), suffix=".xltx"),
    "10,001 parts": refused(lambda: with_parts({f"x/{i}": b"" for i in range(10_001)}), "more than 10,000 parts"),
    "bomb in a sheet": refused(swollen(SHEET, 400 * MIB), "unpacks to more than"),
    "bomb in the texts": refused(
        lambda: stating("xl/sharedStrings.xml", 300 * MIB, with_parts({"xl/sharedStrings.xml": b"<sst/>"})),
        "unpacks to more than",
    ),
    "bomb in a picture": refused(swollen("xl/media/a.bmp", 300 * MIB), "unpacks to more than"),
    "bomb under the limit in a sheet": refused(swollen(SHEET, 200 * MIB), "MiB of cells and texts"),
    "bomb under the limit in the styles": refused(swollen("xl/styles.xml", 200 * MIB), "MiB of cells and texts"),
    "bomb under the limit in the names": refused(
        swollen("xl/workbook.xml", 40 * MIB), "xl/workbook.xml unpacks to more than 32 MiB"
    ),
    "bomb that lies about its size": refused(swollen(SHEET, 100 * MIB, told=100), "not as long as it says"),
    "bomb in the list of types": refused(swollen("[Content_Types].xml", 40 * MIB), "unpacks to more than 32 MiB"),
    "part shorter than it says": refused(stating(SHEET, 100_000, WHOLE), "not as long as it says"),
    "pictures that pack well and badly": read(pictures),
    "no sheets at all": refused(
        replaced("xl/workbook.xml", b'<sheet name="S" sheetId="1" r:id="rId1"/>', b""), "no sheet"
    ),
    "sheet part with another ending": refused(
        packed({(name if name != SHEET else "xl/worksheets/sheet1.dat"): data.replace(b"sheet1.xml", b"sheet1.dat")
                for name, data in PARTS.items()}),
        "name no spreadsheet writes",
    ),
    "empty texts": read(with_parts({"xl/sharedStrings.xml": f'{HEAD}<sst xmlns="{MAIN}"/>'.encode()})),
    "link out of the file": read(with_parts({"xl/worksheets/_rels/sheet1.xml.rels": (
        f'<Relationships xmlns="{LINKS}"><Relationship Id="a" Type="{OFFICE}/hyperlink" Target="file:///etc/passwd"'
        ' TargetMode="External"/></Relationships>'
    ).encode()})),
}  # fmt: skip
