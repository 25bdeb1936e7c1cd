"""A file is written whole or not at all: what stays, what is refused, and what is said of it."""

import errno
import io
import os
import struct
import zipfile
from pathlib import Path

import pytest

from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.workbook.file.atomic import temporary_start
from xlcalc.workbook.file.done import listening
from xlcalc.workbook.file.package import Package

from ..books import EDIT, ROWS, SHEET, book, contents, packed, parts, rich_parts, saved

WHOLE = book(ROWS)


def test_saving_keeps_every_other_part_byte_for_byte(tmp_path: Path) -> None:
    data = packed(rich_parts(ROWS))
    path = saved(tmp_path, data, "book.xlsm")
    path.chmod(0o640)
    assert Package.open(path).save(EDIT) is True
    assert contents(path.read_bytes()) == rich_parts(ROWS) | EDIT
    assert path.stat().st_mode & 0o777 == 0o640
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(path) as new:
        assert new.testzip() is None
        for before, after in zip(old.infolist(), new.infolist(), strict=True):
            assert before.filename == after.filename
            assert before.date_time == after.date_time
            assert before.compress_type == after.compress_type
            assert before.external_attr == after.external_attr
            if before.filename != SHEET:
                assert raw(data, before) == raw(path.read_bytes(), after)


def raw(data: bytes, info: zipfile.ZipInfo) -> bytes:
    """The compressed bytes of a part, found by the local header."""
    name, extra = struct.unpack_from("<HH", data, info.header_offset + 26)
    start = info.header_offset + 30 + name + extra
    return data[start : start + info.compress_size]


