"""The counts of Start: how the lines and every other sheet stand, and what to do next."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.building.blocks import PASSED_OVER, count_name
from xlcalc.workbook.building.style import FOLDED, HEAD, PLAIN, VERDICT, Look, Painter, quiet_rule, verdict_rules
from xlcalc.workbook.landmarks import CHANGED, IN_WORDS, OWN, SOURCE, WORDS
from xlcalc.workbook.sheets.start_cells import BESIDE, NAME, band, define

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
TO_MEND = IN_WORDS + 2  # column of the rows that are to be mended: those marked Change, but for options passed over
BEFORE_PARTS = ("Options", "Breathers", "Vacuum", "Cooling", "Routes")  # what they say decides whether a quote may go out
FILL_DOWN, FILL_IN = "fill the formulas down", "fill in the rows that are not checked"
SEE, MEND = "see the rows that cannot be worked out", "mend the rows marked Change"


def what_next(book: Workbook, sheet: Worksheet, painter: Painter, row: int, counts: Mapping[str, str]) -> int:
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


def other_sheets(
    book: Workbook, sheet: Worksheet, painter: Painter, row: int, said: Mapping[str, Mapping[str, str]]
) -> int:
    """How every other sheet stands: its verdicts counted, and what to do there."""
    band(sheet, painter, row, "The other sheets")
    row += 1
    heads = ("Sheet", *VERDICTS, "What to do there", "Rows")
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
        painter.put(sheet, row, TO_MEND, f"=$B{row}-({formulas.get(PASSED_OVER, '=0')[1:]})", FOLDED)
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
    for count, do in ((change, MEND), (cannot, SEE), (missing, FILL_IN)):
        words = f'IF({count}>0,"{do}",{words})'
    return f'=IF($H{row}=0,"",IF($H{row}>SUM($B{row}:$F{row}),"{FILL_DOWN}",{words}))'


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
