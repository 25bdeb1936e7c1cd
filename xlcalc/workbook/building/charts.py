"""Charts: scatter lines with named axes and units, labelled at their ends, read in grey as well as in colour.

Lines differ by style and by shade; the words of a chart stand in a bold cell above it, because a spreadsheet may lose a
title that points at a cell. No point is cached: every spreadsheet draws from the cells.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl.chart import LineChart, Reference, ScatterChart, Series
from openpyxl.chart.data_source import AxDataSource, NumDataSource, NumRef, StrRef
from openpyxl.chart.label import DataLabel, DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import Legend
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.text import CharacterProperties, Font, Paragraph, ParagraphProperties
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.rows import Column, quoted
from xlcalc.workbook.building.rows_on_sheet import validation
from xlcalc.workbook.building.style import BOXED, FACE, FOLDED, PLAIN, Painter

STYLES = {
    "first": ("1F4E5F", "solid", 22000),
    "second": ("A65E00", "dash", 22000),
    "third": ("3F3F3F", "sysDot", 26000),
    "solid second": ("A65E00", "solid", 22000),
    "solid third": ("7F7F7F", "solid", 26000),
    "limit": ("000000", "lgDashDot", 12700),
    "faint first": ("1F4E5F", "sysDash", 12700),
    "faint second": ("A65E00", "sysDash", 12700),
    "faint third": ("7F7F7F", "sysDash", 12700),
}  # name: shade, line style, width in EMU; a limit is thin and black, hot is the faint one of a pair
PLACES = {
    "last": ("r", -1), "first": ("t", 0), "under": ("b", 0), "left": ("l", 0), "beside": ("r", 1), "below": ("b", 2),
    "over second": ("t", 1), "over third": ("t", 2),
}  # fmt: skip  # of a label: on which side, of which point of the line
WIDTH_CM, HEIGHT_CM = 16.5, 8.2
NOT_DRAWN = "0.0001"  # what stands for no point on a logarithmic axis: it lies under the axis, and 0 would be refused
CHART_ROWS = 20  # rows of a sheet that a chart with its sentence takes


@dataclass(frozen=True)
class Curve:
    """One line of a chart: its name (text, or a cell of the chart's sheet), its cells, its style.

    `x` and `y` are ranges of one column of the chart's sheet: (column, first row, last row). `marks` draws points
    without a line between them.
    """

    name: str
    x: tuple[int, int, int]
    y: tuple[int, int, int]
    style: str = "first"
    label: str = "last"
    marks: bool = False


@dataclass(frozen=True)
class Axis:
    """An axis: its name with unit, whether it is logarithmic, its least and greatest value."""

    words: str
    log: bool = False
    low: float | None = None
    high: float | None = None


class Figures:
    """The figures behind a chart, in folded columns beside it: single cells from the chart's row down, and columns."""

    def __init__(self, sheet: Worksheet, painter: Painter, row: int, column: int) -> None:
        self._sheet, self._painter, self._row, self._column = sheet, painter, row, column

    def put(self, place: int, head: str, formula: str) -> str:
        """One cell in the first row, under its head; returns its address."""
        return self.address(self.column(place, head, [formula]))

    def column(self, place: int, head: str, formulas: Sequence[str]) -> tuple[int, int, int]:
        """A column of cells under its head: (column, first row, last row), as `Curve` takes them."""
        column = self._column + place
        self._painter.put(self._sheet, self._row, column, head, FOLDED._replace(bold=True))
        for offset, formula in enumerate(formulas, start=1):
            self._painter.put(self._sheet, self._row + offset, column, formula, FOLDED)
        return column, self._row + 1, self._row + len(formulas)

    def cells(self, place: int, count: int) -> list[str]:
        """Addresses of the first cells of a column."""
        letter = get_column_letter(self._column + place)
        return [f"${letter}${self._row + offset}" for offset in range(1, count + 1)]

    @staticmethod
    def within(at: tuple[int, int, int]) -> list[str]:
        """Addresses of the cells of a column."""
        return [f"${get_column_letter(at[0])}${row}" for row in range(at[1], at[2] + 1)]

    @classmethod
    def span(cls, at: tuple[int, int, int]) -> str:
        """The cells of a column as a range."""
        cells = cls.within(at)
        return f"{cells[0]}:{cells[-1]}"

    @staticmethod
    def address(at: tuple[int, int, int]) -> str:
        """Address of the first cell of a column."""
        return f"${get_column_letter(at[0])}${at[1]}"


def choice(
    sheet: Worksheet,
    painter: Painter,
    row: int,
    words: str,
    offers: str,
    help_text: str,
    value: object = None,
    column: int = 1,
) -> str:
    """A cell beside its words that picks what a chart shows; returns its address."""
    letter = get_column_letter(column + 1)
    painter.put(sheet, row, column, words, PLAIN)
    painter.put(sheet, row, column + 1, value, BOXED._replace(format="@", shrink=True))
    rule = validation(Column("shown", "", words, "", "list", 0, offers, help_text), f"{letter}{row}")
    sheet.add_data_validation(rule)
    rule.add(f"{letter}{row}")
    return f"${letter}${row}"


def draw(
    sheet: Worksheet,
    anchor: str,
    x: Axis,
    y: Axis,
    curves: Sequence[Curve],
    size: tuple[float, float] = (WIDTH_CM, HEIGHT_CM),
) -> None:
    """Put a chart of curves at a cell."""
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"
    _prepare(chart, x, y, size)
    for curve in curves:
        chart.series.append(_series(sheet, curve))
    sheet.add_chart(chart, anchor)


def dots(
    sheet: Worksheet,
    anchor: str,
    x: Axis,
    y: Axis,
    names: tuple[int, int, int],
    curves: Sequence[Curve],
    size: tuple[float, float] = (WIDTH_CM, HEIGHT_CM),
) -> None:
    """Put a chart of points over names at a cell; its legend tells the points apart by shape."""
    chart = LineChart()
    _prepare(chart, x, y, size)
    chart.legend = Legend()
    chart.legend.position = "t"
    chart.legend.txPr = _text(800)
    for curve in curves:
        series = _series(sheet, curve)
        series.xVal = series.yVal = None
        series.val = NumDataSource(numRef=NumRef(f=_reference(sheet, curve.y)))
        series.cat = AxDataSource(strRef=StrRef(f=_reference(sheet, names)))
        chart.series.append(series)
    sheet.add_chart(chart, anchor)


def _prepare(chart: ScatterChart | LineChart, x: Axis, y: Axis, size: tuple[float, float]) -> None:
    """What all charts share: no title, no frame of a stock look, axes with words."""
    chart.style = None
    chart.width, chart.height = size
    chart.legend, chart.title = None, None
    chart.auto_title_deleted = True
    chart.graphical_properties = GraphicalProperties(noFill=True, ln=LineProperties(noFill=True))
    chart.visible_cells_only = False  # the points stand in folded columns
    chart.display_blanks = "gap"
    for axis, made in ((x, chart.x_axis), (y, chart.y_axis)):
        made.title = axis.words
        made.title.tx.rich.p[0].pPr = ParagraphProperties(defRPr=_letters(900))
        made.delete = False
        made.txPr = _text(800)
        made.scaling.min, made.scaling.max = axis.low, axis.high
        if axis.log:
            made.scaling.logBase = 10
        made.number_format, made.majorTickMark = "General", "out"
        made.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill="8A8A8A", w=9525))
    chart.x_axis.majorGridlines = None
    chart.y_axis.crosses = chart.x_axis.crosses = "min"
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill="D9D9D9", w=6350))
    chart.layout = Layout(manualLayout=ManualLayout(xMode="edge", yMode="edge", x=0.09, y=0.08, w=0.76, h=0.72))


