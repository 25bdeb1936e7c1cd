"""Every call of the system that a run makes is made to fail: the file is the whole old or the whole new one."""

import itertools
import os
import signal
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from xlcalc.core.errors import FileError
from xlcalc.hosts.commands.recalc import recalculate
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.file.package import Package

from .books import EDIT, ROWS, book, contents, formula, number, row
from .child import in_child
from .faults import ERRORS, EVERYTHING, ONCE, THAT_CALL, Disk, failing

OLD = book(ROWS)
NEW = Package.from_bytes(OLD, "book.xlsx").edited(EDIT)
MODE = 0o640


@pytest.fixture(autouse=True)
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """The calls are made and counted; waiting for a real disk a thousand times shows nothing more."""
    monkeypatch.setattr(os, "fsync", lambda *_: None)


def prepared(folder: Path, names: Sequence[str] = ("book.xlsx",)) -> Path:
    for file in folder.iterdir():
        file.unlink()
    for name in names:
        (folder / name).write_bytes(OLD)
        (folder / name).chmod(MODE)
    return folder / "book.xlsx"


def run(path: Path, to: Path | None) -> None:
    Package.open(path).save(EDIT, to)


def replace(path: Path, to: Path | None) -> None:
    assert to is None
    Package.open(path).replace(NEW)


def safe(path: Path, to: Path | None, before: bytes | None, words: str | None) -> None:
    """The invariant. `before` is what was where it is written to, `words` what was said, None where nothing failed."""
    target = to or path
    whole = target.read_bytes() if target.exists() else None
    assert whole in (before, NEW)
    assert to is None or path.read_bytes() == OLD
    assert {file.stat().st_mode & 0o777 for file in (path, target) if file.exists()} <= {MODE}
    if words is None or f"{target.name} is written, but the disk did not confirm it" in words:
        assert whole == NEW
    else:
        assert whole != NEW
        name = target.name
        assert any(said in words for said in (f"{name} is untouched", f"written to {name}", "Nothing was changed",
                                              "cannot be looked at", "It is untouched")), words  # fmt: skip
    left = {file.name for file in path.parent.iterdir()} - {"book.xlsx", "copy.xlsx"}
    assert all(words and name in words for name in left), (left, words)


def calls_of(path: Path, to: Path | None) -> list[str]:
    with Disk().in_use() as disk:
        run(path, to)
    return disk.calls


@pytest.mark.parametrize(
    ("copy", "names"),
    [(False, ["book.xlsx"]), (True, ["book.xlsx"]), (True, ["book.xlsx", "copy.xlsx"])],
    ids=["in place", "copy", "over an older copy"],
)
def test_every_call_fails_with_every_error_once_and_for_ever(copy: bool, names: list[str], tmp_path: Path) -> None:
    to = tmp_path / "copy.xlsx" if copy else None
    before = OLD if (to or tmp_path / "book.xlsx").name in names else None
    calls = calls_of(prepared(tmp_path, names), to)
    assert {"open", "read", "stat", "write", "fsync", "close", "replace"} <= set(calls)
    tried = 0
    ways = [*itertools.product(ERRORS, (ONCE, THAT_CALL)), ("disk fault", EVERYTHING)]
    for at, (kind, how) in itertools.product(range(len(calls)), ways):
        path = prepared(tmp_path, names)
        words = None
        with failing(at, how, ERRORS[kind]).in_use():
            try:
                run(path, to)
            except FileError as refusal:
                words = str(refusal)
        where = f"{calls[at]} ({at}), {kind}, {how}"
        try:
            safe(path, to, before, words)
            if how == ONCE and calls[at] != "unlink":
                assert {file.name for file in tmp_path.iterdir()} <= {"book.xlsx", "copy.xlsx"}
            run(path, to)
            assert (to or path).read_bytes() == NEW
        except AssertionError as broken:
            raise AssertionError(f"{where}: {words}: {broken}") from broken
        tried += 1
    assert tried > 250


def test_taking_the_unfinished_file_away_fails_too(tmp_path: Path) -> None:
    for how, left in ((ONCE, 0), (THAT_CALL, 1)):
        path = prepared(tmp_path)
        calls = calls_of(path, None)
        prepared(tmp_path)

        def act(number: int, name: str, how: str = how, at: int = calls.index("replace"), seen: list[int] = []) -> None:  # noqa: B006
            if number >= at and name in ("replace", "unlink") and (name == "replace" or how != ONCE or not seen):
                if name == "unlink":
                    seen.append(number)
                raise ERRORS["disk fault"]()

        with Disk(act).in_use(), pytest.raises(FileError, match=r"book.xlsx is untouched") as refusal:
            run(path, None)
        names = {file.name for file in tmp_path.iterdir()} - {"book.xlsx"}
        assert len(names) == left
        for name in names:
            assert f"A file {name} is left" in str(refusal.value)


