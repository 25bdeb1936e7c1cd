"""Routing and supports: slack, bends, clips, clearance, holes and the torque of a nut."""

import math
from dataclasses import replace
from typing import Any

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import NoAnswer
from xlcalc.core.kinds import Word
from xlcalc.core.quantities import Angle, Quantity
from xlcalc.core.steps import cite, listening, step
from xlcalc.core.verdicts import CHANGE, NEAR, WITHIN
from xlcalc.core.words import plain
from xlcalc.functions.figures import Figure
from xlcalc.functions.supports import (
    LINE_KINDS,
    Size,
    SizeKind,
    TableFigure,
    support_row,
    tell_second_torque,
    torque_row,
)
from xlcalc.functions.wording import said, told_apart

HOSE_INSTALLATION = ("AC43-9-30", "FAA-H-8083-30")
SUPPORTS = ("AC43-9-30", "MILH8891A", "MEM")
NEAR_SHARE = Figure("near-share", "limits")
LEAST_SLACK, MOST_SLACK = Figure("slack-least", "limits"), Figure("slack-most", "limits")
NONE_NEAR = "none near"
SPACING, TORQUE = TableFigure("spacing of supports"), TableFigure("torque of nuts")
CENTRES = Arg("Centres", "mm", 1, 100_000, help="straight distance between the two ends")
FINISHED_LENGTH = Arg("Finished length", "mm", 1, 100_000, help="of the hose, seat to seat")
RUN_LENGTH = Arg("Run length", "m", 0, 100)
LINE_KIND = Arg("Line kind", Word(*LINE_KINDS))
TUBE_SIZE = Arg("Size", SizeKind(), default="", help="of a tube; a hose needs none")
OUTSIDE = Arg("Outside diameter", "mm", 1, 300)
SUPPORT_CAUTION = "Aircraft practice as an engineering default; 20 % closer where a tube carries unions."
TORQUE_CAUTION = (
    "Lubricated threads, swivel nut of a hose: the part maker's figure goes first; a nut on a steel tube "
    "wants more. Never tighten under pressure."
)
CLEARANCE_CAUTION = (
    "Common practice, no number in law: rules forbid contact. A sleeve delays a flame, it does not raise the "
    "service temperature of the hose."
)
_A_HAIR = 1e-9  # what misses a limit or a whole number by rounding only


class ClearanceKind(Quantity):
    """A clearance in mm, or the words that nothing hot is near, which read as infinite."""

    def __init__(self) -> None:
        super().__init__("mm", 0, 1000)

    def _read_text(self, text: str) -> float:
        return math.inf if plain(text).casefold() == NONE_NEAR else super()._read_text(text)

    def allows(self) -> str:
        return f'{super().allows()}, or "{NONE_NEAR}"'

    def show(self, value: Any) -> str:
        return NONE_NEAR if value == math.inf else super().show(value)

    def good(self) -> list[object]:
        return [*super().good(), NONE_NEAR, "None Near"]


@worksheet_function(
    "HOSE_SLACK",
    args={"centres": CENTRES, "finished_length": FINISHED_LENGTH},
    answer=Answer("Slack", "%"),
    sources=HOSE_INSTALLATION,
    example=example(800, 850, shows="5.88", source="FAA-H-8083-30"),
)
def hose_slack(centres: float, finished_length: float) -> float:
    """Slack of a straight hose run as a share of the hose's own length.

    Method: (L - C) / L, L the finished length, C the centres; 5 to 8 % is wanted.
    No answer: #NUM! where the hose is shorter than its centres.
    Not for: bent runs, or hoses whose end moves: add the travel.
    """
    if finished_length < centres:
        length, apart = told_apart(finished_length, centres, "mm")
        raise NoAnswer(f"the hose of {length} mm is shorter than its centres, {apart} mm")
    if listening():
        LEAST_SLACK.tell()
        MOST_SLACK.tell()
    return (finished_length - centres) / finished_length


