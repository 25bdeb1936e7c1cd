"""Breathers: room for what grows and for what is carried over, air that goes in and out, oil that drains back."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.blocks import Placed, Table, add_tables, aligned, below_tables, note
from xlcalc.workbook.building.charts import CHART_ROWS, Axis, Curve, Figures, choice, draw
from xlcalc.workbook.building.checks import (
    CANNOT,
    at_least,
    at_most,
    fetched,
    folded,
    limit_words,
    not_a_line,
    number,
    reason,
    row_table,
    told_apart,
)
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import Column, name_areas, name_list
from xlcalc.workbook.building.style import DECIDES, Painter
from xlcalc.workbook.sheets.columns import (
    REMEMBERED_FLUID,
    check,
    counted,
    fluid_reason,
    fluid_words,
    memory,
    of_its_list,
    others,
    picked,
    picked_line,
    span,
    text,
    typed,
    why,
    words,
    worked,
)

NAME = "Breathers"
WHICH, HOLDS, WARMS, FITTED, OUT, DO = (
    "Which", "What it holds", "How warm", "What is fitted", "What comes out", "What to do"
)  # fmt: skip
CAUTION = (
    "A vent of fuel or crankcase never ends in the cabin, the boot or above the exhaust; a blocked vent blows seals. "
    "Part maker's figures and local rules decide."
)
OILY = 'OR({kind}="gearbox",{kind}="engine")'
BREATHES = 'OR({kind}="axle",{kind}="gearbox")'



def _asked(*cells: tuple[str, str]) -> str:
    """Header of the first blank cell that a kind of row needs: (condition, key)."""
    found = '""'
    for condition, key in reversed(cells):
        found = f'IF(AND({condition},{{{key}}}=""),<{key}>,{found})'
    return f"={found}"


def _number(key: str, head: str, unit: str, source: str, asked: str) -> Column:
    """A typed cell of an air line as a plain number; it holds for its tank above while the line is not filled in."""
    return folded(key, head, unit, f'=IF(OR({{line}}="",{{{source}}}=""),"",QUANTITY_IN({{{source}}},"{asked}"))', reads=(source, asked))


TANKS = row_table(
    NAME,
    "Has each tank room for what grows and what is carried over, and what does its vent draw in?",
    shown=[
        text("item", WHICH, "Item", 12, "A name of your own, e.g. fuel tank. Each name once.", wrap=True),
        check(WHICH, 35.2),
        memory(WHICH, ("fluid", REMEMBERED_FLUID), width=6.6),
        picked("kind", WHICH, "Kind", 8.5, words("fuel", "coolant", "axle", "gearbox", "engine"),
               "Fuel and coolant grow into an expansion tank; axle and gearbox breathe; gearbox and engine carry oil over."),
        picked("fluid", HOLDS, "Fluid", 15, "FluidList", "A fluid of the Fluids sheet."),
        typed("volume", HOLDS, "Volume of fluid", "L", 7.2, "What the tank, the system or the case holds, in L. Not needed "
              "for an engine.", span("FLUID_EXPANSION_VOLUME", "volume")),
        typed("air", HOLDS, "Air space", "L", 6.6, "Axle and gearbox: the air over the oil, in L.", span("AIR_DRAWN_IN", "air_volume")),
        typed("fill", WARMS, "Filled at", "°C", 7, "Temperature at which it is filled.", (-60, 150)),
        typed("hottest", WARMS, "Hottest", "°C", 7, "Hottest that the fluid becomes.", (-60, 200)),
        typed("after", WARMS, "Coldest after", "°C", 7.2, "Axle and gearbox: what it is cooled down to, e.g. in a river.", (-60, 150)),
        typed("carry", HOLDS, "Carry-over", "mL/h", 9.4, "Gearbox and engine: oil carried over in an hour.", span("CATCH_TANK_VOLUME", "carry_over")),
        typed("hours", HOLDS, "Hours", "h", 6.5, "Hours until somebody empties the catch tank.", span("CATCH_TANK_VOLUME", "hours")),
        typed("tank", FITTED, "Tank fitted", "L", 7, "The expansion tank of fuel and coolant, the catch tank of gearbox and engine.",
              span("LINE_VOLUME", "length")),
        picked_line("vent", FITTED, "Vent line", 9, "Axle and gearbox: the line of Lines that it breathes through."),
        worked("growth", OUT, "Growth", "L", 7, '=IF({grows},FLUID_EXPANSION_VOLUME({volume},{fw},{fill},{hottest}),"")'),
        worked("fillto", OUT, "Fill to", "L", 7,
               '=IF(AND({ready},{kind}="fuel"),MIN(FILL_LIMIT({volume},{fw},{fill},{hottest}),{volumen}*FillShare/100),"")', "0.0"),
        worked("wanted", OUT, "Tank wanted", "L", 7.2,
               f'=IF({{ready}},IF({OILY},CATCH_TANK_VOLUME({{carry}},{{hours}},CatchSpare,CatchLeast),IF({{kind}}="axle","",'
               'TANK_FOR_EXPANSION({volume},{fw},{fill},{hottest},TankSpare))),"")'),
        worked("gulp", OUT, "Air drawn in", "mL", 6.6, '=IF({breathes},AIR_DRAWN_IN({air},{volume},{fw},{hottest},{after}),"")'),
        worked("holds", OUT, "Hose holds", "mL", 6.2,
               '=IF({breathes},LINE_VOLUME(INDEX(LineBores,{ventplace}),INDEX(LineLengths,{ventplace}))*1000,"")'),
        worked("blocked", OUT, "If the vent blocks", "kPa", 6.6,
               '=IF({breathes},BLOCKED_VENT_PRESSURE({air},{volume},{fw},{fill},{hottest}),"")'),
        others(DO, 17),
    ],
    helpers=[
        folded("foroil", "Missing, where oil is carried over", "",
               _asked((OILY, "carry"), (OILY, "hours"), ('{kind}<>"axle"', "tank"))),
        folded("forgrowth", "Missing, where it grows or breathes", "",
               _asked(("TRUE", "volume"), ("TRUE", "fill"), ("TRUE", "hottest"), (BREATHES, "air"), (BREATHES, "after"), (BREATHES, "vent"))),
        fluid_words(),
        folded("grows", "Grows", "", '=AND({ready},{kind}<>"engine")'),
        folded("breathes", "Breathes", "", f"=AND({{ready}},{BREATHES})"),
        number("volumen", "Volume number", "L", "volume", "L"),
        number("tankn", "Tank number", "L", "tank", "L"),
        number("hottestn", "Hottest number", "°C", "hottest", "degC"),
        folded("ventplace", "Place of the vent line", "", '=IF({vent}="",0,IFERROR(MATCH({vent},LineNames,0),0))'),
        folded("airplace", "Its row below", "", '=IF({vent}="",0,IFERROR(MATCH({vent},BreatherLines,0),0))'),
        folded("end", "Free end", "mm", '=IF({airplace}=0,"",IF(INDEX(BreatherEnds,{airplace})="","",INDEX(BreatherEnds,{airplace})))'),
        folded("wade", "Wade depth", "mm", '=IF({airplace}=0,"",IF(INDEX(BreatherWades,{airplace})="","",INDEX(BreatherWades,{airplace})))'),
        folded("drawnwords", "What it draws in, in words", "",
               '=IFERROR("draws in "&FIXED({gulp},0,TRUE)&" mL, hose holds "&FIXED({holds},0,TRUE),"")'),
        told_apart("tanksaid", "Tank in words", "tankn", "{wanted}"),
        folded("whywanted", "Why no tank wanted", "", f'=IFERROR(IF(ISERROR({{wanted}}),IF({OILY},ANSWER_WHY("CATCH_TANK_VOLUME",{{carry}},{{hours}},'
               'CatchSpare,CatchLeast),ANSWER_WHY("TANK_FOR_EXPANSION",{volume},{fw},{fill},{hottest},TankSpare)),""),"")'),
        why("gulp", "air drawn in", "AIR_DRAWN_IN", "{air},{volume},{fw},{hottest},{after}", "AND({breathes},ISTEXT({fw}),ISNUMBER({volumen}),ISNUMBER({hottestn}))"),
    ],
    reasons=[
        fluid_reason(),
        reason("r_kind", "Kind", '=IF({ready},IF(OR({kind}="fuel",{kind}="coolant",{kind}="axle",{kind}="gearbox",{kind}="engine"),"",'
               f'{CANNOT}<kind>&", not a word of its list"),"")'),
        reason("r_vent", "Vent line",
               f'=IF(OR({{vent}}="",{{ventplace}}>0),"",{not_a_line("vent")})'),
        reason("r_carries", "Fluid of the vent line", '=IF(AND({ready},{ventplace}>0),IF(INDEX(LineFluids,{ventplace})={fluid},"",'
               '"Change: "&{vent}&" is for "&INDEX(LineFluids,{ventplace})&" on Lines"),"")'),
        reason("r_tank", "Tank", at_least("tankn", "wanted", '"tank "&{tanksaid}&" L, wanted at least "&FIXED({wanted},1,TRUE)',
                                         lambda _: 'IF({whywanted}="","","Cannot be worked out: "&<wanted>&": "&{whywanted})')),
        reason("r_gulp", "Air drawn in",
               '=IFERROR(IF({gulp}="","",IF({gulp}<={holds},"",IF(AND(ISNUMBER({end}),ISNUMBER({wade})),'
               'IF({end}>{wade},"Near limit: ","Change: ")&{drawnwords}&": the end must stay above the water",'
               f'"Not checked: fill in free end and wade depth of "&{{vent}}&" below"))),{CANNOT}<gulp>)'),
        reason("r_heat", "Heat of the vent line", '=IFERROR(IF(OR({ready}=FALSE,{ventplace}=0,{hottestn}=""),"",IF({hottestn}<=INDEX(LineHottest,{ventplace}),"",'
               '"Near limit: "&{item}&" becomes "&FIXED({hottestn},0,TRUE)&" °C, "&{vent}&" is worked out for "&'
               'FIXED(INDEX(LineHottest,{ventplace}),0,TRUE)&" on Lines")),"")'),
        reason("r_rest", "Other answers",
               f'=IF(ISERROR({{growth}}),{CANNOT}<growth>,IF(ISERROR({{fillto}}),{CANNOT}<fillto>,IF(ISERROR({{blocked}}),'
               f'{CANNOT}<blocked>,IF(ISERROR({{wanted}}),{CANNOT}<wanted>,""))))'),
    ],
    required=("kind", "fluid"),
    answers=("growth", "wanted", "gulp", "holds", "fw"),
    more_missing='IF({kind}="engine",{foroil},IF({forgrowth}="",{foroil},{forgrowth}))',
    whys=("whygulp",),
)  # fmt: skip


AIR = row_table(
    NAME,
    "Does each air line pass its flow, and does its end stay dry and clean?",
    shown=[
        picked_line("line", WHICH, "Line", 12, "A vent of the Lines sheet. Each line once."),
        check(WHICH, 35.2),
        memory(WHICH, width=6.6),
        picked("by", FITTED, "Flow set by", 8.5, words("Lines", "blow-by", "fuel filling"),
               "Blank or Lines: the flow on Lines holds. Blow-by: displacement and speed on Start. Fuel filling: the nozzle."),
        picked("splash", FITTED, "Filter in splash", 15, words("yes", "no"), "Does road water reach the filter? Blank: no."),
        picked("cover", FITTED, "Splash cover", 7, words("none", "spiral wrap", "shield"), "What keeps water off the filter. Blank: none."),
        counted("filter", FITTED, "Filter fitted", "cm²", 6.6, "Face of the filter in cm². Blank: no filter.", (0, 10000), "0.0;-0.0;0.0"),
        counted("end", FITTED, "Free end height", "mm", 7, "Height of the free end above the ground, in mm.", (-1000, 5000), "0"),
        counted("wade", FITTED, "Wade depth", "mm", 7, "Deepest water that it is driven through, in mm.", (0, 3000), "0"),
        worked("flow", OUT, "Flow of air", "L/min", 7, '=IF({ready},INDEX(LineFlows,{place}),"")'),
        worked("bore", OUT, "Bore", "mm", 7, '=IF({ready},INDEX(LineBores,{place}),"")'),
        worked("length", OUT, "Length", "m", 6.6, '=IF({ready},INDEX(LineLengths,{place}),"")'),
        worked("pressure", OUT, "Pressure behind it", "kPa", 8.8,
               '=IF({ready},BREATHER_PRESSURE({flow},{bore},{length},{loss},RoadAltitude),"")', "0.00;-0.00;0.00"),
        worked("boreleast", OUT, "Bore wanted", "mm", 7, '=IF({ready},BREATHER_BORE({flow},{length},VentPressure,{loss},RoadAltitude),"")'),
        worked("asked", OUT, "Flow asked", "L/min", 7,
               '=IF({ready},IF({by}="blow-by",BLOWBY_FLOW(Displacement,HighestSpeed,BlowbyShare),IF({by}="fuel filling",FuelFillFlow,{flow})),"")'),
        worked("filterleast", OUT, "Filter wanted", "cm²", 7, '=IF({ready},FILTER_AREA({flow},FilterFaceVelocity),"")', "0.0;-0.0;0.0"),
        others(DO, 17),
    ],
    helpers=[
        _number("filtern", "Filter number", "cm²", "filter", "cm2"),
        _number("endn", "Free end number", "mm", "end", "mm"),
        _number("waden", "Wade depth number", "mm", "wade", "mm"),
        fetched("loss", "Fittings", "K", "LineFittings"),
        fetched("use", "Use", "", "LineUses"),
        folded("filterwanted", "Filter at least", "cm²", '=IF(AND({ready},{filter}<>""),{filterleast},"")'),
        folded("most", "Pressure at most", "kPa", '=IF({ready},VentPressure,"")'),
        told_apart("pressuresaid", "Pressure in words", "pressure", "{most}"),
        told_apart("filtersaid", "Filter in words", "filtern", "{filterwanted}"),
    ],
    reasons=[
        of_its_list("by", "Words of Flow set by", "Lines", "blow-by", "fuel filling"),
        of_its_list("splash", "Words of Filter in splash", "yes", "no"),
        of_its_list("cover", "Words of Splash cover", "none", "spiral wrap", "shield"),
        reason("r_use", "Use", '=IF({ready},IF({use}="vent","","Change: "&{line}&" is no vent on Lines"),"")'),
        reason("r_flow", "Flow asked", '=IF({ready},IF(ROUND({flow},3)<ROUND({asked},3),"Change: Lines has "&FIXED({flow},1,TRUE)&" L/min, "&{by}&'
               '" makes "&FIXED({asked},1,TRUE),""),"")'),
        reason("r_pressure", "Pressure",
               at_most("pressure", "most", f'{{pressuresaid}}&" kPa behind the vent, at most "&{limit_words("most")}')),
        reason("r_end", "Free end", '=IF(OR({ready}=FALSE,{end}="",{wade}=""),"",IF({endn}<={waden},"Change: end "&{endn}&" mm, below the wade depth "&'
               '{waden}&" mm",""))'),
        reason("r_wet", "Splash",
               '=IF(AND({ready},{splash}="yes",OR({cover}="",{cover}="none")),"Change: filter in splash and no cover","")'),
        reason("r_filter", "Filter", at_least("filtern", "filterwanted", '"filter "&{filtersaid}&" cm², at least "&FIXED({filterwanted},1,TRUE)')),
        reason("r_rest", "Other answers", f'=IF(ISERROR({{boreleast}}),{CANNOT}<boreleast>,"")'),
    ],
    required=(),
    answers=("pressure", "boreleast", "asked", "filterleast"),
    of_a_line=True,
)  # fmt: skip

DRAINS = row_table(
    NAME,
    "Does what a catch tank has caught run back by itself?",
    shown=[
        text("tank", WHICH, "Catch tank", 12, "A name of your own. Each name once.", wrap=True),
        check(WHICH, 35.2),
        memory(WHICH, ("fluid", REMEMBERED_FLUID), width=6.6),
        picked("loop", FITTED, "Low loop", 8.5, words("yes", "no"), "Does the drain sag below its port anywhere? Blank: no."),
        picked("fluid", FITTED, "Fluid", 15, "FluidList", "A fluid of the Fluids sheet."),
        typed("hottest", FITTED, "Oil, hot", "°C", 7, "Temperature of the oil while it drains.", (-60, 200)),
        typed("height", FITTED, "Height over port", "mm", 6.6, "From the port up to the oil in the tank, in mm.", span("DRAIN_TIME", "height")),
        typed("case", FITTED, "Case pressure", "kPa", 8.8, "Pressure in the case that it drains into.", span("DRAIN_HEIGHT", "case_pressure")),
        typed("bore", FITTED, "Drain bore", "mm", 7, "Inside diameter of the drain.", span("DRAIN_TIME", "bore")),
        typed("length", FITTED, "Drain length", "m", 7, "Length of the drain.", span("LINE_VOLUME", "length")),
        typed("volume", FITTED, "Oil to drain", "L", 7, "What has to run back.", span("LINE_VOLUME", "length")),
        worked("least", OUT, "Least height", "mm", 6.5, '=IF({ready},DRAIN_HEIGHT({case},{fw},{hottest}),"")', "0"),
        worked("seconds", OUT, "Drains in", "s", 7, '=IF({ready},IF({heightn}>{least},DRAIN_TIME({volume},{heightn}-{least},{bore},{length},{fw},{hottest}),""),"")', "0"),
        worked("fall", OUT, "Fall", "mm/m", 7, '=IF({ready},{heightn}/{lengthn},"")', "0"),
        others(DO, 17),
    ],
    helpers=[
        fluid_words(),
        number("heightn", "Height number", "mm", "height", "mm"),
        number("lengthn", "Length number", "m", "length", "m"),
        number("casen", "Pressure number", "kPa", "case", "kPa"),
        why("least", "least height", "DRAIN_HEIGHT", "{case},{fw},{hottest}", "AND({ready},ISTEXT({fw}),ISNUMBER({casen}))"),
        why("seconds", "time to drain", "DRAIN_TIME", "{volume},{heightn}-{least},{bore},{length},{fw},{hottest}",
            "AND({ready},ISNUMBER({least}),ISNUMBER({heightn}),ISNUMBER({lengthn}))"),
    ],
    reasons=[
        fluid_reason(),
        reason("r_height", "Height", at_least("heightn", "least", '"tank "&FIXED({heightn},0,TRUE)&" mm above the port, "&{casen}&'
                                              '" kPa case pressure needs at least "&FIXED({least},0,TRUE)', lambda _: f'IF(ISERROR({{least}}),{CANNOT}<least>,"")')),
        of_its_list("loop", "Words of Low loop", "yes", "no"),
        reason("r_low", "Low loop", '=IF(AND({ready},{loop}="yes"),"Change: low loop holds oil","")'),
        reason("r_rest", "Other answers", f'=IF(ISERROR({{seconds}}),{CANNOT}<seconds>,"")'),
    ],
    required=("fluid", "hottest", "height", "case", "bore", "length", "volume"),
    answers=("least", "seconds"),
    whys=("whyleast", "whyseconds"),
)  # fmt: skip

TABLES = aligned(Table(TANKS, "tanks"), Table(AIR, "airlines"), Table(DRAINS, "drains", 5))
POINTS = 9  # of the curve of the chart


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet and its names; returns what Start says of it."""
    says = "Is there room for what grows, and does everything that breathes stay dry and open?"
    hint = "Type the first tank or case below, e.g. fuel tank, then fill its row to the right."
    sheet, found, said = add_tables(book, painter, job, says, TABLES, hint=hint)
    tanks, air = found[0], found[1]
    name_areas(book, tanks.made, (("TankNames", "item"), ("TankKinds", "kind"), ("TankFillTo", "fillto")), tanks.count)
    name_list(book, tanks.made, "TankList", "item", tanks.count)
    name_areas(book, air.made, (("BreatherLines", "line"), ("BreatherEnds", "endn"), ("BreatherWades", "waden")), air.count)
    sheet.row_breaks.append(Break(id=found[-1].made.top - 2))
    row = found[-1].last_row + 2
    note(sheet, painter, row, CAUTION)
    last = _chart(sheet, painter, tanks, row + 2)
    below_tables(sheet, row, last)
    return said


