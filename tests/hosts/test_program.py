"""The program as a process of its own: its output, its start, and what loads with it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.workbook.small_book import NEW, OLD, placed
from xlcalc.hosts.cli import main

FULL = Path("/dev/full")
NO_ROOM = "xlcalc: What was found cannot be written out: No space left on device."
only_where_a_disk_is_always_full = pytest.mark.skipif(not FULL.exists(), reason="/dev/full is there on Linux only")


def run_with(folder: Path, out: Path, error: Path, *words: str) -> int:
    """The exit code of the program with its outputs in these files."""
    with out.open("w") as stdout, error.open("w") as stderr:
        command = [sys.executable, "-m", "xlcalc", *words]
        return subprocess.run(command, stdout=stdout, stderr=stderr, check=False, cwd=folder).returncode


@only_where_a_disk_is_always_full
def test_an_answer_that_fits_nowhere_is_no_fault_of_this_program(tmp_path: Path) -> None:
    """What it says of the workbook is what stands on the disk."""
    path, error = placed(tmp_path), tmp_path / "error"
    for words, said, after in (
        (["functions"], "", OLD),
        (["explain", "book.xlsx", "S!B1"], " book.xlsx is as it was.", OLD),
        (["recalc", "book.xlsx", "--json"], " book.xlsx holds the new values.", NEW),
        (["recalc", "book.xlsx"], " book.xlsx is as it was.", NEW),
        (["recalc", "absent.xlsx", "--json"], None, NEW),
    ):
        assert run_with(tmp_path, FULL, error, *words) == 3
        there = "xlcalc: There is no file absent.xlsx" if said is None else f"{NO_ROOM}{said}\n"
        assert error.read_text().startswith(there)
        assert path.read_bytes() == after


@only_where_a_disk_is_always_full
def test_a_refusal_that_nobody_can_hear_keeps_its_exit_code(tmp_path: Path) -> None:
    assert run_with(tmp_path, tmp_path / "out", FULL, "recalc", "absent.xlsx") == 3
    assert (tmp_path / "out").read_text() == ""


def test_help_loads_nothing_heavy() -> None:
    program = (
        "import sys; from xlcalc.hosts.cli import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "heavy = {'pint', 'openpyxl', 'numpy', 'fluids', 'formualizer', 'xlcalc.functions.flow'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_package_loads_what_it_offers_when_it_is_asked_for() -> None:
    program = (
        "import sys, xlcalc; print(sorted(name for name in sys.modules if name.startswith('xlcalc')))\n"
        "import xlcalc.functions.flow; print(xlcalc.functions()['LINE_VELOCITY'].name, xlcalc.call.__name__)\n"
        "from xlcalc import *; print(CalcError.__name__, sorted(set(xlcalc.__all__) - set(dir(xlcalc))))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["['xlcalc', 'xlcalc.functions']", "LINE_VELOCITY call", "CalcError []"]


PRESSED = """
import runpy, signal, sys
class Pressed:
    def find_spec(self, name, *_):
        if name == moment:
            signal.raise_signal(signal.SIGINT)
moment = sys.argv.pop(1)
sys.meta_path.insert(0, Pressed())
signal.signal(signal.SIGINT, signal.default_int_handler)
runpy.run_module("xlcalc", run_name="__main__", alter_sys=True)
"""
"""The program, with Ctrl-C at the moment at which it looks for a module."""


@pytest.mark.parametrize("moment", ["xlcalc.hosts.cli", "xlcalc.core.verdicts", "xlcalc.hosts.commands.recalc"])
def test_ctrl_c_while_the_program_loads_is_answered_in_one_line(moment: str, tmp_path: Path) -> None:
    path = placed(tmp_path)
    pressed = [sys.executable, "-c", PRESSED, moment, "recalc", str(path)]
    done = subprocess.run(pressed, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr == "xlcalc: interrupted; the file is as it was.\n"
    assert path.read_bytes() == OLD


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


def test_an_output_that_is_closed_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", None)  # as Python has it then
    assert main(["functions", "LINE_VELOCITY"]) == 0
    sys.stdout.close()


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
