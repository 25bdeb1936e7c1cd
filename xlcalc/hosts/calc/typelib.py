"""The type library of the add-in: one interface with a method for each worksheet function, as Calc looks for it.

The layout is that of a binary UNOIDL file: all numbers little-endian, every text written out where it is used,
addresses counted from the start of the file. An inner entity stands before the one that points to it.
"""

import struct
from collections.abc import Mapping, Sequence

MAGIC = b"UNOIDL\xff\x00"
MODULE, INTERFACE, IN_PARAMETER = 0, 5, 0
BASE = "com.sun.star.uno.XInterface"

Method = tuple[str, Sequence[tuple[str, str]]]
"""UNO type of the answer, then name and UNO type of each parameter, in order."""


def type_library(interface: str, methods: Mapping[str, Method]) -> bytes:
    """The file that declares `interface`, a dotted name, with its methods."""
    *modules, name = interface.split(".")
    start = len(MAGIC) + 8  # where the root map is, and how many names it has, stands in between
    written = _interface(methods)
    entity = start
    for module in reversed(modules):
        label = start + len(written)
        written += _label(name)
        entity, name, inner = start + len(written), module, entity
        written += bytes([MODULE]) + _number(1, label, inner)
    label = start + len(written)
    written += _label(name)
    return MAGIC + _number(start + len(written), 1) + written + _number(label, entity)


def _interface(methods: Mapping[str, Method]) -> bytes:
    made = bytes([INTERFACE]) + _number(1) + _text(BASE)
    made += _number(0, 0, len(methods))  # no optional bases, no attributes
    for name, (answer, parameters) in methods.items():
        made += _text(name) + _text(answer) + _number(len(parameters))
        for parameter, kind in parameters:
            made += bytes([IN_PARAMETER]) + _text(parameter) + _text(kind)
        made += _number(0)  # no exceptions declared
    return made


def _number(*values: int) -> bytes:
    return struct.pack(f"<{len(values)}I", *values)


def _text(text: str) -> bytes:
    return _number(len(text)) + text.encode("ascii")


def _label(name: str) -> bytes:
    return name.encode("ascii") + b"\0"
