"""Start: the job, the air, what the lines say so far, and every limit that the checks use, once."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.tables import raw_rows, sources
from xlcalc.workbook.job import Job
from xlcalc.workbook.style import BAND, BOXED, HEAD, PLAIN, QUIET, TITLE, VERDICT, Look, Painter, page, verdict_rules

NAME = "Start"
WORDS, DEFAULT, OWN, USED, UNIT, KIND, SOURCE, CHANGED = range(1, 9)
WIDTHS = (46, 13, 17, 13, 10, 11, 44, 12)
NOTE = Look(9, wrap=True, up="top")


class Field(NamedTuple):
    """One cell of the job block: name of the cell, words, unit, message, span, number format."""

    name: str
    words: str
    unit: str
    help: str
    span: tuple[float, float] | None = None
    format: str = "General"


JOB = (
    Field("JobNumber", "Job number", "", "As the shop counts its jobs.", format="@"),
    Field("Revision", "Revision", "", "Letter of this revision, e.g. A.", format="@"),
    Field("Vehicle", "Vehicle, in words", "", "Make no guesses: what is it, what is it for?"),
    Field("JobDate", "Date", "", "Date of this revision.", format="d mmm yyyy"),
    Field("PreparedBy", "Prepared by", "", "Who worked this out."),
    Field("Customer", "Customer", "", "Who it is for."),
    Field("FuelGrade", "Fuel and grade", "", "Ask: ethanol decides the hoses, vapour pressure the suction."),
    Field("EnginePower", "Engine power", "kW", "Highest power.", (0, 2000)),
    Field("Displacement", "Engine displacement", "L", "For the blow-by.", (0, 50)),
    Field("HighestSpeed", "Highest engine speed", "rev/min", "For the blow-by.", (0, 20000)),
    Field("WorkshopAltitude", "Workshop altitude", "m", "Above sea level, where it is tested.", (-400, 5000)),
    Field(
        "RoadAltitude", "Highest road", "m", "Above sea level: thin air boils fuel and weakens the servo.", (-400, 5000)
    ),
    Field("ColdestStart", "Coldest start", "°C", "Coldest temperature at which it must start and steer.", (-60, 50)),
    Field("HottestAir", "Hottest air", "°C", "Hottest day it must stand.", (-20, 60)),
    Field("Currency", "Currency", "", "As it prints on the quote."),
    Field("TaxName", "Tax name", "", "As it prints on the quote."),
    Field("TaxNumber", "Tax number", "", "As it prints on the quote.", format="@"),
    Field("TaxRate", "Tax", "%", "Type 20 for 20 %.", (0, 100)),
    Field("Margin", "Margin", "%", "Share of the price, not of the cost. Type 30 for 30 %.", (0, 99)),
    Field("LabourRate", "Labour rate", "per hour", "In the currency above.", (0, 1e6)),
    Field("PriceListDate", "Price list date", "", "Date of the suppliers' prices.", format="d mmm yyyy"),
    Field("ValidDays", "Quote valid", "days", "How long the prices hold.", (0, 365)),
)
VERDICTS = ("Change", "Cannot be worked out", "Not checked", "Near limit", "Within limits")
TALLIES = (
    ("Lines named", "named", "LinesNamed"),
    ("Lines named without a Check", "unchecked", "LinesUnchecked"),
    ("Checks that rest on memory", "memory", "LinesOnMemory"),
    ("Hose in all lines, m", "metres", "MetresOfHose"),
    ("Fluid in all lines, L", "litres", "LitresOfFluid"),
)
NEXT = (
    '=IF(LinesNamed=0,"Fill in the job below, then go to Lines and type the first line",IF(LinesNotChecked>0,'
    '"Fill in the rows of Lines marked Not checked",IF(LinesCannotBeWorkedOut>0,"See the rows of Lines marked Cannot '
    'be worked out",IF(LinesChange>0,"Mend the rows of Lines marked Change","Every line is within or near its limits"))))'
)
CAUTIONS = (
    "Steering, fuel and brake assistance can kill. Local rules and licensed practice decide; the part maker's figure "
    "goes before any figure here.",
    "Hydraulic brake lines are out of scope: no line of this workbook may carry brake fluid under pressure.",
    "Aviation, marine and truck rules stand here as engineering defaults for a car workshop, not as law for it.",
    "Figures marked M are from memory and P from practice: put the maker's own over them before they decide a job.",
    "Prove a finished line with liquid, shielded; never under a pressure that its weakest part does not allow.",
)
HELP = (
    "A boxed cell is yours to fill; hover over it and it says what goes in. A plain cell is worked out.",
    "A cell takes a number in the unit of its header, or text with a unit: 6 US gpm, 3/8 in, 150 psi, -20 degF.",
    "A Check says what to change with both numbers. Open the fold at the top (+) to see every reason by itself.",
    "After a change save the file and run: xlcalc recalc FILE.xlsx. Ask how a cell was worked out with: "
    "xlcalc explain FILE.xlsx Lines!B8",
    "Without xlcalc the workbook shows the values as last calculated; a cell whose inputs change turns to #NAME?.",
)


def add(book: Workbook, painter: Painter, job: Job, counts: Mapping[str, str]) -> None:
    """Write the sheet; `counts` maps what the Lines sheet says to formulas."""
    sheet = book.create_sheet(NAME, 0)
    for place, width in enumerate(WIDTHS, start=1):
        sheet.column_dimensions["ABCDEFGH"[place - 1]].width = width
    painter.put(sheet, 1, 1, "The job, and every limit that the checks use, once", TITLE)
    invented = "   (an invented job, to show how it works)" if job.invented else ""
    painter.put(sheet, 2, 1, f'="Job "&JobNumber&"   revision "&Revision&"{invented}"', PLAIN)
    row = _status(book, sheet, painter, 4, counts)
    row = _job(book, sheet, painter, row + 1, job)
    row = _air(book, sheet, painter, row + 1, counts)
    row = _limits(book, sheet, painter, row + 1, job)
    row = _texts(sheet, painter, row + 1, "Cautions", CAUTIONS)
    _texts(sheet, painter, row + 1, "How to use this workbook", HELP)
    sheet.freeze_panes = "A3"
    page(sheet, landscape=False, titles="1:2")


def define(book: Workbook, name: str, column: int, row: int) -> None:
    """Give a cell of this sheet a name."""
    book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!${'ABCDEFGH'[column - 1]}${row}")


def _status(book: Workbook, sheet: Worksheet, painter: Painter, row: int, counts: Mapping[str, str]) -> int:
    painter.put(sheet, row, WORDS, "What to do next", BAND)
    painter.put(sheet, row, OWN, NEXT, VERDICT._replace(bold=True, wrap=False))
    sheet.row_dimensions[row].height = 18
    painter.put(sheet, row + 1, WORDS, "xlcalc", PLAIN)
    status = '=IF(ISERROR(XLCALC_STATUS()),"not connected: values as last calculated",XLCALC_STATUS())'
    painter.put(sheet, row + 1, OWN, status, PLAIN)
    row += 2
    for word in VERDICTS:
        painter.put(sheet, row, WORDS, f"Lines: {word}", PLAIN)
        painter.put(sheet, row, OWN, counts[word], PLAIN._replace(format="0", across="left"))
        define(book, f"Lines{word.title().replace(' ', '')}", OWN, row)
        row += 1
    for words, key, name in TALLIES:
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, OWN, counts[key], PLAIN._replace(across="left"))
        define(book, name, OWN, row)
        row += 1
    return row


def _job(book: Workbook, sheet: Worksheet, painter: Painter, row: int, job: Job) -> int:
    painter.put(sheet, row, WORDS, "The job", BAND)
    for place in range(DEFAULT, CHANGED):
        painter.put(sheet, row, place, None, BAND)
    for field in JOB:
        row += 1
        painter.put(sheet, row, WORDS, field.words, PLAIN)
        look = BOXED._replace(format=field.format)
        painter.put(sheet, row, OWN, job.start.get(field.name), look)
        if not field.unit and field.format == "General":
            for place in range(OWN + 1, CHANGED):
                painter.put(sheet, row, place, None, look)
            sheet.merge_cells(start_row=row, start_column=OWN, end_row=row, end_column=SOURCE)
        painter.put(sheet, row, UNIT, field.unit or None, QUIET)
        _validate(sheet, f"C{row}", field)
        define(book, field.name, OWN, row)
    return row + 1


def _validate(sheet: Worksheet, cell: str, field: Field) -> None:
    if field.span:
        low, high = field.span
        rule = DataValidation(
            type="decimal", operator="between", formula1=f"{low:g}", formula2=f"{high:g}", allow_blank=True
        )
        rule.error = f"{field.words}: {low:g} to {high:g} {field.unit}, a number without its unit."
    elif field.format.startswith("d "):
        rule = DataValidation(type="date", operator="greaterThan", formula1="36526", allow_blank=True)
        rule.error = f"{field.words}: a date."
    else:
        rule = DataValidation(type="textLength", operator="lessThan", formula1="200", allow_blank=True)
        rule.error = f"{field.words}: fewer than 200 letters."
    rule.showErrorMessage = rule.showInputMessage = True
    rule.promptTitle = rule.errorTitle = field.words[:32]
    rule.prompt = field.help
    sheet.add_data_validation(rule)
    rule.add(cell)


def _air(book: Workbook, sheet: Worksheet, painter: Painter, row: int, counts: Mapping[str, str]) -> int:
    painter.put(sheet, row, WORDS, "Air and cold", BAND)
    for place in range(DEFAULT, CHANGED):
        painter.put(sheet, row, place, None, BAND)
    number = PLAIN._replace(format="0.0", across="left")
    worked = (
        (
            "Air at the workshop",
            '=IF(WorkshopAltitude="","",AIR_PRESSURE_AT(WorkshopAltitude))',
            "kPa abs",
            "AirAtWorkshop",
        ),
        ("Air at the highest road", '=IF(RoadAltitude="","",AIR_PRESSURE_AT(RoadAltitude))', "kPa abs", "AirAtRoad"),
        ("Coldest that every fluid in use is known", counts["known"], "°C", "FluidsKnownDownTo"),
    )
    for words, formula, unit, name in worked:
        row += 1
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, OWN, formula, number)
        painter.put(sheet, row, UNIT, unit, QUIET)
        define(book, name, OWN, row)
    row += 1
    check = ('=IF(OR(FluidsKnownDownTo="",ColdestStart=""),"",IF(QUANTITY_IN(ColdestStart,"degC")<FluidsKnownDownTo,"Change: coldest start "&'
             'ColdestStart&" °C, a fluid in use is known down to "&FluidsKnownDownTo&" °C","Within limits"))')  # fmt: skip
    painter.put(sheet, row, WORDS, "Cold against the fluids' figures", PLAIN)
    painter.put(sheet, row, OWN, check, VERDICT._replace(wrap=False))
    verdict_rules(sheet, f"C{row}", f"$C{row}")
    return row + 1


def limit_name(limit: str) -> str:
    """`velocity-pressure` -> `VelocityPressure`: the named cell of a limit."""
    return "".join(word.capitalize() for word in limit.split("-"))


def _limits(book: Workbook, sheet: Worksheet, painter: Painter, row: int, job: Job) -> int:
    painter.put(sheet, row, WORDS, "Limits, used by every sheet: the shop's own figure or a local rule goes over a default here",
                BAND)  # fmt: skip
    row += 1
    heads = ("Limit", "Default", "The shop's own", "Used", "Unit", "", "Source and mark", "Last changed")
    for place, head in enumerate(heads, start=1):
        across = "right" if place in (DEFAULT, OWN, USED) else "left"
        painter.put(sheet, row, place, head, HEAD._replace(edge="under", across=across))
    group = ""
    limits = list(raw_rows("limits"))
    order = list(dict.fromkeys(limit["applies"] for limit in limits))
    for limit in sorted(limits, key=lambda each: order.index(each["applies"])):
        if limit["applies"] != group:
            group = limit["applies"]
            row += 1
            painter.put(sheet, row, WORDS, "Everywhere" if group == "all" else f"For {group}", Look(9, bold=True))
        row += 1
        _limit(book, sheet, painter, row, limit, job)
    row = _velocities(book, sheet, painter, row + 1)
    for name, words, formula in (("NearBelow", "At most: near from this share of it", "=1-NearShare/100"),
                                 ("NearAbove", "At least: near up to this multiple of it", "=1+NearShare/100")):  # fmt: skip
        row += 1
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, USED, formula, PLAIN._replace(across="right"))
        define(book, name, USED, row)
    return row + 1


def _limit(book: Workbook, sheet: Worksheet, painter: Painter, row: int, limit: Mapping[str, str], job: Job) -> None:
    number = Look(9, edge="line", across="right")
    name, unit = limit_name(limit["id"]), limit["unit"].replace("degC", "°C").replace("1", "")
    painter.put(sheet, row, WORDS, limit["words"], Look(9, edge="line", wrap=True))
    painter.put(sheet, row, DEFAULT, float(limit["value"]), number)
    own = BOXED._replace(across="right")
    painter.put(sheet, row, OWN, job.start.get(name), own)
    painter.put(sheet, row, USED, _used(row, limit["unit"]), number._replace(bold=True))
    painter.put(sheet, row, UNIT, unit or None, QUIET._replace(edge="line"))
    painter.put(sheet, row, KIND, limit["kind"], QUIET._replace(edge="line"))
    painter.put(sheet, row, SOURCE, _cited(limit), QUIET._replace(edge="line", wrap=True))
    painter.put(sheet, row, CHANGED, None, BOXED._replace(format="d mmm yyyy"))
    long = max(len(limit["words"]) / 46, len(_cited(limit)) / 50)
    sheet.row_dimensions[row].height = 13 if long <= 1 else 24 if long <= 2 else 35 if long <= 3 else 46
    define(book, name, USED, row)
    message = f"The shop's own figure or a local rule in {unit or 'the same unit'}; blank: the default holds."
    _validate(sheet, f"C{row}", Field(name, limit["words"][:60], unit, message, (0, 1e6)))


def _used(row: int, unit: str) -> str:
    """The shop's own figure where there is one; text is read with its unit, and what is no figure is an error."""
    return f'=IF(C{row}="",B{row},IF(ISNUMBER(C{row}),C{row},QUANTITY_IN(C{row},"{unit}")))'


