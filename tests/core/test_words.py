"""Text as a person types it: numbers in every spelling, what has two readings, what a message quotes."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.texts import texts
from xlcalc.core.errors import CalcError, WrongKind, shorten
from xlcalc.core.words import joined, leading_number, nearest, plain, shown

READ = {
    "6": (6, ""), "-0.5": (-0.5, ""), "6,5": (6.5, ""), ".5": (0.5, ""), ",5 mm": (0.5, "mm"), "1e3": (1000, ""),
    "5e-3 m": (0.005, "m"), "+5": (5, ""), "3/8 in": (0.375, "in"), "1 1/2": (1.5, ""), "1-1/2 in": (1.5, "in"),
    "-1 1/2": (-1.5, ""), "½": (0.5, ""), "1½ in": (1.5, "in"), "1 250.5": (1250.5, ""), "1\u00a0250 mm": (1250, "mm"),
    "12'500": (12500, ""), "1.250,5": (1250.5, ""), "1,250.5": (1250.5, ""), "1,250,000": (1250000, ""),
    "1.250.000": (1250000, ""), "0,125": (0.125, ""), "1.250": (1.25, ""), "1,25": (1.25, ""), "−6": (-6, ""),
    "–6 mm": (-6, "mm"), "‑8": (-8, ""), "１２": (12, ""), "5mm": (5, "mm"), "3 x": (3, "x"), "1e": (1, "e"),
    "900 kg/m3": (900, "kg/m3"), "6 US gpm": (6, "US gpm"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), READ.items())
def test_numbers_as_people_type_them(text: str, expected: tuple[float, str]) -> None:
    assert leading_number(plain(text)) == expected


@pytest.mark.parametrize("text", ["1,250", "-12,500 mm", "999,999"])
def test_a_comma_before_three_digits_has_two_readings(text: str) -> None:
    with pytest.raises(WrongKind, match="two readings: write"):
        leading_number(plain(text))


@pytest.mark.parametrize("text", ["1,2,3", "1.2.3", "1,25.5,0", "0,250,000", "1.25,00.0", "1..2"])
def test_more_than_one_decimal_sign(text: str) -> None:
    with pytest.raises(WrongKind, match="one decimal sign"):
        leading_number(plain(text))


def test_a_fraction_of_nothing() -> None:
    with pytest.raises(WrongKind, match="0 below the line"):
        leading_number("1/0")


@pytest.mark.parametrize("text", ["", "mm", "e5", "--5", "abc 5", "'5", "=5", "@5", "$5"])
def test_no_number_in_front(text: str) -> None:
    assert leading_number(plain(text)) is None


def test_what_looks_alike_becomes_one_spelling() -> None:
    assert plain("  5\u00a0mm\u00b2 \t/ s\n") == "5 mm2 / s"
    assert plain("‐8 ‒8 –8 —8 −8 ﹣8") == "-8 -8 -8 -8 -8 -8"
    assert plain("3′ 5″") == "3' 5\""
    assert plain("3⁄8") == "3/8"


@pytest.mark.parametrize("text", ["a\x07b", "\x00", "5\u202e mm", "\ud800", "\ue000", "5\u200bmm"])
def test_invisible_characters_are_refused(text: str) -> None:
    with pytest.raises(WrongKind, match="invisible characters"):
        plain(text)


def test_a_paste_gone_wrong_is_refused_with_its_length() -> None:
    with pytest.raises(WrongKind, match="5000 characters long"):
        plain("x" * 5000)


def test_a_message_quotes_one_printable_line() -> None:
    assert shown("a\nb\x07c") == '"a?b?c"'
    assert shown("x" * 60) == '"' + "x" * 48 + '…"'
    assert shown(5.5) == "5.5"
    assert shown(b"5") == "b'5'"


def test_near_misses() -> None:
    assert nearest("petrl", ["petrol", "diesel"]) == ": did you mean petrol?"
    assert nearest("PETROl ", ["petrol", "diesel"]) == ": did you mean petrol?"
    assert nearest("zzzz", ["petrol"]) == ""
    assert nearest("ATF", ["ATF generic", "petrol", "atf thin"]) == ": did you mean ATF generic or atf thin?"
    assert nearest("AT", ["ATF generic", "at once"]) == ""
    assert joined(["a", "b", "c"]) == "a, b or c"
    assert joined(["a"]) == "a"


def test_a_sentence_is_cut_at_a_word() -> None:
    cut = shorten("word " * 100)
    assert len(cut) <= 255
    assert cut.endswith("word …")
    assert shorten("x" * 255) == "x" * 255
    assert len(shorten("two " * 64)) <= 255


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e15, max_value=1e15))
def test_a_float_survives_its_own_text(number: float) -> None:
    assert leading_number(plain(repr(number))) == (number, "")


@given(st.integers(-999_999_999, 999_999_999), st.sampled_from([" ", "\u00a0", "\u2009", "'"]))
def test_thousands_marks_change_nothing(number: int, mark: str) -> None:
    assert leading_number(plain(f"{number:,}".replace(",", mark))) == (number, "")


@given(texts(500))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        found = leading_number(plain(text))
    except CalcError as error:
        assert 0 < len(str(error)) <= 255  # noqa: PT017
        return
    if found is not None:
        assert isinstance(found[0], float)
        assert found[0] - found[0] == 0 or math.isinf(found[0])
