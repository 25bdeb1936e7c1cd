"""What was done to files so far, and what is worth knowing of it. Nothing is kept unless somebody listens."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field


@dataclass
class Done:
    """What was done: clauses such as `job.xlsx holds the new values`, and sentences that a person should read."""

    written: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    @property
    def words(self) -> str:
        """All that was written, without a full stop; empty where nothing was."""
        return "; ".join(self.written)


_listening: ContextVar[Done | None] = ContextVar("done", default=None)


def tell_written(words: str, remark: str = "") -> None:
    """Say that a file has its new content now."""
    if (done := _listening.get()) is not None:
        done.written.append(words)
        done.remarks += [remark] if remark else []


@contextmanager
def listening() -> Iterator[Done]:
    """Collect what is told while the block runs."""
    done = Done()
    token = _listening.set(done)
    try:
        yield done
    finally:
        _listening.reset(token)
