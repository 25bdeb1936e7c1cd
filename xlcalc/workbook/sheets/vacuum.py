"""Vacuum: how many stops a servo has left when the engine stops, and whether a tee treats both throttle bodies alike."""

from collections.abc import Mapping

from openpyxl import Workbook

from xlcalc.workbook.building.blocks import Table, add_tables, aligned, below_tables, title_notes
from xlcalc.workbook.building.checks import CANNOT, at_least, folded, limit_words, number, reason, row_table, told_apart
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import name_areas, name_list
from xlcalc.workbook.building.style import QUIET, Painter
from xlcalc.workbook.sheets.columns import check, counted, memory, others, picked_line, span, text, typed, why, worked
from xlcalc.workbook.sheets.vacuum_chart import chart
from xlcalc.workbook.sheets.vacuum_tees import NAME, ONE_DIGIT, TEE_NOTE, TEES, line_cells, no_line, where_read

WHICH, SERVO, STARTS, WANTED, OUT, DO = (
    "Which", "The servo", "Where it starts", "What is wanted", "What comes out", "What to do"
)  # fmt: skip
CAUTIONS = (
    "A servo without vacuum leaves a pedal that few can press hard enough. Hydraulic brake lines are out of scope.",
    "A certified person decides. Prove it on the car: count full stops with the engine off.",
)
LEAST_NOTE = (
    "The least vacuum is a truck rule's warning level, an engineering default: the brake maker's figure goes over it on "
    "Start. Every stop is a full stroke."
)
HALF = "flow"  # the last column of the first of two sheets of paper; what stands below the tables ends there too
LARGEST = span("VACUUM_AFTER_STOPS", "reservoir_volume")[1]  # no larger reservoir is ever advised
ALL_READ = "+".join(f"{{{key}}}" for key in ("diametern", "stroken", "servon", "reservoirn", "vacn", "atn", "stopsn", "backn"))


