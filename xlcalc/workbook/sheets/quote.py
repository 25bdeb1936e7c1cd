"""Quote: what the job costs, what the customer pays, what was sent and what has changed; then the customer's page.

The office's part stands on top and is not printed: is the quote ready, the money, the first call, labour, variations,
words. The customer's page is the print area.
"""

from collections.abc import Mapping
from dataclasses import replace

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.building.blocks import BETWEEN, Placed, Table, aligned, heading_counts, note, said_of
from xlcalc.workbook.building.checks import CANNOT, folded, not_a_line, number, reason, row_table
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import BAND_ROW, Column, RowSheet, name_areas
from xlcalc.workbook.building.rows_on_sheet import titled, write
from xlcalc.workbook.building.style import DECIDES, FOLDED, Painter
from xlcalc.workbook.landmarks import OPERATIONS
from xlcalc.workbook.sheets import quote_money, quote_page, quote_ready, quote_words
from xlcalc.workbook.sheets.columns import check, counted, others, picked, picked_line, text, typed, words, worked
from xlcalc.workbook.sheets.quote_cells import NAME, name_cell, set_widths

WORK, TIME, COSTS, DO = "What is done", "How long it takes", "What comes out", "What to do"
ASKED, PAID, SIGNED = "What is asked for", "What it changes", "Who agreed"
ON_TOP, IN_FIGURES = "on top", "in the figures"
CAUTION = (
    "Margin is a share of the price, mark-up a share of the cost. An extra is asked for, priced and agreed before it is "
    "done; a revision that was sent is kept as it was sent."
)

COUNTED = {
    "cut and build": 'COUNTIF(RouteLines,"?*")',
    "holes and grommets": 'SUMIFS(RoutePanels,RoutePanels,">0")',
    "clips": 'SUMIFS(RouteClips,RouteClips,">0")',
}  # operation -> how often Routes knows that it is done
UNROUTED = 'COUNTIF(LineUnrouted,"no route")'


def _counted() -> str:
    found = "0"
    for operation, count in reversed(COUNTED.items()):
        found = f'IF({{operation}}="{operation}",{count},{found})'
    return f"=IFERROR({found},0)"


LABOUR = row_table(
    NAME,
    "Labour: how often, how long, how hard to reach",
    shown=[
        text("operation", WORK, "Operation", 20, "A kind of work. Delete a row, or type 0 times, where there is none."),
        check(WORK, 34),
        counted("times", TIME, "Times", "", 12, "How often it is done, e.g. pieces of hose. 0: not at all. Blank: as Routes counts it.", (0, 1e4)),
        typed("hours", TIME, "Hours each", "h", 11, "Hours for one, or text with a unit, e.g. 20 min.", (0, 1000)),
        counted("access", TIME, "Access", "factor", 12.5,
                "1.0 open, 1.5 tight, 2.0 with the body off (common practice). Blank: 1.", (1, 5), "0.0"),
        worked("routed", TIME, "On Routes", "times", 12.5, '=IF({known}>0,{known},"")', "0"),
        worked("worked", COSTS, "Hours worked", "h", 12.5, '=IF({ready},{timesn}*{hoursn}*{accessn},"")', "0.00;-0.00;0.00"),
        worked("money", COSTS, "Money", "", 12.5, '=IF({ready},{worked}*QUANTITY_IN(LabourRate,"1"),"")', "0.00;-0.00;0.00"),
        others(DO, 34),
    ],
    helpers=[
        folded("begun", "Any row filled in", "", '=COUNTIF([filled],">0")>0'),
        folded("known", "Counted on Routes", "", _counted()),
        folded("fortimes", "Missing", "", '=IF(AND({times}="",{known}=0),<times>,IF(AND({hours}="",OR({times}="",{times}<>0)),<hours>,IF(LabourRate="","Labour rate, on Start","")))'),
        number("timesn", "Times number", "", "times", "1", "{known}"),
        number("hoursn", "Hours number", "h", "hours", "h", "0"),
        number("accessn", "Access number", "", "access", "1", "1"),
    ],
    reasons=[
        reason("r_below", "Below 0", '=IFERROR(IF(MIN({timesn},{hoursn})<0,"Change: less than no work",""),"")'),
        reason("r_routes", "Against Routes", f'=IF(OR({{ready}}=FALSE,{{known}}=0,{{times}}=""),"",IF(OR({{timesn}}<{{known}},AND({{timesn}}>{{known}},'
               f'{UNROUTED}=0)),"Change: Routes counts "&{{known}}&", typed "&{{timesn}},""))'),
        reason("r_unrouted", "Lines without a route", f'=IF(AND({{ready}},{{times}}="",{UNROUTED}>0),"Not checked: "&{{known}}&" so far, "&{UNROUTED}&'
               '" of the lines without a route","")'),
        reason("r_access", "Access", '=IFERROR(IF(AND({ready},{accessn}<1),"Change: access factor "&{accessn}&": 1.0 is an open place",""),"")'),
        reason("r_money", "Money", f'=IF(ISERROR({{worked}}),"",IF(ISERROR({{money}}),{CANNOT}"Labour rate, on Start",""))'),
    ],
    required=(),
    answers=("timesn", "money"),
    more_missing="{fortimes}",
    marker="routed",
)  # fmt: skip

