"""How a command speaks: colour, letters that a terminal lacks, progress, commands to type."""

import io
import os
import sys
from pathlib import Path

import pytest

from xlcalc.hosts import output
from xlcalc.hosts.output import Progress, ask, command, painted, say, wants_colour


class Screen(io.StringIO):
    """A terminal."""

    def isatty(self) -> bool:
        return True


def test_colour_only_on_a_terminal_and_never_against_no_color(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert wants_colour(Screen())
    assert not wants_colour(io.StringIO())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not wants_colour(Screen())
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not wants_colour(Screen())
    assert painted("  PS-1 Change: x") == "  PS-1 \x1b[1mChange\x1b[0m: x"
    assert painted("Lines: Change 0") == "Lines: Change 0"


def test_text_goes_to_a_terminal_that_lacks_its_letters() -> None:
    screen = io.TextIOWrapper(raw := io.BytesIO(), encoding="ascii", newline="\n")
    say("12 mm²", screen)
    assert raw.getvalue() == b"12 mm?\n"


def test_progress_is_told_after_a_second_and_taken_away_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    now, screen = [100.0], Screen()
    monkeypatch.setattr("time.monotonic", lambda: now[0])
    monkeypatch.setattr(sys, "stderr", screen)
    with Progress() as tell:
        tell("working out: 1 %")
        assert screen.getvalue() == ""
        now[0] += 1.5
        tell("working out: 50 %")
        tell("working out: 51 %")
    assert screen.getvalue() == "\rworking out: 50 %\r" + " " * 17 + "\r"


def test_commands_to_type_are_quoted_for_the_shell(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["xlcalc"])
    monkeypatch.setattr("shutil.which", lambda _: os.path.abspath("xlcalc"))  # noqa: PTH100  (as `which` gives it)
    monkeypatch.setattr(output, "WINDOWS", False)
    assert ask(Path("a.xlsx"), "'My sheet'!C3") == "xlcalc explain a.xlsx 'My sheet!C3'"
    assert command("recalc", Path("my job.xlsx")) == "xlcalc recalc 'my job.xlsx'"
    assert ask(Path("-d.xlsx"), "S!C3") == "xlcalc explain ./-d.xlsx 'S!C3'"
    assert command("audit", Path("-d.xlsx"), "--accept") == "xlcalc audit ./-d.xlsx --accept"
    monkeypatch.setattr(output, "WINDOWS", True)
    assert command("eval", "LINE_VELOCITY(8,7.9)") == 'xlcalc eval "LINE_VELOCITY(8,7.9)"'
