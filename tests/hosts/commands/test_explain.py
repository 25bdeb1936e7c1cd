"""`xlcalc explain`: how a cell got its value."""

import json
from pathlib import Path

import openpyxl
import pytest

from xlcalc.hosts.output import clean
from xlcalc.workbook.calculation.recalc import Progress, Report, compute
from xlcalc.workbook.file.package import Package

from ..running import said

KNOWN: dict[bytes, Report] = {}


@pytest.fixture(autouse=True)
def _worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A book is worked out once, however often the command asks about it."""

    def asked(package: Package, progress: Progress | None = None) -> Report:
        if package.data not in KNOWN:
            KNOWN[package.data] = compute(package, progress=progress)
        return KNOWN[package.data]

    monkeypatch.setattr("xlcalc.workbook.explained.explain.compute", asked)


def test_explain_shows_a_date_as_a_date_and_knows_every_table_of_a_sheet(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said(capsys, "demo")
    out = said(capsys, "explain", "2601-B.xlsx", "JobDate")[1]
    assert "(Date), named JobDate: 2 Mar 2026\nIt was typed in, not worked out: a date.\n" in out
    book = openpyxl.load_workbook("2601-B.xlsx", data_only=True)["Breathers"]
    row = next(row for row in range(1, 80) if book.cell(row, 1).value == "engine catch tank")
    out = said(capsys, "explain", "2601-B.xlsx", f"Breathers!B{row}")[1]
    assert out.startswith(f"Breathers!B{row} (Check): Change: tank 80 mm above the port")
    assert "Reasons:\n  Breathers!" in out
    height = next(column for column in range(1, 20) if book.cell(row, column).value == 80)
    assert "(Height over port, mm): 80\n" in said(
        capsys, "explain", "2601-B.xlsx", f"Breathers!{'ABCDEFGHIJKLMNOPQRS'[height - 1]}{row}"
    )[1]


def test_explain_prints_the_lines_and_what_to_ask_next(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "demo")
    code, out, _ = said(capsys, "explain", "2601-B.xlsx", "lines!b9")
    assert code == 0
    verdict = "Change: not a suction hose; for ATF the table has oil suction or NBR fuel"
    assert out.startswith(f"Lines!B9 (Check): {verdict}\nFormula: =")
    assert out.splitlines()[-1].startswith("Next: ask about the cell behind it: xlcalc explain 2601-B.xlsx")
    data = json.loads(said(capsys, "explain", "2601-B.xlsx", "Lines!B9", "--json")[1])
    assert data["cell"] == "Lines!B9"
    assert [line["part"] for line in data["lines"]][:2] == ["cell", "formula"]
    code, out, err = said(capsys, "explain", "2601-B.xlsx", "Lins!B9")
    assert (code, out) == (2, "")
    assert "did you mean Lines" in err


def test_what_a_workbook_holds_cannot_steer_the_terminal(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert clean("a\x1b[31mb\nc\u202ed\N{NO-BREAK SPACE}°") == "a\\x1b[31mb\\nc\\u202ed\N{NO-BREAK SPACE}°"
    book = openpyxl.Workbook()
    book.active.append(["Name", "Note"])
    book.active.append(["x", "one\nNext: run this\u202e"])
    book.save("evil.xlsx")
    out = said(capsys, "explain", "evil.xlsx", "B2")[1]
    assert out.startswith("Sheet!B2 (Note): one\\nNext: run this\\u202e\n")
