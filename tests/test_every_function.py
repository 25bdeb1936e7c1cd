"""One list of checks that every worksheet function passes, made from its declaration and its kinds.

Each check starts from the cells of the declaration's example and varies one argument at a time. A new function
gets them all without anyone writing one.
"""

import datetime
import math
import random
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from texts import texts

import xlcalc
from xlcalc import CalcError, functions
from xlcalc.core.declaration import Declaration, shown_as
from xlcalc.core.declare import Arg
from xlcalc.core.errors import CODES, LONGEST_SENTENCE, MissingInput, UpstreamError
from xlcalc.core.kinds import digits
from xlcalc.core.quantities import Count, Quantity, Vacuum
from xlcalc.core.tables import raw_rows, sources
from xlcalc.core.units import unit

Check = Callable[[Declaration], None]
CHECKS: dict[str, Check] = {}
HAIR = 1e-12  # rounding on the way through SI
DECLARED = {name: made for name, made in functions().items() if not made.about}
SPELLINGS = sorted(
    spelling.strip() for row in raw_rows("units") if row["pint"] for spelling in row["spellings"].split(";")
)
COMPOUNDS = ("m3/s", "L/min", "L/h", "mL/h", "ft3/min", "m/s", "km/h", "ft/s", "kg/J", "g/kWh", "lb/(hp h)", "kW/K",
             "W/degC", "kPa vac", "inHg vac", "bar gauge", "rev/min", "g/(kW h)")  # fmt: skip
ODD_CELLS: list[object] = [
    b"5", bytearray(b"5"), "x" * 5000, "7" * 5000, "\x00", "a\x07b", "\u202e5 mm", "\ud800", "2*3", "=1+1",
    "=cmd|' /C calc'!A0", "@SUM(1)", "1/0", "1e999", "-1e999", "NaN", "inf", "-", ";;;", "%", "@", "½", "٣", "5 mm 5",
    "1,2,3", "()", "kPa", 10**400, -(10**400), 10**18, 1e-320, -0.0, 1j, object(), {}, set(), (), [], [[]], [[], []],
    [[1, 2], [3]], [[[1]]], [[[[5]]]], [None], [[None]], [[b"5", "x" * 5000]], Decimal(5), Decimal("NaN"),
    Fraction(1, 3), datetime.date(2026, 1, 1), datetime.time(1), datetime.timedelta(1), lambda: 5, type, ...,
]  # fmt: skip


def check(function: Check) -> Check:
    """Add a check to the list."""
    CHECKS[function.__name__] = function
    return function


def answer(made: Declaration, cells: Sequence[object]) -> Any:
    """The answer, or the CalcError in its place."""
    try:
        return xlcalc.call(made.name, *cells)
    except CalcError as error:
        return error


def cells_of(made: Declaration) -> list[Any]:
    """The cells of the example, with a blank for every argument left out."""
    cells = list(made.example.cells)
    return cells + [None] * (len(made.args) - len(cells))


def varied(made: Declaration, place: int, cell: object) -> list[Any]:
    """The cells of the example with one of them replaced."""
    cells = cells_of(made)
    cells[place] = cell
    return cells


def places(made: Declaration) -> Iterator[tuple[int, Arg]]:
    return enumerate(made.args)


def single_places(made: Declaration) -> list[int]:
    """Arguments that take one cell, not a whole range."""
    return [place for place, arg in places(made) if not arg.reader.takes_range]


def sound(got: object) -> bool:
    """A finite number, a text, rows of these, or an error that says something."""
    if isinstance(got, CalcError):
        return got.code in CODES and 0 < len(str(got).strip()) <= LONGEST_SENTENCE
    if isinstance(got, list):
        return bool(got) and all(isinstance(row, list) and row and all(map(sound, row)) for row in got)
    return isinstance(got, str) or (type(got) in (int, float) and math.isfinite(got))


def same(first: object, second: object, rel: float = 0.0) -> bool:
    """Whether two answers are the same: errors by code and sentence, numbers within `rel`."""
    if isinstance(first, list) and isinstance(second, list):
        return len(first) == len(second) and all(same(*pair, rel) for pair in zip(first, second, strict=True))
    if isinstance(first, CalcError) and isinstance(second, CalcError):
        return (first.code, str(first)) == (second.code, str(second))
    if isinstance(first, float) and isinstance(second, float):
        return math.isclose(first, second, rel_tol=rel, abs_tol=rel * 1e-3)
    return type(first) is type(second) and first == second


