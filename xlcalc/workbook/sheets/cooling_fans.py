"""Tables of the Cooling sheet: the switch that turns a fan on and off, and the cable and fuse of the fan.

A sender in the hot line reads the oil on its way to the cooler. One in the return reads the oil behind the cooler, which
falls as soon as the fan runs, while the sump is still as hot as before: that is how a fan comes to switch on and off.
At one flow and one air the oil behind a cooler stands at a fixed share of the way from air to oil in, so the reading at
any oil in follows from the reading at the sump target.
"""

from xlcalc.workbook.building.checks import (
    CANNOT,
    at_least,
    at_most,
    folded,
    limit_words,
    number,
    reason,
    row_table,
    told_apart,
)
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.sheets.columns import check, memory, others, picked, span, text, typed, words, worked
from xlcalc.workbook.sheets.cooling_circuits import (
    DO,
    NAME,
    OUT,
    WARM,
    WHICH,
    first_failed,
    limits,
    of,
    of_circuit,
    rests,
    told_elsewhere,
    warmest,
    warmth,
)

SENDER, POWER, CABLE = "Sender and switch", "The fan", "Cable and fuse"
A_PLACE = 'OR({sender}="hot line",{sender}="return")'
RULES, LIMITS = limits("{limit}", "FanApart", "NearTemperature", "NearAbove")
CABLE_RULES, CABLE_LIMITS = limits("CableDrop", "FuseShare", "FuseDensity", "NearAbove", "NearBelow")
OF_CIRCUIT, CIRCUIT_REASON = of_circuit("ISNUMBER(INDEX(CircuitPerDegree,{place})+INDEX(CircuitAirs,{place}))")


def _reading(key: str, head: str, at: str, per: str) -> Column:
    """What the sender reads with an oil in: itself in the hot line or where the cooler gives off nothing."""
    return worked(key, OUT, head, "°C", 7,
                  f'=IF({{ready}},IF(OR({{hotline}},{{{per}}}=0),{{{at}}},COOLER_OIL_OUT({{flown}},{{fw}},{{{at}}},{{airn}},{{{per}}})),"")')  # fmt: skip


def _near(value: str, limit: str, words: str) -> str:
    """A reason for a reading that must stay above a switch point; one that failed is told elsewhere."""
    return (
        f'=IFERROR(IF(OR({{ready}}=FALSE,{{{value}}}>={{{limit}}}+NearTemperature),"",'
        f'IF({{{value}}}<{{{limit}}},"Change: ","Near limit: ")&{words}),"")'
    )


