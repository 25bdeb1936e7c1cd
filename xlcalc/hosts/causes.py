"""What `xlcalc doctor` looks at: one subject a line, what was found, and what to do where it stands in the way."""

from typing import NamedTuple


class Cause(NamedTuple):
    """A thing on which a host depends, as it was found on this machine.

    `do` is the sentence that says what to do, and is empty where nothing stands in the way. `subject` and
    `found` read as one line: `Python: 3.11.7, 64 bit`.
    """

    subject: str
    found: str
    do: str = ""
