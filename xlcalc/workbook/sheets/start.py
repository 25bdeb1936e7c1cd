"""Start: the job, the air, what the lines say so far, and every limit that the checks use, once."""

from collections.abc import Mapping, Sequence

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.blocks import PASSED_OVER, count_name
from xlcalc.workbook.job import Job
from xlcalc.workbook.sheets.printed import lines_of
from xlcalc.workbook.sheets.start_cells import (
    BESIDE,
    CHANGED,
    IN_WORDS,
    NAME,
    OWN,
    SOURCE,
    WIDTHS,
    WORDS,
    Field,
    band,
    define,
    validate,
)  # fmt: skip
from xlcalc.workbook.sheets.start_limits import limits_block
from xlcalc.workbook.style import (
    BOXED,
    FOLDED,
    HEAD,
    PLAIN,
    QUIET,
    TITLE,
    VERDICT,
    Look,
    Painter,
    page,
    quiet_rule,
    verdict_rules,
)  # fmt: skip

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
MEANINGS = (
    "Mend the lines marked Change: a limit is broken, the Check says what to change",
    "See the lines marked Cannot be worked out: a figure is missing or is not read, the Check names it",
    "Fill in the lines marked Not checked: the Check names the next cell",
    '="Look at the lines marked Near limit: within "&NearShare&" % of a limit (temperatures: "&NearTemperature&" K)"',
    "These lines break no limit that this workbook checks",
)  # of each verdict, and what to do about it
TALLIES = (
    ("Lines named", "named", "LinesNamed"),
    ("Lines named without a Check: fill the formulas down", "unchecked", "LinesUnchecked"),
    ("Lines without an answer yet", "pending", "LinesPending"),
    ("Checks that rest on memory", "memory", "LinesOnMemory"),
    ("Hose in all lines, m", "metres", "MetresOfHose"),
    ("Liquid in all lines, L", "litres", "LitresOfFluid"),
)
MEND = IN_WORDS + 2  # column of the rows that are to be mended: those marked Change, but for options passed over
BEFORE_PARTS = ("Options", "Breathers", "Vacuum", "Cooling", "Routes")  # what they say decides whether a quote may go out
UNCHECKED, MISSING = "fill the formulas down", "fill in the rows that are not checked"
CANNOT, CHANGE = "see the rows that cannot be worked out", "mend the rows marked Change"
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
    row = _status(book, sheet, painter, 5, counts)
    row = _sheets(book, sheet, painter, row + 1, {name: each for name, each in said.items() if name != "Lines"})
    row = _job(book, sheet, painter, row + 1, job)
    row = _air(book, sheet, painter, row + 1, counts)
    sheet.row_breaks.append(Break(id=row))
    row = _legend(sheet, painter, row + 1)
    row = _texts(sheet, painter, row, "", HELP)
    row = _texts(sheet, painter, row + 1, "Cautions", CAUTIONS)
    limits_block(book, sheet, painter, row + 1, job)
    sheet.freeze_panes = "A3"
    sheet.column_dimensions.group("I", "K", hidden=True)
    page(sheet, landscape=False, titles="1:2", scale=70)
    sheet.print_area = f"A1:H{sheet.max_row}"


def _status(book: Workbook, sheet: Worksheet, painter: Painter, row: int, counts: Mapping[str, str]) -> int:
    """What to do next, each verdict with its count and meaning, and sums over the lines."""
    top, row = row, row + 2
    band(sheet, painter, top, "What to do next")
    painter.put(sheet, top + 1, WORDS, "xlcalc", PLAIN)
    status = '=IF(ISERROR(XLCALC_STATUS()),"not connected: values as last calculated",SUBSTITUTE(XLCALC_STATUS(),"connected, ","as last calculated with "))'
    painter.put(sheet, top + 1, OWN, status, PLAIN)
    first, count = row, PLAIN._replace(format="0", across="left")
    for word, meaning in zip(VERDICTS, MEANINGS, strict=True):
        painter.put(sheet, row, WORDS, word, PLAIN)
        painter.put(sheet, row, OWN, counts[word], count)
        painter.put(sheet, row, BESIDE, meaning, PLAIN)
        define(book, f"Lines{word.title().replace(' ', '')}", OWN, row)
        row += 1
    verdict_rules(sheet, f"A{first}:A{row - 1}", f"$A{first}")
    define(book, "NextStep", OWN, top)
    painter.put(sheet, top, OWN, _next(first), VERDICT._replace(bold=True, wrap=False, edge="band"))
    for words, key, name in TALLIES:
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, OWN, counts[key], count)
        define(book, name, OWN, row)
        row += 1
    quiet_rule(sheet, f"C{first}:C{row - 1}", "LinesNamed=0")
    return row


