"""One list of checks of what goes into every worksheet function, made from its declaration and its kinds.

Each check starts from the cells of the declaration's example and varies one argument at a time. A new function
gets them all without anyone writing one.
"""

import datetime
import math
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.declared import (
    COMPOUNDS,
    DECLARED,
    SPELLINGS,
    Checks,
    answer,
    answer_about,
    cells_of,
    fits,
    places,
    refused,
    same,
    single_places,
    sound,
    varied,
)
from tests.texts import texts
from xlcalc import CalcError
from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CODES, MissingInput, UpstreamError
from xlcalc.core.quantities import Quantity
from xlcalc.core.units import unit

CHECKS = Checks()
ODD_CELLS: list[object] = [
    b"5", bytearray(b"5"), "x" * 5000, "7" * 5000, "\x00", "a\x07b", "\u202e5 mm", "\ud800", "2*3", "=1+1",
    "=cmd|' /C calc'!A0", "@SUM(1)", "1/0", "1e999", "-1e999", "NaN", "inf", "-", ";;;", "%", "@", "½", "٣", "5 mm 5",
    "1,2,3", "()", "kPa", 10**400, -(10**400), 10**18, 1e-320, -0.0, 1j, object(), {}, set(), (), [], [[]], [[], []],
    [[1, 2], [3]], [[[1]]], [[[[5]]]], [None], [[None]], [[b"5", "x" * 5000]], Decimal(5), Decimal("NaN"),
    Fraction(1, 3), datetime.date(2026, 1, 1), datetime.time(1), datetime.timedelta(1), lambda: 5, type, ...,
]  # fmt: skip


@CHECKS.add
def blank_row_is_blank(made: Declaration) -> None:
    for cells in ([], [None] * len(made.args), [""] * len(made.args), ["  "] * len(made.args)):
        assert answer(made, cells) == ""
    ranges = [[[None], [""]] if arg.reader.takes_range else None for arg in made.args]
    assert answer(made, ranges) == ""


@CHECKS.add
def missing_input_is_named(made: Declaration) -> None:
    for place, arg in places(made):
        for blank in (None, "", " "):
            got = answer(made, varied(made, place, blank))
            others = [cell for at, cell in enumerate(cells_of(made)) if at != place and made.args[at].name != "unit"]
            if not arg.required:
                assert sound(got), f"{arg.name}: {blank!r} gives {got!r:.80}"
                assert not str(got).startswith(f"{arg.label} is missing")
            elif any(cell is not None for cell in others):
                assert isinstance(got, MissingInput), f"{arg.name}: {blank!r} gives {got!r:.80}"
                assert str(got).startswith(f"{arg.label} is missing: give ")
            else:
                assert got == "", f"{arg.name} is the only cell, and blank"


@CHECKS.add
def left_out_is_its_default(made: Declaration) -> None:
    for place, arg in places(made):
        if not arg.required and arg.default != "":
            left_out, typed = (answer(made, varied(made, place, cell)) for cell in (None, arg.default))
            assert same(left_out, typed), f"{arg.name} left out gives {left_out!r}, as {arg.default!r} {typed!r}"


@CHECKS.add
def too_many_arguments_are_refused(made: Declaration) -> None:
    got = answer(made, [*cells_of(made), 1])
    assert isinstance(got, CalcError)
    assert "at most" in str(got)


@CHECKS.add
def good_cells_are_read(made: Declaration) -> None:
    for place, arg in places(made):
        for cell in arg.reader.good():
            arg.reader.read(cell)
            got = answer(made, varied(made, place, cell))
            assert sound(got), f"{arg.name}: {cell!r:.80} gives {got!r:.80}"


@CHECKS.add
def bad_cells_are_refused_with_their_code(made: Declaration) -> None:
    for place, arg in places(made):
        assert arg.reader.bad(), f"{arg.name} has no bad cell to try"
        for cell, code in arg.reader.bad():
            assert str(refused(made, place, cell, code)).startswith(f"{arg.label}: ")


@CHECKS.add
def both_ends_of_a_span_belong_to_it(made: Declaration) -> None:
    for place, arg in places(made):
        for end in arg.reader.span() or ():
            arg.reader.read(end)
            got = answer(made, varied(made, place, end))
            assert sound(got), f"{arg.name}: {end!r}, an end of its span, gives {got!r:.80}"


@CHECKS.add
def an_error_passes_with_its_code(made: Declaration) -> None:
    for place, arg in places(made):
        for code in CODES:
            got = refused(made, place, CalcError("", code), code)
            assert isinstance(got, UpstreamError)
            assert arg.label in str(got)
            assert answer(made, varied(made, place, CalcError("said before", code))).args == ("said before",)
            if arg.reader.takes_range:
                assert "cell 2 of the list" in str(refused(made, place, [[None], [CalcError("", code)]], code))


