"""One list of checks of what comes out of every worksheet function: units, words, steps, doubt and sources.

They are made from its declaration, as those of what goes in.
"""

import random
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.declared import (
    DECLARED,
    HAIR,
    SPELLINGS,
    Checks,
    answer,
    answer_about,
    cells_of,
    fits,
    places,
    same,
    sound,
    varied,
)
from xlcalc import CalcError
from xlcalc.core.declaration import Declaration, shown_as
from xlcalc.core.errors import LONGEST_SENTENCE
from xlcalc.core.quantities import Count, Quantity, Vacuum
from xlcalc.core.tables import sources
from xlcalc.core.units import unit
from xlcalc.core.words import digits

CHECKS = Checks()


@CHECKS.add
def the_unit_asked_for_holds_the_same_answer(made: Declaration) -> None:
    if not made.has_unit:
        return
    plain = answer(made, varied(made, len(made.args) - 1, None))
    fitting = [text for text in SPELLINGS if fits(made.args[-1].reader.read, text)] + [made.answer.unit_text]
    for text in fitting:
        got = answer(made, varied(made, len(made.args) - 1, text))
        assert unit(text).to_si(got) == pytest.approx(made.answer.unit.to_si(plain), rel=1e-12)


@CHECKS.add
def the_example_shows_what_it_says(made: Declaration) -> None:
    assert shown_as(answer(made, made.example.cells), made.example.shows) == made.example.shows
    assert not made.example.source or made.example.source in sources()


@CHECKS.add
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


@CHECKS.add
def steps_hold_inputs_answer_and_sources(made: Declaration) -> None:
    cells, got = cells_of(made), answer(made, cells_of(made))
    lines = [line for (line,) in answer_about("ANSWER_STEPS", made, cells)]
    asked = unit(cells[-1]) if made.has_unit and cells[-1] else None
    assert f"Answer: {made.answer.format(got, asked)}" in lines
    assert [line for line in lines if not 0 < len(line) <= LONGEST_SENTENCE] == []
    for arg, cell in zip(made.workshop_args, cells, strict=False):
        said = [line for line in lines if line.startswith(f"{arg.label}: ")]
        assert said or cell is None, f"no step says what {arg.label} was: {lines}"
    for source in made.sources:
        assert any(sources()[source].title[:60] in line for line in lines), source


@CHECKS.add
def low_and_high_hold_the_answer(made: Declaration) -> None:
    cells = cells_of(made)
    got, low, high = (
        answer(made, cells), answer_about("ANSWER_LOW", made, cells), answer_about("ANSWER_HIGH", made, cells)
    )  # fmt: skip
    if isinstance(got, str):
        assert [end for end in (low, high) if not (isinstance(end, CalcError) and "words" in str(end))] == []
    else:
        assert low <= got + HAIR * abs(got)
        assert high >= got - HAIR * abs(got)


@CHECKS.add
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


@CHECKS.add
def the_same_answer_again(made: Declaration) -> None:
    first = answer(made, cells_of(made))
    for place, arg in places(made):
        for cell in arg.reader.good():
            answer(made, varied(made, place, cell))
    assert same(answer(made, cells_of(made)), first)


@CHECKS.add
def texts_are_there_and_within_limits(made: Declaration) -> None:
    texts = [made.summary, made.relation, made.not_for, *made.cautions, *(arg.label for arg in made.args)]
    assert all(texts), f"a text is empty: {texts}"
    for text in (made.summary, *made.cautions, *(arg.description for arg in made.args)):
        assert len(text) <= LONGEST_SENTENCE
    assert len(", ".join(arg.name for arg in made.args)) < LONGEST_SENTENCE
    assert len({arg.label for arg in made.args}) == len(made.args), "two arguments have one label"


@CHECKS.add
def sources_resolve(made: Declaration) -> None:
    assert made.sources, f"{made.name} cites nothing"
    limits = [arg.reader.limit for arg in made.args if isinstance(arg.reader, Quantity) and arg.reader.span()]
    for source in (*made.sources, *limits):
        assert sources()[source].title


@pytest.mark.parametrize("name", DECLARED)
@pytest.mark.parametrize("what", CHECKS)
def test_every_answer(what: str, name: str) -> None:
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
    assert [calls[place] for place in order if not same(got[place], expected[place])] == [], "other in a thread"


@cache
def allowed(name: str) -> st.SearchStrategy[tuple[object, ...]]:
    """Cells for all arguments of a function: that of its example, good ones, or any within the span."""
    made, several = DECLARED[name], []
    for cell, arg in zip(cells_of(made), made.args, strict=True):
        kinds = [st.just(cell), st.sampled_from(arg.reader.good())]
        if span := arg.reader.span():
            kinds.append(st.integers(*map(int, span)) if isinstance(arg.reader, Count) else st.floats(*span))
        several.append(st.one_of(kinds))
    return st.tuples(*several)


@settings(max_examples=600)
@given(st.sampled_from(sorted(DECLARED)), st.data())
def test_allowed_cells_together_get_an_answer_or_a_sentence(name: str, data: st.DataObject) -> None:
    made, cells = DECLARED[name], data.draw(allowed(name))
    got = answer(made, cells)
    assert sound(got)
    if type(got) is float:
        low, high = (answer_about(about, made, cells) for about in ("ANSWER_LOW", "ANSWER_HIGH"))
        assert low <= got + HAIR * abs(got)
        assert high >= got - HAIR * abs(got)
        assert sound(answer_about("ANSWER_STEPS", made, cells))
