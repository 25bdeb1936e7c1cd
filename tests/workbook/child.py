"""Work that is done in a child of the test process."""

import os
from collections.abc import Callable

from xlcalc.core.errors import FileError

NOBODY = 65_534


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
