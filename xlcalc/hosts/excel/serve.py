"""What the add-in starts and asks: one function, served by xlwings, that answers for every worksheet function.

The add-in runs `start`; xlwings then calls `answer` for each cell. Only Excel's own Python imports this module.
"""

import os
import threading
from typing import Any

from xlwings.com_server import serve
from xlwings.udfs import xlarg, xlfunc, xlret

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import evaluate
from xlcalc.core.registry import find, functions
from xlcalc.hosts.excel.crossing import FAULT, arrived, leaving

PATIENCE = 10.0  # seconds in which Excel must have asked something
LONGEST_FAULT = 200  # characters, so that XLCALC_STATUS stays within what a cell's formula takes
_asked = threading.Event()


@xlfunc
@xlret("raw")
@xlarg("name", "raw")
@xlarg("given", "raw")
def answer(name: str, *given: Any) -> list[list[Any]]:
    """Rows of answers for the cells given. Never raises: to the add-in an exception means that Python is gone."""
    _asked.set()
    try:
        declaration = find(name)
        if isinstance(declaration, str):
            return leaving(CalcError(declaration, "#NAME?"))
        return leaving(evaluate(declaration, [arrived(cell) for cell in given]))
    except Exception as fault:  # a fault of ours: its sentence goes to XLCALC_STATUS
        return [[f"{FAULT}{name}: {type(fault).__name__}: {fault}"[:LONGEST_FAULT]]]


def start(class_id: str) -> None:
    """Serve until Excel closes. Everything is loaded first: what is not whole ends at once, and Excel sees that.

    Where COM cannot bring Excel here (one of them runs as administrator, say), Excel would wait for two minutes for
    a Python that is alive; so a Python that nobody asks ends itself.
    """
    functions()
    watch = threading.Timer(PATIENCE, leave_unasked)
    watch.daemon = True
    watch.start()
    serve(class_id)  # type: ignore[no-untyped-call]


def leave_unasked() -> None:
    """End this Python where nobody has asked anything yet."""
    if not _asked.is_set():
        os._exit(3)
