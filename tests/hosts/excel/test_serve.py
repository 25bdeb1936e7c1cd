"""xlwings' own server code answers as the other doors do, for every function and every kind of cell."""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest

import xlcalc
from xlcalc import CalcError, functions
from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CODES
from xlcalc.hosts.excel.crossing import ERROR, FAULT, NUMBERS, arrived, leaving

from . import com
from .made import served

FUNCTIONS = {name: made for name, made in functions().items() if not made.about}
EXCELS_NUMBERS = {  # XlCVError in Microsoft's reference of the object model
    "#NULL!": 2000, "#DIV/0!": 2007, "#VALUE!": 2015, "#REF!": 2023, "#NAME?": 2029, "#NUM!": 2036, "#N/A": 2042,
}  # fmt: skip


def expected(name: str, cells: Sequence[Any]) -> Any:
    """What xlcalc.call says, as the add-in has to get it."""
    try:
        rows = xlcalc.call(name, *cells)
    except CalcError as error:
        rows = error
    rows = rows if isinstance(rows, list) else [[rows]]
    table = [[mark(value) for value in row] for row in rows]
    if len(table) > 1:
        return table
    return table[0] if len(table[0]) > 1 else table[0][0]  # xlwings flattens one row, and one cell


def mark(value: Any) -> Any:
    if isinstance(value, CalcError):
        return f"\x01{EXCELS_NUMBERS[value.code]}"
    return float(value) if type(value) is int else value


def as_excel(cell: Any) -> Any:
    """A cell as the model of COM has it: an error by its number, every number a double."""
    if isinstance(cell, CalcError):
        return com.ErrorValue(EXCELS_NUMBERS[cell.code])
    if isinstance(cell, list):
        return [[as_excel(each) for each in row] for row in cell]
    return float(cell) if type(cell) is int else cell


def calls_of(made: Declaration) -> Iterator[list[Any]]:
    """The example, and the example with one argument varied: blank, good, bad, an error, true, a range of these."""
    cells = list(made.example.cells) + [None] * (len(made.args) - len(made.example.cells))
    yield cells
    yield [None] * len(cells)
    for place, arg in enumerate(made.args):
        varied = [None, "", True, *arg.reader.good(), *(cell for cell, _ in arg.reader.bad())]
        varied += [CalcError("", code) for code in ("#DIV/0!", CODES[place % len(CODES)])]
        for cell in varied:
            if not unfit(cell):
                yield [*cells[:place], cell, *cells[place + 1 :]]
        if not arg.reader.takes_range:
            column = [[cells[place]], [None], [CalcError("", "#REF!")], [arg.reader.good()[0]]]
            yield [*cells[:place], column, *cells[place + 1 :]]
            yield [*cells[:place], [[row[0] for row in column]], *cells[place + 1 :]]


def unfit(cell: Any) -> bool:
    """What no cell of Excel hands over: NaN, infinity, and a date, which comes as its number."""
    if isinstance(cell, list):
        return any(unfit(each) for row in cell for each in row)
    if isinstance(cell, float):
        return not math.isfinite(cell)
    return not isinstance(cell, str | int | CalcError | None)


def same(got: Any, wanted: Any) -> bool:
    if isinstance(got, list) and isinstance(wanted, list):
        return len(got) == len(wanted) and all(map(same, got, wanted))
    return type(got) is type(wanted) and got == wanted


@pytest.mark.parametrize("name", FUNCTIONS)
def test_same_answers_as_the_other_doors(name: str) -> None:
    for cells in calls_of(FUNCTIONS[name]):
        got = served(name, [as_excel(cell) for cell in cells])
        assert same(got, expected(name, cells)), f"{cells}: {got!r}"


@pytest.mark.parametrize("about", ["ANSWER_WHY", "ANSWER_STEPS", "ANSWER_LOW", "ANSWER_HIGH"])
def test_what_is_said_about_an_answer_is_the_same(about: str) -> None:
    for name, made in FUNCTIONS.items():
        cells = [name, *made.example.cells]
        assert same(served(about, [as_excel(cell) for cell in cells]), expected(about, cells))
    for cells in calls_of(FUNCTIONS["LINE_VELOCITY"]):
        given = [float(cell) if type(cell) is int else cell for cell in cells]  # so that sentences print alike
        assert same(served(about, ["LINE_VELOCITY", *map(as_excel, given)]), expected(about, ["LINE_VELOCITY", *given]))


def flat(given: Any) -> Any:
    rows = arrived(given)
    return [[cell for row in rows for cell in row]] if isinstance(rows, list) else rows


