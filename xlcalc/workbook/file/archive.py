"""The ZIP container of a workbook, read: from the disk with limits, its parts found, checked and unpacked.

Nothing here trusts a size that the file states about itself. How it is written back stands in `workbook/file/repacked`.
"""

import io
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.core.words import joined, nearest
from xlcalc.workbook.file.file_limits import ENDINGS, ENTRY_LIMIT, PART_LIMIT, TOTAL_LIMIT
from xlcalc.workbook.file.foreign import not_a_container
from xlcalc.workbook.file.locks import SHARING_VIOLATION

PIECE, FEED = 2**20, 2**16  # bytes that come out, and that go in, at a time
UNREADABLE = (
    zipfile.BadZipFile,
    NotImplementedError,  # a part asks for a later version of the container than zipfile knows
    ValueError,
    OverflowError,
    EOFError,
    struct.error,
)  # what zipfile raises over a list of parts
STORED, DEFLATED = zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED

BEGINS, LISTED = b"PK\x03\x04", b"PK\x01\x02"  # before a part, and before its line in the list of parts
FOREIGN_LIMIT = 2**24  # bytes of a file of another kind that are read to say what it is

LOCAL = struct.Struct("<4s5H3L2H")
ENCRYPTED, PATCH, IN_UTF_8 = 0x2041, 0x20, 0x800  # flags of a part
SYMLINK, FILE_TYPE = 0o120000, 0o170000


class Entry(NamedTuple):
    """One part as it stands in the container."""

    name: str
    info: zipfile.ZipInfo
    local: tuple[int, ...]  # flags, method, time, date as the local header has them
    raw_name: bytes
    extra: bytes
    start: int  # where the compressed bytes begin


def file_bytes(place: Path) -> bytes:
    """A workbook file as it stands on the disk.

    Raises FileError and its kinds where it cannot be read, is no file, or does not begin like a workbook.
    """
    try:
        found = place.stat()
        if stat.S_ISDIR(found.st_mode):
            raise FileError(f"{place} is a folder; give the workbook in it.")
        if not stat.S_ISREG(found.st_mode):
            raise FileError(f"{place} is not a file but a device or a pipe; give a workbook.")
        if found.st_size > TOTAL_LIMIT:
            raise FileRefused(f"{place.name} is larger than 1 GiB: more than this program reads.")
        with place.open("rb") as file:
            data = file.read(len(BEGINS))
            data += file.read(TOTAL_LIMIT if data == BEGINS else FOREIGN_LIMIT)
    except FileNotFoundError as fault:
        raise FileError(f"There is no file {place}{meant(place)}") from fault
    except (OSError, ValueError) as fault:  # the latter for a name that no file can have
        if getattr(fault, "winerror", None) in SHARING_VIOLATION:
            raise FileBusy(f"{place.name} is open in another program. Close it there. It is untouched.") from fault
        why: object = getattr(fault, "strerror", None) or fault
        if isinstance(fault, PermissionError):
            why = "there is no permission to read it. Ask its owner for a copy"
        raise FileError(f"{place} cannot be read: {why}. Nothing was changed.") from fault
    if not data.startswith(BEGINS):
        raise FileRefused(f"{place.name} {not_a_container(data)}")
    return data


def meant(place: Path) -> str:
    """`: did you mean job.xlsx?` for a name that the folder holds, else where to look."""
    try:
        if place.is_symlink():
            return ": it is a link to one that is gone. Mend the link, or give the file itself."
        names = [each.name for each in place.parent.iterdir() if each.suffix.lower() in ENDINGS]
    except OSError:
        names = []
    if with_ending := [name for name in names if Path(name).stem.casefold() == place.name.casefold()]:
        return f": did you mean {joined(with_ending)}?"
    return nearest(place.name, names) or ". Look at the spelling and the folder."


def read_entries(data: bytes, label: str) -> list[Entry]:
    """The parts of a container in their order, checked against everything but their content.

    Raises FileRefused: cut off, too many or too large parts, names that climb, clash or hide, encrypted.
    """
    if not data.startswith(BEGINS):
        raise FileRefused(f"{label} {not_a_container(data)}")
    if data.count(LISTED) > ENTRY_LIMIT:
        raise FileRefused(f"{label} holds more than {ENTRY_LIMIT:,} parts; no spreadsheet writes so many.")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as container:
            infos = container.infolist()
    except UNREADABLE as fault:
        raise FileRefused(
            f"{label} is cut off or damaged: the list of its parts cannot be read. "
            "Copy it again from where it came, or take the last good copy."
        ) from fault
    check_sizes(infos, label)
    check_names(infos, label)
    entries = [locate(data, info, label) for info in infos]
    ends = 0
    for entry in sorted(entries, key=lambda e: e.start):
        if entry.info.header_offset < ends:
            raise FileRefused(f"{label}: the parts overlap in the file. It is damaged or made to harm.")
        ends = entry.start + entry.info.compress_size
    return entries