def _sheets(
    book: Workbook, sheet: Worksheet, painter: Painter, row: int, said: Mapping[str, Mapping[str, str]]
) -> int:
    """How every other sheet stands: its verdicts counted, and what to do there."""
    band(sheet, painter, row, "The other sheets")
    row += 1
    heads = ("Sheet", "Change", "Cannot be worked out", "Not checked", "Near limit", "Within limits", "What to do there", "Rows")
    for place, head in enumerate(heads, start=1):
        look = HEAD._replace(edge="under", across="left" if place in (WORDS, SOURCE) else "right")
        painter.put(sheet, row, place, head, look._replace(indent=1 if place == SOURCE else 0))
    sheet.row_dimensions[row].height = 25
    count = Look(9, edge="line", across="right", format="0")
    first = row + 1
    for name, formulas in said.items():
        row += 1
        painter.put(sheet, row, WORDS, name, Look(9, edge="line"))
        for place, word in enumerate(VERDICTS, start=2):
            painter.put(sheet, row, place, formulas[word], count)
            define(book, count_name(name, word), place, row)
        painter.put(sheet, row, MEND, f"=$B{row}-({formulas.get(PASSED_OVER, '=0')[1:]})", FOLDED)
        painter.put(sheet, row, SOURCE, _there(row), Look(9, edge="line", indent=1, across="left"))
        painter.put(sheet, row, CHANGED, formulas["named"], count)
        define(book, count_name(name, "named"), CHANGED, row)
        area = f"{NAME}!$B${row}:$F${row}"
        book.defined_names[count_name(name, "counts")] = DefinedName(count_name(name, "counts"), attr_text=area)
        painter.put(sheet, row, IN_WORDS, _in_words(row), FOLDED)
        define(book, count_name(name, "words"), IN_WORDS, row)
        opened = f"=IF(OR($K{row}+SUM($C{row}:$D{row})>0,$H{row}>SUM($B{row}:$F{row})),1,0)"
        painter.put(sheet, row, IN_WORDS + 1, opened, FOLDED)
        quiet_rule(sheet, f"B{row}:H{row}", f"{count_name(name, 'named')}=0")
    for name, column in (("SheetsNamed", "A"), ("SheetsToDo", "G"), ("SheetsOpen", "J")):
        book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!${column}${first}:${column}${row}")
    ahead = first - 1 + sum(name in BEFORE_PARTS for name in said)  # from the heads down, so that it never is empty
    for name, span in (("SheetsAheadChange", "KK"), ("SheetsAheadOpen", "CD")):
        book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!${span[0]}${first - 1}:${span[1]}${ahead}")
    row += 1
    painter.put(sheet, row, WORDS, "Next among these", PLAIN)
    painter.put(sheet, row, OWN, _next_sheet(), PLAIN)
    define(book, "NextSheet", OWN, row)
    return row + 1


def _in_words(row: int) -> str:
    """The counts of a row in words, for the top of its sheet."""
    tally = '&"   '.join(f'{word} "&${letter}{row}' for word, letter in zip(VERDICTS, "BCDEF", strict=True))
    rest = f"$H{row}-SUM($B{row}:$F{row})"
    return f'="{tally}&IF({rest}=0,"","   without a Check "&({rest}))'


def _there(row: int) -> str:
    """What to do on the sheet whose counts stand in a row."""
    change, cannot, missing, near = (f"${letter}{row}" for letter in "KCDE")
    words = f'IF({near}>0,"look at the rows near their limit","nothing to mend")'
    for count, do in ((change, CHANGE), (cannot, CANNOT), (missing, MISSING)):
        words = f'IF({count}>0,"{do}",{words})'
    return f'=IF($H{row}=0,"",IF($H{row}>SUM($B{row}:$F{row}),"{UNCHECKED}",{words}))'


def _next(first: int) -> str:
    """What to do next: the meaning of the most urgent verdict of Lines, then the first other sheet with something to do."""
    change, cannot, missing = (f"$D${first + place}" for place in range(3))
    return (
        '=IF(LinesNamed=0,"Fill in the job below, then go to Lines and type the first line",IF(LinesUnchecked>0,'
        f'"Fill the formulas of Lines down",IF(LinesNotChecked>0,{missing},IF(LinesCannotBeWorkedOut>0,{cannot},'
        f"IF(LinesChange>0,{change},NextSheet)))))"
    )


