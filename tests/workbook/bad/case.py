"""One case: how its file is made, and what is expected."""

from collections.abc import Callable, Mapping
from typing import NamedTuple


class Case(NamedTuple):
    """A file that is refused with `words` in the message, or read: `values` are those of its first sheet then.

    `suffix` is how its name ends.
    """

    make: Callable[[], bytes]
    words: str = ""
    values: Mapping[str, object] | None = None
    suffix: str = ".xlsx"


def refused(data: bytes | Callable[[], bytes], words: str, suffix: str = ".xlsx") -> Case:
    return Case(data if callable(data) else lambda: data, words, suffix=suffix)


def read(data: bytes | Callable[[], bytes], values: Mapping[str, object] | None = None, suffix: str = ".xlsx") -> Case:
    return Case(data if callable(data) else lambda: data, values={"B1": 6.0} if values is None else values,
                suffix=suffix)  # fmt: skip
