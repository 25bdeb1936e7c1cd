"""`xlcalc audit`: what it prints, its page, its exit codes."""

import json
from pathlib import Path

import pytest

from tests.workbook.audit.planted import job
from tests.workbook.audit.since.test_since import OLD, START, made, pieces
from tests.workbook.audit.test_accepted import stale
from xlcalc.hosts.cli import main
from xlcalc.hosts.commands.audit_notes import in_short
from xlcalc.workbook.audit.audit import Audit, Progress, audit
from xlcalc.workbook.audit.facts import Facts, facts
from xlcalc.workbook.audit.unfollowed import Unfollowed
from xlcalc.workbook.calculation.recalc import Stopped
from xlcalc.workbook.file.package import Package

KNOWN: dict[bytes, Audit] = {}


@pytest.fixture(autouse=True)
def _audited_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A book is audited once, however often the command asks for it: with its first progress, and where it stands."""

    def asked(package: Package, progress: Progress) -> Audit:
        found = KNOWN.get(package.data)
        if found is None:
            found = KNOWN[package.data] = audit(package, progress)
        found.book.package = package
        return found

    monkeypatch.setattr("xlcalc.hosts.commands.audit.audit", asked)


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
    for words in ("Wrong:", "Lines!AJ11 (Flow number, L/min) of GB-1", "certain", "the file shows 99", "xlcalc recalc"):
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
    said = page.read_text(encoding="utf-8")
    assert "<h1>Audit of job.xlsx</h1>" in said
    assert " formulas audited, 1 finding, 0 accepted.</p>" in said
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


@pytest.fixture
def copies(tmp_path: Path) -> tuple[str, str]:
    """A small book, and what a person made of it: a formula, a limit and a typed number were changed."""
    held = pieces() | {f"D{row}": f"=B{row}*C{row}*1.1" for row in range(2, 62)} | {"C7": 99}
    books = {"old.xlsx": OLD, "new.xlsx": made({**START, "C4": 8}, held)}
    for name, book in books.items():
        (tmp_path / name).write_bytes(book.package.edited(book.report.edits))
    return str(tmp_path / "old.xlsx"), str(tmp_path / "new.xlsx")


def test_what_changed_in_the_book_since_an_older_copy(copies: tuple[str, str], capsys: pytest.CaptureFixture[str]):
    old, new = copies
    code = main(["audit", new, "--since", old])
    out = capsys.readouterr().out
    for words in (
        "Changed in the book:",
        "Pieces!D2:D61 (Money): was =B2*C2, is =B2*C2*1.1",
        "the shop's own figure was blank, is 8 kPa",
        "Typed: 1 cell changed:",
        "Pieces!C7 (Price) of piece 7: was 11, is 99",
    ):
        assert words in out, f"{words!r} is missing in:\n{out}"
    assert main(["audit", new, "--since", old, "--json"]) == code
    data = json.loads(capsys.readouterr().out)
    assert code == bool(data["since"]["new"])
    found = data["since"]["changes"]
    assert [(each["where"], len(each["cells"])) for each in found["formulas"]] == [("Pieces!D2:D61", 60)]
    assert found["typed"]["cells"] == [
        {"cell": "Pieces!C7", "title": "(Price) of piece 7", "was": "11", "now": "99"}
    ]
    assert [(each["place"], each["now"]) for each in found["limits"]] == [("Start!C4", "8 kPa")]


def test_what_changed_stands_on_the_page_too(copies: tuple[str, str], tmp_path: Path):
    old, new = copies
    main(["audit", new, "--since", old, "--html", str(tmp_path / "page.html")])
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    for words in ("<h2>Changed since old.xlsx</h2>", "<li>Pieces!D2:D61 (Money): was =B2*C2, is =B2*C2*1.1</li>",
                  "<h2>No findings, but worth knowing</h2>"):  # fmt: skip
        assert words in page, f"{words!r} is missing in:\n{page}"


def test_facts_are_no_findings(copies: tuple[str, str], capsys: pytest.CaptureFixture[str]):
    old, new = copies
    main(["audit", new])
    out = capsys.readouterr().out
    assert (
        "No findings, but worth knowing:\n  The shop's own figure holds for 1 limit:\n"
        "    Start!C4 pressure over vapour pressure at the pump: 8 kPa in place of 10 kPa (common practice (P)), "
        "no date beside it\n"
    ) in out
    main(["audit", new, "--json"])
    data = json.loads(capsys.readouterr().out)
    assert [each["cell"] for each in data["facts"]["own_limits"]] == ["Start!C4"]
    assert [each for each in data["findings"] if "C4" in each["where"]] == [], "a limit of the shop's own is a fact"
    main(["audit", old])
    assert "worth knowing:\n" not in capsys.readouterr().out


def test_the_facts_on_a_terminal_stay_short():
    limit = facts(made({**START, "C4": 8})).limits[0]
    cell = Unfollowed((("S", 3, 4),), "flow of LINE_VELOCITY is worked out inside the formula")
    stopped = Stopped(("S", 9, 4), "it is not known here")
    assert len(in_short(Facts([limit] * 50, [cell] * 50, [stopped] * 50))) == 8


def test_a_locked_book_takes_no_accepted_finding(book: Path, capsys: pytest.CaptureFixture[str]):
    book.with_name(".~lock.job.xlsx#").write_text(",N. N.,desk,02.03.2026 08:00,file:///profile;")
    assert main(["audit", str(book), "--accept", "00000000", "--reason", "x"]) == 3
    assert "N. N." in capsys.readouterr().err