def _next_sheet() -> str:
    """The first sheet besides Lines with something to do, and what."""
    place = "MATCH(1,SheetsOpen,0)"
    words = f'"Go to "&INDEX(SheetsNamed,{place})&": "&INDEX(SheetsToDo,{place})'
    every = '"Every row of the workbook is within or near its limits"'
    return f'=IF(LinesNamed=0,"",IF(SUM(SheetsOpen)=0,{every},{words}))'


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
        if not field.unit and field.format == "General":
            for place in range(OWN + 1, CHANGED):
                painter.put(sheet, row, place, None, look)
            sheet.merge_cells(start_row=row, start_column=OWN, end_row=row, end_column=SOURCE)
        if field.unit:
            painter.put(sheet, row, BESIDE, field.unit, QUIET._replace(indent=1, across="left"))
        validate(sheet, f"C{row}", field)
        define(book, field.name, OWN, row)
    return row + 1


def _air(book: Workbook, sheet: Worksheet, painter: Painter, row: int, counts: Mapping[str, str]) -> int:
    band(sheet, painter, row, "Air, cold and fuel")
    place = (row + 4, IN_WORDS)  # of the line that brings most fuel, beside what the engine asks for
    painter.put(sheet, *place, "=IF(COUNT(LineFuelFed)=0,0,MATCH(MAX(LineFuelFed),LineFuelFed,0))", FOLDED)
    worked = (
        ("Air at the workshop", '=IF(WorkshopAltitude="","",AIR_PRESSURE_AT(WorkshopAltitude))', "kPa abs", "AirAtWorkshop", "0.0"),
        ("Air at the highest road", '=IF(RoadAltitude="","",AIR_PRESSURE_AT(RoadAltitude))', "kPa abs", "AirAtRoad", "0.0"),
        ("Coldest that every fluid in use is known", counts["known"], "°C", "FluidsKnownDownTo", "0"),
        ("Fuel that the engine asks for, at full power", _fuel_asked(f"$I${place[0]}"), "L/min", "FuelAsked", "0.00"),
    )
    for words, formula, unit, name, digits in worked:
        row += 1
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, OWN, formula, PLAIN._replace(format=digits, across="right"))
        painter.put(sheet, row, BESIDE, unit, QUIET._replace(indent=1, across="left"))
        define(book, name, OWN, row)
    cold = ('=IF(OR(FluidsKnownDownTo="",ColdestStart=""),"",IF(QUANTITY_IN(ColdestStart,"degC")<FluidsKnownDownTo,"Change: coldest start "&'
            'ColdestStart&" °C, a fluid in use is known down to "&FluidsKnownDownTo&" °C","Within limits"))')  # fmt: skip
    for step, said in enumerate(_fuel_words(f"$I${row + 2}"), start=1):
        painter.put(sheet, row + step, IN_WORDS, said, FOLDED)
    fuel = _fuel_check(f"$I${row + 1}", f"$I${row + 2}")
    for words, check in (("Cold against the fluids' figures", cold), ("Fuel of Lines against the engine", fuel)):
        row += 1
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, OWN, check, VERDICT._replace(wrap=False))
        verdict_rules(sheet, f"C{row}", f"$C{row}")
    return row + 1


def _fuel_asked(place: str) -> str:
    """What the engine burns at full power and a quarter more, of the fuel of the line that brings it most: `place`."""
    kind = f"INDEX(LineFluidKinds,{place})"
    burnt = f'IF({kind}="E85",FuelBurntE85,IF({kind}="diesel",FuelBurntDiesel,FuelBurntPetrol))'
    asked = f"FUEL_FLOW_FOR_POWER(EnginePower,{burnt},INDEX(LineFluidWords,{place}))"
    return f'=IF(OR(EnginePower="",{place}=0),"",{asked})'


def _fuel_words(at_least: str) -> tuple[str, str]:
    """What the check of the fuel says where all lines together bring enough, and how much is asked for in words.

    One line alone may bring too little where several run side by side. `at_least` is the cell of the second.
    """
    doubtful = f'"Near limit: one fuel line brings "&FIXED(MAX(LineFuelFed),2,TRUE)&{at_least}'
    asked = '" L/min, at least "&FIXED(FuelAsked,2,TRUE)'
    return (f'=IF({at_least}="","",IF(MAX(LineFuelFed)<FuelAsked,{doubtful},"Within limits"))',
            f'=IF(ISERROR(FuelAsked),"",IF(FuelAsked="","",{asked}))')  # fmt: skip


def _fuel_check(enough: str, at_least: str) -> str:
    """The fuel of the pressure lines together against what the engine asks for; two cells of words."""
    short = f'"Change: fuel lines bring "&FIXED(SUM(LineFuelFed),2,TRUE)&{at_least}&": larger pump"'
    said = f"IF(SUM(LineFuelFed)<FuelAsked,{short},{enough})"
    return f'=IF({at_least}="",IF(ISERROR(FuelAsked),"Cannot be worked out: see above",""),{said})'


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
