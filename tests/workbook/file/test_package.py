"""A workbook opened: its sheets, names, tables and texts, in every form that a container may have."""

import zipfile
from pathlib import Path

import pytest

from xlcalc.core.errors import FileError
from xlcalc.workbook.file.package import DefinedName, Package, Sheet, Table

from ..bad.containers import Pipe
from ..books import EDIT, LINKS, MAIN, OFFICE, ROWS, SHEET, book, contents, packed, parts, saved


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


def test_reads_data_descriptors_zip64_comments_and_trailing_bytes(tmp_path: Path) -> None:
    out = Pipe()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as container:  # sizes follow the data
        for name, data in parts({"S": ROWS}).items():
            with container.open(zipfile.ZipInfo(name, (2024, 1, 1, 0, 0, 0)), "w", force_zip64=True) as part:
                part.write(data)
        container.comment = b"a remark"
    package = Package.from_bytes(out.getvalue(), tmp_path / "new.xlsx")
    assert contents(package.edited(EDIT)) == parts({"S": ROWS}) | EDIT
    Package.from_bytes(book(ROWS) + bytes(20), "book.xlsx")


@pytest.mark.parametrize(
    ("path", "words"), [("none.xlsx", "There is no file"), ("", "is a folder"), ("x" * 300, "cannot be read")]
)
def test_says_why_a_path_cannot_be_read(path: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(FileError, match=words):
        Package.open(tmp_path / path)