FANS = row_table(
    NAME,
    "Does each fan come on in time, and stop?",
    shown=[
        picked("circuit", WHICH, "Circuit", 12, "CircuitList", "A circuit of the table above. Each once."),
        check(WHICH),
        memory(WHICH, ("fluid", 'INDEX(CircuitMemory,{place})<>""')),
        picked("sender", SENDER, "Sender in", 9, words("hot line", "return"),
               "Hot line: before the cooler, reads the oil of the sump. Return: behind the cooler, reads cooled oil."),
        typed("target", SENDER, "Sump target", "°C", 13.5, "What the oil to the cooler is to stay about: common practice 80 to 95 °C.", WARM),
        typed("on", SENDER, "On", "°C", 7, "Reading at which the fan comes on.", WARM),
        typed("off", SENDER, "Off", "°C", 6.5, "Reading at which the fan stops.", WARM),
        typed("share", SENDER, "Fan-off share", "%", 8, "What the cooler gives off without its fan, of its rating. Type 20 for "
              "20 %. Blank: the share on Start.", (0, 100)),
        _reading("targetoff", "Target, fan off", "targetn", "peroff"),
        _reading("targeton", "Target, fan on", "targetn", "pern"),
        _reading("limitoff", "Limit, fan off", "limit", "peroff"),
        _reading("limiton", "Limit, fan on", "limit", "pern"),
        worked("starts", OUT, "Sump as it comes on", "°C", 8.5,
               '=IF({ready},IF({hotline},{onn},{airn}+({targetn}-{airn})*({onn}-{airn})/({targetoff}-{airn})),"")'),
        worked("falls", OUT, "Falls to, fan on", "°C", 8.5,
               '=IF({ready},IF({hotline},{onn},{airn}+({targeton}-{airn})*({onn}-{airn})/({targetoff}-{airn})),"")'),
        worked("reaches", OUT, "Cooler reaches", "°C", 7.5, '=IF({ready},IF({hotline},{hottest},IF(ISNUMBER({back}),{back},{airn}+({hottest}-{airn})*({targeton}-{airn})/({targetn}-{airn}))),"")'),
        others(DO, 44),
    ],
    helpers=[
        *OF_CIRCUIT,
        folded("hotline", "In the hot line", "", '=AND({ready},{sender}="hot line")'),
        of("flown", "Flow", "L/min", "CircuitFlows"),
        of("fw", "Fluid words", "", "CircuitFluidWords"),
        of("airn", "Air before", "°C", "CircuitAirs"),
        of("pern", "Heat per degree, fan on", "kW/K", "CircuitPerDegree"),
        of("hottest", "Oil to cooler, however hot", "°C", "CircuitOilIn"),
        of("back", "Oil back", "°C", "CircuitBack"),
        of("limit", "Oil at most", "°C", "CircuitLimits"),
        number("targetn", "Target, number", "°C", "target", "degC"),
        number("onn", "On, number", "°C", "on", "degC"),
        number("offn", "Off, number", "°C", "off", "degC"),
        number("sharen", "Share, number", "%", "share", "%", "FanOffShare"),
        folded("peroff", "Heat per degree, fan off", "kW/K", '=IF({ready},{pern}*{sharen}/100,"")'),
        folded("apart", "On over off", "K", '=IF({ready},{onn}-{offn},"")'),
        folded("apartleast", "On over off, at least", "K", '=IF({ready},IF({offn}<{onn},FanApart,""),"")'),
        RULES,
        rests("targetn", "onn", "offn", "sharen"),
        warmth("latesaid", "At the limit, in words", "limitoff", "{onn}"),
        warmth("fallssaid", "Falls to, in words", "falls", "{offn}"),
        warmth("reachessaid", "Reaches, in words", "reaches", "{offn}"),
        warmth("targetsaid", "Target in words", "targetn", "{limit}"),
        told_apart("apartsaid", "Apart, in words", "apart", "{apartleast}"),
        folded("onsaid", "On in words", "", '=IFERROR(ROUND({onn},1)&"","")', "Reasons"),
        folded("offsaid", "Off in words", "", '=IFERROR(ROUND({offn},1)&"","")', "Reasons"),
        folded("cyclewords", "Switching, in words", "",
               '=IFERROR(IF({falls}="","",IF({falls}<={offn},"fan keeps","fan nearly keeps")&" switching on and off: on at "&{onsaid}&", reads "&{fallssaid}&" while it runs, off at "&'
               '{offsaid}&": lower off"),"")', "Reasons", 14),
        folded("cyclesalso", "Switching, what else helps", "", '=IF({r_cycles}="","","; a switch in the hot line does not see the cooled oil")', "Reasons", 14),
        folded("stopwords", "Stopping, in words", "",
               '=IFERROR(IF({reaches}="",""," stops: off at "&{offsaid}&", cooler reaches only "&{reachessaid}),"")', "Reasons", 14),
        folded("startswords", "What that means for the sump", "",
               '=IFERROR(IF({ready},IF({hotline},"","; on at "&{onsaid}&" in the return: the sump is at "&FIXED({starts},0,TRUE)&'
               '" °C then, target "&{targetsaid}),""),"")', "Reasons", 14),
    ],
    reasons=[
        CIRCUIT_REASON,
        reason("r_sender", "Sender", f'=IF(OR({{sender}}="",{A_PLACE}),"",{CANNOT}<sender>&", not a word of its list")'),
        reason("r_share", "Share", '=IFERROR(IF(AND({sharen}>0,{sharen}<1),"Change: fan-off share "&{sharen}&" % is nearly "&'
               '"nothing: type 20 for 20 %",""),"")'),
        reason("r_cold", "Target and air", '=IFERROR(IF(OR({ready}=FALSE,{targetn}>{airn}),"","Change: sump target "&{targetsaid}&" °C, the air before the '
               'cooler is "&ROUND({airn},1)),"")'),
        reason("r_order", "Off below on", '=IFERROR(IF(OR({ready}=FALSE,{offn}<{onn}),"","Change: off at "&{offsaid}&" is not below on at "&{onsaid}),"")'),
        reason("r_late", "Comes on", _near("limitoff", "onn", 'IF({limitoff}<{onn},"fan never","fan hardly")&'
               '" comes on before the sump limit: on at "&{onsaid}&", "&{limit}&" °C in the sump reads "&{latesaid}')),
        reason("r_cycles", "Goes on running", '=IFERROR(IF(OR({ready}=FALSE,{hotline},{offn}>={onn},{falls}>={offn}+NearTemperature),"",IF({falls}<={offn},'
               '"Change: ","Near limit: ")&{cyclewords}),"")'),
        reason("r_stops", "Stops", '=IFERROR(IF(OR({ready}=FALSE,{reaches}<={offn}-NearTemperature),"",IF({reaches}>={offn},'
               '"Change: fan never","Near limit: fan hardly")&{stopwords}),"")'),
        reason("r_apart", "Apart", at_least("apart", "apartleast", '"on and off are "&{apartsaid}&" K apart, at least "&'
                                            f'{limit_words("apartleast")}', told_elsewhere)),
        reason("r_target", "Sump target", warmest("targetn", "{limit}", f'"sump target "&{{targetsaid}}&" °C, at most "&{limit_words("limit")}')),
        LIMITS,
        reason("r_target_reads", "Readings at the target", first_failed("targetoff", "targeton", unless="OR(ISERROR({rules}),{targetn}<={airn})")),
        reason("r_rest", "Other readings", first_failed("limitoff", "limiton", "reaches", unless="ISERROR({rules})")),
    ],
    required=("sender", "target", "on", "off"),
    answers=("targetoff", "limitoff", "targetn"),
    also_ready=f"{{circuitready}},{A_PLACE}",
    whys=("cyclesalso", "startswords"),
)  # fmt: skip

