"""Fluids: every line takes the figures of its fluid from here. Cited rows first, then room for the shop's own."""

from collections.abc import Mapping
from dataclasses import replace

from openpyxl import Workbook
from openpyxl.worksheet.pagebreak import Break

from xlcalc.core.tables import raw_rows
from xlcalc.functions.fluid_words import CLASSES, KINDS, fluid_names
from xlcalc.workbook.building.charts import CHART_ROWS
from xlcalc.workbook.building.checks import NOT_CONNECTED
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW, Column, RowSheet, name_areas, name_list
from xlcalc.workbook.building.rows_on_sheet import heading, write
from xlcalc.workbook.building.style import WIDE, Painter, page
from xlcalc.workbook.sheets.fluids_charts import add_charts
from xlcalc.workbook.sheets.words import cited_in, figure, figure_at, joined, piece, tally, typed_number, word

NAME, SPARE = "Fluids", 10
WHO, WHAT, LIMITS, FROM, OUT = (
    "Which fluid", "How thick, how heavy", "How cold, how hot", "Where from", "What comes out"
)  # fmt: skip
LINED = 'COUNTIFS(LineFluids,{fluid},LineUses,"<>vent",LineUses,"<>vacuum")'  # lines with liquid of this row

PIECES = [
    piece("w0", "Words start", '={based}&""'),
    word("w1", "kind", "kind"),
    word("w2", "class", "class"),
    figure("w3", "density", "", "kg/m3"),
    figure("w4", "nu", "", "mm2/s"),
    figure_at("w5", "nu1", "nu1at", "", "mm2/s"),
    figure_at("w6", "nu2", "nu2at", "", "mm2/s"),
    figure_at("w7", "nu3", "nu3at", "", "mm2/s"),
    figure_at("w8", "thick", "thickat", "at most", "mPa s"),
    figure("w9", "coldest", "from", "degC"),
    figure("w10", "hottest", "to", "degC"),
    figure("w11", "vapour", "vapour", "kPa"),
    figure_at("w12", "pv1", "pv1at", "vapour", "kPa"),
    figure_at("w13", "pv2", "pv2at", "vapour", "kPa"),
    figure("w14", "rvp", "RVP", "psi"),
    figure("w15", "cp", "cp", "kJ/(kg K)"),
    figure("w16", "doubt", "doubt", "%"),
]
COLUMNS = [
    Column("fluid", WHO, "Fluid", "", "input", 22, "", "A name of your own. Lines picks fluids by this name.", text=True),
    Column("check", WHO, "Check", "", "words", 24,
           '=IF({fluid}="","",IF({words}="","Not checked: fill in "&<based>&" or figures",IF(ISERROR({known}),"Cannot be worked out: "&{why},IF(COUNTIF([fluid],{fluid})>1,'
           '"Change: two rows have this name",IF({lacks}="","Within limits","Not checked: "&{asks})))))'),
    Column("memory", WHO, "Rests on", "", "worked", 9.5,
           '=IF({mark}="M","memory",IF(OR({mark}<>"",{based}=""),"",'
           'IFERROR(IF(INDEX([mark],MATCH({based},[fluid],0))="M","memory",""),"")))'),
    Column("based", WHO, "Starts from", "", "list", 22, '"' + ",".join(fluid_names()) + '"',
           "A fluid of the built-in table that this row starts from, or blank. Figures in this row go over its own."),
    Column("kind", WHO, "Kind", "", "list", 12, '"' + ",".join(KINDS) + '"',
           "What the liner and fuel rules go by."),
    Column("class", WHAT, "Expansion class", "", "list", 11, '"' + ",".join(CLASSES) + '"',
           "How it grows when warm. Blank: density holds at every temperature."),
    typed_number("density", WHAT, "Density at 15 °C", "kg/m³", 0.5, 5000, "Density at 15 °C, from the supplier's sheet."),
    typed_number("nu", WHAT, "Constant viscosity", "mm²/s (cSt)", 0.01, 100000,
            "One viscosity that holds at every temperature of the span. Leave blank where points are given."),
    typed_number("nu1", WHAT, "Viscosity 1", "mm²/s (cSt)", 0.01, 1000000, "A measured viscosity, often at 40 °C."),
    typed_number("nu1at", WHAT, "at", "°C", -60, 250, "Temperature of point 1."),
    typed_number("nu2", WHAT, "Viscosity 2", "mm²/s (cSt)", 0.01, 1000000, "A measured viscosity, often at 100 °C."),
    typed_number("nu2at", WHAT, "at", "°C", -60, 250, "Temperature of point 2."),
    typed_number("nu3", WHAT, "Viscosity 3", "mm²/s (cSt)", 0.01, 1000000,
            "A third measured point: the maker's cold figure beats any line through two hot ones."),
    typed_number("nu3at", WHAT, "at", "°C", -60, 250, "Temperature of point 3."),
    typed_number("thick", WHAT, "Thickest allowed", "mPa s (cP)", 0.1, 1000000,
            "The thickest that its grade allows in the cold. For a suction line the pumping limit, not cranking."),
    typed_number("thickat", WHAT, "at", "°C", -60, 40, "Temperature of that limit."),
    typed_number("coldest", LIMITS, "Known from", "°C", -60, 250, "Lowest temperature at which these figures may be used."),
    typed_number("hottest", LIMITS, "Known to", "°C", -60, 250, "Highest temperature at which these figures may be used."),
    typed_number("vapour", LIMITS, "Constant vapour pressure", "kPa abs", 0, 5000,
            "One vapour pressure for the whole span: 0 for oils."),
    typed_number("pv1", LIMITS, "Vapour pressure 1", "kPa abs", 0.001, 5000, "A measured vapour pressure."),
    typed_number("pv1at", LIMITS, "at", "°C", -60, 250, "Temperature of vapour pressure 1."),
    typed_number("pv2", LIMITS, "Vapour pressure 2", "kPa abs", 0.001, 5000, "A second measured vapour pressure."),
    typed_number("pv2at", LIMITS, "at", "°C", -60, 250, "Temperature of vapour pressure 2."),
    typed_number("rvp", LIMITS, "Reid vapour pressure", "psi", 1, 20, "Of petrol without ethanol: 8 to 15 by season."),
    typed_number("cp", LIMITS, "Specific heat", "kJ/(kg K)", 0.1, 10, "Needed for heat only."),
    typed_number("doubt", FROM, "Doubt of the viscosity", "%", 0, 90, "How far off the viscosity may be, plus or minus."),
    Column("source", FROM, "Source", "", "input", 52, "", "Where the figures come from."),
    Column("mark", FROM, "Mark", "", "list", 6, '"V,C,S,M,P"',
           "V seen in print, C computed, S second-hand, M from memory, P common practice."),
    Column("known", OUT, "Known down to", "°C", "worked", 8,
           '=IF({fluid}="","",FLUID_KNOWN_DOWN_TO({words}))'),
    Column("litres", OUT, "In the lines", "L", "worked", 7,
           '=IF({fluid}="","",SUMIFS(LineVolumes,LineFluids,{fluid},LineVolumes,">-1E9"))'),
    Column("why", "Words", "Why", "", "folded", 20,
           f'=IF({{fluid}}="","",IFERROR(ANSWER_WHY("FLUID_KNOWN_DOWN_TO",{{words}}),"{NOT_CONNECTED}"))'),
    Column("uses", "Words", "Liquid lines and systems with it", "", "folded", 9,
           f'=IF({{fluid}}="",0,{LINED}+COUNTIF(SystemFluids,{{fluid}}))'),
    Column("lined", "Words", "Liquid lines with it", "", "folded", 9, f'=IF({{fluid}}="",0,{LINED})'),
    Column("sucked", "Words", "Suction lines with it", "", "folded", 9,
           '=IF({fluid}="",0,COUNTIFS(LineFluids,{fluid},LineUses,"suction"))'),
    Column("nuasked", "Words", "Viscosity, where a line asks for it", "mm²/s (cSt)", "folded", 9,
           '=IF({fluid}="","",IF({lined}=0,0,FLUID_VISCOSITY({words},{known})))'),
    Column("pvasked", "Words", "Vapour pressure, where a line asks for it", "kPa abs", "folded", 9,
           '=IF({fluid}="","",IF({sucked}=0,0,FLUID_VAPOUR_PRESSURE({words},{known})))'),
    Column("lacks", "Words", "What its lines ask for in vain", "", "folded", 12,
           '=IF(ISERROR({known}),"",IF(IFERROR(ERROR.TYPE({nuasked}),0)=7,"viscosity",IF(IFERROR(ERROR.TYPE({pvasked}),0)=7,"vapour pressure","")))'),
    Column("asks", "Words", "What to fill in", "", "folded", 12,
           '=IF({lacks}="","",IF({lacks}="viscosity","fill in "&<nu>&", or "&<nu1>&" and 2",IF({kindused}="petrol","fill in "&<rvp>,"fill in "&<vapour>&", or "&<pv1>&" and 2")))'),
    Column("slot", "Words", "Its place, where it is used", "", "folded", 9,
           '=IF({uses}>0,IF(MATCH({fluid},[fluid],0)=ROW()-ROW(<fluid>)-1,ROW()-ROW(<fluid>)-1,""),"")'),
    Column("kindused", "Words", "Kind as used", "", "folded", 12,
           '=IF({kind}<>"",{kind},IFERROR(INDEX([kind],MATCH({based},[fluid],0))&"",""))'),
    Column("hotused", "Words", "Known to, as used", "°C", "folded", 9,
           '=IF({fluid}="","",IF({hottest}<>"",{hottest},IFERROR(INDEX([hottest],MATCH({based},[fluid],0)),"")))'),
    *PIECES,
    joined("fluid", [column.key for column in PIECES]),
]  # fmt: skip
NARROW = {"nu1at": 7, "nu2at": 7, "nu3at": 7, "thickat": 7, "coldest": 8, "hottest": 7.5, "pv1at": 7, "pv2at": 7, "cp": 9}
SHEET = RowSheet(
    NAME, "What is each fluid, and who says so?",
    [replace(column, width=NARROW.get(column.key, column.width)) for column in COLUMNS], "source", 2, cited='AND({fluid}<>"",{based}={fluid})'
)


