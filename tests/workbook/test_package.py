import errno
import io
import os
import random
import struct
import tempfile
import zipfile
from pathlib import Path

import pytest

from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.workbook import archive
from xlcalc.workbook.package import DefinedName, Package, Sheet, Table

from .books import HEAD, LINKS, MAIN, OFFICE, book, contents, number, packed, parts, row, sheet_xml

SHEET = "xl/worksheets/sheet1.xml"
ROWS = row(1, number("A1", 1))
EDIT = {SHEET: sheet_xml(row(1, number("A1", 2))).encode()}


def saved(folder: Path, data: bytes, name: str = "book.xlsx") -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def rich_parts() -> dict[str, bytes]:
    """A workbook with macros, a chart, a comment, a picture and a part that nobody knows."""
    macro = "application/vnd.ms-excel.sheet.macroEnabled.main+xml"
    made = parts({"S": ROWS}, content_type=macro)
    order = ["xl/media/image1.png", "xl/vbaProject.bin"]
    return {
        order[0]: b"\x89PNG\r\n" + bytes(range(256)) * 9,
        **made,
        order[1]: bytes(range(255, -1, -1)) * 40,
        "xl/charts/chart1.xml": f'{HEAD}<c:chartSpace xmlns:c="urn:c"/>'.encode(),
        "xl/comments1.xml": f'{HEAD}<comments xmlns="{MAIN}"><authors/></comments>'.encode(),
        "xl/drawings/vmlDrawing1.vml": b'<xml xmlns:v="urn:v"><v:shape/></xml>',
        "customXml/item1.xml": "\ufeff<note>ü</note>".encode("utf-16"),
        "xl/unknown.dat": b"",
    }


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
    source = packed(rich_parts())
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


def test_saving_keeps_every_other_part_byte_for_byte(tmp_path: Path) -> None:
    data = packed(rich_parts())
    path = saved(tmp_path, data, "book.xlsm")
    path.chmod(0o640)
    assert Package.open(path).save(EDIT) is True
    assert contents(path.read_bytes()) == rich_parts() | EDIT
    assert path.stat().st_mode & 0o777 == 0o640
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(path) as new:
        assert new.testzip() is None
        for before, after in zip(old.infolist(), new.infolist(), strict=True):
            assert before.filename == after.filename
            assert before.date_time == after.date_time
            assert before.compress_type == after.compress_type
            assert before.external_attr == after.external_attr
            if before.filename != SHEET:
                assert raw(data, before) == raw(path.read_bytes(), after)


def raw(data: bytes, info: zipfile.ZipInfo) -> bytes:
    """The compressed bytes of a part, found by the local header."""
    name, extra = struct.unpack_from("<HH", data, info.header_offset + 26)
    start = info.header_offset + 30 + name + extra
    return data[start : start + info.compress_size]