ELECTRICS = row_table(
    NAME,
    "Do each fan's cable and fuse bear it?",
    shown=[
        text("fan", WHICH, "Fan", 12, "A name of your own, e.g. gearbox fan. Each name once.", wrap=True),
        check(WHICH),
        memory(WHICH),
        typed("watt", POWER, "Power", "W", 9, "Of the fan as it runs.", (0, 5000)),
        typed("volt", POWER, "Voltage", "V", 13.5, "Of the battery that its power is given for.", (1, 60)),
        typed("length", CABLE, "Cable", "m", 7, "From battery to fan, one way: the way back is counted too.", span("CABLE_VOLTAGE_DROP", "one_way_length")),
        typed("area", CABLE, "Copper", "mm²", 7, "Section of the cable's copper.", span("CABLE_VOLTAGE_DROP", "area")),
        typed("fuse", CABLE, "Fuse", "A", 7, "Fitted next to the battery.", span("CABLE_VOLTAGE_DROP", "current")),
        worked("amps", OUT, "Current", "A", 7.6, '=IF({ready},{wattn}/{voltn},"")'),
        worked("drop", OUT, "Voltage lost", "V", 7, '=IF({ready},CABLE_VOLTAGE_DROP({amps},{length},{area}),"")'),
        worked("lost", OUT, "Share lost", "%", 7, '=IF({ready},{drop}/{voltn}*100,"")'),
        worked("wanted", OUT, "Copper wanted", "mm²", 8, '=IF({ready},ROUNDUP(MAX({arean}*{lost}/CableDrop,{fusen}/FuseDensity),1),"")', "0.0"),
        worked("fuseleast", OUT, "Fuse at least", "A", 7, '=IF({ready},{amps}*FuseShare/100,"")'),
        worked("fusemost", OUT, "Fuse at most", "A", 7, '=IF({ready},{arean}*FuseDensity,"")'),
        others(DO, 44),
    ],
    helpers=[
        number("wattn", "Power, number", "W", "watt", "W"),
        number("voltn", "Voltage, number", "V", "volt", "V"),
        number("arean", "Copper, number", "mm²", "area", "mm2"),
        number("fusen", "Fuse, number", "A", "fuse", "A"),
        folded("most", "Share lost at most", "%", '=IF({ready},CableDrop,"")'),
        CABLE_RULES,
        rests("wattn", "voltn", "arean", "fusen"),
        told_apart("lostsaid", "Share in words", "lost", "{most}"),
        folded("advice", "Advice", "", '=IFERROR(IF({wanted}>{arean},": "&FIXED({wanted},1,TRUE)&" mm² or more",""),"")', "Reasons"),
        folded("fusesaid", "Fuse in words", "", '=IFERROR(ROUND({fusen},1)&" A","")', "Reasons"),
    ],
    reasons=[
        reason("r_burns", "Fuse and cable", at_most("fusen", "fusemost", '"fuse "&{fusesaid}&" on "&ROUND({arean},2)&" mm², at most "&'
                                                    'ROUND({fusemost},1)&": smaller fuse or thicker cable"', told_elsewhere)),
        reason("r_fuse", "Fuse and current", at_least("fusen", "fuseleast", '"fuse "&{fusesaid}&", at least "&ROUND({fuseleast},1)&" for "&'
                                                      'FIXED({amps},1,TRUE)&" A"', told_elsewhere)),
        reason("r_lost", "Share lost", at_most("lost", "most", f'{{lostsaid}}&" % lost in the cable, at most "&{limit_words("most")}&{{advice}}', told_elsewhere)),
        CABLE_LIMITS,
        reason("r_rest", "Other answers", first_failed("amps", "drop")),
    ],
    required=("watt", "volt", "length", "area", "fuse"),
    answers=("drop", "wattn"),
)  # fmt: skip