def add(book: Workbook, painter: Painter, job: Job) -> None:
    """Write the sheet and its names."""
    rows = [_cited(row) for row in raw_rows("fluids")] + [dict(row) for row in job.fluids]
    count = len(rows) + SPARE
    sheet = write(book, painter, SHEET, rows, count)
    name_areas(book, SHEET, (("FluidNames", "fluid"), ("FluidWords", "words"), ("FluidKinds", "kindused"),
                             ("FluidMemory", "memory"), ("FluidKnown", "known"), ("FluidHottest", "hotused"),
                             ("FluidLacks", "lacks"), ("FluidLitres", "litres"), ("FluidSlots", "slot")), count)  # fmt: skip
    name_list(book, SHEET, "FluidList", "fluid", count)
    pending = '&IF(LinesPending>0,"   litres Incomplete","")'
    hint = (
        "A blank figure is that of the fluid that the row starts from. Put figures of your own into a row of your own."
    )
    heading(sheet, painter, SHEET, job, tally(SHEET, count) + pending, hint=hint)
    page(sheet, landscape=True, titles="1:6", columns="A:B", scale=WIDE)
    sheet.col_breaks.append(Break(id=SHEET.places["coldest"] - 1))
    last = FIRST_ROW + count
    add_charts(sheet, painter, SHEET, last + 2, job.fluids[0]["fluid"] if job.fluids else None)
    charts = f"A{last + 2}:{SHEET.letter('thickat')}{last + 2 + 2 * CHART_ROWS}"  # on a sheet of paper of their own
    sheet.print_area = f"A1:{SHEET.letter('litres')}{last},{charts}"


