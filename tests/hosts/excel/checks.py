"""What the add-in's VBA must do when it runs: one list, which the tests go through as it is and with planted faults.

Each check takes the text of the add-in and fails by AssertionError.
"""

import datetime
from collections.abc import Callable
from typing import Any

import xlcalc
from xlcalc import functions

from . import com
from .running import NOON, Excel

Check = Callable[[str], None]
CHECKS: dict[str, Check] = {}
BORE = xlcalc.call("BORE_FOR_FLOW", 30, 2)
NAME, VALUE, NOT_AVAILABLE, NUMBER = (com.ErrorValue(number) for number in (2029, 2015, 2042, 2036))


def check(function: Check) -> Check:
    """Add a check to the list."""
    CHECKS[function.__name__] = function
    return function


def number(value: Any) -> Any:
    """An answer as it arrives in VBA, where every number is a double."""
    return float(value) if type(value) is int else value


def later(seconds: float) -> datetime.datetime:
    return NOON + datetime.timedelta(seconds=seconds)


@check
def a_cell_gets_its_answer(text: str) -> None:
    excel = Excel(text)
    assert excel.ask("BORE_FOR_FLOW(30,2)") == BORE
    assert excel.ask('BORE_FOR_FLOW(30,2,"in")') == xlcalc.call("BORE_FOR_FLOW", 30, 2, "in")
    assert excel.call("BORE_FOR_FLOW", None, None) == ""


@check
def every_function_is_connected_to_its_own(text: str) -> None:
    excel = Excel(text, whole=True)
    for name, made in functions().items():
        if not made.about:
            given = [None if cell is None else cell for cell in made.example.cells]
            assert excel.call(name, *given) == number(xlcalc.call(name, *given)), name


@check
def errors_are_error_values(text: str) -> None:
    excel = Excel(text)
    assert excel.ask('BORE_FOR_FLOW("bad",2)') == VALUE
    assert excel.ask("BORE_FOR_FLOW(-3,2)") == NUMBER
    assert excel.ask('FLUID_DENSITY("no such fluid",20)') == NOT_AVAILABLE  # NotInTable
    assert excel.call("BORE_FOR_FLOW", com.ErrorValue(2007), 2) == com.ErrorValue(2007)
    column = excel.call("BORE_FOR_FLOW", [[30], [-3], [None], [NOT_AVAILABLE]], 2)
    assert column == [[BORE], [NUMBER], [VALUE], [NOT_AVAILABLE]]
    assert excel.call("BORE_FOR_FLOW", [[30, -3]], 2) == [BORE, NUMBER]


@check
def cells_go_over_as_values(text: str) -> None:
    excel = Excel(text)
    excel.cells({"A1": 30.0, "A2": "x", "C1": 4.0, "E9": 1.0})
    assert excel.ask('OfCells("A1")') == BORE
    assert excel.ask('OfCells("A1:A2")') == [[BORE], [VALUE]]
    assert excel.ask('OfCells("A1,C1")') == VALUE  # in two pieces, of which a value would be the first only
    assert excel.ask('WhyOfCells("A1")') == "There is an answer: 17.84 mm"
    assert excel.ask('WhyOfCells("A1,C1")') == VALUE


@check
def a_whole_column_ends_with_its_last_row_in_use(text: str) -> None:
    excel = Excel(text)
    excel.cells({"A1": 30.0, "A2": "x", "B3": 1.0})
    assert excel.ask('OfCells("A:A")') == [[BORE], [VALUE], [VALUE]]
    excel.cells({"D1": "4 m", "D2": "5 m"})
    assert excel.ask('RowsOf("D:D")') == xlcalc.call("HOSE_ROLLS_TO_BUY", [["4 m"], ["5 m"]], "10 m")


@check
def the_same_values_are_asked_for_once(text: str) -> None:
    excel = Excel(text)
    assert [excel.ask("BORE_FOR_FLOW(30,2)") for _ in range(3)] == [BORE] * 3
    assert excel.ask('BORE_FOR_FLOW("bad",2)') == excel.ask('BORE_FOR_FLOW("bad",2)') == VALUE
    assert (excel.door.calls, excel.door.starts) == (2, 1)