SERVOS = row_table(
    NAME,
    "Does the servo still help without the engine?",
    shown=[
        text("servo", WHICH, "Servo", 12, "A name of your own, e.g. brake servo. Each name once.", wrap=True),
        check(WHICH),
        memory(WHICH),
        typed("diameter", SERVO, "Diameter", "mm", 8.5, "Effective diameter of the diaphragm, in mm or e.g. 10 in.",
              span("SERVO_STROKE_VOLUME", "diameter")),
        typed("stroke", SERVO, "Full stroke", "mm", 8, "Of the servo's rod, in mm.", span("SERVO_STROKE_VOLUME", "stroke")),
        counted("diaphragms", SERVO, "Diaphragms", "", 11, "1, or 2 in a tandem servo.", (1, 4), "0"),
        typed("volume", SERVO, "Servo volume", "L", 8, "Vacuum side of the servo at rest, in L.", span("VACUUM_AFTER_STOPS", "servo_volume")),
        typed("reservoir", SERVO, "Reservoir fitted", "L", 9.5, "Behind the non-return valve. None: type 0.",
              span("VACUUM_AFTER_STOPS", "reservoir_volume")),
        typed("vacuum", STARTS, "Vacuum measured", "kPa below", 9.6, "Engine idling and warm, in kPa below the air around, or e.g. 14 inHg. "
              "A vacuum pump: its figure at the highest road, and that height.", span("VACUUM_AT_ALTITUDE", "vacuum")),
        typed("at", STARTS, "Measured at", "m", 9.5, "Height above the sea where it was measured. Blank: the workshop's.",
              span("VACUUM_AT_ALTITUDE", "measured_altitude")),
        counted("stops", WANTED, "Stops wanted", "", 7.5, "Full stops that must be left without the engine.", (1, 100), "0"),
        typed("back", WANTED, "Vacuum wanted back", "kPa below", 9, "What it must come back to after these stops, engine running.",
              span("VACUUM_RECOVERY_TIME", "wanted_vacuum")),
        picked_line("feed", WANTED, "Feed line", 11, "The vacuum line of Lines that feeds it: its flow brings the vacuum back."),
        typed("flow", WANTED, "Flow, where no line", "L/min", 9, "Free air that the feed passes. Not needed where a feed line is picked.",
              span("VACUUM_RECOVERY_TIME", "flow")),
        worked("swept", OUT, "Stroke volume", "L", 8, '=IF({ready},SERVO_STROKE_VOLUME({diametern},{stroken},{diaphragms}),"")'),
        worked("road", OUT, "Vacuum at the road", "kPa below", 9,
               '=IF({ready},IF(AND({vacn}>=0,{manifold}>=AirAtRoad),0,VACUUM_AT_ALTITUDE({vacn},{atn},RoadAltitude)),"")', ONE_DIGIT),
        worked("wanted", OUT, "Reservoir wanted", "L", 9.5,
               '=IF({ready},IF({starts},RESERVOIR_FOR_STOPS({road},{least},{stopsn},{swept},{servon},RoadAltitude),"no size"),"")'),
        worked("after", OUT, "Vacuum after stops", "kPa below", 9.6,
               '=IF({ready},VACUUM_AFTER_STOPS({road},{stopsn},{swept},{servon},{reservoirn},RoadAltitude),"")', ONE_DIGIT),
        worked("available", OUT, "Stops available", "", 8,
               '=IF({ready},IF({starts},STOPS_AVAILABLE({road},{least},{swept},{servon},{reservoirn},RoadAltitude),0),"")', "0"),
        worked("used", OUT, "Flow that feeds it", "L/min", 8,
               '=IF({ready},IF({feed}="",{flown},IF({filled1},INDEX(LineFlows,{place1}),"")),"")', ONE_DIGIT),
        worked("recovery", OUT, "Back in", "s", 7,
               '=IF({recovers},VACUUM_RECOVERY_TIME({after},{backn},{road},{servon}+{reservoirn},{used},RoadAltitude),"")', ONE_DIGIT),
        others(DO, 40),
    ],
    helpers=[
        number("diametern", "Diameter number", "mm", "diameter", "mm"),
        number("stroken", "Stroke number", "mm", "stroke", "mm"),
        number("servon", "Servo number", "L", "volume", "L"),
        number("reservoirn", "Reservoir number", "L", "reservoir", "L"),
        number("vacn", "Vacuum number", "kPa", "vacuum", "kPa vac"),
        folded("atn", "Measured at, number", "m", '=IF({ready},QUANTITY_IN(IF({at}="",WorkshopAltitude,{at}),"m"),"")', reads=("at", "m")),
        number("stopsn", "Stops number", "", "stops", "1"),
        number("backn", "Wanted back, number", "kPa", "back", "kPa vac"),
        number("flown", "Flow number", "L/min", "flow", "L/min"),
        folded("read", "Every typed cell is read", "", f"=ISNUMBER({ALL_READ})"),
        *line_cells("feed", 1, "the feed line"),
        folded("manifold", "Absolute where measured", "kPa", '=IF({ready},AIR_PRESSURE_AT({atn})-{vacn},"")'),
        folded("workshop", "Vacuum at the workshop", "kPa",
               '=IF(AND({ready},WorkshopAltitude<>""),IF(AND({vacn}>=0,{manifold}>=AirAtWorkshop),0,'
               'VACUUM_AT_ALTITUDE({vacn},{atn},WorkshopAltitude)),"")'),
        folded("least", "Vacuum at least", "kPa", '=IF({ready},VacuumLeast,"")'),
        folded("starts", "Starts above the least", "", "=IF({ready},{road}>{least},FALSE)"),
        folded("recovers", "Comes back to it", "", "=IF({ready},IF(ISNUMBER({used}),{backn}<{road},FALSE),FALSE)"),
        folded("height", "Highest road in words", "", '=IF({ready},FIXED(QUANTITY_IN(RoadAltitude,"m"),0,TRUE)&" m","")'),
        folded("stopswords", "Stops in words", "", '=IF({ready},FIXED({stopsn},0,TRUE)&IF({stopsn}=1," stop"," stops"),"")'),
        told_apart("roadsaid", "At the road in words", "road", "{least}"),
        told_apart("aftersaid", "After stops in words", "after", "{least}"),
        told_apart("backsaid", "Wanted back in words", "backn", "{road}"),
        folded("size", "Reservoir to fit", "L",
               f'=IF({{ready}},IF({{starts}},IF({{wanted}}<={LARGEST:g},ROUNDUP({{wanted}},1),""),""),"")'),
        folded("advice", "What to do, in words", "",
               '=IF({ready},IFERROR(IF({after}>={least},"",IF({size}="",": fit a vacuum pump",": reservoir "&'
               'FIXED({size},1,TRUE)&" L or more")),""),"")'),
        folded("failed", "Answer that failed", "",
               '=IF({read},IF(ISERROR({swept}),<swept>,IF(ISERROR({available}),<available>,IF(AND(ISERROR({used}),ISERROR({flown})=FALSE),<used>,'
               'IF(ISERROR({recovery}),<recovery>,"")))),"")'),
        why("swept", "stroke volume", "SERVO_STROKE_VOLUME", "{diametern},{stroken},{diaphragms}", "{read}"),
        why("road", "vacuum at the road", "VACUUM_AT_ALTITUDE", "{vacn},{atn},RoadAltitude", "{read}"),
        why("after", "vacuum after stops", "VACUUM_AFTER_STOPS", "{road},{stopsn},{swept},{servon},{reservoirn},RoadAltitude", "AND({read},ISNUMBER({road}+{swept}))"),
        why("recovery", "time", "VACUUM_RECOVERY_TIME", "{after},{backn},{road},{servon}+{reservoirn},{used},RoadAltitude", "AND({read},ISNUMBER({after}+{used}))"),
    ],
    reasons=[
        no_line("feed", 1, "the feed line"),
        reason("r_start", "Vacuum at the road",
               at_least("road", "least", f'{{roadsaid}}&" kPa at "&{{height}}&" before any stop, at least "&{limit_words("least")}&'
                        '": fit a vacuum pump"', where_read)),
        reason("r_after", "Vacuum after stops",
               at_least("after", "least", f'{{aftersaid}}&" kPa left after "&{{stopswords}}&", at least "&{limit_words("least")}&{{advice}}',
                        lambda label: f'IF(AND({{read}},ISNUMBER({{road}}+{{swept}})),{CANNOT}{label},"")')),
        reason("r_swept", "Stroke against servo",
               '=IFERROR(IF({swept}>{servon},"Change: a stroke sweeps "&FIXED({swept},3,TRUE)&" L, the servo holds "&FIXED({servon},3,TRUE)&'
               '" L: check both",""),"")'),
        reason("r_back", "Wanted back",
               f'=IFERROR(IF({{backn}}<{{least}},"Change: "&{{backsaid}}&" kPa wanted back, at least "&{limit_words("least")},'
               'IF(AND({starts},{backn}>={road}),"Change: "&{backsaid}&" kPa wanted back, the engine gives "&FIXED({road},1,TRUE)&'
               '" at "&{height}&": want less","")),"")'),
        reason("r_feeduse", "Use of the feed line",
               '=IF({filled1},IF(INDEX(LineUses,{place1})="vacuum","","Change: "&{feed}&" is no vacuum line on Lines"),"")'),
        reason("r_flows", "One flow or the other",
               '=IFERROR(IF(OR({filled1}=FALSE,{flow}=""),"",IF(ABS({flown}-{used})>0.001*{used},"Change: "&{feed}&" carries "&'
               'FIXED({used},1,TRUE)&" L/min on Lines, typed "&FIXED({flown},1,TRUE)&": clear one","")),"")'),
        reason("r_rest", "Other answers", f'=IF({{failed}}="","",{CANNOT}{{failed}})'),
    ],
    required=("diameter", "stroke", "diaphragms", "volume", "reservoir", "vacuum", "stops", "back"),
    answers=("swept", "road", "after"),
    more_missing='IF(RoadAltitude="","Highest road, on Start",IF(AND({at}="",WorkshopAltitude=""),"Workshop altitude, on Start",'
                 'IF(AND({feed}="",{flow}=""),"Feed line, or its flow","")))',
    whys=("whyswept", "whyroad", "whyafter", "whyrecovery"),
)  # fmt: skip


