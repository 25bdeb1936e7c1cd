"""Routing and supports against printed rules, hand calculations and laws."""

from math import cos, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.refused import refused
from xlcalc import CalcError, call, functions
from xlcalc.core.tables import table
from xlcalc.functions.supports import SizeKind

METRES = st.floats(0, 100)
# MIL-H-8891A Table II (steel) and from memory (aluminium): tube outside diameter, dash, mm
SPACING = [
    ("1/4 in", "-4", 406, 343), ("5/16 in", "-5", 457, 381), ("3/8 in", "-6", 508, 419), ("1/2 in", "-8", 584, 483),
    ("5/8 in", "-10", 648, 559), ("3/4 in", "-12", 699, 610), ("1 in", "-16", 762, 673),
]  # fmt: skip
# NAVEDTRA 14018 Table 5-9, N m: dash, steel, aluminium
TORQUES = [
    (-3, (10.7, 11.9), (2.8, 4.0)), (-4, (15.3, 16.4), (5.6, 7.3)), (-5, (19.2, 21.5), (7.9, 10.2)),
    (-6, (24.3, 27.7), (12.4, 14.7)), (-8, (48.6, 53.1), (26.0, 29.4)), (-10, (70.1, 76.8), (37.3, 40.7)),
    (-12, (96.6, 106.8), (52.0, 56.5)), (-16, (128.8, 142.4), (72.3, 79.1)), (-20, (171.7, 189.8), (90.4, 101.7)),
]  # fmt: skip


def test_h1_clips_of_a_run_held_at_its_ends() -> None:
    # check H1 (AC 43.13-1B 9-30): 1.30 m, two more clips, 433 mm each
    assert call("CLIP_COUNT", 1.3) == 2
    assert "3 x 433.3 mm" in "\n".join(row[0] for row in call("ANSWER_STEPS", "CLIP_COUNT", 1.3))


@pytest.mark.parametrize(("run", "clips"), [(0, 0), (0.61, 0), (0.611, 1), (1.22, 1), (1.6, 2), (3, 4)])
def test_clips_by_hand(run: float, clips: int) -> None:
    # 24 in = 610 mm: fewest stretches that are no longer, less one
    assert call("CLIP_COUNT", run, "hose") == clips


def test_h2_slack() -> None:
    # check H2 (FAA-H-8083-30): 800 mm apart, hose 850 mm, 5.88 %
    assert call("HOSE_SLACK", 800, 850) == pytest.approx(5.88, abs=0.01)
    assert call("HOSE_SLACK", 800, 800) == 0
    code, words = refused("HOSE_SLACK", 851, 850)
    assert code == "#NUM!"
    assert "850 mm is shorter than its centres, 851 mm" in words


@pytest.mark.parametrize(
    ("inch", "dash", "steel", "aluminium"), SPACING, ids=[f"MILH8891A:{row[0]}" for row in SPACING]
)
def test_spacing_of_tubes_as_printed(inch: str, dash: str, steel: float, aluminium: float) -> None:
    for size in (inch, dash, int(dash)):
        assert call("CLIP_SPACING_LIMIT", "steel tube", size) == pytest.approx(steel, rel=1e-12)
        assert call("CLIP_SPACING_LIMIT", "aluminium tube", size) == pytest.approx(aluminium, rel=1e-12)


def test_h8_clips_too_far_apart() -> None:
    # check H8 (MIL-H-8891A): 3/8 in steel, clips 600 mm apart are too far, the limit is 508
    assert call("CLIP_SPACING_LIMIT", "steel tube", "3/8 in") == pytest.approx(508, rel=1e-12)
    assert call("CLIP_COUNT", 0.6, "steel tube", "3/8 in") == 1
    assert call("CLIP_SPACING_LIMIT", "hose") == pytest.approx(610, rel=1e-12)