def refused(made: Declaration, place: int, cell: object, code: str) -> CalcError:
    got = answer(made, varied(made, place, cell))
    assert isinstance(got, CalcError), f"{made.args[place].name}: {cell!r:.80} gives {got!r:.80}"
    assert got.code == code, f"{made.args[place].name}: {cell!r:.80} gives {got.code} {got}"
    assert sound(got)
    return got


@check
def blank_row_is_blank(made: Declaration) -> None:
    for cells in ([], [None] * len(made.args), [""] * len(made.args), ["  "] * len(made.args)):
        assert answer(made, cells) == ""
    ranges = [[[None], [""]] if arg.reader.takes_range else None for arg in made.args]
    assert answer(made, ranges) == ""


@check
def missing_input_is_named(made: Declaration) -> None:
    for place, arg in places(made):
        for blank in (None, "", " "):
            got = answer(made, varied(made, place, blank))
            others = [cell for at, cell in enumerate(cells_of(made)) if at != place and made.args[at].name != "unit"]
            if not arg.required:
                assert sound(got)
                assert not str(got).startswith(f"{arg.label} is missing")
            elif any(cell is not None for cell in others):
                assert isinstance(got, MissingInput)
                assert str(got).startswith(f"{arg.label} is missing: give ")
            else:
                assert got == ""


@check
def left_out_is_its_default(made: Declaration) -> None:
    for place, arg in places(made):
        if not arg.required and arg.default != "":
            assert same(answer(made, varied(made, place, None)), answer(made, varied(made, place, arg.default)))


@check
def too_many_arguments_are_refused(made: Declaration) -> None:
    got = answer(made, [*cells_of(made), 1])
    assert isinstance(got, CalcError)
    assert "at most" in str(got)


@check
def good_cells_are_read(made: Declaration) -> None:
    for place, arg in places(made):
        for cell in arg.reader.good():
            arg.reader.read(cell)
            assert sound(answer(made, varied(made, place, cell)))


@check
def bad_cells_are_refused_with_their_code(made: Declaration) -> None:
    for place, arg in places(made):
        assert arg.reader.bad()
        for cell, code in arg.reader.bad():
            assert str(refused(made, place, cell, code)).startswith(f"{arg.label}: ")


@check
def both_ends_of_a_span_belong_to_it(made: Declaration) -> None:
    for place, arg in places(made):
        for end in arg.reader.span() or ():
            arg.reader.read(end)
            assert sound(answer(made, varied(made, place, end)))


@check
def an_error_passes_with_its_code(made: Declaration) -> None:
    for place, arg in places(made):
        for code in CODES:
            got = refused(made, place, CalcError("", code), code)
            assert isinstance(got, UpstreamError)
            assert arg.label in str(got)
            assert answer(made, varied(made, place, CalcError("said before", code))).args == ("said before",)
            if arg.reader.takes_range:
                assert "cell 2 of the list" in str(refused(made, place, [[None], [CalcError("", code)]], code))


@check
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


@check
def the_same_quantity_in_any_unit_is_the_same_answer(made: Declaration) -> None:
    expected = answer(made, cells_of(made))
    for place, arg in places(made):
        cell = cells_of(made)[place]
        value = arg.reader.read(cell) if isinstance(arg.reader, Quantity) and cell is not None else None
        if not isinstance(value, float):
            continue
        said = [text for text in (*SPELLINGS, *COMPOUNDS) if fits(arg.reader.check_unit, unit(text), f"300 {text}")]
        assert arg.reader.unit_text in said
        assert len(said) > 1 or arg.reader.unit_text in ("1", "%")
        for text in said:
            given = f"{unit(text).from_si(value)!r} {text}"
            assert same(answer(made, varied(made, place, given)), expected, rel=1e-9), given


@check
def numbers_at_the_edge_of_floats(made: Declaration) -> None:
    for place, _ in places(made):
        for cell in (math.nan, math.inf, -math.inf):
            refused(made, place, cell, "#VALUE!")
        for cell in (1e308, -1e308, 1e-308, -1e-308, 5e-324):
            assert sound(answer(made, varied(made, place, cell)))


@check
def true_false_and_dates_are_refused(made: Declaration) -> None:
    odd = (True, False, datetime.date(2026, 1, 1), datetime.datetime(2026, 1, 1, 12), datetime.timedelta(1))
    for place, _ in places(made):
        for cell in odd:
            refused(made, place, cell, "#VALUE!")


