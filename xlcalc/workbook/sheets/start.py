"""Start: the job, the air, what the lines say so far, and every limit that the checks use, once."""

from collections.abc import Mapping, Sequence

from openpyxl import Workbook
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.style import BOXED, PLAIN, QUIET, TITLE, Look, Painter, page
from xlcalc.workbook.landmarks import CHANGED, OWN, SOURCE, WORDS
from xlcalc.workbook.sheets.printed import lines_of
from xlcalc.workbook.sheets.start_air import air_and_fuel
from xlcalc.workbook.sheets.start_cells import BESIDE, NAME, WIDTHS, Field, band, define, validate
from xlcalc.workbook.sheets.start_counts import other_sheets, what_next
from xlcalc.workbook.sheets.start_limits import limits_block

NOTE = Look(9, wrap=True, up="top")
JOB = (
    Field("JobNumber", "Job number", "", "As the shop counts its jobs.", format="@"),
    Field("Revision", "Revision", "", "Letter of this revision, e.g. A.", format="@"),
    Field("Vehicle", "Vehicle, in words", "", "What it is, its plate or frame number, what it is for."),
    Field("JobDate", "Date", "", "Date of this revision.", format="d mmm yyyy"),
    Field("PreparedBy", "Prepared by", "", "Who worked this out."),
    Field("Customer", "Customer", "", "Who it is for."),
    Field("FuelGrade", "Fuel and grade", "", "Ask: ethanol decides the hoses, vapour pressure the suction. Prints on Handover; the lines take their fluid from Lines."),
    Field("EnginePower", "Engine power", "kW", "Highest power: the fuel pump must keep up with it, see below.", (0, 2000)),
    Field("Displacement", "Engine displacement", "L", "For the blow-by.", (0, 50)),
    Field("HighestSpeed", "Highest engine speed", "rev/min", "For the blow-by.", (0, 20000)),
    Field("WorkshopAltitude", "Workshop altitude", "m", "Above sea level, where it is tested.", (-400, 5000)),
    Field(
        "RoadAltitude", "Highest road", "m", "Above sea level: thin air boils fuel and weakens the servo.", (-400, 5000)
    ),
    Field("ColdestStart", "Coldest start", "°C", "Coldest temperature at which it must start and steer.", (-60, 50)),
    Field("HottestAir", "Hottest air", "°C", "Hottest day it must stand: no line is cooler then.", (-20, 60)),
    Field("Currency", "Currency", "", "As it prints on the quote."),
    Field("TaxName", "Tax name", "", "As it prints on the quote."),
    Field("TaxNumber", "Tax number", "", "As it prints on the quote.", format="@"),
    Field("TaxRate", "Tax", "%", "Type 20 for 20 %.", (0, 100)),
    Field("Margin", "Margin", "%", "Share of the price, not of the cost. Type 30 for 30 %.", (0, 99)),
    Field("LabourRate", "Labour rate", "per hour", "In the currency above.", (0, 1e6)),
    Field("PriceListDate", "Price list date", "", "Date of the suppliers' prices.", format="d mmm yyyy"),
    Field("ValidDays", "Quote valid", "days", "How long the prices hold.", (0, 365)),
)
WARNING = (
    "Steering, fuel and brake assistance can kill: see the cautions below. Hydraulic brake lines are out of scope."
)
CAUTIONS = (
    "Steering, fuel and brake assistance can kill. Local rules and licensed practice decide; the part maker's figure "
    "goes before any figure here.",
    "Hydraulic brake lines are out of scope: no line of this workbook may carry brake fluid under pressure.",
    "Aviation, marine and truck rules stand here as engineering defaults for a car workshop, not as law for it.",
    "Figures marked M are from memory and P from practice: put the maker's own over them before they decide a job. "
    "Which liner suits which fluid is from memory throughout: the hose maker's list goes first.",
    "Prove a finished line with liquid, shielded; never under a pressure that its weakest part does not allow.",
)
HELP = (
    "A cell takes a number in the unit of its header, or text with a unit: 6 US gpm, 3/8 in, 150 psi, -20 degF.",
    "A Check says what to change with both numbers. Open the fold at the top (+) to see every reason by itself.",
    "After a change save the file and run: xlcalc recalc FILE.xlsx. Ask how a cell was worked out with: "
    "xlcalc explain FILE.xlsx Lines!B8",
    "To have the cells worked out while you type: xlcalc setup calc, or xlcalc setup excel; xlcalc doctor says what stands in the "
    "way. Look for faults before a quote goes out: xlcalc audit FILE.xlsx",
    "Without xlcalc the workbook shows the values as last calculated; a cell whose inputs change turns to #NAME?.",
    "Excel may show an @ before a function of xlcalc: it changes nothing. This workbook was opened in LibreOffice Calc "
    "and worked out by xlcalc recalc; it was not run in Excel.",
)


