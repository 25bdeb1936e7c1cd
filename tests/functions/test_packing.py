"""Rolls: the best packing of small lists against every partition, and what holds for any list."""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from xlcalc import CalcError, call
from xlcalc.functions.packing import pack

CASES = st.tuples(
    st.lists(st.integers(200, 3000), min_size=1, max_size=8), st.sampled_from([3000, 4000, 6000]), st.integers(0, 10)
)


def fewest_rolls(lengths: list[int], roll: int, loss: int) -> int:
    """Fewest rolls by trying every subset of the pieces left for the next roll (all in mm)."""

    @cache
    def rolls(left: frozenset[int]) -> int:
        if not left:
            return 0
        first, *others = sorted(left)
        best = len(left)
        for chosen in range(1 << len(others)):
            taken = [first, *(piece for place, piece in enumerate(others) if chosen >> place & 1)]
            if sum(lengths[piece] for piece in taken) + loss * (len(taken) - 1) <= roll:
                best = min(best, 1 + rolls(left - set(taken)))
        return best

    return rolls(frozenset(range(len(lengths))))


@given(CASES)
@settings(deadline=None)
def test_as_few_rolls_as_any_partition(case: tuple[list[int], int, int]) -> None:
    lengths, roll, loss = case
    column = [[length] for length in lengths]
    assert call("HOSE_ROLLS_TO_BUY", column, roll / 1000, loss) == fewest_rolls(lengths, roll, loss)


@given(CASES)
@settings(deadline=None)
def test_every_roll_holds_its_pieces_and_their_cuts(case: tuple[list[int], int, int]) -> None:
    lengths, roll, loss = case
    column = [[length] for length in lengths]
    rolls = call("HOSE_ROLLS_TO_BUY", column, roll / 1000, loss)
    taken = [call("HOSE_CUT_FROM_ROLL", column, roll / 1000, place, loss) for place in range(1, len(lengths) + 1)]
    assert set(taken) == set(range(1, rolls + 1))
    for number in range(1, rolls + 1):
        pieces = [length for length, of in zip(lengths, taken, strict=True) if of == number]
        assert sum(pieces) + loss * (len(pieces) - 1) <= roll


def test_longest_first_is_not_enough() -> None:
    # by hand: 6 + 2 + 2 and 4 + 3 + 3 fill two rolls of 10; longest first (6+4, 3+3+2, 2) takes three
    lengths = [[6000], [4000], [3000], [3000], [2000], [2000]]
    assert call("HOSE_ROLLS_TO_BUY", lengths, 10, 0) == 2


def test_four_pieces_do_not_come_out_of_three_rolls() -> None:
    # by hand: the sum is 10.4 m, yet each 2.6 m needs a roll of 3 m of its own
    assert call("HOSE_ROLLS_TO_BUY", [[2600]] * 4, 3) == 4


def test_cuts_between_pieces_count() -> None:
    # by hand: 4 x 2.5 m fill 10 m only where a cut loses nothing; the last piece needs no cut
    assert call("HOSE_ROLLS_TO_BUY", [[2500]] * 4, 10, 0) == 1
    assert call("HOSE_ROLLS_TO_BUY", [[2500]] * 4, 10) == 2
    assert call("HOSE_ROLLS_TO_BUY", [[2500]] * 4, "10.009 m") == 1
    assert call("HOSE_ROLLS_TO_BUY", [[10000]], 10) == 1


def test_blank_cells_keep_their_place() -> None:
    column = [[2600], [None], ["2,6 m"], [""], [300]]
    assert call("HOSE_ROLLS_TO_BUY", column, 3) == 2
    assert [call("HOSE_CUT_FROM_ROLL", column, 3, place) for place in range(1, 6)] == [1, "", 2, "", 1]


@pytest.mark.parametrize(
    ("name", "cells", "code", "says"),
    [
        ("HOSE_ROLLS_TO_BUY", ([[500], [3001]], 3), "#NUM!", "piece 2 of 3001 mm is longer than a roll of 3 m"),
        ("HOSE_CUT_FROM_ROLL", ([[500], [600]], 3, 3), "#NUM!", "position 3 is beyond the list of 2 cells"),
        ("HOSE_ROLLS_TO_BUY", ([["abc"], [600]], 3), "#VALUE!", "cell 1 of the list"),
        ("HOSE_ROLLS_TO_BUY", ([[None], [""]], 3), "#VALUE!", "missing"),
        ("HOSE_CUT_FROM_ROLL", ([[500], [600]], 3, 1.5), "#VALUE!", "whole number"),
    ],
)
def test_lists_that_are_refused(name: str, cells: tuple[object, ...], code: str, says: str) -> None:
    with pytest.raises(CalcError) as caught:
        call(name, *cells)
    assert caught.value.code == code
    assert says in str(caught.value)


def test_full_rolls_without_waste_are_found() -> None:
    # by hand: ten rolls of three pieces that fill them to the millimetre
    thirds = [(3800 + 97 * roll, 2600 + 31 * roll) for roll in range(10)]
    pieces = [length for first, second in thirds for length in (first, second, 10000 - first - second)]
    found = pack(tuple(length / 1000 for length in pieces), 10.0, 0.0)
    assert (found.rolls, found.at_least) == (10, 10)


def test_a_long_list_stays_quick_and_says_what_is_not_proven() -> None:
    lengths = tuple((800 + 37 * place % 4200) / 1000 for place in range(10_000))
    found = pack(lengths, 10.0, 0.003)
    assert found.at_least <= found.rolls <= found.at_least * 1.02
    assert len(found.roll_of) == len(lengths)


def test_steps_say_which_pieces() -> None:
    lines = [row[0] for row in call("ANSWER_STEPS", "HOSE_ROLLS_TO_BUY", [[2600], [300]], 3)]
    assert "Roll 1: 2600 + 300 mm, 97 mm left" in lines