def _cited(limit: Mapping[str, str]) -> str:
    """Source, place and mark of a default in one line."""
    if limit["source"] == "PRACTICE":
        text = "common practice (P)"
    elif limit["source"] == "MEM":
        text = "from memory (M)"
    else:
        source = sources()[limit["source"]]
        again = "" if source.reread else ", not re-read"
        place = f", {limit['place']}" if limit["place"] else ""
        text = f"{source.title}{place} ({limit['mark']}{again})"
    note = limit["note"].replace("not re-read; ", "").replace("; not re-read", "").replace("not re-read", "")
    return f"{text}: {note}" if note else text


def _velocities(book: Workbook, sheet: Worksheet, painter: Painter, row: int) -> int:
    """The velocity limit of each use, for the lines to look up."""
    painter.put(
        sheet, row, WORDS, "Velocity at most, by use (fuel: the smaller of its own and the use's)", Look(9, bold=True)
    )
    uses = ("pressure", "suction", "return", "coolant", "vent", "vacuum")
    for use in uses:
        row += 1
        painter.put(sheet, row, WORDS, use, PLAIN)
        formula = "" if use in ("vent", "vacuum") else f"=Velocity{use.capitalize()}"
        painter.put(sheet, row, USED, formula or "none", PLAIN._replace(across="right"))
    first, last = row - len(uses) + 1, row
    book.defined_names["UseNames"] = DefinedName("UseNames", attr_text=f"{NAME}!$A${first}:$A${last}")
    book.defined_names["UseVelocity"] = DefinedName("UseVelocity", attr_text=f"{NAME}!$D${first}:$D${last}")
    return row


def _texts(sheet: Worksheet, painter: Painter, row: int, head: str, texts: Sequence[str]) -> int:
    painter.put(sheet, row, WORDS, head, BAND)
    for text in texts:
        row += 1
        painter.put(sheet, row, WORDS, text, NOTE)
        sheet.merge_cells(start_row=row, start_column=WORDS, end_row=row, end_column=SOURCE)
        sheet.row_dimensions[row].height = 14 if len(text) < 140 else 26
    return row + 1
