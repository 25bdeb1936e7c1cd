"""The add-in as the tests look at it: its text, its bytes, the real xlwings server behind the model of COM."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from xlcalc.core.registry import functions
from xlcalc.hosts.excel import addin, vba
from xlcalc.hosts.excel.machine import Machine

from . import com

START = vba.Start(
    '"C:\\Jürgen\'s env\\Scripts\\pythonw.exe" -E -P -B -c "import x"',
    "C:\\Jürgen's env\\xlwings64-0.37.8.dll",
    "C:\\Jürgen's env\\xlwings32-0.37.8.dll",
)


@lru_cache(1)
def text() -> str:
    """The VBA text for all functions."""
    return vba.module(functions().values(), START, "0.1.0")


@lru_cache(1)
def built() -> bytes:
    """The add-in, from the container in the xlwings that is installed here."""
    return addin.build(Machine().container().read_bytes(), text())


def served(name: str, given: Sequence[Any]) -> Any:
    """What the add-in gets of xlwings' own server for a call, across both conversions of COM."""
    com.install()
    from xlwings.com_server import XLPython  # noqa: PLC0415  (the stand-ins come first)

    return com.to_vba(XLPython().CallUDF(vba.SERVES, "answer", com.from_vba([name, *given])))
