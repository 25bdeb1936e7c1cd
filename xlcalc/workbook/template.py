"""Build the workbook: the empty template or the demo job, the same bytes every time."""

import io
import re
import zipfile
from collections.abc import Collection
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from openpyxl import Workbook
from openpyxl.packaging.custom import StringProperty
from openpyxl.workbook.properties import CalcProperties

from xlcalc.core.errors import FileError
from xlcalc.core.tables import fingerprint
from xlcalc.workbook import stamp
from xlcalc.workbook.building.job import FEWEST_ROWS, MOST_ROWS, ROWS, Job
from xlcalc.workbook.building.saving import saved
from xlcalc.workbook.building.style import Painter, base_font
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.file.atomic import write_whole
from xlcalc.workbook.file.interrupt import Held
from xlcalc.workbook.sheets import start
from xlcalc.workbook.sheets.contents import BASIC_SHEETS, FIGURE_SHEETS, JOB_SHEETS

CALCULATION_ENGINE = 191029  # an id that no spreadsheet in use takes for older than itself, so values stay as written
STAMP = datetime(2026, 3, 2, 8, 0)  # fixed, so that the same declarations give the same bytes
DEMO_ROWS = 20


def build(path: str | Path, demo: bool = False, rows: int | None = None) -> None:
    """Write the workbook, empty or with the demo job, with room for `rows` lines (60; the demo 20).

    Its values are not worked out yet.

    Raises FileError and FileBusy; what stood there is then untouched.
    """
    room = rows if rows is not None else DEMO_ROWS if demo else ROWS
    if not FEWEST_ROWS <= room <= MOST_ROWS:
        raise FileError(f"{room} rows: {FEWEST_ROWS} to {MOST_ROWS} are possible")
    write_whole(Path(path), content(demo_job() if demo else Job(), room))


def content(job: Job, rows: int = ROWS, only: Collection[str] | None = None) -> bytes:
    """The workbook file of a job, with room for so many lines.

    `only` names the sheets that are wanted beside Start and those that all sheets rest on; None: every sheet.
    """
    from xlcalc import __version__  # noqa: PLC0415  (the package's version, known once it is loaded)

    book = Workbook()
    book.remove(book.active)
    base_font(book)
    painter = Painter(book)
    job = replace(job, room=rows)
    said = {each.NAME: each.add(book, painter, job) for each in JOB_SHEETS if wanted(each.NAME, only)}
    for each in FIGURE_SHEETS:
        if wanted(each.NAME, only):
            each.add(book, painter, job)
    start.add(book, painter, job, said)
    painter.done()
    book.active = 0
    book["Start"].sheet_view.tabSelected = True
    book.calculation = CalcProperties(calcId=CALCULATION_ENGINE, fullCalcOnLoad=None)
    book.properties.title, book.properties.creator = "Fluid lines of one job", "xlcalc"
    book.properties.created = STAMP
    data = fingerprint()
    for name, value in ((stamp.VERSION, __version__), (stamp.DATA, data), (stamp.SEAL, stamp.seal(__version__, data))):
        book.custom_doc_props.append(StringProperty(name=name, value=value))
    with Held():  # a container that is torn apart while it is written would look like a fault of ours
        return settled(saved(book))


def wanted(sheet: str, only: Collection[str] | None) -> bool:
    """True for a sheet that is to be written."""
    return only is None or sheet in only or sheet in BASIC_SHEETS


def settled(data: bytes) -> bytes:
    """The file with fixed dates, no question about links on opening, and an application name that keeps cached text."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
        for entry in source.infolist():
            part = _settled_part(entry.filename, source.read(entry))
            if entry.filename.startswith("xl/drawings/drawing"):
                part = _described(part, source, entry.filename)
            target.writestr(
                zipfile.ZipInfo(entry.filename, STAMP.timetuple()[:6]), part, compress_type=zipfile.ZIP_DEFLATED
            )
    return out.getvalue()


def _described(drawing: bytes, source: zipfile.ZipFile, name: str) -> bytes:
    """A drawing whose charts say what they show, for who hears a workbook read: the words of their axes."""
    links = source.read(name.replace("drawings/", "drawings/_rels/") + ".rels")
    charts = re.findall(rb"/(xl/charts/chart\d+\.xml)", links)
    for place, chart in enumerate(charts, start=1):
        words = re.findall(rb"<a:t>([^<]*)</a:t>", source.read(chart.decode()))
        across, up = (axis.decode() for axis in words[:2])
        named = f'name="Chart {place}"'
        drawing = drawing.replace(named.encode(), f'{named} descr="Chart: {up} against {across}"'.encode(), 1)
    return drawing


def _settled_part(name: str, content: bytes) -> bytes:
    stamp = STAMP.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    if name == "docProps/core.xml":
        return re.sub(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*", rb"\g<1>" + stamp, content)
    if name == "docProps/app.xml":
        return re.sub(rb"<Application>[^<]*", b"<Application>Microsoft Excel", content)
    if name == "xl/workbook.xml":
        return re.sub(rb"<workbookPr\b", b'<workbookPr updateLinks="never"', content, count=1)
    return content
