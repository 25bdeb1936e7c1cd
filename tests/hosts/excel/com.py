"""A model of what stands between Excel and Python on Windows, so that xlwings' own server code runs here.

Stand-ins for the modules of pywin32 as far as xlwings' server, and its module for Windows, ask for them; and the two
conversions of pywin32 between the values of VBA and those of Python (PyCom_PyObjectFromVariant and
PyCom_VariantFromPyObject in com/win32com/src/oleargs.cpp): every error value arrives as its number, and none can be
sent, because no value of Python becomes one.
"""

import ctypes
import sys
from collections.abc import Callable
from importlib import import_module
from math import isnan
from types import ModuleType, SimpleNamespace
from typing import Any

SCODE = -2146828288  # 0x800A0000: Excel's errors of COM begin here
NOT_FOUND = -2147352572  # DISP_E_PARAMNOTFOUND, what an argument left out becomes


class ErrorValue:
    """An error value of VBA by its number, e.g. 2042 for #N/A."""

    def __init__(self, number: int) -> None:
        self.number = number

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ErrorValue) and other.number == self.number

    def __hash__(self) -> int:
        return self.number

    def __repr__(self) -> str:
        return f"Error {self.number}"


class Missing:
    """An argument that was left out."""


class CellObject:
    """A Range of Excel: no add-in of ours may hand one over."""


MISSING = Missing()
PUMPED: list[Callable[[], None]] = []  # what happens while the server waits for messages


def from_vba(value: Any) -> Any:
    """What Python gets of a value of VBA: Empty is None, an array a tuple of rows."""
    if isinstance(value, Missing):
        return NOT_FOUND
    if isinstance(value, ErrorValue):
        return SCODE + value.number
    if isinstance(value, list | tuple):
        return tuple(from_vba(each) for each in value)
    if isinstance(value, CellObject):
        raise AssertionError("a Range was handed to Python, which would call back into Excel for each of its cells")
    assert value is None or isinstance(value, bool | str | int | float)
    return value


def to_vba(value: Any) -> Any:
    """What VBA gets of a value of Python: None is Null, a list an array; only these kinds have a VARIANT."""
    if isinstance(value, list | tuple):
        rows = [to_vba(each) for each in value]
        assert len({len(row) for row in rows if isinstance(row, list)}) <= 1, "an array has rows of one length"
        return rows
    if value is None or isinstance(value, bool | str | float):
        assert not isinstance(value, float) or not isnan(value), "NaN shows as 2.69653970229347E+308"
        return value
    if isinstance(value, int):
        assert value.bit_length() < 32, "VBA of 32 bits has no such whole number"
        return value
    raise TypeError(f"Objects of type '{type(value).__name__}' can not be converted to a COM VARIANT")


def module(name: str, **content: Any) -> ModuleType:
    made = sys.modules[name] = ModuleType(name)
    made.__dict__.update(content)
    if "." in name:
        parent, _, own = name.rpartition(".")
        setattr(sys.modules[parent], own, made)
    return made


class DefaultPolicy:
    def _CreateInstance_(self, *asked: object) -> object:  # noqa: N802 (pywin32 says so)
        raise AssertionError("the server was asked for another class than its own: " + repr(asked))


REGISTERED: list[Any] = []  # class ids that the server offered, and their factories


def pump() -> bool:
    """Let waiting messages in; True when the last one says that Excel is gone."""
    if PUMPED:
        PUMPED.pop(0)()
    return not PUMPED


def install() -> None:
    """Put the stand-ins where xlwings looks for pywin32, and load xlwings' server and its module for Windows."""
    if "pythoncom" in sys.modules:
        return
    dispatch = type("PyIDispatch", (), {})
    constants = {name: name for name in ("CLSCTX_LOCAL_SERVER", "IID_IDispatch", "IID_IEnumVARIANT")}
    module(
        "pythoncom",
        **constants,
        __file__="pythoncom.dll",
        REGCLS_MULTIPLEUSE=1,
        REGCLS_SUSPENDED=4,
        TypeIIDs={"IID_IDispatch": dispatch},
        MakePyFactory=lambda class_id: class_id,
        CoRegisterClassObject=lambda class_id, *_: REGISTERED.append(class_id),
        CoRevokeClassObject=lambda _: None,
        CoInitialize=lambda: None,
        CoUninitialize=lambda: None,
        CoResumeClassObjects=lambda: None,
        EnableQuitMessage=lambda _: None,
        PumpWaitingMessages=pump,
    )
    module("pywintypes", com_error=type("com_error", (Exception,), {}), IID=str, TimeType=type("TimeType", (), {}))
    module("win32api", GetCurrentThreadId=lambda: 1)
    module("win32event", MsgWaitForMultipleObjects=lambda *_: 0, INFINITE=-1, QS_ALLEVENTS=1, WAIT_OBJECT_0=0)
    for name in ("win32con", "win32gui", "win32process", "win32timezone", "win32com", "win32com.server"):
        module(name)
    module("win32com.server.dispatcher")
    module("win32com.server.policy", DefaultPolicy=DefaultPolicy)
    module("win32com.server.util", wrap=lambda made, *_: made, unwrap=not_ours)
    kinds = ("CDispatch", "CoClassBaseClass", "DispatchBaseClass", "DispatchEx")
    module("win32com.client", Dispatch=lambda made: made, **{kind: type(kind, (), {}) for kind in kinds})
    sys.modules["xlwings.pro"] = None  # type: ignore[assignment]  # the part that wants a licence is shut out
    load_with_windows_doors()


def load_with_windows_doors() -> None:
    """Import xlwings' own modules for Windows; they fetch functions of Windows at import and call none here."""
    doors = {
        "windll": SimpleNamespace(),
        "oledll": SimpleNamespace(ole32=SimpleNamespace(CLSIDFromString=lambda *_: 0)),
        "PyDLL": lambda _: SimpleNamespace(PyCom_PyObjectFromIUnknown=SimpleNamespace()),
    }
    before = {name: vars(ctypes)[name] for name in doors if hasattr(ctypes, name)}
    vars(ctypes).update(doors)
    try:
        xlwings: Any = import_module("xlwings")
        xlwings._xlwindows = import_module("xlwings._xlwindows")
        xlwings.engines.add(xlwings.main.Engine(impl=xlwings._xlwindows.engine))
        import_module("xlwings.com_server")
    finally:
        for name in doors:
            delattr(ctypes, name)
        vars(ctypes).update(before)


def not_ours(made: object) -> None:
    """As pywin32 does for what is no object of Python."""
    raise TypeError("not a Python object")