def test_memory_rows_carry_their_doubt() -> None:
    # by hand: 419 mm from memory, 10 %
    assert call("ANSWER_LOW", "CLIP_SPACING_LIMIT", "aluminium tube", -6) == pytest.approx(377.1, rel=1e-9)
    assert call("ANSWER_LOW", "CLIP_SPACING_LIMIT", "steel tube", -6) == pytest.approx(508, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "cells", "code", "says"),
    [
        ("CLIP_COUNT", (1, "steel tube"), "#VALUE!", "size of the steel tube is missing"),
        ("CLIP_SPACING_LIMIT", ("steel tube", -7), "#N/A", "-6 (9.525 mm)"),
        ("CLIP_SPACING_LIMIT", ("steel tube", "10 mm"), "#N/A", "no size 10 mm"),
        ("CLIP_SPACING_LIMIT", ("copper tube", -6), "#VALUE!", "hose, steel tube or aluminium tube"),
        ("NUT_TORQUE", (-7, "steel"), "#N/A", "no size -7"),
        ("NUT_TORQUE", (-6, "brass"), "#VALUE!", "steel, aluminium or mixed"),
        ("NUT_TORQUE", ("six", "steel"), "#VALUE!", "is not a size"),
        ("HOSE_FINISHED_LENGTH", (1000, 0.06), "#VALUE!", "type 6"),
        ("CLEARANCE_CHECK", ("far away",), "#VALUE!", "far away"),
        ("CLEARANCE_CHECK", (None, "sleeve"), "#VALUE!", "none near"),
    ],
)
def test_what_is_refused(name: str, cells: tuple[object, ...], code: str, says: str) -> None:
    got, words = refused(name, *cells)
    assert got == code
    assert says in words


def test_size_kind_holds_its_own_examples() -> None:
    kind = SizeKind()
    for cell in kind.good():
        assert kind.show(kind.read(cell)) in ("-6", "9.525 mm")
    for cell, code in kind.bad():
        with pytest.raises(CalcError) as caught:
            kind.read(cell)
        assert caught.value.code == code, cell


@pytest.mark.parametrize(("size", "steel", "aluminium"), TORQUES, ids=[f"NAV14018:{row[0]}" for row in TORQUES])
def test_torque_as_printed(size: int, steel: tuple[float, float], aluminium: tuple[float, float]) -> None:
    for metal, printed in (("steel", steel), ("aluminium", aluminium), ("mixed", aluminium)):
        got = tuple(call("NUT_TORQUE", size, metal, bound) for bound in ("low", "high"))
        assert got == pytest.approx(printed, rel=1e-12)
    assert call("NUT_TORQUE", size, "steel") == pytest.approx(steel[0], rel=1e-12)


def test_the_second_torque_source_shows() -> None:
    # TM 55-1520-240-23-1: -10 steel 45.2 to 54.2 N m, about a third lower
    lines = [row[0] for row in call("ANSWER_STEPS", "NUT_TORQUE", -10, "steel")]
    found = [line for line in lines if "45.2 to 54.2 N m" in line and "TM 55-1520-240-23-1" in line]
    assert found, f"no step gives the second source with its torque: {lines}"


@pytest.mark.parametrize(
    ("cells", "says"),
    [  # limits: common practice, 100 mm bare and 50 mm with sleeve or shield
        ((70,), "Change: 70 mm bare to exhaust, at least 100: sleeve or shield"),
        ((70, "sleeve"), "Within limits"),
        ((40, "sleeve"), "Change: 40 mm with sleeve to exhaust, at least 50: move the line"),
        ((100,), "Near limit: 100 mm bare to exhaust, at least 100"),
        ((109.9,), "Near limit: 109.9 mm bare to exhaust, at least 100"),
        ((110,), "Within limits"),
        ((52, "heat shield"), "Near limit: 52 mm with heat shield to exhaust, at least 50"),
        ((99.98,), "Change: 99.98 mm bare to exhaust, at least 100: sleeve or shield"),
        (("none near",), "Within limits"),
        (("None Near", "none"), "Within limits"),
        ((70, None, 60), "Within limits"),
        ((70, "sleeve", 60, 80), "Change: 70 mm with sleeve to exhaust, at least 80: move the line"),
    ],
)
def test_clearance(cells: tuple[object, ...], says: str) -> None:
    assert call("CLEARANCE_CHECK", *cells) == says


