"""What the embedded engine does, as far as the recalculation relies on it.

A new version of the engine goes in only when these pass; where one fails, the preparation has to follow.
"""

import threading
from collections.abc import Callable, Mapping
from typing import Any
from xml.sax.saxutils import escape

import formualizer
import pytest

from .books import book, formula, number, row

EMPTY = "$XFD$1048576"
DIV, NUM = ({"type": "Error", "kind": kind} for kind in ("Div", "Num"))


def loaded(data: bytes, functions: Mapping[str, Callable[..., object]], **settings: object) -> Any:
    evaluation = formualizer.EvaluationConfig()
    evaluation.enable_parallel = False
    evaluation.cycle_detection = "runtime"
    for name, value in settings.items():
        setattr(evaluation, name, value)
    engine = formualizer.Workbook.from_bytes(data, config=formualizer.WorkbookConfig(eval_config=evaluation))
    engine.set_temporal_egress("serial")
    for name, function in functions.items():
        engine.register_function(name, function)
    return engine


def answer(written: str, cells: str = "", **functions: Callable[..., object]) -> object:
    """What a cell shows for a formula; an error as its kind."""
    engine = loaded(book(row(1, formula("I1", written)) + cells), functions)
    engine.evaluate_all()
    return kind_or_value(engine, 1, 9)


def kind_or_value(engine: Any, line: int, column: int) -> object:
    value = engine.get_value("S", line, column)
    return value["kind"] if isinstance(value, dict) else value


def shown(*cells: object) -> str:
    return "|".join(map(repr, cells))


TYPED = row(
    2,
    '<c r="B2" t="str"><v></v></c>',
    number("C2", 5),
    '<c r="D2" t="str"><v>t</v></c>',
    '<c r="E2" t="b"><v>1</v></c>',
    '<c r="F2" t="e"><v>#N/A</v></c>',
)


@pytest.mark.parametrize(
    ("given", "seen"),
    [
        ("A2", "None"),
        (EMPTY, "None"),
        ("C2", "5.0"),
        ("D2", "'t'"),
        ("E2", "True"),
        ("F2", "{'type': 'Error', 'kind': 'Na'}"),
        ("C2:C2", "5.0"),
        ("A2:D2", "[[None, '', 5.0, 't']]"),
        ("DATE(2024,1,2)", "45293.0"),
        ("A9+0", "0.0"),
        ("1,,2", "1.0|0.0|2.0"),  # the left-out argument is a zero: it must be filled before loading
        ("1,", "1.0|0.0"),
    ],
)
def test_what_a_function_receives(given: str, seen: str) -> None:
    assert answer(f"F({given})", TYPED, F=shown) == seen


@pytest.mark.parametrize(
    ("returned", "cell"),
    [
        ("", ""),
        (7.5, 7.5),
        (True, True),
        (None, 0.0),  # not blank: "" is
        (DIV, "Div"),
        ({"type": "Error", "kind": "Na", "message": "why"}, "Na"),
        ([[1.0, "x"], [3.0, 4.0]], 1.0),
        ([[9.0]], 9.0),
        ([1.0, 2.0], "Value"),
        ([[1.0], [2.0, 3.0]], "Value"),
        (10**30, "Value"),
    ],
)
def test_what_a_function_may_answer(returned: object, cell: object) -> None:
    assert answer("F()", F=lambda: returned) == cell


def test_no_check_for_what_is_no_number() -> None:
    assert answer("F()", F=lambda: float("inf")) == float("inf")
    assert answer("F()", F=lambda: float("nan")) != answer("F()", F=lambda: float("nan"))


def test_the_sentence_of_an_error_reaches_the_function_called_on_it() -> None:
    assert answer("G(F())", F=lambda: NUM | {"message": "why"}, G=lambda error: error["message"]) == "why"


def test_a_raised_error_ends_the_formula_but_an_answered_one_can_be_tested() -> None:
    def raising() -> None:
        raise KeyError("x")

    assert answer("ISERROR(F())", F=raising) == "Value"
    assert answer("ISERROR(F())", F=lambda: NUM) is True


def test_a_cancelled_calculation_raises() -> None:
    calls = []

    def stop() -> float:
        calls.append(1)
        engine.cancel()
        return 1.0

    engine = loaded(book(row(1, formula("A1", "F()"), formula("B1", "F()"))), {"F": stop})
    with pytest.raises(formualizer.ExcelEvaluationError):
        engine.evaluate_all()
    assert calls == [1]


@pytest.mark.parametrize(
    "spelling", ["F", "[1]!F", "'C:\\A B\\X.XLAM'!F", "_XLL.F", "_XLFN.F", "_XLUDF.F", "XLCALC.F", "X.XLAM!F"]
)
def test_each_spelling_is_a_function_of_its_own(spelling: str) -> None:
    assert answer(f"{spelling.lower()}(2)", **{spelling: lambda x: x}) == 2.0
    assert answer(f"@{spelling}(2)", **{spelling: lambda x: x}) == 2.0


