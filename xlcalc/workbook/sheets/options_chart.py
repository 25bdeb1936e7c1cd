"""The chart of Options: pressure drop against flow for the options of one line, cold and hot, with the drop allowed."""

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.blocks import Placed, two_lines
from xlcalc.workbook.building.charts import Axis, Curve, Figures, choice, draw
from xlcalc.workbook.building.style import DECIDES, Painter

POINTS = 9
LETTERS = "ABC"
SHADES = ("first", "solid second", "solid third"), ("faint first", "faint second", "faint third")  # cold, hot
LAST = "downto"  # the last column of the sheet of paper that the chart stands on
SIZE_CM = 21.0, 7.4
ROWS_OF_CHART = 17  # that it takes, with its sentence
FLOOR = 0.1  # kPa: what the axis, which has no zero, still shows


class _Options:
    """Cells of the chart: one row a letter."""

    def __init__(self, at: Figures, placed: Placed, shown: str) -> None:
        self._at, self._placed = at, placed
        first = f"INDEX({self._area('line')},2)"
        self.line = at.put(0, "Line", f'=IF({shown}="",IF({first}="","",{first}),{shown})')
        rows = self._column(1, "Row of the letter", [f'=IF({self.line}="",0,IFERROR(MATCH({self.line}&" {letter}",{self._area("key")},0),0))'
                                                     for letter in LETTERS])  # fmt: skip
        self.found = self._column(2, "Row, where it has an answer", [  # and 0 where there is none: a gas, a hose not in its table
            f'=IF({row}=0,0,IF(ISNUMBER({self._of("dropcold", row)}+{self._of("allowed", row)}),{row},0))' for row in rows])  # fmt: skip
        a, b, c = self.found
        self.any_row = at.put(3, "First of them", f"=IF({a}>0,{a},IF({b}>0,{b},{c}))")
        self.rows = self._column(4, "Row, or the first", [f"=IF({cell}=0,{self.any_row},{cell})" for cell in self.found])
        self.drawn = f"({self.any_row}>0)"

    def _area(self, key: str) -> str:
        return self._placed.made.area(key, self._placed.count, sheet=False)

    def _of(self, key: str, row: str) -> str:
        return f"INDEX({self._area(key)},{row})"

    def _column(self, place: int, head: str, formulas: list[str]) -> list[str]:
        self._at.column(place, head, formulas)
        return self._at.cells(place, len(formulas))

    def common(self, place: int, key: str, head: str) -> str:
        """A cell of the line."""
        return self._at.put(place, head, f'=IF({self.drawn},{self._of(key, self.any_row)},"")')

    def each(self, place: int, key: str, head: str) -> list[str]:
        """A cell of each option; an option that is not there repeats the first, so that no curve is without points."""
        return self._column(place, head, [f'=IF({self.drawn},{self._of(key, row)},"")' for row in self.rows])

    def labels(self, place: int, head: str, names: list[str]) -> list[str]:
        """Words of each option; a space where it is not there."""
        return self._column(place, head, [f'=IF(OR({row}=0,{self.any_row}=0)," ",{name})' for row, name in zip(self.found, names, strict=True)])