@check
def different_values_are_told_apart(text: str) -> None:
    excel = Excel(text)
    excel.door.answers = lambda _: float(excel.door.calls)
    asked = [
        (30.0, 2.0), (30.0, 3.0), (3.0, 2.0), ("30", 2.0), (True, 2.0), (0.1 + 0.2, 2.0), (0.3, 2.0), (None, 2.0),
        (0.0, 2.0), ("", 2.0),
        (30.0, 2.0, None), (30.0, 2.0, ""), (NOT_AVAILABLE, 2.0), (VALUE, 2.0), (1e305, 2.0), ("a8:b", ""),
        ("a", "b8:"), (30.0, 2.0, "in"), (30.0, 2.0, "IN"),
    ]  # fmt: skip
    first = [excel.call("BORE_FOR_FLOW", *given) for given in asked]
    assert len(set(first)) == len(asked)
    assert [excel.call("BORE_FOR_FLOW", *given) for given in asked] == first
    assert excel.call("LINE_VELOCITY", 30.0, 2.0) not in first
    assert excel.call("BORE_FOR_FLOW", [[30.0]], 2.0) not in first
    assert excel.call("BORE_FOR_FLOW", [[30.0]], 2.0) != excel.call("BORE_FOR_FLOW", [[30.0]], 2.0)  # not kept


@check
def what_is_kept_has_an_end(text: str) -> None:
    excel = Excel(text.replace("KEPT As Long = 20000", "KEPT As Long = 3"))
    for flow in (1, 2, 3, 4):
        excel.call("BORE_FOR_FLOW", flow, 2)
    excel.call("BORE_FOR_FLOW", 4, 2)
    assert excel.door.calls == 4
    excel.call("BORE_FOR_FLOW", 1, 2)
    assert excel.door.calls == 5


@check
def nothing_is_computed_while_the_arguments_are_typed(text: str) -> None:
    excel = Excel(text)
    excel.door.wizard = True
    assert [excel.ask("BORE_FOR_FLOW(30,2)"), excel.ask("XLCALC_STATUS()")] == [None, None]
    assert excel.ask('ANSWER_WHY("BORE_FOR_FLOW",30,2)') is None
    assert (excel.door.calls, excel.door.starts) == (0, 0)
    excel.door.wizard = False
    assert excel.ask("BORE_FOR_FLOW(30,2)") == BORE


@check
def a_python_that_does_not_start_is_tried_twice_a_minute(text: str) -> None:
    excel = Excel(text)
    excel.door.python_starts = False
    assert {excel.call("BORE_FOR_FLOW", flow, 2) for flow in range(1, 10)} == {NAME}
    assert excel.door.starts == 1
    assert "not connected: Python did not start" in excel.ask("XLCALC_STATUS()")
    assert "xlcalc doctor" in excel.ask("XLCALC_STATUS()")
    assert excel.ask('ANSWER_WHY("BORE_FOR_FLOW",30,2)').startswith("not connected: Python did not start")
    assert excel.ask('ANSWER_LOW("BORE_FOR_FLOW",30,2)') == NAME
    assert excel.door.starts == 1
    excel.door.python_starts = True
    excel.at(later(29))
    assert excel.call("BORE_FOR_FLOW", 30, 2) == NAME
    excel.at(later(31))
    assert excel.call("BORE_FOR_FLOW", 30, 2) == BORE
    assert excel.door.starts == 2


@check
def the_rest_begins_when_a_slow_start_has_failed(text: str) -> None:
    excel = Excel(text)
    excel.door.python_starts = False
    excel.door.meanwhile = lambda: excel.at(later(20))
    assert excel.call("BORE_FOR_FLOW", 30, 2) == NAME
    excel.at(later(49))
    assert excel.call("BORE_FOR_FLOW", 30, 2) == NAME
    assert excel.door.starts == 1
    excel.at(later(51))
    excel.door.python_starts, excel.door.meanwhile = True, lambda: None
    assert excel.call("BORE_FOR_FLOW", 30, 2) == BORE


@check
def a_library_that_is_gone_is_named(text: str) -> None:
    excel = Excel(text)
    excel.door.library_there = False
    assert excel.call("BORE_FOR_FLOW", 30, 2) == NAME
    status = excel.ask("XLCALC_STATUS()")
    assert "cannot load C:\\Jürgen's env\\xlwings64-0.37.8.dll; run xlcalc setup excel again" in status
    assert excel.door.starts == 0


