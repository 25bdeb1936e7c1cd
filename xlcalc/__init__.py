"""Fluid-line calculations for custom-vehicle workshops, inside the spreadsheet they already use.

`call(NAME, *cells)` answers as the worksheet function would; `functions()` maps names to declarations;
`CalcError` carries an error value's code and sentence.
"""

from importlib import import_module

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import call

import_module("xlcalc.functions")  # loaded here: whoever loads the package later would put it over the name below
from xlcalc.core.registry import functions  # noqa: E402

__version__ = "0.2.0"
__all__ = ["CalcError", "__version__", "call", "functions"]