TABLES = aligned(Table(SERVOS, "servos", 4, 2), Table(TEES, "tees", 3, 2))
NAMED = (
    ("ServoNames", "servo"), ("ServoAtWorkshop", "workshop"), ("ServoStrokes", "swept"), ("ServoVolumes", "servon"),
    ("ServoReservoirs", "reservoirn"), ("ServoStops", "available"),
)  # fmt: skip  # columns that other sheets look a servo up in, by its name


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet and its names; returns what Start says of it."""
    says = "Enough vacuum, and evenly from both sides?"
    hint = "Type the first servo below, e.g. brake servo, then fill its row to the right."
    sheet, found, said = add_tables(book, painter, job, says, TABLES, hint=hint, split=HALF)
    servos, tees = found
    name_areas(book, servos.made, NAMED, servos.count)
    name_list(book, servos.made, "ServoList", "servo", servos.count)
    title_notes(sheet, painter, CAUTIONS)
    row = first = tees.last_row + 2
    half = SERVOS.frozen + 1, SERVOS.places[HALF]
    for words_ in (LEAST_NOTE, TEE_NOTE):
        painter.put(sheet, row, half[0], words_, QUIET)  # past the columns that both sheets of paper repeat
        row += 1
    last = chart(sheet, painter, servos, row, half)
    below_tables(sheet, first, last)
    sheet.print_area = f"A1:{SERVOS.letter('others')}{last}"
    return said
