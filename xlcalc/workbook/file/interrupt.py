"""Ctrl-C while the engine works, and while a file is written."""

import signal
import threading
from collections.abc import Callable
from types import FrameType
from typing import Any, Self


class Held:
    """Notes Ctrl-C while something must not be torn apart, and obeys it at the end or at a good moment between.

    One may stand inside another: the outer one then obeys.
    """

    def __init__(self) -> None:
        self.done = ""
        """What is to be said of the file once there is no way back."""
        self._seen: tuple[int, FrameType | None] | None = None
        self._before: Any = None

    def __enter__(self) -> Self:
        if threading.current_thread() is threading.main_thread():
            self._before = signal.getsignal(signal.SIGINT)
            if callable(self._before):
                signal.signal(signal.SIGINT, self._note)
        return self

    def _note(self, number: int, frame: FrameType | None) -> None:
        self._seen = number, frame

    def obey(self) -> None:
        """Raise KeyboardInterrupt where Ctrl-C was pressed: a good moment to stop."""
        if self._seen:
            raise KeyboardInterrupt(self.done)

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if callable(self._before):
            signal.signal(signal.SIGINT, self._before)
            if self._seen and kind is None:
                try:
                    self._before(*self._seen)
                except KeyboardInterrupt as stop:
                    raise KeyboardInterrupt(self.done) from stop


class Interrupt(Held):
    """Lets Ctrl-C stop the engine in good order and then do what it would have done.

    Inside a callback an interrupt would be taken for an error of the formula and vanish.
    """

    def __init__(self, cancel: Callable[[], None]) -> None:
        super().__init__()
        self._cancel = cancel

    def _note(self, number: int, frame: FrameType | None) -> None:
        super()._note(number, frame)
        self._cancel()

    def __exit__(self, *_: object) -> None:
        super().__exit__(None)  # what an engine that is stopped raises is no fault