def test_writes_nothing_when_nothing_changed(tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    os.utime(path, (1, 1))
    package = Package.open(path)
    assert package.save({SHEET: package.read(SHEET)}) is False
    assert package.save({}, to=path) is False
    assert path.stat().st_mtime == 1
    assert package.save({}, to=tmp_path / "copy.xlsx") is True
    assert (tmp_path / "copy.xlsx").read_bytes() == WHOLE


def test_writes_through_a_link_and_refuses_a_write_protected_file(tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE, "real.xlsx")
    link = tmp_path / "link.xlsx"
    link.symlink_to(path)
    assert Package.open(link).save(EDIT)
    assert link.is_symlink()
    assert contents(path.read_bytes())[SHEET] == EDIT[SHEET]
    path.chmod(0o444)
    with pytest.raises(FileError, match="write-protected"):
        Package.open(path).save({SHEET: b"<a/>"})


@pytest.mark.parametrize(("more", "words"), [(0, ""), (1, "had another name on"), (2, "had other names on this disk")])
def test_other_names_of_a_file_keep_the_old_content_and_it_is_said(more: int, words: str, tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    others = [tmp_path / f"other{number}.xlsx" for number in range(more)]
    for each in others:
        each.hardlink_to(path)
    package = Package.open(path)
    with listening() as done:
        assert package.save({}) is False
        assert (done.written, done.remarks) == ([], [])
        assert package.save(EDIT)
    assert done.written == [f"{path} holds the new values"]
    assert [words in remark for remark in done.remarks] == [True] * bool(more)
    assert contents(path.read_bytes())[SHEET] == EDIT[SHEET]
    assert [each.read_bytes() for each in others] == [WHOLE] * more
    with pytest.raises(FileBusy, match="changed by someone else"), listening() as done:
        package.save(EDIT)
    assert (done.written, done.remarks) == ([], [])


def test_refuses_a_file_that_others_may_write_and_this_user_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(tmp_path, WHOLE)
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(FileError, match="write-protected"):
        Package.open(path).save(EDIT)
    assert path.read_bytes() == WHOLE
    assert list(tmp_path.iterdir()) == [path]


def test_a_link_to_nothing_is_called_so(tmp_path: Path) -> None:
    link = tmp_path / "link.xlsx"
    link.symlink_to(tmp_path / "gone.xlsx")
    with pytest.raises(FileError, match="link to one that is gone"):
        Package.open(link)


def test_takes_away_what_a_killed_run_left_days_ago_of_this_file_only(tmp_path: Path) -> None:
    path, other = saved(tmp_path, WHOLE), tmp_path / "other.xlsx"
    old, young, others = (
        tmp_path / f"{temporary_start(target)}{name}.tmp"
        for target, name in ((path, "old"), (path, "young"), (other, "old"))
    )
    for each in (old, young, others):
        each.write_bytes(b"half")
    for each in (old, others):
        os.utime(each, (1, 1))
    assert Package.open(path).save(EDIT)
    assert sorted(tmp_path.iterdir()) == sorted([path, young, others])


def test_what_cannot_be_taken_away_is_left_and_keeps_nothing_else_there(tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    folders = [tmp_path / f"{temporary_start(path)}{number}.tmp" for number in (1, 3, 5)]
    files = [tmp_path / f"{temporary_start(path)}{number}.tmp" for number in (0, 2, 4, 6)]
    for each in folders:
        each.mkdir()
    for each in files:
        each.write_bytes(b"half")
    for each in folders + files:
        os.utime(each, (1, 1))
    assert Package.open(path).save(EDIT)
    assert sorted(tmp_path.iterdir()) == sorted([path, *folders])


def test_refuses_to_break_a_signature(tmp_path: Path) -> None:
    data = packed(parts({"S": ROWS}) | {"_xmlsignatures/sig1.xml": b"<a/>"})
    path = saved(tmp_path, data)
    with pytest.raises(FileRefused, match="digital signature"):
        Package.open(path).save(EDIT, to=tmp_path / "copy.xlsx")
    assert list(tmp_path.iterdir()) == [path]
    assert path.read_bytes() == data


def test_refuses_when_somebody_changed_the_file_meanwhile(tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    package = Package.open(path)
    stat = path.stat()
    other = bytearray(WHOLE)
    other[-1] ^= 1  # same length, same time: only the bytes tell
    path.write_bytes(other)
    os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    with pytest.raises(FileBusy, match="changed by someone else"):
        package.save(EDIT)
    path.unlink()
    with pytest.raises(FileBusy, match="changed by someone else"):
        package.save(EDIT)
    assert list(tmp_path.iterdir()) == []


def excel_lock(name: str) -> bytes:
    """165 bytes: the name in one byte a letter from place 1, and in UTF-16 from 57."""
    short = bytes([len(name)]) + name.encode("cp1252", "replace").ljust(54)
    return short + struct.pack("<H", len(name)) + name.encode("utf-16-le").ljust(108, b" ")


@pytest.mark.parametrize(
    ("lock", "content", "who"),
    [
        ("~$book.xlsx", excel_lock("Ana Ünal"), "Ana Ünal since 20"),
        ("~$book.xlsx", b"\x03Ana", "Ana since 20"),
        ("~$book.xlsx", b"", "somebody since 20"),
        (".~lock.book.xlsx#", b",ana,office-pc,01.03.2024 07:30,file:///x;", "ana on office-pc since 20"),
        (".~lock.book.xlsx#", b"Ana\\, B,ana,office-pc,01.03.2024 07:30,x;", "Ana, B on office-pc since 20"),
    ],
)
def test_says_who_has_the_file_open(lock: str, content: bytes, who: str, tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    (tmp_path / lock).write_bytes(content)
    with pytest.raises(FileBusy) as busy:
        Package.open(path).save(EDIT)
    assert who in str(busy.value)
    assert lock in str(busy.value)
    assert "--to copy.xlsx" in str(busy.value)
    assert path.read_bytes() == WHOLE
    assert Package.open(path).save(EDIT, to=tmp_path / "copy.xlsx") is True
    assert (tmp_path / lock).exists()


def test_a_fault_after_the_change_says_that_the_new_file_is_in_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = saved(tmp_path, WHOLE)
    package = Package.open(path)
    real = os.fsync

    def sync(handle: int) -> None:
        if os.path.isdir(f"/proc/self/fd/{handle}"):  # noqa: PTH112
            raise OSError(errno.EIO, "fault")
        real(handle)

    monkeypatch.setattr(os, "fsync", sync)
    with pytest.raises(FileError, match=r"book\.xlsx is written, but the disk did not confirm it"):
        package.save(EDIT)
    assert contents(path.read_bytes())[SHEET] == EDIT[SHEET]


@pytest.mark.parametrize("folder", ["gone/away", "a file"])
def test_says_when_the_folder_cannot_be_written(folder: str, tmp_path: Path) -> None:
    path = saved(tmp_path, WHOLE)
    (tmp_path / "a file").write_text("x")
    with pytest.raises(FileError, match="Nothing was written"):
        Package.open(path).save(EDIT, to=tmp_path / folder / "copy.xlsx")
    with pytest.raises(FileError, match="is a folder; give the name of a file"):
        Package.open(path).save(EDIT, to=tmp_path)