@CHECKS.add
def a_number_as_text_is_that_number(made: Declaration) -> None:
    expected = answer(made, cells_of(made))
    for place, arg in places(made):
        cell = cells_of(made)[place]
        if type(cell) not in (int, float):
            continue
        texts = [str(cell), f"  {cell}\u00a0"]
        if isinstance(arg.reader, Quantity) and arg.reader.unit_text != "1":
            texts += [f"{cell} {arg.reader.unit_text}", f"{cell}{arg.reader.unit.printed.partition(' (')[0]}"]
        for text in texts:
            assert same(answer(made, varied(made, place, text)), expected, rel=1e-9), text


@CHECKS.add
def the_same_quantity_in_any_unit_is_the_same_answer(made: Declaration) -> None:
    expected = answer(made, cells_of(made))
    for place, arg in places(made):
        cell = cells_of(made)[place]
        value = arg.reader.read(cell) if isinstance(arg.reader, Quantity) and cell is not None else None
        if not isinstance(value, float):
            continue
        said = [text for text in (*SPELLINGS, *COMPOUNDS) if fits(arg.reader.check_unit, unit(text), f"300 {text}")]
        assert arg.reader.unit_text in said, f"{arg.name} does not take its own unit"
        assert len(said) > 1 or arg.reader.unit_text in ("1", "%"), f"{arg.name} takes no other unit"
        for text in said:
            given = f"{unit(text).from_si(value)!r} {text}"
            assert same(answer(made, varied(made, place, given)), expected, rel=1e-9), given


@CHECKS.add
def numbers_at_the_edge_of_floats(made: Declaration) -> None:
    for place, arg in places(made):
        for cell in (math.nan, math.inf, -math.inf):
            refused(made, place, cell, "#VALUE!")
        for cell in (1e308, -1e308, 1e-308, -1e-308, 5e-324):
            got = answer(made, varied(made, place, cell))
            assert sound(got), f"{arg.name}: {cell!r} gives {got!r:.80}"


@CHECKS.add
def true_false_and_dates_are_refused(made: Declaration) -> None:
    odd = (True, False, datetime.date(2026, 1, 1), datetime.datetime(2026, 1, 1, 12), datetime.timedelta(1))
    for place, _ in places(made):
        for cell in odd:
            refused(made, place, cell, "#VALUE!")


@CHECKS.add
def a_range_answers_cell_by_cell(made: Declaration) -> None:
    for place in single_places(made):
        arg, cell = made.args[place], cells_of(made)[place]
        cells = [cell, arg.reader.good()[0], arg.reader.bad()[0][0], None]
        singles = [answer(made, varied(made, place, one)) for one in cells]
        for shape, expected in (
            ([[cell]], [[singles[0]]]),
            ([[one] for one in cells], [[one] for one in singles]),
            ([cells], [singles]),
            ((tuple(cells),), [singles]),
            ([cells[:2], cells[2:]], [singles[:2], singles[2:]]),
        ):
            got = answer(made, varied(made, place, shape))
            assert same(got, expected), f"{arg.name}: {shape!r} gives {got!r}, cell by cell {expected!r}"


@CHECKS.add
def ranges_meet_as_in_a_spreadsheet(made: Declaration) -> None:
    at = [place for place in single_places(made) if made.args[place].name != "unit"][:2]
    if len(at) < 2:
        return
    first, second = at
    down, across = ([cells_of(made)[place], made.args[place].reader.good()[0]] for place in at)

    def both(one: object, other: object) -> Any:
        cells = varied(made, first, one)
        cells[second] = other
        return answer(made, cells)

    assert same(both([[one] for one in down], [across]), [[both(one, other) for other in across] for one in down])
    pairs = [[both(one, other)] for one, other in zip(down, across, strict=True)]
    assert same(both([[one] for one in down], [[other] for other in across]), pairs)
    longer = both([[one] for one in down], [[other] for other in [*across, across[0]]])
    assert same(longer[:2], pairs)
    assert longer[2][0].code == "#N/A"


@CHECKS.add
def odd_cells_never_raise_anything_else(made: Declaration) -> None:
    for place, _ in places(made):
        for cell in ODD_CELLS:
            cells = varied(made, place, cell)
            got = answer(made, cells)
            assert sound(got) or got == "", f"{made.args[place].name}: {cell!r:.60} gives {got!r:.60}"
            why = answer_about("ANSWER_WHY", made, cells)
            assert sound(why), f"{made.args[place].name}: {cell!r:.60} has the reason {why!r:.60}"


@pytest.mark.parametrize("name", DECLARED)
@pytest.mark.parametrize("what", CHECKS)
def test_every_function(what: str, name: str) -> None:
    CHECKS[what](DECLARED[name])


@settings(max_examples=400)
@given(st.sampled_from(sorted(DECLARED)), st.data())
def test_any_cell_at_all_gets_an_answer_or_a_sentence(name: str, data: st.DataObject) -> None:
    made = DECLARED[name]
    place = data.draw(st.integers(0, len(made.args) - 1))
    cell = data.draw(st.one_of(texts(), st.floats(), st.integers(), st.binary(), st.lists(st.lists(st.floats()))))
    assert sound(answer(made, varied(made, place, cell)))