def add(book: Workbook, painter: Painter, job: Job, said: Mapping[str, Mapping[str, str]]) -> None:
    """Write the sheet; `said` maps each sheet of the job to what it says: word -> formula."""
    counts = said["Lines"]
    sheet = book.create_sheet(NAME, 0)
    for place, width in enumerate(WIDTHS, start=1):
        sheet.column_dimensions["ABCDEFGH"[place - 1]].width = width
    painter.put(sheet, 1, 1, "The job, what is left to do, and every limit that the checks use", TITLE)
    invented = '&"   (an invented job, to show how it works)"' if job.invented else ""
    named = 'IF(JobNumber="","Job number: fill it in below","Job "&JobNumber&"   revision "&Revision)'
    painter.put(sheet, 2, 1, f"={named}{invented}", PLAIN)
    painter.put(sheet, 3, 1, WARNING, QUIET)
    row = what_next(book, sheet, painter, 5, counts)
    row = other_sheets(book, sheet, painter, row + 1, {name: each for name, each in said.items() if name != "Lines"})
    row = _job(book, sheet, painter, row + 1, job)
    row = air_and_fuel(book, sheet, painter, row + 1, counts)
    sheet.row_breaks.append(Break(id=row))
    row = _legend(sheet, painter, row + 1)
    row = _texts(sheet, painter, row, "", HELP)
    row = _texts(sheet, painter, row + 1, "Cautions", CAUTIONS)
    limits_block(book, sheet, painter, row + 1, job)
    sheet.freeze_panes = "A3"
    sheet.column_dimensions.group("I", "K", hidden=True)
    page(sheet, landscape=False, titles="1:2", scale=70)
    sheet.print_area = f"A1:H{sheet.max_row}"


def _legend(sheet: Worksheet, painter: Painter, row: int) -> int:
    """The kinds of cell, shown and said."""
    band(sheet, painter, row, "How to use this workbook")
    kinds = (
        ("to fill in", BOXED._replace(open=False), "Yours: the message beside the cell says what goes in and in which unit; a list stops a wrong word."),
        ("worked out, or from a table", Look(9, edge="line"), "Not to be typed over. A figure of your own goes into a row of your own, or over a default below."),
    )  # fmt: skip
    for words, look, meaning in kinds:
        row += 1
        painter.put(sheet, row, WORDS, words, look)
        painter.put(sheet, row, OWN, meaning, PLAIN)
    return row


def _job(book: Workbook, sheet: Worksheet, painter: Painter, row: int, job: Job) -> int:
    band(sheet, painter, row, "The job")
    for field in JOB:
        row += 1
        painter.put(sheet, row, WORDS, field.words, PLAIN)
        look = BOXED._replace(format=field.format, across="right" if field.span else "left")
        painter.put(sheet, row, OWN, job.start.get(field.name), look)
        if not field.unit and field.format in ("General", "@"):
            for place in range(OWN + 1, CHANGED):
                painter.put(sheet, row, place, None, look)
            sheet.merge_cells(start_row=row, start_column=OWN, end_row=row, end_column=SOURCE)
        if field.unit:
            painter.put(sheet, row, BESIDE, field.unit, QUIET._replace(indent=1, across="left"))
        validate(sheet, f"C{row}", field)
        define(book, field.name, OWN, row)
    return row + 1


def _texts(sheet: Worksheet, painter: Painter, row: int, head: str, texts: Sequence[str]) -> int:
    """Sentences across the page; answers the next free row."""
    if head:
        band(sheet, painter, row, head)
    width = sum(WIDTHS)
    for text in texts:
        row += 1
        painter.put(sheet, row, WORDS, text, NOTE)
        sheet.merge_cells(start_row=row, start_column=WORDS, end_row=row, end_column=CHANGED)
        sheet.row_dimensions[row].height = 2 + 11.7 * lines_of(text, width)
    return row + 1
