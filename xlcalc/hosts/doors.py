"""The doors into spreadsheet programs, one row each: what the command line, its help and `doctor` know of them."""

from typing import NamedTuple


class Door(NamedTuple):
    """A spreadsheet program that our functions can be put into.

    `name` stands after `xlcalc setup` and is its folder in `hosts`, where `diagnosis.causes` says what stands in its
    way. `text` is the ending of a file with the text of the add-in alone, where that can be taken in by hand.
    """

    name: str
    program: str
    addin: str  # ending of the add-in as a file
    text: str = ""


DOORS = (
    Door("calc", "LibreOffice Calc", ".oxt"),
    Door("excel", "Excel on Windows", ".xlam", text=".bas"),
)
