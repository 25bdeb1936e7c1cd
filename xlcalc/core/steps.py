"""What a function says about its own work, for ANSWER_STEPS. Nothing is kept unless somebody listens."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from xlcalc.core.tables import Provenance

_listening: ContextVar[list[str] | None] = ContextVar("steps", default=None)


def listening() -> bool:
    """True while steps are being taken: ask before working out a figure only to tell it."""
    return _listening.get() is not None


def step(words: str) -> None:
    """Tell an intermediate value or a remark, e.g. `Reynolds number 1834: laminar`."""
    taken = _listening.get()
    if taken is not None and words not in taken:
        taken.append(words)


def cite(label: str, provenance: Provenance) -> None:
    """Tell where a figure used on the way comes from."""
    if listening():
        step(f"{label}: {provenance.cited}")


@contextmanager
def steps_taken() -> Iterator[list[str]]:
    """Collect what is told while the block runs."""
    taken: list[str] = []
    token = _listening.set(taken)
    try:
        yield taken
    finally:
        _listening.reset(token)
