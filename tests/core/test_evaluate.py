"""From cells to an answer: blanks, ranges, error cells."""

from typing import Any

import pytest

from tests.refused import refused
from xlcalc import CalcError, call
from xlcalc.core import evaluate as module
from xlcalc.core import registry
from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import MissingInput, NoAnswer, UpstreamError, WrongKind
from xlcalc.core.evaluate import answer_of, evaluate, finish, over_ranges, read
from xlcalc.core.registry import functions

VELOCITY = functions()["LINE_VELOCITY"]
# hand calculation: 8 L/min in 7.9 mm is 8e-3/60 / (pi/4 x 0.0079^2) = 2.7202 m/s; in proportion to the flow
AT_8 = pytest.approx(2.7202, abs=5e-5)
AT_4 = pytest.approx(1.3601, abs=5e-5)


def codes(rows: list[list[Any]]) -> list[list[Any]]:
    return [[cell.code if isinstance(cell, CalcError) else cell for cell in row] for row in rows]


def test_call_raises_and_evaluate_gives_the_error() -> None:
    assert call("LINE_VELOCITY", 8, 7.9) == AT_8
    assert call(" line_velocity ", "8 L/min", "7.9 mm", "ft/s") == pytest.approx(2.7202 / 0.3048, abs=2e-4)
    got = evaluate(VELOCITY, [8, "abc"])
    assert isinstance(got, CalcError)
    assert got.code == "#N/A"
    with pytest.raises(CalcError, match="Bore: "):
        call("LINE_VELOCITY", 8, "abc")


@pytest.mark.parametrize("name", ["LINE_VELOCTY", "", 5, None, b"LINE_VELOCITY", ["LINE_VELOCITY"]])
def test_no_such_function(name: object) -> None:
    code, words = refused(name)
    assert code == "#NAME?"
    assert "function" in words


def test_blank_and_missing_are_told_apart() -> None:
    assert call("LINE_VELOCITY") == ""
    assert call("LINE_VELOCITY", None, " ", "ft/s") == "", "a unit alone is no input"
    with pytest.raises(MissingInput, match="Bore is missing: give 1 to 150 mm"):
        call("LINE_VELOCITY", 8)
    with pytest.raises(WrongKind, match="takes at most 3 arguments, 4 are given"):
        call("LINE_VELOCITY", 8, 7.9, "m/s", 1)


@pytest.mark.parametrize("code", ["#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A", "#SPILL!"])
def test_an_error_cell_keeps_its_code(code: str) -> None:
    with pytest.raises(UpstreamError) as caught:
        call("LINE_VELOCITY", CalcError("", code), 7.9)
    assert (caught.value.code, str(caught.value)) == (code, f"Flow holds {code}: mend that cell first")
    with pytest.raises(UpstreamError, match="said by the cell before"):
        call("LINE_VELOCITY", 8, CalcError("said by the cell before", code))


def test_the_first_fault_from_the_left_is_told() -> None:
    assert refused("LINE_VELOCITY", "5 kg", CalcError("", "#REF!"))[0] == "#VALUE!"
    assert refused("LINE_VELOCITY", CalcError("", "#REF!"), "5 kg")[0] == "#REF!"


def test_ranges_meet_as_in_a_spreadsheet() -> None:
    assert call("LINE_VELOCITY", [[8], [4]], 7.9) == [[AT_8], [AT_4]]
    assert call("LINE_VELOCITY", [[8, 4]], 7.9) == [[AT_8, AT_4]]
    assert call("LINE_VELOCITY", [8, 4], 7.9) == [[AT_8, AT_4]]
    assert call("LINE_VELOCITY", ((8,), (4,)), 7.9) == [[AT_8], [AT_4]]
    assert call("LINE_VELOCITY", [[8]], 7.9) == [[AT_8]]
    assert call("LINE_VELOCITY", [[8], [4]], [[7.9, 7.9]]) == [[AT_8, AT_8], [AT_4, AT_4]]
    assert codes(call("LINE_VELOCITY", [[8], [4], [None]], [[7.9], [None]])) == [[AT_8], ["#VALUE!"], ["#N/A"]]
    assert codes(call("LINE_VELOCITY", [[8, 4]], [[7.9, 7.9, 7.9]])) == [[AT_8, AT_4, "#N/A"]]
    assert call("LINE_VELOCITY", [[None], [""]], [[None]]) == [[""], [""]]


@pytest.mark.parametrize("cell", [[], [[]], [[1], []], [[1, 2], [3]], [[[1]]], [[1], 2], [[1, [2]]]])
def test_what_is_no_range(cell: object) -> None:
    assert refused("LINE_VELOCITY", cell, 7.9)[0] == "#VALUE!"


def test_a_range_larger_than_a_sheet_is_refused() -> None:
    code, words = refused("LINE_VELOCITY", [[1]] * 1100, [[7.9] * 1000])
    assert code == "#VALUE!"
    assert "too large" in words


def test_a_range_argument_keeps_its_range_beside_others() -> None:
    rows = over_ranges([[[1], [2]], [[3], [4]]], lambda cells: cells, {0})
    assert rows == [[[[[1], [2]], 3]], [[[[1], [2]], 4]]]
    assert call("HOSE_ROLLS_TO_BUY", [[2600], [None], [2600]], [[3], [6]]) == [[2], [1]]


def test_texts_are_read_once_and_forgotten_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "REMEMBERED", 4)
    for flow in range(1, 20):
        assert call("LINE_VELOCITY", f"{flow} L/min", 7.9) == pytest.approx(call("LINE_VELOCITY", flow, 7.9), rel=1e-12)
    assert len(VELOCITY.slots[0][3]) <= 4


def test_only_a_finite_answer_reaches_a_cell() -> None:
    for value in (float("nan"), float("inf"), float("-inf")):
        with pytest.raises(NoAnswer, match="leave what can be worked out"):
            finish(VELOCITY, value, None)
    assert finish(VELOCITY, "words", None) == "words"
    reading = read(VELOCITY, [8, 7.9, "ft/s"])
    assert reading is not None
    assert finish(VELOCITY, 0.3048, reading[1]) == pytest.approx(1)


def test_arithmetic_that_breaks_is_an_error_value() -> None:
    def quotient(above: float, below: float) -> float:
        """A quotient.

        Method: division.
        """
        return above / below**200

    numbers = {"above": Arg("Above", "1", 0, 9), "below": Arg("Below", "1", 0, 99)}
    worksheet_function("TRIAL_QUOTIENT", numbers, Answer("Quotient"), ("GEOMETRY",), example(1, 1, shows="1"))(quotient)
    made = registry._declared["TRIAL_QUOTIENT"]
    for below in (0, 99):
        got = evaluate(made, [1, below])
        assert isinstance(got, NoAnswer)
        assert str(got) == "the numbers leave what can be worked out: check the size of each input"
        assert evaluate(made, [1, [[below]]])[0][0].code == "#NUM!"
        with pytest.raises(NoAnswer, match="leave what can be worked out"):
            answer_of(made, [1, below])
