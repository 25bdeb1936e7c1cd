"""A disk that fails on purpose: every call of the system is noted, and one of them can be made to fail."""

import errno
import io
import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

WATCHED = [
    "open", "close", "read", "write", "fsync", "fdatasync", "replace", "rename", "unlink", "remove", "stat", "lstat",
    "fstat", "chmod", "fchmod", "chown", "fchown", "link", "symlink", "readlink", "mkdir", "rmdir", "listdir",
    "scandir", "truncate", "ftruncate", "utime", "access",
]  # fmt: skip


def fault(number: int, windows: int = 0) -> Callable[[], OSError]:
    def made() -> OSError:
        found = OSError(number, os.strerror(number))
        if windows:
            found.winerror = windows  # type: ignore[attr-defined]
        return found

    return made


ERRORS = {
    "disk full": fault(errno.ENOSPC),
    "disk fault": fault(errno.EIO),
    "no permission": fault(errno.EACCES),
    "read-only disk": fault(errno.EROFS),
    "sharing violation": fault(errno.EACCES, 32),
}
ONCE, THAT_CALL, EVERYTHING = "once", "that call from then on", "everything from then on"


class Disk:
    """The calls so far; `act` is asked before each, with its number and name, and may raise."""

    def __init__(self, act: Callable[[int, str], object] = lambda *_: None) -> None:
        self.calls: list[str] = []
        self._act = act
        self._thread = threading.get_ident()

    def called(self, name: str) -> None:
        if threading.get_ident() == self._thread:
            self.calls.append(name)
            self._act(len(self.calls) - 1, name)

    def wrapped(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            self.called(name)
            return real(*given, **named)

        return call

    @contextmanager
    def in_use(self) -> Iterator["Disk"]:
        with pytest.MonkeyPatch.context() as patch:
            for name in WATCHED:
                if hasattr(os, name):
                    patch.setattr(os, name, self.wrapped(name, getattr(os, name)))
            real = io.open
            patch.setattr(io, "open", lambda *given, **named: self._opened(real, *given, **named))
            yield self

    def _opened(self, real: Callable[..., Any], *given: Any, **named: Any) -> Any:
        self.called("open")
        file = real(*given, **named)
        disk = self

        class File:
            def __enter__(self) -> "File":
                return self

            def __exit__(self, *_: object) -> None:
                file.close()

            def read(self, *size: int) -> Any:
                disk.called("read")
                return file.read(*size)

        return File()


def failing(at: int, how: str, error: Callable[[], OSError]) -> Disk:
    """A disk whose call number `at` fails: once, or that call from then on, or everything from then on."""
    which: list[str] = []

    def act(number: int, name: str) -> None:
        if number == at:
            which.append(name)
        if number == at or (number > at and (how == EVERYTHING or (how == THAT_CALL and name == which[0]))):
            raise error()

    return Disk(act)
