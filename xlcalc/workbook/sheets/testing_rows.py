"""What is read on the car against what was worked out, the road test, and what is to be looked after."""

from dataclasses import replace

from xlcalc.workbook.building.checks import CANNOT, folded, number, of_line, reason, row_table
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.landmarks import DROP, FLOW, STOPS, WARM
from xlcalc.workbook.sheets.columns import (
    check,
    dated,
    memory,
    others,
    picked,
    picked_line,
    span,
    text,
    typed,
    words,
    worked,
)
from xlcalc.workbook.sheets.testing_lines import DO, NAME, OUT, READ, WHICH, first_blank

WHATS = (FLOW, DROP, STOPS, WARM)
KNOWN = ",".join(f'{{what}}="{what}"' for what in WHATS)
GIVEN, LIFE = "What it was read at", "How long it lasts"
TWO_DIGITS = "0.0;-0.0;0.0"
STOPS_SEEN = "stops, engine off"  # how the row begins in which the stops are counted
ROAD_ROWS = (
    "heat soak 20 min: every joint dry",
    "lock to lock: no squeal, no foam",
    "lock hold, under 5 s: hose dry",
    f"{STOPS_SEEN}: pedal stays soft",
    "brimmed, parked in the sun: dry",
    "fan on and off, seen at the gauge",
    "hills and bends: no smell of fuel",
    "cold start: no whine, joints dry",
)


def _needs(what: str, *keys: str, then: str = '""') -> str:
    """Header of the first blank cell that a kind of reading needs."""
    return f'=IF({{what}}="{what}",{first_blank(*(("", key) for key in keys))},{then})'


def _of_line(key: str, head: str, unit: str, name: str) -> Column:
    """What Lines says of the line of a reading."""
    return folded(key, head, unit, f'=IF({{able}},INDEX({name},{{place}}),"")')


THROUGH_LINE = "{bypump}=FALSE"
FOR_FLOW = first_blank((THROUGH_LINE, "oil"), ("", "litres"), ("", "seconds"), (THROUGH_LINE, "head"))
OF_FLUID = (  # no fluid is looked at for stops, nor for a pump without a gauge
    'IF(OR({isstops},AND({isflow},{bypump})),FALSE,IF({cooled},INDEX(CircuitMemory,{circuitplace})<>"",'
    'INDEX(FluidMemory,MATCH(INDEX(LineFluids,{place}),FluidNames,0))="memory"))'
)
NO_SERVO, NO_CIRCUIT = '{servoname}=""', '{circuit}=""'
OF_SERVO = ("vacuum", "stroke", "servo", "reservoir")


def _of_row(key: str, head: str, names: str, *answers: str) -> list[Column]:
    """Place of a row of another sheet that a reading names, and whether it has its answers; 0 and TRUE where none is named."""
    place = f"{{{key}place}}"
    found = "+".join(f"INDEX({name},{place})" for name in answers)
    return [
        folded(f"{key}place", f"{head}: its row", "", f'=IF({{{key}}}="",0,IFERROR(MATCH({{{key}}},{names},0),0))'),
        folded(f"{key}ready", f"{head}: worked out", "", f'=IF({place}=0,{{{key}}}="",ISNUMBER({found}))'),
    ]


def _else_of(row: str, key: str, head: str, unit: str, name: str) -> Column:
    """A typed cell, or where it is blank what the row of another sheet says."""
    return folded(f"{key}used", f"{head}, used", unit, f'=IF({{able}},IF(AND({{{key}}}="",{{{row}place}}>0),INDEX({name},{{{row}place}}),{{{key}}}),"")')


def _no_row(key: str, kind: str, sheet: str) -> Column:
    """Why a row of another sheet gives nothing."""
    return reason(f"r_{key}", f"On {sheet}: the {kind}", f'=IF({{{key}ready}},"",IF({{{key}place}}=0,"Cannot be worked out: "&{{{key}}}&'
                  f'" is no {kind} of {sheet}","Cannot be worked out: see {kind} "&{{{key}}}&" on {sheet} first"))')  # fmt: skip


def _check_of_a_job(band: str) -> Column:
    """The Check of a row that stands in every workbook: blank until there is a line."""
    return replace(check(band), spec='=IF(LinesNamed=0,"",{first})')