@check
def a_range_answers_cell_by_cell(made: Declaration) -> None:
    for place in single_places(made):
        arg, cell = made.args[place], cells_of(made)[place]
        cells = [cell, arg.reader.good()[0], arg.reader.bad()[0][0], None]
        singles = [answer(made, varied(made, place, one)) for one in cells]
        assert same(answer(made, varied(made, place, [[cell]])), [[singles[0]]])
        assert same(answer(made, varied(made, place, [[one] for one in cells])), [[one] for one in singles])
        assert same(answer(made, varied(made, place, [cells])), [singles])
        assert same(answer(made, varied(made, place, (tuple(cells),))), [singles])
        assert same(answer(made, varied(made, place, [cells[:2], cells[2:]])), [singles[:2], singles[2:]])


@check
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


@check
def the_unit_asked_for_holds_the_same_answer(made: Declaration) -> None:
    if not made.has_unit:
        return
    plain = answer(made, varied(made, len(made.args) - 1, None))
    fitting = [text for text in SPELLINGS if fits(made.args[-1].reader.read, text)] + [made.answer.unit_text]
    for text in fitting:
        got = answer(made, varied(made, len(made.args) - 1, text))
        assert unit(text).to_si(got) == pytest.approx(made.answer.unit.to_si(plain), rel=1e-12)


def fits(read: Callable[..., object], *given: object) -> bool:
    """Whether something is taken rather than refused."""
    try:
        read(*given)
    except CalcError:
        return False
    return True


@check
def the_example_shows_what_it_says(made: Declaration) -> None:
    assert shown_as(answer(made, made.example.cells), made.example.shows) == made.example.shows
    assert not made.example.source or made.example.source in sources()


@check
def why_gives_the_sentence(made: Declaration) -> None:
    assert answer_about("ANSWER_WHY", made, cells_of(made)).startswith("There is an answer: ")
    for place, arg in places(made):
        for cell, _ in arg.reader.bad():
            assert answer_about("ANSWER_WHY", made, varied(made, place, cell)) == str(
                answer(made, varied(made, place, cell))
            )
        if not isinstance(arg.reader, Quantity) or (span := arg.reader.span()) is None:
            continue
        for end, beyond in ((span[0], span[0] - 1.0), (span[1], span[1] * 1.01 + 1.0)):
            why = answer_about("ANSWER_WHY", made, varied(made, place, beyond))
            assert arg.label in why
            counted_down = isinstance(arg.reader, Vacuum) and end is span[0]  # its sentence says what a vacuum is
            assert counted_down or digits(end) in why
            assert counted_down or arg.reader.allows() in why or len(why) > LONGEST_SENTENCE - 60


@check
def steps_hold_inputs_answer_and_sources(made: Declaration) -> None:
    cells, got = cells_of(made), answer(made, cells_of(made))
    lines = [line for (line,) in answer_about("ANSWER_STEPS", made, cells)]
    asked = unit(cells[-1]) if made.has_unit and cells[-1] else None
    assert f"Answer: {made.answer.format(got, asked)}" in lines
    assert all(0 < len(line) <= LONGEST_SENTENCE for line in lines)
    for arg, cell in zip(made.workshop_args, cells, strict=False):
        assert any(line.startswith(f"{arg.label}: ") for line in lines) or cell is None
    for source in made.sources:
        assert any(sources()[source].title[:60] in line for line in lines), source


@check
def low_and_high_hold_the_answer(made: Declaration) -> None:
    cells = cells_of(made)
    got, low, high = (
        answer(made, cells), answer_about("ANSWER_LOW", made, cells), answer_about("ANSWER_HIGH", made, cells)
    )  # fmt: skip
    if isinstance(got, str):
        assert all(isinstance(end, CalcError) and "words" in str(end) for end in (low, high))
    else:
        assert low <= got + HAIR * abs(got)
        assert high >= got - HAIR * abs(got)


@check
def more_doubt_never_narrows_the_span(made: Declaration) -> None:
    if isinstance(answer(made, cells_of(made)), str):
        return
    for place, cell in enumerate(cells_of(made)):
        if isinstance(cell, str) and fits(made.args[place].reader.read, f"{cell}; doubt 5 %"):
            spans = [
                [answer_about(end, made, varied(made, place, f"{cell}; doubt {share} %")) for share in (0, 5, 40)]
                for end in ("ANSWER_LOW", "ANSWER_HIGH")
            ]
            for ends, way in zip(spans, (-1, 1), strict=True):
                for less, more in pairwise(ends):
                    assert way * (more - less) >= -1e-9 * abs(less)


def answer_about(about: str, made: Declaration, cells: Sequence[object]) -> Any:
    return answer(functions()[about], [made.name, *cells])


