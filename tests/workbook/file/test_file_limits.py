"""What a swollen or deep file costs before it is refused, measured in a process of its own with limits on it."""

import json
import subprocess
import sys
from pathlib import Path

from ..bad import CASES
from ..books import SHEET, book, contents, formula, number, row, text

WORST = [name for name, case in CASES.items() if case.words and any(
    word in name for word in ("bomb", "deep", "without end", "again and again", "closed", "entit", "10,001", "70,000")
)]  # fmt: skip
MOST_MEMORY, MOST_TIME = 200, 1.0  # MB, and seconds of work
PEAK = """
from pathlib import Path
def peak():  # in KiB; the peak that `resource` tells counts what the process that started this one held
    return int(Path("/proc/self/status").read_text().partition("VmHWM:")[2].split()[0])
"""
MEASURED = PEAK + """
import json, resource, sys, time
resource.setrlimit(resource.RLIMIT_CPU, (60, 60))
resource.setrlimit(resource.RLIMIT_AS, (2 * 2**30, 2 * 2**30))
from xlcalc.core.errors import FileRefused
from xlcalc.workbook.calculation.recalc import recalc, worksheet_functions
worksheet_functions()
found = {}
for path in sys.argv[1:]:
    started = time.process_time()
    try:
        recalc(path)
    except FileRefused:
        found[path] = time.process_time() - started
print(json.dumps([peak() / 1024, found]))
"""

WHOLE = PEAK + """
import sys
from xlcalc.workbook.calculation.recalc import recalc
assert recalc(sys.argv[1]).written
print(peak())
"""


def measured(*paths: Path) -> tuple[float, dict[str, float]]:
    """The most memory in MB, and the seconds that each refusal took."""
    words = [sys.executable, "-c", MEASURED, *map(str, paths)]
    memory, found = json.loads(subprocess.run(words, capture_output=True, text=True, check=True).stdout)
    return memory, found


def test_the_worst_files_are_refused_at_once_and_in_little_memory(tmp_path: Path) -> None:
    assert len(WORST) > 15
    paths = []
    for place, name in enumerate(WORST):
        paths.append(tmp_path / f"{place}.xlsx")
        paths[-1].write_bytes(CASES[name].make())
    memory, found = measured(*paths)
    taken = {name: found[str(path)] for name, path in zip(WORST, paths, strict=True)}
    assert memory < MOST_MEMORY
    assert max(taken.values()) < MOST_TIME, max(taken, key=taken.__getitem__)


def test_memory_goes_with_the_size_of_the_sheet(tmp_path: Path) -> None:
    """At most twelve times the XML of the sheet, over what an empty book takes."""
    memories, sizes = [], []
    for rows in (500, 15_000):
        cells = "".join(
            row(i, number(f"A{i}", i / 1000), text(f"B{i}", f"line {i}"), formula(f"C{i}", f"ROUND(A{i}*2,3)", "1"),
                formula(f"D{i}", f'IF(A{i}="","",LINE_VELOCITY(A{i},12,"m/s"))', attributes=' ca="0"'))
            for i in range(1, rows + 1)
        )  # fmt: skip
        path = tmp_path / f"{rows}.xlsx"
        path.write_bytes(book(cells))
        sizes.append(len(contents(path.read_bytes())[SHEET]))
        done = subprocess.run([sys.executable, "-c", WHOLE, str(path)], capture_output=True, text=True, check=True)
        memories.append(float(done.stdout) * 1024)
    assert memories[1] - memories[0] < 12 * (sizes[1] - sizes[0])
