"""The only opener and writer of a workbook file: its sheets, names, tables and texts, and where it is saved.

A file is read once and checked whole before anybody looks into it; how stands in `workbook/file/parts`.
"""

import io
import posixpath
import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

from xlcalc.core.errors import FileBusy, FileRefused
from xlcalc.workbook.file.atomic import same_file, write_whole
from xlcalc.workbook.file.file_limits import LARGEST_BOOK
from xlcalc.workbook.file.foreign import STRICT, not_this_workbook
from xlcalc.workbook.file.parts import DAMAGED, NO_XML, XML_ENDINGS, Parts
from xlcalc.workbook.file.values import read_escapes

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
CONTENT_TYPES = "[Content_Types].xml"
AREA = re.compile(r"[A-Z]{1,3}[1-9][0-9]{0,6}(?::[A-Z]{1,3}[1-9][0-9]{0,6})?")
ROWS, ROWS_END = b"<sheetData>", b"</sheetData>"
SHEETS = {"worksheet", "chartsheet", "dialogsheet", "macrosheet", "intlmacrosheet"}
READ = {"worksheet", "sharedStrings", "styles"}  # kinds of the parts that a recalculation reads


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


class Package(Parts):
    """A workbook file, read whole into memory.

    Make one with `Package.open(path)` or, for bytes made by this program, `Package.from_bytes`.
    """

    def __init__(self, data: bytes, path: Path) -> None:
        super().__init__(data, path)
        self.workbook_part = self._find_workbook()
        self._workbook = self.tree(self.workbook_part)
        self._sheets = list(self._read_sheets())
        if not self._sheets:
            raise FileRefused(f"{path.name} is not a whole workbook: it has no sheet. {DAMAGED}")
        read = self._read_parts()
        self._check_size(read)
        self.check()
        for part in read:
            self.check_xml(part)
        self._strings: tuple[str, ...] | None = None

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
        return [
            self._table(part, sheet.name)
            for sheet in self.worksheets()
            for kind, part in self.related(sheet.part).values()
            if kind == "table"
        ]

    def styles(self) -> ElementTree.Element | None:
        """The styles of the cells; None for a book without any. Raises FileRefused where they are no XML."""
        links = self.related(self.workbook_part).values()
        part = next((part for kind, part in links if kind == "styles" and part in self), None)
        return None if part is None else self.tree(part)

    def around_rows(self, part: str) -> ElementTree.Element:
        """What stands round the rows of a sheet: in them may be a million cells, too much for a tree.

        Raises FileRefused where it is too much all the same.
        """
        xml = self.read(part)
        start, stop = xml.find(ROWS), xml.rfind(ROWS_END)
        return self.as_tree(part, xml[:start] + xml[stop + len(ROWS_END) :] if 0 < start < stop else xml)

    def _table(self, part: str, sheet: str) -> Table:
        root = self.tree(part)
        name = root.get("displayName") or root.get("name") or ""
        columns = tuple(read_escapes(each.get("name", "")) for each in root.iter(MAIN + "tableColumn"))
        counts = (root.get("headerRowCount", "1"), root.get("totalsRowCount", "0"))
        if not (AREA.fullmatch(area := root.get("ref", "")) and all(map(str.isdecimal, counts))):
            raise FileRefused(f"{self.path.name} is damaged: the table {name} does not say where it is. {DAMAGED}")
        return Table(name, sheet, area, columns, *map(int, counts))

    def shared_strings(self) -> tuple[str, ...]:
        """The texts that cells of type `s` point at, without their formatting."""
        if self._strings is None:
            links = self.related(self.workbook_part).values()
            parts = [part for kind, part in links if kind == "sharedStrings" and part in self]
            self._strings = tuple(self._texts(parts[0])) if parts else ()
        return self._strings

    def _texts(self, part: str) -> Iterator[str]:
        """The shared texts, one after the other: as a tree they would take ten times their size."""
        try:
            for _, item in ElementTree.iterparse(io.BytesIO(self.read(part))):
                if item.tag == MAIN + "si":
                    yield read_escapes("".join(text_runs(item)))
                    item.clear()
        except NO_XML as fault:
            raise self._no_xml(part, fault) from fault

    def save(
        self, edits: Mapping[str, bytes], to: str | Path | None = None, before_copy: Callable[[], None] | None = None
    ) -> bool:
        """Write the file with some parts replaced; True when something was written.

        Without `to` the file itself is replaced, whole or not at all, and only when a part changed and
        nobody else touched it since it was read. `before_copy` runs last of all before a copy takes its name, and may
        raise. Raises FileError, FileBusy and FileRefused; the message says what is whole.
        """
        data = self.edited(edits)
        target = self.path if to is None else Path(to)
        itself = to is None or same_file(target, self.path)
        if itself and data is self.data:
            return False
        check = self._refuse_if_changed if itself else before_copy
        words = f"{target} holds the new values"
        write_whole(target, data, mode_of=self.path, before_replace=check, words=words)
        return True

    def replace(self, content: bytes) -> None:
        """Put a whole new content in the place of the file, on the same terms as `save`."""
        check, words = self._refuse_if_changed, f"{self.path} is changed"
        write_whole(self.path, content, mode_of=self.path, before_replace=check, words=words)

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

    def _read_parts(self) -> set[str]:
        """The parts that a recalculation reads."""
        links = self.related(self.workbook_part).values()
        return {sheet.part for sheet in self._sheets} | {part for kind, part in links if kind in READ}

    def _check_size(self, parts: set[str]) -> None:
        """Refuse what could not be worked out anyway, by the sizes that it states, before it is unpacked."""
        if odd := sorted(part for part in parts if not part.lower().endswith(XML_ENDINGS)):
            raise FileRefused(f"{self.path.name}: the part {odd[0]!r} has a name no spreadsheet writes. {DAMAGED}")
        if missing := sorted(parts - set(self.names)):
            raise FileRefused(
                f"{self.path.name} is not a whole workbook: the part {missing[0]} is missing. {DAMAGED}"
            )
        size = sum(map(self.stated_size, parts))
        if size > LARGEST_BOOK:
            raise FileRefused(
                f"{self.path.name} holds {size / 2**20:,.0f} MiB of cells and texts; at most "
                f"{LARGEST_BOOK // 2**20} can be worked out at once. Delete rows and sheets that nobody uses, "
                "or split it."
            )

    def _find_workbook(self) -> str:
        """The main part. Raises FileRefused when this is another kind of file."""
        label = self.path.name
        declared = self.tree(CONTENT_TYPES) if CONTENT_TYPES in self else ()
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
                return self.spelled(posixpath.normpath(link.get("Target", "").lstrip("/")))
        raise FileRefused(f"{label} is not a whole workbook: nothing in it says which part is the workbook.")

    def _read_sheets(self) -> Iterator[Sheet]:
        if not self._workbook.tag.startswith(MAIN):
            raise FileRefused(f"{self.path.name}: {self.workbook_part} is not the workbook of an .xlsx file.")
        links = self.related(self.workbook_part)
        seen: set[str] = set()
        for element in self._workbook.iter(MAIN + "sheet"):
            name = element.get("name", "")
            kind, part = links.get(element.get(LINK + "id", ""), ("", ""))
            if part not in self or not name:
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
