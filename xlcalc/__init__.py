"""Fluid-line calculations for custom-vehicle workshops, inside the spreadsheet they already use.

`call(NAME, *cells)` answers as the worksheet function would; `functions()` maps names to declarations;
`CalcError` carries an error value's code and sentence. `help(functions()["BORE_FOR_FLOW"].function)` shows all that is
declared of one.

>>> import xlcalc
>>> round(xlcalc.call("BORE_FOR_FLOW", "30 US gpm", "20 ft/s", "in"), 3)
0.783
>>> try:
...     xlcalc.call("BORE_FOR_FLOW", 30, "61 m/s")
... except xlcalc.CalcError as error:
...     print(error.code, error)
#NUM! Mean velocity: "61 m/s" is above 60 m/s; allowed 0.01 to 60 m/s (workshop range)
"""

from importlib import import_module

TYPE_CHECKING = False
if TYPE_CHECKING:  # a type checker takes it for true; what is used is loaded by `__getattr__`
    from xlcalc.core.errors import CalcError
    from xlcalc.core.evaluate import call
    from xlcalc.core.registry import functions

__version__ = "0.6.0"
__all__ = ["CalcError", "__version__", "call", "functions"]

import_module("xlcalc.functions")  # nothing is in it; loaded later, the folder would stand before the function
del globals()["functions"]

_LOADED_WHEN_ASKED_FOR = {"CalcError": "errors", "call": "evaluate", "functions": "registry"}


def __getattr__(name: str) -> object:
    """Load what is asked for: a command that needs none of it starts in half the time."""
    if name not in _LOADED_WHEN_ASKED_FOR:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found: object = getattr(import_module(f"xlcalc.core.{_LOADED_WHEN_ASKED_FOR[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """What a person is offered, loaded or not."""
    return sorted({*globals(), *__all__})