@worksheet_function(
    "HOSE_FINISHED_LENGTH",
    args={"centres": CENTRES, "slack": Arg("Slack", "%", 0, 50, default=6, help="of the hose's own length"),
          "travel": Arg("Travel", "mm", 0, 2000, default=0, help="how far one end moves away")},
    answer=Answer("Finished length", "mm"),
    sources=HOSE_INSTALLATION,
    example=example(1505, shows="1601"),
)  # fmt: skip
def hose_finished_length(centres: float, slack: float, travel: float) -> float:
    """Finished length of a straight hose run with slack and travel.

    Method: C / (1 - s) + travel, C the centres, s the slack as a share of the hose's own length.
    Not for: bent runs: add up straights and BEND_LENGTH.
    """
    return centres / (1.0 - slack) + travel


@worksheet_function(
    "BEND_LENGTH",
    args={"radius": Arg("Bend radius", "mm", 0, 5000, help="to the middle of the hose or tube"),
          "angle": Arg("Angle", Angle("deg", 0, 720))},
    answer=Answer("Length of the bend", "mm"),
    sources=("GEOMETRY",),
    example=example(95, 90, shows="149.2"),
)  # fmt: skip
def bend_length(radius: float, angle: float) -> float:
    """Length of hose or tube in a bend.

    Method: arc, radius times angle.
    Not for: the straight that a hose needs behind each end, twice its diameter.
    """
    return radius * angle


def _spacing_limit(line_kind: str, size: Size | None, spacing: TableFigure) -> float:
    row = support_row(line_kind, size)
    if listening():
        cite(f"Spacing of {line_kind} supports", row.provenance)
    return spacing.of(row, "pitch")


@worksheet_function(
    "CLIP_COUNT",
    args={"run_length": RUN_LENGTH, "line_kind": replace(LINE_KIND, default="hose"), "size": TUBE_SIZE},
    answer=Answer("Clips between the ends"),
    sources=SUPPORTS,
    example=example(1.3, shows="2", source="AC43-9-30"),
    cautions=(SUPPORT_CAUTION,),
)
def clip_count(run_length: float, line_kind: str, size: Size | None, *, spacing: TableFigure = SPACING) -> int:
    """Clips that a run needs between its two held ends.

    Method: the fewest that keep every stretch within the support spacing, one less than the stretches.
    No answer: #VALUE! where a tube is given without its size.
    Not for: whether a short free run may go without, or clips next to bends and ends: the fitter decides.
    """
    limit = _spacing_limit(line_kind, size, spacing)
    stretches = max(1, math.ceil(run_length / limit - _A_HAIR))
    if listening():
        each = said(run_length / stretches, "mm")
        step(f"Support at least every {said(limit, 'mm')}: {stretches} x {each} between supports")
    return stretches - 1


@worksheet_function(
    "CLIP_SPACING_LIMIT",
    args={"line_kind": LINE_KIND, "size": TUBE_SIZE},
    answer=Answer("Clips at most apart", "mm"),
    sources=SUPPORTS,
    example=example("steel tube", "3/8 in", shows="508", source="MILH8891A"),
    cautions=(SUPPORT_CAUTION,),
)
def clip_spacing_limit(line_kind: str, size: Size | None, *, spacing: TableFigure = SPACING) -> float:
    """Largest distance between two supports of a line.

    Method: the support table, by kind of line and, for a tube, its size.
    No answer: #VALUE! where a tube is given without its size.
    Not for: tubes that carry unions, valves or filters: support those on their own.
    """
    return _spacing_limit(line_kind, size, spacing)


