"""The add-in's VBA, run by an interpreter, with a model of Excel around it and xlwings' own server behind it.

The text runs as it is written, but for three things that only Windows has: the two functions of libraries that it
declares, and the names of Excel's objects, which lead to the models here.
"""

import datetime
import re
from collections.abc import Callable
from typing import Any

from pyopenvba.apps.excel import ExcelApplication
from pyopenvba.interpreter import (
    EMPTY,
    MISSING,
    NULL,
    VBAArray,
    VBAErrorValue,
    VBAInt,
    VBAObject,
    member,
    method,
    setter,
)
from pyopenvba.interpreter._values import error

from xlcalc.hosts.excel.vba import MODULE, SERVES

from . import com

NOON = datetime.datetime(2026, 3, 9, 12)
SERVER_GONE = 462  # "The remote server machine does not exist or is unavailable"
REFUSED = 1004  # "Cannot edit a macro on a hidden workbook"
ASKED = "BORE_FOR_FLOW|LINE_VELOCITY|FLUID_DENSITY|HOSE_ROLLS_TO_BUY|ANSWER_\\w+|XLCALC_STATUS"
LIBRARIES = """
Public Function LoadLibraryW(ByVal place) As Long
    LoadLibraryW = Door.Load(place)
End Function
Public Function XLPyDLLActivateAuto(ByRef answer, ByVal command, ByVal mode) As Long
    XLPyDLLActivateAuto = Door.Activate(command)
    If XLPyDLLActivateAuto = 0 Then
        Set answer = Door.Python
    Else
        answer = "Python process exited before it was possible to create the interface object."
    End If
End Function
"""
PROBES = """
Public Function OfCells(address)
    OfCells = BORE_FOR_FLOW(ActiveSheet.Range(address), 2)
End Function
Public Function WhyOfCells(address)
    WhyOfCells = ANSWER_WHY("BORE_FOR_FLOW", ActiveSheet.Range(address), 2)
End Function
Public Function RowsOf(address)
    RowsOf = HOSE_ROLLS_TO_BUY(ActiveSheet.Range(address), "10 m")
End Function
Public Function Called(title, a)
    Called = Application.Run(title, a)
End Function
"""


def to_com(value: object) -> Any:
    """A value of the interpreter as the model of COM has it."""
    if value is EMPTY or value is MISSING:
        return None if value is EMPTY else com.MISSING
    if isinstance(value, VBAErrorValue):
        return com.ErrorValue(value.number)
    if isinstance(value, list | VBAArray):
        return [to_com(each) for each in value] if isinstance(value, list) else rows_of(value)
    if isinstance(value, VBAObject):
        return com.CellObject()
    return int(value) if isinstance(value, VBAInt) else value


def rows_of(value: VBAArray) -> list[Any]:
    """An array of one dimension as a list, of two as rows."""
    spans = [range(lower, upper + 1) for lower, upper in value.bounds]
    if len(spans) == 1:
        return [to_com(value.get([place])) for place in spans[0]]
    return [[to_com(value.get([row, column])) for column in spans[1]] for row in spans[0]]


def to_basic(value: Any) -> object:
    """A value of the model of COM as the interpreter has it."""
    if value is None:
        return NULL
    if isinstance(value, list) and value and isinstance(value[0], list):
        made = VBAArray([(0, len(value) - 1), (0, len(value[0]) - 1)])
        for row, cells in enumerate(value):
            for column, cell in enumerate(cells):
                made.set([row, column], to_basic(cell))
        return made
    if isinstance(value, list):
        return VBAArray([(0, len(value) - 1)], items=[to_basic(each) for each in value])
    return VBAInt(value) if type(value) is int else value


class Python(VBAObject):
    """The object that xlwings' library hands to VBA: xlwings' own server behind the model of COM."""

    def __init__(self, door: "Door") -> None:
        self.door = door

    @method
    def CallUDF(self, module: object, function: object, given: object) -> object:  # noqa: N802
        self.door.calls += 1
        if self.door.dead:
            self.door.dead -= 1
            raise error(SERVER_GONE)
        if self.door.answers:
            return to_basic(self.door.answers(to_com(given)))
        from xlwings.com_server import XLPython  # noqa: PLC0415  (the stand-ins come first)

        assert (module, function) == (SERVES, "answer")
        return to_basic(com.to_vba(XLPython().CallUDF(module, function, com.from_vba(to_com(given)))))


class Control(VBAObject):
    """The button New of the toolbar Standard: Excel greys it while the Function Arguments window is open."""

    def __init__(self, door: "Door") -> None:
        self.door = door

    @method
    def Controls(self, place: object) -> object:  # noqa: N802
        assert place == 1
        return self

    @member
    def Enabled(self) -> object:  # noqa: N802
        return not self.door.wizard


