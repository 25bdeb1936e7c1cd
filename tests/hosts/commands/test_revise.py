"""`xlcalc revise`: what was sent is frozen in a copy and the next revision opened; the workbook itself stays."""

import json
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from tests.workbook.books import contents, formula, number, text
from xlcalc.hosts.cli import main
from xlcalc.hosts.commands import revise as command
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

from ..running import said
from .jobs import AMOUNTS, DAY, DAYS_ROW, FIRST_AMOUNT, job

TODAY = date(2026, 3, 9)


@pytest.fixture(autouse=True)
def _here_on_that_day(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Today(date):
        @classmethod
        def today(cls) -> date:
            return TODAY

    monkeypatch.setattr(command, "date", Today)


def test_what_was_sent_is_frozen_and_the_next_revision_opened(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "job.xlsx").write_bytes(before := job())
    code, out, _ = said(capsys, "revise", "job.xlsx", "--to", "job-B.xlsx")
    assert code == 0
    assert out.splitlines()[:3] == [
        "Revision A is frozen in job-B.xlsx as it was sent: total 1948.57, working days 12.",  # 1240 x 11/7
        "Revision B is open there, dated 9 Mar 2026; 22 cells worked out.",
        "job.xlsx stays as it is.",
    ]
    assert out.splitlines()[-1].endswith("compare job.xlsx job-B.xlsx")
    assert (here / "job.xlsx").read_bytes() == before
    book = openpyxl.load_workbook("job-B.xlsx", data_only=True)
    start, quote = book["Start"], book["Quote"]
    assert (start["B3"].value, start["B4"].value.date(), start["B4"].number_format) == ("B", TODAY, "[$-409]d mmm yyyy")
    assert (quote["B4"].value, quote["B5"].value.date(), quote["C4"].value) == ("A", date(2026, 3, 2), "B")
    rows = [DAYS_ROW if name == "Days" else place for place, name in enumerate(AMOUNTS, start=FIRST_AMOUNT)]
    sent = [quote.cell(row, 2).value for row in rows]
    assert sent == [*(round(1240 * place / 7, 2) for place in range(6, 13)), 12]
    assert [quote.cell(row, 4).value for row in rows[:-1]] == [0] * 7  # the differences, worked out from what was sent
    assert quote["B7"].number_format == quote["B8"].number_format == "0.00"
    report = compute(Package.open("job-B.xlsx"))
    assert report.changed == 0


def test_everything_else_stays_byte_for_byte(here: Path) -> None:
    (here / "job.xlsx").write_bytes(job())
    assert main(["recalc", "job.xlsx"]) == 0
    assert main(["revise", "job.xlsx", "--to", "job-B.xlsx"]) == 0
    old, new = contents((here / "job.xlsx").read_bytes()), contents((here / "job-B.xlsx").read_bytes())
    changed = {part for part in old if old[part] != new[part]}
    assert (list(old), changed) == (list(new), {"xl/worksheets/sheet1.xml", "xl/worksheets/sheet3.xml"})

    def cells(xml: bytes) -> Mapping[bytes, bytes]:
        return {each[2]: each[0] for each in re.finditer(rb'(<c[^>]*? ?r="([A-Z]+[0-9]+)".*?(?:</c>|/>))', xml)}

    before, after = (cells(each["xl/worksheets/sheet1.xml"]) for each in (old, new))
    assert {ref for ref in after if after[ref] != before.get(ref)} == {b"B3", b"B4"}
    assert after[b"B4"] == b'<c r="B4" s="2"><v>46090</v></c>'  # 9 March 2026
    before, after = (cells(each["xl/worksheets/sheet3.xml"]) for each in (old, new))
    typed = {b"B%d" % row for row in (*range(4, 13), DAYS_ROW)}
    assert {ref for ref in after if after[ref] != before.get(ref)} - typed == {
        b"C4", *(b"D%d" % row for row in range(6, 13))
    }  # the cell that shows Revision, and the differences


@pytest.mark.parametrize(
    ("letter", "following"),
    [("A", "B"), ("Z", "AA"), ("AZ", "BA"), ("c", "d"), ("z", "aa"), (" B ", "C")],
)
def test_the_next_letter(letter: str, following: str, here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cell = f'<c r="B3" t="inlineStr"><is><t xml:space="preserve">{letter}</t></is></c>'
    (here / "job.xlsx").write_bytes(job(cell))
    data = json.loads(said(capsys, "revise", "job.xlsx", "--to", "next.xlsx", "--json")[1])
    assert (data["sent"], data["revision"], data["date"]) == (letter.strip(), following, "2026-03-09")
    assert data["frozen"]["SentDate"] == "2026-03-02"
    assert (data["schema"], data["command"], data["exit_code"]) == (1, "revise", 0)
    assert openpyxl.load_workbook("next.xlsx")["Start"]["B3"].value == following


def test_dates_count_from_1904_where_the_book_says_so(here: Path) -> None:
    day = f'<c r="B4" s="2"><v>{DAY - 1462}</v></c>'
    (here / "job.xlsx").write_bytes(job(day=day, properties='<workbookPr date1904="1"/>'))
    assert main(["revise", "job.xlsx", "--to", "next.xlsx"]) == 0
    assert openpyxl.load_workbook("next.xlsx")["Start"]["B4"].value.date() == TODAY


def test_an_incomplete_quote_is_frozen_with_a_caution(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "job.xlsx").write_bytes(job(incomplete=True))
    code, out, _ = said(capsys, "revise", "job.xlsx", "--to", "next.xlsx")
    assert code == 0
    assert "Caution: the quote says Incomplete" in out
    assert json.loads(said(capsys, "revise", "job.xlsx", "--to", "again.xlsx", "--json")[1])["incomplete"] is True


@pytest.mark.parametrize(
    ("book", "words"),
    [
        (job(""), "fill in Revision first (Start!B3)"),
        (job(text("B3", "  ")), "fill in Revision first (Start!B3)"),
        (job(number("B3", 2)), "Revision (Start!B3) is '2', and no letter follows that. Type the letter"),
        (job(text("B3", "final")), "is 'final', and no letter follows that"),
        (job(formula("B3", '"A"')), "a formula stands in Start!B3 (Revision)"),
        (job(day=""), "fill in the date of the revision that was sent first (Start!B4)"),
        (job(days='""'), "no finished quote to freeze: Quote!C13 (NowDays) is blank. Finish the sheet Quote first"),
        (job(days="1/0"), "Quote!C13 (NowDays) is #DIV/0!"),
        (job(days='"soon"'), "Quote!C13 (NowDays) is soon"),
        (job(without=["SentTax"]), "it has no cell named SentTax. "),
        (job(without=[f"Now{name}" for name in AMOUNTS]), "no cell named NowParts, NowLabour, NowCost and 5 more. "),
        (b"a;b\n", "text table (CSV)"),
    ],
)
def test_what_cannot_be_revised_is_refused(
    book: bytes, words: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "job.xlsx").write_bytes(book)
    code, out, err = said(capsys, "revise", "job.xlsx", "--to", "next.xlsx")
    assert (code, out) == (3, "")
    assert words in err
    assert [path.name for path in here.iterdir()] == ["job.xlsx"]
    assert (here / "job.xlsx").read_bytes() == book


def test_no_file_is_written_over(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "job.xlsx").write_bytes(before := job())
    (here / "mine.xlsx").write_bytes(b"mine")
    assert "mine.xlsx is there already and stays as it is" in said(capsys, "revise", "job.xlsx", "--to", "mine.xlsx")[2]
    assert "is the workbook itself" in said(capsys, "revise", "job.xlsx", "--to", "./job.xlsx")[2]
    assert (here / "mine.xlsx").read_bytes() == b"mine"
    assert (here / "job.xlsx").read_bytes() == before
    assert said(capsys, "revise", "absent.xlsx", "--to", "next.xlsx")[0] == 3
    assert "There is no file absent.xlsx" in said(capsys, "revise", "absent.xlsx", "--to", "next.xlsx")[2]
    code, _, err = said(capsys, "revise", "job.xlsx")
    assert (code, err.splitlines()[0]) == (2, "xlcalc: --to must be given: xlcalc revise FILE.xlsx --to COPY.xlsx")


def test_a_file_that_comes_meanwhile_is_not_written_over(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "job.xlsx").write_bytes(job())
    made = command.revised

    def slow(*given: object) -> object:
        (here / "next.xlsx").write_bytes(b"theirs")
        return made(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(command, "revised", slow)
    code, _, err = said(capsys, "revise", "job.xlsx", "--to", "next.xlsx")
    assert (code, "is there already" in err) == (3, True)
    assert (here / "next.xlsx").read_bytes() == b"theirs"
    assert sorted(path.name for path in here.iterdir()) == ["job.xlsx", "next.xlsx"]
