"""Handover: the one page that goes with the car and is signed. Made from the other sheets, nothing typed twice."""

from collections.abc import Iterator, Sequence

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import CHANGE
from xlcalc.workbook.building.checks import says
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.building.rows_on_sheet import validation
from xlcalc.workbook.building.style import (
    BAND,
    BOXED,
    DECIDES,
    FOLDED,
    HEAD,
    PLAIN,
    QUIET,
    VERDICT,
    Look,
    Painter,
    page,
)
from xlcalc.workbook.sheets.columns import next_filled
from xlcalc.workbook.sheets.printed import lines_of
from xlcalc.workbook.sheets.testing_rows import STOPS_SEEN

NAME = "Handover"
WIDTHS = (11, 18, 10.5, 10.5, 8, 2, 11, 18, 10.5, 10.5, 8)
LAST, RIGHT, HELPERS = 11, 7, 13  # last column of the page, first of its right half, first folded one
LINES_SHOWN, FLUIDS_SHOWN, FANS_SHOWN = 30, 8, 2
HEADS = ("Line", "Hose", "Made", "Replace by", "Test")
SETTINGS = (
    ("HandoverFan", "Fan, as seen", "What the gauge showed as the fan came on and went off, where that differs."),
    ("HandoverSender", "Gauge", "What the gauge shows in normal use."),
    ("ServiceInterval", "Service every", "When oil, filters and hoses are looked after, in the owner's words."),
    ("HandoverPhotos", "Photos kept", "Where the photos of the finished runs are kept."),
)
PEOPLE = (
    ("HandoverDoneBy", "Work done by", "Who did the work."),
    ("HandoverCheckedBy", "Checked by", "Who checked it: not who did it."),
)
DRIVER = (
    "Steering: never hold full lock for more than 5 s. The oil boils, the hose bursts, the steering turns heavy.",
    "Brakes: with the engine off the pedal goes hard after a stop or two. A hard pedal with the engine on: stop.",
    "Smell of fuel: stop, engine off, everybody out, no start until the leak is found.",
    "Coolant cap: never open it hot. It scalds; wait until the upper hose is cold to the hand.",
    "Oil under the car or a gauge at its mark: stop and look. Fuel: never above the fill limit, it grows in the sun.",
)
CAUTIONS = (
    "A hose past its date is replaced, however it looks. Never open a fitting under pressure: oil goes under the skin.",
    "A vent that is blocked or under water spoils a seal: keep its end and filter clean. No hose is moved nearer to the exhaust.",
    "Local rules and the part maker's figures go first. Hydraulic brake lines were no part of this work.",
)
DATE = "d mmm yyyy"
HANDED_OVER = ("HandoverDate", "Handed over on", "The day the car goes.")
ODOMETER = ("HandoverOdometer", "Odometer, with its unit", "As it stands as the car goes, e.g. 84200 km: what is due at 100 km counts from here.")
ROW = Look(9, edge="line", across="left")


