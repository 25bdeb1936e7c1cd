"""Pieces of formulas that the columns of several sheets are made of, worked out in a small book."""

import pytest

from xlcalc.workbook.file.values import xml_text
from xlcalc.workbook.sheets.columns import named_words, one_of

from ..books import formula, number, row, text
from ..ours import values, worked


def answer(piece: str, *cells: str) -> object:
    """What a piece of a formula gives in C1 beside cells A1 and B1."""
    return values(worked(row(1, *cells, formula("C1", xml_text(piece).decode()))))["C1"]


@pytest.mark.parametrize(
    ("said", "known"),
    [("sleeve", True), ("Sleeve", True), ("heat shield", True), ("heat", False), ("sleeves", False), ("foil", False)],
)
def test_a_word_is_known_whole_and_in_any_case(said: str, known: bool) -> None:
    assert answer(one_of("$A1", "sleeve", "heat shield"), text("A1", said)) is known


def test_a_blank_cell_is_in_order() -> None:
    assert answer(one_of("$A1", "sleeve"), text("B1", "sleeve")) is True


@pytest.mark.parametrize(
    ("hose", "fluid", "words"), [(1, 1, "hose, fluid"), (1, 0, "hose"), (0, 1, "fluid"), (0, 0, "")]
)
def test_the_words_whose_conditions_hold_stand_with_commas_between(hose: int, fluid: int, words: str) -> None:
    piece = named_words(("hose", "$A1=1"), ("fluid", "$B1=1"))
    assert answer(piece, number("A1", hose), number("B1", fluid)) == words
