"""The command line: every command, its words, its exit codes, what it writes and what it leaves alone."""

import json
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from xlcalc.hosts import commands
from xlcalc.hosts.cli import COMMANDS, main, parser
from xlcalc.hosts.output import clean, painted, wants_colour

ROOT = Path(__file__).parents[2]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(words)
    out = capsys.readouterr()
    return code, out.out, out.err


def test_the_demo_says_what_passes_what_must_change_and_what_to_do_next(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = said(capsys, "demo")
    assert code == 0
    changes = [line for line in out.splitlines() if " Change: " in line and "also" not in line]
    assert len(changes) == 6
    assert "PS-3   Change: 1915 kPa cold, clamps allow 690: bore 12.3 mm or more" in out
    assert out.splitlines()[-1].startswith("Next: open 2601-B.xlsx")
    assert (here / "2601-B.xlsx").exists()


def test_the_demo_replaces_a_file_only_when_told(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "2601-B.xlsx").write_bytes(b"mine")
    code, out, err = said(capsys, "demo")
    assert (code, out) == (3, "")
    assert "stays as it is" in err
    assert (here / "2601-B.xlsx").read_bytes() == b"mine"
    assert said(capsys, "demo", "--force")[0] == 0


def test_new_then_recalc_changes_nothing_the_second_time(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "new", "my.xlsx", "--rows", "20")[0] == 0
    before = (here / "my.xlsx").read_bytes()
    code, out, _ = said(capsys, "recalc", "my.xlsx")
    assert code == 0
    assert ", 0 of them changed" in out
    assert (here / "my.xlsx").read_bytes() == before


def test_recalc_names_the_cell_the_code_and_the_reason(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = openpyxl.Workbook()
    book.active.title = "Mine"
    book.active["A1"] = '=1+BORE_FOR_FLOW("3 gpm",2)'
    book.active["A2"] = "=MY_OWN_MACRO(1)"
    book.save("mine.xlsx")
    code, out, _ = said(capsys, "recalc", "mine.xlsx", "--to", "copy.xlsx")
    assert code == 0
    assert 'Mine!A1 is #VALUE!: Flow: "gpm" alone has two sizes: write US gpm or imp gpm' in out
    assert "Mine!A2 keeps its value: unknown function MY_OWN_MACRO" in out
    assert "explain copy.xlsx 'Mine!A1'" in out
    assert (here / "copy.xlsx").exists()


@pytest.mark.parametrize(
    ("formula", "code", "says"),
    [
        ('BORE_FOR_FLOW("30 US gpm","20 ft/s","in")', 0, "0.782781 in\n"),  # Esposito Ex. 10-1: 0.783 in
        ("=ROUND(LINE_VELOCITY(8,7.9)*2,2)", 0, "5.44\n"),
        ("LINE_VELOCITY(-1,7.9)", 1, "#NUM! Flow: -1 L/min is below 0 L/min; allowed 0 to 2000 L/min (workshop"),
        ("LINE_VELOCITI(8,7.9)", 1, "#NAME? 'LINE_VELOCITI' is not a function of xlcalc: did you mean LINE_VELOCITY"),
        ("LINE_VELOCITY(8;7.9)", 1, "#VALUE! between arguments stands a comma here, not a semicolon\n"),
        ("1/0", 1, "#DIV/0!"),
    ],
)  # fmt: skip
def test_eval_answers_or_says_why_not(formula: str, code: int, says: str, capsys: pytest.CaptureFixture[str]) -> None:
    got, out, _ = said(capsys, "eval", formula)
    assert got == code
    assert out.startswith(says)


def test_json_has_a_schema_and_the_exit_code(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["demo"], ["eval", "LINE_VELOCITY(8,7.9)"], ["functions"], ["recalc", "2601-B.xlsx"],
                  ["explain", "2601-B.xlsx", "Lines!B9"], ["recalc", "absent.xlsx"]):  # fmt: skip
        code, out, _ = said(capsys, *words, "--json")
        data = json.loads(out)
        assert data["schema"] == 1
        assert data["exit_code"] == code
        assert data["command"] == words[0]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["demmo"], "did you mean demo"),
        (["demo", "--forse"], "did you mean --force"),
        (["recalc"], "required: file"),
    ],
)
def test_a_slip_is_usage_and_says_what_was_meant(
    words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as stop:
        main(words)
    assert stop.value.code == 2
    assert says in capsys.readouterr().err


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
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    def fail(*_: object) -> None:
        raise RuntimeError("broken")

    monkeypatch.setattr(commands, "evaluate", stop)
    assert said(capsys, "eval", "1")[0] == 130
    monkeypatch.setattr(commands, "evaluate", fail)
    code, _, err = said(capsys, "eval", "1")
    assert code == 4
    assert "a fault of xlcalc itself" in err


def test_every_command_has_help_and_stands_in_the_readme(capsys: pytest.CaptureFixture[str]) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        with pytest.raises(SystemExit) as stop:
            parser().parse_args([command, "--help"])
        assert stop.value.code == 0
        assert f"xlcalc {command}" in text
    assert main([]) == 0
    assert "xlcalc demo" in capsys.readouterr().out


def test_help_loads_nothing_heavy() -> None:
    program = (
        "import sys; from xlcalc.hosts.cli import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "heavy = {'pint', 'openpyxl', 'numpy', 'fluids', 'formualizer', 'xlcalc.functions.flow'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_python_m_xlcalc_is_the_same_program() -> None:
    done = subprocess.run([sys.executable, "-m", "xlcalc", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("xlcalc ")


def test_no_colour_and_no_control_characters_reach_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    class Screen:
        def isatty(self) -> bool:
            return True

    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert wants_colour(Screen())  # type: ignore[arg-type]
    monkeypatch.setenv("NO_COLOR", "1")
    assert not wants_colour(Screen())  # type: ignore[arg-type]
    assert clean("a\x1b[31mb") == "a?[31mb"
    assert painted("  PS-1 Change: x").count("\x1b") == 2


def test_functions_lists_all_and_explains_one(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capsys, "functions")
    assert "LINE_PRESSURE_DROP" in out
    code, out, _ = said(capsys, "functions", "clearance_check")
    assert code == 0
    assert "left out: 100" in out
    assert said(capsys, "functions", "CLEARANCE_CHEK")[0] == 2
