"""The parts of a workbook file: read once, checked whole, followed by their links, put together again.

Nobody looks into a file before all of it was checked: container, names, sizes, checksums, document types. Parts that
are not edited go into the new file byte for byte.
"""

import posixpath
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Self
from xml.etree import ElementTree
from xml.parsers import expat

from xlcalc.core.errors import FileRefused
from xlcalc.workbook.file import archive
from xlcalc.workbook.file.file_limits import LONGEST_TAG, MOST_TAGS, TREE_LIMIT
from xlcalc.workbook.file.repacked import rebuilt

XML_ENDINGS = (".xml", ".rels", ".vml")
ENCODING = re.compile(rb"""^(?:\xef\xbb\xbf)?<\?xml[^>]{0,100}?encoding=["']([^"']+)""")
ENCODINGS = {b"utf-8", b"utf8", b"us-ascii", b"ascii", b"iso-8859-1", b"windows-1252", b"utf-16"}
DOCTYPES = tuple("<!DOCTYPE".encode(code) for code in ("ascii", "utf-16-le", "utf-16-be"))
LONGEST_DOCTYPE = max(map(len, DOCTYPES))
LONG_TAG = re.compile(rb"<[^<>]{%d}" % LONGEST_TAG)
NO_XML = (expat.ExpatError, ElementTree.ParseError, ValueError, LookupError)  # what the readers of XML raise
TREE_TOO_LARGE = f"unpacks to more than {TREE_LIMIT // 2**20} MiB"
KEPT = 2**26  # bytes of XML that are kept unpacked between two looks
DAMAGED = "Open it in the spreadsheet and save it again, or take the last good copy."