def _cited(row: Mapping[str, str]) -> dict[str, object]:
    """A row of the table as the sheet holds it; figures that the table keeps as points stay with the name."""
    tabled = {(each["fluid"], each["property"]) for each in raw_rows("fluid_points")}
    fluid = row["fluid"]
    density = "" if (fluid, "density") in tabled else row["density_15 [kg/m3]"]
    two = row["viscosity_40 [mm2/s]"], row["viscosity_100 [mm2/s]"]
    cells = {
        "density": density,
        "nu1": two[0],
        "nu1at": "40" if two[0] else "",
        "nu2": two[1],
        "nu2at": "100" if two[1] else "",
        "thick": row["cold_limit [mPa s]"],
        "thickat": row["cold_limit_at [degC]"],
        "coldest": row["from [degC]"],
        "hottest": row["to [degC]"],
        "vapour": row["vapour [kPa]"],
        "rvp": row["rvp [psi]"],
        "cp": "" if (fluid, "specific heat") in tabled else row["cp [kJ/(kg K)]"],
        "doubt": row["doubt_viscosity [%]"],
    }
    numbers = {key: float(text) for key, text in cells.items() if text}
    words = {"fluid": fluid, "based": fluid, "kind": row["kind"], "class": row["class"], "source": cited_in(row),
             "mark": row["mark"]}  # fmt: skip
    return numbers | {key: text for key, text in words.items() if text}
