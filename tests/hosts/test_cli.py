"""The command line: every command, its words, its exit codes, what it writes and what it leaves alone."""

import io
import json
import os
import subprocess
import sys
from functools import lru_cache
from pathlib import Path
from shutil import copy

import openpyxl
import pytest

from xlcalc.hosts import arguments, cli, output
from xlcalc.hosts.arguments import COMMANDS, parser
from xlcalc.hosts.cli import main
from xlcalc.hosts.commands import demo
from xlcalc.hosts.commands.demo import built
from xlcalc.hosts.output import Outcome, Progress, ask, clean, command, painted, say, wants_colour
from xlcalc.workbook import template
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.package import Package
from xlcalc.workbook.recalc import Report, compute

ROOT = Path(__file__).parents[2]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def _one_demo(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo is built and worked out once for all tests of this file, but for those that watch it work."""
    monkeypatch.setattr(demo, "built", built_once)


@lru_cache(1)
def _built() -> tuple[bytes, Report]:
    """The demo with one sheet of several tables beside Lines: the others are built in tests/workbook."""
    package = Package.from_bytes(template.content(demo_job(), template.DEMO_ROWS, ["Breathers"]), "2601-B.xlsx")
    report = compute(package)
    return package.edited(report.edits), report


def built_once(_: Progress) -> tuple[bytes, Report]:
    return _built()


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(words)
    out = capsys.readouterr()
    return code, out.out, out.err


def a_sum(path: Path) -> None:
    """A small book of somebody else."""
    book = openpyxl.Workbook()
    book.active["A1"] = "=1+1"
    book.save(path)


class Screen(io.StringIO):
    """A terminal."""

    def isatty(self) -> bool:
        return True


def test_the_demo_says_what_passes_what_must_change_and_what_to_do_next(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = said(capsys, "demo")
    assert code == 0
    groups = {block.partition("\n")[0]: block.splitlines()[1:] for block in out.split("\n\n")}
    changes = [line.split()[0] for line in groups["To be changed: 6"] if line.startswith("  ") and line[2] != " "]
    assert changes == ["PS-2", "PS-3", "GB-1", "GB-2", "FU-3", "FU-4"]
    verdict = "Change: 1915 kPa cold, clamps allow 690: bore 12.3 mm or more"
    assert f"  PS-3   steering box to cooler, tank\n         {verdict}\n" in out
    assert groups["Near a limit: 1"][0] == "  FU-1   tank to pump"
    assert len(groups["Within limits: 10"]) == 10
    # Breathers, tanks: 1 Change, 2 Near limit, 2 within; air lines: 1 Change, 3 within; drains: 1 Change, 1 within
    assert groups["The other sheets:"] == ["  Breathers: Change 3, Near limit 2, Within limits 6"]
    assert out.splitlines()[-1].startswith("Next: open 2601-B.xlsx")
    assert "xlcalc explain 2601-B.xlsx" in out
    assert (here / "2601-B.xlsx").exists()
    book = openpyxl.load_workbook(here / "2601-B.xlsx", data_only=True)
    assert book["Lines"]["B9"].value == "Change: not a suction hose"


def test_the_demo_replaces_a_file_only_when_told(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "2601-B.xlsx").write_bytes(b"mine")
    code, out, err = said(capsys, "demo")
    assert (code, out) == (3, "")
    assert "stays as it is" in err
    assert (here / "2601-B.xlsx").read_bytes() == b"mine"
    assert said(capsys, "demo", "--to", "other.xlsx")[0] == 0
    assert (here / "2601-B.xlsx").read_bytes() == b"mine"
    assert said(capsys, "demo", "--force")[0] == 0
    assert (here / "2601-B.xlsx").read_bytes() == (here / "other.xlsx").read_bytes()


def test_the_demo_run_again_finds_its_own_file(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first, again = said(capsys, "demo"), said(capsys, "demo")
    assert first == again
    assert first[0] == 0
    with (here / "2601-B.xlsx").open("ab") as file:
        file.write(b" ")
    assert said(capsys, "demo")[0] == 3
    (here / "2601-B.xlsx").unlink()
    (here / "2601-B.xlsx").mkdir()
    assert said(capsys, "demo")[0] == 3


def test_a_file_that_is_open_elsewhere_is_left_alone(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "demo")[0] == 0
    before = (here / "2601-B.xlsx").read_bytes()
    (here / ".~lock.2601-B.xlsx#").write_text(
        "The estimator,est,bench,02.03.2026 08:00,file:///home;", encoding="utf-8"
    )
    code, out, err = said(capsys, "demo", "--force")
    assert (code, out) == (3, "")
    assert "The estimator on bench" in err
    assert (here / "2601-B.xlsx").read_bytes() == before


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
    assert out.splitlines()[-1].endswith(command("explain", "2601-B.xlsx", "Lines!B9"))
    data = json.loads(said(capsys, "recalc", "2601-B.xlsx", "--json")[1])
    assert data["checks"]["Lines"]["Change"] == 6
    # tanks: 1 Change, 2 Near limit, 2 within; air lines: 1 Change, 3 within; drains: 1 Change, 1 within
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
    assert out.startswith("Lines!B9 (Check): Change: not a suction hose\nFormula: =")
    assert out.splitlines()[-1].startswith("Next: ask about the cell behind it: xlcalc explain 2601-B.xlsx")
    data = json.loads(said(capsys, "explain", "2601-B.xlsx", "Lines!B9", "--json")[1])
    assert data["cell"] == "Lines!B9"
    assert [line["part"] for line in data["lines"]][:2] == ["cell", "formula"]
    code, out, err = said(capsys, "explain", "2601-B.xlsx", "Lins!B9")
    assert (code, out) == (2, "")
    assert "did you mean Lines" in err


@pytest.mark.parametrize(
    ("formula", "code", "says"),
    [
        ('BORE_FOR_FLOW("30 US gpm","20 ft/s","in")', 0, "0.782781 in\n"),  # Esposito Ex. 10-1: 0.783 in
        ("=ROUND(LINE_VELOCITY(8,7.9)*2,2)", 0, "5.44\n"),  # 8 L/min / (pi/4 x 7.9 mm squared) = 2.7202 m/s
        ("LINE_VELOCITY(8,{7.9,7.9})", 0, "2.72016 m/s   2.72016 m/s\n"),
        ('ANSWER_STEPS("LINE_VELOCITY",8,7.9)', 0, "Flow: 8 L/min = 0.000133333 m³/s\nBore: 7.9 mm = 0.0079 m\n"),
        ("IF(TRUE,7)", 0, "7\n"),
        ("LINE_VELOCITY(-1,7.9)", 1, "#NUM! Flow: -1 L/min is below 0 L/min; allowed 0 to 2000 L/min (workshop"),
        ('LINE_VELOCITY(8,BORE_FOR_FLOW(8,"300 m/s"))', 1, '#NUM! Mean velocity: "300 m/s" is above 60 m/s'),
        ("LINE_VELOCITI(8,7.9)", 1, "#NAME? 'LINE_VELOCITI' is not a function of xlcalc or of the spreadsheet: "
         "did you mean LINE_VELOCITY"),
        ("LINE_VELOCITY(8;7.9)", 1, "#VALUE! between arguments stands a comma here, not a semicolon"),
        ("BORE_FOR_FLOW(30 US gpm,2)", 1, "#NAME? US is not known here: words and values with a unit stand in double"),
        ("A1+1", 1, "#REF! there are no cells here: put a value in place of A1"),
        ("LINE_VELOCITY(8,7.9", 1, "#VALUE! a closing bracket ) is missing at the end"),
        ("LINE_VELOCITY(8,7.9))", 1, "#VALUE! a bracket ) stands at character 21 that nothing opens"),
        ('LINE_VELOCITY("8,7.9)', 1, "#VALUE! the text that begins at character 15 has no closing quote"),
        ("1\x01", 1, "#VALUE! it holds invisible characters"),
        ("1+" * 5000 + "1", 1, "#VALUE! it is 10001 characters long"),
        ("*", 1, "#VALUE! this is not a formula"),
        ("1/0", 1, "#DIV/0! it divides by zero"),
        ("LINE_VELOCITY()", 0, "blank: no input is given. Write LINE_VELOCITY(8, 7.9)\n  It takes LINE_VELOCITY(flow,"),
        ('LINE_VELOCITY("",,"ft/s")', 0, "blank: no input is given. Write LINE_VELOCITY(8, 7.9)\n"),
        ('ANSWER_WHY("LINE_VELOCITY",8,7.9)', 0, "There is an answer: 2.72 m/s\n"),
        ("XLCALC_STATUS()", 0, "connected"),
        ("LINE_VELOCITY(8)", 1, "#VALUE! Bore is missing"),
    ],
)  # fmt: skip
def test_eval_answers_or_says_why_not(formula: str, code: int, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    got, out, _ = said(capsys, "eval", formula)
    assert got == code
    assert out.startswith(says)


def test_a_semicolon_formula_is_written_anew_with_its_decimal_commas(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capsys, "eval", 'LINE_VELOCITY(8,5;"7;9")')
    assert out.splitlines()[0].endswith('and in a number a point: LINE_VELOCITY(8.5,"7;9")')


def test_eval_says_beside_the_answer_that_it_rests_on_memory(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capsys, "eval", 'LINE_PRESSURE_DROP(8,7.9,2,"ATF generic",-20)')
    assert code == 0
    lines = out.splitlines()
    assert lines[0].endswith(" kPa")
    assert lines[1].startswith("  That viscosity is an estimate")
    assert lines[2].startswith("  The thickest its grade allows there")
    assert lines[3] == "  The answer rests on memory for ATF generic"
    steps = command("eval", 'ANSWER_STEPS("LINE_PRESSURE_DROP",8,7.9,2,"ATF generic",-20)')
    assert lines[-1] == f"Next: see how it was worked out: {steps}"


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
        (["recalc"], "required: FILE.xlsx"),
        (["revice", "x.xlsx"], "there is no command 'revice': did you mean revise"),
        (["compair", "x.xlsx", "y.xlsx"], "did you mean compare"),
        (["compare", "x.xlsx"], "required: NEW.xlsx"),
        (["revise", "x.xlsx", "--too", "y.xlsx"], "required: --to\n"),
        (["new", "mine"], "the name of a workbook ends in .xlsx, e.g. mine.xlsx"),
        (["new", "x.xlsx", "--rows", "0"], "0 rows: a whole number from 1 to 1500 is possible"),
        (["eval", "LINE_VELOCITY(8,", "7.9)"], "Put the whole formula in quotes"),
        (["eval", "="], "there is no formula"),
        (["setup", "cal"], "setup takes calc or excel, not 'cal': did you mean calc?"),
        (["setup"], "required: calc|excel"),
        (["setup", "calc", "--too", "x.oxt"], "did you mean --to?"),
        (["setup", "calc", "--bas", "x.bas"], "there is no place for '--bas'"),
        (["setup", "calc", "--to", "x.xlsx"], "the name of the file ends in .oxt, e.g. x.oxt"),
        (["setup", "excel", "--to", "x.xlsm"], "the name of the file ends in .xlam, e.g. x.xlam"),
        (["setup", "excel", "--bas", "x.txt"], "the name of the file ends in .bas, e.g. x.bas"),
        (["setup", "excel", "--remove", "--bas", "x.bas"], "leave the name of the file away"),
        (["setup", "calc", "--to", "x.oxt", "--remove"], "leave the name of the file away"),
        (["doctr"], "there is no command 'doctr': did you mean doctor?"),
        (["names", "x.xlsx", "--for", "oldcalc", "--to", "y.xlsx"], "--for takes old-calc or everyone, not 'oldcalc'"),
        (["names", "x.xlsx", "--for", "everyone"], "required: --to\n"),
    ],
)
def test_a_slip_is_usage_and_says_what_was_meant(
    words: list[str], says: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = said(capsys, *words)
    assert (code, out) == (2, "")
    assert says in err
    assert not list(here.iterdir())


def test_the_template_takes_as_many_rows_as_the_command_line_lets_through() -> None:
    assert template.MOST_ROWS == arguments.MOST_ROWS


def test_a_file_that_is_no_workbook_is_refused_and_untouched(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "list.xlsx").write_text("a;b\n1;2\n")
    code, out, err = said(capsys, "recalc", "list.xlsx")
    assert (code, out) == (3, "")
    assert "text table (CSV)" in err
    assert (here / "list.xlsx").read_text() == "a;b\n1;2\n"
    assert [path.name for path in here.iterdir()] == ["list.xlsx"]


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
    assert "Traceback" in said(capsys, "eval", "1", "--debug")[2]


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


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a disc that is always full is there on Linux only")
def test_an_answer_that_fits_nowhere_is_no_fault_of_this_program() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "xlcalc", "functions"], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 3
    assert done.stderr == "xlcalc: What was found cannot be written out: No space left on device.\n"


def test_every_command_has_help_and_stands_in_the_readme(capsys: pytest.CaptureFixture[str]) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    top, made = parser()
    assert set(made) == set(COMMANDS) == set(cli.COMMAND) - {"version"}
    for name in COMMANDS:
        with pytest.raises(SystemExit) as stop:
            top.parse_args([name, "--help"])
        assert stop.value.code == 0
        assert "--json" in capsys.readouterr().out
        assert f"xlcalc {name}" in text
    assert main([]) == 0
    out = capsys.readouterr().out
    assert "xlcalc demo" in out
    assert "xlcalc eval 'BORE_FOR_FLOW" in out


def test_help_loads_nothing_heavy() -> None:
    program = (
        "import sys; from xlcalc.hosts.cli import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "heavy = {'pint', 'openpyxl', 'numpy', 'fluids', 'formualizer', 'xlcalc.functions.flow'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_python_m_xlcalc_is_the_same_program_whatever_the_terminal_can_write() -> None:
    command = [sys.executable, "-m", "xlcalc"]
    done = subprocess.run([*command, "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("xlcalc ")
    narrow = {**os.environ, "PYTHONIOENCODING": "ascii"}
    steps = [*command, "eval", 'ANSWER_STEPS("LINE_VELOCITY",8,7.9)']
    done = subprocess.run(steps, capture_output=True, text=True, check=True, env=narrow)
    assert done.stdout.startswith("Flow: 8 L/min = 0.000133333 m?/s\n")


def test_a_reader_that_goes_away_is_no_fault() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "xlcalc", "functions"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as run:
        assert run.stdout is not None
        assert run.stderr is not None
        run.stdout.close()
        assert run.stderr.read() == b""
    assert run.returncode == 0


def test_colour_only_on_a_terminal_and_never_against_no_color(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert wants_colour(Screen())
    assert not wants_colour(io.StringIO())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not wants_colour(Screen())
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not wants_colour(Screen())
    assert painted("  PS-1 Change: x") == "  PS-1 \x1b[1mChange\x1b[0m: x"
    assert painted("Lines: Change 0") == "Lines: Change 0"


def test_what_a_workbook_holds_cannot_steer_the_terminal(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert clean("a\x1b[31mb\nc\u202ed\N{NO-BREAK SPACE}°") == "a\\x1b[31mb\\nc\\u202ed\N{NO-BREAK SPACE}°"
    book = openpyxl.Workbook()
    book.active.append(["Name", "Note"])
    book.active.append(["x", "one\nNext: run this\u202e"])
    book.save("evil.xlsx")
    out = said(capsys, "explain", "evil.xlsx", "B2")[1]
    assert out.startswith("Sheet!B2 (Note): one\\nNext: run this\\u202e\n")


def test_text_goes_to_a_terminal_that_lacks_its_letters() -> None:
    screen = io.TextIOWrapper(raw := io.BytesIO(), encoding="ascii", newline="\n")
    say("12 mm²", screen)
    assert raw.getvalue() == b"12 mm?\n"


def test_progress_is_told_after_a_second_and_taken_away_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    now, screen = [100.0], Screen()
    monkeypatch.setattr("time.monotonic", lambda: now[0])
    monkeypatch.setattr(sys, "stderr", screen)
    with Progress() as tell:
        tell("working out: 1 %")
        assert screen.getvalue() == ""
        now[0] += 1.5
        tell("working out: 50 %")
        tell("working out: 51 %")
    assert screen.getvalue() == "\rworking out: 50 %\r" + " " * 17 + "\r"


def test_commands_to_type_are_quoted_for_the_shell(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["xlcalc"])
    monkeypatch.setattr("shutil.which", lambda _: os.path.abspath("xlcalc"))  # noqa: PTH100  (as `which` gives it)
    monkeypatch.setattr(output, "WINDOWS", False)
    assert ask(Path("a.xlsx"), "'My sheet'!C3") == "xlcalc explain a.xlsx 'My sheet!C3'"
    assert command("recalc", Path("my job.xlsx")) == "xlcalc recalc 'my job.xlsx'"
    monkeypatch.setattr(output, "WINDOWS", True)
    assert command("eval", "LINE_VELOCITY(8,7.9)") == 'xlcalc eval "LINE_VELOCITY(8,7.9)"'


def test_commands_to_type_start_the_program_that_runs(tmp_path: Path) -> None:
    script = Path(sys.executable).with_name("xlcalc")
    for start, path, shown in (
        ([str(script)], str(tmp_path), str(script)),  # not where the shell looks
        (["xlcalc"], str(script.parent), "xlcalc"),
        ([sys.executable, "-m", "xlcalc"], str(tmp_path), f"{sys.executable} -m xlcalc"),
    ):
        search = {**os.environ, "PATH": path}
        done = subprocess.run([*start, "functions"], capture_output=True, text=True, check=True, env=search)
        assert done.stdout.splitlines()[-1] == f"Next: {shown} functions NAME explains one"


def test_functions_lists_all_and_explains_one(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capsys, "functions")
    assert "Flow and bore\n  BORE_FOR_FLOW" in out
    assert "  LINE_PRESSURE_DROP " in out
    code, out, _ = said(capsys, "functions", "line_velocity")
    assert code == 0
    for start in ("LINE_VELOCITY(flow, bore, [unit])\n", "  flow: Flow, 0 to 2000 L/min", "Answer: ", "How: velocity",
                  "Not for: lines that run part empty", "Source: Continuity", "Example: LINE_VELOCITY("):  # fmt: skip
        assert start in out
    assert "left out: 100" in said(capsys, "functions", "clearance_check")[1]
    code, out, err = said(capsys, "functions", "CLEARANCE_CHEK")
    assert (code, out) == (2, "")
    assert "did you mean CLEARANCE_CHECK" in err
