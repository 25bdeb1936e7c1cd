"""The tee of Vacuum: two legs that share the air, and what a row needs of the lines that it names."""

from xlcalc.core.verdicts import CHANGE
from xlcalc.workbook.building.checks import CANNOT, folded, not_a_line, reason, row_table, says, unfilled_line
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.sheets.columns import check, memory, others, picked, picked_line, text, why, words, worked

NAME = "Vacuum"
WHICH, JOINED, OUT, DO = "Which", "How it is joined", "What comes out", "What to do"
TEE_NOTE = (
    "Shares are for free air at 20 °C, sea level, both plenums at the same vacuum. Throttle bodies joined without a valve "
    "in each leg disturb each other."
)
ONE_DIGIT = "0.0;-0.0;0.0"
LINE_HELP = "A vacuum line of the Lines sheet; its bore, length, hose, ends and heat come from there."


def where_read(label: str) -> str:
    """The words of an answer that failed, unless a typed cell that is not read, or no connection, says so already."""
    return f'IF({{read}},{CANNOT}{label},"")'


def line_cells(key: str, which: int, head: str) -> list[Column]:
    """Place of a line on Lines, and whether that line is filled in; 0 and FALSE where there is none."""
    return [
        folded(f"place{which}", f"Place of {head}", "", f'=IF({{{key}}}="",0,IFERROR(MATCH({{{key}}},LineNames,0),0))'),
        folded(f"filled{which}", f"Filled in: {head}", "", f"=IF({{place{which}}}=0,FALSE,INDEX(LineReady,{{place{which}}}))"),
    ]  # fmt: skip


def no_line(key: str, which: int, head: str) -> Column:
    """Why a line that a row names gives nothing."""
    return reason(f"r_{key}", f"On Lines: {head}",
                  f'=IF(OR({{{key}}}="",{{filled{which}}}),"",IF({{place{which}}}=0,'
                  f'{not_a_line(key)},{unfilled_line(key)}))')  # fmt: skip


def _of(name: str, place: int) -> str:
    """What Lines says of one of the three lines of a tee, once all three are filled in."""
    return f'=IF({{joined}},INDEX({name},{{place{place}}}),"")'


def _hose(leg: int) -> str:
    of_line = (f"INDEX({name},{{place{leg}}})" for name in ("LineHoseWords", "LineHottest", "LineColdest", "LineEnds"))
    hose, hottest, coldest, ends = of_line
    return f'=IF({{joined}},HOSE_CHECK({hose},0,"air",{hottest},{coldest},"vacuum",{ends}),"")'


def _hose_reason(leg: int) -> Column:
    return reason(f"r_hose{leg}", f"Hose of leg {leg}",
                  f'=IF(ISERROR({{hose{leg}}}),IF({{read}},"Cannot be worked out: hose of leg {leg}, see line "&{{leg{leg}}}&" on Lines",""),'
                  f'IF({says(f"{{hose{leg}}}", CHANGE)},"Change: leg {leg}, "&MID({{hose{leg}}},9,200),""))')  # fmt: skip


