"""Ctrl-C at any moment: the file is whole, nothing is left behind, and the exit code says it."""

import os
import random
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from xlcalc.hosts.cli import main
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.engine import stored
from xlcalc.workbook.template import content

from ..books import book, formula, number, row


def interrupted_after(seconds: float, path: Path) -> int:
    """The command line in a child that gets Ctrl-C after so long; its exit code."""
    child = os.fork()
    if child == 0:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
        signal.signal(signal.SIGALRM, lambda *_: os.kill(os.getpid(), signal.SIGINT))
        signal.signal(signal.SIGINT, signal.default_int_handler)
        signal.setitimer(signal.ITIMER_REAL, seconds)
        code = main(["recalc", str(path)])
        signal.setitimer(signal.ITIMER_REAL, 0)
        os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def test_ctrl_c_at_many_moments(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    rows = [row(i, number(f"A{i}", i), formula(f"B{i}", f'LINE_VELOCITY(A{i},12,"m/s")')) for i in range(1, 400)]
    data = book("".join(rows))
    path.write_bytes(data)
    started = time.monotonic()
    assert main(["recalc", str(path)]) == 0
    whole, new = time.monotonic() - started, path.read_bytes()
    chance, codes = random.Random(20240301), set()
    for _ in range(15):
        path.write_bytes(data)
        code = interrupted_after(chance.uniform(0.001, whole), path)
        codes.add(code)
        assert code in (0, 130)
        assert path.read_bytes() in ((new,) if code == 0 else (data, new))
        assert list(tmp_path.iterdir()) == [path]
    assert 130 in codes


def test_ctrl_c_while_a_container_is_made_in_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """A container that is torn apart raises an error of its own, which would hide that somebody pressed Ctrl-C."""
    opened = zipfile.ZipFile._open_to_write  # type: ignore[attr-defined]
    calls, pressed_at = 0, 0

    def pressed(*given: object, **named: object) -> object:
        nonlocal calls
        calls += 1
        made = opened(*given, **named)
        if calls == pressed_at:
            signal.raise_signal(signal.SIGINT)
        return made

    monkeypatch.setattr(zipfile.ZipFile, "_open_to_write", pressed)
    for make in (lambda: stored({"xl/workbook.xml": b"<workbook/>"}), lambda: content(Job(), 1, only=())):
        calls, pressed_at = 0, 0
        make()
        calls, pressed_at = 0, calls  # at the last part
        with pytest.raises(KeyboardInterrupt):
            make()


def test_ctrl_c_in_a_process_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    rows = [row(i, number(f"A{i}", i), formula(f"B{i}", f'LINE_VELOCITY(A{i},12,"m/s")')) for i in range(1, 8_000)]
    data = book("".join(rows))
    path.write_bytes(data)
    child = subprocess.Popen(
        [sys.executable, "-m", "xlcalc", "recalc", str(path)], stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    maps = Path(f"/proc/{child.pid}/maps")
    while child.poll() is None and "formualizer" not in maps.read_text():
        time.sleep(0.01)  # until the engine is loaded, so that the work has begun
    child.send_signal(signal.SIGINT)
    out, err = child.communicate()
    assert (child.returncode, out) == (130, "")
    assert err.splitlines()[-1] == "xlcalc: interrupted; the file is as it was."
    assert path.read_bytes() == data
    assert list(tmp_path.iterdir()) == [path]
