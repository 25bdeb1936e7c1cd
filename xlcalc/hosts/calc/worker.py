"""The worker process of the Calc add-in: answers call after call until the office has gone."""

import os
import sys
import threading
import time

from xlcalc import __version__
from xlcalc.hosts.calc.answering import answer, ready
from xlcalc.hosts.calc.component.bridge import receive, send

STUCK = 3
GRACE = 2.0  # seconds beyond the office's own patience


class Watch:
    """Ends this process when one call takes longer than anybody waits for it, also when the office has gone."""

    def __init__(self, patience: float) -> None:
        self._longest = patience + GRACE
        self.since: float | None = None
        threading.Thread(target=self._look, daemon=True).start()

    def _look(self) -> None:
        while True:
            time.sleep(1)
            since = self.since
            if since is not None and time.monotonic() - since > self._longest:
                os._exit(STUCK)


def main() -> None:
    """Serve until the input ends. Nothing that anybody prints can get between two messages."""
    source, sink = os.fdopen(os.dup(0), "rb"), os.fdopen(os.dup(1), "wb")
    nowhere = os.open(os.devnull, os.O_RDWR)
    for used in (0, 1):
        os.dup2(nowhere, used)
    try:
        ready()
        watch = Watch(receive(source)["patience"])
        send(sink, {"version": __version__})
        while True:
            name, cells = receive(source)
            watch.since = time.monotonic()
            send(sink, answer(name, cells))
            watch.since = None
    except (EOFError, BrokenPipeError):
        sys.exit(0)
