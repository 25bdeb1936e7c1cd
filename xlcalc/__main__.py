"""The program's start, as `xlcalc` and as `python -m xlcalc`: Ctrl-C is answered alike from here on."""

import os
import signal
import sys
from contextlib import suppress
from typing import NoReturn

INTERRUPTED = 128 + signal.SIGINT  # as a shell says it of a program that Ctrl-C ended


def main() -> int:
    """Load the command line and run it; returns the exit code.

    Ctrl-C while it loads ends at once, without the traceback that Python would print; once it has answered, Ctrl-C
    changes nothing any more. Who started the program with Ctrl-C switched off keeps it so.
    """
    heard = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if heard:
        signal.signal(signal.SIGINT, end_at_once)
    from xlcalc.hosts.cli import main as command_line  # noqa: PLC0415  (it takes a tenth of a second to load)

    try:
        if heard:
            signal.signal(signal.SIGINT, signal.default_int_handler)
        return command_line()
    except KeyboardInterrupt:
        return INTERRUPTED  # pressed again while the first was answered
    finally:
        if heard:
            signal.signal(signal.SIGINT, signal.SIG_IGN)


def end_at_once(*_: object) -> NoReturn:
    """End where no file has been looked at yet."""
    with suppress(OSError):
        os.write(sys.__stderr__.fileno() if sys.__stderr__ else -1, b"xlcalc: interrupted; the file is as it was.\n")
    os._exit(INTERRUPTED)


if __name__ == "__main__":
    sys.exit(main())