LINE_HELPERS, LINE_REASONS = of_line("line")
AT = "{lossk},{rise}"

READINGS = row_table(
    NAME,
    "Does the car do what was worked out?",
    shown=[
        text("reading", WHICH, "Reading", 17.5, "A name of your own, e.g. GB-2 flow. Each name once.", wrap=True),
        check(WHICH),
        memory(WHICH, ("fluid", OF_FLUID)),
        picked_line("line", GIVEN, "Line", 11, "The line of Lines that it was read on."),
        picked("what", GIVEN, "What", 12, words(*WHATS), "Flow: a can filled. Vacuum: left after stops with the engine off."),
        typed("oil", GIVEN, "Fluid, that day", "°C", 7, "Its temperature while it was read; return temperature: into the cooler.", (-60, 200)),
        typed("litres", GIVEN, "Can filled", "L", 7, "Flow: litres in the can.", span("GAS_ENERGY", "volume")),
        typed("seconds", GIVEN, "Time to fill", "s", 8, "Flow: seconds until the can was full.", (0.1, 100000)),
        typed("head", GIVEN, "Gauge at its start", "kPa", 8, "Flow: what it showed over its end. Blank with a pump of fixed flow: what Lines says is expected.", span("PROOF_PRESSURE", "working_pressure")),
        typed("flow", GIVEN, "Flow, that day", "L/min", 7, "Also of a pump of fixed flow without a gauge. Blank: of the circuit, else of Lines.", span("LINE_VELOCITY", "flow")),
        picked("servoname", GIVEN, "Servo of Vacuum", 12.5, "ServoList", "Vacuum after stops: what is blank to the right comes from this row of Vacuum."),
        typed("vacuum", GIVEN, "Vacuum before", "kPa", 8, "Vacuum after stops: kPa below the air before the first. Blank: of the servo.", (0, 110)),
        typed("stops", GIVEN, "Stops", "", 7, "Vacuum after stops: how many, engine off.", span("VACUUM_AFTER_STOPS", "stops")),
        typed("stroke", GIVEN, "Stroke of servo", "L", 7, "Vacuum after stops: swept at one stop. Blank: of the servo.", span("VACUUM_AFTER_STOPS", "stroke_volume")),
        typed("servo", GIVEN, "Servo volume", "L", 7.5, "Vacuum after stops. Blank: of the servo.", span("VACUUM_AFTER_STOPS", "servo_volume")),
        typed("reservoir", GIVEN, "Reservoir", "L", 9.5, "Vacuum after stops. Blank: of the servo.", span("VACUUM_AFTER_STOPS", "reservoir_volume")),
        picked("circuit", GIVEN, "Cooling circuit", 9.5, "CircuitList", "Return temperature: flow, fluid and cooler come from this row of Cooling, where blank."),
        typed("air", GIVEN, "Air, that day", "°C", 7, "Return temperature: the air into the cooler.", (-60, 100)),
        typed("perdegree", GIVEN, "Cooler, per degree", "kW/K", 7.5, "Return temperature: heat per degree. Blank: of the circuit, in the air of the highest road.", span("COOLER_OIL_OUT", "heat_per_degree")),
        typed("measured", "Read", "Gauge shows", "kPa, °C", 8, "The reading itself: kPa or °C. Of a flow: blank, the can says it.", (-100, 100000)),
        worked("read", OUT, "Reading", "", 8, '=IF({able},IF({isflow},{litresn}/{secondsn}*60,{measuredn}),"")', TWO_DIGITS),
        worked("unit", OUT, "Unit", "", 7, f'=IF({{able}},IF({{isflow}},"L/min",IF({{what}}="{WARM}","°C","kPa")),"")'),
        worked("least", OUT, "Expected at least", "", 9.4, '=IF({able},{lowest}-IF({iswarm},ReadingTemperature,ABS({lowest})*ReadingDoubt/100),"")', TWO_DIGITS),
        worked("most", OUT, "Expected at most", "", 9.4, '=IF({able},{highest}+IF({iswarm},ReadingTemperature,ABS({highest})*ReadingDoubt/100),"")', TWO_DIGITS),
        others(DO, 25.5),
    ],
    helpers=[
        *LINE_HELPERS,
        folded("bypump", "By the pump, no gauge", "", '=IF({place}=0,FALSE,AND({head}="",INDEX(LinePushed,{place})="pump fixed flow"))'),
        folded("forflow", "Missing, flow", "", f'=IF({{what}}="{FLOW}",{FOR_FLOW},{{fordrop}})'),
        folded("fordrop", "Missing, drop", "", _needs(DROP, "oil", "measured", then="{forwarm}")),
        folded("forwarm", "Missing, return temperature", "", f'=IF({{what}}="{WARM}",{first_blank(("", "oil"), ("", "measured"), ("", "air"), (NO_CIRCUIT, "perdegree"))},{{forstops}})'),
        folded("forstops", "Missing, vacuum", "", f'=IF({{what}}="{STOPS}",{first_blank(("", "measured"), ("", "stops"), then="{forservo}")},"")'),
        folded("forservo", "Missing of the servo", "", f'=IF({NO_SERVO},{first_blank(*(("", key) for key in OF_SERVO))},"")'),
        folded("onstart", "Missing on Start", "", f'=IF(AND({{what}}="{STOPS}",WorkshopAltitude=""),"Workshop altitude, on Start","")'),
        *_of_row("servoname", "Servo", "ServoNames", "ServoAtWorkshop", "ServoStrokes"),
        *_of_row("circuit", "Circuit", "CircuitNames", "CircuitPerDegree", "CircuitFlows"),
        folded("able", "Line, servo, circuit known", "", "=AND({ready},{lineready},{servonameready},{circuitready})"),
        folded("isflow", "Flow", "", f'=AND({{able}},{{what}}="{FLOW}")'),
        folded("isdrop", "Drop", "", f'=AND({{able}},{{what}}="{DROP}")'),
        folded("isstops", "Stops", "", f'=AND({{able}},{{what}}="{STOPS}")'),
        folded("iswarm", "Return", "", f'=AND({{able}},{{what}}="{WARM}")'),
        _of_line("bore", "Bore", "mm", "LineBores"),
        _of_line("length", "Length", "m", "LineLengths"),
        _of_line("lossk", "Fittings", "K", "LineFittings"),
        _of_line("rise", "Rise", "m", "LineRises"),
        folded("cooled", "By a circuit of Cooling", "", "=AND({iswarm},{circuitplace}>0)"),
        folded("fw", "Fluid words", "", '=IF({able},IF({cooled},INDEX(CircuitFluidWords,{circuitplace}),INDEX(LineFluidWords,{place})),"")'),
        folded("flown", "Flow number", "L/min", '=IF({able},IF({flow}<>"",QUANTITY_IN({flow},"L/min"),IF({cooled},INDEX(CircuitFlows,{circuitplace}),INDEX(LineFlows,{place}))),"")', reads=("flow", "L/min")),
        *(_else_of("servoname", key, head, unit, name) for key, head, unit, name in (
            ("vacuum", "Vacuum before", "kPa", "ServoAtWorkshop"), ("stroke", "Stroke", "L", "ServoStrokes"),
            ("servo", "Servo volume", "L", "ServoVolumes"), ("reservoir", "Reservoir", "L", "ServoReservoirs"))),
        _else_of("circuit", "perdegree", "Heat per degree", "kW/K", "CircuitPerDegree"),
        number("litresn", "Litres number", "L", "litres", "L"),
        number("secondsn", "Seconds number", "s", "seconds", "s"),
        folded("measuredn", "Reading number", "", '=IF({able},IF({measured}="","",IF({iswarm},QUANTITY_IN({measured},"degC"),QUANTITY_IN({measured},"kPa"))),"")'),
        *(folded(f"{word}flow", f"Flow, {side}", "", f'=IF({{isflow}},IF({{bypump}},{{flown}}*(1{sign}PumpDoubt/100),'
                 f'{function}("FLOW_FOR_DROP",{{bore}},{{length}},{{fw}},{{oil}},{{head}},{AT})),"")')
          for word, side, function, sign in (("low", "low", "ANSWER_LOW", "-"), ("high", "high", "ANSWER_HIGH", "+"))),
        *(folded(f"{word}{key}", f"{head}, {side}", "", f'=IF({{is{key}}},{function}("{name}",{given}),"")')
          for word, side, function in (("low", "low", "ANSWER_LOW"), ("high", "high", "ANSWER_HIGH"))
          for key, head, name, given in (
              ("drop", "Drop", "LINE_PRESSURE_DROP", "{flown},{bore},{length},{fw},{oil}," + AT),
              ("stops", "Vacuum", "VACUUM_AFTER_STOPS", "{vacuumused},{stops},{strokeused},{servoused},{reservoirused},WorkshopAltitude"),
              ("warm", "Return", "COOLER_OIL_OUT", "{flown},{fw},{oil},{air},{perdegreeused}"))),
        folded("lowest", "Lowest worked out", "", '=IF({isflow},{lowflow},IF({isdrop},{lowdrop},IF({isstops},{lowstops},{lowwarm})))'),
        folded("highest", "Highest worked out", "", '=IF({isflow},{highflow},IF({isdrop},{highdrop},IF({isstops},{highstops},{highwarm})))'),
        folded("said", "Reading in words", "", '=IFERROR({what}&" "&FIXED({read},IF(OR(ROUND({read},1)=ROUND({least},1),ROUND({read},1)=ROUND({most},1)),3,1),TRUE)'
               '&" "&{unit}&", expected "&FIXED({least},1,TRUE)&" to "&FIXED({most},1,TRUE),"")'),
        folded("slow", "What to look for, too little flow", "",
               '=IF({bypump},"blocked line, slow engine, worn pump, slipping belt","kinked or blocked line, cold oil, wrong fluid")'),
        folded("fast", "What to look for, too much flow", "",
               '=IF({bypump},"faster engine than Lines has it, can, watch","thinner or warmer oil, open bypass, gauge")'),
        folded("under", "What to look for, too low", "",
               '=IF({isflow},{slow},IF({isdrop},"less flow than thought, warmer oil, gauge",'
               'IF({isstops},"leak, non-return valve, smaller reservoir","less oil through the cooler than thought, colder air, probe")))'),
        folded("over", "What to look for, too high", "",
               '=IF({isflow},{fast},IF({isdrop},"kinked or blocked line, cold oil, wrong fluid",'
               'IF({isstops},"engine still turning, shorter strokes, gauge","air blocked or fan slow, cooler dirty, open bypass")))'),
    ],
    reasons=[
        *LINE_REASONS,
        _no_row("servoname", "servo", "Vacuum"),
        _no_row("circuit", "circuit", "Cooling"),
        reason("r_what", "What", f'=IF({{ready}},IF(OR({KNOWN}),"",{CANNOT}<what>&", not a word of its list"),"")'),
        reason("r_answer", "Expected", f'=IF({{able}},IF(ISERROR({{read}}),{CANNOT}<read>,IF(OR(ISERROR({{least}}),ISERROR({{most}})),{CANNOT}<least>,"")),"")'),
        reason("r_low", "Too low", '=IFERROR(IF({able},IF({read}<{least},"Change: "&{said}&": "&{under},""),""),"")'),
        reason("r_high", "Too high", '=IFERROR(IF({able},IF({read}>{most},"Change: "&{said}&": "&{over},""),""),"")'),
    ],
    required=("line", "what"),
    answers=("least",),
    read=("litresn", "secondsn", "flown"),
    more_missing='IF({forflow}="",{onstart},{forflow})',
)  # fmt: skip

