"""The office's side of a call, and the worker, without an office."""

import ast
import struct
import sys
import textwrap
import time
from pathlib import Path

import pytest

from xlcalc.hosts.calc.component import bridge
from xlcalc.hosts.calc.component.bridge import REST, Reader, Silent, Worker, error_value, one, rows
from xlcalc.hosts.calc.extension import COMPONENT, worker_command

BELOW = Path(bridge.__file__).parents[4]


def worker(tmp_path: Path, body: str, patience: float = 10.0) -> Worker:
    """A worker whose answers are made by `body`, which sees `name` and `cells` and `calls`, the number of calls."""
    program = tmp_path / "worker.py"
    program.write_text(
        f"import os, sys, time\nsys.path.insert(0, {str(BELOW)!r})\n"
        "from xlcalc.hosts.calc.component.bridge import receive, send\n"
        "source, sink = sys.stdin.buffer, sys.stdout.buffer\nreceive(source)\nsend(sink, {})\n"
        "calls = 0\nwhile True:\n    name, cells = receive(source)\n    calls += 1\n"
        + textwrap.indent(body, "    ")
        + "\n    send(sink, answer)\n"
    )
    return Worker([sys.executable, str(program)], patience, 30.0)


def test_what_calc_hands_over() -> None:
    read = Reader(",").cells
    assert read("ss", ((("20,5",),), (("",),))) == [20.5, None]
    assert read("sa", ((("1E+020",),), 0.0)) == [1e20, 0.0]
    assert read("s", ((("007",), ("6 L/min",), ("",), ("-0,5",)),)) == [[["007"], ["6 L/min"], [None], [-0.5]]]
    assert read("a", ((("", 0.0), ("20", 2)),)) == [[[None, 0.0], ["20", 2.0]]]
    assert read("a", (None,)) == [None]
    assert read("sr", ((("F",),), (1, "x", (("", 2.0),)))) == ["F", 1.0, "x", [[None, 2.0]]]
    assert Reader(".").cells("sss", ((("1.250",),), (("1,5",),), (("1.25",),))) == ["1.250", "1,5", 1.25]


def test_what_calc_gets() -> None:
    assert rows(2) == ((2.0,),)
    assert rows([["a", 1.5], ["", 2]]) == (("a", 1.5), ("", 2.0))
    assert one("a") == "a"
    for code, number in bridge.ERRORS.items():
        for value in (rows({"error": code})[0][0], one({"error": code}), error_value(code)):
            assert struct.unpack("<Q", struct.pack("<d", value))[0] == 0x7FF8 << 48 | number
    assert struct.pack("<d", one([[1], [2]])) == struct.pack("<d", error_value("#VALUE!"))


def test_nothing_that_is_printed_gets_into_the_pipe() -> None:
    *command, program = worker_command()
    loud = (
        "from xlcalc.hosts.calc import worker; import os, sys; quiet = worker.answer; "
        "worker.answer = lambda *call: (print('loud'), sys.stdout.flush(), os.system('echo loud'), quiet(*call))[-1]; "
    )
    before, start = program[: -len("main()")], program[-len("main()") :]
    asked = Worker([*command, before + loud + start], 10.0, 60.0)
    assert [asked.ask("LINE_VOLUME", [10.0, length]) for length in (1.0, 2.0)] == [
        pytest.approx(0.07854, rel=1e-4), pytest.approx(0.15708, rel=1e-4)
    ]  # fmt: skip  (by hand)
    asked.end()


def test_the_real_worker_answers() -> None:
    asked = Worker(worker_command(), 10.0, 60.0)
    assert asked.ask("LINE_VELOCITY", [8.0, 7.9]) == pytest.approx(2.7201, rel=1e-4)
    assert asked.ask("LINE_VELOCITY", [None, None]) == ""
    assert asked.ask("LINE_VELOCITY", [None, 7.9]) == {"error": "#VALUE!"}
    assert asked.ask("LINE_VELOCITY", [[[8.0], [None]], 7.9])[1] == [{"error": "#VALUE!"}]
    assert asked.ask("NO_SUCH", []) == {"error": "#NAME?"}
    asked.end()


def test_a_worker_that_dies_is_asked_once_more(tmp_path: Path) -> None:
    asked = worker(tmp_path, "if calls == 3: os._exit(1)\nanswer = calls")
    assert [asked.ask("F", []) for _ in range(5)] == [1, 2, 1, 2, 1]
    asked.end()


def test_a_worker_that_hangs_is_ended_and_the_next_call_starts_another(tmp_path: Path) -> None:
    asked = worker(tmp_path, "if cells: time.sleep(60)\nanswer = os.getpid()", patience=0.4)
    first = asked.ask("F", [])
    began = time.monotonic()
    with pytest.raises(Silent):
        asked.ask("F", [1])
    assert time.monotonic() - began < 20
    assert asked.ask("F", []) != first
    asked.end()


def test_a_worker_that_cannot_be_started_is_left_alone_for_a_while(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    asked = Worker([str(tmp_path / "gone")], 1.0, 1.0)
    for _ in range(2):
        with pytest.raises(Silent, match="No such file"):
            asked.ask("F", [])
    with pytest.raises(Silent, match="a moment ago"):
        asked.ask("F", [])
    later = time.monotonic() + REST + 1
    monkeypatch.setattr(bridge.time, "monotonic", lambda: later)
    with pytest.raises(Silent, match="No such file"):
        asked.ask("F", [])


def test_the_environment_of_the_office_stays_with_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("PYTHONHOME", "PYTHONPATH", "LD_LIBRARY_PATH", "URE_BOOTSTRAP"):
        monkeypatch.setenv(name, "/of/the/office")
    asked = worker(tmp_path, "answer = [[name] for name in os.environ]")
    kept = {name for (name,) in asked.ask("F", [])}
    assert kept.isdisjoint({"PYTHONHOME", "PYTHONPATH", "LD_LIBRARY_PATH", "URE_BOOTSTRAP"})
    assert "PATH" in kept
    asked.end()


@pytest.mark.parametrize("name", ["addin.py", "bridge.py"])
def test_the_component_is_written_for_an_old_python_and_its_own_library(name: str) -> None:
    tree = ast.parse((COMPONENT / name).read_text(encoding="utf-8"), feature_version=(3, 8))
    top = {each.split(".")[0] for node in tree.body for each in imported(node)}
    assert top <= {*sys.stdlib_module_names, "uno", "unohelper", "com", "org", "xlcalc_bridge"}


def imported(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.ImportFrom):
        return [node.module or ""]
    return [alias.name for alias in node.names] if isinstance(node, ast.Import) else []


def test_no_worker_is_left_over() -> None:
    asked = Worker(worker_command(), 10.0, 60.0)
    asked.ask("LINE_VELOCITY", [8.0, 7.9])
    process = asked._process
    assert process is not None
    assert process.stdin is not None
    process.stdin.close()
    assert process.wait(20) == 0
    asked.end()
