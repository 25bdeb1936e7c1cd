"""Where a file stands: folders, permissions, owners, disks that are full, names, links, and what is no file."""

import os
import random
import resource
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.workbook.bad.carried import carrying
from xlcalc.core.errors import FileError
from xlcalc.hosts.cli import main
from xlcalc.hosts.commands.recalc import recalculate
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.file.package import Package

from .child import NOBODY, as_ordinary_user, in_child
from .small_book import EDITS, NEW, OLD, PACKAGE, placed


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return placed(tmp_path)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that any user of the system can reach."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


def test_a_folder_that_may_only_be_read(open_folder: Path) -> None:
    path = open_folder / "book.xlsx"
    path.write_bytes(OLD)
    path.chmod(0o666)
    open_folder.chmod(0o555)
    code, words = as_ordinary_user(lambda: Package.open(path).save(EDITS))
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
        3, f"{path} cannot be read: there is no permission to read it. Ask its owner for a copy. Nothing was changed."
    )  # fmt: skip
    inner = open_folder / "inner"
    inner.mkdir()
    (inner / "copy.xlsx").write_bytes(OLD)
    path.chmod(0o644)
    inner.chmod(0)
    code, words = as_ordinary_user(lambda: recalculate(path, inner / "copy.xlsx", force=True))
    inner.chmod(0o755)
    assert (code, (inner / "copy.xlsx").read_bytes()) == (3, OLD)
    assert "cannot be looked at: its folder is closed to you" in words


def test_the_owner_is_kept_where_that_is_allowed(path: Path, open_folder: Path) -> None:
    if os.geteuid() == 0:
        os.chown(path, NOBODY, NOBODY)
    path.chmod(0o640)
    before = path.stat()
    Package.open(path).save(EDITS)
    after = path.stat()
    assert (after.st_uid, after.st_gid, after.st_mode) == (before.st_uid, before.st_gid, before.st_mode)
    assert path.read_bytes() == NEW
    open_folder.chmod(0o777)
    other = open_folder / "book.xlsx"
    other.write_bytes(OLD)
    other.chmod(0o666)
    assert as_ordinary_user(lambda: Package.open(other).save(EDITS)) == (0, "")
    assert (other.read_bytes(), other.stat().st_mode & 0o777) == (NEW, 0o666)


def test_a_disk_that_really_runs_full(path: Path) -> None:
    """The system itself cuts the write off: at a size that no file of the child may pass, and on a small disk."""

    def limited() -> None:
        package = Package.open(path)
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
    assert f"changed in {path}\n" in capsys.readouterr().out


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
        with pytest.raises(FileError, match=r"is a folder; give|is not a file|cannot be looked at"):
            PACKAGE.save(EDITS, path)


def test_a_link_is_kept_and_what_it_points_at_is_replaced(path: Path) -> None:
    path.rename(path.with_name("real.xlsx"))
    path.symlink_to("real.xlsx")
    assert recalc(path).written
    assert path.is_symlink()
    assert path.with_name("real.xlsx").read_bytes() == NEW
