"""The add-in's VBA, written from the declarations: three lines a function, the help texts, the fixed part."""

import hashlib
import re
from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import PureWindowsPath
from typing import NamedTuple

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import DeclarationError
from xlcalc.hosts.excel.launcher import ANSWERS, HELP
from xlcalc.hosts.excel.names import faults

MODULE = "xlcalc_functions"
SERVES = "xlcalc.hosts.excel.serve"
STATUS = "XLCALC_STATUS"  # answered by the fixed part, so that it can say why there is no connection
REST = "inputs"  # the arguments of the function that an ANSWER_ function is about
LONGEST_LINE, MOST_LINES, LARGEST_PROCEDURE = 1023, 65_534, 65_536  # characters, lines, bytes: limits of VBA
_PROCEDURE = re.compile(r"^(?:Public |Private )?(?:Function|Sub) (\w+)\(.*?^End (?:Function|Sub)$", re.M | re.S)
_OWN_NAME = re.compile(r"^(?:Public|Private) (?:Declare PtrSafe )?(?:Const |Function |Sub )?(\w+)", re.M)
_PIECE = re.compile(r'"((?:[^"]|"")*)"|ChrW\$\((\d+)\)')
TAKEN = frozenset(name.lower() for name in _OWN_NAME.findall(ANSWERS + HELP)) - {STATUS.lower()} | {"given", REST}


class Start(NamedTuple):
    """What an add-in is tied to: the command that starts Python, and xlwings' libraries for Excel of 64 and 32 bit."""

    command: str
    library64: str
    library32: str


def module(functions: Iterable[Declaration], start: Start, version: str) -> str:
    """Text of the one module that holds everything, lines ended by LF.

    Raises DeclarationError where VBA or Excel would refuse a name, a text, a line or a procedure.
    """
    declared = list(functions)
    head, help_texts = _head(start), _help(declared)
    body = "\n".join(wrapper(made) for made in declared if made.name != STATUS)
    stamp = f"{version} {digest(body + help_texts + ANSWERS)}"
    text = head.replace("{stamp}", quoted(stamp)) + "\n" + body + help_texts
    wrong = [fault for made in declared for fault in faults(made, TAKEN)]
    wrong += limits(text)
    if wrong:
        raise DeclarationError("The add-in cannot be written: " + "; ".join(wrong))
    return f'Attribute VB_Name = "{MODULE}"\n{text}'


def _head(start: Start) -> str:
    filled = {
        "{serves}": quoted(SERVES),
        "{name64}": quoted(PureWindowsPath(start.library64).name),
        "{name32}": quoted(PureWindowsPath(start.library32).name),
        "{command}": quoted(start.command),
        "{dll64}": quoted(start.library64),
        "{dll32}": quoted(start.library32),
    }
    text = ANSWERS
    for mark, value in filled.items():
        text = text.replace(mark, value)
    return text


def quoted(text: str) -> str:
    """A text as VBA writes it, in plain ASCII: other letters by their number, so that no code page can spoil them."""
    pieces = []
    for part in re.findall(r"[ -~]+|[^ -~]", text):
        plain = part.isascii() and part.isprintable()
        pieces += ['"' + part.replace('"', '""') + '"'] if plain else [f"ChrW$({code})" for code in _codes(part)]
    return " & ".join(pieces) or '""'


def _codes(letter: str) -> Iterator[int]:
    """The numbers of a letter in UTF-16, two for a rare one."""
    units = letter.encode("utf-16-le")
    return (int.from_bytes(units[at : at + 2], "little") for at in range(0, len(units), 2))


def unquoted(written: str) -> str:
    """The text that `quoted` wrote."""
    units = b"".join(
        int(code).to_bytes(2, "little") if code else plain.replace('""', '"').encode("utf-16-le")
        for plain, code in _PIECE.findall(written)
    )
    return units.decode("utf-16-le")


def wrapper(made: Declaration) -> str:
    """The worksheet function: its name, its arguments in order, and the one call that answers it."""
    names = [arg.name for arg in made.args]
    if made.about:
        return (
            f"Public Function {made.name}({', '.join([*names, f'ParamArray {REST}()'])})\n"
            f"    Dim given As Variant\n    given = {REST}\n"
            f"    {made.name} = XlcAbout({quoted(made.name)}, {', '.join(names)}, given)\nEnd Function\n"
        )
    declared = ", ".join(("" if arg.required else "Optional ") + arg.name for arg in made.args)
    given = ", ".join([quoted(made.name), *names])
    return f"Public Function {made.name}({declared})\n    {made.name} = XlcAnswer(Array({given}))\nEnd Function\n"


def _help(declared: list[Declaration]) -> str:
    """The help texts, one procedure a family, because VBA takes no procedure of more than 64 kB."""
    families = [(family, list(group)) for family, group in groupby(declared, key=lambda made: made.family)]
    text = HELP.replace("{families}", "".join(f"    Describe_{family}\n" for family, _ in families))
    for family, group in families:
        calls = "".join(f"    Describe {_help_texts(made)}\n" for made in group)
        text += f"\nPrivate Sub Describe_{family}()\n{calls}End Sub\n"
    return text


def _help_texts(made: Declaration) -> str:
    texts = [made.name, made.summary, *(arg.description for arg in made.args)]
    return ", _\n        ".join(quoted(text) for text in texts)


def digest(text: str) -> str:
    """Short fingerprint of a text: another one means another text."""
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def limits(text: str) -> Iterator[str]:
    """Where a text passes what VBA takes, one sentence each."""
    lines = text.split("\n")
    if not text.isascii():
        yield "the text holds letters that a code page may not carry"
    if len(lines) > MOST_LINES:
        yield f"{len(lines)} lines, VBA takes {MOST_LINES}"
    for number, line in enumerate(lines, start=1):
        if len(line) > LONGEST_LINE:
            yield f"line {number} has {len(line)} characters, VBA takes {LONGEST_LINE}"
    for found in _PROCEDURE.finditer(text):
        if len(found[0]) >= LARGEST_PROCEDURE:
            yield f"the procedure {found[1]} has {len(found[0])} bytes, VBA takes {LARGEST_PROCEDURE}"