@worksheet_function(
    "CLEARANCE_CHECK",
    args={"clearance": Arg("Clearance to exhaust", ClearanceKind(), help="and to other hot parts"),
          "shield": Arg("Shield", Word("none", "sleeve", "heat shield"), default="none"),
          "bare_limit": Arg("Limit bare", "mm", 0, 1000, "PRACTICE", default=100),
          "shielded_limit": Arg("Limit with sleeve or shield", "mm", 0, 1000, "PRACTICE", default=50)},
    answer=Answer("Clearance to exhaust"),
    sources=("PRACTICE", "CFR49-393-45", "CFR49-393-83", "NAV14315"),
    example=example(70, shows="Change: 70 mm bare to exhaust, at least 100: sleeve or shield"),
    cautions=(CLEARANCE_CAUTION,),
)  # fmt: skip
def clearance_check(clearance: float, shield: str, bare_limit: float, shielded_limit: float) -> str:
    """Whether a line is far enough from the exhaust, bare or with sleeve or shield.

    Method: clearance against the limit of its kind; Near limit where it is less than 10 % over.
    Not for: heat that rises, or a shield that touches the line.
    """
    bare = shield == "none"
    limit = bare_limit if bare else shielded_limit
    if clearance * (1.0 + _A_HAIR) >= limit * (1.0 + NEAR_SHARE.value):
        return WITHIN
    given, least = told_apart(clearance, limit, "mm")
    words = f"{given} mm {'bare' if bare else f'with {shield}'} to exhaust, at least {least}"
    if clearance >= limit:
        return f"{NEAR}: {words}"
    return f"{CHANGE}: {words}: {'sleeve or shield' if bare else 'move the line'}"


@worksheet_function(
    "WRAP_LENGTH",
    args={"run_length": RUN_LENGTH, "outside_diameter": OUTSIDE,
          "pitch": Arg("Pitch", "mm", 1, 1000, help="along the line, for one turn")},
    answer=Answer("Length of wrap", "m"),
    sources=("GEOMETRY",),
    example=example(2, 17, 25, shows="4.72"),
)  # fmt: skip
def wrap_length(run_length: float, outside_diameter: float, pitch: float) -> float:
    """Length of spiral wrap for a run.

    Method: helix, run / pitch times the root of (pi D)^2 + pitch^2, D the outside diameter.
    Not for: the waste at both ends.
    """
    return run_length / pitch * math.hypot(math.pi * outside_diameter, pitch)


@worksheet_function(
    "PANEL_HOLE",
    args={"outside_diameter": replace(OUTSIDE, help="of the hose, with its sleeve where it has one"),
          "grommet_wall": Arg("Grommet wall", "mm", 0, 50),
          "end_across_corners": Arg("End across corners", "mm", 0, 200, default=0, help="if it must pass")},
    answer=Answer("Hole in the panel", "mm"),
    sources=("GEOMETRY",),
    example=example(17.018, 2.5, 20.2, shows="22.0"),
)  # fmt: skip
def panel_hole(outside_diameter: float, grommet_wall: float, end_across_corners: float) -> float:
    """Hole in a panel that takes the hose with its grommet, and lets the end pass.

    Method: the larger of outside diameter plus two grommet walls, and the end across corners.
    Not for: grommets whose maker prints the hole: that figure goes first.
    """
    with_grommet = outside_diameter + 2.0 * grommet_wall
    if listening():
        decides = "hose with grommet" if with_grommet >= end_across_corners else "end"
        step(f"The {decides} decides: hose with grommet {said(with_grommet, 'mm')}, "
             f"end {said(end_across_corners, 'mm')}")  # fmt: skip
    return max(with_grommet, end_across_corners)


@worksheet_function(
    "NUT_TORQUE",
    args={"size": replace(TUBE_SIZE, default=None, help="dash, or the tube that it names"),
          "metal": Arg("Metal", Word("steel", "aluminium", "mixed"), help="of nut and port"),
          "bound": Arg("Bound", Word("low", "high"), default="low")},
    answer=Answer("Torque", "N m"),
    sources=("NAV14018", "TM55-240"),
    example=example(-6, "steel", shows="24.3", source="NAV14018"),
    cautions=(TORQUE_CAUTION,),
)  # fmt: skip
def nut_torque(size: Size, metal: str, bound: str, *, torque: TableFigure = TORQUE) -> float:
    """Lowest or highest torque of the 37 degree swivel nut of a hose end.

    Method: the torque table, by size and metal; mixed metals take the aluminium figures.
    Not for: dry threads, nuts on tube, O-ring ports and banjo bolts.
    """
    row = torque_row(size, metal)
    if listening():
        cite(f"Torque of size {row.text('size')}", row.provenance)
        tell_second_torque(row.text("size"), metal)
    return torque.of(row, bound)
