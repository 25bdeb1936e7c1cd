"""Routes: its typed cells as numbers, and every reason of its Check in the order in which they count."""

from xlcalc.workbook.building.checks import (
    CANNOT,
    at_least,
    at_most,
    fails,
    folded,
    limit_words,
    number,
    reason,
    told_apart,
)
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.sheets.columns import why

NUMBERS = [
    number("centresn", "Centres number", "mm", "centres", "mm"),
    number("traveln", "Travel number", "mm", "travel", "mm", "0"),
    number("slackn", "Slack number", "%", "slack", "%", "(SlackLeast+SlackMost)/2"),
    number("radiusn", "Radius number", "mm", "radius", "mm"),
    number("anglen", "Angle number", "deg", "angle", "deg"),
    number("bendsn", "Bends number", "1", "bends", "1"),
    number("clockn", "Clock angle number", "deg", "clock", "deg"),
    number("fittedn", "Clips planned number", "1", "fitted", "1"),
    number("panelsn", "Panels number", "1", "panels", "1", "0"),
    number("grommetn", "Grommet wall number", "mm", "grommet", "mm", "0"),
    number("drilledn", "Hole drilled number", "mm", "drilled", "mm"),
    number("walln", "Sleeve wall number", "mm", "wall", "mm", "0"),
    number("heatedn", "Heated number", "mm", "heated", "mm", "0"),
    number("overlapn", "Overlap number", "mm", "overlap", "mm", "SleeveOverlap"),
    number("wrapn", "Spiral wrap number", "m", "wrap", "m", "0"),
]


def _whole(key: str, head: str, value: str, other: str) -> Column:
    """A length in words, without decimals unless it would print like the other one."""
    return folded(key, head, "", f'=IFERROR(IF({{{other}}}="","",FIXED({{{value}}},IF(ROUND({{{value}}},0)=ROUND({{{other}}},0),1,0),TRUE)),"")',
                  "Reasons", 14)  # fmt: skip


SAID = [
    told_apart("leastsaid", "Slack in words, against the least", "slackis", "{slackleast}"),
    told_apart("mostsaid", "Slack in words, against the most", "slackis", "{slackmost}"),
    folded("slackwords", "Slack wanted in words", "",
           '=IF({slackready},IFERROR(" ("&ROUND(SlackLeast,1)&" to "&ROUND(SlackMost,1)&" wanted): "&FIXED({finished},0,TRUE)&" mm on Lines",""),"")'),
    _whole("radiussaid", "Radius in words", "radiusn", "least"),
    _whole("radiusleast", "Least radius in words", "least", "radiusn"),
    why("finished", "finished length", "HOSE_FINISHED_LENGTH", "{centresn},{slackn},{traveln}",
        "AND({straight},ISNUMBER({centresn}),ISNUMBER({slackn}),ISNUMBER({traveln}))"),
]  # fmt: skip


def _not_in_hoses(read: str, what: str, wanted: str) -> str:
    """A figure that the table of hoses does not have: words stand in its place that say why."""
    return f'=IF(AND({wanted},ISTEXT({{{read}}})),"Not checked: {what} of "&{{hose}}&" not in Hoses","")'


def _end_reasons(side: str) -> list[Column]:
    """What is wrong with one end, or not known of it."""
    key, head, check = f"{{named{side}}}", f"End {side.upper()}", f"{{check{side}}}"
    return [
        reason(f"r_end{side}", f"{head} in its table",
               f'=IF(AND({{ready}},{{p{side}}}=0),"Cannot be worked out: "&{key}&" is not a row of Fittings","")'),
        reason(f"r_check{side}", f"{head} as Fittings says",
               f'=IF({fails(check)},"Cannot be worked out: see "&{key}&" on Fittings","")'),
        reason(f"r_held{side}", f"{head} as held",
               f'=IF({{ready}},IF(OR({{held{side}}}="",{{held}}={{held{side}}}),"","Change: Lines has ends "&{{held}}&", "&{key}&" is "'
               f'&IF({{held{side}}}="clamps","held by clamps",{{held{side}}})),"")'),
    ]  # fmt: skip


def _end_unknown(side: str) -> list[Column]:
    key, head = f"{{named{side}}}", f"End {side.upper()}"
    return [
        reason(f"r_cut{side}", f"{head}: cut-off",
               f'=IF(AND({{ready}},{{p{side}}}>0),IF({{cut{side}}}="","Not checked: cut-off of "&{key}&" not in Fittings",""),"")'),
        reason(f"r_across{side}", f"{head}: across corners",
               f'=IF(AND({{holes}},{{p{side}}}>0),IF({{across{side}}}="","Not checked: across corners of "&{key}&" not in Fittings",""),"")'),
    ]  # fmt: skip


