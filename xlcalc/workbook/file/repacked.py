"""The ZIP container of a workbook, written back: every part that was not edited as it was.

Such a part keeps its compressed bytes, its place in the order, its date and its attributes.
"""

import struct
import zlib
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from xlcalc.workbook.file.archive import BEGINS, DEFLATED, IN_UTF_8, LISTED, LOCAL, Entry

DEFLATE_LEVEL = 5  # as small as level 6 on sheet XML, in little more than half the time (measured)
IN_LIST = struct.Struct("<4s6H3L5H2L")
END = struct.Struct("<4s4H2LH")
SIZES_FOLLOW = 0x8  # flag of a part whose sizes stand behind it
VERSION = 20  # of the container: the one that knows compressed parts
FIRST_DAY = 0x21  # 1 January 1980 as the container writes it: the same bytes whenever it is made
WIDE_SIZES = 1  # kind of the extra field for sizes over 4 GiB


class Packed(NamedTuple):
    """A part as it goes into the container: its bytes, what both of its headers say, what each says by itself."""

    raw_name: bytes
    content: bytes | memoryview
    check: int
    size: int  # unpacked
    version: int = VERSION
    flags: int = 0
    method: int = DEFLATED
    time: int = 0
    day: int = FIRST_DAY
    extra: bytes = b""
    made_by: int = VERSION
    listed_extra: bytes = b""
    comment: bytes = b""
    attributes: tuple[int, int] = (0, 0)  # inside and outside the container

    @property
    def shared(self) -> tuple[int, ...]:
        """The fields that both headers have."""
        return (self.version, self.flags, self.method, self.time, self.day, self.check, len(self.content), self.size,
                len(self.raw_name))  # fmt: skip

    def head(self) -> bytes:
        """What stands before its bytes."""
        return LOCAL.pack(BEGINS, *self.shared, len(self.extra)) + self.raw_name + self.extra

    def listed(self, place: int) -> bytes:
        """Its line in the list of parts; `place` is where its head begins."""
        lengths = len(self.listed_extra), len(self.comment)
        fields = IN_LIST.pack(LISTED, self.made_by, *self.shared, *lengths, 0, *self.attributes, place)
        return fields + self.raw_name + self.listed_extra + self.comment


def rebuilt(
    data: bytes, entries: Iterable[Entry], edits: Mapping[str, bytes], added: Mapping[str, bytes] | None = None
) -> bytes:
    """The container with the content of some parts replaced and new ones `added` at the end.

    All others keep their compressed bytes. Names of new parts are ASCII.
    """
    parts = [kept(data, entry, edits.get(entry.name)) for entry in entries]
    parts += [new(name, content) for name, content in (added or {}).items()]
    pieces: list[bytes | memoryview] = []
    directory: list[bytes] = []
    place = 0
    for part in parts:
        head = part.head()
        directory.append(part.listed(place))
        pieces += head, part.content
        place += len(head) + len(part.content)
    listing = b"".join(directory)
    end = END.pack(b"PK\x05\x06", 0, 0, len(parts), len(parts), len(listing), place, 0)
    return b"".join([*pieces, listing, end])


def kept(data: bytes, entry: Entry, content: bytes | None) -> Packed:
    """A part that the container has already, with other content where some is given."""
    info, (flags, method, time, day) = entry.info, entry.local
    if content is None:
        packed: bytes | memoryview = memoryview(data)[entry.start : entry.start + info.compress_size]
        check, size = info.CRC, info.file_size
    else:
        packed = deflated(content) if method == DEFLATED else content
        check, size = zlib.crc32(content), len(content)
    return Packed(
        entry.raw_name, packed, check, size, info.extract_version,
        info.flag_bits & ~(SIZES_FOLLOW | IN_UTF_8) | flags & IN_UTF_8, method, time, day,
        extra=without_wide_sizes(entry.extra),
        made_by=info.create_system << 8 | info.create_version,
        listed_extra=without_wide_sizes(info.extra),
        comment=info.comment,
        attributes=(info.internal_attr, info.external_attr),
    )  # fmt: skip


def new(name: str, content: bytes) -> Packed:
    """A part that the container does not have yet."""
    return Packed(name.encode("ascii"), deflated(content), zlib.crc32(content), len(content))


def deflated(content: bytes) -> bytes:
    """Content packed as a spreadsheet packs it."""
    pack = zlib.compressobj(DEFLATE_LEVEL, zlib.DEFLATED, -15)
    return pack.compress(content) + pack.flush()


def without_wide_sizes(extra: bytes) -> bytes:
    """Extra fields without the one for sizes over 4 GiB, which no longer fits and is not needed."""
    kept_fields, place = b"", 0
    while place + 4 <= len(extra):
        kind, length = struct.unpack_from("<HH", extra, place)
        if kind != WIDE_SIZES:
            kept_fields += extra[place : place + 4 + length]
        place += 4 + length
    return kept_fields + extra[place:]
