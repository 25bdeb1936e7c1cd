"""HOSE_CHECK on lines worked by hand, and beside the limit of every hose."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.refused import refused
from xlcalc import CalcError, call
from xlcalc.functions.hose import hose, hose_names


def test_x7_pump_line_stands_within_a_fully_cited_hose() -> None:
    # extra check X7: 9000 kPa at 100 degC within 13 790 kPa
    line = ("wire braid rubber -6", 9000, "power steering mineral", 100, -22, "pressure")
    assert call("HOSE_CHECK", *line) == "Within limits"
    assert call("HOSE_PRESSURE_LIMIT", "wire braid rubber -6", 100) == pytest.approx(13790, abs=0.5)


@pytest.mark.parametrize(
    ("line", "says"),
    [  # lines of the demo job, worked by hand
        (("textile -6", 20, "power steering mineral", 95, -22, "suction", "clamps"),
         "Change: not a suction hose; for ATF the table has oil suction or NBR fuel"),
        (("textile -6", 20, "diesel", 60, -22, "suction", "clamps"),
         "Change: not a suction hose; for diesel the table has NBR fuel"),
        (("textile -6", 20, "petrol; RVP 10 psi", 60, -22, "suction", "clamps"),
         "Change: not a suction hose; for petrol the table has NBR fuel"),
        (("textile -6", 20, "brake fluid DOT 4", 60, -22, "suction"), "Change: liner NBR does not suit brake fluid"),
        (("bore 9 mm; liner FKM; suction no", 20, "engine oil SAE 30", 60, 0, "suction"),
         "Change: not a suction hose; for engine oil the table has oil suction or NBR fuel"),
        (("textile -6", 20, "gear oil 75W-90", 60, -22, "suction"), "Change: not a suction hose"),  # none quite suits
        (("textile -6", 0, "air", 60, -22, "vacuum"), "Change: not a suction hose"),  # a servo's line has its own rules
        (("oil suction -12", 20, "power steering mineral", 95, -22, "suction", "clamps"), "Within limits"),
        (("oil suction -32", 20, "gear oil 75W-90", 95, -22, "suction"),
         "Near limit: liner NBR only limited for gear oil: replace early"),
        (("oil suction -12", 20, "petrol; RVP 10 psi", 50, -22, "suction"),  # its row in the table: for mineral oil
         "Change: oil suction -12 is for mineral oil, not for petrol"),
        (("oil suction -12; bore 19 mm; clamps limit 0.3 MPa", 20, "diesel", 50, -22, "return"),
         "Change: oil suction -12 is for mineral oil, not for diesel"),
        (("oil suction -16", "20 bar", "ATF generic", 95, -22, "suction"), "Change: 2000 kPa, hose allows 1724"),
        (("return hose 9.5", 1915, "power steering mineral", 95, -22, "return", "clamps"),
         "Change: 1915 kPa, clamps allow 690"),
        (("PTFE braid -8", 350, "ATF generic", 110, -22, "pressure"), "Within limits"),
        (("textile -6", 250, "ATF generic", 95, -22, "return", "clamps"), "Within limits"),
        (("NBR fuel 9.5", 10, "petrol; RVP 10 psi", 34, -22, "suction", "clamps"), "Within limits"),
        (("PTFE conductive -6", 400, "petrol; RVP 10 psi", 60, -22, "pressure"), "Within limits"),
        (("silicone 9.5", 5, "petrol; RVP 10 psi", 55, -22, "vent", "clamps"),
         "Change: liner silicone does not suit petrol"),
        (("vacuum brake hose 11.1", 0, "air", 70, -22, "vacuum", "clamps"), "Within limits"),
        (("PTFE braid -12", 1, "engine oil 10W-40", 110, -22, "vent"), "Within limits"),
        (("EPDM 19", 110, "coolant 50/50", 98, -22, "coolant", "clamps"), "Within limits"),
        # others
        (("EPDM 19", 110, "engine oil 10W-40", 98, -22, "return"), "Change: liner EPDM does not suit engine oil"),
        (("NBR fuel 9.5", 10, "E10", 50, -30, "return"), "Near limit: liner NBR only limited for E10: replace early"),
        (("NBR fuel 9.5", 9000, "E10", 50, -30, "return"), "Change: 9000 kPa, hose allows 345"),  # a Change goes first
        (("NBR fuel 9.5", 10, "diesel", 50, -30, "return"), "Within limits"),
        (("PTFE braid -6", 400, "petrol; RVP 10 psi", 60, -22, "pressure"),
         "Change: petrol in PTFE needs the conductive liner"),
        (("PTFE braid -6", 400, "E85", 50, -22, "pressure"), "Change: E85 in PTFE needs the conductive liner"),
        (("PTFE braid -6; conductive yes", 400, "E10", 50, -22, "pressure"), "Within limits"),
        (("PTFE conductive -6; conductive no", 99000, "E10", 50, -22, "pressure"),
         "Change: E10 in PTFE needs the conductive liner"),  # what the fluid does comes first
        (("PTFE braid -6", 400, "diesel", 60, -22, "pressure"), "Within limits"),
        (("bore 8 mm; pressure limit 2 MPa; from -54 degC; to 204 degC; liner ptfe", 400, "petrol; RVP 10 psi", 60, -22,
          "pressure"), 'Change: petrol in PTFE needs the conductive liner: say "conductive yes" where it has one'),
        (("textile -6", 9000, "ATF generic", 130, -22, "return"), "Change: hottest 130 °C, hose allows 100"),
        (("textile -6", 100, "ATF generic", 90, -45, "return"), "Change: coldest -45 °C, hose allows down to -40"),
        (("PTFE braid -6", 10000, "ATF generic", 150, -22, "pressure"), "Change: 10000 kPa, hose allows 9270"),
        (("textile -6", "2800.4 kPa", "ATF generic", 90, -22, "return"), "Change: 2800.4 kPa, hose allows 2800"),
        (("textile -6", 2800, "ATF generic", 100, -40, "return"), "Within limits"),
    ],
)  # fmt: skip
def test_check_says_the_first_reason(line: tuple[object, ...], says: str) -> None:
    assert call("HOSE_CHECK", *line) == says


def test_check_does_not_pass_what_it_cannot_judge() -> None:
    code, words = refused("HOSE_CHECK", "wire braid rubber -6", 10, "ATF generic", 90, -22, "suction")
    assert code == "#N/A"
    assert "wire braid rubber -6; suction" in words
    # a limit that is broken for certain comes first
    hot = call("HOSE_CHECK", "wire braid rubber -6", 10, "ATF generic", 130, -22, "suction")
    assert hot == "Change: hottest 130 °C, hose allows 121.1"


@pytest.mark.parametrize(("given", "code"), [(-60, "#NUM!"), ("-60 kPa", "#NUM!"), ("60 kPa vac", "#VALUE!")])
def test_check_says_what_stands_for_a_vacuum(given: object, code: str) -> None:
    got, words = refused("HOSE_CHECK", "vacuum brake hose 11.1", given, "air", 70, -22, "vacuum")
    assert got == code
    assert "give 0 for a line under vacuum, and vacuum or suction as its use" in words
    assert call("HOSE_CHECK", "vacuum brake hose 11.1", 0, "air", 70, -22, "vacuum") == "Within limits"


def test_check_refuses_swapped_temperatures() -> None:
    code, words = refused("HOSE_CHECK", "textile -6", 10, "ATF generic", -22, 90, "return")
    assert code == "#NUM!"
    assert "swapped?" in words


@given(st.sampled_from(hose_names()), st.floats(0, 20000), st.floats(-50, 200), st.sampled_from(["crimped", "clamps"]))
def test_check_agrees_with_the_limit(name: str, pressure: float, hottest: float, ends: str) -> None:
    verdict = call("HOSE_CHECK", f"{name}; liner PTFE", pressure, "ATF generic", hottest, hottest, "return", ends)
    try:
        limit = call("HOSE_PRESSURE_LIMIT", f"{name}; liner PTFE", hottest, ends)
    except CalcError:
        assert verdict.startswith("Change: ")
        return
    cold = hottest < call("QUANTITY_IN", f"{hose(name).coldest} K", "degC") - 0.01
    if pressure > limit * 1.001 or cold:
        assert verdict.startswith("Change: ")
    elif pressure < limit * 0.999 and hottest > -39:
        assert verdict == "Within limits"
