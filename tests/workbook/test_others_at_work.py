"""Other people and other programs: two runs at once, a file that changes, moves or goes away during the run."""

import os
import shutil
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from xlcalc.core.errors import FileBusy, FileError
from xlcalc.hosts.cli import main
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.file.package import Package

from .child import in_child
from .small_book import EDITS, NEW, OLD, placed


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return placed(tmp_path)


class during_the_write:  # noqa: N801
    """Does something while the new bytes go onto the disk."""

    def __init__(self, work: Callable[[], object]) -> None:
        self._work, self._real = work, os.fsync

    def __enter__(self) -> None:
        def sync(handle: int) -> None:
            os.fsync = self._real
            self._work()
            self._real(handle)

        os.fsync = sync

    def __exit__(self, *_: object) -> None:
        os.fsync = self._real


def test_a_file_that_becomes_a_link_during_the_run(path: Path) -> None:
    package, other = Package.open(path), path.with_name("other.xlsx")
    other.write_bytes(OLD)

    def swapped() -> None:
        path.unlink()
        path.symlink_to(other)

    with during_the_write(swapped), pytest.raises(FileBusy, match="became a link"):
        package.save(EDITS)
    assert path.is_symlink()
    assert other.read_bytes() == OLD
    assert {file.name for file in path.parent.iterdir()} == {"book.xlsx", "other.xlsx"}


def test_a_file_that_somebody_changes_or_takes_away_during_the_run(path: Path) -> None:
    other = bytearray(OLD)
    other[-1] ^= 1
    for work, after in (
        (lambda: path.write_bytes(other), bytes(other)), (path.unlink, None), (lambda: path.write_bytes(b""), b"")
    ):  # fmt: skip
        path.write_bytes(OLD)
        package = Package.open(path)
        with during_the_write(work), pytest.raises(FileBusy, match="changed by someone else"):
            package.save(EDITS)
        assert (path.read_bytes() if path.exists() else None) == after
        assert [file.name for file in path.parent.iterdir()] == ["book.xlsx"] * path.exists()


@pytest.mark.parametrize("words", [
    ["recalc", "book.xlsx", "--to", "copy.xlsx"], ["names", "book.xlsx", "--for", "old-calc", "--to", "copy.xlsx"],
    ["compare", "book.xlsx", "book.xlsx", "--to", "copy.txt"], ["audit", "book.xlsx", "--html", "copy.html"],
    ["new", "copy.xlsx", "--rows", "1"], ["setup", "calc", "--to", "copy.oxt"],
])  # fmt: skip
def test_somebody_else_makes_a_file_of_the_copys_name_during_the_run(
    words: list[str], path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(path.parent)
    monkeypatch.setattr("xlcalc.hosts.commands.new.content", lambda *_: OLD)
    copy = next(Path(word) for word in words if word.startswith("copy"))
    with during_the_write(lambda: copy.write_text("theirs")):
        assert main(words) == 3
    assert f"{copy} is there already and stays as it is." in capsys.readouterr().err
    assert copy.read_text() == "theirs"
    assert {file.name for file in path.parent.iterdir()} == {"book.xlsx", copy.name}
    if words[0] not in {"new", "setup"}:  # which replace nothing
        assert main([*words, "--force"]) in (0, 1)
        assert copy.read_bytes() != b"theirs"


def test_a_folder_that_is_removed_during_the_run(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    folder.mkdir()
    path = folder / "book.xlsx"
    path.write_bytes(OLD)
    package = Package.open(path)
    shutil.rmtree(folder)
    with pytest.raises(FileError, match=r"folder is gone.*Nothing was written to book.xlsx"):
        package.save(EDITS)
    folder.mkdir()
    path.write_bytes(OLD)
    with during_the_write(lambda: shutil.rmtree(folder)), pytest.raises(FileError, match="the folder is gone"):
        package.save(EDITS)
    assert not folder.exists()


def test_a_clock_that_runs_backwards(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ticks = iter(range(10**6, 0, -1000))
    monkeypatch.setattr(time, "monotonic", lambda: float(next(ticks)))
    monkeypatch.setattr(time, "time", lambda: float(next(ticks)))
    os.utime(path, (4e9, 4e9))  # the file is from the year 2096
    assert main(["recalc", str(path)]) == 0
    assert path.read_bytes() == NEW


def test_a_replacement_that_happened_although_it_was_reported_as_failed(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.replace

    def replaced(one: Path, other: Path) -> None:
        real(one, other)
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(os, "replace", replaced)
    assert Package.open(path).save(EDITS) is True
    assert path.read_bytes() == NEW
    assert list(path.parent.iterdir()) == [path]


def at_once(
    work: Callable[[], object], meanwhile: Callable[[], object] = lambda: time.sleep(0.001)
) -> list[tuple[int, str]]:
    """How two processes ended that do the same; `meanwhile` is done again and again until then."""
    ended: list[tuple[int, str]] = []
    started = [threading.Thread(target=lambda: ended.append(in_child(work))) for _ in range(2)]
    for one in started:
        one.start()
    while any(one.is_alive() for one in started):
        meanwhile()
    return ended


def test_two_runs_at_once(tmp_path: Path) -> None:
    """Each of several processes works on the same file: it is whole at every moment, and one of them wins."""
    path = tmp_path / "book.xlsx"
    seen: set[bytes] = set()
    for _ in range(4):
        path.write_bytes(OLD)
        seen.clear()
        ended = at_once(lambda: recalc(path), lambda: seen.add(path.read_bytes()))
        assert seen <= {OLD, NEW}
        assert path.read_bytes() == NEW
        assert 0 in {code for code, _ in ended}
        for code, words in ended:
            assert code == 0 or (code == 3 and "changed by someone else" in words), f"a run ended with {code}: {words}"
        assert list(tmp_path.iterdir()) == [path]


def test_two_runs_that_want_the_same_copy(path: Path) -> None:
    copy = path.with_name("copy.xlsx")
    ended = at_once(lambda: recalc(path, copy))
    assert ended == [(0, "")] * 2
    assert copy.read_bytes() == NEW
    assert {file.name for file in path.parent.iterdir()} == {"book.xlsx", "copy.xlsx"}
