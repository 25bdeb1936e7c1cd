"""About an answer: what a function about another function is given, and what it says of it."""

import pytest

from tests.refused import refused
from xlcalc import CalcError, __version__, call
from xlcalc.core.tables import fingerprint

# hand calculation: 8 L/min in 7.9 mm is 8e-3/60 / (pi/4 x 0.0079^2) = 2.7202 m/s; in proportion to the flow
AT_8 = pytest.approx(2.7202, abs=5e-5)
AT_4 = pytest.approx(1.3601, abs=5e-5)
ABOUT = ("ANSWER_WHY", "ANSWER_STEPS", "ANSWER_LOW", "ANSWER_HIGH")


@pytest.mark.parametrize("about", ABOUT)
def test_about_needs_the_name_of_a_function_that_computes(about: str) -> None:
    for name in (None, "", " ", 5, True, [["LINE_VELOCITY"]]):
        assert refused(about, name, 8, 7.9) == (
            "#VALUE!",
            "the first argument is the name of a function, in quotes",
        )
    assert refused(about, "LINE_VELOCTY", 8, 7.9)[1].startswith("'LINE_VELOCTY' is not a function of xlcalc: did you")
    assert "name a function that computes" in refused(about, "XLCALC_STATUS")[1]
    assert refused(about, CalcError("", "#REF!"), 8) == ("#REF!", "the name holds #REF!: mend that cell first")
    assert call(about, "LINE_VELOCITY", None, None) == ""


def test_about_fills_down() -> None:
    assert call("ANSWER_WHY", "LINE_VELOCITY", [[8], [None]], 7.9) == [
        ["There is an answer: 2.72 m/s"],
        ["Flow is missing: give 0 to 2000 L/min"],
    ]
    assert call("ANSWER_LOW", "LINE_VELOCITY", [[8], [4]], 7.9) == [[AT_8], [AT_4]]
    ((fits, below),) = call("ANSWER_HIGH", "LINE_VELOCITY", [[8, -1]], 7.9)
    assert (fits, below.code) == (AT_8, "#NUM!")
    words = refused("ANSWER_STEPS", "LINE_VELOCITY", [[8], [4]], 7.9)[1]
    assert words == "ANSWER_STEPS fills a column for one call: give single cells, not a range"


def test_about_says_what_stood_in_the_cell() -> None:
    assert call("ANSWER_WHY", "LINE_VELOCITY", CalcError("", "#REF!"), 7.9) == "Flow holds #REF!: mend that cell first"
    assert refused("ANSWER_LOW", "LINE_VELOCITY", CalcError("", "#REF!"), 7.9)[0] == "#REF!"
    assert refused("ANSWER_STEPS", "LINE_VELOCITY", 8, "abc")[0] == "#N/A"
    assert refused("ANSWER_HIGH", "HOSE_FLUID_MATCH", "EPDM 19", "petrol") == (
        "#VALUE!",
        "HOSE_FLUID_MATCH answers words: they have no low and high",
    )


def test_status_tells_version_and_data() -> None:
    assert call("XLCALC_STATUS") == f"connected, version {__version__}, data {fingerprint()}"
