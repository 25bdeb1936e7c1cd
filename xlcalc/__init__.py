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

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import call

import_module("xlcalc.functions")  # loaded here: whoever loads the package later would put it over the name below
from xlcalc.core.registry import functions  # noqa: E402

__version__ = "0.3.0"
__all__ = ["CalcError", "__version__", "call", "functions"]