REASONS = [
    reason("r_shape", "Shape", f'=IF({{ready}},IF(OR({{straight}},{{bent}}),"",{CANNOT}<shape>&", not a word of its list"),"")'),
    reason("r_hose", "Hose", '=IF(ISERROR({hw}),"Cannot be worked out: see Hose of "&{line}&" on Lines","")'),
    *_end_reasons("a"),
    *_end_reasons("b"),
    reason("r_short", "Too short", '=IF({straight},IF({slackready},"","Change: Lines has "&FIXED({lengthn},2,TRUE)&" m, centres"'
           '&IF({traveln}>0," and travel","")&" are "&FIXED(({centresn}+{traveln})/1000,3,TRUE)&": "&FIXED({finished},0,TRUE)&" mm long"),"")'),
    reason("r_slack", "Slack at least", at_least("slackis", "slackleast", f'"slack "&{{leastsaid}}&" %, at least "&{limit_words("slackleast")}&{{slackwords}}')),
    reason("r_loose", "Slack at most", at_most("slackis", "slackmost", f'"slack "&{{mostsaid}}&" %, at most "&{limit_words("slackmost")}&{{slackwords}}')),
    reason("r_radius", "Bend radius", at_least("radiusn", "least", '"bend radius "&{radiussaid}&" mm, at least "&{radiusleast}')),
    reason("r_end", "End through the hole", '=IF(OR({drilledn}="",{across}=""),"",IF({drilledn}<{across},"Change: end "&ROUND({across},1)&'
           '" mm does not pass the "&ROUND({drilledn},1)&" mm hole",""))'),
    reason("r_hole", "Hose through the hole", '=IF(OR({drilledn}="",{hole}=""),"",IF(AND({drilledn}<{hole},{drilledn}>={across}),'
           '"Change: hole "&ROUND({drilledn},1)&" mm, hose and grommet want at least "&FIXED({hole},1,TRUE),""))'),
    reason("r_clips", "Clips apart", '=IF(AND(ISNUMBER({fittedn}),ISNUMBER({pitch}))=FALSE,"",IF({pitch}>{pitchmost},"Change: clips "&FIXED({pitch},0,TRUE)&'
           '" mm apart, at most "&FIXED({pitchmost},0,TRUE)&": "&{clipsfor}&" clips",""))'),
    reason("r_overlap", "Sleeve overlap", '=IF({sleeve}="","",IF({overlapn}<SleeveOverlap,"Change: sleeve overlap "&ROUND({overlapn},1)&'
           '" mm, at least "&ROUND(SleeveOverlap,1),""))'),
    reason("r_cover", "Longer than the route", '=IF(ISNUMBER({finished})=FALSE,"",IF(MAX({heatedn},{wrapn}*1000)>{finished},"Change: sleeve or wrap over "&'
           'FIXED(MAX({heatedn},{wrapn}*1000),0,TRUE)&" mm, the route makes "&FIXED({finished},0,TRUE),""))'),
    reason("r_length", "Length on Lines", '=IF({bent},IF(ABS({lengthn}*1000-{finished})>LengthDifference/100*{lengthn}*1000,"Change: Lines has "&'
           'FIXED({lengthn},2,TRUE)&" m, the route makes "&FIXED({finished}/1000,2,TRUE),""),"")'),
    reason("r_piece", "Longer than a roll", '=IF(ISNUMBER({cut})=FALSE,"",IF({cut}>{rollm}*1000,"Change: piece of "&FIXED({cut},0,TRUE)&" mm, a roll has "&'
           'ROUND({rollm},2)&" m: longer roll or split the line",""))'),
    reason("r_least", "Bend radius known", _not_in_hoses("leastread", "bend radius", "{bent}")),
    reason("r_outside", "Outside known", _not_in_hoses("outsideread", "outside diameter", "OR({holes},{bent},{wrapped})")),
    *_end_unknown("a"),
    *_end_unknown("b"),
    reason("r_measured", "Measured", f'=IF({{ready}},IF(OR({{measured}}="",{{measured}}="yes"),"",IF({{measured}}="no",'
           f'"Not checked: measure the run on the vehicle",{CANNOT}<measured>&", not a word of its list")),"")'),
    reason("r_slot", "Column of its hose", '=IF(AND({ready},ISNUMBER({cut}),{slot}=0),"Not checked: roll of "&{hose}&", too many hoses","")'),
    reason("r_rest", "Other answers", f'=IF(ISERROR({{finished}}),{CANNOT}<finished>,IF(ISERROR({{cut}}),{CANNOT}<cut>,IF(ISERROR({{clips}}),'
           f'{CANNOT}<clips>,IF(ISERROR({{hole}}),{CANNOT}<hole>,""))))'),
    reason("r_roll", "Roll", f'=IF(ISERROR({{roll}}),IF({{cut}}>{{rollm}}*1000,"",{CANNOT}<roll>&", another piece of this hose is too long"),"")'),
]  # fmt: skip