@pytest.mark.parametrize(
    ("name", "known"),
    [("SUM", True), ("_XLFN.IFS", True), ("_XLFN._XLWS.FILTER", True), ("NO_SUCH", False), ("_XLFN.SINGLE", False)],
)
def test_registering_tells_what_the_engine_has_itself(name: str, known: bool) -> None:
    engine = formualizer.Workbook()
    if known:
        with pytest.raises(RuntimeError):
            engine.register_function(name, shown)
    else:
        engine.register_function(name, shown)
        engine.unregister_function(name)


@pytest.mark.parametrize(("parallel", "single"), [(False, True), (True, False)])
def test_only_one_at_a_time_stays_on_one_thread(parallel: bool, single: bool) -> None:
    seen = set()

    def note(value: float) -> float:
        seen.add(threading.get_ident())
        return value

    rows = "".join(row(i, *(formula(f"{c}{i}", f"F({i})") for c in "ABCDEFGH")) for i in range(1, 1501))
    loaded(book(rows), {"F": note}, enable_parallel=parallel).evaluate_all()
    assert (seen == {threading.get_ident()}) is single


def test_cached_cells_of_an_array_block_it() -> None:
    for child, first in ((number("A2", 4), "Spill"), ('<c r="A2"/>', 2.0)):
        array = formula("A1", "{1;2}*2", "2", attributes=' t="array" ref="A1:A2"')
        engine = loaded(book(row(1, array) + row(2, child)), {})
        engine.evaluate_all()
        assert kind_or_value(engine, 1, 1) == first


@pytest.mark.parametrize(("below", "beside"), [('IF(TRUE,"","")', "A1"), ("NA()", "B3"), ("A1", '""')])
@pytest.mark.parametrize("several", ["{1;2}*2", "{1,2}*2", "F(2)", "B5:B6*1", "{1,2;3,4}", "INDEX(B5:C6,1,0)"])
def test_a_formula_next_to_another_blocks_what_it_spreads_even_where_it_shows_nothing(
    several: str, below: str, beside: str
) -> None:
    values = row(5, number("B5", 7), number("C5", 8)) + row(6, number("B6", 9), number("C6", 10))
    cells = row(1, formula("A1", several), formula("B1", beside)) + row(2, formula("A2", below)) + values
    engine = loaded(book(cells), {"F": lambda x: [[x], [x + 1]]})
    engine.evaluate_all()
    assert kind_or_value(engine, 1, 1) in ("Spill", "Circ")


def test_an_array_takes_the_size_of_its_answer_not_of_its_area() -> None:
    array = formula("A1", "{1;2;3}*2", attributes=' t="array" ref="A1:A2"')
    engine = loaded(book(row(1, array)), {})
    engine.evaluate_all()
    assert [kind_or_value(engine, line, 1) for line in (1, 2, 3)] == [2.0, 4.0, 6.0]


def test_a_link_without_stored_value_stops_everything_and_a_constant_does_not() -> None:
    cells = row(1, formula("A1", "1+1"), formula("B1", "[1]X!A1", "7"))
    with pytest.raises(formualizer.ExcelEvaluationError):
        loaded(book(cells), {}).evaluate_all()
    frozen = loaded(book(cells.replace("<f>[1]X!A1</f>", "")), {})
    frozen.evaluate_all()
    assert (frozen.get_value("S", 1, 1), frozen.get_value("S", 1, 2)) == (2.0, 7.0)


def test_a_plain_formula_spreads_and_an_at_sign_takes_it_back() -> None:
    cells = row(1, formula("A1", "F(2)"), formula("B1", "SUM(A1:A2)"), formula("C1", "A1"))
    engine = loaded(book(cells), {"F": lambda x: [[x], [x + 1]]})
    engine.evaluate_all()
    assert [kind_or_value(engine, *place) for place in ((1, 1), (2, 1), (1, 2))] == [2.0, 3.0, 5.0]
    spill = [engine.inspect_cell(f"'S'!{cell}", include_values=False).cell.spill for cell in ("A1", "B1")]
    assert [each is not None for each in spill] == [True, False]
    engine.set_formula("S", 1, 1, "=@(F(2))")
    engine.evaluate_all()
    assert [kind_or_value(engine, *place) for place in ((1, 1), (2, 1), (1, 2))] == [2.0, None, 2.0]


def test_an_at_sign_takes_the_own_row_of_an_area() -> None:
    cells = row(1, number("C1", 4)) + row(2, formula("B2", "@(C1:C3)"), number("C2", 5))
    engine = loaded(book(cells), {})
    engine.evaluate_all()
    assert kind_or_value(engine, 2, 2) == 5.0


