"""Real Calc with the functions in a process beside it, in an office with a decimal comma."""

import os
import signal
import time
from collections.abc import Iterator
from typing import Any

import pytest

from xlcalc.hosts.calc.extension import extension

from .places import MISSING, Place, Running, real_office, tools

pytestmark = pytest.mark.skipif(not tools(), reason=MISSING)
PATIENCE = 2.5  # seconds that a call may take here
WORKER = "xlcalc.hosts.calc.worker"
VALUE = {"error": 519}
VELOCITY = {8.0: pytest.approx(2.7201, rel=1e-4), 16.0: pytest.approx(5.4402, rel=1e-4)}  # 7.9 mm bore, by hand


@pytest.fixture(scope="module")
def running() -> Iterator[Running]:
    real = real_office()
    assert real is not None
    with Place(real, "de-DE") as place:
        place.add(extension(None, PATIENCE))
        with place.started() as office:
            yield office


def answers(running: Running, *formulas: str, **cells: Any) -> list[Any]:
    """Values of formulas in a new book."""
    answer: list[Any] = running.ask("tried", formulas=[[f"={formula}", 0] for formula in formulas], cells=cells)
    return answer


def test_a_decimal_comma_is_read(running: Running) -> None:
    whole, typed, half = answers(
        running, "LINE_VELOCITY(A1;A2)", 'LINE_VELOCITY("8,0 L/min";"7,9")', "LINE_VELOCITY(A1/2;A2)", A1=8.0, A2=7.9
    )
    assert whole == VELOCITY[8.0]
    assert typed == whole
    assert half * 2 == pytest.approx(whole, rel=1e-12)


def test_speed(running: Running, benchmark: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """Printed under --benchmark-enable: new calls beside the office, and the same again from what is remembered."""
    taken = [running.ask("timed", rows=1000, first=float(first)) for first in (1, 3)]
    if not benchmark.disabled:
        new, again = (round(1e6 * each) for each in taken[-1])
        with capsys.disabled():
            print(f"\na cell through the worker beside it: {new} microseconds, {again} for one that is remembered")  # noqa: T201
    benchmark.pedantic(running.ask, args=("timed",), kwargs={"rows": 1000, "first": 5.0}, rounds=1)
    assert min(each for pair in taken for each in pair) > 0


def test_a_worker_that_died_is_started_anew(running: Running) -> None:
    assert answers(running, "LINE_VELOCITY(16;7.9)") == [VELOCITY[16.0]]
    (worker,) = running.children(WORKER)
    os.kill(worker, signal.SIGKILL)
    assert answers(running, "LINE_VELOCITY(16;7.9)", "LINE_VELOCITY(8;7.9)") == [VELOCITY[16.0], VELOCITY[8.0]]
    assert answers(running, "LINE_VOLUME(10;1.5)") == [pytest.approx(0.11781, rel=1e-4)]
    assert running.children(WORKER) != [worker]


def test_a_worker_that_hangs_does_not_hang_the_office(running: Running) -> None:
    assert answers(running, "LINE_VOLUME(10;1.25)") == [pytest.approx(0.098175, rel=1e-4)]
    (worker,) = running.children(WORKER)
    os.kill(worker, signal.SIGSTOP)
    assert answers(running, "LINE_VOLUME(10;2.5)", "LINE_VOLUME(10;5)") == [VALUE, pytest.approx(0.3927, rel=1e-4)]
    assert answers(running, "LINE_VOLUME(10;2.5)") == [pytest.approx(0.19635, rel=1e-4)]


@pytest.mark.last
def test_the_worker_ends_with_the_office(running: Running) -> None:
    assert len(answers(running, "XLCALC_STATUS()")) == 1
    assert len(running.children(WORKER)) == 1
    for process in running.children("soffice.bin"):
        os.kill(process, signal.SIGKILL)
    until = time.monotonic() + 20
    while running.children(WORKER) and time.monotonic() < until:
        time.sleep(0.05)
    assert running.children(WORKER) == []
