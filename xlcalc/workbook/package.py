"""The only opener and writer of a workbook file.

A file is read once and checked whole before anybody looks into it: size, container, names, checksums,
document types. Saving copies every part that was not edited byte for byte.
"""

import io
import posixpath
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

from xlcalc.core.errors import FileBusy, FileRefused
from xlcalc.workbook import archive
from xlcalc.workbook.atomic import same_file, write_whole
from xlcalc.workbook.foreign import STRICT, not_this_workbook
from xlcalc.workbook.interrupt import Held
from xlcalc.workbook.limits import LARGEST_BOOK, TREE_LIMIT
from xlcalc.workbook.values import read_escapes

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
CONTENT_TYPES = "[Content_Types].xml"
XML_ENDINGS = (".xml", ".rels", ".vml")
AREA = re.compile(r"[A-Z]{1,3}[1-9][0-9]{0,6}(?::[A-Z]{1,3}[1-9][0-9]{0,6})?")
ENCODING = re.compile(rb"""^(?:\xef\xbb\xbf)?<\?xml[^>]{0,100}?encoding=["']([^"']+)""")
ENCODINGS = {b"utf-8", b"utf8", b"us-ascii", b"ascii", b"iso-8859-1", b"windows-1252", b"utf-16"}
DOCTYPES = tuple("<!DOCTYPE".encode(code) for code in ("ascii", "utf-16-le", "utf-16-be"))
LONGEST_DOCTYPE = max(map(len, DOCTYPES))
KEPT = 2**26  # bytes of XML that are kept unpacked between two looks
SHEETS = {"worksheet", "chartsheet", "dialogsheet", "macrosheet", "intlmacrosheet"}
READ = {"worksheet", "sharedStrings", "styles"}  # kinds of the parts that a recalculation reads
DAMAGED = "Open it in the spreadsheet and save it again, or take the last good copy."


class Sheet(NamedTuple):
    """A sheet in the order of the tabs."""

    name: str
    part: str
    state: str  # "visible", "hidden" or "veryHidden"
    kind: str  # "worksheet", "chartsheet", "dialogsheet" or "macrosheet"


class DefinedName(NamedTuple):
    """A name that stands for a formula; `sheet` is the sheet it belongs to, None for the whole book."""

    name: str
    sheet: str | None
    text: str
    hidden: bool


class Table(NamedTuple):
    """An area formatted as a table, as `A1:D9` on a sheet, with its header and totals rows."""

    name: str
    sheet: str
    area: str
    columns: tuple[str, ...] = ()
    header_rows: int = 1
    totals_rows: int = 0