class Door(VBAObject):
    """Excel and xlwings' library, as far as the add-in uses them."""

    def __init__(self) -> None:
        self.starts = self.calls = self.dead = 0
        self.library_there, self.python_starts, self.wizard = True, True, False
        self.meanwhile: Callable[[], None] = lambda: None  # what happens while Excel waits for Python
        self.answers: Callable[[Any], Any] | None = None
        self.commands: list[object] = []
        self.loaded: list[object] = []
        self.helps: dict[str, tuple[object, object, list[object]]] = {}
        self.timed: list[object] = []
        self.hidden, self.saved, self.drawn, self.shown = True, True, True, 0

    @method
    def Load(self, place: object) -> object:  # noqa: N802
        self.loaded.append(place)
        return VBAInt(int(self.library_there))

    @method
    def Activate(self, command: object) -> object:  # noqa: N802
        self.starts += 1
        self.meanwhile()
        self.commands.append(command)
        return VBAInt(0 if self.python_starts else 1)

    @member
    def Python(self) -> object:  # noqa: N802
        return Python(self)

    @method
    def CommandBars(self, name: object) -> object:  # noqa: N802
        assert name == "Standard"
        return Control(self)

    @method
    def OnTime(self, when: object, what: object) -> None:  # noqa: N802
        assert when is not None
        self.timed.append(what)

    @method
    def MacroOptions(  # noqa: N802
        self, Macro: object, Description: object, Category: object, ArgumentDescriptions: object = MISSING  # noqa: N803
    ) -> None:
        if self.hidden:
            raise error(REFUSED, "Cannot edit a macro on a hidden workbook.")
        texts = ArgumentDescriptions.elements() if isinstance(ArgumentDescriptions, VBAArray) else []
        for text in (Description, *texts):
            if not isinstance(text, str) or len(text) > 255:
                raise error(REFUSED, "Method 'MacroOptions' of object '_Application' failed")
        self.helps[str(Macro)] = (Description, Category, texts)

    @member
    def ScreenUpdating(self) -> object:  # noqa: N802
        return self.drawn

    @setter("ScreenUpdating")
    def _draw(self, value: object) -> None:
        self.drawn = bool(value)

    @member
    def Name(self) -> object:  # noqa: N802
        return "xlcalc.xlam"

    @member
    def IsAddin(self) -> object:  # noqa: N802
        return self.hidden

    @setter("IsAddin")
    def _hide(self, value: object) -> None:
        self.hidden, self.saved = bool(value), False
        self.shown += not value

    @member
    def Saved(self) -> object:  # noqa: N802
        return self.saved

    @setter("Saved")
    def _save(self, value: object) -> None:
        self.saved = bool(value)


def shortened(text: str) -> str:
    """The text without help and with the functions that most checks ask: the whole takes long to read."""
    text = text[: text.index("\nPublic Sub Auto_Open()")]
    return re.sub(rf"^Public Function (?!(?:{ASKED})\b).*?^End Function\n", "", text, flags=re.MULTILINE | re.DOTALL)


class Excel:
    """An interpreter that holds the add-in: `ask("BORE_FOR_FLOW(3,2)")` is what a cell with that formula shows."""

    def __init__(self, text: str, *, whole: bool = False) -> None:
        com.install()
        self.door = Door()
        text = text if whole else shortened(text)
        self._app = ExcelApplication()
        self._app.add_workbook()
        host = self._app.interpreter.host
        known = host.global_object
        host.global_object = lambda name: self.door if name == "door" else known(name)
        self.at(NOON)
        start, end = text.index("#If Mac Then"), text.index("#End If\n")
        text = text[:start] + text[end + len("#End If\n") :]
        text = text.replace("Application.", "Door.").replace("ThisWorkbook.", "Door.").replace("StrPtr(place)", "place")
        self._app.add_module(LIBRARIES, name="libraries")
        self._app.add_module(text, name=MODULE)
        self._app.add_module(PROBES, name="probes")

    def at(self, when: datetime.datetime) -> None:
        """Set the clock."""
        self._app.freeze_clock(when)

    def cells(self, content: dict[str, object]) -> None:
        """Fill cells of the active sheet."""
        for reference, value in content.items():
            self._app.sheet(1).set_value(reference, value)

    def ask(self, expression: str) -> Any:
        """What an expression of VBA gives, as the model of COM has it."""
        return to_com(self._app.evaluate(expression))

    def call(self, name: str, *given: object) -> Any:
        """What a worksheet function gives for values of the model of COM."""
        return to_com(self._app.interpreter.run(name, [to_given(value) for value in given]))

    def run(self, macro: str) -> None:
        """Run a macro, as OnTime does."""
        self._app.run(macro.rpartition("!")[2])


def to_given(value: Any) -> object:
    """A cell for a function: a range comes as an array that counts from 1, as Value2 gives it."""
    if value is None:
        return EMPTY
    if isinstance(value, com.Missing):
        return MISSING
    if isinstance(value, com.ErrorValue):
        return VBAErrorValue(value.number)
    if isinstance(value, list):
        made = VBAArray([(1, len(value)), (1, len(value[0]))])
        for row, cells in enumerate(value, start=1):
            for column, cell in enumerate(cells, start=1):
                made.set([row, column], to_given(cell))
        return made
    return float(value) if type(value) is int else value
