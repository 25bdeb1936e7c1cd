"""`xlcalc audit`: what it prints, its page, its exit codes."""

import json
from pathlib import Path

import pytest
from audit.planted import job
from audit.test_accepted import stale

from xlcalc.hosts.cli import main


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "job.xlsx"
    path.write_bytes(stale().data)
    return path


def test_a_book_without_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    path = tmp_path / "job.xlsx"
    path.write_bytes(job().data)
    assert main(["audit", str(path)]) == 0
    assert "formulas audited, nothing found." in capsys.readouterr().out


def test_a_finding_says_where_what_why_and_how_to_mend_it(book: Path, capsys: pytest.CaptureFixture[str]):
    before = book.read_bytes()
    assert main(["audit", str(book)]) == 1
    out = capsys.readouterr().out
    for words in ("Wrong:", "Lines!AL11 (Flow number, L/min) of GB-1", "certain", "the file shows 99", "xlcalc recalc"):
        assert words in out, f"{words!r} is missing in:\n{out}"
    assert book.read_bytes() == before


def test_accepting_a_finding_by_its_code(book: Path, capsys: pytest.CaptureFixture[str]):
    main(["audit", str(book), "--json"])
    (finding,) = json.loads(capsys.readouterr().out)["findings"]
    assert main(["audit", str(book), "--accept", finding["code"]]) == 2
    assert "--reason" in capsys.readouterr().err
    assert main(["audit", str(book), "--accept", "00000000", "--reason", "x"]) == 2
    assert "no finding has the code" in capsys.readouterr().err
    assert main(["audit", str(book), "--accept", finding["code"], "--reason", "read off the gauge", "--by", "N"]) == 0
    capsys.readouterr()
    assert main(["audit", str(book), "--json"]) == 0
    (accepted,) = json.loads(capsys.readouterr().out)["accepted"]
    assert accepted["reason"] == "read off the gauge"


def test_the_page_escapes_what_stands_in_the_book(book: Path, capsys: pytest.CaptureFixture[str]):
    page = book.with_name("page.html")
    assert main(["audit", str(book), "--html", str(page)]) == 1
    assert "<h1>Audit of job.xlsx</h1>" in page.read_text(encoding="utf-8")
    assert main(["audit", str(book), "--html", str(page)]) == 3
    assert "--force" in capsys.readouterr().err


def test_a_reason_without_a_finding_is_a_slip(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["audit", str(tmp_path / "absent.xlsx"), "--reason", "agreed"]) == 2
    assert "give its code after --accept" in capsys.readouterr().err


def test_a_page_must_be_called_one(book: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["audit", str(book), "--html", "page.xlsx"]) == 2
    assert "ends in .html" in capsys.readouterr().err


def test_only_what_is_new_since_an_older_copy(book: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["audit", str(book), "--since", str(book)]) == 0
    assert "0 new findings, 0 gone, 1 as before" in capsys.readouterr().out


def test_a_locked_book_takes_no_accepted_finding(book: Path, capsys: pytest.CaptureFixture[str]):
    book.with_name(".~lock.job.xlsx#").write_text(",N. N.,desk,02.03.2026 08:00,file:///profile;")
    assert main(["audit", str(book), "--accept", "00000000", "--reason", "x"]) == 3
    assert "N. N." in capsys.readouterr().err