def test_writes_nothing_when_nothing_changed(tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    os.utime(path, (1, 1))
    package = Package.open(path)
    assert package.save({SHEET: package.read(SHEET)}) is False
    assert package.save({}, to=path) is False
    assert path.stat().st_mtime == 1
    assert package.save({}, to=tmp_path / "copy.xlsx") is True
    assert (tmp_path / "copy.xlsx").read_bytes() == WHOLE


def test_writes_through_a_link_and_refuses_a_write_protected_file(tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE, "real.xlsx")
    link = tmp_path / "link.xlsx"
    link.symlink_to(path)
    assert Package.open(link).save(EDIT)
    assert link.is_symlink()
    assert contents(path.read_bytes())[SHEET] == EDIT[SHEET]
    path.chmod(0o444)
    with pytest.raises(FileError, match="write-protected"):
        Package.open(path).save({SHEET: b"<a/>"})


def test_refuses_to_break_a_signature(tmp_path: Path) -> None:
    data = with_part("_xmlsignatures/sig1.xml", b"<a/>")
    path = saved(tmp_path, data)
    with pytest.raises(FileRefused, match="digital signature"):
        Package.open(path).save(EDIT, to=tmp_path / "copy.xlsx")
    assert list(tmp_path.iterdir()) == [path]
    assert path.read_bytes() == data


def test_refuses_when_somebody_changed_the_file_meanwhile(tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    package = Package.open(path)
    stat = path.stat()
    other = bytearray(WHOLE)
    other[-1] ^= 1  # same length, same time: only the bytes tell
    path.write_bytes(other)
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    with pytest.raises(FileBusy, match="changed by someone else"):
        package.save(EDIT)
    path.unlink()
    with pytest.raises(FileBusy, match="changed by someone else"):
        package.save(EDIT)
    assert list(tmp_path.iterdir()) == []


def excel_lock(name: str) -> bytes:
    """165 bytes: the name in one byte a letter from place 1, and in UTF-16 from 57."""
    short = bytes([len(name)]) + name.encode("cp1252", "replace").ljust(54)
    return short + struct.pack("<H", len(name)) + name.encode("utf-16-le").ljust(108, b" ")


@pytest.mark.parametrize(
    ("lock", "content", "who"),
    [
        ("~$book.xlsx", excel_lock("Ana Ünal"), "Ana Ünal since 20"),
        ("~$book.xlsx", b"\x03Ana", "Ana since 20"),
        ("~$book.xlsx", b"", "somebody since 20"),
        (".~lock.book.xlsx#", b",ana,office-pc,01.03.2024 07:30,file:///x;", "ana on office-pc since 20"),
        (".~lock.book.xlsx#", b"Ana\\, B,ana,office-pc,01.03.2024 07:30,x;", "Ana, B on office-pc since 20"),
    ],
)
def test_says_who_has_the_file_open(lock: str, content: bytes, who: str, tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    (tmp_path / lock).write_bytes(content)
    with pytest.raises(FileBusy) as busy:
        Package.open(path).save(EDIT)
    assert who in str(busy.value)
    assert lock in str(busy.value)
    assert "--to copy.xlsx" in str(busy.value)
    assert path.read_bytes() == WHOLE
    assert Package.open(path).save(EDIT, to=tmp_path / "copy.xlsx") is True
    assert (tmp_path / lock).exists()


class Failing:
    """Stands in for a call of the system that fails."""

    def __init__(self, fault: BaseException) -> None:
        self.fault = fault

    def __call__(self, *given: object, **named: object) -> None:
        raise self.fault


def failing_write(fault: BaseException) -> object:
    """Stands in for `os.fdopen`: the file it opens writes half and then fails."""
    real = os.fdopen

    def opened(handle: int, mode: str) -> io.BufferedWriter:
        file = real(handle, mode)

        class Half(io.BufferedWriter):
            def write(self, data: object) -> int:
                super().write(bytes(data)[: len(bytes(data)) // 2])  # type: ignore[call-overload]
                raise fault

        half = Half(file.detach())
        return half

    return opened


NUMBERS = [errno.ENOSPC, errno.EIO, errno.EACCES, errno.EROFS, errno.EDQUOT]
FAULTS = [*(OSError(number, os.strerror(number)) for number in NUMBERS), KeyboardInterrupt()]


@pytest.mark.parametrize("fault", FAULTS, ids=repr)
@pytest.mark.parametrize("call", ["mkstemp", "write", "fsync", "replace"])
@pytest.mark.parametrize("to", [None, "other.xlsx"])
def test_a_fault_while_writing_leaves_everything_as_it_was(
    call: str, fault: BaseException, to: str | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(tmp_path, WHOLE)
    target = tmp_path / to if to else path
    package = Package.open(path)
    with monkeypatch.context() as broken:
        if call == "mkstemp":
            broken.setattr(tempfile, "mkstemp", Failing(fault))
        elif call == "write":
            broken.setattr(os, "fdopen", failing_write(fault))
        else:
            broken.setattr(os, call, Failing(fault))
        with pytest.raises(FileError if isinstance(fault, OSError) else KeyboardInterrupt) as raised:
            package.save(EDIT, to=to and target)
    if isinstance(fault, OSError):
        safe = "book.xlsx is untouched" if to is None else "Nothing was written to other.xlsx"
        assert safe in str(raised.value)
    assert [file.name for file in tmp_path.iterdir()] == ["book.xlsx"]
    assert path.read_bytes() == WHOLE
    assert package.save(EDIT, to=to and target) is True
    assert contents(target.read_bytes())[SHEET] == EDIT[SHEET]


def test_a_fault_after_the_change_says_that_the_new_file_is_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(tmp_path, WHOLE)
    package = Package.open(path)
    real = os.fsync

    def sync(handle: int) -> None:
        if os.path.isdir(f"/proc/self/fd/{handle}"):  # noqa: PTH112
            raise OSError(errno.EIO, "fault")
        real(handle)

    monkeypatch.setattr(os, "fsync", sync)
    with pytest.raises(FileError, match="holds the new values"):
        package.save(EDIT)
    assert contents(path.read_bytes())[SHEET] == EDIT[SHEET]


@pytest.mark.parametrize("folder", ["gone/away", "a file"])
def test_says_when_the_folder_cannot_be_written(folder: str, tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    (tmp_path / "a file").write_text("x")
    with pytest.raises(FileError, match="Nothing was written"):
        Package.open(path).save(EDIT, to=tmp_path / folder / "copy.xlsx")
    with pytest.raises(FileError, match="is not a file"):
        Package.open(path).save(EDIT, to=tmp_path)
