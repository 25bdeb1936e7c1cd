"""The add-in as a file: built from the empty one in xlwings' wheel with our own VBA, and read back.

The empty add-in is the container because its VBA project holds source text only, so nothing compiled by another
program goes stale and Excel compiles what it finds. Its own VBA, cells and settings are taken out.
"""

import io
import re
import tempfile
import zipfile
import zlib
from pathlib import Path
from typing import NamedTuple

from xlcalc.core.errors import FileError, FileRefused
from xlcalc.hosts.excel.launcher import OPENING
from xlcalc.hosts.excel.vba import MODULE, unquoted
from xlcalc.workbook.template import CALCULATION_ENGINE

BOOK, SHEET, STRINGS, ABOUT = "xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "docProps/core.xml"
TEXT = ".bas"  # ending of a file that holds the text alone
UNREADABLE = (KeyError, ValueError, zipfile.BadZipFile, zlib.error, NotImplementedError)  # no add-in, or a damaged one
_EMPTIED = {  # part of the container: what is replaced in it, each exactly once
    BOOK: (
        (r"<calcPr [^>]*/>", f'<calcPr calcId="{CALCULATION_ENGINE}"/>'),
        (r"<mc:AlternateContent .*?</mc:AlternateContent>", ""),
        (r'<sheet name="[^"]*"', '<sheet name="xlcalc"'),
    ),
    SHEET: ((r"<sheetData>.*</sheetData>", "<sheetData/>"), (r'<dimension ref="[^"]*"', '<dimension ref="A1"')),
    STRINGS: ((r' count="\d+" uniqueCount="\d+">.*</sst>', ' count="0" uniqueCount="0"></sst>'),),
    ABOUT: (
        (r"<dc:title ?/>", "<dc:title>xlcalc</dc:title>"),
        (r"<dc:creator>[^<]*<", "<dc:creator>xlcalc<"),
        (r"<cp:lastModifiedBy>[^<]*<", "<cp:lastModifiedBy>xlcalc<"),
    ),
}
_CONSTANT = r"^Private Const {} As String = (.+?)\r?$"
_FUNCTION = r"^Private Function {}\(\) As String\s+{} = (.+?)\r?$"
_LIBRARY = re.compile(r"^\s+Library = (.+?)\r?$", re.M)


class Built(NamedTuple):
    """What an add-in says of itself: version and fingerprint of its text, and what it is tied to."""

    stamp: str
    command: str
    libraries: tuple[str, ...]

    @property
    def python(self) -> str:
        """The interpreter in its command."""
        found = re.match(r'"([^"]+)"', self.command)
        return found[1] if found else ""


def build(container: bytes, text: str) -> bytes:
    """The add-in: the container of xlwings with our text in place of its own.

    Raises FileRefused where the container is not the one that this was written for.
    """
    from pyopenvba import ExcelFile  # noqa: PLC0415  (only when an add-in is built or read)
    from pyopenvba.vba import VBAModuleKind  # noqa: PLC0415

    with tempfile.TemporaryDirectory(prefix="xlcalc-") as folder:
        work = Path(folder) / "work.xlam"
        work.write_bytes(emptied(container))
        with ExcelFile(work) as book:
            project = book.vba_project()
            for module in list(project.modules):
                if module.kind is VBAModuleKind.standard or not _of_a_sheet(module.source):
                    project.delete_module(module.name)
            project.add_module(MODULE, text.replace("\n", "\r\n"))
            opening = book.get_module("ThisWorkbook").rstrip("\r\n")
            book.set_module("ThisWorkbook", opening + "\r\n" + OPENING.replace("\n", "\r\n"))
            book.save(work)
        return work.read_bytes()


def _of_a_sheet(source: str) -> bool:
    """True for the module that belongs to the book or a sheet, which must stay."""
    return "Attribute VB_PredeclaredId = True" in source


def emptied(container: bytes) -> bytes:
    """The container without its cells, its settings and what it says of its maker."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(container)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            content = old.read(part)
            for pattern, value in _EMPTIED.get(part.filename, ()):
                text, count = re.subn(pattern, value, content.decode(), flags=re.DOTALL)
                if count != 1:
                    raise FileRefused(
                        f"The empty add-in of this xlwings is another one than expected ({part.filename}). "
                        "Install the xlwings that xlcalc names: pip install --force-reinstall xlcalc."
                    )
                content = text.encode()
            new.writestr(part, content)
    return out.getvalue()


def read(path: Path) -> Built | None:
    """What an add-in of ours, or its text in a file, says of itself; None where the file is another program's.

    Raises FileError where the file cannot be read.
    """
    from pyopenvba import ExcelFile  # noqa: PLC0415
    from pyopenvba.exceptions import PyOpenVBAError  # noqa: PLC0415

    try:
        if path.suffix.lower() == TEXT:
            return said(path.read_text(encoding="ascii", errors="replace"))
        with ExcelFile(path) as book:
            text = book.get_module(MODULE)
    except (*UNREADABLE, PyOpenVBAError):
        return None
    except OSError as fault:
        raise FileError(f"{path} cannot be read: {fault.strerror or fault}.") from fault
    return said(text)


def said(text: str) -> Built | None:
    """What the text of our module says; None where it is not ours."""
    stamp = re.search(_CONSTANT.format("STAMP"), text, re.M)
    command = re.search(_FUNCTION.format("StartCommand", "StartCommand"), text, re.M)
    if not stamp or not command:
        return None
    return Built(unquoted(stamp[1]), unquoted(command[1]), tuple(map(unquoted, _LIBRARY.findall(text))))