VARIATIONS = row_table(
    NAME,
    "Variations: what was asked for or found after a revision was sent",
    shown=[
        text("no", ASKED, "Variation", 20, "A number or name of your own, e.g. 1. Each name once."),
        check(ASKED, 34),
        picked_line("line", ASKED, "Line", 12, "The line that it is about. Blank: the whole job."),
        typed("money", PAID, "Money", "", 11, "What the customer pays more (less: with a minus), before tax.",
              (-1e9, 1e9), "0.00;-0.00;0.00"),
        typed("days", PAID, "Days", "", 12.5, "Working days more (less: with a minus).", (-1000, 1000)),
        picked("priced", PAID, "Priced", 12.5, words(ON_TOP, IN_FIGURES),
               "On top: added to the price once it is agreed. In the figures: lines, parts and labour hold it already. "
               "Blank: on top."),
        text("by", SIGNED, "Agreed by", 12.5, "Who agreed to it. Blank: not agreed, it stays out of the total.", wrap=True),
        Column("date", SIGNED, "Agreed on", "", "input", 11, "", "Date of the agreement. Blank: not agreed.", format="d mmm yyyy"),
        text("cause", SIGNED, "What and why", 32, "What changes and what made it necessary, as the customer reads it.", wrap=True),
        others(DO, 34),
    ],
    helpers=[
        number("moneyn", "Money number", "", "money", "1"),
        number("daysn", "Days number", "d", "days", "1"),
        folded("agreed", "Agreed", "", '=IF({ready},AND({by}<>"",{date}<>""),FALSE)'),
        folded("ontop", "On top", "", f'=IF({{ready}},{{priced}}<>"{IN_FIGURES}",FALSE)'),
        folded("added", "Money agreed, on top", "", '=IF({ready},IF(AND({agreed},{ontop}),{moneyn},0),"")'),
        folded("within", "Money agreed, in the figures", "", '=IF({ready},IF(AND({agreed},{ontop}=FALSE),{moneyn},0),"")'),
        folded("open", "Money not agreed", "", '=IF({ready},IF({agreed},0,{moneyn}),"")'),
        folded("addeddays", "Days agreed, on top", "d", '=IF({ready},IF(AND({agreed},{ontop}),{daysn},0),"")'),
        folded("opendays", "Days not agreed", "d", '=IF({ready},IF({agreed},0,{daysn}),"")'),
        folded("saidwords", "Agreed, in words", "",
               '=IFERROR(IF({agreed},{no}&": "&IF({line}="","",{line}&", ")&{cause}&"; "&FIXED({moneyn},2,TRUE)&", "&{daysn}&'
               'IF({daysn}=1," day"," days"),""),"")'),
    ],
    reasons=[
        reason("r_priced", "Priced", f'=IF({{ready}},IF(OR({{priced}}="",{{priced}}="{ON_TOP}",{{priced}}="{IN_FIGURES}"),"",'
               f'{CANNOT}<priced>&", not a word of its list"),"")'),
        reason("r_line", "Line", '=IF({line}="","",IF(ISERROR(MATCH({line},LineNames,0)),'
               f'{not_a_line("line")},""))'),
        reason("r_agreed", "Agreement", '=IF({ready},IF({agreed},"",IF({ontop},"Not checked: variation "&{no}&" is not agreed",'
               '"Change: variation "&{no}&" is in the figures and not agreed: ask first")),"")'),
    ],
    required=("money", "days", "cause"),
    answers=("moneyn", "daysn"),
    marker="cause",
)  # fmt: skip


def _offered(made: RowSheet) -> RowSheet:
    """The table of operations that an empty template names: no row of it says anything before one is filled in.

    Only what a row says looks at the other rows, so that a changed one leaves their answers as they are.
    """
    columns = [
        replace(column, spec=f'=IF({{begun}},{column.spec[1:]},"")') if column.key == "first" else column
        for column in made.columns
    ]
    return replace(made, columns=columns)


