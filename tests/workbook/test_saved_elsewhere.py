"""Workbooks as other programs save them: one list of lines, written by a library and saved again by an office.

`saved/xlsxwriter.xlsx` holds a remark, a data bar, a sparkline, a list to choose from, a chart, a table, a protected
sheet and formulas without their values; `saved/libreoffice.xlsx` is the same book, opened and saved by an office.
"""

import io
from pathlib import Path

import openpyxl
import pytest

from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.file.package import Package

from .books import contents

FOLDER = Path(__file__).parent / "saved"
LINES = {
    **{f"C{i + 1}": 3.0 * i for i in range(1, 6)},
    **{f"D{i + 1}": f"PS-{i} ü <&> {1.5 * i:.1f}" for i in range(1, 6)},
    **{f"E{i + 1}": True if i > 2 else "#N/A" for i in range(1, 6)},
    "B8": 22.5, "C9": 3.0, "C10": 6.0,
}  # fmt: skip
PARTS = ("sheet", "chart", "drawing", "comment", "table")


def by_openpyxl() -> bytes:
    """The same lines saved by a third program, which writes no values at all."""
    book = openpyxl.load_workbook(FOLDER / "libreoffice.xlsx")
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


@pytest.mark.filterwarnings("ignore:.*extension is not supported")  # openpyxl drops what is kept here
@pytest.mark.parametrize("program", ["xlsxwriter", "libreoffice", "openpyxl"])
def test_worked_out_and_everything_else_kept(program: str, tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    data = by_openpyxl() if program == "openpyxl" else (FOLDER / f"{program}.xlsx").read_bytes()
    path.write_bytes(data)
    report = recalc(path)
    found = openpyxl.load_workbook(path, data_only=True)["Lines"]
    assert {ref: found[ref].value for ref in LINES} == LINES
    assert report.values["Table"] == {"D1": 45.0}
    assert (report.frozen, report.kept) == ([], [])
    before, after = contents(data), contents(path.read_bytes())
    sheets = {sheet.part for sheet in Package.open(path).worksheets()}
    assert {part for part in before if before[part] != after[part]} <= sheets
    assert list(before) == list(after)
    assert [kind for kind in PARTS if not any(kind in part for part in before)] == [], "the file must hold these"
    whole = path.read_bytes()
    assert recalc(path).written is False
    assert path.read_bytes() == whole
