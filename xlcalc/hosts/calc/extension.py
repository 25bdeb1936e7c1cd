"""The extension file (.oxt) for Calc, generated from the declarations for the Python that runs now."""

import io
import json
import struct
import sys
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import xlcalc
from xlcalc.core.registry import functions
from xlcalc.hosts.calc.signatures import answer_type, answers_words, help_text, parameters, ways
from xlcalc.hosts.calc.typelib import type_library

IDENTIFIER = "org.xlcalc.calc"
INTERFACE = f"{IDENTIFIER}.XFunctions"
SERVICE = "xlcalc"  # old Calc and .ods files write XLCALC.NAME, so it is short
SETTINGS = "xlcalc.json"
COMPONENT = Path(__file__).parent / "component"
FILES = {"addin.py": "addin.py", "pythonpath/xlcalc_bridge.py": "bridge.py"}  # in the extension: in the package
LANGUAGE = "en-US"  # the only one whose names Calc writes into .xlsx files
MADE = (2020, 1, 1, 0, 0, 0)  # the same functions give the same bytes
PATIENCE, FIRST_PATIENCE = 10.0, 60.0  # seconds for a call, and for a worker that starts

OOR = "http://openoffice.org/2001/registry"
XML = "http://www.w3.org/XML/1998/namespace"
MANIFEST = "http://openoffice.org/2001/manifest"
DESCRIPTION = "http://openoffice.org/extensions/description/2006"
DECLARED = b'<?xml version="1.0" encoding="UTF-8"?>\n'  # the office reads no configuration with single quotes here
PARTS = {
    "types.rdb": "application/vnd.sun.star.uno-typelibrary;type=RDB",
    "addin.py": "application/vnd.sun.star.uno-component;type=Python",
    "CalcAddIns.xcu": "application/vnd.sun.star.configuration-data",
}


def extension(own_python: Mapping[str, Any] | None = None, patience: float = PATIENCE) -> bytes:
    """The extension as a file.

    `own_python` says in which of the office's own Pythons the package was seen to work (see `in_process`); without
    it every call goes to a worker process. `patience` is how long, in seconds, a call may take.
    """
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as oxt:

        def put(name: str, content: bytes | str) -> None:
            oxt.writestr(zipfile.ZipInfo(name, MADE), content, zipfile.ZIP_DEFLATED)

        put("META-INF/manifest.xml", _manifest())
        put("description.xml", _description())
        put("CalcAddIns.xcu", _configuration())
        put("types.rdb", _types())
        put(SETTINGS, json.dumps(settings(own_python, patience), indent=1))
        for name, source in FILES.items():
            put(name, (COMPONENT / source).read_bytes())
    return made.getvalue()


def settings(own_python: Mapping[str, Any] | None, patience: float) -> dict[str, Any]:
    """What the component reads when the office loads it."""
    return {
        "service": SERVICE,
        "version": xlcalc.__version__,
        "functions": {name: ways(made) for name, made in functions().items()},
        "words": [name for name, made in functions().items() if answers_words(made)],
        "command": worker_command(),
        "home": str(home()),
        "patience": patience,
        "first_patience": FIRST_PATIENCE,
        "own_python": dict(own_python) if own_python else None,
    }


def worker_command() -> list[str]:
    """The command that starts a worker: this Python and this package, whatever else is on the machine."""
    program = f"import sys; sys.path.insert(0, {str(home())!r}); from xlcalc.hosts.calc.worker import main; main()"
    return [sys.executable, "-I", "-X", "utf8", "-c", program]


def home() -> Path:
    """The folder from which this package is imported."""
    return Path(xlcalc.__file__).resolve().parents[1]


def in_process(version: list[int], paths: list[str]) -> dict[str, Any]:
    """What the component needs to work in the office's own Python: its version (major, minor), size of a pointer
    in bits, and the folders from which the package and its dependencies were imported there."""
    return {"version": version[:2], "bits": struct.calcsize("P") * 8, "paths": paths}


def _types() -> bytes:
    methods = {
        name: (answer_type(made), [(each.name, each.uno_type) for each in parameters(made)])
        for name, made in functions().items()
    }
    return type_library(INTERFACE, methods)


def _configuration() -> bytes:
    """Names and help of every function, as Calc's function wizard shows them."""
    root = ElementTree.Element(f"{{{OOR}}}component-data", _named("CalcAddIns", package="org.openoffice.Office"))
    service = _node(_node(root, "AddInInfo"), SERVICE, op="replace")
    listed = _node(service, "AddInFunctions")
    for name, made in functions().items():
        node = _node(listed, name, op="replace")
        _property(node, "DisplayName", name)
        _property(node, "Description", help_text(made))
        _property(node, "Category", "Add-In", language="")
        _property(node, "CompatibilityName", name)
        further = _node(node, "Parameters")
        for parameter in parameters(made):
            argument = _node(further, parameter.name, op="replace")
            _property(argument, "DisplayName", parameter.name)
            _property(argument, "Description", parameter.help)
    return _written(root, {"oor": OOR})


def _named(name: str, **further: str) -> dict[str, str]:
    return {f"{{{OOR}}}{key}": value for key, value in {"name": name, **further}.items()}


def _node(parent: ElementTree.Element, name: str, **further: str) -> ElementTree.Element:
    return ElementTree.SubElement(parent, "node", _named(name, **further))


def _property(parent: ElementTree.Element, name: str, text: str, language: str = LANGUAGE) -> None:
    said = {f"{{{XML}}}lang": language} if language else {}
    ElementTree.SubElement(ElementTree.SubElement(parent, "prop", _named(name)), "value", said).text = text


def _manifest() -> bytes:
    root = ElementTree.Element(f"{{{MANIFEST}}}manifest")
    for path, media in PARTS.items():
        attributes = {f"{{{MANIFEST}}}media-type": media, f"{{{MANIFEST}}}full-path": path}
        ElementTree.SubElement(root, f"{{{MANIFEST}}}file-entry", attributes)
    return _written(root, {"manifest": MANIFEST})


def _description() -> bytes:
    root = ElementTree.Element(f"{{{DESCRIPTION}}}description")
    for name, value in (("identifier", IDENTIFIER), ("version", xlcalc.__version__)):
        ElementTree.SubElement(root, f"{{{DESCRIPTION}}}{name}", {"value": value})
    names = ElementTree.SubElement(root, f"{{{DESCRIPTION}}}display-name")
    ElementTree.SubElement(names, f"{{{DESCRIPTION}}}name", {"lang": "en"}).text = "xlcalc: worksheet functions"
    return _written(root, {"": DESCRIPTION})


def _written(root: ElementTree.Element, prefixes: Mapping[str, str]) -> bytes:
    for prefix, namespace in prefixes.items():
        ElementTree.register_namespace(prefix, namespace)
    return DECLARED + ElementTree.tostring(root, encoding="unicode").encode()
