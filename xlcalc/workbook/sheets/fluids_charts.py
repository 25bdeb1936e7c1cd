"""The charts of Fluids against temperature: viscosity of up to three, density of the first, vapour pressure of one that has any."""

from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.charts import CHART_ROWS, NOT_DRAWN, Axis, Curve, Figures, choice, draw
from xlcalc.workbook.building.rows import RowSheet
from xlcalc.workbook.building.style import DECIDES, Painter

Points = tuple[int, int, int]  # a column of cells: column, first row, last row
SHOWN = (("first", "ATF generic"), ("second", "engine oil 10W-40"), ("third", "coolant 50/50"))  # and what is chosen at first
STYLES = ("first", "second", "third")
LABELS = ("last", "beside", "below")  # oils meet when they are hot: the names of two stand towards the cold end
POINTS = 13  # of a curve, from the lowest to the highest temperature at which the fluid is known
COLUMNS = 10  # folded cells that one fluid takes
SMALL = (12.0, 7.6)
BELOW = CHART_ROWS - 2  # rows from the upper charts to the one below


def add_charts(sheet: Worksheet, painter: Painter, made: RowSheet, row: int, own: object = None) -> None:
    """Write the choices, the sentence and the charts from a row down; a fluid of the shop's own is shown last."""
    folded = made.places["why"]
    curves: list[tuple[str, Points, Points, Points, Points]] = []
    for place, (word, fluid) in enumerate(SHOWN):
        asked = f"Which fluid the charts show. Blank: {'the first row' if not place else 'none'}."
        cell = choice(sheet, painter, row + place, f"Fluid shown, {word}", "FluidList", asked, own if own and word == "third" else fluid)
        at = Figures(sheet, painter, row, folded + place * COLUMNS)
        curves.append(_fluid(at, cell, first=not place))
    at = Figures(sheet, painter, row, folded)
    cold = at.put(8, "Coldest start, °C", '=IF(ColdestStart="","",QUANTITY_IN(ColdestStart,"degC"))')
    thick = at.put(9, "mm²/s at it", f'=IF({cold}="","",IFERROR(FLUID_VISCOSITY({at.cells(1, 1)[0]},{cold}),"not known"))')
    said = f'IF(ISNUMBER({thick}),ROUND({thick},1)&" mm²/s",{thick})'
    sentence = f'=IF({cold}="","",{curves[0][0]}&": "&{said}&" at the coldest start of "&ROUND({cold},1)&" °C")'
    painter.put(sheet, row, made.frozen + 2, sentence, DECIDES)
    top = row + len(SHOWN)
    warm = Axis("temperature, °C")
    draw(sheet, f"A{top}", warm, Axis("viscosity, mm²/s (cSt)", log=True, low=0.1), [
        Curve(name, x, viscosity, style, label)
        for (name, x, viscosity, *_), style, label in zip(curves, STYLES, LABELS, strict=True)
    ])  # fmt: skip
    name, x, _, density, _ = curves[0]
    draw(sheet, f"G{top}", warm, Axis("density, kg/m³"), [Curve(name, x, density)], SMALL)
    at = Figures(sheet, painter, row, folded + len(SHOWN) * COLUMNS)
    draw(sheet, f"A{top + BELOW}", warm, Axis("vapour pressure, kPa abs", low=0), [_vapour(at, curves)], SMALL)


def _vapour(at: Figures, curves: list[tuple[str, Points, Points, Points, Points]]) -> Curve:
    """The vapour pressure of the first fluid shown that has any: oils have none."""
    most = [at.put(place, f"Most, {place + 1}", f"=MAX({at.span(curve[4])})") for place, curve in enumerate(curves)]
    pick = at.put(3, "Which", f"=IF({most[0]}>0,1,IF({most[1]}>0,2,IF({most[2]}>0,3,1)))")
    name = at.put(4, "Fluid", f"=CHOOSE({pick},{','.join(curve[0] for curve in curves)})")
    columns = [
        at.column(place, head, [f"=CHOOSE({pick},{','.join(cells)})" for cells in zip(*map(at.within, each), strict=True)])
        for place, head, each in ((5, "°C", [x for _, x, *_ in curves]), (6, "kPa", [vapour for *_, vapour in curves]))
    ]  # fmt: skip
    return Curve(name, columns[0], columns[1])


def _fluid(at: Figures, cell: str, *, first: bool) -> tuple[str, Points, Points, Points, Points]:
    """The figures of one fluid: its name's cell, temperatures, viscosity, density, vapour pressure."""
    name = at.put(0, "Fluid", f'=IF({cell}="",{"INDEX(FluidNames,2)&" if first else ""}"",{cell})')
    words = at.put(1, "Words", f'=IF({name}="","",INDEX(FluidWords,MATCH({name},FluidNames,0)))')
    cold = at.put(2, "From", f'=IF({name}="",0,INDEX(FluidKnown,MATCH({name},FluidNames,0)))')
    hot = at.put(3, "To", f'=IF({name}="",0,MAX({cold}+20,INDEX(FluidHottest,MATCH({name},FluidNames,0))))')
    x = at.column(4, "°C", [f"={cold}+({hot}-{cold})*{point}/{POINTS - 1}" for point in range(POINTS)])
    warm = at.cells(4, POINTS)

    def answers(place: int, head: str, function: str, missing: str) -> Points:
        asked = (f'=IF({name}="",{missing},IFERROR({function}({words},{degree}),{missing}))' for degree in warm)
        return at.column(place, head, list(asked))

    return (
        name,
        x,
        answers(5, "mm²/s", "FLUID_VISCOSITY", NOT_DRAWN),
        answers(6, "kg/m³", "FLUID_DENSITY", '""'),
        answers(7, "kPa", "FLUID_VAPOUR_PRESSURE", '""'),
    )
