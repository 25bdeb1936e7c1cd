"""The only opener and writer of a workbook file.

A file is read once and checked whole before anybody looks into it: size, container, names, checksums,
document types. Saving copies every part that was not edited byte for byte.
"""

import posixpath
import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

from xlcalc.core.errors import FileBusy, FileError, FileRefused
from xlcalc.workbook import archive
from xlcalc.workbook.atomic import write_whole
from xlcalc.workbook.foreign import STRICT, not_a_container, not_this_workbook
from xlcalc.workbook.values import read_escapes

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
CONTENT_TYPES = "[Content_Types].xml"
XML_ENDINGS = (".xml", ".rels", ".vml")
AREA = re.compile(r"[A-Z]{1,3}[1-9][0-9]{0,6}(?::[A-Z]{1,3}[1-9][0-9]{0,6})?")
ENCODING = re.compile(rb"""^(?:\xef\xbb\xbf)?<\?xml[^>]{0,100}?encoding=["']([^"']+)""")
ENCODINGS = {b"utf-8", b"utf8", b"us-ascii", b"ascii", b"iso-8859-1", b"windows-1252", b"utf-16"}


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
        label = path.name
        if not data.startswith(b"PK\x03\x04"):
            raise FileRefused(f"{label} {not_a_container(data)}")
        self._entries = {entry.name: entry for entry in archive.read_entries(data, label)}
        self._content: dict[str, bytes] = {}
        self._by_folded_name = {name.casefold(): name for name in self._entries}
        self._check_content()
        self.workbook_part = self._find_workbook()
        self._workbook = self.tree(self.workbook_part)
        self._sheets = list(self._read_sheets())
        self._strings: tuple[str, ...] | None = None

    @classmethod
    def open(cls, path: str | Path) -> "Package":
        """Read and check a workbook file.

        Raises FileRefused (not a workbook, damaged, or made to harm) and FileError (cannot be read).
        """
        place = Path(path)
        try:
            if place.is_dir():
                raise FileError(f"{place} is a folder; give the workbook in it.")
            if place.stat().st_size > archive.TOTAL_LIMIT:
                raise FileRefused(f"{place.name} is larger than 1 GiB: more than this program reads.")
            data = place.read_bytes()
        except FileNotFoundError as fault:
            raise FileError(f"There is no file {place}. Look at the spelling and the folder.") from fault
        except OSError as fault:
            raise FileError(f"{place} cannot be read: {fault.strerror or fault}.") from fault
        return cls(data, place)

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
        if name in self._content:
            return self._content[name]
        return archive.inflated(self.data, self._entries[name], self.path.name)

    def tree(self, name: str) -> ElementTree.Element:
        """The XML of a part. Raises FileRefused when the part is missing or is not XML."""
        actual = self._by_folded_name.get(name.casefold())
        if actual is None:
            raise FileRefused(f"{self.path.name} is not a whole workbook: the part {name} is missing.")
        try:
            return ElementTree.fromstring(self.read(actual))
        except (ElementTree.ParseError, ValueError, LookupError) as fault:
            raise FileRefused(f"{self.path.name} is damaged: {name} cannot be read ({fault}).") from fault

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
        for element in self._workbook.iter(MAIN + "definedName"):
            place = element.get("localSheetId")
            known = place is not None and place.isdecimal() and int(place) < len(self._sheets)
            sheet = self._sheets[int(place)].name if known and place is not None else None
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
                        raise FileRefused(f"{self.path.name} is damaged: the table {name} does not say where it is.")
                    found.append(Table(name, sheet.name, area, columns, *map(int, counts)))
        return found

    def shared_strings(self) -> tuple[str, ...]:
        """The texts that cells of type `s` point at, without their formatting."""
        if self._strings is None:
            links = self.related(self.workbook_part).values()
            parts = [part for kind, part in links if kind == "sharedStrings"]
            items = self.tree(parts[0]).iter(MAIN + "si") if parts else ()
            self._strings = tuple("".join(text_runs(item)) for item in items)
        return self._strings

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

    def _links(self, part: str) -> Iterable[ElementTree.Element]:
        folder, name = posixpath.split(part)
        place = posixpath.join(folder, "_rels", f"{name}.rels")
        return self.tree(place) if place.casefold() in self._by_folded_name else ()

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
        itself = to is None or (target.exists() and self.path.exists() and target.samefile(self.path))
        if itself and data is self.data:
            return False
        check = self._refuse_if_changed if itself else None
        write_whole(target, data, mode_of=self.path, before_replace=check)
        return True

    def replace(self, content: bytes) -> None:
        """Put a whole new content in the place of the file, on the same terms as `save`."""
        write_whole(self.path, content, mode_of=self.path, before_replace=self._refuse_if_changed)

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

    def _check_content(self) -> None:
        """Unpack every part once: sizes, checksums and document types are true or the file is refused."""
        for entry in self._entries.values():
            content = archive.inflated(self.data, entry, self.path.name)
            if entry.name.lower().endswith(XML_ENDINGS):
                if hides_a_document_type(content):
                    raise FileRefused(
                        f"{self.path.name}: {entry.name} declares a document type (DOCTYPE) or a rare "
                        "encoding. No spreadsheet writes that; the file may be made to harm."
                    )
                self._content[entry.name] = content

    def _find_workbook(self) -> str:
        """The main part. Raises FileRefused when this is another kind of file."""
        label = self.path.name
        types = self.read(CONTENT_TYPES).decode("utf-8", "replace") if CONTENT_TYPES in self._entries else ""
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
        for element in self._workbook.iter(MAIN + "sheet"):
            name = element.get("name", "")
            kind, part = links.get(element.get(LINK + "id", ""), ("", ""))
            if part not in self._entries or not name:
                raise FileRefused(f"{self.path.name} is not a whole workbook: the sheet {name!r} is missing.")
            yield Sheet(name, part, element.get("state", "visible"), kind.removeprefix("xl").lower())


def text_runs(item: ElementTree.Element) -> Iterator[str]:
    """The pieces of a shared text, without the reading aid that East Asian texts carry."""
    for child in item:
        if child.tag == MAIN + "t":
            yield child.text or ""
        elif child.tag == MAIN + "r":
            yield child.findtext(MAIN + "t") or ""


def hides_a_document_type(content: bytes) -> bool:
    """True when XML declares a document type, or says it is in an encoding that could hide one."""
    if content[:2] in {b"\xff\xfe", b"\xfe\xff"} or b"\0" in content[:4]:
        order = "utf-16-be" if content[:2] == b"\xfe\xff" or content[:1] == b"\0" else "utf-16-le"
        return "<!DOCTYPE" in content.decode(order, "replace") or b"\0\0" in content[:8]
    stated = ENCODING.match(content)
    return b"<!DOCTYPE" in content or (stated is not None and stated[1].lower() not in ENCODINGS)
