"""`xlcalc demo`: what it says of the demo, and which file it writes over."""

from pathlib import Path

import openpyxl
import pytest

from ..running import said


def test_the_demo_says_what_passes_what_must_change_and_what_to_do_next(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = said(capsys, "demo")
    assert code == 0
    groups = {block.partition("\n")[0]: block.splitlines()[1:] for block in out.split("\n\n")}
    changes = [line.split()[0] for line in groups["To be changed: 6"] if line.startswith("  ") and line[2] != " "]
    assert changes == ["PS-2", "PS-3", "GB-1", "GB-2", "FU-3", "FU-4"]
    verdict = "Change: 1915 kPa cold, clamps allow 690: bore 12.3 mm or more"
    assert f"  PS-3   steering box to cooler, tank\n         {verdict}\n" in out
    assert groups["Near a limit: 1"][0] == "  FU-1   tank to pump"
    assert len(groups["Within limits: 10"]) == 10
    # Breathers, tanks: 1 Change, 2 Near limit, 2 within; air lines: 1 Change, 3 within; drains: 1 Change, 1 within
    assert groups["The other sheets:"] == ["  Breathers: Change 3, Near limit 2, Within limits 6"]
    assert out.splitlines()[-1].startswith("Next: open 2601-B.xlsx")
    assert "xlcalc explain 2601-B.xlsx" in out
    assert (here / "2601-B.xlsx").exists()
    book = openpyxl.load_workbook(here / "2601-B.xlsx", data_only=True)
    assert book["Lines"]["B9"].value == "Change: not a suction hose; for ATF the table has oil suction or NBR fuel"


def test_the_demo_replaces_a_file_only_when_told(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "2601-B.xlsx").write_bytes(b"mine")
    code, out, err = said(capsys, "demo")
    assert (code, out) == (3, "")
    assert "stays as it is" in err
    assert (here / "2601-B.xlsx").read_bytes() == b"mine"
    assert said(capsys, "demo", "--to", "other.xlsx")[0] == 0
    assert (here / "2601-B.xlsx").read_bytes() == b"mine"
    assert said(capsys, "demo", "--force")[0] == 0
    assert (here / "2601-B.xlsx").read_bytes() == (here / "other.xlsx").read_bytes()


def test_the_demo_run_again_finds_its_own_file(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first, again = said(capsys, "demo"), said(capsys, "demo")
    assert first == again
    assert first[0] == 0
    with (here / "2601-B.xlsx").open("ab") as file:
        file.write(b" ")
    assert said(capsys, "demo")[0] == 3
    (here / "2601-B.xlsx").unlink()
    (here / "2601-B.xlsx").mkdir()
    assert said(capsys, "demo")[0] == 3


def test_a_file_that_is_open_elsewhere_is_left_alone(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "demo")[0] == 0
    before = (here / "2601-B.xlsx").read_bytes()
    (here / ".~lock.2601-B.xlsx#").write_text(
        "The estimator,est,bench,02.03.2026 08:00,file:///home;", encoding="utf-8"
    )
    code, out, err = said(capsys, "demo", "--force")
    assert (code, out) == (3, "")
    assert "The estimator on bench" in err
    assert (here / "2601-B.xlsx").read_bytes() == before
