"""`xlcalc compare`: what changed between two revisions, by names and headers, as a page to sign."""

import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tests.workbook.books import number, text
from xlcalc.workbook.copies.compare import Held, compare, difference
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.template import content

from ..running import said
from .jobs import AMOUNTS, DAY, LINES, job

NO_QUOTE = [f"{when}{name}" for when in ("Now", "Sent") for name in AMOUNTS]


@pytest.fixture(autouse=True)
def _here(here: Path) -> None:
    """Every test here runs in a folder of its own."""


def page(capsys: pytest.CaptureFixture[str], old: bytes, new: bytes, *more: str) -> str:
    """The page of two workbooks, with their values worked out beforehand."""
    for name, book in (("old.xlsx", old), ("new.xlsx", new)):
        Path(name).write_bytes(book)
        assert said(capsys, "recalc", name)[0] == 0
    before = [Path(name).read_bytes() for name in ("old.xlsx", "new.xlsx")]
    code, out, err = said(capsys, "compare", "old.xlsx", "new.xlsx", *more)
    assert (code, err) == (0, "")
    assert [Path(name).read_bytes() for name in ("old.xlsx", "new.xlsx")] == before
    whole, _, after = out.rpartition("\nNext: ")
    assert after.startswith("print this page and have it signed")
    assert [line for line in whole.splitlines() if len(line) > 80] == [], "too long for a page"
    return whole


def test_the_page_says_what_changed_and_leaves_room_for_a_pen(capsys: pytest.CaptureFixture[str]) -> None:
    second = job(
        text("B3", "B"),
        day=f'<c r="B4" s="2"><v>{DAY + 7}</v></c>',
        hottest=35.5,
        velocity=number("C8", 1.5),
        costs=1300,
        days="13",
        lines=[("CO-1", 2.0, "EPDM 19"), ("PS-4", 1.1, "textile -8"), ("PS-1", 3.5, "wire braid -6")],
        routes={"PS-1": 90},
    )
    assert page(capsys, job(), second, "--costs") == """\
What changed between two revisions
Job 2601
Old: old.xlsx   revision A   2 Mar 2026
New: new.xlsx   revision B   9 Mar 2026
--------------------------------------------------------------------------------

In short: lines: 1 added, 1 removed, 2 changed; total 1948.57 -> 2042.86;
working days 12 -> 13.

Money, in money units                      old           new        change
  Parts                                1062.86       1114.29        +51.43
  Labour                               1240.00       1300.00        +60.00
  Cost                                 1417.14       1485.71        +68.57
  Price                                1594.29       1671.43        +77.14
  Tax                                  1771.43       1857.14        +85.71
  Total                                1948.57       2042.86        +94.29
  Deposit                              2125.71       2228.57       +102.86
  Working days                              12            13            +1

Start
  Revision: A -> B
  Date: 2 Mar 2026 -> 9 Mar 2026
  Hottest air: 32 °C -> 35.5 °C
  Limit, velocity in a suction line: 1.2 m/s -> 1.5 m/s

Lines: 1 added, 1 removed, 2 changed
  Line PS-4: added
    Length 1.1 m; Hose textile -8
    Check now: Within limits
  Line PS-1: changed
    Length: 1.6 m -> 3.5 m
    Check was: Within limits
    Check now: Change: 3.5 m, at most 3
  Line PS-2: removed
    Length 4.5 m; Hose textile -6
    Check was: Change: 4.5 m, at most 3
  Route PS-1: changed
    Cut: 1601 mm -> 90 mm
    Check was: Within limits
    Check now: Change: too short

--------------------------------------------------------------------------------

Agreed by     ____________________________________   Date ______________________

For the shop  ____________________________________   Date ______________________
"""


def test_the_customer_reads_no_cost_of_the_shop(capsys: pytest.CaptureFixture[str]) -> None:
    out = page(capsys, job(), job(costs=1300))
    assert out.count("\n  Price  ") == out.count("\n  Total  ") == 1
    assert not [word for word in ("Parts  ", "Labour  ", "Cost  ", "quote go out") if word in out]


