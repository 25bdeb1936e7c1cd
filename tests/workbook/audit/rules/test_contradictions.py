"""Words of a row that contradict each other, or what the book says of the line in it."""

from collections.abc import Sequence

import pytest

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.rules.contradictions import LOOKED, contradictions

from ..sheets import book, listed, places

LINES = listed(
    ("Line", "From", "Use", "Fluid"),
    [("PS-1", "pump", "pressure", "power steering mineral"), ("GB-2", "cooler", "return", "ATF generic"),
     ("VA-3", "tee", "vacuum", "air"), ("FU-4", "tank", "vent", "petrol"),
     ("BR-3", "engine", "vent", "engine oil 10W-40"), ("return", "cooler", "return", "ATF generic")],
)  # fmt: skip


def found(heads: Sequence[str], row: Sequence[object], **others: dict[str, object]) -> list[str]:
    """The cells of a table of one row that contradict each other."""
    return places(contradictions(book({"Lines": LINES, "Here": listed(heads, [row]), **others})))


def test_the_headers_that_are_asked_for_are_those_of_a_new_workbook() -> None:
    known = {(each["table"], each["head"]) for each in raw_rows("audit/known_checks")}
    tables = {"What": "Reading", "Flow set by": "Line", "End or clamp": "Line", "Seat": "Part", "Angle": "Part"}
    assert tables.keys() == LOOKED.keys()
    assert {(table, head) for head, table in tables.items()} <= known
    assert {("Reading", "Line"), ("Line", "Ends"), ("Line", "From"), ("Part", "Held by")} <= known


@pytest.mark.parametrize(
    ("name", "line", "what", "cells"),
    [
        ("PS-1, gauge", "PS-1", "pressure drop", []),
        ("PS-1, gauge", "GB-2", "pressure drop", ["A2", "C2"]),
        ("PS-1 to GB-2", "GB-2", "pressure drop", []),  # it speaks of two
        ("return of the box", "GB-2", "return temperature", []),  # a word, and by chance a line
        ("two stops", "VA-3", "vacuum after stops", []),
        ("two stops", "GB-2", "vacuum after stops", ["D2", "C2"]),
        ("a can", "VA-3", "flow", ["D2", "C2"]),
    ],
)
def test_a_reading_is_taken_on_the_line_it_is_called_after(name: str, line: str, what: str, cells: list[str]) -> None:
    assert found(("Reading", "Line", "What"), (name, line, what)) == cells


@pytest.mark.parametrize(
    ("line", "by", "cells"),
    [
        ("FU-4", "fuel filling", []),
        ("BR-3", "blow-by", []),
        ("BR-3", "Lines", []),
        ("BR-3", "fuel filling", ["A2", "C2"]),
        ("FU-4", "blow-by", ["A2", "C2"]),
        ("VA-3", "fuel filling", []),  # air: a vent may be called so
    ],
)
def test_the_flow_of_a_vent_is_set_by_what_runs_in_it(line: str, by: str, cells: list[str]) -> None:
    assert found(("Line", "Flow set by"), (line, by)) == cells


@pytest.mark.parametrize(
    ("ends", "item", "cells"),
    [
        ("clamps", "hose clamp", []),
        ("crimped", "hose clamp", ["C2", "D2"]),
        ("crimped", "crimp -6", []),
        ("clamps", "crimp -6", ["C2", "D2"]),
        ("reusable", "crimp -6", []),  # neither is a clamp: a shop may sort them otherwise
        ("crimped", "an item of its own", []),
    ],
)
def test_ends_are_bought_as_they_are_held(ends: str, item: str, cells: list[str]) -> None:
    parts = listed(("Part", "Seat", "Held by"), [("crimp -6", "other", "crimped")])
    small = listed(("Small part", "Counted by"), [("hose clamp", "hose clamps"), ("clip", "P-clips")])
    assert found(("Line", "Ends", "End or clamp"), ("PS-1", ends, item), Parts=parts, Small=small) == cells


@pytest.mark.parametrize(
    ("name", "seat", "cells"),
    [
        ("crimp 37 degree -6", "flare 37 degree", []),
        ("crimp 37 degree -6", "O-ring face", ["A2", "C2"]),
        ("crimp o-ring face -8", "banjo", ["A2", "C2"]),
        ("banjo to 37 degree", "banjo", []),  # it has both
        ("adaptor -6", "banjo", []),
        ("banjo -5", "other", []),
    ],
)
def test_a_part_seals_as_its_name_says(name: str, seat: str, cells: list[str]) -> None:
    assert found(("Part", "Seat"), (name, seat)) == cells


@pytest.mark.parametrize(
    ("name", "angle", "cells"),
    [
        ("crimp 37 degree 90 elbow -6", 90.0, []),
        ("crimp 37 degree 90 elbow -6", 0.0, ["A2", "D2"]),
        ("crimp 37 degree 90 elbow -6", None, []),  # still to be filled in
        ("crimp 37 degree -6", 45.0, []),
    ],
)
def test_a_part_turns_as_far_as_its_name_says(name: str, angle: float | None, cells: list[str]) -> None:
    assert found(("Part", "Seat", "Angle"), (name, "flare 37 degree", angle)) == cells