TABLES = aligned(Table(_offered(LABOUR), "labour", 14), Table(VARIATIONS, "variations", 6))
SUMS = (
    ("VariationsAdded", "added", "Money agreed, on top"),
    ("VariationsWithin", "within", "Money agreed, in the figures"),
    ("VariationsOpen", "open", "Money not agreed"),
    ("VariationsAddedDays", "addeddays", "Days agreed, on top"),
    ("VariationsOpenDays", "opendays", "Days not agreed"),
)


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet and its names; returns what Start says of it."""
    sheet = book[NAME] if NAME in book.sheetnames else book.create_sheet(NAME)
    hint = "Type the hours of the first operation below, and what the job needs under Money."
    titled(sheet, painter, "What does the job cost, what is the price, and may the quote go out?", job, heading_counts(NAME, hint))
    checks = quote_ready.checks_area()
    row = quote_ready.add(book, sheet, painter, BAND_ROW + 1)
    row = quote_money.add_money(book, sheet, painter, job, row + 1)
    row = quote_money.add_first_call(book, sheet, painter, job, row + 1)
    found = _tables(book, painter, job, row + 2)
    labour, variations = found
    row = _sums(book, sheet, painter, variations)
    note(sheet, painter, row, CAUTION)
    row = quote_words.add(book, sheet, painter, job, row + 2)
    quote_page.add(sheet, painter, row + 3)
    set_widths(sheet)
    sheet.freeze_panes = sheet.cell(BAND_ROW, 1)
    said = said_of(found)
    for word in VERDICTS:
        said[word] += f'+COUNTIF({checks},"{word}*")'
    named = said_of([labour])["named"][1:], said_of([variations])["named"][1:]
    begun = f'COUNTIF({labour.area("filled")},">0")'
    said["named"] = f'=IF({begun}=0,0,{named[0]})+{named[1]}+COUNTIF({checks},"?*")'
    return said


def _tables(book: Workbook, painter: Painter, job: Job, top: int) -> list[Placed]:
    """Both tables, one below the other, and the names of their columns."""
    found = []
    for table in TABLES:
        rows = job.tables.get(table.rows) or ([{"operation": each} for each in OPERATIONS] if table.rows == "labour" else [])
        found.append(Placed(replace(table.made, top=top), table.count(job)))
        write(book, painter, found[-1].made, rows, found[-1].count)
        top = found[-1].last_row + BETWEEN
    for row in range(found[0].made.first_row, found[0].last_row):
        book[NAME].row_dimensions[row].height = 14
    labour, variations = found
    name_areas(book, labour.made, (("LabourFilled", "filled"), ("LabourChecks", "check"), ("LabourHours", "worked"), ("LabourMoney", "money")), labour.count)
    name_areas(book, variations.made, (("VariationFilled", "filled"), ("VariationChecks", "check"), ("VariationWords", "saidwords")), variations.count)
    return found


def _sums(book: Workbook, sheet: Worksheet, painter: Painter, variations: Placed) -> int:
    """What the variations come to, agreed and not agreed apart; answers the next free row."""
    row = variations.last_row + 1
    column = 2 + sum(not each.folded for each in variations.made.columns)
    for place, (name, key, head) in enumerate(SUMS):
        painter.put(sheet, row, column + place, head, FOLDED._replace(bold=True))
        painter.put(sheet, row + 1, column + place, f"=SUM({variations.area(key)})", FOLDED)
        name_cell(book, name, column + place, row + 1)
    said = '=IFERROR(FIXED(VariationsOpen,2,TRUE)&" before tax, "&VariationsOpenDays&IF(VariationsOpenDays=1," day"," days"),"see the variations")'
    painter.put(sheet, row + 1, column + len(SUMS), said, FOLDED)
    name_cell(book, "VariationsOpenSaid", column + len(SUMS), row + 1)
    words = (
        'FIXED(VariationsAdded,2,TRUE)&" on top, "&FIXED(VariationsWithin,2,TRUE)&" in the figures; not agreed: "'
        '&VariationsOpenSaid&", not in the total"'
    )
    failed = '"The variations cannot be added up: see their Checks"'
    filled = 'COUNTIF(VariationFilled,">0")'
    painter.put(sheet, row, 1, f'=IF({filled}=0,"",IFERROR("Agreed: "&{words},{failed}))', DECIDES)
    return row + 2
