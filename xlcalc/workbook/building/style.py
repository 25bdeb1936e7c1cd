"""How a sheet looks: one typeface, one accent, three kinds of cell told apart without colour too.

Tints keep black text above a contrast of 7:1 and differ in grey; a verdict carries a shape and a border
besides its tint.
"""

from copy import copy
from functools import lru_cache
from typing import Any, NamedTuple

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.styles.numbers import NumberFormat
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.views import Selection
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import CANNOT, CHANGE, NEAR, NOT_CHECKED, short

FACE, ACCENT, GREY = "Arial", "1F4E5F", "4D4D4D"
INPUT_TINT = "FBF6E6"
PAPER_A4 = 9
WIDE = 70  # per cent: what prints a row on two sheets of paper, Letter too
ZOOM = 90  # per cent, of the wide sheets
IN_SIGHT = 40  # rows of a sheet that a screen may show
FORMATS = {
    "mm": "0.0;-0.0;0.0",
    "m/s": "0.0;-0.0;0.0",
    "°C": "0;-0;0",
    "L": "0.00;-0.00;0",
    "m": "0.00;-0.00;0",
    "L/min": "0.0;-0.0;0",
    "kPa": "[>=10]0;[<=-10]-0;0.0",
    "Re": "0",
    "mL": "0",
    "s": "0",
    "h": "0.0;-0.0;0",
    "%": "0.0;-0.0;0",
    "kW": "0.00;-0.00;0",
    "kW/K": "0.000",
    "K": "0;-0;0",
    "m³/h": "0",
    "V": "0.00;-0.00;0",
    "A": "0.0;-0.0;0",
    "J": "0",
    "N m": "0.0;-0.0;0",
    "cm²": "0.0;-0.0;0",
    "mm/m": "0;-0;0",
    "money": "0.00;-0.00;0.00",
}  # unit: digits that the input deserves


class Look(NamedTuple):
    """How one cell looks; every field in words of this module."""

    size: float = 9
    bold: bool = False
    color: str = "000000"
    fill: str = ""
    edge: str = ""  # "", "box" or "line"
    wrap: bool = False
    across: str = ""  # "", "left", "right" or "center"
    up: str = "center"
    format: str = "General"
    open: bool = False
    indent: int = 0
    shrink: bool = False  # a text that is too long for its cell is set smaller instead of cut off


TITLE = Look(14, bold=True, color=ACCENT)
DECIDES = Look(10, bold=True, color=ACCENT)
QUIET = Look(8, color=GREY)
HEAD = Look(9, bold=True, wrap=True, up="bottom")
UNIT = Look(8, color=GREY, edge="under", up="top")
BAND = Look(9, bold=True, color=ACCENT, edge="band")
PLAIN = Look()
INPUT = Look(edge="line", open=True, wrap=True)
BOXED = Look(edge="box", open=True, fill=INPUT_TINT, across="left")
VERDICT = Look(wrap=True)
FOLDED = Look(8, color=GREY)

_HAIR, _THIN, _MEDIUM = Side("hair", color="A6A6A6"), Side("thin", color="8A8A8A"), Side("medium", color=ACCENT)
_EDGES = {
    "": Border(),
    "box": Border(_HAIR, _HAIR, _HAIR, _HAIR),
    "line": Border(bottom=_HAIR),
    "under": Border(bottom=_MEDIUM),
    "over": Border(top=_THIN),
    "band": Border(bottom=_THIN),
}
WORDS = (
    (CHANGE, "■ ", "FBDCC8", True),
    (short(CANNOT), "▲ ", "E4DCF0", True),
    (NOT_CHECKED, "□ ", "E9E9E9", True),
    (NEAR, "◆ ", "FFF3C9", False),
)  # first words of a verdict, its shape, its tint, bold or not


class Painter:
    """Puts values with a look into cells; a look is worked out once for the whole book."""

    def __init__(self, book: Workbook) -> None:
        self._scratch = book.create_sheet("scratch")
        self._known: dict[Look, Any] = {}
        self._open: dict[str, tuple[int, int]] = {}
        self._book = book

    def put(self, sheet: Worksheet, row: int, column: int, value: object, look: Look = PLAIN) -> Cell:
        """Write a value; None leaves the cell empty but painted."""
        cell = sheet.cell(row, column)
        if value is not None:
            cell.value = value
        cell._style = copy(self._style(look))
        if look.open and row <= IN_SIGHT:
            self._open[sheet.title] = min(self._open.get(sheet.title, (row, column)), (row, column))
        return cell

    def _style(self, look: Look) -> Any:
        if look not in self._known:
            cell = self._scratch.cell(len(self._known) + 1, 1)
            cell.font = Font(FACE, look.size, bold=look.bold, color=look.color)
            cell.border = _EDGES[look.edge]
            if look.fill:
                cell.fill = PatternFill("solid", fgColor=look.fill)
            cell.alignment = Alignment(
                look.across or None, look.up, wrap_text=look.wrap, shrink_to_fit=look.shrink or None, indent=look.indent
            )
            cell.number_format = look.format
            cell.protection = Protection(locked=not look.open)
            self._known[look] = cell._style
        return self._known[look]

    def done(self) -> None:
        """Take the scratch sheet away, and say of each sheet how it opens."""
        self._book.remove(self._scratch)
        for sheet in self._book:
            first = self._open.get(sheet.title)
            for row in range(1, 1 + (first[0] if first else IN_SIGHT)):
                sheet.cell(row, 1)  # the file has the rows above it, empty ones too
            opening(sheet, f"{get_column_letter(first[1])}{first[0]}" if first else "A1")


