"""What a call through cells costs over the bare physics, and a sheet over the engine alone.

Times are told, never asserted: a machine may be busy. With benchmarks switched off each runs once, on a small sheet.
"""

import cProfile
import math
import multiprocessing
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from timeit import repeat

import fluids
import formualizer
import pint
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.workbook.books import SHEET, book, contents, formula, number, row, text
from xlcalc.core.evaluate import evaluate, finish, read
from xlcalc.core.registry import functions
from xlcalc.workbook.audit.audit import Audit, audit
from xlcalc.workbook.calculation.prepare import prepare
from xlcalc.workbook.calculation.recalc import compute, recalc, worksheet_functions
from xlcalc.workbook.calculation.written import Written
from xlcalc.workbook.file.package import Package

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


FLUIDS = ("ATF generic", "engine oil 10W-40", "petrol", "coolant 50/50")
HOSES = ("wire braid rubber -6", "return hose 9.5", "wire braid rubber -8")
SHEET_CALLS = (
    "LINE_VELOCITY(B{0},C{0})",
    "LINE_REYNOLDS(B{0},C{0},D{0},E{0})",
    "LINE_PRESSURE_DROP(B{0},C{0},F{0},D{0},E{0})",
    "LINE_VOLUME(C{0},F{0})",
    "FLUID_VISCOSITY(D{0},E{0})",
    "FLUID_DENSITY(D{0},E{0})",
    "HOSE_BORE(G{0})",
    "HOSE_PRESSURE_LIMIT(G{0},E{0})",
    "BEND_LENGTH(H{0},I{0})",
    "CLIP_COUNT(F{0})",
    "HOSE_SLACK(J{0},K{0})",
    "HEAT_CARRIED(B{0},D{0},L{0},E{0})",
)
SMALL, LARGE = 25, 10_000  # rows with benchmarks off and on
GROWTH = (2_500, 10_000, 40_000)


def sheet_of_calls(rows: int) -> bytes:
    """A book with so many rows of 30 columns, 12 of them calls of our functions without values."""
    lines = []
    for at in range(2, rows + 2):
        numbers = {"B": 1 + at % 1900 / 100, "C": (7.9, 9.5, 12.7)[at % 3], "E": 10 + at % 50, "F": 1 + at % 470 / 100,
                   "H": 50 + at % 70, "I": 10 + at % 170, "J": 500 + at % 400, "K": 900 + at % 100, "L": 61 + at % 34,
                   **dict.fromkeys("MNOPQR", at % 97)}  # fmt: skip
        texts = {"A": f"L-{at}", "D": FLUIDS[at % 4], "G": HOSES[at % 3]}
        cells = {letter: number(f"{letter}{at}", value) for letter, value in numbers.items()}
        cells |= {letter: text(f"{letter}{at}", value) for letter, value in texts.items()}
        typed = [cells[letter] for letter in sorted(cells)]
        columns = ("S", "T", "U", "V", "W", "X", "Y", "Z", "AA", "AB", "AC", "AD")
        made = zip(columns, SHEET_CALLS, strict=True)
        lines.append(row(at, *typed, *(formula(f"{letter}{at}", call.format(at)) for letter, call in made)))
    return book("".join(lines))


def seconds(work: Callable[[], object], rounds: int = 3) -> float:
    """The least processor time of a few rounds: other programs on the machine count less that way."""
    taken = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)


def engine_alone(data: bytes) -> Callable[[], None]:
    """The engine on the same sheet: loaded and evaluated with callbacks that do nothing."""
    plan = prepare(Package.from_bytes(data, "book.xlsx"), worksheet_functions())
    ready, spellings = plan.book(), list(plan.called)

    def work() -> None:
        settings = formualizer.EvaluationConfig()
        settings.enable_parallel = False
        settings.cycle_detection = "runtime"
        made = formualizer.Workbook.from_bytes(ready, config=formualizer.WorkbookConfig(eval_config=settings))
        for spelling in spellings:
            made.register_function(spelling, lambda *_: 1.0)
        made.evaluate_all()

    return work


def told(capsys: pytest.CaptureFixture[str], words: str) -> None:
    with capsys.disabled():
        print(f"\n{words}")  # noqa: T201


