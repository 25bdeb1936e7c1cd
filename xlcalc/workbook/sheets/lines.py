"""Lines: one row a line, from port to port. Does it bear its pressure, heat and fluid, and what to change if not."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import VERDICTS
from xlcalc.functions.fluid import FUELS
from xlcalc.workbook.building.charts import CHART_ROWS
from xlcalc.workbook.building.checks import folded, number
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import BAND_ROW, FIRST_ROW, Column, RowSheet, name_areas, name_list
from xlcalc.workbook.building.rows_on_sheet import heading, write
from xlcalc.workbook.building.style import QUIET, WIDE, Painter, page
from xlcalc.workbook.sheets.columns import (
    LOOK_UP,
    REMEMBERED_FLUID,
    named_words,
    picked,
    span,
    text,
    typed,
    words,
    worked,
)
from xlcalc.workbook.sheets.lines_chart import RANK, add_chart
from xlcalc.workbook.sheets.lines_reasons import REASONS, SHIELDS, WORDS

NAME = "Lines"
WHERE, FLOWS, MADE, OUT, DO, HELPERS = (
    "Where it runs", "What flows", "What it is made of", "What comes out", "What to do", "Helpers"
)  # fmt: skip
JOB_ROW = 2  # of the heading
REQUIRED = ("use", "pushed", "fluid", "flow", "highest", "hottest", "length", "hose", "ends", "gap")
USES = ("pressure", "suction", "return", "vent", "vacuum", "coolant")
CAUTION = (
    "Steering, fuel and brake assistance can kill: the part maker's figures, local rules and licensed practice decide. "
    "Hydraulic brake lines are out of scope."
)
LOOK_UP_WORDS = (
    "Look up: what this line takes from memory, all for hose, fluid and limit. Put the maker's figures on Hoses and Fluids, "
    "your own limit on Start."
)
REMEMBERED = (
    ("hose", 'OR(INDEX(HoseMemory,MATCH({hose},HoseNames,0))="memory",{liner}<>"yes")'),
    ("fluid", REMEMBERED_FLUID),
    ("limit", 'INDEX(UseMemory,MATCH({use},UseNames,0))="memory"'),
)
LONGEST_LOOK_UP = len("fluid, limit")  # two of the three words on two lines
PUSHED = ("pump fixed flow", "pump limited pressure", "gravity", "none")


ONE_DIGIT = "0.0;-0.0;0.0"


def _looked_up(key: str, head: str, name: str, by: str, names: str) -> Column:
    return folded(key, head, "", f'=IF({{ready}},INDEX({name},MATCH({{{by}}},{names},0)),"")')


INPUTS = [
    text("line", WHERE, "Line", 9.1, "A short name that goes on the tag of the hose, e.g. PS-1. Each name once.", shrink=True),
    Column("check", WHERE, "Check", "", "words", 36, "={first}"),
    Column("memory", WHERE, LOOK_UP, "", "worked", 6.6,
           f'=IFERROR(IF({{ready}},IF(LEN({{remembered}})>{LONGEST_LOOK_UP},"all",{{remembered}}),""),"")', wrap=True, small=True),
    text("from", WHERE, "From", 8.7, "The port where it starts.", wrap=True),
    text("to", WHERE, "To", 9.8, "The port where it ends.", wrap=True),
    text("circuit", WHERE, "Circuit", 6.5, "Lines in series share a name here, e.g. GB: they share the pump's pressure."),
    picked("use", FLOWS, "Use", 7.8, words(*USES), "What the line does. It decides limits and what the hose must be."),
    picked("pushed", FLOWS, "Pushed by", 11, words(*PUSHED),
          "Pump fixed flow: steering, fuel. Pump limited pressure: a gearbox. Gravity: a feed from a tank. None: vents."),
    picked("fluid", FLOWS, "Fluid", 15.3, "FluidList",
          "A fluid of the Fluids sheet. Of a vent: what the liner must bear; its flow is air."),
    typed("flow", FLOWS, "Flow", "L/min", 7.1, "A number in L/min, or text with a unit, e.g. 6 US gpm. Steering: after the "
           "flow valve. Fuel: the pump's flow.", span("LINE_VELOCITY", "flow")),
    typed("highest", FLOWS, "Highest pressure", "kPa", 8.2, "Above the atmosphere, in kPa or e.g. 90 bar. Steering: the "
           "relief. Vacuum: 0.", span("HOSE_CHECK", "pressure")),
    typed("hottest", FLOWS, "Hottest", "°C", 7, "The larger of the fluid's and the air's around it, in °C or e.g. 230 degF.",
           span("HOSE_CHECK", "hottest")),
    typed("coldest", FLOWS, "Coldest", "°C", 7, "Blank: the coldest start of the Start sheet.",
           span("HOSE_CHECK", "coldest")),
    typed("length", MADE, "Length", "m", 6.9, "Of the hose, in m, or text with a unit, e.g. 5 ft.",
           span("LINE_VOLUME", "length")),
    typed("rise", MADE, "Rise", "m", 5, "Plus when the line ends higher than it starts. Blank: level.",
           span("LINE_PRESSURE_DROP", "rise")),
    typed("fittings", MADE, "Fittings", "K, words", 8, "A sum of K, or words such as 2x elbow 90; 1x ball valve. "
           "Blank: none.", (0, 1000)),
    picked("hose", MADE, "Hose", 14.4, "HoseList", "A hose of the Hoses sheet: family and size."),
    picked("ends", MADE, "Ends", 7.8, words("crimped", "clamps", "reusable"), "How the ends are held on the hose."),
    typed("gap", MADE, "Clearance exhaust", "mm", 9.1, "Distance to exhaust and hot parts in mm, or the words: none near.",
           span("CLEARANCE_CHECK", "clearance")),
    picked("shield", MADE, "Shield", 7.6, words(*SHIELDS), "Blank: none."),
    picked("bypass", MADE, "Cold bypass", 6.8, words("yes", "no"), "Is there a valve that lets cold oil past the cooler?"),
]  # fmt: skip
HELPER = [
    folded("nameless", "Filled in without a name", "", '=IF(AND({line}="",COUNTA({from}:{bypass})>0),"nameless","")'),
    folded("missing", "Missing", "", '=IF({line}="",IF({nameless}="","",<line>),'
            + "".join(f'IF({{{key}}}="",<{key}>,' for key in REQUIRED) + "{othermissing}" + ")" * (len(REQUIRED) + 1)),
    folded("circuitw", "Circuit, trimmed", "", '=TRIM({circuit})'),
    folded("pushedw", "Pushed by, trimmed", "", '=TRIM({pushed})'),
    folded("startmissing", "Missing on Start", "",
            '=IF(AND({coldest}="",ColdestStart=""),"Coldest start, on Start",IF(RoadAltitude="","Highest road, on Start",""))'),
    folded("lone", "Pump limited, no circuit", "",
            '=IF(AND({line}<>"",{pushedw}="pump limited pressure",{circuitw}=""),"lone","")'),
    folded("othermissing", "Missing, not in every row", "",
            '=IF(AND({lone}="lone",COUNTIF([lone],"lone")>1),<circuit>,{startmissing})'),
    folded("ready", "Ready", "", '=AND({line}<>"",{missing}="")'),
    _looked_up("fw", "Fluid words", "FluidWords", "fluid", "FluidNames"),
    _looked_up("kind", "Fluid kind", "FluidKinds", "fluid", "FluidNames"),
    folded("known", "Fluid known down to", "°C",
            '=IFERROR(IF({ready},INDEX(FluidKnown,MATCH({fluid},FluidNames,0)),""),"")'),
    _looked_up("hw", "Hose words", "HoseWords", "hose", "HoseNames"),
    _looked_up("family", "Hose family", "HoseFamilies", "hose", "HoseNames"),
    folded("remembered", "Memory", "",
            f'=IFERROR({named_words(*REMEMBERED)},"")'),
    number("flown", "Flow number", "L/min", "flow", "L/min"),
    number("highestn", "Highest number", "kPa", "highest", "kPa"),
    number("hottestn", "Hottest number", "°C", "hottest", "degC"),
    folded("coldn", "Coldest number", "°C",
            '=IF({ready},QUANTITY_IN(IF({coldest}="",ColdestStart,{coldest}),"degC"),"")'),
    number("lengthn", "Length number", "m", "length", "m"),
    folded("risen", "Rise number", "m", '=IF({ready},IF({rise}="",0,QUANTITY_IN({rise},"m")),"")'),
    folded("kloss", "Fittings, 0 where blank", "", '=IF({ready},IF({fittings}="",0,{fittings}),"")'),
    folded("liquid", "Liquid line", "", '=AND({ready},{use}<>"vent",{use}<>"vacuum")'),
    folded("fuel", "Fuel", "", "=OR(" + ",".join(f'{{kind}}="{kind}"' for kind in FUELS) + ")"),
    folded("limited", "Pump limited", "", '=AND({liquid},{pushedw}="pump limited pressure")'),
    folded("forced", "Pump fixed", "", '=AND({liquid},{pushedw}="pump fixed flow")'),
    folded("vmax", "Velocity at most", "m/s",
            '=IF({liquid},MIN(INDEX(UseVelocity,MATCH({use},UseNames,0)),IF({fuel},VelocityFuel,999)),"")'),
    folded("allowed", "Drop at most", "kPa",
            '=IF({liquid},IF({limited},GearboxColdPressure,IF({use}="pressure",{highestn}*DropPressureShare/100,'
            'IF({use}="suction",DropSuction,IF({use}="coolant",DropCoolant,IF({fuel},DropFuelReturn,{limit}))))),"")'),
    folded("metres", "Circuit metres", "m",
            '=IF({limited},IF({circuitw}="",{lengthn},SUMIFS([lengthn],[circuitw],{circuitw},[pushedw],{pushedw})),"")'),
    folded("boreflow", "Flow to pass cold", "L/min", '=IF({limited},MIN(GearboxColdFlow,{flown}),"")'),
    folded("boredrop", "Drop for it", "kPa", '=IF({limited},{allowed}*{lengthn}/{metres},"")'),
    folded("waiting", "Circuit rows without a cold drop", "",
            '=IF(AND({limited},{circuitw}<>""),COUNTIFS([circuitw],{circuitw},[pushedw],{pushedw})'
            '-COUNTIFS([circuitw],{circuitw},[pushedw],{pushedw},[dropcold],">-1E9"),0)'),
    folded("circuitflow", "Mean flow of the circuit", "L/min",
            '=IF(AND({limited},{circuitw}<>""),SUMIFS([flown],[circuitw],{circuitw},[pushedw],{pushedw})'
            '/COUNTIFS([circuitw],{circuitw},[pushedw],{pushedw}),"")'),
    folded("marginmin", "Margin at least", "kPa", '=IF(AND({ready},{use}="suction"),SuctionMargin,"")'),
    folded("flowmin", "Cold flow at least", "L/min",
            '=IF(AND({limited},{waiting}=0,{bypass}<>"yes"),GearboxColdFlow,"")'),
]  # fmt: skip
DROP = "{flown},{bore},{lengthn},{fw}"
RESULTS = [
    worked("smallest", OUT, "Smallest bore", "mm", 8,
            '=IF({liquid},MAX({boreforflow},IF({limited},{boreincircuit},{borealone})),{ventbore})'),
    worked("suggested", OUT, "Suggested size", "", 11.5,
            '=IF(ISNUMBER({smallest}),IF(ISERROR({size}),IF(ERROR.TYPE({size})=5,{size},"none"),{size}),"")'),
    worked("bore", OUT, "Bore", "mm", 6.5, '=IF({ready},HOSE_BORE({hw}),"")'),
    worked("v", OUT, "Velocity", "m/s", 8.5, '=IF({ready},LINE_VELOCITY({flown},{bore}),"")'),
    worked("drophot", OUT, "Drop hot", "kPa", 7,
            f'=IF({{liquid}},LINE_PRESSURE_DROP({DROP},{{hottestn}},{{kloss}},{{risen}}),IF(AND({{ready}},{{use}}="vent"),'
            'BREATHER_PRESSURE({flown},{bore},{lengthn},{kloss},RoadAltitude),""))'),
    worked("dropcold", OUT, "Drop cold", "kPa", 7,
            f'=IF({{liquid}},LINE_PRESSURE_DROP({DROP},{{coldn}},{{kloss}},{{risen}}),"")'),
    worked("coldflow", OUT, "Cold flow", "L/min", 7,
            '=IF({limited},IF({waiting}>0,"",MIN({flown},IF({circuitw}="",{lonelyflow},'
            '{flown}*GearboxColdPressure/SUMIFS([dropcold],[circuitw],{circuitw},[pushedw],{pushedw})))),"")'),
    worked("downto", OUT, "Works down to", "°C", 8,
            '=IF({liquid},LINE_COLD_LIMIT({flown},{bore},{lengthn},{fw},{allowed},{kloss},{risen}),"")'),
    worked("margin", OUT, "Suction margin", "kPa", 8, '=IF({marginmin}="","",MIN({marginhot},{margincold}))', ONE_DIGIT),
    worked("working", OUT, "Working pressure", "kPa", 9,
            '=IF({ready},IF(AND({use}="return",{forced}),MAX({highestn},{dropcold}),{highestn}),"")'),
    worked("limit", OUT, "Limit", "kPa", 8, '=IF({ready},HOSE_PRESSURE_LIMIT({hw},{hottestn},{ends}),"")'),
    worked("liner", OUT, "Liner", "", 6.5, '=IF({ready},HOSE_FLUID_MATCH({hw},{fw}),"")'),
    worked("volume", OUT, "Volume", "L", 7.5, '=IF({ready},LINE_VOLUME({bore},{lengthn}),"")'),
    Column("others", DO, "Other reasons", "", "words", 55, "={otherwords}", wrap=True, small=True),
]  # fmt: skip
BEHIND = [
    folded("liquidvolume", "Liquid in it", "L", '=IF({liquid},{volume},"")'),
    folded("boreforflow", "Bore for the velocity", "mm", '=IF({liquid},BORE_FOR_FLOW({flown},{vmax}),"")'),
    folded("borealone", "Bore for the drop", "mm",
            '=IF(AND({liquid},{limited}=FALSE),BORE_FOR_DROP({flown},{lengthn},{fw},{coldn},{allowed},{kloss},{risen}),"")'),
    folded("boreincircuit", "Bore for its share of the drop", "mm",
            '=IF({limited},BORE_FOR_DROP({boreflow},{lengthn},{fw},{coldn},{boredrop},{kloss},{risen}),"")'),
    folded("ventbore", "Bore of a vent", "mm",
            '=IF(AND({ready},{use}="vent"),BREATHER_BORE({flown},{lengthn},VentPressure,{kloss},RoadAltitude),"")'),
    folded("size", "Next size", "",
            '=IF(ISNUMBER({smallest}),HOSE_SIZE_FOR_BORE({family},{smallest},HoseFamilies,HoseSizes,HoseBores),"")'),
    folded("unrouted", "Not on Routes yet", "", '=IF({line}="","",IF(COUNTIF(RouteLines,{line})>0,"","no route"))'),
    folded("re", "Reynolds number hot", "", '=IF({liquid},LINE_REYNOLDS({flown},{bore},{fw},{hottestn}),"")'),
    folded("dropthick", "Drop at the thickest allowed", "kPa",
            f'=IF({{liquid}},ANSWER_HIGH("LINE_PRESSURE_DROP",{DROP},{{coldn}},{{kloss}},{{risen}}),"")'),
    folded("lonelyflow", "Cold flow of a lone line", "L/min",
            '=IF(AND({limited},{circuitw}=""),FLOW_FOR_DROP({bore},{lengthn},{fw},{coldn},{allowed},{kloss},{risen}),"")'),
    folded("lonelythick", "Cold flow of a lone line, thickest", "L/min",
            '=IF(AND({limited},{circuitw}=""),ANSWER_LOW("FLOW_FOR_DROP",{bore},{lengthn},{fw},{coldn},{allowed},{kloss},{risen}),"")'),
    folded("thickflow", "Cold flow at the thickest", "L/min",
            '=IF({limited},IF({waiting}>0,"",MIN({flown},IF({circuitw}="",{lonelythick},'
            '{flown}*GearboxColdPressure/SUMIFS([dropthick],[circuitw],{circuitw},[pushedw],{pushedw})))),"")'),
    folded("marginhot", "Margin hot", "kPa",
            f'=IF({{marginmin}}="","",SUCTION_MARGIN({DROP},{{hottestn}},{{kloss}},{{risen}},RoadAltitude))'),
    folded("margincold", "Margin cold", "kPa",
            f'=IF({{marginmin}}="","",SUCTION_MARGIN({DROP},{{coldn}},{{kloss}},{{risen}},RoadAltitude))'),
    folded("marginthick", "Margin cold, thickest allowed", "kPa",
            f'=IF({{marginmin}}="","",ANSWER_LOW("SUCTION_MARGIN",{DROP},{{coldn}},{{kloss}},{{risen}},RoadAltitude))'),
    folded("downthick", "Works down to, thickest allowed", "°C",
            '=IF({forced},ANSWER_HIGH("LINE_COLD_LIMIT",{flown},{bore},{lengthn},{fw},{allowed},{kloss},{risen}),"")'),
    folded("hosesaid", "Hose check", "",
            '=IF({ready},HOSE_CHECK({hw},{working},{fw},{hottestn},{coldn},{use},{ends}),"")'),
    folded("hosefurther", "Hose check, a little hotter and colder", "",
            '=IF({ready},HOSE_CHECK({hw},{working},{fw},{hottestn}+NearTemperature,{coldn}-NearTemperature,{use},{ends}),"")'),
    folded("gapsaid", "Clearance check", "",
            '=IF({ready},CLEARANCE_CHECK({gap},{shield}&"",ClearanceBare,ClearanceShielded),"")'),
    folded("airn", "Hottest air, 0 K where blank", "°C", '=IF({ready},IF(HottestAir="",-273.15,QUANTITY_IN(HottestAir,"degC")),"")'),
    folded("fuelfed", "Fuel that it brings the engine", "L/min", '=IFERROR(IF(AND({ready},{fuel},{use}="pressure"),{flown},""),"")'),
    folded("lacks", "What its fluid lacks", "", '=IFERROR(IF({ready},INDEX(FluidLacks,MATCH({fluid},FluidNames,0)),""),"")'),
]  # fmt: skip
SHEET = RowSheet(
    NAME, "Does each line pass, and what to change?", [*INPUTS, *HELPER, *RESULTS, *BEHIND, RANK, *REASONS, *WORDS], "from", 3
)


NAMED = (
    ("LineNames", "line"), ("LineChecks", "check"), ("LineFrom", "from"), ("LineTo", "to"), ("LineCircuits", "circuitw"),
    ("LineUses", "use"), ("LinePushed", "pushedw"), ("LineFluids", "fluid"), ("LineFluidWords", "fw"),
    ("LineFluidKinds", "kind"), ("LineIsFuel", "fuel"), ("LineFuelFed", "fuelfed"), ("LineFlows", "flown"), ("LineHighest", "highestn"), ("LineHottest", "hottestn"),
    ("LineColdest", "coldn"), ("LineLengths", "lengthn"), ("LineRises", "risen"), ("LineFittings", "kloss"),
    ("LineHoses", "hose"), ("LineHoseWords", "hw"), ("LineEnds", "ends"), ("LineBypasses", "bypass"), ("LineBores", "bore"),
    ("LineDropsHot", "drophot"), ("LineDropsCold", "dropcold"), ("LineDropsAllowed", "allowed"),
    ("LineWorking", "working"), ("LineLimits", "limit"), ("LineVolumes", "liquidvolume"), ("LineHolds", "volume"),
    ("LineReady", "ready"), ("LineUnrouted", "unrouted"),
)  # fmt: skip  # columns that other sheets look a line up in, by its name


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet and its names; returns the formulas that Start shows of it."""
    count = max(job.room, len(job.lines) + 3)
    sheet = write(book, painter, SHEET, job.lines, count)
    said = _counts(count)
    name_areas(book, SHEET, NAMED, count)
    name_list(book, SHEET, "LineList", "line", count)
    hint = '"Type the name of the first line below, e.g. PS-1, then fill its row to the right."'
    tally = '"Change "&LinesChange&"   Not checked "&LinesNotChecked&"   Near limit "&LinesNearLimit'
    heading(sheet, painter, SHEET, job, f"IF(LinesNamed=0,{hint},{tally})", '&IF(LinesNamed=0,"","   lines "&LinesNamed)')
    rest = '"Within limits "&LinesWithinLimits&"   Cannot be worked out "&LinesCannotBeWorkedOut&"   on memory "&LinesOnMemory'
    tail = 'IF(LinesUnchecked=0,"","   without a Check "&LinesUnchecked)'
    painter.put(sheet, BAND_ROW, 1, f'=IF(LinesNamed=0,"",{rest}&{tail})', QUIET._replace(edge="band"))
    last = FIRST_ROW + count
    for key in ("from", "smallest"):  # on every sheet of paper, and always in sight
        for row, said_there in enumerate((CAUTION, LOOK_UP_WORDS), start=JOB_ROW):
            painter.put(sheet, row, SHEET.places[key], said_there, QUIET)
    add_chart(sheet, painter, SHEET, count, last + 3)
    page(sheet, landscape=True, titles="1:6", columns="A:B", scale=WIDE)
    _print(sheet, last + 3 + CHART_ROWS)
    return said


