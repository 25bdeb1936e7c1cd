"""`xlcalc names`: a copy with the names of the functions as another spreadsheet reads them."""

import json
from pathlib import Path

import pytest

from tests.workbook.books import SHEET, STARTUP, contents, formula, linked_parts, number, packed, row
from xlcalc.hosts.cli import main

STORED = linked_parts(
    row(1, number("A1", 30), formula("B1", "[1]!BORE_FOR_FLOW(A1,2)", "7"), formula("C1", "LINE_VELOCITY(A1,B1)", "7")),
    (STARTUP, "xlcalc.xlam"),
)


@pytest.fixture
def stored(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A workbook as Excel left it."""
    monkeypatch.chdir(tmp_path)
    Path("book.xlsx").write_bytes(packed(STORED))
    return Path("book.xlsx")


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(("names", *words))
    out = capsys.readouterr()
    return code, out.out, out.err


def formulas(path: str) -> list[str]:
    xml = contents(Path(path).read_bytes())[SHEET].decode()
    return [piece.partition("</f><v>7</v>")[0] for piece in xml.split("<f>")[1:]]


def test_a_copy_for_everyone_and_one_for_an_older_calc(stored: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = stored.read_bytes()
    code, out, _ = said(capsys, "book.xlsx", "--for", "everyone", "--to", "copy.xlsx")
    assert code == 0
    first, second, third = out.splitlines()[:3]
    assert first == "1 formula in copy.xlsx now calls our functions as NAME(...): S 1."
    assert second.startswith("book.xlsx stays as it is. ")
    assert third.startswith("The link to the add-in that Excel put into the file stays there")
    assert out.splitlines()[-1].startswith("Next: open copy.xlsx in Excel or Calc 25.2 or newer")
    assert formulas("copy.xlsx") == ["BORE_FOR_FLOW(A1,2)", "LINE_VELOCITY(A1,B1)"]
    assert {name: part for name, part in contents(Path("copy.xlsx").read_bytes()).items() if name != SHEET} == {
        name: part for name, part in STORED.items() if name != SHEET
    }
    data = json.loads(said(capsys, "copy.xlsx", "--for", "old-calc", "--to", "old.xlsx", "--json")[1])
    assert data == {"schema": 1, "command": "names", "exit_code": 0, "file": "old.xlsx", "from": "copy.xlsx",
                    "for": "old-calc", "formulas": {"S": 2}, "linked": True}  # fmt: skip
    assert formulas("old.xlsx") == ["XLCALC.BORE_FOR_FLOW(A1,2)", "XLCALC.LINE_VELOCITY(A1,B1)"]
    code, out, _ = said(capsys, "old.xlsx", "--for", "everyone", "--to", "back.xlsx")
    assert "2 formulas in back.xlsx now call our functions" in out
    assert formulas("back.xlsx") == formulas("copy.xlsx")
    assert stored.read_bytes() == before


def test_where_nothing_is_to_be_changed_the_copy_is_the_same(stored: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said(capsys, "book.xlsx", "--for", "old-calc", "--to", "old.xlsx")
    code, out, _ = said(capsys, "old.xlsx", "--for", "old-calc", "--to", "again.xlsx")
    assert code == 0
    assert out.startswith("No formula had to be changed: each calls our functions as XLCALC.NAME(...) already")
    assert "turn it back with: " in out.splitlines()[-1]
    assert Path("again.xlsx").read_bytes() == Path("old.xlsx").read_bytes()


def test_a_file_that_is_there_is_replaced_only_when_told_and_the_workbook_never(
    stored: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = stored.read_bytes()
    Path("copy.xlsx").write_bytes(b"mine")
    code, out, err = said(capsys, "book.xlsx", "--for", "everyone", "--to", "copy.xlsx")
    assert (code, out) == (3, "")
    assert "is there already and stays as it is" in err
    assert Path("copy.xlsx").read_bytes() == b"mine"
    assert said(capsys, "book.xlsx", "--for", "everyone", "--to", "copy.xlsx", "--force")[0] == 0
    assert formulas("copy.xlsx")[0] == "BORE_FOR_FLOW(A1,2)"
    code, _, err = said(capsys, "book.xlsx", "--for", "everyone", "--to", "./book.xlsx", "--force")
    assert code == 3
    assert "is the workbook itself" in err
    assert said(capsys, "none.xlsx", "--for", "everyone", "--to", "new.xlsx")[0] == 3
    assert stored.read_bytes() == before
    assert not Path("new.xlsx").exists()
