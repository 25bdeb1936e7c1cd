"""`xlcalc new` and `xlcalc recalc`: what they say, what they write and what they leave alone."""

import json
from pathlib import Path
from shutil import copy

import openpyxl
import pytest

from xlcalc.hosts.commands import demo
from xlcalc.hosts.commands.demo import built
from xlcalc.hosts.output import Progress, command

from ..running import said

ROOT = Path(__file__).parents[3]


def a_sum(path: Path) -> None:
    """A small book of somebody else."""
    book = openpyxl.Workbook()
    book.active["A1"] = "=1+1"
    book.save(path)


def test_new_then_recalc_changes_nothing_the_second_time(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "new", "my.xlsx", "--lines", "2")[0] == 0
    before = (here / "my.xlsx").read_bytes()
    code, out, _ = said(capsys, "recalc", "my.xlsx")
    assert code == 0
    assert ", 0 of them changed" in out
    assert (here / "my.xlsx").read_bytes() == before
    code, _, err = said(capsys, "new", "my.xlsx")
    assert code == 3
    assert "stays as it is" in err
    assert (here / "my.xlsx").read_bytes() == before


def test_recalc_counts_the_words_of_every_check(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy(ROOT / "workbooks" / "2601-B.xlsx", here)  # as shipped, with every sheet
    _, out, _ = said(capsys, "recalc", "2601-B.xlsx")
    assert "Lines: Change 6, Near limit 1, Within limits 10" in out
    # tanks: 1 Change, 2 Near limit, 2 within; air lines: 1 Change, 3 within; drains: 1 Change, 1 within
    assert "Breathers: Change 3, Near limit 2, Within limits 6" in out
    # labour 11, 1 variation not agreed; of the 9 of "May the quote go out?" lines, other sheets and Parts are a Change
    assert "Quote: Change 3, Not checked 1, Within limits 17" in out
    assert "Start: Within limits 2\n" in out  # cold against the fluids, fuel against the engine
    assert out.splitlines()[-1].endswith(command("explain", "2601-B.xlsx", "Lines!B9"))
    said(capsys, "demo", "--force")
    data = json.loads(said(capsys, "recalc", "2601-B.xlsx", "--json")[1])
    assert data["checks"]["Lines"]["Change"] == 6
    assert data["checks"]["Breathers"] == {
        "Change": 3, "Cannot be worked out": 0, "Not checked": 0, "Near limit": 2, "Within limits": 6
    }  # fmt: skip


def test_recalc_names_the_cell_the_code_and_the_reason(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Mine"
    book.active["A1"] = '=1+[1]!BORE_FOR_FLOW("3 gpm",2)'
    book.active["A2"] = "=MY_OWN_MACRO(1)"
    book.active["A3"] = "=A1*2"
    book.save("mine.xlsx")
    before = (here / "mine.xlsx").read_bytes()
    code, out, _ = said(capsys, "recalc", "mine.xlsx", "--to", "copy.xlsx")
    assert code == 0
    assert 'Mine!A1 is #VALUE!: Flow: "gpm" alone has two sizes: write US gpm or imp gpm' in out
    assert "Mine!A2: not worked out, it keeps the value it had: unknown function MY_OWN_MACRO" in out
    assert "Mine!A3 is #VALUE!: Mine!A1 holds #VALUE!: mend that cell first" in out
    assert out.splitlines()[-1].endswith(command("explain", "copy.xlsx", "Mine!A1"))
    assert (here / "copy.xlsx").exists()
    assert (here / "mine.xlsx").read_bytes() == before


def test_recalc_says_a_reason_once_for_all_cells_that_have_it(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Mine"
    for row in range(1, 6):
        book.active[f"A{row}"] = '=BORE_FOR_FLOW("3 gpm",2)'
    book.active["B1"] = "=1/0"
    book.save("mine.xlsx")
    out = said(capsys, "recalc", "mine.xlsx")[1]
    assert 'Mine!A1, A2, A3 and 2 more are #VALUE!: Flow: "gpm" alone has two sizes' in out
    assert out.count("alone has two sizes") == 1
    assert "  Mine!B1 is #DIV/0!" in out
    data = json.loads(said(capsys, "recalc", "mine.xlsx", "--json")[1])
    assert [each["cell"] for each in data["errors"]] == ["Mine!A1", "Mine!B1", *(f"Mine!A{row}" for row in range(2, 6))]


def test_recalc_looks_for_the_lock_before_it_works(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    a_sum(here / "my.xlsx")
    (here / ".~lock.my.xlsx#").write_text("The estimator,est,bench,02.03.2026 08:00,file:///home;", encoding="utf-8")

    def work(*_: object, **__: object) -> object:
        raise AssertionError

    with monkeypatch.context() as idle:
        idle.setattr("xlcalc.hosts.commands.recalc.compute", work)
        code, out, err = said(capsys, "recalc", "my.xlsx")
        assert (code, out) == (3, "")
        assert "my.xlsx is open: The estimator on bench" in err
        assert said(capsys, "recalc", "absent.xlsx")[2].startswith("xlcalc: There is no file absent.xlsx")
    assert said(capsys, "recalc", "my.xlsx", "--to", "copy.xlsx")[0] == 0  # the open one is only read


def test_recalc_writes_a_copy_over_another_file_only_when_told(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    a_sum(here / "my.xlsx")
    assert said(capsys, "recalc", "my.xlsx")[0] == 0
    (here / "copy.xlsx").write_bytes(b"mine")
    code, out, err = said(capsys, "recalc", "my.xlsx", "--to", "copy.xlsx")
    assert (code, out) == (3, "")
    assert "copy.xlsx is there already and stays as it is" in err
    assert (here / "copy.xlsx").read_bytes() == b"mine"
    assert said(capsys, "recalc", "my.xlsx", "--to", "copy.xlsx", "--force")[0] == 0
    assert (here / "copy.xlsx").read_bytes() == (here / "my.xlsx").read_bytes()
    code, _, err = said(capsys, "recalc", "my.xlsx", "--to", "./my.xlsx", "--force")
    assert code == 3
    assert "my.xlsx is the workbook itself. Leave --to away" in err


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("my", "There is no file my: did you mean my.xlsx?"),
        ("myy.xlsx", "There is no file myy.xlsx: did you mean my.xlsx?"),
        ("another.xlsx", "There is no file another.xlsx. Look at the spelling and the folder."),
    ],
)
def test_a_misspelt_file_is_named(name: str, says: str, here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    a_sum(here / "my.xlsx")
    assert said(capsys, "recalc", name) == (3, "", f"xlcalc: {says}\n")


def test_a_file_that_is_no_workbook_is_refused_and_untouched(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "list.xlsx").write_text("a;b\n1;2\n")
    code, out, err = said(capsys, "recalc", "list.xlsx")
    assert (code, out) == (3, "")
    assert "text table (CSV)" in err
    assert (here / "list.xlsx").read_text() == "a;b\n1;2\n"
    assert [path.name for path in here.iterdir()] == ["list.xlsx"]


def test_an_interrupt_while_it_works_out_leaves_the_file_as_it_was(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    said(capsys, "new", "my.xlsx", "--lines", "1")
    before = (here / "my.xlsx").read_bytes()

    def stop(_: Progress, words: str) -> None:
        if words.startswith("working out"):
            raise KeyboardInterrupt

    monkeypatch.setattr(Progress, "__call__", stop)
    monkeypatch.setattr(demo, "built", built)
    for words in (["recalc", "my.xlsx"], ["demo"], ["new", "second.xlsx"]):
        assert said(capsys, *words)[0] == 130
    assert [path.name for path in here.iterdir()] == ["my.xlsx"]
    assert (here / "my.xlsx").read_bytes() == before


def test_an_interrupt_after_the_file_was_written_says_what_the_file_holds(
    here: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    a_sum(here / "sum.xlsx")

    def stop(*_: object) -> object:
        raise KeyboardInterrupt

    monkeypatch.setattr("xlcalc.hosts.commands.recalc.checked_sheets", stop)
    code, _, err = said(capsys, "recalc", "sum.xlsx")
    assert (code, err) == (130, "xlcalc: interrupted; sum.xlsx holds the new values.\n")
    assert openpyxl.load_workbook(here / "sum.xlsx", data_only=True).active["A1"].value == 2