def _print(sheet: Worksheet, last: int) -> None:
    """Two sheets of paper a row: what goes in, what comes out; Line and Check on both."""
    sheet.col_breaks.append(Break(id=SHEET.places["bypass"]))
    top = last - CHART_ROWS  # of the chart, a sheet of paper of its own after the two of the rows
    sheet.print_area = f"A1:{SHEET.letter('others')}{top - 2},A{top}:{SHEET.letter('bypass')}{last}"


def _counts(count: int) -> dict[str, str]:
    """Formulas over the Lines sheet for Start: its verdicts, what is named, what is unchecked, and sums."""
    check, line = SHEET.area("check", count), SHEET.area("line", count)
    said = {word: f'=COUNTIF({check},"{word}*")' for word in VERDICTS}
    nameless = SHEET.area("nameless", count)
    said["named"] = f'=COUNTIF({line},"?*")+COUNT({line})+COUNTIF({nameless},"nameless")'
    said["unchecked"] = "=LinesNamed-" + "-".join(f"Lines{word.title().replace(' ', '')}" for word in VERDICTS)
    said["pending"] = "=LinesNotChecked+LinesCannotBeWorkedOut+LinesUnchecked"
    said["memory"] = f'=COUNTIF({SHEET.area("memory", count)},"?*")'
    for key, column in (("metres", "lengthn"), ("litres", "liquidvolume")):
        area = SHEET.area(column, count)
        total = f'FIXED(SUMIFS({area},{area},">-1E9"),2,TRUE)'  # skips a cell with an error: Incomplete says so
        pending = "LinesNotChecked+LinesCannotBeWorkedOut+LinesUnchecked>0"
        said[key] = f'=IF(LinesNamed=0,"",{total}&IF({pending},"   Incomplete",""))'
    known = SHEET.area("known", count)
    said["known"] = f'=IF(COUNT({known})=0,"",MAX({known}))'
    return said
