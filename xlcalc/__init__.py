"""Fluid-line calculations for custom-vehicle workshops, inside the spreadsheet they already use.

`call(NAME, *cells)` answers as the worksheet function would; `functions()` maps names to declarations;
`CalcError` carries an error value's code and sentence.
"""
from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import call
from xlcalc.core.registry import functions

__version__ = "0.1.0"
__all__ = ["CalcError", "__version__", "call", "functions"]
