"""Cooling: oil that stays below its limit, a fan that comes on in time and stops again, a cable that bears the fan."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.functions.cooling import LIFE_FROM, LIFE_TO
from xlcalc.workbook.building.blocks import Placed, Table, add_tables, aligned, below_tables, title_notes
from xlcalc.workbook.building.charts import Axis, Curve, Figures, choice, draw
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import name_areas, name_list
from xlcalc.workbook.building.style import DECIDES, Painter
from xlcalc.workbook.sheets.cooling_circuits import CIRCUITS, COOLERS
from xlcalc.workbook.sheets.cooling_fans import ELECTRICS, FANS

NAME = CIRCUITS.name
CAUTIONS = (
    "Never hold full lock for more than 5 s. Hot oil burns and burning oil kills: keep hoses and cooler clear of exhaust and "
    "sparks. The maker's limits go first.",
    "A catalogue figure is for its own flow and air speed: behind a grille a cooler gives less, measure it. "
    "Fuse the cable at the battery: an unfused short burns the car.",
)
SWITCH_ROWS = 37  # points, three lines: a Check says where a switch is on, what it reads then, where it is off

TABLES = aligned(
    Table(CIRCUITS, "circuits", 6, 2), Table(FANS, "fans", 3, 2), Table(ELECTRICS, "electrics", 3, 2),
    Table(COOLERS, "coolers", 3, 2),
)  # fmt: skip
OF_CIRCUITS = (
    ("CircuitNames", "circuit"), ("CircuitMemory", "memory"), ("CircuitReady", "ready"), ("CircuitKinds", "kind"),
    ("CircuitFlows", "flown"), ("CircuitFluidWords", "fw"), ("CircuitAirs", "airn"), ("CircuitLimits", "limit"),
    ("CircuitPerDegree", "per"), ("CircuitOilIn", "oilplain"), ("CircuitBack", "back"),
)  # fmt: skip
OF_FANS = (
    ("FanCircuits", "circuit"), ("FanChecks", "check"), ("FanSenders", "sender"), ("FanOn", "onn"), ("FanOff", "offn"),
)  # fmt: skip
OF_COOLERS = (("CoolerNames", "circuit"), ("CoolerTransfers", "ua"), ("CoolerPerDegree", "per"))
POINTS = 9  # of the curves of the readings
SIZE_CM, ROWS_OF_CHART = (16.0, 7.0), 16  # of the two charts: one on each of the two sheets of paper, below the tables
LIFE_STEP = 5  # K between the points of the oil life
HALF = "rise"  # the last column of the first of two sheets of paper


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet and its names; returns what Start says of it."""
    says = "Cool oil, a fan in time, a cable that bears it?"
    hint = "Type the first circuit below, e.g. gearbox, then fill its row to the right."
    sheet, found, said = add_tables(book, painter, job, says, TABLES, hint=hint, split=HALF)
    circuits, fans, electrics, coolers = found
    for table, names in ((circuits, OF_CIRCUITS), (fans, OF_FANS), (coolers, OF_COOLERS)):
        name_areas(book, table.made, names, table.count)
    name_list(book, circuits.made, "CircuitList", "circuit", circuits.count)
    name_list(book, fans.made, "FanList", "circuit", fans.count)
    for row in range(fans.made.first_row, fans.last_row):
        sheet.row_dimensions[row].height = SWITCH_ROWS
    sheet.row_breaks.append(Break(id=electrics.made.top - 3))
    title_notes(sheet, painter, CAUTIONS)
    first = coolers.last_row + 2
    last = _charts(sheet, painter, found, first)
    below_tables(sheet, first, last)
    sheet.print_area = f"A1:{circuits.made.letter('others')}{last}"
    return said


def _charts(sheet: Worksheet, painter: Painter, found: list[Placed], row: int) -> int:
    """Two charts, each under its choice and its sentence: what the sender reads, and what heat does to oil.

    The second stands past the first half of the columns, on the other sheet of paper. Answers the last row.
    """
    circuits, fans = found[0], found[1]
    places = {column.key: place for place, column in enumerate(circuits.made.columns, start=1)}
    left, right = circuits.made.frozen + 1, places[HALF] + 1  # past the columns that both sheets of paper repeat
    fan = choice(sheet, painter, row, "Fan shown", "FanList", "Whose sender the chart shows. Blank: the first row.", column=left)
    oil = choice(sheet, painter, row, "Oil shown", "CircuitList", "Which gearbox the chart shows. Blank: the first row.", column=right)
    column = 1 + sum(not each.folded for each in circuits.made.columns)
    _readings(sheet, painter, fans, Figures(sheet, painter, row + 1, column), (row + 1, left), fan)
    _life(sheet, painter, circuits, Figures(sheet, painter, row + 1, column + 22), (row + 1, right), oil)
    return row + 1 + ROWS_OF_CHART


def _below(where: tuple[int, int]) -> str:
    """The cell below another one."""
    return f"{get_column_letter(where[1])}{where[0] + 1}"


