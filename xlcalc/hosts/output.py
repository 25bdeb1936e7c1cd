"""How a command speaks: results to standard output, talk to standard error, JSON on request."""

import json
import os
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TextIO

SCHEMA = 1
_PAINT = (("Change", "1"), ("Cannot be worked out", "1"), ("Not checked", "1"), ("Near limit", "3"))  # bold, slanted


@dataclass
class Outcome:
    """What a command found: lines for a person, data for a program, what to do next, the exit code."""

    lines: list[str] = field(default_factory=list)
    data: dict[str, Any] = field(default_factory=dict)
    next: str = ""
    code: int = 0


def show(outcome: Outcome, command: str, *, as_json: bool) -> int:
    """Print an outcome; returns its exit code."""
    if as_json:
        whole: Mapping[str, Any] = {"schema": SCHEMA, "command": command, "exit_code": outcome.code, **outcome.data}
        print(json.dumps(whole, ensure_ascii=True, allow_nan=False))  # noqa: T201
        return outcome.code
    colour = wants_colour(sys.stdout)
    for line in outcome.lines:
        print(painted(line) if colour else clean(line))  # noqa: T201
    if outcome.next:
        print(f"\nNext: {clean(outcome.next)}")  # noqa: T201
    return outcome.code


def tell(text: str) -> None:
    """Say something beside the results."""
    print(clean(text), file=sys.stderr)  # noqa: T201


def clean(text: str) -> str:
    """Text of a workbook without what a terminal would obey."""
    return "".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in text)


def wants_colour(stream: TextIO) -> bool:
    """Only on a terminal, and never against NO_COLOR."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def painted(line: str) -> str:
    """A line with its verdict set off."""
    text = clean(line)
    for word, style in _PAINT:
        if f" {word}" in text:
            return text.replace(f" {word}", f" \x1b[{style}m{word}\x1b[0m", 1)
    return text


def progress() -> Callable[[str], None]:
    """Tells how far the work is, once it takes longer than a second and somebody looks."""
    started, shown = time.monotonic(), [0.0]

    def heard(words: str) -> None:
        now = time.monotonic()
        if sys.stderr.isatty() and now - started > 1.0 and now - shown[0] > 0.2:
            shown[0] = now
            print(f"\r{words:<40}", end="", file=sys.stderr, flush=True)  # noqa: T201

    return heard