@check
def a_python_that_went_away_is_started_anew(text: str) -> None:
    excel = Excel(text)
    assert excel.call("BORE_FOR_FLOW", 3, 2) == xlcalc.call("BORE_FOR_FLOW", 3, 2)
    excel.at(later(31))
    excel.door.dead = 1
    assert excel.call("BORE_FOR_FLOW", 30, 2) == BORE
    assert excel.door.starts == 2


@check
def a_python_that_keeps_dying_does_not_hold_excel_up(text: str) -> None:
    excel = Excel(text)
    excel.door.dead = 10_000
    assert {excel.call("BORE_FOR_FLOW", flow, 2) for flow in range(1, 50)} == {NAME}
    assert excel.door.starts == 1
    excel.at(later(31))
    assert excel.call("BORE_FOR_FLOW", 77, 2) == NAME
    assert excel.door.starts == 2
    excel.door.dead = 0
    excel.at(later(62))
    assert excel.call("BORE_FOR_FLOW", 30, 2) == BORE  # no error was kept as an answer


@check
def a_fault_of_ours_is_told_by_the_status(text: str) -> None:
    excel = Excel(text)
    said = {"LINE_VELOCITY": "\x02LINE_VELOCITY: KeyError: gone", "XLCALC_STATUS": "connected"}
    excel.door.answers = lambda given: said[given[0]]
    assert excel.call("LINE_VELOCITY", 8, 7.9) == VALUE
    assert excel.ask("XLCALC_STATUS()") == "connected; last fault: LINE_VELOCITY: KeyError: gone"
    assert excel.door.starts == 1


@check
def the_status_is_what_python_says(text: str) -> None:
    excel = Excel(text)
    assert excel.ask("XLCALC_STATUS()") == xlcalc.call("XLCALC_STATUS")
    excel.at(later(31))
    excel.door.dead = 1
    assert excel.ask("XLCALC_STATUS()") == xlcalc.call("XLCALC_STATUS")
    excel.door.dead = 2
    assert excel.ask("XLCALC_STATUS()").startswith("not connected: ")


@check
def what_is_said_about_an_answer_comes_through(text: str) -> None:
    excel = Excel(text)
    for about in ("ANSWER_WHY", "ANSWER_STEPS", "ANSWER_LOW", "ANSWER_HIGH"):
        wanted: Any = xlcalc.call(about, "LINE_VELOCITY", 8, 7.9)
        assert excel.call(about, "LINE_VELOCITY", 8, 7.9) == wanted
    assert excel.call("ANSWER_WHY", "LINE_VELOCITY") == ""
    missing = excel.call("ANSWER_WHY", "LINE_VELOCITY", com.MISSING, 7.9)
    assert missing.startswith("Flow is missing")
    assert excel.call("ANSWER_WHY", "LINE_VELOCITY", NOT_AVAILABLE, 7.9).startswith("Flow holds #N/A")
    assert excel.call("ANSWER_WHY", "LINE_VELOCITY", [[8], [None]], 7.9)[0] == ["There is an answer: 2.72 m/s"]


@check
def the_command_is_the_one_of_the_build(text: str) -> None:
    excel = Excel(text)
    excel.ask("BORE_FOR_FLOW(30,2)")
    assert excel.door.commands == ['"C:\\Jürgen\'s env\\Scripts\\pythonw.exe" -E -P -B -c "import x"']
    assert excel.door.loaded == ["C:\\Jürgen's env\\xlwings64-0.37.8.dll"]


@check
def help_is_registered_once_when_excel_is_ready(text: str) -> None:
    excel = Excel(text, whole=True)
    excel.run("Auto_Open")
    excel.run("Auto_Open")
    assert excel.door.timed == ["'xlcalc.xlam'!XlcDescribe"]
    assert excel.door.helps == {}
    excel.run("'xlcalc.xlam'!XlcDescribe")
    for name, made in functions().items():
        assert excel.door.helps.get(name) == (made.summary, "xlcalc", [arg.description for arg in made.args])
    assert len(excel.door.helps) == len(functions())
    assert (excel.door.hidden, excel.door.saved, excel.door.drawn, excel.door.shown) == (True, True, True, 1)