def chart(sheet: Worksheet, painter: Painter, placed: Placed, row: int) -> int:
    """Write the choice, the sentence that answers it, the figures and the chart; answers its last row."""
    made = placed.made
    shown = choice(sheet, painter, row - 1, "Line shown", "LineList", "Which line the chart shows. Blank: that of the first row.",
                   column=made.frozen + 1)  # past the columns that both sheets of paper repeat
    at = Figures(sheet, painter, row, 1 + sum(not column.folded for column in made.columns))
    options = _Options(at, placed, shown)
    flow, length, fluid, cold, hot, loss, rise = (
        options.common(5 + place, key, head)
        for place, (key, head) in enumerate((("flown", "Flow"), ("lengthn", "Length"), ("fw", "Fluid words"), ("coldn", "Coldest"),
                                             ("hottestn", "Hottest"), ("kloss", "Fittings"), ("risen", "Rise")))
    )  # fmt: skip
    hoses, bores, limits = (options.each(12 + place, key, head) for place, (key, head) in enumerate(
        (("hose", "Hose"), ("bore", "Bore"), ("allowed", "Drop at most"))))  # fmt: skip
    names = options.labels(15, "At the end of the cold curve", hoses)
    hots = options.labels(16, "At the end of the hot curve", ['"hot"'] * len(LETTERS))
    marks = [f'IF(COUNTIF({limits[0]}:{cell},{cell})>1," ","at most "&FIXED({cell},0,TRUE))' for cell in limits]
    marks = options.labels(17, "Limit in words", marks)
    last = made.places[LAST]
    two_lines(sheet, painter, row, (made.frozen + 1, last), _sentence(options, at, names), DECIDES)
    flows = at.column(27, "Flow, L/min", [f'=IF({options.drawn},{flow}*{n}/{POINTS},"")' for n in range(1, POINTS + 1)])
    ends = at.column(28, "Ends, L/min", [f'=IF({options.drawn},{flow}*{share},"")' for share in ("0.06", "0.3", "0.55", "1")])
    curves = []
    for place in range(len(LETTERS)):
        for warm, (temperature, labels) in enumerate(((cold, names), (hot, hots))):
            drops = at.column(29 + 2 * place + warm, f"Drop {LETTERS[place]} {('cold', 'hot')[warm]}, kPa", [
                f'=IF({options.drawn},MAX({FLOOR},LINE_PRESSURE_DROP({x},{bores[place]},{length},{fluid},{temperature},{loss},{rise})),"")'
                for x in at.cells(27, POINTS)
            ])  # fmt: skip
            curves.append(Curve(labels[place], flows, drops, SHADES[warm][place]))
        most = at.column(35 + place, f"Limit {LETTERS[place]}, kPa", [f"={limits[place]}"] * 4)
        curves.append(Curve(marks[place], ends, most, "limit", label=("first", "over second", "over third")[place]))
    draw(sheet, f"{get_column_letter(made.frozen + 1)}{row + 1}", Axis("flow, L/min", low=0), Axis("drop, kPa (solid cold, dashed hot)", log=True),
         curves, size=SIZE_CM)  # fmt: skip
    sheet.print_area = f"A1:{get_column_letter(sum(not column.folded for column in made.columns))}{row + ROWS_OF_CHART}"
    return row + ROWS_OF_CHART


def _sentence(options: _Options, at: Figures, names: list[str]) -> str:
    """What each option passes cold, or drops cold against what it may: the answer of the chart in words."""
    limited = options.common(18, "limited", "Pump limited")
    passes, drops, most, picks = (options.each(19 + place, key, head) for place, (key, head) in enumerate(
        (("coldflow", "Passes cold"), ("dropcold", "Drop cold"), ("allowed", "Drop at most"), ("pick", "Pick"))))  # fmt: skip
    coldest = options.common(23, "coldw", "Coldest in words")
    pieces = options.labels(24, "In words", [
        f'"; "&{name}&IFERROR(IF({limited}," passes "&FIXED({flow},1,TRUE)&" L/min"," drops "&FIXED({drop},0,TRUE)&" of "'
        f'&FIXED({limit},0,TRUE)&" kPa")," is without an answer")&IF({pick}="yes"," (picked)","")'
        for name, flow, drop, limit, pick in zip(names, passes, drops, most, picks, strict=True)
    ])  # fmt: skip
    said = at.put(25, "All in words", f'=IF({options.drawn},MID(TRIM({"&".join(pieces)}),3,300),"")')
    digits = "IF(ROUND(GearboxColdFlow,1)=GearboxColdFlow,1,2)"
    tail = f'IF({limited},"; at least "&FIXED(GearboxColdFlow,{digits},TRUE)&" L/min","")'
    return (f'=IF({options.drawn},{options.line}&IF({limited}," alone at "," at ")&{coldest}&": "&{said}&{tail},'
            '"Drop against flow: pick a line that has options and carries a liquid")')  # fmt: skip
