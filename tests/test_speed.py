"""What a call through cells costs over the bare physics. Times are told, never asserted: a machine may be busy."""

from timeit import repeat

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from xlcalc.core.evaluate import evaluate, finish, read
from xlcalc.core.registry import functions

CALLS = 200
CASES = {
    "numbers": ("LINE_VELOCITY", [8.0, 7.9]),
    "words": ("LINE_PRESSURE_DROP", ["8 L/min", "7.9 mm", "3 m", "ATF generic", "20 degC", "2x elbow 90"]),
    "solved": ("BORE_FOR_DROP", [8.0, 3.0, "900 kg/m3; 444 mm2/s", 20.0, 100.0]),
}


@pytest.mark.parametrize("case", CASES)
def test_a_warm_call_beside_the_bare_physics(
    case: str, benchmark: BenchmarkFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    name, cells = CASES[case]
    made = functions()[name]
    reading = read(made, cells)
    assert reading is not None
    values, asked = reading
    bare = min(repeat(lambda: made.function(*values), number=CALLS, repeat=15)) / CALLS
    answer = benchmark.pedantic(evaluate, (made, cells), rounds=15, iterations=CALLS, warmup_rounds=1)
    assert answer == finish(made, made.function(*values), asked)
    if benchmark.stats is None:  # benchmarks are switched off
        return
    whole = benchmark.stats.stats.min
    told = {"bare physics [us]": bare * 1e6, "difference [us]": (whole - bare) * 1e6, "ratio": whole / bare}
    benchmark.extra_info.update(told)
    with capsys.disabled():
        print(f"\n{name} by {case}: " + ", ".join(f"{label} {value:.3g}" for label, value in told.items()))  # noqa: T201