def check_sizes(infos: Iterable[zipfile.ZipInfo], label: str) -> None:
    """Refuse by the sizes that the container states; `inflated` checks them against the truth."""
    total = 0
    for info in infos:
        total += info.file_size
        if info.file_size > PART_LIMIT or total > TOTAL_LIMIT:
            raise FileRefused(
                f"{label} unpacks to more than this program reads: {info.orig_filename} brings it to "
                f"{total / 2**20:,.0f} MiB. Allowed are {PART_LIMIT // 2**20} MiB a part and "
                f"{TOTAL_LIMIT // 2**20:,} MiB in all."
            )


def check_names(infos: Iterable[zipfile.ZipInfo], label: str) -> None:
    """Refuse part names that leave the container, clash, or are not plain files."""
    seen: set[str] = set()
    for info in infos:
        name = info.orig_filename
        steps = name.removesuffix("/").split("/")
        if not name or any(sign in name for sign in "\\:\0") or ".." in steps or "" in steps or "." in steps:
            raise FileRefused(f"{label} holds a part with a name no spreadsheet writes: {name!r}.")
        if name.casefold() in seen:
            raise FileRefused(f"{label} holds two parts called {name!r}; which one counts is not clear.")
        seen.add(name.casefold())
        if info.external_attr >> 16 & FILE_TYPE == SYMLINK:
            raise FileRefused(f"{label}: the part {name!r} is a link to another file, not a part.")
        if info.flag_bits & ENCRYPTED:
            raise FileRefused(f"{label} is locked with a password. Take the password off and save it again.")
        if info.compress_type not in {STORED, DEFLATED} or info.flag_bits & PATCH:
            raise FileRefused(f"{label}: {name!r} is packed in a way no spreadsheet uses. Save it again.")


def locate(data: bytes, info: zipfile.ZipInfo, label: str) -> Entry:
    """Find the compressed bytes of a part by its local header, which must agree with the list of parts."""
    begin = info.header_offset
    header = data[begin : begin + LOCAL.size]
    if len(header) < LOCAL.size or not header.startswith(BEGINS):
        raise FileRefused(f"{label} is damaged: {info.filename!r} is not where the list of parts says.")
    fields = LOCAL.unpack(header)
    middle = begin + LOCAL.size + fields[9]
    start = middle + fields[10]
    raw_name = data[begin + LOCAL.size : middle]
    encoding = "utf-8" if fields[2] & IN_UTF_8 else "cp437"
    if raw_name.decode(encoding, "replace") != info.orig_filename:
        raise FileRefused(f"{label} is damaged: the part {info.filename!r} has two different names.")
    if fields[3] != info.compress_type or fields[2] & ENCRYPTED:
        raise FileRefused(f"{label} is damaged: what it says of the part {info.filename!r} does not fit together.")
    if start + info.compress_size > len(data):
        raise FileRefused(f"{label} is cut off: {info.filename!r} ends too early. Copy it again.")
    return Entry(info.orig_filename, info, fields[2:6], raw_name, data[middle:start], start)


def inflated(data: bytes, entry: Entry, label: str) -> bytes:
    """The content of a part.

    Raises FileRefused when it is longer or shorter than stated, or its checksum does not fit.
    """
    return b"".join(pieces(data, entry, label))


def pieces(data: bytes, entry: Entry, label: str) -> Iterator[bytes]:
    """The content of a part, a piece at a time, so that it need not be held whole. Raises FileRefused like `inflated`.

    No more is unpacked than the part says it holds, whatever is in it.
    """
    size, check = 0, 0
    for piece in unpacked(data, entry, label):
        size += len(piece)
        check = zlib.crc32(piece, check)
        if size > entry.info.file_size:
            raise damaged(label, entry.name)
        yield piece
    if size != entry.info.file_size or check != entry.info.CRC:
        raise damaged(label, entry.name)


def unpacked(data: bytes, entry: Entry, label: str) -> Iterator[bytes]:
    """The pieces of a part as they come out of its packing."""
    raw = memoryview(data)[entry.start : entry.start + entry.info.compress_size]
    if entry.info.compress_type == STORED:
        yield from (bytes(raw[start : start + PIECE]) for start in range(0, len(raw), PIECE))
        return
    unpack = zlib.decompressobj(-15)
    try:
        for start in range(0, len(raw), FEED):
            waiting: bytes | memoryview = raw[start : start + FEED]
            while waiting and not unpack.eof:
                yield unpack.decompress(waiting, PIECE)
                waiting = unpack.unconsumed_tail
        yield unpack.flush()
    except zlib.error as fault:
        raise damaged(label, entry.name) from fault
    if not unpack.eof:
        raise damaged(label, entry.name)  # it ends in the middle


def damaged(label: str, name: str) -> FileRefused:
    """The refusal of a part whose content is not what the container says."""
    return FileRefused(
        f"{label} is damaged: the part {name!r} is not as long as it says, or its checksum does not fit. "
        "Copy it again from where it came, or take the last good copy."
    )