def _chart(sheet: Worksheet, painter: Painter, tanks: Placed, row: int) -> int:
    """Growth of one tank's fluid against its temperature, with the tank that is fitted; answers its last row."""
    made = tanks.made
    shown = choice(sheet, painter, row, "Item shown", "TankList", "Which tank the chart shows. Blank: the first row.")
    column = 1 + sum(not each.folded for each in made.columns)
    at = Figures(sheet, painter, row, column)

    def of(key: str) -> str:
        return f"INDEX({made.area(key, tanks.count, sheet=False)},{place})"

    place = at.put(0, "Place", f'=IF({shown}="",2,IFERROR(MATCH({shown},TankNames,0),0))')
    grows = at.put(1, "Grows", f'=IF({place}=0,FALSE,{of("grows")})')
    volume, fill, hottest = (at.put(2 + n, key, f'=IF({grows},{of(key)},"")') for n, key in enumerate(("volume", "fill", "hottest")))
    words = at.put(5, "Fluid words", f'=IF({grows},{of("fw")},"")')
    tank = at.put(6, "Tank", f'=IF({grows},{of("tankn")},"")')
    growth = at.put(7, "Growth", f'=IF({grows},{of("growth")},"")')
    cold, hot = (at.put(8 + n, f"{key} number", f'=IF({grows},QUANTITY_IN({cell},"degC"),"")') for n, (key, cell) in enumerate((("Fill", fill), ("Hottest", hottest))))
    sentence = (f'=IF({grows},INDEX(TankNames,{place})&": grows "&FIXED({growth},2,TRUE)&" L from "&FIXED({cold},0,TRUE)&" to "'
                f'&FIXED({hot},0,TRUE)&" °C, tank "&{tank}&" L","Growth against temperature: pick a tank that grows")')  # fmt: skip
    painter.put(sheet, row, made.frozen + 1, sentence, DECIDES)
    warm = at.column(10, "Temperature, °C", [f'=IF({grows},{cold}+({hot}-{cold})*{n}/{POINTS - 1},"")' for n in range(POINTS)])
    litres = at.column(11, "Growth, L", [f'=IF({grows},FLUID_EXPANSION_VOLUME({volume},{words},{fill},{cell}),"")' for cell in at.cells(10, POINTS)])
    ends = at.column(12, "Ends, °C", [f"={cold}", f'=IF({grows},{hot}+({hot}-{cold})/6,"")'])
    room = at.column(13, "Tank, L", [f"={tank}", f"={tank}"])
    draw(sheet, f"A{row + 1}", Axis("temperature, °C"), Axis("growth, L", low=0), [
        Curve("growth", warm, litres, "first"),
        Curve("tank fitted", ends, room, "limit", label="first"),
    ])  # fmt: skip
    sheet.print_area = f"A1:{get_column_letter(column - 1)}{row + CHART_ROWS}"
    return row + CHART_ROWS