def test_clearance_defaults_are_those_of_the_limits_table() -> None:
    limits = {row.text("id"): row.text("value") for row in table("limits")}
    args = {arg.name: arg.default for arg in functions()["CLEARANCE_CHECK"].args}
    assert str(args["bare_limit"]) == limits["clearance-bare"]
    assert str(args["shielded_limit"]) == limits["clearance-shielded"]


def test_demo_routes_by_hand() -> None:
    # PS-1: 1505 / 0.94 = 1601.1; slack of 1600 is 95/1600; hole 17.018 + 2 x 2.5
    assert call("HOSE_FINISHED_LENGTH", 1505) == pytest.approx(1601.06, abs=0.01)
    assert call("HOSE_FINISHED_LENGTH", 1505, "6 %", 20) == pytest.approx(1621.06, abs=0.01)
    assert call("HOSE_SLACK", 1505, 1600) == pytest.approx(5.9375, rel=1e-9)
    assert call("PANEL_HOLE", 17.018, 2.5, 20.2) == pytest.approx(22.018, rel=1e-9)
    assert call("PANEL_HOLE", 17.018, 2.5, 27) == pytest.approx(27, rel=1e-9)
    # PS-3: 2700 + two bends of 95 mm by 90 degrees = 2700 + 95 pi = 2998.5
    assert 2700 + 2 * call("BEND_LENGTH", 95, 90) == pytest.approx(2998.45, abs=0.01)


def test_wrap_by_hand() -> None:
    # a helix of 45 degrees (pitch = pi D) is the root of 2 longer than the run
    assert call("WRAP_LENGTH", 3, 20, 20 * pi) == pytest.approx(3 / cos(pi / 4), rel=1e-9)


@given(METRES, st.sampled_from([("hose",), ("steel tube", -6), ("aluminium tube", "1/2 in")]))
def test_no_stretch_is_longer_than_the_spacing_and_no_clip_is_spare(run: float, line: tuple[object, ...]) -> None:
    clips, limit = call("CLIP_COUNT", run, *line), call("CLIP_SPACING_LIMIT", *line) / 1000
    assert run <= (clips + 1) * limit * (1 + 1e-8)
    assert clips == 0 or run > clips * limit * (1 - 1e-8)


@given(st.floats(1, 90_000), st.floats(1, 50))
def test_finished_length_gives_back_its_slack(centres: float, slack: float) -> None:
    length = call("HOSE_FINISHED_LENGTH", centres, slack)
    if length <= 100_000:
        assert call("HOSE_SLACK", centres, length) == pytest.approx(slack, rel=1e-6, abs=1e-9)


@given(st.floats(0, 5000), st.floats(0, 360))
def test_twice_the_angle_is_twice_the_bend(radius: float, angle: float) -> None:
    assert call("BEND_LENGTH", radius, 2 * angle) == pytest.approx(2 * call("BEND_LENGTH", radius, angle))


@given(METRES, st.floats(1, 300), st.floats(1, 1000))
def test_wrap_is_never_shorter_than_the_run_and_grows_with_closer_turns(
    run: float, outside: float, pitch: float
) -> None:
    wrap = call("WRAP_LENGTH", run, outside, pitch)
    assert wrap >= run * (1 - 1e-12)
    assert call("WRAP_LENGTH", run, outside, min(1000.0, pitch * 1.5)) <= wrap * (1 + 1e-12)


@given(st.floats(0, 1000), st.floats(0, 1000), st.sampled_from(["none", "sleeve", "heat shield"]))
def test_more_clearance_never_reads_worse(clearance: float, more: float, shield: str) -> None:
    rank = {"Change": 0, "Near limit": 1, "Within limits": 2}
    first, second = (
        rank[call("CLEARANCE_CHECK", each, shield).partition(":")[0]]
        for each in (clearance, min(1000.0, clearance + more))
    )
    assert second >= first
