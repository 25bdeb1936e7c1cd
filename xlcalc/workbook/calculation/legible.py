"""What a file may spell and the engine cannot read, respelt in its copy: signs, dates, errors, names of parts."""

import posixpath
import re
from collections.abc import Mapping
from datetime import datetime, time, timedelta

from xlcalc.core.errors import CODES
from xlcalc.workbook.file.cells import UTF_16
from xlcalc.workbook.file.dates import FIRST_1900, FIRST_1904

ESCAPED = re.compile(rb"_x([0-9A-Fa-f]{4})_")
VALUE = re.compile(rb"<v(?>(?:\s[^<>]*+)?)>[^<_]*+_[^<]*+</v>")
REFERRED = re.compile(rb"<v(?>(?:\s[^<>]*+)?)>[^<&]*+&#[^<]*+</v>")
REFERENCE = re.compile(rb"&#(?:x([0-9A-Fa-f]{1,6})|([0-9]{1,7}));")
ERROR = re.compile(rb"<v>((?:#[A-Z0-9_/]{1,20}[!?]?|Err:[0-9]{3}))</v>")
DATED = re.compile(rb"""(<c(?>[^<>]*?\st=["']))d(["'][^<>]*+>\s*+<v>)([^<]{1,40})</v>""")
DATE_TYPES = b't="d"', b"t='d'"
TARGET = re.compile(rb"""\sTarget=["']([^"'<>]{1,300})["']""")
COUNTS_FROM_1904 = re.compile(rb"""<workbookPr\s[^<>]*?date1904=["'](?:1|true|on)["']""")
SAID_ENCODING = re.compile(r"""(<\?xml[^>]{0,100}?encoding=["'])[^"']+""")
KNOWN_ERRORS = frozenset(code.encode() for code in CODES)
CELLS, TEXTS = b"<sheetData", b"<sst"
DAY = timedelta(days=1)


def legible(parts: Mapping[str, bytes]) -> dict[str, bytes]:
    """The parts of a workbook as the engine can read them; their meaning stays."""
    plain = {name: in_utf_8(content) for name, content in parts.items()}
    first = FIRST_1904 if any(COUNTS_FROM_1904.search(content) for content in plain.values()) else FIRST_1900
    made = {name: cells_and_texts(content, first) for name, content in plain.items()}
    return made | under_other_names(made)


def in_utf_8(content: bytes) -> bytes:
    """XML in UTF-16 turned into UTF-8; any other as it is."""
    if not content.startswith(UTF_16):
        return content
    return SAID_ENCODING.sub(r"\g<1>UTF-8", content.decode("utf-16", "replace"), count=1).encode("utf-8", "replace")


def cells_and_texts(content: bytes, first: datetime) -> bytes:
    """The cells of a sheet, or the shared texts, with their signs, errors and dates respelt."""
    if CELLS not in content and TEXTS not in content:
        return content
    if b"&#" in content:
        content = REFERRED.sub(lambda value: REFERENCE.sub(plain_sign, value[0]), content)
    if b"_x" in content:
        content = VALUE.sub(lambda value: ESCAPED.sub(character, value[0]), content)  # in <t> the engine reads them
    content = ERROR.sub(lambda error: error[0] if error[1] in KNOWN_ERRORS else b"<v>#VALUE!</v>", content)
    if not any(sign in content for sign in DATE_TYPES):  # most sheets: looked up in a fraction of the time
        return content
    return DATED.sub(lambda cell: number_of_day(cell, first), content)


def plain_sign(sign: re.Match[bytes]) -> bytes:
    """A letter, digit or mark that a value spells `&#49;` as itself: the engine takes such a number for nothing."""
    number = int(sign[1], 16) if sign[1] else int(sign[2])
    return bytes([number]) if 0x20 < number < 0x7F and number not in b"&<>" else sign[0]


def character(sign: re.Match[bytes]) -> bytes:
    """A sign that a value spells `_x000D_`, as XML spells it; one that XML cannot hold as a sign for any."""
    number = int(sign[1], 16)
    allowed = number in (9, 10, 13) or 0x20 <= number < 0xD800 or 0xE000 <= number < 0xFFFE
    return b"&#%d;" % (number if allowed else 0xFFFD)


def number_of_day(cell: re.Match[bytes], first: datetime) -> bytes:
    """A cell that holds a date in words, such as `2024-03-01T12:00`, with the number of that day."""
    text = cell[3].decode("ascii", "replace").strip()
    try:
        if ":" in text and "-" not in text:
            passed = datetime.combine(first, time.fromisoformat(text).replace(tzinfo=None)) - first
        else:
            passed = datetime.fromisoformat(text).replace(tzinfo=None) - first
    except ValueError:
        return cell[0]
    return b"%sn%s%s</v>" % (cell[1], cell[2], repr(passed / DAY).encode())


def under_other_names(parts: Mapping[str, bytes]) -> dict[str, bytes]:
    """Parts again under the names by which links call them where those differ in capitals only."""
    folded = {name.casefold(): name for name in parts}
    found = {}
    for links in [name for name in parts if name.endswith(".rels")]:
        folder = posixpath.dirname(posixpath.dirname(links))
        for target in TARGET.findall(parts[links]):
            called = posixpath.normpath(posixpath.join("/", folder, target.decode("utf-8", "replace"))).lstrip("/")
            if called not in parts and called.casefold() in folded:
                found[called] = parts[folded[called.casefold()]]
    return found
