"""Named bad files: each is refused in words or read right, nothing is changed, nothing is left behind."""

from pathlib import Path

import pytest

from xlcalc.core.errors import CalcError, FileRefused
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.explained.explain import explain
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package

from .bad import CASES
from .books import contents

REFUSED = [name for name, case in CASES.items() if case.words]
ONLY_WRITING = {"carried: signature", "xml: array over a cell of no known form"}  # stand in its way, reading works
READ = [name for name, case in CASES.items() if not case.words]


def saved(folder: Path, name: str) -> tuple[Path, bytes]:
    path = folder / f"book{CASES[name].suffix}"
    data = CASES[name].make()
    path.write_bytes(data)
    return path, data


@pytest.mark.parametrize("name", REFUSED)
def test_refused_in_words(name: str, tmp_path: Path) -> None:
    path, data = saved(tmp_path, name)
    with pytest.raises(FileRefused) as refusal:
        recalc(path)
    words = str(refusal.value)
    assert CASES[name].words in words
    assert words.startswith(path.name)
    assert words.endswith((".", ")"))
    if name not in ONLY_WRITING:
        for opener in (lambda: explain(path, "S!B1"), lambda: Workings(Package.open(path))):
            with pytest.raises(FileRefused) as again:
                opener()
            assert CASES[name].words in str(again.value)
    assert path.read_bytes() == data
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", READ)
def test_read_right(name: str, tmp_path: Path) -> None:
    path, data = saved(tmp_path, name)
    report = recalc(path)
    sheet = next(iter(report.values.values()), {})
    found = {ref: value.code if isinstance(value, CalcError) else value for ref, value in sheet.items()}
    assert found == CASES[name].values
    after, package = path.read_bytes(), Package.open(path)
    parts = {each.part for each in package.worksheets()}
    before, now = contents(data), contents(after)
    assert {part for part in before if before[part] != now[part]} <= parts
    assert list(before) == list(now)
    if "B1" in found and name.startswith(("xml", "cells")):
        assert explain(path, f"{next(iter(report.values))}!B1").lines[0].part == "cell"
    again = recalc(path)
    assert (again.changed, again.written) == (0, False)
    assert path.read_bytes() == after
    assert list(tmp_path.iterdir()) == [path]