def test_the_customer_does_not_read_the_margin(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Nothing changed" in page(capsys, job(), job(margin=35))
    assert "\n  Margin: 30 % -> 35 %\n" in page(capsys, job(), job(margin=35), "--costs")


def test_a_total_that_is_not_the_whole_one_is_not_signed_unseen(capsys: pytest.CaptureFixture[str]) -> None:
    said_so = "Incomplete: the new total lacks what is not checked or has no answer yet."
    out = page(capsys, job(), job(incomplete=True))
    assert f"\n  {said_so}\n" in out
    assert "the old total lacks" not in out
    assert "Incomplete" not in page(capsys, job(), job(costs=1300))


def test_nothing_changed_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    out = page(capsys, job(), job())
    assert "Nothing changed: neither money nor days, neither the job nor its limits, no row" in out
    assert "Total                                1948.57       1948.57          same" in out
    assert "->" not in out
    turned = page(capsys, job(), job(lines=LINES[::-1]))  # sorted anew: the same lines
    assert "Nothing changed" in turned


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (job(without=NO_QUOTE), job(without=NO_QUOTE), "No quote in either workbook: money and days are not compared."),
        (job(without=NO_QUOTE), job(), "No quote in old.xlsx.\nMoney, in money units"),
        (job(), job(without=NO_QUOTE), "No quote in new.xlsx.\nMoney, in money units"),
        (job(), job(days='"soon"'), "Working days                              12          none\n"),
        (job(day=number("B4", DAY + 1)), job(), "Caution: old.xlsx has the later date: was it to stand second?"),
        (job(), job(lines=[*LINES, ("", 1.0, "x")]), "Lines\n  1 row without a name is not compared: name them first."),
        (job(), job(lines=[*LINES, LINES[0]]), "Line PS-1: added"),  # the second of that name
        (job(), job(lines=[("PS-1", "6,5", "h"), *LINES[1:]]), "Length: 1.6 m -> 6,5\n    Hose: wire braid -6 -> h\n"),
        (job(lines=[("PS-1", 1.6, "h")]), job(lines=[("PS-1", "1.6", "h")]), "Length: 1.6 m -> 1.6 (text)\n"),
        (job(hottest=32), job(hottest=32.0000001), "Hottest air: 32 °C -> 32.0000001 °C\n"),
        (job(), job(without=["HottestAir"]), "Hottest air: 32 °C -> blank\n"),
    ],
)  # fmt: skip
def test_the_page_in_words(old: bytes, new: bytes, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert words in page(capsys, old, new)


def test_what_the_files_hold_is_worked_out_afresh_and_said(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "old.xlsx").write_bytes(before := job())
    out = said(capsys, "compare", "old.xlsx", "old.xlsx")[1]
    assert "old.xlsx held 22 values that its cells do not give now. It is compared as" in out
    assert "Caution: both are the same file, old.xlsx" in out
    assert (here / "old.xlsx").read_bytes() == before
    other = job(more='<row r="50"><c r="A50"><f>MY_MACRO(1)</f><v>3</v></c></row>')
    assert "new.xlsx: 1 value could not be worked out here and stand as they were." in page(capsys, job(), other)


def test_a_value_typed_over_a_formula_is_a_change(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Package.from_bytes(job(), "new.xlsx")
    part = "xl/worksheets/sheet2.xml"
    xml, typed = book.read(part), b'<c r="D5" t="inlineStr"><is><t>wire braid -6</t></is></c>'
    assert typed in xml
    worked = book.edited({part: xml.replace(typed, b'<c r="D5"><f>"worked"</f></c>')})
    old, new = (Workings(Package.from_bytes(each, "book.xlsx")) for each in (worked, job()))
    (table,) = [each for each in compare(old, new).tables if each.rows]
    ((cell,),) = [row.cells for row in table.rows]
    assert (cell.words, cell.old.text, cell.new.text) == ("Hose", "worked out", "wire braid -6")


def test_two_cells_side_by_side() -> None:
    assert difference("Flow", "", Held(8.0, "8"), Held(8.0, "8")) is None
    assert difference("Flow", "", Held(True, "TRUE"), Held(1.0, "1")) is not None


def test_json_holds_every_change(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "old.xlsx").write_bytes(job())
    (here / "new.xlsx").write_bytes(job(day="", costs=1300, lines=[("PS-1", 3.5, "wire braid -6"), *LINES[1:]]))
    data = json.loads(said(capsys, "compare", "old.xlsx", "new.xlsx", "--costs", "--json")[1])
    assert (data["schema"], data["command"], data["exit_code"], data["same"]) == (1, "compare", 0, False)
    about = {"file": "old.xlsx", "revision": "A", "date": "2 Mar 2026"}
    assert data["old"] == {**about, "stale": 22, "kept": 0, "incomplete": False}
    assert data["money"][5] == {"name": "Total", "old": 1948.57, "new": 2042.86}
    assert data["quote"] == {"old": True, "new": True}
    assert data["cells"] == {"Start": [{"header": "Date", "unit": "", "old": "2 Mar 2026", "new": None}]}
    (row,) = data["rows"]
    assert row["cells"] == [{"header": "Length", "unit": "m", "old": 1.6, "new": 3.5}]
    assert (row["sheet"], row["table"], row["name"], row["change"]) == ("Lines", "Line", "PS-1", "changed")
    assert (row["old_check"], row["new_check"]) == ("Within limits", "Change: 3.5 m, at most 3")


def test_json_holds_no_more_of_the_shop_than_the_page(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "old.xlsx").write_bytes(job())
    (here / "new.xlsx").write_bytes(job(costs=1300, margin=35))
    read, whole = (
        json.loads(said(capsys, "compare", "old.xlsx", "new.xlsx", *words, "--json")[1]) for words in ([], ["--costs"])
    )
    own = {"Parts", "Labour", "Cost"}
    names = [{each["name"] for each in data["money"]} for data in (read, whole)]
    assert names[0] | own == names[1]
    assert not names[0] & own
    assert (read["costs"], whole["costs"]) == (False, True)
    assert read["cells"] == {}
    assert [each["header"] for each in whole["cells"]["Start"]] == ["Margin"]
    (here / "new.xlsx").write_bytes(job(margin=35))
    same = [json.loads(said(capsys, "compare", "old.xlsx", "new.xlsx", *words, "--json")[1])["same"]
            for words in ([], ["--costs"])]  # fmt: skip
    assert same == [True, False]


def test_the_page_goes_into_a_text_file_but_over_none(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole = page(capsys, job(), job(costs=1300))
    code, out, _ = said(capsys, "compare", "old.xlsx", "new.xlsx", "--to", "page.txt")
    assert code == 0
    assert out.startswith("In short: no line changed; total 1948.57 -> 2042.86.\nThe page to sign is in page.txt.\n")
    assert (here / "page.txt").read_text(encoding="utf-8") == whole
    (here / "page.txt").write_text("signed")
    code, out, err = said(capsys, "compare", "old.xlsx", "new.xlsx", "--to", "page.txt")
    assert (code, out) == (3, "")
    assert "page.txt is there already and stays as it is" in err
    assert (here / "page.txt").read_text() == "signed"
    assert said(capsys, "compare", "old.xlsx", "new.xlsx", "--to", "page.txt", "--force")[0] == 0
    assert (here / "page.txt").read_text(encoding="utf-8") == whole
    code, _, err = said(capsys, "compare", "old.xlsx", "new.xlsx", "--to", "new.xlsx", "--force")
    assert (code, "ends in .txt, e.g. new.txt" in err) == (2, True)
    assert sorted(each.name for each in here.iterdir()) == ["new.xlsx", "old.xlsx", "page.txt"]


def test_files_are_refused_as_recalc_refuses_them(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "list.xlsx").write_text("a;b\n1;2\n")
    (here / "job.xlsx").write_bytes(job())
    for words in (["list.xlsx", "job.xlsx"], ["job.xlsx", "list.xlsx"], ["absent.xlsx", "job.xlsx"]):
        code, out, err = said(capsys, "compare", *words)
        recalc = said(capsys, "recalc", next(word for word in words if word != "job.xlsx"))
        assert (code, out, err) == (3, "", recalc[2])


def test_what_a_workbook_holds_cannot_forge_a_line_of_the_page(capsys: pytest.CaptureFixture[str]) -> None:
    out = page(capsys, job(), job(lines=[("PS-1", 1.6, "a\nAgreed by everybody\x9b2J"), *LINES[1:]]))
    assert [line for line in out.splitlines() if line.startswith("Agreed by e")] == []
    assert "Hose: wire braid -6 -> a\\nAgreed by everybody\\x9b2J" in out


def test_the_demo_job_changed_by_hand(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """PS-3 in 16 mm with crimped ends passes, and so does the catch tank of the engine with 2.5 L of the 2.0 wanted."""
    demo = demo_job()
    lines = {str(line["line"]): dict(line) for line in demo.lines}
    lines["PS-3"] |= {"hose": "return hose 16", "ends": "crimped"}
    tables = {name: [dict(row) for row in rows] for name, rows in demo.tables.items()}
    next(row for row in tables["tanks"] if row["item"] == "engine")["tank"] = 2.5
    start = {**demo.start, "Revision": "C", "JobDate": date(2026, 3, 9), "VacuumLeast": 30}
    (here / "old.xlsx").write_bytes(content(demo, 1, ["Breathers"]))
    second = replace(demo, lines=[*lines.values()], tables=tables, start=start)
    (here / "new.xlsx").write_bytes(content(second, 1, ["Breathers"]))
    data = json.loads(said(capsys, "compare", "old.xlsx", "new.xlsx", "--json")[1])
    limit = {"header": "Limit, vacuum left in the servo reservoir", "unit": "kPa", "old": 27.1, "new": 30.0}
    assert limit in data["cells"]["Start"]
    assert [each["header"] for each in data["cells"]["Start"]][:2] == ["Revision", "Date"]
    rows = {(each["sheet"], each["name"]): each for each in data["rows"]}
    assert {("Lines", "PS-3"), ("Breathers", "engine")} <= set(rows)
    assert rows["Lines", "PS-3"]["cells"] == [
        {"header": "Hose", "unit": "", "old": "return hose 9.5", "new": "return hose 16"},
        {"header": "Ends", "unit": "", "old": "clamps", "new": "crimped"},
    ]
    assert rows["Lines", "PS-3"]["old_check"].startswith("Change: 1915 kPa cold, clamps allow 690")
    assert rows["Lines", "PS-3"]["new_check"] == rows["Breathers", "engine"]["new_check"] == "Within limits"
    assert rows["Breathers", "engine"]["cells"] == [{"header": "Tank fitted", "unit": "L", "old": 1.5, "new": 2.5}]