def _readings(
    sheet: Worksheet, painter: Painter, fans: Placed, at: Figures, where: tuple[int, int], shown: str
) -> None:
    """What a sender reads with the fan on and off against the oil to the cooler, with the switch's points."""
    place = at.put(0, "Place", f'=IF({shown}="",2,IFERROR(MATCH({shown},FanCircuits,0),0))')

    def of(key: str) -> str:
        return f"INDEX({fans.made.area(key, fans.count, sheet=False)},{place})"

    ready = at.put(1, "Ready", f"=IF({place}=0,FALSE,{of('ready')})")
    keys = ("flown", "fw", "airn", "limit", "pern", "peroff", "onn", "offn", "targetn", "hotline", "targetoff", "targeton")
    cell = {key: at.put(2 + n, key, f'=IF({ready},{of(key)},"")') for n, key in enumerate(keys)}
    sentence = (f'=IF({ready},INDEX(FanCircuits,{place})&": at "&FIXED({cell["targetn"]},0,TRUE)&" °C in the sump the sender reads "&'
                f'FIXED({cell["targetoff"]},0,TRUE)&" with the fan off, "&FIXED({cell["targeton"]},0,TRUE)&" with it on",'
                '"What the sender reads: pick a fan whose row is filled in")')  # fmt: skip
    painter.put(sheet, *where, sentence, DECIDES)
    low, high = cell["airn"], cell["limit"]
    warm = at.column(14, "Oil to the cooler, °C", [f'=IF({ready},{low}+({high}-{low})*{n}/{POINTS - 1},"")' for n in range(POINTS)])
    curves = []
    for place_of, head, per in ((15, "fan off", cell["peroff"]), (16, "fan on", cell["pern"])):
        cells = [
            f'=IF({ready},IF(OR({cell["hotline"]},{per}=0),{x},COOLER_OIL_OUT({cell["flown"]},{cell["fw"]},{x},{low},{per})),"")'
            for x in at.cells(14, POINTS)
        ]
        style = "second" if head == "fan off" else "first"
        curves.append(Curve(head, warm, at.column(place_of, f"Reads, {head}, °C", cells), style))
    ends = at.column(17, "Ends, °C", [f'=IF({ready},{low}+({high}-{low})/8,"")', f"={high}"])
    for place_of, head in ((18, "on"), (19, "off")):
        point = cell[f"{head}n"]
        words = at.put(place_of + 2, f"Words, {head}", f'=IF({ready},"{head} "&ROUND({point},1)&" °C","")')
        curves.append(Curve(words, ends, at.column(place_of, f"{head}, °C", [f"={point}", f"={point}"]), "limit", label="first" if head == "on" else "under"))
    draw(sheet, _below(where), Axis("oil to the cooler, °C"), Axis("sender reads, °C"), curves, SIZE_CM)


def _life(
    sheet: Worksheet, painter: Painter, circuits: Placed, at: Figures, where: tuple[int, int], shown: str
) -> None:
    """How far gearbox oil lasts by its temperature, an old rule of thumb, with one gearbox and the sump's limit."""
    place = at.put(0, "Place", f'=IF({shown}="",2,IFERROR(MATCH({shown},CircuitNames,0),0))')

    def of(key: str) -> str:
        return f"INDEX({circuits.made.area(key, circuits.count, sheet=False)},{place})"

    oil = at.put(1, "Oil to the cooler, °C", f'=IF({place}=0,"",IF({of("kind")}="gearbox",IFERROR({of("oilin")},""),""))')
    known = at.put(2, "Within the rule", f"=IF(ISNUMBER({oil}),AND({oil}>={LIFE_FROM:g},{oil}<={LIFE_TO:g}),FALSE)")
    steps = range(int(LIFE_FROM), int(LIFE_TO) + 1, LIFE_STEP)
    warm = at.column(3, "Oil, °C", [f"={degrees}" for degrees in steps])
    life = at.column(4, "Life, 1000 km", [f"=GEARBOX_OIL_LIFE({x})/1000" for x in at.cells(3, len(steps))])
    longest, shortest = at.cells(4, len(steps))[0], at.cells(4, len(steps))[-1]
    spot = at.column(5, "Oil shown, °C", [f"=IF({known},{oil},MAX({LIFE_FROM:g},MIN({LIFE_TO:g},Sump)))"])
    lasts = at.column(6, "It lasts, 1000 km", [f"=GEARBOX_OIL_LIFE({at.address(spot)})/1000"])
    words = at.put(7, "Words", f'=IF({known},"oil at "&FIXED({oil},0,TRUE)&" °C"," ")')
    limit = at.put(8, "Words of the limit", '="limit "&Sump&" °C"')
    upright = at.column(9, "Limit, °C", ["=Sump", "=Sump"])
    ends = at.column(10, "Ends, 1000 km", [f"={shortest}", f"={longest}"])
    rule = "(common practice, no check)"
    sentence = (f'=IF({known},INDEX(CircuitNames,{place})&": oil at "&FIXED({oil},0,TRUE)&" °C lasts about "&FIXED({at.address(lasts)},0,TRUE)&'
                f'" 000 km {rule}","What heat does to gearbox oil {rule}")')  # fmt: skip
    painter.put(sheet, *where, sentence, DECIDES)
    draw(sheet, _below(where), Axis("oil, °C", low=LIFE_FROM - 10, high=LIFE_TO + 10),
         Axis("oil life, 1000 km", log=True, low=1, high=1000), [
        Curve("oil life", warm, life, "first", label=""),
        Curve(limit, upright, ends, "limit"),
        Curve(words, spot, lasts, label="first", marks=True),
    ], SIZE_CM)  # fmt: skip
