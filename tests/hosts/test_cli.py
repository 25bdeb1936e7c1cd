"""The command line: slips, help, options, JSON and exit codes of every command."""

import json
from pathlib import Path
from types import SimpleNamespace

import pytest

from xlcalc.core.errors import FileError
from xlcalc.hosts import cli
from xlcalc.hosts.arguments import parser
from xlcalc.hosts.cli import main
from xlcalc.hosts.output import Outcome, Slip
from xlcalc.workbook.building.job import MOST_ROWS
from xlcalc.workbook.template import build

from .running import said

ROOT = Path(__file__).parents[2]


def test_json_has_a_schema_and_the_exit_code(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for code, words in (
        (0, ["demo"]), (0, ["eval", "LINE_VELOCITY(8,7.9)"]), (1, ["eval", "1/0"]), (0, ["functions"]),
        (0, ["functions", "LINE_VELOCITY"]), (0, ["recalc", "2601-B.xlsx"]), (0, ["new", "my.xlsx", "--lines", "1"]),
        (0, ["explain", "2601-B.xlsx", "Lines!B9"]), (3, ["recalc", "absent.xlsx"]),
        (2, ["explain", "2601-B.xlsx", "Lins!B9"]), (2, ["functions", "CLEARANCE_CHEK"]),
    ):  # fmt: skip
        got, out, _ = said(capsys, *words, "--json")
        data = json.loads(out)
        assert (got, data["schema"], data["exit_code"], data["command"]) == (code, 1, code, words[0])


def test_options_stand_before_the_command_as_well_as_behind_it(capsys: pytest.CaptureFixture[str]) -> None:
    before, behind = (said(capsys, *words)[1] for words in (("--json", "eval", "1"), ("eval", "1", "--json")))
    assert before == behind
    assert json.loads(before)["answer"] == 1
    assert json.loads(said(capsys, "demmo", "--json")[1])["exit_code"] == 2


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["demmo"], "there is no command 'demmo': did you mean demo?"),
        (["demo", "--forse"], "did you mean --force"),
        (["new", "x.xlsx", "--forse"], "there is no place for '--forse'"),
        (["new", "x.xlsx", "--row", "3"], "did you mean --rows"),
        (["--versoin"], "did you mean --version"),
        (["recalc"], "FILE.xlsx must be given: xlcalc recalc FILE.xlsx [--to COPY.xlsx] [--force]\n"),
        (["revice", "x.xlsx"], "there is no command 'revice': did you mean revise"),
        (["compair", "x.xlsx", "y.xlsx"], "did you mean compare"),
        (["compare", "x.xlsx"], "NEW.xlsx must be given: xlcalc compare OLD.xlsx NEW.xlsx [--to FILE.txt]"),
        (["revise", "x.xlsx", "--too", "y.xlsx"], "--to must be given: xlcalc revise FILE.xlsx --to COPY.xlsx\n"),
        (["new", "mine"], "the name of a workbook ends in .xlsx, e.g. mine.xlsx"),
        (["new", "x.xlsx", "--rows", "0"], "0 rows: a whole number from 1 to 1500 is possible"),
        (["eval", "LINE_VELOCITY(8,", "7.9)"], "Put the whole formula in quotes"),
        (["eval", "="], "there is no formula"),
        (["eval", "-1+2"], "a formula that begins with a minus takes = in front: "),
        (["--debug", "eval", "-SUM(1,2)"], " eval '=-SUM(1,2)'\n"),
        (["eval", "-1+2", "3"], "there is no place for '-1+2'"),
        (["eval", "--jsno"], "FORMULA must be given"),
        (["setup", "cal"], "setup takes calc or excel, not 'cal': did you mean calc?"),
        (["setup"], "calc|excel must be given"),
        (["setup", "calc", "--too", "x.oxt"], "did you mean --to?"),
        (["setup", "calc", "--bas", "x.bas"], "there is no place for '--bas'"),
        (["setup", "calc", "--to", "x.xlsx"], "the name of the file ends in .oxt, e.g. x.oxt"),
        (["setup", "excel", "--to", "x.xlsm"], "the name of the file ends in .xlam, e.g. x.xlam"),
        (["setup", "excel", "--bas", "x.txt"], "the name of the file ends in .bas, e.g. x.bas"),
        (["setup", "excel", "--remove", "--bas", "x.bas"], "leave the name of the file away"),
        (["setup", "calc", "--to", "x.oxt", "--remove"], "leave the name of the file away"),
        (["doctr"], "there is no command 'doctr': did you mean doctor?"),
        (["names", "x.xlsx", "--for", "oldcalc", "--to", "y.xlsx"], "--for takes old-calc or everyone, not 'oldcalc'"),
        (["names", "x.xlsx"], "--for, --to must be given: xlcalc names FILE.xlsx --for old-calc|everyone --to "),
        (["new", "x.xlsx", "--rows"], "after --rows stands what it is to be: xlcalc new FILE.xlsx [--rows N]\n"),
        (["new", ""], "ends in .xlsx, e.g. job.xlsx"),
        (["new", ".xlsx"], "ends in .xlsx, e.g. job.xlsx"),
        (["recalc", ""], "'' names no file: give one, e.g. job.xlsx"),
        (["audit", "/"], "'/' names no file"),
        (["recalc", "my", "job.xlsx"], "there is no place for 'job.xlsx'. A name with blanks in it goes into quotes"),
        (["explain", "x.xlsx", "Lines", "B9"], "there is no place for 'B9'. Sheet and cell are one word"),
    ],
)
def test_a_slip_is_usage_and_says_what_was_meant(
    words: list[str], says: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = said(capsys, *words)
    assert (code, out) == (2, "")
    assert says in err
    assert list(here.iterdir()) == []


def test_the_template_takes_as_many_rows_as_the_command_line_lets_through(here: Path) -> None:
    given = ["new", "x.xlsx", "--rows"]
    assert parser()[0].parse_args([*given, str(MOST_ROWS)]).rows == MOST_ROWS
    with pytest.raises(Slip, match=f"{MOST_ROWS + 1} rows"):
        parser()[0].parse_args([*given, str(MOST_ROWS + 1)])
    with pytest.raises(FileError, match=f"{MOST_ROWS + 1} rows"):
        build(here / "x.xlsx", rows=MOST_ROWS + 1)


def test_ctrl_c_ends_with_130_and_our_own_fault_with_4(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def stop(_: object) -> Outcome:
        raise KeyboardInterrupt

    def fail(_: object) -> Outcome:
        raise KeyError("broken")

    monkeypatch.setitem(cli.COMMAND, "eval", stop)
    assert said(capsys, "eval", "1")[0] == 130
    monkeypatch.setitem(cli.COMMAND, "eval", fail)
    code, _, err = said(capsys, "eval", "1")
    assert code == 4
    assert "a fault of xlcalc itself" in err
    assert "Traceback" not in err
    assert "Your file is as it was." in err
    assert "Traceback" in said(capsys, "eval", "1", "--debug")[2]


def test_too_little_memory_is_no_fault_of_this_program(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(_: object) -> Outcome:
        raise MemoryError

    monkeypatch.setitem(cli.COMMAND, "eval", fail)
    code, _, err = said(capsys, "eval", "1")
    assert code == 3
    assert err.endswith("is used up. Close other programs, or split the workbook. Your file is as it was.\n")


def test_python_without_docstrings_is_told_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.flags", SimpleNamespace(optimize=2))
    code, _, err = said(capsys, "eval", "1")
    assert code == 2
    assert "start it without -OO" in err


@pytest.mark.parametrize(("fault", "code"), [(KeyboardInterrupt, 130), (KeyError, 4), (MemoryError, 3)])
def test_what_happens_after_a_file_was_written_says_that_it_is(
    fault: type[BaseException], code: int, here: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    def stop(*_: object) -> str:
        raise fault

    monkeypatch.setattr("xlcalc.hosts.commands.new.command", stop)
    got, _, err = said(capsys, "new", "x.xlsx", "--rows", "1")
    assert (got, list(here.iterdir())) == (code, [Path(here / "x.xlsx")])
    assert "x.xlsx is written." in err
    assert "as it was" not in err


def test_a_name_that_keeps_the_old_content_is_told_beside_the_answer(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "x.txt").write_text("an older page\n")
    (here / "kept.txt").hardlink_to(here / "x.txt")
    for name in ("old.xlsx", "new.xlsx"):
        said(capsys, "demo", "--to", name)
    code, out, err = said(capsys, "compare", "old.xlsx", "new.xlsx", "--to", "x.txt", "--force", "--json")
    assert (code, json.loads(out)["exit_code"]) == (0, 0)
    assert err.startswith("x.txt had another name on this disk (hard links). Only x.txt holds the new content")
    assert (here / "kept.txt").read_text() == "an older page\n"


def test_every_command_has_help_and_stands_in_the_readme(capsys: pytest.CaptureFixture[str]) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    top, made = parser()
    assert set(made) == set(cli.COMMAND) - {"version"}
    for name in made:
        with pytest.raises(SystemExit) as stop:
            top.parse_args([name, "--help"])
        assert stop.value.code == 0
        assert "--json" in capsys.readouterr().out
        assert f"xlcalc {name}" in text
    assert main([]) == 0
    out = capsys.readouterr().out
    assert "xlcalc demo" in out
    assert "xlcalc eval 'BORE_FOR_FLOW" in out
