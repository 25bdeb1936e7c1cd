"""The built add-in, read back by another library: our text and nothing else, no compiled code, nobody's name."""

import io
import re
import warnings
import zipfile
from pathlib import Path

import olefile
import pytest

from xlcalc.core.errors import FileRefused
from xlcalc.hosts.excel import addin
from xlcalc.hosts.excel.machine import Machine

from .made import START, built, text


def parts() -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(built()))


def project() -> olefile.OleFileIO:
    return olefile.OleFileIO(io.BytesIO(parts().read("xl/vbaProject.bin")))


def modules(of: bytes) -> dict[str, str]:
    """The modules of an add-in as oletools reads them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its parser's own library deprecates what it uses
        from oletools.olevba import VBA_Parser  # noqa: PLC0415

        parser = VBA_Parser("xlcalc.xlam", data=of)
        return {name: source for _, _, name, source in parser.extract_macros()}


def test_it_holds_our_text_and_nothing_else() -> None:
    found = modules(built())
    assert set(found) == {"ThisWorkbook.cls", "Sheet2.cls", "xlcalc_functions.bas"}
    assert found["xlcalc_functions.bas"].replace("\r\n", "\n").strip() == text().strip()
    lines = [line for line in found["ThisWorkbook.cls"].splitlines() if line and not line.startswith("Attribute")]
    assert lines == ["Private Sub Workbook_Open()", "    xlcalc_functions.Auto_Open", "End Sub"]
    assert not [line for line in found["Sheet2.cls"].splitlines() if line and not line.startswith("Attribute")]


def test_no_compiled_code_is_left() -> None:
    streams = ["/".join(entry) for entry in project().listdir()]
    modules = {"VBA/Sheet2", "VBA/ThisWorkbook", "VBA/xlcalc_functions"}
    assert set(streams) == {"PROJECT", "PROJECTwm", "VBA/_VBA_PROJECT", "VBA/dir"} | modules
    head = project().openstream("VBA/_VBA_PROJECT").read()
    assert head == b"\xcc\x61\xff\xff\x00\x00\x00"  # MS-OVBA 2.3.4.1: this version means that only source counts
    for name in ("xlcalc_functions", "ThisWorkbook"):
        assert project().openstream(f"VBA/{name}").read()[:1] == b"\x01"  # the compressed source begins at once


def test_the_project_names_its_modules() -> None:
    lines = project().openstream("PROJECT").read().decode("cp1252").splitlines()
    assert "Module=xlcalc_functions" in lines
    assert "Document=ThisWorkbook/&H00000000" in lines
    assert not [line for line in lines if line.startswith(("Package=", "Class=", "BaseClass="))]


def test_it_is_an_addin_that_is_not_worked_out_on_loading() -> None:
    book, kinds = (parts().read(part).decode() for part in ("xl/workbook.xml", "[Content_Types].xml"))
    assert "application/vnd.ms-excel.addin.macroEnabled.main+xml" in kinds
    assert re.findall(r"<calcPr[^>]*>", book) == ['<calcPr calcId="191029"/>']
    assert re.findall(r'<sheet name="([^"]*)"', book) == ["xlcalc"]
    assert parts().testzip() is None


def test_nothing_of_the_container_is_left_to_be_read_as_settings() -> None:
    everything = b"".join(parts().read(name) for name in parts().namelist() if not name.endswith(".bin"))
    for word in (b".conf", b"PYTHONPATH", b"Interpreter", b"absPath", b"Users", b"fullCalcOnLoad"):
        assert word not in everything, word
    assert b"<sheetData/>" in parts().read("xl/worksheets/sheet1.xml")
    assert re.findall(rb"<dc:creator>(.*?)<", parts().read("docProps/core.xml")) == [b"xlcalc"]


def test_it_says_what_it_is_tied_to(tmp_path: Path) -> None:
    file = tmp_path / "xlcalc.xlam"
    file.write_bytes(built())
    found = addin.read(file)
    assert found is not None
    assert re.fullmatch(r"0\.1\.0 [0-9a-f]{12}", found.stamp)
    assert found.command == START.command
    assert found.libraries == (START.library64, START.library32)
    assert found.python == "C:\\Jürgen's env\\Scripts\\pythonw.exe"
    assert found == addin.said(text())


def test_files_that_are_not_ours(tmp_path: Path) -> None:
    other = tmp_path / "other.xlam"
    for content in (Machine().container().read_bytes(), b"", b"PK\x03\x04 cut off", b"no workbook", built()[:9000]):
        other.write_bytes(content)
        assert addin.read(other) is None
    assert addin.said("Private Const STAMP As String = \"1\"") is None


def test_a_damaged_addin_is_none_of_ours(tmp_path: Path) -> None:
    damaged = tmp_path / "damaged.xlam"
    head = built().index(b"xl/vbaProject.bin") + len("xl/vbaProject.bin")
    damaged.write_bytes(built()[:head] + b"\xff" * 40 + built()[head + 40 :])  # what is packed there cannot be unpacked
    assert addin.read(damaged) is None
    method = built().rindex(b"xl/vbaProject.bin") - 46 + 10  # in the list of parts, 46 bytes stand before a name
    damaged.write_bytes(built()[:method] + b"\x63" + built()[method + 1 :])  # packed in no way that is known
    assert addin.read(damaged) is None


def test_another_container_is_refused() -> None:
    whole = Machine().container().read_bytes()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as old, zipfile.ZipFile(out, "w") as new:
        for part in old.infolist():
            content = old.read(part).replace(b"<sheetData>", b"<other>").replace(b"</sheetData>", b"</other>")
            new.writestr(part, content)
    with pytest.raises(FileRefused, match="another one than expected"):
        addin.build(out.getvalue(), text())


def test_a_planted_fault_is_seen() -> None:
    """The reader of the other library would see a text that is not ours, and compiled code that stayed."""
    assert modules(built()) != modules(addin.build(Machine().container().read_bytes(), text().replace("-E -P", "-E")))
    stock = olefile.OleFileIO(io.BytesIO(zipfile.ZipFile(Machine().container()).read("xl/vbaProject.bin")))
    assert {"VBA/xlwings", "VBA/Dictionary"} <= {"/".join(entry) for entry in stock.listdir()}