def base_font(book: Workbook) -> None:
    """Column widths count in the book's base font."""
    book._named_styles["Normal"].font = Font(FACE, 9)


def verdict_rules(sheet: Worksheet, area: str, first: str) -> None:
    """Paint the verdicts of an area by their first words; `first` is its first cell."""
    for place, (words, shape, tint, bold) in enumerate(WORDS):
        rule = FormulaRule(formula=[f'LEFT({first},{len(words)})="{words}"'])
        rule.dxf = DifferentialStyle(
            font=Font(bold=bold),
            fill=PatternFill(bgColor=tint),
            border=Border(_THIN, _THIN, _THIN, _THIN),
            numFmt=NumberFormat(190 + place, f'General;General;General;"{shape}"@'),
        )
        sheet.conditional_formatting.add(area, rule)


def input_rule(sheet: Worksheet, area: str, formula: str) -> None:
    """Tint the input cells of an area where the formula holds."""
    rule = FormulaRule(formula=[formula])
    rule.dxf = DifferentialStyle(fill=PatternFill(bgColor=INPUT_TINT), border=Border(_THIN, _THIN, _THIN, _THIN))
    sheet.conditional_formatting.add(area, rule)


def fifth_row_rule(sheet: Worksheet, area: str, formula: str) -> None:
    """A stronger line under the rows of an area where the formula holds, for the eye to follow."""
    rule = FormulaRule(formula=[formula])
    rule.dxf = DifferentialStyle(border=Border(bottom=_THIN))
    sheet.conditional_formatting.add(area, rule)


def quiet_rule(sheet: Worksheet, area: str, formula: str) -> None:
    """Show no number in an area where the formula holds."""
    rule = FormulaRule(formula=[formula])
    rule.dxf = DifferentialStyle(numFmt=NumberFormat(189, ";;;"))
    sheet.conditional_formatting.add(area, rule)


def page(sheet: Worksheet, *, landscape: bool, titles: str, columns: str = "", across: int = 1, scale: int = 0) -> None:
    """Set up print: A4, narrow enough for Letter too, repeated titles, a footer."""
    sheet.page_setup.paperSize = PAPER_A4
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_margins = PageMargins(0.25, 0.25, 0.45, 0.7, 0.2, 0.3)
    if scale:
        sheet.page_setup.scale = scale
    else:
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = across, 0
    if titles:
        sheet.print_title_rows = titles
    if columns:
        sheet.print_title_cols = columns
        sheet.page_setup.pageOrder = "overThenDown"  # the two halves of a row come out one after the other
    sheet.oddFooter.left.text, sheet.oddFooter.left.size = "&F   &A", 8
    sheet.oddFooter.right.text, sheet.oddFooter.right.size = "printed &D   page &P of &N", 8
    sheet.sheet_view.showGridLines = False


def opening(sheet: Worksheet, chosen: str) -> None:
    """How a sheet opens: at its top left, the cell to fill in first chosen, what is folded shut to the last column."""
    groups = [each for each in sheet.column_dimensions.values() if each.hidden]
    if groups:
        max(groups, key=lambda each: each.min).max = sheet.max_column  # tables and charts of one sheet fold unlike
    view = sheet.sheet_view
    view.zoomScale = view.zoomScaleNormal = ZOOM if groups and sheet.page_setup.orientation == "landscape" else 100
    view.tabSelected = False
    if view.pane is None:
        view.selection = [Selection(activeCell=chosen, sqref=chosen)]
        return
    beside, below = bool(view.pane.xSplit), bool(view.pane.ySplit)
    parts = (("topRight", beside), ("bottomLeft", below), ("bottomRight", beside and below))
    panes = [pane for pane, there in parts if there]
    view.selection = [Selection(pane=pane, activeCell=chosen, sqref=chosen) for pane in panes]


@lru_cache(256)
def number_format(unit: str) -> str:
    """Digits for a worked-out number in a unit."""
    return FORMATS.get(unit, "General")