def test_a_sheet_of_calls_beside_the_engine_alone(
    benchmark: BenchmarkFixture, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = SMALL if benchmark.disabled else LARGE
    source, target = tmp_path / "source.xlsx", tmp_path / "target.xlsx"
    source.write_bytes(data := sheet_of_calls(rows))
    report = benchmark.pedantic(recalc, (source, target), rounds=1)
    assert (report.computed, report.changed, report.frozen, report.kept) == (12 * rows, 12 * rows, [], [])
    if not benchmark.disabled:
        whole, alone = seconds(lambda: recalc(source, target)), seconds(engine_alone(data))
        again = seconds(lambda: recalc(target))
        words = f"{12 * rows} calls: {whole / alone:.2f} times the engine alone ({alone:.2f} s)"
        told(capsys, f"{words}, {again / alone:.2f} times where nothing has changed")


def test_reading_every_formula_and_what_it_looks_at(
    benchmark: BenchmarkFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = SMALL if benchmark.disabled else LARGE
    data = sheet_of_calls(rows)

    def work() -> int:
        written = Written(Package.from_bytes(data, "book.xlsx"))
        return sum(len(written.looks(formula_, place)) for place, formula_ in written.formulas())

    assert benchmark.pedantic(work, rounds=1) == 29 * rows
    if not benchmark.disabled:
        ratio = seconds(work) / seconds(engine_alone(data))
        told(capsys, f"{12 * rows} formulas read and traced: {ratio:.2f} times the engine alone")


def test_growth_with_the_rows_beside_that_of_the_engine(
    benchmark: BenchmarkFixture, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sizes: Sequence[int] = (SMALL, 2 * SMALL) if benchmark.disabled else GROWTH
    files = [tmp_path / f"{rows}.xlsx" for rows in sizes]
    for rows, file in zip(sizes, files, strict=True):
        file.write_bytes(sheet_of_calls(rows))
    target = tmp_path / "target.xlsx"
    assert benchmark.pedantic(recalc, (files[0], target), rounds=1).computed == 12 * sizes[0]
    if not benchmark.disabled:
        ours = [seconds(partial(recalc, file, target), 2) for file in files]
        alone = [seconds(engine_alone(file.read_bytes()), 2) for file in files]
        ratios = ", ".join(f"{rows} rows {mine / its:.2f}" for rows, mine, its in zip(sizes, ours, alone, strict=True))
        told(capsys, f"times the engine alone: {ratios}")


def peak_of(path: Path, target: Path, answer: "multiprocessing.SimpleQueue[int]") -> None:
    """In a process of its own: the peak of memory while a file is worked out, over that before it, in bytes."""
    for name, declaration in functions().items():
        assert evaluate(declaration, declaration.example.cells) is not None, name
    before = peak()
    recalc(path, target)
    answer.put(peak() - before)


def peak() -> int:
    """The most memory that this process has held so far, in bytes; only Linux tells it apart from its parent's."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return 1024 * int(status.partition("VmHWM:")[2].split()[0])


def test_memory_beside_the_size_of_the_sheet(
    benchmark: BenchmarkFixture, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if benchmark.disabled:
        assert benchmark.pedantic(sheet_of_calls, (SMALL,), rounds=1)
        return
    source = tmp_path / "source.xlsx"
    source.write_bytes(benchmark.pedantic(sheet_of_calls, (GROWTH[-1],), rounds=1))
    context = multiprocessing.get_context("spawn")
    answer = context.SimpleQueue()
    child = context.Process(target=peak_of, args=(source, tmp_path / "target.xlsx", answer))
    child.start()
    peak = answer.get()
    child.join()
    size = len(contents(source.read_bytes())[SHEET])
    told(capsys, f"{GROWTH[-1]} rows: {peak / 2**20:.0f} MiB at the peak, {peak / size:.1f} times the sheet's XML")


def test_a_cell_beside_the_naive_way(benchmark: BenchmarkFixture, capsys: pytest.CaptureFixture[str]) -> None:
    """A pressure drop by our function against units by pint and friction by fluids in every cell."""
    units = pint.UnitRegistry()

    def naive() -> float:
        flow, bore, length = units("8 L/min").to("m**3/s"), units("7.9 mm").to("m"), units("2 m").to("m")
        density, viscosity = units("865 kg/m**3").to("kg/m**3"), units("34 mm**2/s").to("m**2/s")
        velocity = (flow / (math.pi * bore**2 / 4)).to("m/s")
        reynolds = (velocity * bore / viscosity).to("").magnitude
        factor = fluids.friction.friction_factor(Re=reynolds, eD=0)
        drop = factor * length / bore * density * velocity**2 / 2
        return float(drop.to("kPa").magnitude)

    drop = functions()["LINE_PRESSURE_DROP"]
    cells = [8.0, 7.9, 2.0, "865 kg/m3; 34 mm2/s", 40.0]
    assert evaluate(drop, cells) == pytest.approx(naive(), rel=0.01)
    times = 200 if benchmark.enabled else 2
    ours = benchmark.pedantic(lambda: [evaluate(drop, cells) for _ in range(times)], rounds=3)
    assert len(ours) == times
    if not benchmark.disabled:
        one, other = (seconds(lambda work=work: [work() for _ in range(times)])
                      for work in (lambda: evaluate(drop, cells), naive))  # fmt: skip
        told(capsys, f"a pressure drop: the naive way takes {other / one:.0f} times as long")


def test_an_audit_beside_the_recalculation(
    benchmark: BenchmarkFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    data = sheet_of_calls(LARGE if benchmark.enabled else SMALL)

    def whole() -> Audit:
        return audit(Package.from_bytes(data, "book.xlsx"))

    found = benchmark.pedantic(whole, rounds=1)
    assert "stale-value" in {each.rule for each in found.findings.values()}  # no formula of it holds a value
    if not benchmark.disabled:
        one, other = seconds(lambda: compute(Package.from_bytes(data, "book.xlsx")), 1), seconds(whole, 1)
        told(capsys, f"an audit takes {other:.1f} s, {other / one:.2f} times the recalculation")


def test_the_steps_of_an_audit_grow_no_faster_than_the_rows() -> None:
    """Counted in calls of Python's functions, which are the same on every machine."""
    sheets = [sheet_of_calls(rows) for rows in (SMALL, 2 * SMALL, 4 * SMALL)]
    audit(Package.from_bytes(sheets[-1], "book.xlsx"))  # what is remembered from one audit to the next is known
    steps = []
    for sheet in sheets:
        counted = cProfile.Profile()
        counted.runcall(audit, Package.from_bytes(sheet, "book.xlsx"))
        steps.append(sum(each.callcount for each in counted.getstats()))
    once, twice = steps[1] - steps[0], steps[2] - steps[1]
    assert twice < 2.1 * once, f"{SMALL} rows more take {once} steps, and {2 * SMALL} more {twice}"