LEGS = "{flow},{bore1},{length1},{bore2},{length2},{loss1},{loss2}"
TEES = row_table(
    NAME,
    "Do both legs of a tee share the air evenly?",
    shown=[
        text("tee", WHICH, "Tee", 12, "A name of your own, e.g. plenum tee. Each name once.", wrap=True),
        check(WHICH),
        memory(WHICH, ("hose", 'COUNTIFS(HoseNames,{hosename1},HoseMemory,"memory")+COUNTIFS(HoseNames,{hosename2},HoseMemory,"memory")>0')),
        picked_line("leg1", JOINED, "Leg 1", 11, LINE_HELP),
        picked_line("leg2", JOINED, "Leg 2", 11, LINE_HELP),
        picked_line("fed", JOINED, "Line that it feeds", 11, "The vacuum line from the tee to reservoir and servo: its flow is shared."),
        picked("valve1", JOINED, "Valve in leg 1", 8, words("yes", "no"), "Is there a non-return valve in leg 1?"),
        picked("valve2", JOINED, "Valve in leg 2", 8.5, words("yes", "no"), "Is there a non-return valve in leg 2?"),
        worked("flow", OUT, "Flow to share", "L/min", 9, _of("LineFlows", 3), ONE_DIGIT),
        worked("bore1", OUT, "Bore of leg 1", "mm", 8.5, _of("LineBores", 1)),
        worked("length1", OUT, "Length of leg 1", "m", 7.5, _of("LineLengths", 1)),
        worked("bore2", OUT, "Bore of leg 2", "mm", 9, _of("LineBores", 2)),
        worked("length2", OUT, "Length of leg 2", "m", 8, _of("LineLengths", 2)),
        worked("share", OUT, "Leg 1 carries", "%", 8.5, f'=IF({{joined}},VACUUM_TEE_BALANCE({LEGS}),"")', ONE_DIGIT),
        worked("flow1", OUT, "Flow in leg 1", "L/min", 8, '=IF({joined},{flow}*{share}/100,"")', ONE_DIGIT),
        worked("flow2", OUT, "Flow in leg 2", "L/min", 9, '=IF({joined},{flow}*(1-{share}/100),"")', ONE_DIGIT),
        worked("boreleg", OUT, "Leg 2 for equal shares", "mm", 8.5,
               '=IF({joined},IF({plain},VACUUM_LEG_BORE({flow},{bore1},{length1},{length2}),"see fittings"),"")', ONE_DIGIT),
        worked("hose1", OUT, "Hose of leg 1", "", 11.5, _hose(1), small=True),
        worked("hose2", OUT, "Hose of leg 2", "", 11.5, _hose(2), small=True),
        others(DO, 40),
    ],
    helpers=[
        *line_cells("leg1", 1, "leg 1"),
        *line_cells("leg2", 2, "leg 2"),
        *line_cells("fed", 3, "the line that it feeds"),
        folded("joined", "All three filled in", "", "=AND({ready},{filled1},{filled2},{filled3})"),
        folded("stranger", "First that is no vacuum line", "",
               '=IF({joined},IF(INDEX(LineUses,{place1})<>"vacuum",{leg1},IF(INDEX(LineUses,{place2})<>"vacuum",{leg2},'
               'IF(INDEX(LineUses,{place3})<>"vacuum",{fed},""))),"")'),
        folded("loss1", "Fittings of leg 1", "K", _of("LineFittings", 1)),
        folded("loss2", "Fittings of leg 2", "K", _of("LineFittings", 2)),
        folded("plain", "Legs without fittings", "", "=IF({joined},AND({loss1}=0,{loss2}=0),FALSE)"),
        folded("hosename1", "Hose of leg 1, its name", "", _of("LineHoses", 1)),
        folded("hosename2", "Hose of leg 2, its name", "", _of("LineHoses", 2)),
        folded("read", "Lines answers for all three", "", "=ISNUMBER({flow}+{bore1}+{length1}+{bore2}+{length2})"),
        folded("low", "Leg 1 carries, lowest", "%", f'=IF({{joined}},ANSWER_LOW("VACUUM_TEE_BALANCE",{LEGS}),"")'),
        folded("high", "Leg 1 carries, highest", "%", f'=IF({{joined}},ANSWER_HIGH("VACUUM_TEE_BALANCE",{LEGS}),"")'),
        folded("most", "Share at most", "%", '=IF({joined},VacuumShareMost,"")'),
        folded("least", "Share at least", "%", '=IF({joined},VacuumShareLeast,"")'),
        folded("nearmost", "Near it from", "%", '=IF({joined},50+({most}-50)*NearBelow,"")'),
        folded("nearleast", "Near it up to", "%", '=IF({joined},50-(50-{least})*NearBelow,"")'),
        folded("word", "How the share stands", "",
               '=IF({joined},IF(OR({share}>{most},{share}<{least}),"Change: ",IF(OR({share}>{nearmost},{share}<{nearleast}),"Near limit: ","")),"")'),
        folded("legflow", "Flow of both legs on Lines", "L/min",
               '=IF({joined},INDEX(LineFlows,{place1})+INDEX(LineFlows,{place2}),"")'),
        folded("bound", "Limit of the share", "%", '=IF({joined},IF({share}>50,{most},{least}),"")'),
        folded("boundsaid", "Limit in words", "", '=IF({joined},IF({share}>50,"at most ","at least ")&ROUND({bound},3),"")'),
        folded("sharesaid", "Share in words", "",
               '=IF({joined},FIXED({share},IF(ROUND({share},1)=ROUND({bound},1),3,IF(ROUND({share},0)=ROUND({bound},0),1,0)),TRUE),"")'),
        folded("advice", "What to do, in words", "",
               '=IF({joined},IFERROR(IF({plain},": leg 2 wants "&FIXED({boreleg},1,TRUE)&" mm"&IF({bore1}={bore2}," or equal lengths",'
               'IF({length1}={length2},""," or legs alike")),": bore, length and fittings alike"),": make both legs alike"),"")'),
        why("share", "share", "VACUUM_TEE_BALANCE", LEGS, "{read}"),
    ],
    reasons=[
        no_line("leg1", 1, "leg 1"),
        no_line("leg2", 2, "leg 2"),
        no_line("fed", 3, "the line that it feeds"),
        reason("r_read", "Answers of Lines",
               '=IF(OR({joined}=FALSE,{read}),"",IF({r_connected}<>"","","Cannot be worked out: see line "&IF(ISERROR({flow}),{fed},'
               'IF(ISERROR({bore1}+{length1}),{leg1},{leg2}))&" on Lines"))'),
        reason("r_same", "Three lines",
               '=IF({joined},IF({leg1}={leg2},"Change: both legs are "&{leg1},IF(OR({leg1}={fed},{leg2}={fed}),"Change: "&{fed}&'
               '" is a leg and the line that it feeds","")),"")'),
        reason("r_use", "Vacuum lines", '=IF({stranger}="","","Change: "&{stranger}&" is no vacuum line on Lines")'),
        reason("r_words", "Words of the valves",
               f'=IF({{ready}},IF(OR({{valve1}}="yes",{{valve1}}="no"),IF(OR({{valve2}}="yes",{{valve2}}="no"),"",{CANNOT}<valve2>&", yes or no"),'
               f'{CANNOT}<valve1>&", yes or no"),"")'),
        reason("r_valves", "Non-return valves",
               '=IF({ready},IF(OR({valve1}="no",{valve2}="no"),"Change: no non-return valve in "&IF({valve1}<>"no","leg 2",'
               'IF({valve2}<>"no","leg 1","either leg")),""),"")'),
        reason("r_share", "Share of leg 1",
               f'=IFERROR(IF({{word}}="","",{{word}}&"leg 1 carries "&{{sharesaid}}&" %, "&{{boundsaid}}&{{advice}}),{where_read("<share>")})'),
        reason("r_doubt", "Share in doubt",
               '=IFERROR(IF(AND({share}<={most},{share}>={least},OR({high}>{most},{low}<{least})),"Near limit: leg 1 carries "&{sharesaid}&" %, "&'
               'FIXED({low},1,TRUE)&" to "&FIXED({high},1,TRUE)&" in doubt, "&IF({high}>{most},"at most "&ROUND({most},3),"at least "&ROUND({least},3)),""),"")'),
        _hose_reason(1),
        _hose_reason(2),
        reason("r_sum", "What goes in comes out",
               '=IFERROR(IF(ABS({legflow}-{flow})>0.01*{flow},"Change: the legs carry "&FIXED({legflow},1,TRUE)&" L/min on Lines, "&{fed}&" carries "&'
               'FIXED({flow},1,TRUE),""),"")'),
    ],
    required=("leg1", "leg2", "fed", "valve1", "valve2"),
    answers=("share", "hose1", "hose2"),
    whys=("whyshare",),
)  # fmt: skip
