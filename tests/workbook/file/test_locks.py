"""Lock files of spreadsheets: of every kind and state they are honoured, and never removed."""

import os
import random
from pathlib import Path

import pytest

from xlcalc.core.errors import FileBusy
from xlcalc.hosts.cli import main
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.file.locks import holder

from ..small_book import NEW, OLD, placed

EXCEL = b"\x03Ana".ljust(55) + b"\x03\0A\0n\0a\0".ljust(110)
LOCKS = {"~$book.xlsx": EXCEL, ".~lock.book.xlsx#": b",ana,office-pc,01.03.2024 07:30,file:///x;"}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return placed(tmp_path)


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
