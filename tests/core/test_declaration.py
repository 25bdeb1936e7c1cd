"""What a declaration says of its parts: an argument described, an answer printed, a formula as a person types it."""

from xlcalc.core.declaration import formula_text
from xlcalc.core.declare import Answer, Arg
from xlcalc.core.kinds import Word


def test_a_word_argument_lists_its_words() -> None:
    assert Arg("Ends", Word("crimped", "clamps"), default="crimped").description == (
        "Ends. Takes crimped or clamps. Left out: crimped."
    )


def test_an_answer_as_a_sentence_prints_it() -> None:
    answer = Answer("Flow", "L/min")
    assert answer.format(6.00049) == "6 L/min"
    assert answer.format(1234.56) == "1235 L/min"
    assert answer.format(3) == "3 L/min"
    assert Answer("Verdict").format("Within limits") == "Within limits"


def test_a_formula_as_a_person_types_it() -> None:
    cells = ['5" x', None, 2.50, [[1, None], ["a", -6]]]
    assert formula_text("NAME_OF", cells) == 'NAME_OF("5"" x", , 2.5, {1,"";"a",-6})'
    assert formula_text("NAME_OF", [2.66666667, 1477379.25, -2.0]) == "NAME_OF(2.66666667, 1477379.25, -2)"
