"""The type library is read back here, byte by byte."""

import struct

from xlcalc.hosts.calc.typelib import type_library


def test_the_type_library_can_be_read_back() -> None:
    methods = {"A_B": ("any", [("flow", "[][]string"), ("unit", "any")]), "C": ("[][]any", [])}
    data = type_library("org.xlcalc.calc.XFunctions", methods)
    at, count = struct.unpack_from("<II", data, 8)
    path = []
    while True:
        label, entity = struct.unpack_from("<II", data, at)
        path.append(data[label : data.index(b"\0", label)].decode())
        if data[entity] != 0:
            break
        count, at = struct.unpack_from("<I", data, entity + 1)[0], entity + 5
        assert count == 1
    assert path == ["org", "xlcalc", "calc", "XFunctions"]
    assert data[entity] == 5
    for word in (b"com.sun.star.uno.XInterface", b"A_B", b"[][]string", b"flow"):
        assert struct.pack("<I", len(word)) + word in data