class Parts:
    """The parts of a file by their names; `path` is where it stands, or where it will.

    Raises FileRefused where the file is no container. What the parts mean is not looked at here.
    """

    def __init__(self, data: bytes, path: Path) -> None:
        self.path = path
        self.data = data
        self._entries = {entry.name: entry for entry in archive.read_entries(data, path.name)}
        self._content: dict[str, bytes] = {}
        self._by_folded_name = {name.casefold(): name for name in self._entries}

    @classmethod
    def open(cls, path: str | Path) -> Self:
        """Read and check a file.

        Raises FileRefused (another kind of file, damaged, or made to harm) and FileError (cannot be read).
        """
        place = Path(path)
        return cls(archive.file_bytes(place), place)

    @classmethod
    def from_bytes(cls, data: bytes, path: str | Path) -> Self:
        """Check a file that stands in memory; `path` is where it is to be saved.

        Raises FileRefused like `open`.
        """
        return cls(data, Path(path))

    def __contains__(self, name: str) -> bool:
        return name in self._entries

    @property
    def names(self) -> tuple[str, ...]:
        """The parts in the order of the file."""
        return tuple(self._entries)

    def spelled(self, name: str) -> str:
        """The name of a part as the file has it, whose capitals need not be those of a link; a lost one as it is."""
        return self._by_folded_name.get(name.casefold(), name)

    def stated_size(self, name: str) -> int:
        """How many bytes a part holds as the file states it. Raises KeyError when there is none of that name."""
        return self._entries[name].info.file_size

    def read(self, name: str) -> bytes:
        """The content of a part. Raises KeyError when there is none of that name."""
        if name not in self._content:
            content = archive.inflated(self.data, self._entries[name], self.path.name)
            if not name.lower().endswith(XML_ENDINGS):
                return content
            self._content[name] = content
        return self._content[name]

    def tree(self, name: str) -> ElementTree.Element:
        """The XML of a part. Raises FileRefused when the part is missing, too large, or is not XML."""
        label, actual = self.path.name, self.spelled(name)
        if actual not in self:
            raise FileRefused(f"{label} is not a whole workbook: the part {name} is missing. {DAMAGED}")
        if self.stated_size(actual) > TREE_LIMIT:
            raise self._too_much(actual, TREE_TOO_LARGE)
        return self.as_tree(actual, self.read(actual))

    def as_tree(self, name: str, content: bytes) -> ElementTree.Element:
        """What stands in a part, or a piece of it, as a tree. Raises FileRefused when it is too much or is not XML."""
        Doctypes(f"{self.path.name}: {name}").look(content)
        if len(content) > TREE_LIMIT:
            raise self._too_much(name, TREE_TOO_LARGE)
        if content.count(b"<") > MOST_TAGS:
            raise self._too_much(name, f"holds more than {MOST_TAGS:,} tags")
        if LONG_TAG.search(content):
            raise self._too_much(name, f"holds a tag of more than {LONGEST_TAG // 2**10} KiB")
        try:
            return ElementTree.fromstring(content)
        except NO_XML as fault:
            raise self._no_xml(name, fault) from fault

    def check_xml(self, name: str) -> None:
        """Read through the XML of a part without keeping a tree of it. Raises FileRefused when it is not XML."""
        try:
            expat.ParserCreate().Parse(self.read(name), True)
        except NO_XML as fault:
            raise self._no_xml(name, fault) from fault

    def _no_xml(self, name: str, fault: Exception) -> FileRefused:
        return FileRefused(f"{self.path.name} is damaged: {name} cannot be read ({fault}). {DAMAGED}")

    def _too_much(self, name: str, what: str) -> FileRefused:
        return FileRefused(
            f"{self.path.name}: the part {name} {what}; no spreadsheet writes so much there. "
            "The file may be made to harm."
        )

    def related(self, part: str) -> dict[str, tuple[str, str]]:
        """What a part points at inside the file: id to (kind, part). Links out of the file are left out."""
        folder, found = posixpath.dirname(part), {}
        for link in self._links(part):
            if link.get("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/", folder, link.get("Target", ""))).lstrip("/")
                found[link.get("Id", "")] = link.get("Type", "").rsplit("/", 1)[-1], self.spelled(target)
        return found

    def targets(self, part: str) -> dict[str, str]:
        """What a part points at, inside the file and outside: id to the target as the file spells it."""
        return {link.get("Id", ""): link.get("Target", "") for link in self._links(part)}

    def links_of(self, part: str) -> str:
        """The name of the part with the links of a part, as the file has it; not every part has one."""
        folder, name = posixpath.split(part)
        return self.spelled(posixpath.join(folder, "_rels", f"{name}.rels"))

    def _links(self, part: str) -> Iterable[ElementTree.Element]:
        place = self.links_of(part)
        return self.tree(place) if place in self else ()

    def edited(self, edits: Mapping[str, bytes], added: Mapping[str, bytes] | None = None) -> bytes:
        """The file with some parts replaced and new ones added, all others byte for byte as they were.

        Raises KeyError for a part that is not there, FileRefused for a signed file.
        """
        changed = {name: content for name, content in edits.items() if content != self.read(name)}
        if not changed and not added:
            return self.data
        if self.signed:
            raise FileRefused(
                f"{self.path.name} carries a digital signature, which a change would break. "
                "Save an unsigned copy in the spreadsheet and work on that."
            )
        return rebuilt(self.data, self._entries.values(), changed, added)

    @property
    def signed(self) -> bool:
        """True when the file carries a digital signature, which any edit would break."""
        return any(name.casefold().startswith("_xmlsignatures/") for name in self._entries)

    def check(self) -> None:
        """Unpack every part once: sizes, checksums and document types are true or the file is refused.

        Raises FileRefused. The first XML parts stay unpacked, as the next look will want them.
        """
        kept = 0
        for entry in self._entries.values():
            pieces = archive.pieces(self.data, entry, self.path.name)
            if not entry.name.lower().endswith(XML_ENDINGS):
                used_up(pieces)
            elif entry.name not in self._content:
                pieces = map(Doctypes(f"{self.path.name}: {entry.name}").look, pieces)
                kept += entry.info.file_size
                if kept > KEPT:
                    used_up(pieces)
                else:
                    self._content[entry.name] = b"".join(pieces)


def used_up(pieces: Iterable[bytes]) -> None:
    """Have every piece looked at, and keep none."""
    for _ in pieces:
        pass


class Doctypes:
    """Looks through the XML of a part, piece by piece, for a document type or an encoding that could hide one."""

    def __init__(self, part: str) -> None:
        self._part = part
        self._last: bytes | None = None

    def look(self, piece: bytes) -> bytes:
        """The piece again. Raises FileRefused where it declares a document type or a rare encoding."""
        seen = piece if self._last is None else self._last + piece
        if (self._last is None and rare_encoding(piece)) or any(sign in seen for sign in DOCTYPES):
            raise FileRefused(
                f"{self._part} declares a document type (DOCTYPE) or a rare encoding. No spreadsheet writes "
                "that; the file may be made to harm."
            )
        self._last = seen[-LONGEST_DOCTYPE:]
        return piece


def rare_encoding(head: bytes) -> bool:
    """True when XML says by its first bytes that it is in an encoding that no spreadsheet writes."""
    stated = ENCODING.match(head)
    return b"\0\0" in head[:8] or (stated is not None and stated[1].lower() not in ENCODINGS)
