"""What built-ins take as their arguments: the table says each once, by letters that repeat as they should."""

import pytest

from xlcalc.workbook.calculation import takes
from xlcalc.workbook.calculation.takes import AREA, ARRAY, ONE, PASSED_ON, SINGLES, TAKES, Taken


@pytest.mark.parametrize(
    ("letters", "kinds"),
    [
        ("R1*", [AREA, ONE, ONE, ONE]),
        ("RR1+", [AREA, AREA, ONE, AREA, ONE, AREA]),
        ("R1+", [AREA, ONE, AREA, ONE]),
        ("1P*", [ONE, PASSED_ON, PASSED_ON]),
        ("A*", [ARRAY, ARRAY]),
    ],
)
def test_letters_repeat_after_their_end(letters: str, kinds: list[str]) -> None:
    assert [Taken(letters).at(place) for place in range(len(kinds))] == kinds


def test_every_function_stands_once_in_the_table() -> None:
    words = [name for line in takes._WRITTEN.split("\n") if line for name in line.split(": ")[1].split()]
    assert sorted(words) == sorted(set(words))
    assert set(words) == set(TAKES)


def test_whole_places_are_those_that_take_no_single_value() -> None:
    assert TAKES["SUMIFS"].whole(5) == {0, 1, 3}
    assert SINGLES.whole(3) == set()
