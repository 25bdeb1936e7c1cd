"""The chart of Lines: what the lines that lose most in the cold lose, cold and hot."""

from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.charts import NOT_DRAWN, Axis, Curve, Figures, dots
from xlcalc.workbook.building.checks import folded
from xlcalc.workbook.building.rows import RowSheet
from xlcalc.workbook.building.style import DECIDES, Painter

MOST = 12  # lines in the chart
LEAST_DRAWN = 0.1  # kPa
RANK = folded(
    "rank", "Drop cold, told apart", "kPa", "=IFERROR(IF({dropcold}>0,{dropcold}+ROW()*1E-9,-1),-1)", "Chart"
)  # no two lines alike, no error and no text among them


def add_chart(sheet: Worksheet, painter: Painter, made: RowSheet, count: int, row: int) -> None:
    """Write the chart and its sentence from a row down."""
    area = {key: made.area(key, count, sheet=False) for key in ("line", "rank", "drophot", "dropcold")}
    at = Figures(sheet, painter, row, made.places["rank"])
    ranks = [f"=IFERROR(LARGE({area['rank']},{place}),-1)" for place in range(1, MOST + 1)]
    at.column(0, "Largest", ranks)
    placed = [f"=IF({cell}>0,MATCH({cell},{area['rank']},0),0)" for cell in at.cells(0, MOST)]
    at.column(1, "Place", placed)
    where = at.cells(1, MOST)
    names = at.column(2, "Line", [f'=IF({cell}=0,"",INDEX({area["line"]},{cell}))' for cell in where])
    drawn = {
        key: at.column(place, head, [f"=IF({cell}=0,{NOT_DRAWN},IFERROR(MAX(INDEX({area[key]},{cell}),{NOT_DRAWN}),"
                                     f"{NOT_DRAWN}))" for cell in where])
        for place, key, head in ((3, "dropcold", "Cold, kPa"), (4, "drophot", "Hot, kPa"))
    }  # fmt: skip
    first, cold, hot = at.address(names), at.address(drawn["dropcold"]), at.address(drawn["drophot"])
    sentence = (f'=IF({first}="","",{first}&" loses most when cold: "&FIXED({cold},IF({cold}<10,1,0),TRUE)&" kPa, "&'
                f'FIXED({hot},IF({hot}<10,1,0),TRUE)&" kPa when hot")')  # fmt: skip
    painter.put(sheet, row, 1, sentence, DECIDES)
    words = Axis(f"lines that lose most when cold, at most {MOST}"), Axis("drop, kPa", log=True, low=LEAST_DRAWN)
    dots(sheet, f"A{row + 1}", *words, names, [
        Curve("cold", names, drawn["dropcold"], "first", "", marks=True),
        Curve("hot", names, drawn["drophot"], "second", "", marks=True),
    ])  # fmt: skip
