"""Who has a workbook open, read from the lock files that spreadsheets leave beside it.

Excel writes `~$NAME.xlsx`: the user's name counted in bytes from place 0, and again in UTF-16 with its
length at place 55. LibreOffice writes `.~lock.NAME#`: person, login, host, time and profile, joined by
commas. A lock file is only read here, never removed: only its owner knows whether it is stale.
"""

import errno
import os
import re
import stat
from datetime import datetime
from pathlib import Path

UTF16_LENGTH_AT, LONGEST_NAME = 55, 52
MOST_READ = 4_096  # bytes of a lock file; a real one has a few hundred
SHARING_VIOLATION = {32, 33}  # Windows: another program keeps the file to itself
NO_SUCH = {errno.ENOENT, errno.ENOTDIR, errno.ENAMETOOLONG, errno.EINVAL, errno.ELOOP}  # no lock can stand there
FIELD = r"((?>(?:[^,\\;]|\\.)*))"
OWNER = re.compile(f"{FIELD},{FIELD},{FIELD}[,;]", re.DOTALL)


def holder(path: Path) -> str:
    """Who has the workbook open, since when and by which lock file; empty when nobody has.

    Raises OSError when that cannot be known.
    """
    for lock, read in ((f"~${path.name}", excel_holder), (f".~lock.{path.name}#", office_holder)):
        place = path.with_name(lock)
        try:
            found = os.stat(place)  # noqa: PTH116 - the tests make this very call fail
            content = first_bytes(place) if stat.S_ISREG(found.st_mode) else b""
            since = moment(found.st_mtime)
        except PermissionError:  # Excel may keep its own lock file closed to others
            content, since = b"", "now"
        except OSError as fault:
            if fault.errno in NO_SUCH:
                continue
            raise
        return f"{read(content) or 'somebody'} since {since} (lock file {printable(lock)})"
    return ""


def first_bytes(place: Path) -> bytes:
    """As much of a lock file as can be one."""
    with place.open("rb") as file:
        return file.read(MOST_READ)


def moment(seconds: float) -> str:
    """When a file was written, by the clock on the wall."""
    try:
        return datetime.fromtimestamp(seconds).strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):  # a date that no calendar has
        return "an unknown time"


def excel_holder(content: bytes) -> str:
    """The user's name in Excel's lock file, the UTF-16 copy first because it keeps every letter."""
    if len(content) > UTF16_LENGTH_AT + 1 and 0 < content[UTF16_LENGTH_AT] <= LONGEST_NAME:
        start = UTF16_LENGTH_AT + 2
        name = content[start : start + 2 * content[UTF16_LENGTH_AT]].decode("utf-16-le", "replace")
    else:
        name = content[1 : 1 + content[0]].decode("cp1252", "replace") if content else ""
    return printable(name)


def office_holder(content: bytes) -> str:
    """Person (or login) and computer in LibreOffice's lock file."""
    owner = OWNER.match(content.decode("utf-8", "replace"))
    person, login, host = (re.sub(r"\\(.)", r"\1", field) for field in owner.groups()) if owner else ("", "", "")
    name = printable(person) or printable(login)
    return f"{name} on {printable(host)}" if name and printable(host) else name


def printable(text: str) -> str:
    """Text without control characters, for a message."""
    return "".join(letter for letter in text if letter.isprintable()).strip()
