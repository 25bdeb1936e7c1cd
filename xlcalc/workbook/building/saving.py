"""Save the generated workbook: openpyxl's file, with the rows of its sheets spelt in one go.

A book of the demo has forty thousand cells; building an element for each takes longer than all the rest of a save.
"""

import io
import zipfile
from collections.abc import Callable, Iterable, Iterator
from typing import Any
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.compat import safe_string
from openpyxl.drawing.spreadsheet_drawing import SpreadsheetDrawing
from openpyxl.utils import get_column_letter
from openpyxl.utils.datetime import to_excel
from openpyxl.worksheet._writer import WorksheetWriter
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

_NO_ROWS = b"<sheetData></sheetData>"
FORMULA, TEXT, DATE = "f", "s", "d"  # openpyxl's words for what a cell holds


def saved(book: Workbook) -> bytes:
    """The file of a book, its parts not yet compressed.

    Cells may hold numbers, texts, formulas and dates. Raises TypeError for a cell with a comment or a link, which no
    generated sheet has.
    """
    made = io.BytesIO()
    _Writer(book, zipfile.ZipFile(made, "w")).save()
    return made.getvalue()


class _Writer(ExcelWriter):  # type: ignore[misc]  # openpyxl has no types
    """openpyxl's writer, but for the rows."""

    def __init__(self, book: Workbook, archive: zipfile.ZipFile) -> None:
        super().__init__(book, archive)
        self._styles = _styles()

    def write_worksheet(self, sheet: Worksheet) -> None:
        """Write the part of a sheet: what stands round its rows by openpyxl, its rows here."""
        sheet._drawing = SpreadsheetDrawing()
        sheet._drawing.charts = sheet._charts
        frame = _Frame(sheet, io.BytesIO())
        frame.write()
        before, found, after = frame.read().partition(_NO_ROWS)
        if not found:
            raise TypeError(f"{sheet.title} is not written as sheets are")
        rows = "".join(self._rows(sheet, frame.all_rows()))
        part = b"".join((before, b"<sheetData>", rows.encode(), b"</sheetData>", after))
        sheet._rels = frame._rels
        self._archive.writestr(sheet.path[1:], part)
        self.manifest.append(sheet)

    def _rows(self, sheet: Worksheet, rows: Iterable[tuple[int, list[Any]]]) -> Iterator[str]:
        heights = sheet.row_dimensions
        letters = {column: get_column_letter(column) for column in range(1, sheet.max_column + 1)}
        for number, cells in rows:
            settings = "".join(f' {key}="{value}"' for key, value in dict(heights.get(number, {})).items())
            yield f'<row r="{number}"{settings}>'
            for cell in cells:
                style = self._styles(cell)
                if style or cell.value is not None:
                    yield f'<c r="{letters[cell.column]}{number}"{style}{_content(cell)}'
            yield "</row>"


class _Frame(WorksheetWriter):  # type: ignore[misc]  # openpyxl has no types
    """The part of a sheet without its rows."""

    def rows(self) -> list[tuple[int, list[Any]]]:
        """None of them: what stands in their place is put there afterwards."""
        return []

    def all_rows(self) -> list[tuple[int, list[Any]]]:
        """The rows in their order, each with its number and its cells."""
        return list(super().rows())


def _styles() -> Callable[[Any], str]:
    """Gives the attribute of a cell's style; the same looks are asked for once."""
    known: dict[bytes, str] = {}

    def attribute(cell: Any) -> str:
        key = cell._style.tobytes() if cell._style is not None else b""
        if key not in known:
            known[key] = f' s="{cell.style_id}"' if cell.has_style else ""
        return known[key]

    return attribute


def _content(cell: Any) -> str:
    """A cell from its type on."""
    value, kind = cell.value, cell.data_type
    if cell._comment is not None or cell.hyperlink:
        raise TypeError(f"{cell.coordinate} holds a comment or a link")
    if kind == FORMULA:
        return f"><f>{escape(value[1:])}</f><v /></c>"
    if kind == TEXT:
        if not value:
            return ' t="inlineStr" />'
        edges = value.strip()
        kept = ' xml:space="preserve"' if edges and edges != value else ""
        return f' t="inlineStr"><is><t{kept}>{escape(value)}</t></is></c>'
    if value is None:
        return f' t="{kind}" />'
    if kind == DATE:
        value, kind = to_excel(value, cell.parent.parent.epoch), "n"
    return f' t="{kind}"><v>{escape(safe_string(value))}</v></c>'
