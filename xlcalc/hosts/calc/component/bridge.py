"""The office's side of a call: cells as plain values, a worker process that answers, values for cells again.

Runs in the office's own Python, which may be as old as 3.8, and uses the standard library alone.
"""

from __future__ import annotations

import json
import os
import re
import struct
import subprocess
import threading
import time
from typing import IO, Any

# Calc's own numbers, from its help, "Error Codes in LibreOffice Calc"; 32767 is its #N/A.
ERRORS = {"#NULL!": 521, "#DIV/0!": 532, "#VALUE!": 519, "#REF!": 524, "#NAME?": 525, "#NUM!": 503, "#N/A": 32767}
QUIET_NAN = 0x7FF8 << 48
RESTS_AFTER, REST = 2, 30.0  # failures in a row, seconds: a worker that cannot answer is not asked for every cell
OFFICE_ONLY = ("PYTHON", "LD_LIBRARY_PATH", "LD_PRELOAD", "DYLD_", "UNO_", "URE_")  # set by an office for itself
NO_WINDOW = 0x08000000  # Windows: a worker has no console window


class Silent(Exception):
    """No answer: the worker cannot be started, died twice or took too long."""


def error_value(code: str) -> float:
    """The number that Calc shows as a real error: not a number, with Calc's own error number in its low bits."""
    return float(struct.unpack("<d", struct.pack("<Q", QUIET_NAN | ERRORS.get(code, ERRORS["#VALUE!"])))[0])


class Reader:
    """Makes plain values of what Calc hands over.

    `decimal` is the decimal sign of the office: a required argument comes as text, a number in it with 15 digits.
    Text that looks exactly as Calc writes a number is that number; all other text stays as it is.
    """

    def __init__(self, decimal: str) -> None:
        self._decimal = decimal
        sign = re.escape(decimal)
        self._number = re.compile(rf"-?(?:0|[1-9]\d*)(?:{sign}\d*[1-9])?(?:E[+-]\d+)?", re.ASCII)

    def cells(self, ways: str, given: tuple[Any, ...]) -> list[Any]:
        """The arguments of a call; `ways` has a letter each: s text, a any, r all that follow."""
        found = []
        for way, value in zip(ways, given):
            if way == "r":
                found += [self.cell(each, False) for each in value]
            else:
                found.append(self.cell(value, way == "s"))
        return found

    def cell(self, value: Any, written: bool) -> Any:
        """None for a blank, a number, a text, or rows; `written` where Calc wrote numbers as text."""
        if isinstance(value, tuple):
            rows = [[self.cell(each, written) for each in row] for row in value]
            return rows[0][0] if written and len(rows) == 1 and len(rows[0]) == 1 else rows
        if isinstance(value, str):
            if written and self._number.fullmatch(value):
                return float(value.replace(self._decimal, "."))
            return value or None
        return None if value is None else float(value)


def rows(answer: Any) -> tuple[tuple[Any, ...], ...]:
    """An answer as rows of what a cell holds; a single one is a row of one."""
    if isinstance(answer, list):
        return tuple(tuple(_held(each) for each in row) for row in answer)
    return ((_held(answer),),)


def one(answer: Any) -> Any:
    """An answer as what one cell holds; #VALUE! where there are several."""
    return _held({"error": "#VALUE!"} if isinstance(answer, list) else answer)


def _held(value: Any) -> Any:
    if isinstance(value, dict):
        return error_value(value["error"])
    return value if isinstance(value, str) else float(value)


def send(pipe: IO[bytes], message: Any) -> None:
    """Write a message: four bytes with its length, then JSON."""
    body = json.dumps(message).encode("ascii")
    pipe.write(struct.pack("<I", len(body)) + body)
    pipe.flush()


def receive(pipe: IO[bytes]) -> Any:
    """The next message. Raises EOFError where the other side has gone."""
    size = pipe.read(4)
    if len(size) < 4:
        raise EOFError("the other side has gone")
    (length,) = struct.unpack("<I", size)
    body = pipe.read(length)
    if len(body) < length:
        raise EOFError("the other side has gone")
    return json.loads(body)


class Worker:
    """A child process that answers calls: started at the first, started anew when it dies, ended when it hangs.

    It ends with the office, because its input ends then. A call waits `patience` seconds at most, a start
    `first_patience`.
    """

    def __init__(self, command: list[str], patience: float, first_patience: float) -> None:
        self._command, self._patience, self._first_patience = command, patience, first_patience
        self._process: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()
        self._until: float | None = None
        self._failures, self._rests_until = 0, 0.0

    def ask(self, name: str, cells: list[Any]) -> Any:
        """The answer of a call. Raises Silent where there is none."""
        with self._lock:
            if self._failures >= RESTS_AFTER and time.monotonic() < self._rests_until:
                raise Silent("the worker failed a moment ago")
            try:
                answer = self._tried(name, cells)
            except Silent:
                self._failures += 1
                self._rests_until = time.monotonic() + REST
                raise
            self._failures = 0
            return answer

    def _tried(self, name: str, cells: list[Any]) -> Any:
        for last in (False, True):
            began = time.monotonic()
            try:
                return self._talk(self._running(), [name, cells], self._patience)
            except (OSError, EOFError, ValueError) as fault:
                self.end()
                if last or time.monotonic() - began >= self._patience:
                    raise Silent(str(fault)) from None
        raise AssertionError("the second try answers or raises")

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self.end()
        kept = {name: value for name, value in os.environ.items() if not name.upper().startswith(OFFICE_ONLY)}
        self._process = process = subprocess.Popen(
            self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=kept,
            cwd=os.path.dirname(self._command[0]) or None, creationflags=NO_WINDOW if os.name == "nt" else 0,
        )  # fmt: skip
        threading.Thread(target=self._watch, args=(process,), daemon=True).start()
        self._talk(process, {"patience": self._patience}, self._first_patience)
        return process

    def _talk(self, process: subprocess.Popen[bytes], message: Any, patience: float) -> Any:
        """Send a message and wait for the answer. Raises OSError and EOFError where the process has gone."""
        if process.stdin is None or process.stdout is None:
            raise EOFError("the process has no pipes")
        self._until = time.monotonic() + patience
        try:
            send(process.stdin, message)
            return receive(process.stdout)
        finally:
            self._until = None

    def _watch(self, process: subprocess.Popen[bytes]) -> None:
        """End the process when a call takes too long: the call then finds that the other side has gone."""
        while process.poll() is None:
            until = self._until
            if until is not None and time.monotonic() > until:
                process.kill()
            time.sleep(min(0.5, self._patience / 4))

    def end(self) -> None:
        """End the process, if there is one; the next call starts another."""
        if self._process is not None:
            process, self._process = self._process, None
            process.kill()
            for pipe in (process.stdin, process.stdout):
                try:
                    if pipe is not None:
                        pipe.close()
                except OSError:  # what was still to be sent cannot be sent any more
                    pass
            process.wait()
