"""The add-in's VBA does what it must when an interpreter runs it; planted faults turn these checks red."""

import pytest
from pyopenvba.exceptions import VBAError

from .checks import CHECKS
from .made import text


@pytest.mark.parametrize("name", CHECKS)
def test_the_addin_runs(name: str) -> None:
    CHECKS[name](text())


PLANTED = {  # what is planted in place of what, and a check that must see it
    "wrong function asked": (
        'Array("BORE_FOR_FLOW", ', 'Array("LINE_VELOCITY", ', "every_function_is_connected_to_its_own"
    ),
    "arguments swapped": (
        '"BORE_FOR_FLOW", flow, velocity', '"BORE_FOR_FLOW", velocity, flow', "a_cell_gets_its_answer"
    ),
    "error mark not read": ("If Left$(value, 1) = Chr$(1)", "If Left$(value, 1) = Chr$(3)", "errors_are_error_values"),
    "only the first row has errors": (
        "For i = LBound(answer, 1) To UBound(answer, 1)", "For i = 0 To 0", "errors_are_error_values"
    ),
    "a flat row keeps its marks": (
        "answer(i) = OneValue(answer(i))", "answer(i) = answer(i)", "errors_are_error_values"
    ),
    "cells handed over": ("given(i) = Used(area).Value2", "i = i", "cells_go_over_as_values"),
    "pieces not refused": ("If area.Areas.Count > 1 Then Exit Function", "", "cells_go_over_as_values"),
    "a range as long as the sheet": (
        "If area.Rows.Count < sheet.Rows.Count Then Exit Function", "", "cells_go_over_as_values"
    ),
    "no memory": ("known(key) = XlcAnswer", "", "the_same_values_are_asked_for_once"),
    "memory by 15 digits": ("text = text & LeftOver(given(i))", "text = text", "different_values_are_told_apart"),
    "memory without kinds": ('text & VarType(given(i)) & ":" &', "text &", "different_values_are_told_apart"),
    "memory without marks between": ("text = text & Chr$(0)", "", "different_values_are_told_apart"),
    "memory without an end": ("If known.Count >= KEPT Then known.RemoveAll", "", "what_is_kept_has_an_end"),
    "computing in the arguments window": (
        "    If InWizard() Then Exit Function\n    XlcAnswer", "    XlcAnswer",
        "nothing_is_computed_while_the_arguments_are_typed",
    ),
    "starts again and again": (
        "If Now < notBefore Then Err.Raise AWAY, , reason", "", "a_python_that_does_not_start_is_tried_twice_a_minute"
    ),
    "a slow start leaves no rest": (
        "    notBefore = Now + REST / 86400\n    Err.Raise", "    Err.Raise",
        "the_rest_begins_when_a_slow_start_has_failed",
    ),
    "no second try": ("    If again Then Err.Raise", "    Err.Raise", "a_python_that_went_away_is_started_anew"),
    "retries for ever on a dead one": ("Set python = Nothing", "", "a_python_that_went_away_is_started_anew"),
    "library not looked at": (
        "If LoadLibraryW(StrPtr(place)) = 0 Then", "If False Then", "a_library_that_is_gone_is_named"
    ),
    "fault kept silent": ('fault = "; last fault: " & Mid$(value, 2)', "", "a_fault_of_ours_is_told_by_the_status"),
    "status without a reason": (
        'XLCALC_STATUS = Left$("not connected: " & Err.Description, 255)', 'XLCALC_STATUS = "not connected"',
        "a_python_that_does_not_start_is_tried_twice_a_minute",
    ),
    "first argument of another function lost": (
        "For i = 0 To UBound(inputs)", "For i = 1 To UBound(inputs)", "what_is_said_about_an_answer_comes_through"
    ),
    "another command": ("-E -P -B", "-B", "the_command_is_the_one_of_the_build"),
    "help on a hidden book": ("ThisWorkbook.IsAddin = False", "", "help_is_registered_once_when_excel_is_ready"),
    "help at once": (
        "Application.OnTime Now, \"'\" & ThisWorkbook.Name & \"'!XlcDescribe\"", "XlcDescribe",
        "help_is_registered_once_when_excel_is_ready",
    ),
    "left visible": (
        "restore:\n    ThisWorkbook.IsAddin = True", "restore:", "help_is_registered_once_when_excel_is_ready"
    ),
    "left unsaved": ("ThisWorkbook.Saved = saved", "", "help_is_registered_once_when_excel_is_ready"),
    "a family without help": ("    Describe_vacuum\n", "", "help_is_registered_once_when_excel_is_ready"),
}  # fmt: skip


@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_seen(fault: str) -> None:
    before, after, seen_by = PLANTED[fault]
    assert before in text()
    with pytest.raises((AssertionError, VBAError)):
        CHECKS[seen_by](text().replace(before, after))