@check
def the_same_answer_again(made: Declaration) -> None:
    first = answer(made, cells_of(made))
    for place, arg in places(made):
        for cell in arg.reader.good():
            answer(made, varied(made, place, cell))
    assert same(answer(made, cells_of(made)), first)


@check
def texts_are_there_and_within_limits(made: Declaration) -> None:
    texts = [made.summary, made.relation, made.not_for, *made.cautions, *(arg.label for arg in made.args)]
    assert all(texts)
    for text in (made.summary, *made.cautions, *(arg.description for arg in made.args)):
        assert len(text) <= LONGEST_SENTENCE
    assert len(", ".join(arg.name for arg in made.args)) < LONGEST_SENTENCE
    assert len({arg.label for arg in made.args}) == len(made.args), "two arguments have one label"


@check
def sources_resolve(made: Declaration) -> None:
    assert made.sources
    limits = [arg.reader.limit for arg in made.args if isinstance(arg.reader, Quantity) and arg.reader.span()]
    for source in (*made.sources, *limits):
        assert sources()[source].title


@check
def odd_cells_never_raise_anything_else(made: Declaration) -> None:
    for place, _ in places(made):
        for cell in ODD_CELLS:
            cells = varied(made, place, cell)
            got = answer(made, cells)
            assert sound(got) or got == "", f"{made.args[place].name}: {cell!r:.60} gives {got!r:.60}"
            assert sound(answer_about("ANSWER_WHY", made, cells))


@pytest.mark.parametrize("name", DECLARED)
@pytest.mark.parametrize("what", CHECKS)
def test_every_function(what: str, name: str) -> None:
    CHECKS[what](DECLARED[name])


def test_a_doubtful_viscosity_widens_what_rests_on_it() -> None:
    rests_on_it = {
        "FLUID_VISCOSITY",
        "LINE_REYNOLDS",
        "LINE_PRESSURE_DROP",
        "BORE_FOR_DROP",
        "FLOW_FOR_DROP",
        "LINE_COLD_LIMIT",
        "COIL_PRESSURE_DROP",
        "SUCTION_MARGIN",
    }  # DRAIN_TIME: its example has no line
    found = set()
    for made in DECLARED.values():
        names = [arg.name for arg in made.args]
        if "fluid" not in names or isinstance(answer(made, cells_of(made)), str):
            continue
        place = names.index("fluid")
        cell = cells_of(made)[place]
        low, high = (
            [answer_about(end, made, varied(made, place, f"{cell}; doubt {share} %")) for share in (0, 40)]
            for end in ("ANSWER_LOW", "ANSWER_HIGH")
        )
        if low[1] < low[0] and high[1] > high[0]:
            found.add(made.name)
    assert found == rests_on_it


def test_functions_are_pure_in_any_order_and_from_threads() -> None:
    calls = [(made, cells_of(made)) for made in DECLARED.values()] * 3
    expected = [answer(*each) for each in calls]
    order = list(range(len(calls)))
    random.Random(341).shuffle(order)
    with ThreadPoolExecutor(4) as pool:
        got = dict(zip(order, pool.map(lambda place: answer(*calls[place]), order), strict=True))
    assert all(same(got[place], expected[place]) for place in order)


@settings(max_examples=600)
@given(st.sampled_from(sorted(DECLARED)), st.data())
def test_allowed_cells_together_get_an_answer_or_a_sentence(name: str, data: st.DataObject) -> None:
    made, cells = DECLARED[name], []
    for cell, arg in zip(cells_of(DECLARED[name]), made.args, strict=True):
        allowed = [st.just(cell), st.sampled_from(arg.reader.good())]
        if span := arg.reader.span():
            whole = isinstance(arg.reader, Count)
            allowed.append(st.integers(*map(int, span)) if whole else st.floats(*span))
        cells.append(data.draw(st.one_of(allowed)))
    got = answer(made, cells)
    assert sound(got)
    if type(got) is float:
        low, high = (answer_about(about, made, cells) for about in ("ANSWER_LOW", "ANSWER_HIGH"))
        assert low <= got + HAIR * abs(got)
        assert high >= got - HAIR * abs(got)
        assert sound(answer_about("ANSWER_STEPS", made, cells))


@settings(max_examples=400)
@given(st.sampled_from(sorted(DECLARED)), st.data())
def test_any_cell_at_all_gets_an_answer_or_a_sentence(name: str, data: st.DataObject) -> None:
    made = DECLARED[name]
    place = data.draw(st.integers(0, len(made.args) - 1))
    cell = data.draw(st.one_of(texts(), st.floats(), st.integers(), st.binary(), st.lists(st.lists(st.floats()))))
    assert sound(answer(made, varied(made, place, cell)))