def _reference(sheet: Worksheet, at: tuple[int, int, int]) -> str:
    letter = get_column_letter(at[0])
    return f"{quoted(sheet.title)}!${letter}${at[1]}:${letter}${at[2]}"


def _series(sheet: Worksheet, curve: Curve) -> Series:
    columns = [Reference(sheet, min_col=at[0], min_row=at[1], max_row=at[2]) for at in (curve.x, curve.y)]
    series = Series(columns[1], columns[0], title=None if "$" in curve.name else curve.name)
    if "$" in curve.name:
        series.tx = SeriesLabel(strRef=StrRef(f"{quoted(sheet.title)}!{curve.name}"))
    shade, dash, width = STYLES[curve.style]
    if curve.marks:
        series.graphicalProperties = GraphicalProperties(ln=LineProperties(noFill=True))
        series.marker.symbol = {"first": "circle", "second": "diamond"}.get(curve.style, "square")
        series.marker.size = 7
        series.marker.graphicalProperties = GraphicalProperties(solidFill=shade, ln=LineProperties(solidFill=shade))
    else:
        series.graphicalProperties = GraphicalProperties(ln=LineProperties(solidFill=shade, prstDash=dash, w=width))
        series.marker.symbol = "none"
    series.smooth = False
    if curve.label:
        series.dLbls = _label(curve)
    return series


def _label(curve: Curve) -> DataLabelList:
    """The name of a line beside one of its points."""
    side, point = PLACES[curve.label]
    points = curve.y[2] - curve.y[1] + 1
    label = DataLabel(idx=point % points, dLblPos=side, showSerName=True)
    label.txPr = _text(800)
    every = DataLabelList(dLbl=[label])
    for made in (label, every):
        made.showVal = made.showCatName = made.showLegendKey = made.showPercent = False
    every.showSerName = False
    return every


def _text(size: int) -> RichText:
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=_letters(size)), endParaRPr=_letters(size))])


def _letters(size: int) -> CharacterProperties:
    return CharacterProperties(latin=Font(typeface=FACE), sz=size, b=False)
