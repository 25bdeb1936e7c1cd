"""Other programs and other people: locks, two runs at once, a file that changes, moves or cannot be written."""

import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from xlcalc.core.errors import FileBusy, FileError
from xlcalc.hosts.cli import main
from xlcalc.hosts.commands.recalc import recalculate
from xlcalc.workbook.locks import holder
from xlcalc.workbook.package import Package
from xlcalc.workbook.recalc import compute, recalc

from .books import book, formula, number, row

OLD = book(row(1, number("A1", 3), formula("B1", "A1*2", "1")))
PACKAGE = Package.from_bytes(OLD, "book.xlsx")
EDITS = compute(PACKAGE).edits
NEW = PACKAGE.edited(EDITS)
NOBODY = 65_534


@pytest.fixture
def path(tmp_path: Path) -> Path:
    place = tmp_path / "book.xlsx"
    place.write_bytes(OLD)
    return place


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any user of the system can reach."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


def in_child(work: Callable[[], object]) -> tuple[int, str]:
    """What a child of this process answers: its exit code and words; 0 where nothing failed."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        code, words = 0, ""
        try:
            work()
        except FileError as fault:
            code, words = 3, str(fault)
        except BaseException as fault:
            code, words = 4, repr(fault)
        os.write(writing, words.encode()[:4_000])
        os._exit(code)
    os.close(writing)
    with os.fdopen(reading, "rb") as heard:
        words = heard.read().decode()
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), words


def as_ordinary_user(work: Callable[[], object]) -> tuple[int, str]:
    """The same for a user to whom permissions apply."""

    def changed() -> None:
        if os.geteuid() == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
        work()

    return in_child(changed)


def test_a_folder_that_may_only_be_read(open_folder: Path) -> None:
    path = open_folder / "book.xlsx"
    path.write_bytes(OLD)
    path.chmod(0o666)
    open_folder.chmod(0o555)
    code, words = as_ordinary_user(lambda: opened(path).save(EDITS))
    assert (code, path.read_bytes()) == (3, OLD)
    assert "no permission to write there" in words
    assert "--to" in words
    assert "book.xlsx is untouched" in words
    assert [file.name for file in open_folder.iterdir()] == ["book.xlsx"]


def test_a_file_and_a_folder_that_may_not_be_read(open_folder: Path) -> None:
    path = open_folder / "book.xlsx"
    path.write_bytes(OLD)
    path.chmod(0)
    assert as_ordinary_user(lambda: recalc(path)) == (
        3, f"{path} cannot be read: Permission denied. Nothing was changed."
    )  # fmt: skip
    inner = open_folder / "inner"
    inner.mkdir()
    (inner / "copy.xlsx").write_bytes(OLD)
    path.chmod(0o644)
    inner.chmod(0)
    code, words = as_ordinary_user(lambda: recalculate(path, inner / "copy.xlsx", force=True))
    inner.chmod(0o755)
    assert (code, (inner / "copy.xlsx").read_bytes()) == (3, OLD)
    assert "cannot be looked at: there is no permission" in words


def opened(path: Path) -> Package:
    return Package.open(path)


def test_the_owner_is_kept_where_that_is_allowed(path: Path, open_folder: Path) -> None:
    if os.geteuid() == 0:
        os.chown(path, NOBODY, NOBODY)
    path.chmod(0o640)
    before = path.stat()
    opened(path).save(EDITS)
    after = path.stat()
    assert (after.st_uid, after.st_gid, after.st_mode) == (before.st_uid, before.st_gid, before.st_mode)
    assert path.read_bytes() == NEW
    open_folder.chmod(0o777)
    other = open_folder / "book.xlsx"
    other.write_bytes(OLD)
    other.chmod(0o666)
    assert as_ordinary_user(lambda: opened(other).save(EDITS)) == (0, "")
    assert (other.read_bytes(), other.stat().st_mode & 0o777) == (NEW, 0o666)


def test_a_disk_that_really_runs_full(path: Path) -> None:
    """The system itself cuts the write off: at a size that no file of the child may pass, and on a small disk."""

    def limited() -> None:
        package = opened(path)
        resource.setrlimit(resource.RLIMIT_FSIZE, (700, 700))
        package.save(EDITS)

    code, words = in_child(limited)
    assert (code, path.read_bytes()) == (3, OLD)
    assert "larger than it may be there" in words
    assert "book.xlsx is untouched" in words
    assert [file.name for file in path.parent.iterdir()] == ["book.xlsx"]


def test_a_small_disk_is_full(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    disk = path.parent / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(disk)]
    mounted = os.geteuid() == 0 and subprocess.run(mount, capture_output=True, check=False).returncode == 0
    try:
        if mounted:
            (disk / "filler").write_bytes(bytes(12_000))
        else:  # a system that does not let us: the call of the system fails as it would there
            monkeypatch.setattr(os, "write", full)
        with pytest.raises(FileError, match="the disk is full") as refusal:
            PACKAGE.save(EDITS, disk / "copy.xlsx") if not mounted else large().save({}, disk / "copy.xlsx")
        assert "Nothing was written to copy.xlsx" in str(refusal.value)
        assert {file.name for file in disk.iterdir()} <= {"filler"}
    finally:
        monkeypatch.undo()
        if mounted:
            subprocess.run(["umount", str(disk)], check=True)


def full(*_: object) -> int:
    raise OSError(28, "No space left on device")


def large() -> Package:
    """A workbook that does not go onto the small disk."""
    from .bad.carried import carrying  # noqa: PLC0415

    return Package.from_bytes(carrying({"xl/media/a.png": random.Random(1).randbytes(20_000)}), "book.xlsx")


LONG = "/".join(["a long folder name " + "x" * 60] * 4)


@pytest.mark.parametrize("name", ["Prüfstück 3/8 Zoll".replace("/", "_"), "a b", "ü" * 100, "-x", "'q'", "%s", "🚗"])
def test_names_of_every_kind(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / LONG
    folder.mkdir(parents=True)
    path = folder / f"{name}.xlsx"
    assert len(str(path)) > 300
    path.write_bytes(OLD)
    assert main(["recalc", str(path)]) == 0
    assert path.read_bytes() == NEW
    assert list(folder.iterdir()) == [path]
    assert "in " in capsys.readouterr().out


def test_the_longest_name_that_a_disk_takes(tmp_path: Path) -> None:
    path = tmp_path / f"{'n' * 250}.xlsx"
    path.write_bytes(OLD)
    assert recalc(path).written
    assert path.read_bytes() == NEW


@pytest.mark.parametrize("what", ["pipe", "folder", "device", "circle", "zero"])
def test_what_is_no_file(what: str, tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    if what == "pipe":
        os.mkfifo(path)
    elif what == "folder":
        path.mkdir()
    elif what == "device":
        path.symlink_to("/dev/zero")
    elif what == "circle":
        path.symlink_to(path)
    else:
        path = tmp_path / "a\0b.xlsx"
    with pytest.raises(FileError, match=r"is a folder|not a file|cannot be read"):
        recalc(path)
    if what != "zero":
        with pytest.raises(FileError, match=r"is not a file|cannot be looked at"):
            PACKAGE.save(EDITS, path)


def test_a_link_is_kept_and_what_it_points_at_is_replaced(path: Path) -> None:
    path.rename(path.with_name("real.xlsx"))
    path.symlink_to("real.xlsx")
    assert recalc(path).written
    assert path.is_symlink()
    assert path.with_name("real.xlsx").read_bytes() == NEW


def test_a_file_that_becomes_a_link_during_the_run(path: Path) -> None:
    package, other = opened(path), path.with_name("other.xlsx")
    other.write_bytes(OLD)

    def swapped() -> None:
        path.unlink()
        path.symlink_to(other)

    with during_the_write(swapped), pytest.raises(FileBusy, match="became a link"):
        package.save(EDITS)
    assert path.is_symlink()
    assert other.read_bytes() == OLD
    assert {file.name for file in path.parent.iterdir()} == {"book.xlsx", "other.xlsx"}


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


def test_a_file_that_somebody_changes_or_takes_away_during_the_run(path: Path) -> None:
    other = bytearray(OLD)
    other[-1] ^= 1
    for work, after in (
        (lambda: path.write_bytes(other), bytes(other)), (path.unlink, None), (lambda: path.write_bytes(b""), b"")
    ):  # fmt: skip
        path.write_bytes(OLD)
        package = opened(path)
        with during_the_write(work), pytest.raises(FileBusy, match="changed by someone else"):
            package.save(EDITS)
        assert (path.read_bytes() if path.exists() else None) == after
        assert [file.name for file in path.parent.iterdir()] == ["book.xlsx"] * path.exists()


def test_a_folder_that_is_removed_during_the_run(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    folder.mkdir()
    path = folder / "book.xlsx"
    path.write_bytes(OLD)
    package = opened(path)
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
    assert opened(path).save(EDITS) is True
    assert path.read_bytes() == NEW
    assert list(path.parent.iterdir()) == [path]


EXCEL = b"\x03Ana".ljust(55) + b"\x03\0A\0n\0a\0".ljust(110)
LOCKS = {"~$book.xlsx": EXCEL, ".~lock.book.xlsx#": b",ana,office-pc,01.03.2024 07:30,file:///x;"}


@pytest.mark.parametrize("lock", LOCKS)
@pytest.mark.parametrize("how", ["as written", "garbled", "empty", "huge", "old", "of no year", "a folder", "a pipe"])
def test_a_lock_of_any_kind_is_honoured_and_never_removed(
    lock: str, how: str, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = path.with_name(lock)
    if how == "a folder":
        place.mkdir()
    elif how == "a pipe":
        os.mkfifo(place)
    else:
        garbled = random.Random(1).randbytes(165)
        place.write_bytes({"garbled": garbled, "empty": b"", "huge": bytes(10**7)}.get(how, LOCKS[lock]))
        if how in ("old", "of no year"):
            os.utime(place, (0, 0) if how == "old" else (2**40, 2**40))
    assert main(["recalc", str(path)]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert "book.xlsx is open: " in said.err
    assert "since" in said.err
    assert ("ana" in said.err.casefold()) == (how in ("as written", "old", "of no year"))
    assert "--to" in said.err
    assert "\x1b" not in said.err
    assert path.read_bytes() == OLD
    copy = path.with_name("copy.xlsx")
    assert main(["recalc", str(path), "--to", str(copy)]) == 0
    assert copy.read_bytes() == NEW
    assert place.exists()


def test_a_lock_beside_what_a_link_points_at(path: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.xlsx"
    link.symlink_to(path)
    path.with_name("~$book.xlsx").write_bytes(LOCKS["~$book.xlsx"])
    with pytest.raises(FileBusy, match="Ana since"):
        recalc(link)


def test_a_lock_with_words_that_a_terminal_would_obey(path: Path) -> None:
    path.with_name(".~lock.book.xlsx#").write_bytes("\x1b[2J\u202eevil\n,a,h\x07,t,p;".encode())
    assert "\x1b" not in holder(path)
    assert holder(path).startswith("[2Jevil on h since")


def test_two_runs_at_once(tmp_path: Path) -> None:
    """Each of several processes works on the same file: it is whole at every moment, and one of them wins."""
    path = tmp_path / "book.xlsx"
    ended: list[tuple[int, str]] = []

    def worked() -> None:
        ended.append(in_child(lambda: recalc(path)))

    for _ in range(4):
        path.write_bytes(OLD)
        ended.clear()
        started = [threading.Thread(target=worked) for _ in range(2)]
        seen = set()
        for one in started:
            one.start()
        while any(one.is_alive() for one in started):
            seen.add(path.read_bytes())
        assert seen <= {OLD, NEW}
        assert path.read_bytes() == NEW
        assert 0 in {code for code, _ in ended}
        assert all(code == 0 or (code == 3 and "changed by someone else" in words) for code, words in ended)
        assert list(tmp_path.iterdir()) == [path]


def test_two_runs_that_want_the_same_copy(path: Path) -> None:
    copy = path.with_name("copy.xlsx")
    ended = [in_child(lambda: recalc(path, copy)) for _ in range(2)]
    assert ended == [(0, "")] * 2
    assert copy.read_bytes() == NEW


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
