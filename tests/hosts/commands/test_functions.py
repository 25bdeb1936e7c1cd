"""`xlcalc functions`: what functions there are, and all that is known of one."""

import pytest

from ..running import said


def test_functions_lists_all_and_explains_one(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = said(capsys, "functions")
    assert "Flow and bore\n  BORE_FOR_FLOW" in out
    assert "  LINE_PRESSURE_DROP " in out
    code, out, _ = said(capsys, "functions", "line_velocity")
    assert code == 0
    for start in ("LINE_VELOCITY(flow, bore, [unit])\n", "  flow: Flow, 0 to 2000 L/min", "Answer: ", "How: velocity",
                  "Shapes: Each argument", "Error: #VALUE! where flow", "Not for: lines that run part empty",
                  "Source: Continuity", "Example: LINE_VELOCITY("):  # fmt: skip
        assert start in out
    assert "left out: 100" in said(capsys, "functions", "clearance_check")[1]
    assert "  fluid: Fluid, a name of the fluids table, or words" in said(capsys, "functions", "FLUID_DENSITY")[1]
    code, out, err = said(capsys, "functions", "CLEARANCE_CHEK")
    assert (code, out) == (2, "")
    assert "did you mean CLEARANCE_CHECK" in err


def test_a_word_of_the_trade_lists_the_functions_about_it(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = said(capsys, "functions", "Breather")
    assert code == 0
    named = {line.split()[0] for line in out.splitlines() if line.startswith("  ")}
    assert {"BREATHER_BORE", "CATCH_TANK_VOLUME", "AIR_DRAWN_IN"} <= named  # of its family, whatever they are called
    assert "BORE_FOR_FLOW" not in named
    assert said(capsys, "functions", "carburettor")[0] == 2
    assert said(capsys, "functions", " ")[0] == 2
