"""What the function wizard of Calc shows fits into it."""

from xlcalc.core.registry import functions
from xlcalc.hosts.calc.signatures import UNO_TYPES, answers_words, help_text, parameters


def test_help_fits_the_wizard() -> None:
    for made in functions().values():
        assert 0 < len(help_text(made)) <= 255
        for each in parameters(made):
            assert 0 < len(each.help) <= 255
            assert each.way in UNO_TYPES
    assert {name for name, made in functions().items() if answers_words(made)} >= {"HOSE_CHECK", "ANSWER_WHY"}