def add(book: Workbook, painter: Painter, job: Job) -> None:
    """Write the sheet and its names."""
    sheet = book.create_sheet(NAME)
    for place, width in enumerate(WIDTHS, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = width
    painter.put(sheet, 1, 1, '="What was built, and what to look after"&IF(Vehicle="","",": "&Vehicle)', DECIDES)
    invented = '&"   (invented)"' if job.invented else ""
    named = 'IF(JobNumber="","Job number: fill it in on Start","Job "&JobNumber&"   revision "&Revision)'
    painter.put(sheet, 2, 1, f"={named}{invented}", PLAIN)
    painter.put(sheet, 2, RIGHT, '=IF(Customer="","","For "&Customer)', PLAIN)
    _ready(sheet, painter)
    shop = 'ShopName&IF(OR(ShopName="",ShopAddress=""),"",", ")&ShopAddress'
    painter.put(sheet, 4, 1, f'=IF(ShopName&ShopAddress="","","Built by "&{shop})', PLAIN._replace(up="top"))
    sheet.row_dimensions[4].height = 20
    row = _lines(sheet, painter, 5)
    row = _fluids(sheet, painter, row + 1)
    row = _settings(book, sheet, painter, row + 1, job)
    for head, texts in (("What the driver must know", DRIVER), ("Cautions", CAUTIONS)):
        row = _texts(sheet, painter, row + 1, head, texts)
    row = _signatures(book, sheet, painter, row + 1, job)
    sheet.column_dimensions.group(get_column_letter(HELPERS), get_column_letter(HELPERS + 6), hidden=True)
    sheet.sheet_properties.outlinePr.summaryRight = False
    page(sheet, landscape=False, titles="1:2")
    sheet.page_setup.fitToHeight = 1
    sheet.print_area = f"A1:{get_column_letter(LAST)}{row}"


def _ready(sheet: Worksheet, painter: Painter) -> None:
    """Whether the page may be signed; what is still open is counted in folded cells beside it."""
    still = (
        ("TestsNotDone", "test", "tests", "not done"),
        ("TestsToMend", "test", "tests", "to mend"),
        ("LinesPending", "line", "lines", "without an answer"),
        ("LinesChange", "line", "lines", "to change"),
        ("ReadingsOutside", "reading", "readings", "outside"),
        ("HosesTooOld", "hose", "hoses", "too old"),
        ("RoadOpen", "road test", "road tests", "open"),
    )
    for place, (count, one, many, words) in enumerate(still):
        said = f'=IF({count}=0,"",", "&{count}&IF({count}=1," {one} "," {many} ")&"{words}")'
        painter.put(sheet, 3, HELPERS + place, said, FOLDED)
    first, last = (f"${get_column_letter(HELPERS + place)}$3" for place in (0, len(still) - 1))
    joined = "&".join(f"${get_column_letter(HELPERS + place)}$3" for place in range(len(still)))
    words = (
        f'=IF(LinesNamed=0,"This page fills itself: type the first line on Lines, its test on Testing",'
        f'IF(COUNTIF({first}:{last},"?*")=0,"Ready to sign: every line is tested and the road test is done",'
        f'"Not ready to hand over: "&MID({joined},3,300)))'
    )
    for place in range(1, LAST + 1):
        painter.put(sheet, 3, place, words if place == 1 else None, VERDICT._replace(bold=True, edge="box"))
    sheet.merge_cells(start_row=3, start_column=1, end_row=3, end_column=LAST)
    sheet.row_dimensions[3].height = 27


def _lines(sheet: Worksheet, painter: Painter, row: int) -> int:
    """As built: the filled lines of Lines in their order, in two columns; answers the next free row."""
    _band(sheet, painter, row, "As built")
    for start in (1, RIGHT):
        for column, head in enumerate(HEADS, start=start):
            painter.put(sheet, row + 1, column, head, HEAD._replace(edge="under", wrap=False))
    for at, start, place, before in _slots(row + 2, LINES_SHOWN):
        painter.put(sheet, at, _helper(start), next_filled("LineChecks", before), FOLDED)
        name = f"${get_column_letter(start)}{at}"
        cells = (
            (f"INDEX(LineNames,{place})", "@"),
            (f"INDEX(LineHoses,{place})", "@"),
            (_of_service("ServiceMade", name), DATE),
            (_of_service("ServiceReplace", name), DATE),
            (f'IFERROR(INDEX(TestWords,MATCH({name},TestLines,0)),"no test")', "@"),
        )
        for offset, (formula, shown) in enumerate(cells):
            look = ROW._replace(format=shown, bold=offset == 0, shrink=shown == "@")  # cut off, a name reads like another
            painter.put(sheet, at, start + offset, f'=IF({place}=0,"",{formula})', look)
    row += 2 + LINES_SHOWN // 2
    more = f'=IF(LinesNamed>{LINES_SHOWN},"and "&(LinesNamed-{LINES_SHOWN})&" more: the Lines sheet goes with this page","")'
    painter.put(sheet, row, 1, more, QUIET)
    return row + 1


def _helper(start: int) -> int:
    """The folded column that belongs to a half of the page."""
    return HELPERS + (start > 1)


def _slots(first: int, count: int) -> Iterator[tuple[int, int, str, str]]:
    """Rows of a list in two halves: row, first column, folded cell with its place in the other sheet, and the one before.

    Before the first stands 1: the thin row above the data.
    """
    before = "1"
    for start, rows in ((1, count // 2), (RIGHT, count - count // 2)):
        for at in range(first, first + rows):
            place = f"${get_column_letter(_helper(start))}${at}"
            yield at, start, place, before
            before = place


def _of_service(names: str, name: str) -> str:
    """A date of the service table by the name of a line; blank where it has none."""
    found = f"INDEX({names},MATCH({name},ServiceItems,0))"
    return f'IFERROR(IF({found}="","",{found}),"")'


def _fluids(sheet: Worksheet, painter: Painter, row: int) -> int:
    """Fluids in use: litres that the lines hold, and litres filled at the test; the fuel tank's fill limit."""
    _band(sheet, painter, row, "Fluids, and how far to fill")
    for start in (1, RIGHT):
        for column, head in ((start, "Fluid"), (start + 2, "In the lines, L"), (start + 3, "Filled, L")):
            across = "right" if column > start else "left"
            painter.put(sheet, row + 1, column, head, HEAD._replace(edge="under", wrap=False, across=across))
        painter.put(sheet, row + 1, start + 1, None, HEAD._replace(edge="under"))
    litres = ROW._replace(format="0.00", across="right")
    for rank, (at, start, place, _) in enumerate(_slots(row + 2, FLUIDS_SHOWN), start=1):
        name = f"${get_column_letter(start)}{at}"
        painter.put(sheet, at, _helper(start), f"=IFERROR(SMALL(FluidSlots,{rank}),0)", FOLDED)
        painter.put(sheet, at, start, f'=IF({place}=0,"",INDEX(FluidNames,{place}))', ROW._replace(format="@"))
        painter.put(sheet, at, start + 1, None, ROW)
        painter.put(sheet, at, start + 2, f'=IF({place}=0,"",INDEX(FluidLitres,{place}))', litres)
        filled = f'SUMIFS(TestFilled,TestFluids,{name},TestFilled,">0")'
        painter.put(sheet, at, start + 3, f'=IF({place}=0,"",IF({filled}=0,"",{filled}))', litres)
    row += 2 + FLUIDS_SHOWN // 2
    painter.put(sheet, row, HELPERS, '=IFERROR(MATCH("fuel",TankKinds,0),0)', FOLDED)
    tank = f"${get_column_letter(HELPERS)}${row}"
    limit = (
        f'=IF({tank}=0,"",IFERROR("Fill the "&INDEX(TankNames,{tank})&" to at most "&FIXED(INDEX(TankFillTo,{tank}),1,TRUE)&" L"'
        '&IF(COUNTIF(TankKinds,"fuel")>1,"; the other tanks: see Breathers",""),"Fill limit of the fuel tank: see Breathers"))'
    )
    painter.put(sheet, row, 1, limit, PLAIN._replace(bold=True))
    painter.put(sheet, row, RIGHT, '=IF(FuelGrade="","","Fuel: "&FuelGrade)', PLAIN._replace(bold=True))
    return row + 1


def _settings(book: Workbook, sheet: Worksheet, painter: Painter, row: int, job: Job) -> int:
    """Fans and stops as their sheets have them, and what is said nowhere else and typed here."""
    _band(sheet, painter, row, "Settings and service")
    row = _stops(sheet, painter, _fans(sheet, painter, row + 1))
    for place, (name, words, help_text) in enumerate(SETTINGS):
        painter.put(sheet, row + place, 1, words, PLAIN)
        _typed(book, sheet, painter, (row + place, 3, LAST), (name, words, help_text), job)
    return row + len(SETTINGS)


def _across(sheet: Worksheet, painter: Painter, row: int, words: str, formula: str) -> None:
    """A worked-out sentence beside its words."""
    painter.put(sheet, row, 1, words or None, PLAIN)
    for place in range(3, LAST + 1):
        painter.put(sheet, row, place, formula if place == 3 else None, ROW)
    sheet.merge_cells(start_row=row, start_column=3, end_row=row, end_column=LAST)


def _fans(sheet: Worksheet, painter: Painter, row: int) -> int:
    """Where the sender of each fan stands and at what it switches, from Cooling; answers the next free row."""
    before = "1"
    for rank in range(1, FANS_SHOWN + 1):
        place, marked = (f"${get_column_letter(HELPERS + at)}${row}" for at in range(2))
        painter.put(sheet, row, HELPERS, next_filled("FanCircuits", before), FOLDED)
        marks = f'IF({says(f"INDEX(FanChecks,{place})", CHANGE)},"   marked Change on Cooling","")'
        if rank == FANS_SHOWN:
            rest = f'COUNTIF(FanCircuits,"?*")-{FANS_SHOWN}'
            marks += f'&IF({rest}>0,"   and "&({rest})&" more on Cooling","")'
        painter.put(sheet, row, HELPERS + 1, f'=IF({place}=0,"",{marks})', FOLDED)
        on, off = (f"ROUND(INDEX({name},{place}),1)" for name in ("FanOn", "FanOff"))
        set_at = f'": on at "&{on}&" °C, off at "&{off}&" °C, sender in the "&INDEX(FanSenders,{place})'
        said = f'=IF({place}=0,"",INDEX(FanCircuits,{place})&IFERROR({set_at},": see Cooling")&{marked})'
        _across(sheet, painter, row, "Fan, set to" if rank == 1 else "", said)
        before = place
        row += 1
    return row


def _stops(sheet: Worksheet, painter: Painter, row: int) -> int:
    """Stops without the engine, counted on the road and worked out for the first servo; answers the next free row."""
    place, noted, worked = (f"${get_column_letter(HELPERS + at)}${row}" for at in range(3))
    painter.put(sheet, row, HELPERS, f'=IFERROR(MATCH("{STOPS_SEEN}*",RoadItems,0),0)', FOLDED)
    found = f'IF(INDEX(RoadSeen,{place})="yes",INDEX(RoadNoted,{place})&"","")'
    painter.put(sheet, row, HELPERS + 1, f'=IF({place}=0,"",{found})', FOLDED)
    of_servo = 'INDEX(ServoStops,MATCH("?*",ServoNames,0))'
    painter.put(sheet, row, HELPERS + 2, f'=IFERROR(IF(ISNUMBER({of_servo}),"worked out for the highest road: "&{of_servo},""),"")', FOLDED)
    counted = f'IF({noted}="","not counted yet","counted on the road: "&{noted})'
    _across(sheet, painter, row, "Stops, engine off", f'=IF(AND({noted}="",{worked}=""),"",{counted}&IF({worked}="","","; "&{worked}))')
    return row + 1


def _typed(
    book: Workbook,
    sheet: Worksheet,
    painter: Painter,
    where: tuple[int, int, int],
    field: tuple[str, str, str],
    job: Job,
    shown: str = "General",
) -> None:
    """A named cell to fill in, from one column to another of a row."""
    (row, first, last), (name, words, help_text) = where, field
    for place in range(first, last + 1):
        painter.put(sheet, row, place, job.start.get(name) if place == first else None, BOXED._replace(format=shown))
    if last > first:
        sheet.merge_cells(start_row=row, start_column=first, end_row=row, end_column=last)
    cell = f"{get_column_letter(first)}{row}"
    rule: DataValidation = validation(Column(name, "", words, "", "input", 0, "", help_text), cell)
    sheet.add_data_validation(rule)
    rule.add(cell)
    book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!${get_column_letter(first)}${row}")


def _texts(sheet: Worksheet, painter: Painter, row: int, head: str, texts: Sequence[str]) -> int:
    """Sentences across the page."""
    _band(sheet, painter, row, head)
    for text in texts:
        row += 1
        painter.put(sheet, row, 1, text, Look(9, wrap=True, up="top"))
        sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=LAST)
        sheet.row_dimensions[row].height = 2 + 11.7 * lines_of(text, sum(WIDTHS))
    return row + 1


def _signatures(book: Workbook, sheet: Worksheet, painter: Painter, row: int, job: Job) -> int:
    """Who did, who checked, who took the car: a name and a line for the pen; the day, and what the odometer shows."""
    _band(sheet, painter, row, "Signed")
    line = Look(9, edge="line")
    for place, field in enumerate((*PEOPLE, None)):
        at = row + 1 + place
        sheet.row_dimensions[at].height = 24
        words = field[1] if field else "Received by"
        painter.put(sheet, at, 1, words, PLAIN)
        if field:
            _typed(book, sheet, painter, (at, 3, 5), field, job)
        else:
            for column in range(3, 6):
                painter.put(sheet, at, column, '=IF(Customer="","",Customer)' if column == 3 else None, line)
        painter.put(sheet, at, RIGHT, "Signature", PLAIN)
        for column in range(RIGHT + 1, LAST + 1):
            painter.put(sheet, at, column, None, line)
    at = row + 3
    for field, shown in ((HANDED_OVER, DATE), (ODOMETER, "@")):
        at += 1
        sheet.row_dimensions[at].height = 18
        painter.put(sheet, at, 1, field[1], PLAIN)
        _typed(book, sheet, painter, (at, 3, 5), field, job, shown)
    return at


def _band(sheet: Worksheet, painter: Painter, row: int, words: str) -> None:
    """The title of a block, with a rule across the page."""
    for place in range(1, LAST + 1):
        painter.put(sheet, row, place, words if place == 1 else None, BAND)
