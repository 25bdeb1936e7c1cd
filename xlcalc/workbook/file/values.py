"""The values that cells hold, and how a sheet's XML spells them."""

import re
import sys
from collections.abc import Callable, Sequence

from xlcalc.core.errors import CODES, CalcError

Value = float | str | bool | CalcError | None
"""What a cell holds: a number, a text, true or false, an error value, or nothing."""

Texts = Callable[[], Sequence[str]]
"""Gives the shared texts of a book when a cell points at one."""

TYPE = re.compile(rb"""\st=["']([^"']*)["']""")
INDEX = re.compile(rb"\s*+[0-9]{1,9}\s*+")
ENTITY = re.compile(r"&(?:#x([0-9A-Fa-f]{1,8})|#([0-9]{1,10})|(amp|lt|gt|quot|apos));")
NO_CHARACTER = "\N{REPLACEMENT CHARACTER}"
ENTITIES = {"amp": "&", "lt": "<", "gt": ">", "quot": '"', "apos": "'"}
ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
MUST_ESCAPE = re.compile("_(?=x[0-9A-Fa-f]{4}_)|[\x00-\x08\x0b-\x1f\ufffe\uffff]")


def plain_text(raw: bytes) -> str:
    """Text of the XML with its entities resolved."""
    text = raw.decode("utf-8", "replace")
    if "&" not in text:
        return text
    return ENTITY.sub(lambda m: ENTITIES.get(m[3]) or character(int(m[1], 16) if m[1] else int(m[2])), text)


def character(number: int) -> str:
    """The character of a number; a sign for it where there is none."""
    return chr(number) if number <= sys.maxunicode and not 0xD800 <= number <= 0xDFFF else NO_CHARACTER


def xml_text(text: str) -> bytes:
    """Text as it stands between two tags."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").encode("utf-8", "replace")


def written_text(text: str) -> bytes:
    """Text as it stands in `<v>`: signs that XML cannot hold are spelled `_x000D_`, as the format says."""
    return xml_text(MUST_ESCAPE.sub(lambda sign: f"_x{ord(sign[0]):04X}_", text))


def read_text(raw: bytes) -> str:
    """Text that stands in `<v>`, the reverse of `written_text`."""
    return read_escapes(plain_text(raw))


def read_escapes(text: str) -> str:
    """Text without the spelling `_x000D_` for signs that XML cannot hold or a spreadsheet does not trust it with."""
    return ESCAPED.sub(lambda sign: chr(int(sign[1], 16)), text) if "_x" in text else text


def same(old: Value, new: Value) -> bool:
    """True when two values are of one kind and equal."""
    if isinstance(old, CalcError) and isinstance(new, CalcError):
        return old.code == new.code
    return type(old) is type(new) and old == new


def type_of(attributes: bytes) -> bytes:
    """A cell's type as its attributes say it; a number where they say nothing."""
    found = TYPE.search(attributes) if b"t=" in attributes else None
    return found[1] if found else b"n"


def decoded(kind: bytes, raw: bytes | None, strings: Texts = tuple) -> Value:
    """The value of a cell by its type and the text of its `<v>`; None where it holds none or cannot be read.

    `strings` gives the shared texts of the book, for cells of type `s`.
    """
    if kind == b"str":
        return read_text(raw or b"")
    if raw is None:
        return None
    if kind == b"e":
        code = raw.decode("ascii", "replace").strip()
        return CalcError(code=code) if code in CODES else None
    if kind == b"b":
        return raw.strip() in {b"1", b"true"}
    if kind == b"s":
        texts = strings() if INDEX.fullmatch(raw) else ()
        return texts[int(raw)] if texts and int(raw) < len(texts) else None
    return number(raw)


def number(raw: bytes) -> float | None:
    """The number that stands in `<v>`; None for anything else, and for one that no cell can hold."""
    try:
        found = float(raw)
    except ValueError:
        return None
    return found if found - found == 0 and b"_" not in raw else None  # Python lets _ stand between digits


def type_and_element(value: Value) -> tuple[bytes, bytes]:
    """A cell's type and its `<v>` element for a value."""
    if isinstance(value, float):
        spelled = repr(value + 0.0).removesuffix(".0")  # no minus before a zero
        return b"n", f"<v>{spelled.upper() if 'e' in spelled else spelled}</v>".encode()
    if isinstance(value, bool):
        return b"b", b"<v>%d</v>" % value
    if isinstance(value, CalcError):
        return b"e", b"<v>%s</v>" % value.code.encode()
    return b"str", text_element(b"v", value or "")


def typed_element(value: Value) -> tuple[bytes, bytes]:
    """The same for a value that a person typed: a text of type `str` would be one that a formula gave."""
    if value is None:
        return b"n", b""
    if isinstance(value, str):
        return b"inlineStr", b"<is>%s</is>" % text_element(b"t", value)
    return type_and_element(value)


def text_element(tag: bytes, value: str) -> bytes:
    """A text in its element."""
    text = written_text(value)
    kept = b' xml:space="preserve"' if text != text.strip() else b""  # some spreadsheets drop outer spaces without it
    return b"<%s%s>%s</%s>" % (tag, kept, text, tag)


def with_type(attributes: bytes, kind: bytes) -> bytes:
    """A cell's attributes with another type; numbers carry none."""
    if type_of(attributes) == kind:
        return attributes
    bare = TYPE.sub(b"", attributes)
    return bare if kind == b"n" else bare.rstrip() + b' t="%s"' % kind
