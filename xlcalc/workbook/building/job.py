"""A job as typed into the workbook: what stands on Start, the lines, and the shop's own rows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

Cells = Mapping[str, object]

FEWEST_ROWS, ROWS = 1, 60  # lines that a workbook has room for: the fewest, and where nobody asks for another number
MOST_ROWS = 1_500  # a filled row is about 70,000 bytes over all sheets, and the engine reads `LARGEST_BOOK`


@dataclass(frozen=True)
class Job:
    """`start` maps a named cell of Start to its value; rows map column keys to values; `tables` maps the name of a
    table of another sheet to its rows; `room` is how many lines the workbook holds."""

    start: Cells = field(default_factory=dict)
    lines: Sequence[Cells] = ()
    fluids: Sequence[Cells] = ()
    hoses: Sequence[Cells] = ()
    invented: bool = False
    room: int = ROWS
    tables: Mapping[str, Sequence[Cells]] = field(default_factory=dict)