def test_a_copy_that_is_the_same_already_cannot_be_replaced(tmp_path: Path) -> None:
    """It looks like a replacement that happened: the copy holds what it should, and the unfinished file goes."""
    path, to = prepared(tmp_path), tmp_path / "copy.xlsx"
    run(path, to)
    at = calls_of(path, to).index("replace")
    with failing(at, ONCE, ERRORS["no permission"]).in_use():
        run(path, to)
    assert to.read_bytes() == NEW
    assert {file.name for file in tmp_path.iterdir()} == {"book.xlsx", "copy.xlsx"}


@pytest.mark.parametrize("copy", [False, True], ids=["in place", "copy"])
def test_the_process_is_killed_before_each_call(copy: bool, tmp_path: Path) -> None:
    to = tmp_path / "copy.xlsx" if copy else None
    calls = calls_of(prepared(tmp_path), to)
    renamed = calls.index("replace")
    for at in range(len(calls)):
        path = prepared(tmp_path)

        def killed(at: int = at, path: Path = path) -> None:
            def act(number: int, name: str) -> None:
                if number == at:
                    os.kill(os.getpid(), signal.SIGKILL)

            with Disk(act).in_use():
                run(path, to)

        assert in_child(killed)[0] == -signal.SIGKILL
        target = to or path
        assert (target.read_bytes() if target.exists() else None) == (NEW if at > renamed else None if to else OLD)
        left = [file.name for file in tmp_path.iterdir() if file.name not in ("book.xlsx", "copy.xlsx")]
        assert [name for name in left if not name.startswith(".xlcalc-")] == [], f"left after a kill at {at}"
        run(path, to)
        assert target.read_bytes() == NEW


@pytest.mark.parametrize(
    ("work", "copy", "done"),
    [(run, False, "holds the new values"), (run, True, "holds the new values"), (replace, False, "is changed")],
    ids=["in place", "copy", "another content"],
)
def test_ctrl_c_before_each_call(
    work: Callable[[Path, Path | None], None], copy: bool, done: str, tmp_path: Path
) -> None:
    to = tmp_path / "copy.xlsx" if copy else None
    calls = calls_of(prepared(tmp_path), to)
    for at in range(len(calls)):
        path = prepared(tmp_path)

        def act(number: int, name: str, at: int = at) -> None:
            if number == at:
                os.kill(os.getpid(), signal.SIGINT)

        with Disk(act).in_use(), pytest.raises(KeyboardInterrupt) as stop:
            work(path, to)
        target = to or path
        whole = target.read_bytes() if target.exists() else None
        assert whole == (NEW if done in str(stop.value) else None if to else OLD)
        assert {file.name for file in tmp_path.iterdir()} <= {"book.xlsx", "copy.xlsx"}
        assert {file.stat().st_mode & 0o777 for file in tmp_path.iterdir()} <= {MODE}
        run(path, to)
        assert target.read_bytes() == NEW


@pytest.mark.parametrize("copy", [False, True], ids=["in place", "copy"])
def test_a_whole_recalculation_on_a_failing_disk(copy: bool, tmp_path: Path) -> None:
    """The command itself, with what it looks up beside the file: nothing but the error tree comes out."""
    path, to = tmp_path / "book.xlsx", tmp_path / "copy.xlsx" if copy else None
    old = book(row(1, number("A1", 3), formula("B1", "A1*2", "1")))
    path.write_bytes(old)
    recalc(path, tmp_path / "copy.xlsx")
    new = (tmp_path / "copy.xlsx").read_bytes()
    with Disk().in_use() as disk:
        recalculate(path, to, force=True)
    for at in range(len(disk.calls)):
        path.write_bytes(old)
        (tmp_path / "copy.xlsx").unlink(missing_ok=True)
        words = "book.xlsx"
        with failing(at, ONCE, ERRORS["disk fault"]).in_use():
            try:
                recalculate(path, to)
            except FileError as refusal:
                words = str(refusal)
        assert "book.xlsx" in words or (to or path).name in words
        assert path.read_bytes() in (old, new)
        assert {file.name for file in tmp_path.iterdir()} <= {"book.xlsx", "copy.xlsx"}
        if to and to.exists():
            assert contents(to.read_bytes()) == contents(new)
