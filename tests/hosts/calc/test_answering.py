"""What Calc hands over as 0: a blank cell, a typed 0, or neither can be told."""

import pytest

import xlcalc
from xlcalc.hosts.calc.answering import answer


@pytest.mark.parametrize(
    ("name", "cells", "expected"),
    [
        ("TANK_FOR_EXPANSION", [10.0, "coolant 50/50", 20.0, 100.0, 0.0], {"error": "#VALUE!"}),  # blank or 0 %
        ("TANK_FOR_EXPANSION", [None, None, None, None, 0.0, 0.0], ""),
        ("LINE_VELOCITY", [8.0, 0.0, None], {"error": "#NUM!"}),  # a 0 that was typed
        ("QUANTITY_IN", [1.0, 1.0], 1.0),  # the unit 1
        ("ANSWER_WHY", ["LINE_VELOCITY", 0.0, 0.0], ""),
        ("ANSWER_WHY", ["LINE_VELOCITY", 8.0, 7.9, 0.0], "There is an answer: 2.72 m/s"),
        ("NO_SUCH", [], {"error": "#NAME?"}),
    ],
)
def test_what_a_zero_stands_for(name: str, cells: list[object], expected: object) -> None:
    assert answer(name, cells) == expected


def test_a_range_of_one_cell_tells_a_blank_from_a_zero() -> None:
    blank, zero = ([10.0, "coolant 50/50", 20.0, 100.0, [[cell]]] for cell in (None, 0.0))
    assert answer("TANK_FOR_EXPANSION", blank) == xlcalc.call("TANK_FOR_EXPANSION", 10, "coolant 50/50", 20, 100)
    assert answer("TANK_FOR_EXPANSION", zero) == xlcalc.call("TANK_FOR_EXPANSION", 10, "coolant 50/50", 20, 100, 0)
