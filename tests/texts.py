"""Texts of the letters that go wrong somewhere: all of Latin, other alphabets and digits, signs, what is not seen.

Every letter that there is would do too, but sorting them by kind takes hypothesis two seconds a process.
"""

from hypothesis import strategies as st

BLOCKS = (
    (0x0000, 0x0250),  # control characters, Latin
    (0x0370, 0x0500),  # Greek, Cyrillic
    (0x0600, 0x0700),  # Arabic and its digits
    (0x2000, 0x2300),  # blanks of every width, marks of direction, superscripts, fractions, arrows, signs of arithmetic
    (0xD800, 0xD810),  # halves of characters, which no file can hold
    (0xFE00, 0xFE10),  # marks that change the letter before
    (0xFF00, 0x10000),  # wide forms, and what is no character
    (0x1F600, 0x1F640),  # beyond sixteen bits
)
LETTERS = "".join(chr(each) for first, end in BLOCKS for each in range(first, end))


def texts(longest: int | None = None) -> st.SearchStrategy[str]:
    """Any text of these letters."""
    return st.text(LETTERS, max_size=longest)