def test_circles_reach_what_depends_on_them_and_end_with_a_fixed_value() -> None:
    cells = row(1, formula("A1", "B1+1"), formula("B1", "A1+1"), formula("C1", "A1*2"), formula("D1", "IF(TRUE,5,D1)"))
    engine = loaded(book(cells), {})
    engine.evaluate_all()
    assert [kind_or_value(engine, 1, column) for column in (1, 2, 3, 4)] == ["Circ", "Circ", "Circ", 5.0]
    engine.set_value("S", 1, 1, 3.0)
    engine.set_value("S", 1, 2, 4.0)
    engine.evaluate_all()
    assert [kind_or_value(engine, 1, column) for column in (1, 2, 3)] == [3.0, 4.0, 6.0]


def test_says_what_a_cell_depends_on_with_names_followed() -> None:
    names = '<definedName name="Rate">S!$B$2</definedName>'
    engine = loaded(book(row(1, formula("A1", "SUM(C1:D9)+B1+Rate")), names=names), {})
    engine.evaluate_all()
    found = []
    for each in engine.precedents("'S'!A1").to_dict()["precedents"]:
        meant = each["reference"]["resolution"] or each["reference"]
        found.append(meant["address"] or meant["resolved"])
    assert sorted(found) == ["S!B1", "S!B2", "S!C1:D9"]


def test_iterating_books_are_iterated_unless_the_setting_is_taken_out() -> None:
    cells = row(1, formula("A1", "B1+1"), formula("B1", "A1+1"))
    engine = loaded(book(cells, calculation='<calcPr iterate="1"/>'), {})
    engine.evaluate_all()
    assert isinstance(kind_or_value(engine, 1, 1), float)


def test_1904_is_not_read_from_the_file_but_can_be_set() -> None:
    data = book(row(1, formula("A1", "YEAR(1)")), properties='<workbookPr date1904="1"/>')
    for system, year in (("1900", 1900.0), ("1904", 1904.0)):
        engine = loaded(data, {}, date_system=system)
        engine.evaluate_all()
        assert kind_or_value(engine, 1, 1) == year


def test_neither_a_sheets_name_nor_one_with_our_function_is_followed() -> None:
    names = '<definedName name="Rate">S!$B$2</definedName><definedName name="Call">F(S!$B$2)</definedName>'
    cells = row(1, formula("A1", "Rate"), formula("B1", "S!Rate"), formula("C1", "Call")) + row(2, number("B2", 4))
    engine = loaded(book(cells, names=names), {"F": lambda x: x})
    engine.evaluate_all()
    assert [kind_or_value(engine, 1, column) for column in (1, 2, 3)] == [4.0, "Name", "Name"]


def test_a_shared_formula_follows_its_first_cell() -> None:
    cells = row(1, formula("A1", f"F(B1,{EMPTY})", attributes=' t="shared" ref="A1:A2" si="0"'), number("B1", 4))
    cells += row(2, formula("A2", "", attributes=' t="shared" si="0"'), number("B2", 5))
    engine = loaded(book(cells), {"F": shown})
    engine.evaluate_all()
    assert [kind_or_value(engine, line, 1) for line in (1, 2)] == ["4.0|None", "5.0|None"]
    assert engine.get_formula("S", 2, 1).replace(" ", "") == f"=F(B2,{EMPTY})"


@pytest.mark.parametrize(
    ("written", "kind"),
    [("+".join(["A2"] * 3000), "Error"), ("SUM(S:S!A2)", "NImpl"), ("(A1,A3)", "NImpl"), ("SUM(T[a])", "Name")],
    ids=["deep", "several sheets", "union", "table"],
)
def test_what_the_engine_cannot_work_out(written: str, kind: str) -> None:
    assert answer(written) == kind


@pytest.mark.parametrize(
    ("written", "answered"),
    [  # an engine that answers as a spreadsheet does (see test_otherwise) needs no such cell to be kept any more
        ('CELL("filename",I2)', "Value"), ('CONVERT(1,"psi","Pa")', "Na"), ('TEXT(1234.567,"0.00E+00")', "1234.57"),
        ('TEXT(0.125,"# ?/8")', "0.125"), ('INDIRECT("R2C9",FALSE)', "Ref"), ('0.1*3&""', "0.30000000000000004"),
        ("_xlfn.FORMULATEXT(I4)", "=I2 * 2"), ("SUBTOTAL(109,I2:I3)", 16.0), ("AGGREGATE(9,5,I2:I3)", 16.0),
    ],
)  # fmt: skip
def test_what_it_answers_otherwise_than_a_spreadsheet(written: str, answered: object) -> None:
    hidden = row(2, number("I2", 7)).replace("<row ", '<row hidden="1" ')
    cells = hidden + row(3, number("I3", 9)) + row(4, formula("I4", "I2*2"))
    assert answer(escape(written), cells) == answered