def where(kind: type, planted: Callable[[Any], Any], whole: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """The whole half of the crossing, but for values of one kind."""
    kinds = (CalcError,) if kind is CalcError else ()
    return lambda value: planted(value) if type(value) is kind or isinstance(value, kinds) else whole(value)


PLANTED: dict[str, tuple[str, Callable[[Any], Any]]] = {  # what is planted in place of which half of the crossing
    "a blank is a zero": ("arrived", where(type(None), lambda _: 0.0, arrived)),
    "an error value is a number": ("arrived", where(int, float, arrived)),
    "true is one": ("arrived", where(bool, float, arrived)),
    "a range loses its shape": ("arrived", flat),
    "an error is a text": ("leaving", where(CalcError, lambda error: [[error.code]], leaving)),
    "an error has another number": ("leaving", where(CalcError, lambda _: leaving(CalcError("", "#N/A")), leaving)),
    "answers are cut": ("leaving", where(float, lambda answer: leaving(float(f"{answer:.12g}")), leaving)),
    "rows become columns": ("leaving", lambda answer: [list(row) for row in zip(*leaving(answer), strict=True)]),
}


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_seen(fault: str, monkeypatch: pytest.MonkeyPatch) -> None:
    com.install()
    half, planted = PLANTED[fault]
    monkeypatch.setattr(f"xlcalc.hosts.excel.serve.{half}", planted)
    with pytest.raises(AssertionError):
        test_same_answers_as_the_other_doors("LINE_PRESSURE_DROP")


def test_an_argument_left_out_is_a_blank_never_a_zero() -> None:
    plain = served("LINE_PRESSURE_DROP", [8.0, 7.9, 3.0, "ATF generic", 40.0])
    for given in ([com.MISSING] * 4, [None] * 4, [""] * 4):
        assert served("LINE_PRESSURE_DROP", [8.0, 7.9, 3.0, "ATF generic", 40.0, *given]) == plain
    assert served("BORE_FOR_FLOW", [com.MISSING, 2.0]) == f"{ERROR}2015"
    assert served("BORE_FOR_FLOW", [com.MISSING, com.MISSING, com.MISSING]) == ""


def test_a_row_of_an_array_constant_arrives_flat() -> None:
    rows = served("BORE_FOR_FLOW", [[[30.0, 120.0]], 2.0])
    assert served("BORE_FOR_FLOW", [[30.0, 120.0], 2.0]) == rows
    assert served("HOSE_ROLLS_TO_BUY", [[4.0, 5.0], 10.0]) == served("HOSE_ROLLS_TO_BUY", [[[4.0], [5.0]], 10.0])


def test_younger_errors_of_excel_come_back_as_not_available() -> None:
    spill, calc = com.ErrorValue(2045), com.ErrorValue(2050)
    assert [served("BORE_FOR_FLOW", [each, 2.0]) for each in (spill, calc)] == [f"{ERROR}2042"] * 2


def test_error_numbers_are_those_of_excel() -> None:
    assert NUMBERS == EXCELS_NUMBERS
    for code, number in EXCELS_NUMBERS.items():
        got = arrived(com.from_vba(com.ErrorValue(number)))
        assert isinstance(got, CalcError)
        assert got.code == code
        assert leaving(got) == [[f"\x01{number}"]]


def test_what_com_cannot_carry_never_leaves() -> None:
    rows = leaving([[None, 10**12, "x" * 32_768, "x" * 32_767, True, CalcError("", "#N/A")]])
    assert rows == [["", 1e12, "\x012015", "x" * 32_767, True, "\x012042"]]
    com.to_vba(rows)
    with pytest.raises(TypeError):
        com.to_vba(CalcError("", "#N/A"))


def test_an_unknown_function_and_a_fault_of_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    assert served("NO_SUCH", [1.0]) == f"{ERROR}2029"
    from xlcalc.hosts.excel import serve  # noqa: PLC0415  (served has put the stand-ins in place)

    def broken(*_: object) -> None:
        raise KeyError("a table is gone" * 50)

    monkeypatch.setattr(serve, "evaluate", broken)
    got = served("LINE_VELOCITY", [8.0, 7.9])
    assert got.startswith(f"{FAULT}LINE_VELOCITY: KeyError: ")
    assert len(got) <= 200


def test_no_text_is_longer_than_a_formula_of_excel_passes_on() -> None:
    for name, made in FUNCTIONS.items():
        for about in ("ANSWER_WHY", "ANSWER_STEPS"):
            rows = served(about, [name, *map(as_excel, made.example.cells)])
            texts = [cell for row in rows for cell in row] if isinstance(rows, list) else [rows]
            assert [text for text in texts if len(text) > 255] == [], f"{about} of {name} is too long"


def test_the_server_serves_until_excel_is_gone(monkeypatch: pytest.MonkeyPatch) -> None:
    com.install()
    from win32com.server import policy  # type: ignore[import-not-found]  # noqa: PLC0415

    from xlcalc.hosts.excel import serve  # noqa: PLC0415

    left: list[int] = []
    monkeypatch.setattr(serve, "_asked", type(serve._asked)())
    monkeypatch.setattr(serve.os, "_exit", left.append)
    monkeypatch.setattr(serve, "PATIENCE", 3600.0)
    answers: list[Any] = []

    def excel_asks() -> None:
        serve.leave_unasked()
        assert left == [3]  # nobody had asked until then
        python = policy.DefaultPolicy()._CreateInstance_("{class}", "IID_IDispatch")
        answers.append(python.CallUDF("xlcalc.hosts.excel.serve", "answer", ("BORE_FOR_FLOW", 30.0, 2.0)))
        serve.leave_unasked()
        assert left == [3]

    com.PUMPED.append(excel_asks)
    serve.start("{class}")
    assert com.REGISTERED[-1] == "{class}"
    assert answers == [xlcalc.call("BORE_FOR_FLOW", 30, 2)]