class Package:
    """A workbook file, read whole into memory.

    Make one with `Package.open(path)` or, for bytes made by this program, `Package.from_bytes`.
    """

    def __init__(self, data: bytes, path: Path) -> None:
        self.path = path
        self.data = data
        self.saved = False
        """True once a file was written."""
        self._entries = {entry.name: entry for entry in archive.read_entries(data, path.name)}
        self._content: dict[str, bytes] = {}
        self._by_folded_name = {name.casefold(): name for name in self._entries}
        self.workbook_part = self._find_workbook()
        self._workbook = self.tree(self.workbook_part)
        self._sheets = list(self._read_sheets())
        if not self._sheets:
            raise FileRefused(f"{path.name} is not a whole workbook: it has no sheet. {DAMAGED}")
        self._check_size()
        self._check_content()
        self._strings: tuple[str, ...] | None = None

    @classmethod
    def open(cls, path: str | Path) -> "Package":
        """Read and check a workbook file.

        Raises FileRefused (not a workbook, damaged, or made to harm) and FileError (cannot be read).
        """
        place = Path(path)
        return cls(archive.file_bytes(place), place)

    @classmethod
    def from_bytes(cls, data: bytes, path: str | Path) -> "Package":
        """Check a workbook that stands in memory; `path` is where `save` puts it.

        Raises FileRefused like `open`.
        """
        return cls(data, Path(path))

    @property
    def names(self) -> tuple[str, ...]:
        """The parts in the order of the file."""
        return tuple(self._entries)

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
        label, actual = self.path.name, self._by_folded_name.get(name.casefold())
        if actual is None:
            raise FileRefused(f"{label} is not a whole workbook: the part {name} is missing. {DAMAGED}")
        if self._entries[actual].info.file_size > TREE_LIMIT:
            raise FileRefused(
                f"{label}: the part {name} unpacks to more than {TREE_LIMIT // 2**20} MiB; no spreadsheet writes "
                "so much there. The file may be made to harm."
            )
        content = self.read(actual)
        Doctypes(f"{label}: {actual}").look(content)
        try:
            return ElementTree.fromstring(content)
        except (ElementTree.ParseError, ValueError, LookupError) as fault:
            raise FileRefused(f"{label} is damaged: {name} cannot be read ({fault}). {DAMAGED}") from fault

    def sheets(self) -> list[Sheet]:
        """All sheets in the order of the tabs, hidden ones too."""
        return list(self._sheets)

    def worksheets(self) -> list[Sheet]:
        """The sheets that have cells."""
        return [sheet for sheet in self._sheets if sheet.kind == "worksheet"]

    @property
    def date1904(self) -> bool:
        """True when dates count from 1904."""
        properties = self._workbook.find(MAIN + "workbookPr")
        return properties is not None and properties.get("date1904", "0") in {"1", "true", "on"}

    @property
    def signed(self) -> bool:
        """True when the file carries a digital signature, which any edit would break."""
        return any(name.casefold().startswith("_xmlsignatures/") for name in self._entries)

    def defined_names(self) -> list[DefinedName]:
        """The names of the book and of its sheets."""
        found = []
        known = {str(index): each.name for index, each in enumerate(self._sheets)}
        for element in self._workbook.iter(MAIN + "definedName"):
            place = element.get("localSheetId")
            sheet = known.get(place) if place is not None else None
            hidden = element.get("hidden", "0") in {"1", "true"}
            found.append(DefinedName(element.get("name", ""), sheet, element.text or "", hidden))
        return found

    def linked_parts(self) -> list[str]:
        """The parts of the links to other files in their order: `[1]` in a formula is the first."""
        links = self.related(self.workbook_part)
        wanted = self._workbook.iter(MAIN + "externalReference")
        return [links.get(each.get(LINK + "id", ""), ("", ""))[1] for each in wanted]

    def tables(self) -> list[Table]:
        """The tables of all worksheets."""
        found = []
        for sheet in self.worksheets():
            for kind, part in self.related(sheet.part).values():
                if kind == "table":
                    root = self.tree(part)
                    name = root.get("displayName") or root.get("name") or ""
                    columns = tuple(read_escapes(each.get("name", "")) for each in root.iter(MAIN + "tableColumn"))
                    counts = (root.get("headerRowCount", "1"), root.get("totalsRowCount", "0"))
                    if not (AREA.fullmatch(area := root.get("ref", "")) and all(map(str.isdecimal, counts))):
                        raise FileRefused(
                            f"{self.path.name} is damaged: the table {name} does not say where it is. {DAMAGED}"
                        )
                    found.append(Table(name, sheet.name, area, columns, *map(int, counts)))
        return found

    def shared_strings(self) -> tuple[str, ...]:
        """The texts that cells of type `s` point at, without their formatting."""
        if self._strings is None:
            links = self.related(self.workbook_part).values()
            parts = [part for kind, part in links if kind == "sharedStrings" and part in self._entries]
            self._strings = tuple(self._texts(parts[0])) if parts else ()
        return self._strings

    def _texts(self, part: str) -> Iterator[str]:
        """The shared texts, one after the other: as a tree they would take ten times their size."""
        try:
            for _, item in ElementTree.iterparse(io.BytesIO(self.read(part))):
                if item.tag == MAIN + "si":
                    yield read_escapes("".join(text_runs(item)))
                    item.clear()
        except (ElementTree.ParseError, ValueError, LookupError) as fault:
            raise FileRefused(f"{self.path.name} is damaged: {part} cannot be read ({fault}). {DAMAGED}") from fault

    def related(self, part: str) -> dict[str, tuple[str, str]]:
        """What a part points at inside the file: id to (kind, part). Links out of the file are left out."""
        folder, found = posixpath.dirname(part), {}
        for link in self._links(part):
            if link.get("TargetMode") != "External":
                target = posixpath.normpath(posixpath.join("/", folder, link.get("Target", ""))).lstrip("/")
                actual = self._by_folded_name.get(target.casefold(), target)
                found[link.get("Id", "")] = link.get("Type", "").rsplit("/", 1)[-1], actual
        return found

    def targets(self, part: str) -> dict[str, str]:
        """What a part points at, inside the file and outside: id to the target as the file spells it."""
        return {link.get("Id", ""): link.get("Target", "") for link in self._links(part)}

    def links_of(self, part: str) -> str:
        """The name of the part with the links of a part, as the file has it; not every part has one."""
        folder, name = posixpath.split(part)
        place = posixpath.join(folder, "_rels", f"{name}.rels")
        return self._by_folded_name.get(place.casefold(), place)

    def _links(self, part: str) -> Iterable[ElementTree.Element]:
        place = self.links_of(part)
        return self.tree(place) if place in self._entries else ()

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
        return archive.rebuilt(self.data, self._entries.values(), changed, added)

    def save(self, edits: Mapping[str, bytes], to: str | Path | None = None) -> bool:
        """Write the file with some parts replaced; True when something was written.

        Without `to` the file itself is replaced, whole or not at all, and only when a part changed and
        nobody else touched it since it was read. Raises FileError, FileBusy and FileRefused; the message
        says what is whole.
        """
        data = self.edited(edits)
        target = self.path if to is None else Path(to)
        itself = to is None or same_file(target, self.path)
        if itself and data is self.data:
            return False
        check = self._refuse_if_changed if itself else None
        self._write(target, data, check, f"{target} holds the new values")
        return True

    def replace(self, content: bytes) -> None:
        """Put a whole new content in the place of the file, on the same terms as `save`."""
        self._write(self.path, content, self._refuse_if_changed, f"{self.path} is changed")

    def _write(self, target: Path, data: bytes, check: Callable[[], None] | None, done: str) -> None:
        with Held() as held:  # so that nobody takes a written file for one that is not
            write_whole(target, data, mode_of=self.path, before_replace=check)
            self.saved = True
            held.done = done

    def _refuse_if_changed(self) -> None:
        """Raise FileBusy when the file on the disk is not the one that was read."""
        try:
            same = self.path.stat().st_size == len(self.data) and self.path.read_bytes() == self.data
        except FileNotFoundError:
            same = False
        if not same:
            raise FileBusy(
                f"{self.path.name} was changed by someone else while it was being worked on. "
                "Their file is untouched; run the command again."
            )

    def _check_size(self) -> None:
        """Refuse what could not be worked out anyway, by the sizes that it states, before it is unpacked."""
        parts = {sheet.part for sheet in self._sheets}
        parts |= {part for kind, part in self.related(self.workbook_part).values() if kind in READ}
        if odd := sorted(part for part in parts if not part.lower().endswith(XML_ENDINGS)):
            raise FileRefused(f"{self.path.name}: the part {odd[0]!r} has a name no spreadsheet writes. {DAMAGED}")
        if missing := sorted(parts - set(self._entries)):
            raise FileRefused(
                f"{self.path.name} is not a whole workbook: the part {missing[0]} is missing. {DAMAGED}"
            )
        size = sum(self._entries[part].info.file_size for part in parts)
        if size > LARGEST_BOOK:
            raise FileRefused(
                f"{self.path.name} holds {size / 2**20:,.0f} MiB of cells and texts; at most "
                f"{LARGEST_BOOK // 2**20} can be worked out at once. Delete rows and sheets that nobody uses, "
                "or split it."
            )

    def _check_content(self) -> None:
        """Unpack every part once: sizes, checksums and document types are true or the file is refused."""
        kept = 0
        for entry in self._entries.values():
            pieces = archive.pieces(self.data, entry, self.path.name)
            if not entry.name.lower().endswith(XML_ENDINGS):
                for _ in pieces:
                    pass
            elif entry.name not in self._content:
                pieces = map(Doctypes(f"{self.path.name}: {entry.name}").look, pieces)
                kept += entry.info.file_size
                if kept > KEPT:
                    for _ in pieces:
                        pass
                else:
                    self._content[entry.name] = b"".join(pieces)

    def _find_workbook(self) -> str:
        """The main part. Raises FileRefused when this is another kind of file."""
        label = self.path.name
        declared = self.tree(CONTENT_TYPES) if CONTENT_TYPES in self._entries else ()
        types = "\n".join(each.get("ContentType", "") for each in declared)
        if words := not_this_workbook(self.names, types):
            raise FileRefused(f"{label} {words}")
        for link in self.tree("_rels/.rels"):
            kind = link.get("Type", "")
            if kind.endswith("/officeDocument"):
                if kind.startswith(STRICT):
                    raise FileRefused(
                        f"{label} is a Strict Open XML workbook. Save it as a plain Excel workbook (.xlsx)."
                    )
                name = posixpath.normpath(link.get("Target", "").lstrip("/"))
                return self._by_folded_name.get(name.casefold(), name)
        raise FileRefused(f"{label} is not a whole workbook: nothing in it says which part is the workbook.")

    def _read_sheets(self) -> Iterator[Sheet]:
        if not self._workbook.tag.startswith(MAIN):
            raise FileRefused(f"{self.path.name}: {self.workbook_part} is not the workbook of an .xlsx file.")
        links = self.related(self.workbook_part)
        seen: set[str] = set()
        for element in self._workbook.iter(MAIN + "sheet"):
            name = element.get("name", "")
            kind, part = links.get(element.get(LINK + "id", ""), ("", ""))
            if part not in self._entries or not name:
                raise FileRefused(
                    f"{self.path.name} is not a whole workbook: the sheet {name!r} is missing. {DAMAGED}"
                )
            if name.casefold() in seen or part in seen:
                raise FileRefused(f"{self.path.name} is damaged: the sheet {name!r} stands there twice. {DAMAGED}")
            if kind.removeprefix("xl").lower() not in SHEETS:
                raise FileRefused(f"{self.path.name} is damaged: the part of the sheet {name!r} is no sheet. {DAMAGED}")
            seen |= {name.casefold(), part}
            yield Sheet(name, part, element.get("state", "visible"), kind.removeprefix("xl").lower())


def text_runs(item: ElementTree.Element) -> Iterator[str]:
    """The pieces of a shared text, without the reading aid that East Asian texts carry."""
    for child in item:
        if child.tag == MAIN + "t":
            yield child.text or ""
        elif child.tag == MAIN + "r":
            yield child.findtext(MAIN + "t") or ""


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
