"""How a command speaks: results to standard output, talk to standard error, JSON on request."""

import json
import os
import shlex
import shutil
import sys
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TextIO

from xlcalc.core.errors import FileError
from xlcalc.core.verdicts import NEAR, URGENT
from xlcalc.workbook.formulas import unquoted

SCHEMA = 1
WINDOWS = os.name == "nt"
SILENT_FOR, BETWEEN = 1.0, 0.2  # seconds before the first word of progress, and between two
_BOLD, _SLANTED = "1", "3"  # as a terminal is told


class Slip(Exception):
    """What was typed after `xlcalc` cannot be used; the text says what was meant."""


class NoOutput(FileError):
    """Standard output or standard error takes nothing more."""


@dataclass
class Outcome:
    """What a command found: lines for a person, data for a program, what to do next, the exit code.

    What takes long among the data is a function without arguments, which is asked only for a program.
    """

    lines: list[str] = field(default_factory=list)
    data: dict[str, Any] = field(default_factory=dict)
    next: str = ""
    code: int = 0


def show(outcome: Outcome, command: str, *, as_json: bool) -> int:
    """Print an outcome; returns its exit code."""
    if as_json:
        data = {name: each() if callable(each) else each for name, each in outcome.data.items()}
        whole: Mapping[str, Any] = {"schema": SCHEMA, "command": command, "exit_code": outcome.code, **data}
        say(json.dumps(whole, ensure_ascii=True, allow_nan=False), sys.stdout)
        return outcome.code
    colour = wants_colour(sys.stdout)
    for line in outcome.lines:
        say(painted(line) if colour else clean(line), sys.stdout)
    if outcome.next:
        say(f"\nNext: {clean(outcome.next)}", sys.stdout)
    return outcome.code


def tell(text: str) -> None:
    """Say something beside the results. Where nobody can hear it the exit code has to do."""
    with suppress(NoOutput, BrokenPipeError):
        say(clean(text), sys.stderr)


def say(text: str, stream: TextIO) -> None:
    """Print a line, also where the terminal has no sign for every letter.

    Raises NoOutput on a full disk, and BrokenPipeError where whoever read has gone.
    """
    encoding = stream.encoding or "utf-8"
    try:
        print(text.encode(encoding, "replace").decode(encoding), file=stream, flush=True)
    except OSError as fault:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())  # what is left would fail once more at the end
        if isinstance(fault, BrokenPipeError):
            raise
        raise NoOutput(f"What was found cannot be written out: {fault.strerror or fault}.") from fault


def clean(text: str) -> str:
    """Text of a workbook in one line, with what a terminal would obey spelled out, e.g. `\\x1b`."""
    return "".join(sign if sign.isprintable() or sign in _SPACES else ascii(sign)[1:-1] for sign in text)


_SPACES = "\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}"


def wants_colour(stream: TextIO) -> bool:
    """Only on a terminal that knows it, and never against NO_COLOR."""
    knows = not WINDOWS or "WT_SESSION" in os.environ or "TERM" in os.environ
    return stream.isatty() and knows and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def painted(line: str) -> str:
    """A line with its verdict set off."""
    text = clean(line)
    for word in URGENT:
        if f" {word}:" in text:
            style = _SLANTED if word == NEAR else _BOLD
            return text.replace(f" {word}:", f" \x1b[{style}m{word}\x1b[0m:", 1)
    return text


def command(*words: str | Path) -> str:
    """A command of this program as a person types it here: what the shell would take apart stands in quotes."""
    whole = [*started(), *map(typed, words)]
    if WINDOWS:
        return " ".join(f'"{word}"' if set(word) & set(' &()^!%,;="') else word for word in whole)
    return shlex.join(whole)


def typed(word: str | Path) -> str:
    """A word of a command; the name of a file that begins with a minus would be taken for an option."""
    return os.path.join(os.curdir, word) if isinstance(word, Path) and str(word).startswith("-") else str(word)  # noqa: PTH118


def started() -> list[str]:
    """How this program is started: `xlcalc` where the shell finds it by that name, else as it was started now."""
    file, found = Path(sys.argv[0]), shutil.which("xlcalc")
    if file.parts[-2:] == ("xlcalc", "__main__.py"):
        return [sys.executable, "-m", "xlcalc"]
    if file.stem == "xlcalc" and (not found or Path(found).with_suffix("").resolve() != file.resolve()):
        return [str(file)]
    return ["xlcalc"]


def ask(path: Path, cell: str) -> str:
    """The command that explains a cell; a sheet's own quotes would only quarrel with those of the shell."""
    sheet, _, ref = cell.rpartition("!")
    return command("explain", path, f"{unquoted(sheet)}!{ref}")


class Progress:
    """Tells how far the work is, once it takes longer than a second and somebody looks.

    `with Progress() as tell: recalc(path, progress=tell)`; the line is gone at the end.
    """

    def __init__(self) -> None:
        self._started, self._last, self._width = time.monotonic(), 0.0, 0

    def __enter__(self) -> Self:
        return self

    def __call__(self, words: str) -> None:
        now = time.monotonic()
        if now - self._started > SILENT_FOR and now - self._last > BETWEEN and sys.stderr.isatty():
            self._last = now
            self._put(clean(words))

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        if self._width:
            self._put("")
            self._put("")

    def _put(self, words: str) -> None:
        sys.stderr.write(f"\r{words:<{self._width}}")
        sys.stderr.flush()
        self._width = len(words)
