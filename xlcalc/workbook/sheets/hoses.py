"""Hoses: every line takes the figures of its hose from here. Cited rows first, then room for the shop's own."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.worksheet.pagebreak import Break

from xlcalc.core.tables import raw_rows
from xlcalc.functions.hose import liners
from xlcalc.workbook.building.checks import NOT_CONNECTED
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW, Column, RowSheet, name_areas, name_list
from xlcalc.workbook.building.rows_on_sheet import heading, write
from xlcalc.workbook.building.style import Painter, page
from xlcalc.workbook.sheets.words import cited_in, figure, joined, piece, tally, typed_number, word

NAME, SPARE = "Hoses", 8
WHICH, SIZE, BEARS, MADE, FROM = (
    "Which hose", "How large", "What it bears", "What it is made of", "Where from"
)  # fmt: skip


PIECES = [
    piece("w0", "Words start", '=IF({cited}="","",{cited})'),
    figure("w1", "bore", "bore", "mm"),
    figure("w2", "outside", "outside", "mm"),
    figure("w3", "bend", "bend radius", "mm"),
    figure("w4", "working", "pressure limit", "kPa"),
    figure("w5", "proof", "proof", "kPa"),
    figure("w6", "burst", "burst", "kPa"),
    figure("w7", "clamps", "clamps limit", "kPa"),
    figure("w8", "coldest", "from", "degC"),
    figure("w9", "hottest", "to", "degC"),
    word("w10", "liner", "liner"),
    word("w11", "conductive", "conductive"),
    word("w12", "suction", "suction"),
    figure("w13", "doubt", "doubt", "%"),
]
COLUMNS = [
    Column("name", WHICH, "Hose", "", "worked", 22,
           '=IF({family}="","",{family}&IF({size}="",""," "&SUBSTITUTE({size},",",".")))'),
    Column("check", WHICH, "Check", "", "words", 24,
           '=IF({name}="","",IF({words}="","Not checked: fill in "&<bore>&" or "&<cited>,IF(ISERROR({read}),"Cannot be worked out: "&{why},IF(COUNTIF([name],{name})>1,'
           '"Change: two rows have this name","Within limits"))))'),
    Column("memory", WHICH, "Rests on", "", "worked", 9.5,
           '=IF(OR({mark}="M",{unseen}<>""),"memory",IF(OR({mark}<>"",{cited}=""),"",'
           'IF(OR(IFERROR(INDEX([mark],MATCH({cited},[name],0)),"")="M",'
           'IFERROR(INDEX([unseen],MATCH({cited},[name],0))&"","")<>""),"memory","")))'),
    Column("family", WHICH, "Family", "", "input", 18, "", "What the hose is, e.g. PTFE braid, or a name of your own.",
           text=True),
    Column("size", WHICH, "Size", "", "input", 6, "", "As you call it, e.g. -6 or 9.5.", text=True),
    Column("cited", WHICH, "Starts from", "", "input", 21, "",
           "A hose of the built-in table that this row starts from, e.g. PTFE braid -6, or blank for your own."),
    typed_number("bore", SIZE, "Bore", "mm", 1, 150, "Inside diameter."),
    typed_number("outside", SIZE, "Outside", "mm", 1, 200, "Outside diameter: measure it, holes and clips go by it."),
    typed_number("bend", SIZE, "Bend radius", "mm", 1, 3000, "Least radius on the inside of a bend."),
    typed_number("working", BEARS, "Pressure limit", "kPa", 1, 200000, "Highest working pressure of the maker's sheet."),
    typed_number("proof", BEARS, "Proof", "kPa", 1, 500000, "Proof pressure: never test above it."),
    typed_number("burst", BEARS, "Burst", "kPa", 1, 1000000, "Least burst pressure."),
    typed_number("clamps", BEARS, "Limit with clamps", "kPa", 1, 200000, "Blank: clamps are not allowed on this hose."),
    typed_number("coldest", BEARS, "Coldest", "°C", -200, 400, "Lowest temperature."),
    typed_number("hottest", BEARS, "Hottest", "°C", -200, 400, "Highest temperature, steady."),
    Column("liner", MADE, "Liner", "", "list", 9, '"' + ",".join(liners()) + '"', "What the fluid touches."),
    Column("conductive", MADE, "Conductive", "", "list", 11, '"yes,no"', "Petrol in PTFE needs a conductive liner."),
    Column("suction", MADE, "Suction", "", "list", 9, '"yes,no"', "May it be used for suction and vacuum?"),
    typed_number("doubt", FROM, "Doubt", "%", 0, 90, "How far off the figures may be, plus or minus."),
    Column("source", FROM, "Source", "", "input", 49, "", "Where the figures come from."),
    Column("mark", FROM, "Mark", "", "list", 7, '"V,C,S,M,P"',
           "V seen in print, C computed, S second-hand, M from memory, P common practice."),
    Column("unseen", FROM, "From memory", "", "input", 14, "", "Which figures are from memory, e.g. liner."),
    Column("read", "Words", "Bore as read", "mm", "folded", 8, '=IF({name}="","",HOSE_BORE({words}))'),
    Column("why", "Words", "Why", "", "folded", 20,
           f'=IF({{name}}="","",IFERROR(ANSWER_WHY("HOSE_BORE",{{words}}),"{NOT_CONNECTED}"))'),
    Column("burstcited", "Words", "Burst of the cited row", "kPa", "folded", 12,
           '=IFERROR(INDEX([burst],MATCH({cited},[name],0))&"","")'),
    Column("burstused", "Words", "Burst as used", "kPa", "folded", 12,
           '=IF({burst}<>"",{burst},IF({burstcited}="","",INDEX([burst],MATCH({cited},[name],0))))'),
    Column("uses", "On Routes", "Pieces on Routes", "", "folded", 9, '=IF({name}="",0,COUNTIF(RouteHoses,{name}))'),
    Column("slot", "On Routes", "Its place, where used", "", "folded", 9,
           '=IF({uses}>0,IF(MATCH({name},[name],0)=ROW()-ROW(<name>)-1,ROW()-ROW(<name>)-1,""),"")'),
    *PIECES,
    joined("name", [column.key for column in PIECES]),
]  # fmt: skip
SHEET = RowSheet(
    NAME, "What does each hose bear, and who says so?", COLUMNS, "source", 2, cited='AND({name}<>"",{cited}={name})'
)


def add(book: Workbook, painter: Painter, job: Job) -> None:
    """Write the sheet and its names."""
    rows = [_cited(row) for row in raw_rows("hoses")]
    for own in job.hoses:
        found = next((row for row in rows if (row["family"], row["size"]) == (own["family"], own["size"])), None)
        if found is None:
            rows.append(dict(own))
        else:
            found.update(own, source=f"{found['source']}; {own['source']}")
    count = len(rows) + SPARE
    sheet = write(book, painter, SHEET, rows, count)
    name_areas(book, SHEET, (("HoseNames", "name"), ("HoseWords", "words"), ("HoseFamilies", "family"),
                             ("HoseSizes", "size"), ("HoseBores", "bore"), ("HoseMemory", "memory"),
                             ("HoseBursts", "burstused"), ("HoseMarks", "mark"), ("HoseUses", "uses"), ("HoseSlots", "slot")), count)  # fmt: skip
    name_list(book, SHEET, "HoseList", "name", count)
    hint = (
        "A blank figure is that of the hose that the row starts from. Put figures of your own into a row of your own."
    )
    heading(sheet, painter, SHEET, job, tally(SHEET, count), hint=hint)
    page(sheet, landscape=True, titles="1:6", columns="A:B", scale=74)
    sheet.col_breaks.append(Break(id=SHEET.places["liner"] - 1))
    sheet.print_area = f"A1:{SHEET.letter('unseen')}{FIRST_ROW + count}"


def _cited(row: Mapping[str, str]) -> dict[str, object]:
    """A row of the table as the sheet holds it."""
    columns = {"bore": "bore [mm]", "outside": "outside [mm]", "bend": "bend_radius [mm]", "working": "working [kPa]",
               "proof": "proof [kPa]", "burst": "burst [kPa]", "clamps": "clamps [kPa]", "coldest": "from [degC]",
               "hottest": "to [degC]", "doubt": "doubt [%]"}  # fmt: skip
    numbers = {key: float(row[column]) for key, column in columns.items() if row[column]}
    unseen = ", ".join(each.strip().removesuffix(" M") for each in row["other_marks"].split(";")
                       if each.strip().endswith(" M"))  # fmt: skip
    words = {"family": row["family"], "size": row["size"], "cited": f"{row['family']} {row['size']}",
             "liner": row["liner"], "conductive": row["conductive"], "suction": row["suction"], "source": cited_in(row),
             "mark": row["mark"], "unseen": unseen}  # fmt: skip
    return numbers | {key: text for key, text in words.items() if text}