ROAD = row_table(
    NAME,
    "Was it driven, and did it show what it must?",
    shown=[
        text("road", WHICH, "On the road", 17.5, "What is done, and what it must show. Each once.", wrap=True),
        _check_of_a_job(WHICH),
        memory(WHICH),
        picked("seen", READ, "Seen", 7, words("yes", "no"), "Yes: it showed what it must. No: it did not. Blank: not driven yet."),
        dated("date", READ, "Date", 11, "When."),
        text("by", READ, "By", 9, "Who drove it.", wrap=True),
        text("noted", READ, "Counted, read", 9, "Stops counted, temperatures read, what was wet.", wrap=True),
        others(DO, 25.5),
    ],
    helpers=[],
    reasons=[
        reason("r_seen", "Seen", f'=IF({{ready}},IF({{seen}}="no","Change: did not show what it must: mend and drive again",IF({{seen}}="yes","",{CANNOT}<seen>&", not a word of its list")),"")'),
        reason("r_date", "Date", f'=IF(AND({{ready}},ISNUMBER({{date}})=FALSE),{CANNOT}<date>&", not a date","")'),
    ],
    required=("seen", "date", "by"),
)  # fmt: skip

SERVICE = row_table(
    NAME,
    "When is what to be looked after, and each hose to be replaced?",
    shown=[
        text("item", WHICH, "Line or item", 17.5, "A line of Lines for its hose, or what is to be looked after.", wrap=True),
        _check_of_a_job(WHICH),
        memory(WHICH),
        typed("years", LIFE, "Life of hose", "years", 7, "Years from its making, by its maker or by the shop's custom: 5 or 6.", (0.5, 30)),
        dated("made", LIFE, "Hose made", 11.5, "The date code of the hose, e.g. its first day of that quarter."),
        text("when", LIFE, "When", 9, "Where no hose is replaced: e.g. at 100 km, every year. What stands here is common practice.", wrap=True),
        typed("again", LIFE, "Due again after", "years", 9, "Every year: 1; every six months: 0.5; counted in whole months. Years that stand here are common practice. Blank: not due by the calendar.",
              (0.05, 30)),
        replace(dated("done", LIFE, "Done on", 11, "Of what is looked after: the day it was done. Blank: still to be done."), words=True),
        text("doneby", LIFE, "By", 8, "Who did it.", wrap=True),
        worked("age", LIFE, "Age", "years", 7, '=IF({aged},(JobDate-{made})/365.25,"")', TWO_DIGITS),
        worked("replace", LIFE, "Replace by", "date", 11, '=IF({dated},EDATE({made},{yearsn}*12),"")', "d mmm yyyy"),
        worked("due", LIFE, "Due again", "date", 11, '=IF({returns},EDATE({done},ROUND({againn}*12,0)),"")', "d mmm yyyy"),
        others(DO, 25.5),
    ],
    helpers=[
        folded("forhose", "Missing of a hose", "", '=IF({made}="",<made>,IF({years}="",<years>,""))'),
        folded("fordue", "Missing of what is looked after", "",
               '=IF(AND({again}="",OR(ISNUMBER(SEARCH("year",{when})),ISNUMBER(SEARCH("month",{when})))),<again>,"")'),
        number("yearsn", "Years number", "", "years", "1"),
        number("againn", "Due again number", "", "again", "1"),
        folded("returns", "Done, and due again", "", '=AND({ready},{again}<>"",ISNUMBER({done}))'),
        folded("hose", "Hose with a date", "", '=AND({ready},{made}<>"")'),
        folded("dated", "Date that is read", "", "=AND({hose},ISNUMBER({made}))"),
        folded("aged", "Age known", "", "=AND({dated},ISNUMBER(JobDate))"),
    ],
    reasons=[
        reason("r_made", "Made", f'=IF(AND({{hose}},{{dated}}=FALSE),{CANNOT}<made>&", not a date","")'),
        reason("r_replace", "Replace", f'=IF(ISERROR({{replace}}),{CANNOT}<replace>,"")'),
        reason("r_age", "Age",
               '=IFERROR(IF({aged},IF({replace}<=JobDate,"Change: "&FIXED({age},1,TRUE)&" years old, at most "&{yearsn}&": replace the hose",'
               'IF({replace}<=EDATE(JobDate,12),"Near limit: "&FIXED({age},1,TRUE)&" years old, at most "&{yearsn}&": replace within a year","")),""),"")'),
        reason("r_done", "Still to be done",
               f'=IF(AND({{ready}},{{when}}<>""),IF({{done}}="","Not checked: to be done "&{{when}},IF(OR({{again}}="",{{returns}}),"",'
               f'{CANNOT}<done>&", not a date")),"")'),
        reason("r_due", "To be done again",
               '=IFERROR(IF({returns},IF(ISNUMBER(JobDate),IF({due}<=JobDate,"Not checked: to be done again "&{when},""),'
               f'"Not checked: fill in Date, on Start"),""),{CANNOT}<due>)'),
    ],
    required=(),
    more_missing='IF({when}="",IF(AND({again}<>"",{made}=""),<when>,{forhose}),IF(AND({made}<>"",{years}=""),<years>,{fordue}))',
)  # fmt: skip
