"""A small job, and tables whose cells go together in each row: as typed, sorted whole, sorted in part."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from .sheets import listed

Row = tuple[object, ...]


class Case(NamedTuple):
    """A table: its headers without the Check in column B, its rows, a column that holds enough of what goes together.

    `letters` are the columns in which cells are named once that one was sorted alone.
    """

    heads: Sequence[str]
    rows: Sequence[Row]
    column: int
    letters: frozenset[str]


PARTS = listed(
    ("Part", "Seat", "Size", "Held by"),
    [*((f"{shape} {size}", "other", size, "crimped") for shape in ("crimp", "elbow") for size in ("-5", "-6", "-8")),
     ("bead 9.5", "other", "9.5", "clamps")],
)  # fmt: skip
LINES = listed(
    ("Line", "From", "Ends", "Hose"),
    [("PS-1", "pump", "crimped", "braid -6"), ("PS-3", "box", "clamps", "return 9.5"),
     ("GB-1", "box", "crimped", "braid -8"), ("FU-1", "tank", "clamps", "return 9.5"),
     ("FU-3", "rail", "crimped", "braid -5"), ("CO-1", "heater", "clamps", "return 9.5")],
)  # fmt: skip
HOSES = listed(
    ("Hose", "Bend radius", "Limit with clamps"),
    [("braid -5", 60.0, None), ("braid -6", 90.0, None), ("braid -8", 120.0, None), ("return 9.5", 80.0, 690.0)],
)
ROUTES = (
    ("PS-1", "crimp -6", "elbow -6"), ("GB-1", "elbow -8", "crimp -8"), ("PS-3", "bead 9.5", "bead 9.5"),
    ("FU-3", "crimp -5", "crimp -5"),
)  # fmt: skip
FLUIDS = listed(("Fluid", "Starts from"), [("oil", "ATF generic"), ("coolant", "coolant 50/50")])
BOOK = {"Fittings": PARTS, "Lines": LINES, "Hoses": HOSES, "Fluids": FLUIDS}
ROUTED = listed(("Line", "End A", "End B"), ROUTES)


def job(heads: Sequence[str], rows: Sequence[Row]) -> dict[str, dict[str, object]]:
    """The sheets of the job with a table; it has routes where the table is none of them."""
    routes = {} if "End A" in heads else {"Routes": ROUTED}
    return {**BOOK, **routes, "Here": listed(heads, rows)}


def by(column: int) -> Callable[[Row], tuple[bool, bool, Any]]:
    """How a spreadsheet sorts by a column: numbers, texts, blanks."""
    return lambda row: (row[column] is None, isinstance(row[column], str), row[column] or 0)


def alone(rows: Sequence[Row], *columns: int) -> list[Row]:
    """Rows of which some columns are sorted by the first of them, the others stay."""
    there = sorted(rows, key=by(columns[0]))
    return [tuple(new[at] if at in columns else old[at] for at in range(len(old)))
            for old, new in zip(rows, there, strict=True)]  # fmt: skip


CASES: Mapping[str, Case] = {
    "sizes of parts": Case(
        ("Part", "Seat", "Size"),
        [("union -6", "other", "-6"), ("union -10", "other", "-10"), ("tee -4", "other", "-4"),
         ("tee -8", "other", "-8")],
        2, frozenset("AD"),
    ),
    "ends of a hose": Case(("Line", "End A", "End B"), ROUTES, 1, frozenset("CDA")),
    "nuts of lines": Case(
        ("Line", "Nut size"),
        [("PS-3", None), ("PS-1", "-6"), ("FU-1", None), ("GB-1", "-8"), ("CO-1", None), ("FU-3", "-5")],
        1, frozenset("AC"),
    ),
    "nuts and metals": Case(
        ("Line", "Nut size", "Nut metal"),
        [("PS-3", None, None), ("PS-1", "-6", "steel"), ("FU-1", None, None), ("GB-1", "-8", "mixed"),
         ("FU-3", "-5", "brass")],
        2, frozenset("CD"),
    ),
    "panels and grommets": Case(
        ("Line", "Panels", "Grommet wall"),
        [("PS-3", None, None), ("PS-1", 1.0, 2.5), ("FU-1", None, None), ("GB-1", 1.0, 2.0), ("CO-1", None, None),
         ("FU-3", 1.0, 2.5), ("FU-4", None, None)],
        1, frozenset("CD"),
    ),
    "slack of straight hoses": Case(
        ("Line", "Shape", "Slack wanted"),
        [("PS-3", "bent", None), ("PS-1", "straight", 6.0), ("FU-1", "bent", None), ("GB-1", "straight", 6.0),
         ("CO-1", "bent", None), ("FU-3", "straight", 6.0), ("FU-4", "bent", None)],
        2, frozenset("CD"),
    ),
    "what was proved before gas": Case(
        ("Line", "Medium", "Proved with liquid"),
        [("PS-1", "liquid", None), ("PS-3", "liquid", None), ("GB-1", "low-pressure gas leak", "yes"),
         ("FU-1", "liquid", None), ("FU-3", "low-pressure gas leak", "no"), ("CO-1", "liquid", None),
         ("CO-2", "liquid", None), ("CO-3", "liquid", None)],
        1, frozenset("CD"),
    ),
    "hoses of options": Case(
        ("Line", "Option", "Hose"),
        [("PS-3", "A", "return 9.5"), ("PS-3", "B", "textile -6"), ("GB-1", "A", "braid -8"),
         ("GB-1", "B", "braid -6")],
        2, frozenset("AD"),
    ),
    "prices of ends": Case(
        ("Line", "Option", "End or clamp", "Ends price each"),
        [("PS-3", "A", "clamp", None), ("PS-3", "B", None, 9.6), ("PS-3", "C", None, 10.4),
         ("GB-1", "A", "clamp", None), ("GB-1", "B", "clamp", None), ("GB-1", "C", None, 29.0)],
        3, frozenset("DE"),
    ),
    "units of prices": Case(
        ("Item", "Unit", "Price"),
        [("braid -6", "m", 9.0), ("crimp -6", "piece", 8.0), ("oil", "L", 7.0), ("braid -8", "m", 9.5),
         ("crimp -8", "piece", 9.0), ("return 9.5", "m", 5.0), ("coolant", "pack", 20.0), ("string", "m", 1.0)],
        1, frozenset("AC"),
    ),
    "sizes of small parts": Case(
        ("Small part", "Counted by", "From"),
        [("clip 13", "P-clips", 13.0), ("clip 17", "P-clips", 16.0), ("washer -5", "banjo washers", None),
         ("tag", "tags", None), ("sleeve 16", "heat sleeve", 12.0), ("spiral", "spiral wrap", 14.0)],
        2, frozenset("CD"),
    ),
    "what is to be looked after": Case(
        ("Line or item", "Life of hose", "Hose made", "When"),
        [("PS-1", 6.0, 45931.0, None), ("PS-3", 6.0, 45839.0, None),
         ("nuts and clamps: torque again", None, None, "at 1000 km"),
         ("catch tanks: drain", None, None, "each oil change"), ("hoses: flex and look", None, None, "every year")],
        3, frozenset("ADE"),
    ),
}  # fmt: skip
