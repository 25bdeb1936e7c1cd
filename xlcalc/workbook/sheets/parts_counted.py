"""Small parts of Parts: rows of the shop, counted from Lines and Routes, and whether every one is on a row."""

from collections.abc import Sequence

from xlcalc.workbook.building.checks import CANNOT, folded, number, reason, row_table
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.landmarks import CLAMPS, CLIPS, GROMMETS, HAND, RINGS, SLEEVE, TAGS, WASHERS, WRAP
from xlcalc.workbook.sheets.columns import check, others, picked, span, text, typed, words, worked
from xlcalc.workbook.sheets.parts_columns import (
    CHECK_WIDTH,
    DO,
    NAME,
    NAME_WIDTH,
    TENTHS,
    WHAT,
    WHICH,
    bought,
    bought_table,
    named,
    not_ordered,
    place_of,
)

KINDS = (CLAMPS, CLIPS, WASHERS, RINGS, GROMMETS, SLEEVE, WRAP, TAGS, HAND)
PRINTED = 0.05  # mm: a diameter or hole as it prints counts as that size


def _counted(key: str, kind: str, all_of: str, of_size: str, sized: str = "{sized}") -> Column:
    """Folded: how many a row counts, of one kind: all, or those of its size."""
    return folded(key, kind, "", f'=IF(AND({{ready}},{{by}}="{kind}"),IF({sized},{of_size},{all_of}),"")')


def _sum(values: str, sizes: str) -> tuple[str, str]:
    """All of a column of Routes, and those between the row's sizes."""
    return f'SUMIFS({values},{values},">0")', f'SUMIFS({values},{values},">0",{sizes},">="&{{lo}},{sizes},"<="&{{hi}})'


SMALL = bought_table(
    "Small parts: one row a part, counted from Lines and Routes",
    [
        picked("part", WHAT, "Small part", NAME_WIDTH, "PriceList", "An item of Prices. Each name once."),
        picked("by", WHICH, "Counted by", 14, words(*KINDS),
               "Two clamps a line with clamps, two washers a banjo, one O-ring an O-ring end, two tags a line; the rest from Routes."),
        typed("from", WHICH, "From", "mm", 8, "Outside diameter of the hose, or the hole, that it fits; of a range the smaller. Blank: all.",
              span("PANEL_HOLE", "outside_diameter")),
        typed("upto", WHICH, "Up to", "mm", 7, "The larger of a range. Blank: this one size only.", span("PANEL_HOLE", "outside_diameter")),
        text("size", WHICH, "Size of end", 7, "Washers and O-rings: the size of their end on Fittings, e.g. -6. Blank: all."),
        typed("pitch", WHICH, "Pitch", "mm", 6.5, "Spiral wrap: along the line, for one turn.", span("WRAP_LENGTH", "pitch")),
        typed("hand", WHICH, "By hand", "", 7.5, "How many, where nothing counts them.", (0, 100000)),
        typed("spare", WHICH, "Spare", "%", 6.5, "Type 10 for 10 %. Blank: none.", (0, 1000)),
    ],
    bought('=IF({ready},{raw}*(1+{sparen}/100),"")',
           f'IF(OR({{by}}="{SLEEVE}",{{by}}="{WRAP}"),"m",IF({{by}}="{HAND}",IF(OR({{priceunit}}="",{{priceunit}}="pack"),"piece",{{priceunit}}),"piece"))'),
    [
        number("fromn", "From, number", "mm", "from", "mm"),
        number("upton", "Up to, number", "mm", "upto", "mm"),
        number("pitchn", "Pitch number", "mm", "pitch", "mm"),
        number("handn", "By hand, number", "", "hand", "1"),
        number("sparen", "Spare number", "%", "spare", "%", "0"),
        folded("known", "Counted by a word of the list", "", f'=ISNUMBER(SEARCH("|"&{{by}}&"|","|{"|".join(KINDS)}|"))'),
        folded("sized", "Of a size", "", '=AND({ready},{from}<>"")'),
        folded("lo", "From, as printed", "mm", f'=IF({{sized}},{{fromn}}-{PRINTED},"")'),
        folded("largest", "Largest", "mm", '=IF({sized},IF({upto}="",{fromn},{upton}),"")'),
        folded("hi", "Up to, as printed", "mm", f'=IF({{sized}},{{largest}}+{PRINTED},"")'),
        folded("run", "Run to wrap", "m", f'=IF(AND({{ready}},{{by}}="{WRAP}"),{_sum("RouteWraps", "RouteOutsides")[1]},"")'),
        _counted("n_clamps", CLAMPS, '2*COUNTIF(LineEnds,"clamps")', f'2*{_sum("PartClamped", "PartOutsides")[1]}'),
        _counted("n_clips", CLIPS, *_sum("RouteClips", "RouteOutsides")),
        _counted("n_washers", WASHERS, "SUM(PartWashers)", "SUMPRODUCT((PartEndSizes={size})*PartWashers)", '{size}<>""'),
        _counted("n_rings", RINGS, "SUM(PartRings)", "SUMPRODUCT((PartEndSizes={size})*PartRings)", '{size}<>""'),
        _counted("n_grommets", GROMMETS, *_sum("RoutePanels", "RouteHoles")),
        _counted("n_sleeve", SLEEVE, *_sum("RouteSleeves", "RouteOutsides")),
        folded("n_wrap", WRAP, "m", '=IF({run}="","",IF({run}=0,0,WRAP_LENGTH({run},{largest},{pitchn})))'),
        _counted("n_tags", TAGS, "2*LinesNamed", "2*LinesNamed"),
        _counted("n_hand", HAND, "{handn}", "{handn}"),
        folded("raw", "Counted, without spare", "", '=IF({ready},SUM({n_clamps}:{n_hand}),"")'),
        folded("covers", "Counts in the list below", "", '=IF({ready},IF({run}="",{raw},{run}),"")'),
    ],
    [
        reason("r_kind", "Counted by", f'=IF({{ready}},IF({{known}},"",{CANNOT}<by>&", not a word of its list"),"")'),
        reason("r_range", "Range", '=IF({sized},IF({largest}<{fromn},"Change: from "&{fromn}&" mm up to "&{largest}&": swapped?",""),"")'),
        reason("r_none", "None", '=IF({ready},IF({raw}=0,IF(PartsUncut+PartsUnlisted>0,"Not checked: none counted, a route or an end has no answer yet","Near limit: none counted: is the row needed?"),""),"")'),
    ],
    required=("by",),
    answers=("n_wrap",),
    more_missing=f'IF(AND({{by}}="{HAND}",{{hand}}=""),<hand>,IF({{by}}="{WRAP}",IF({{from}}="",<from>,IF({{pitch}}="",<pitch>,"")),""))',
)  # fmt: skip

ASKED = {
    CLAMPS: '2*COUNTIF(LineEnds,"clamps")',
    CLIPS: 'SUMIFS(RouteClips,RouteClips,">0")',
    WASHERS: "SUM(PartWashers)",
    RINGS: "SUM(PartRings)",
    GROMMETS: 'SUMIFS(RoutePanels,RoutePanels,">0")',
    SLEEVE: 'SUMIFS(RouteSleeves,RouteSleeves,">0")',
    WRAP: 'SUMIFS(RouteWraps,RouteWraps,">0")',
}  # what Lines and Routes ask for, kind by kind
SOME = (
    'COUNTIF(LineEnds,"clamps")', 'COUNTIF(RouteClips,">0")', "SUM(PartWashers)", "SUM(PartRings)", 'COUNTIF(RoutePanels,">0")',
    'COUNTIF(RouteSleeves,">0")', 'COUNTIF(RouteWraps,">0")',
)  # fmt: skip  # above 0 where a kind is asked for
KINDS_ASKED = "+".join(f"({some}>0)" for some in SOME)


def _chosen(at: str, kinds: Sequence[str], pieces: Sequence[str]) -> str:
    """What is asked for of one of some kinds, 0 for another."""
    first = 1 + list(ASKED).index(kinds[0])
    return f'=IF(AND({at}>={first},{at}<{first + len(kinds)}),CHOOSE({at}-{first - 1},{",".join(pieces)}),0)'


def _asked() -> list[Column]:
    """Folded: the kind of a row by its place, and how many of it Lines and Routes ask for."""
    kinds, wants = list(ASKED), list(ASKED.values())
    at = [(0, HALF), (HALF, len(kinds))]
    names = ",".join(f'"{kind}"' for kind in kinds)
    return [
        folded("k", "Row", "", f"={place_of('kind')}"),
        folded("word", "Kind", "", f'=IF({{k}}>{len(kinds)},"",CHOOSE({{k}},{names}))'),
        *(folded(f"asked{n}", f"Asked for, part {n}", "", _chosen("{k}", kinds[low:high], wants[low:high])) for n, (low, high) in enumerate(at, 1)),
        folded("asked", "Asked for", "", "={asked1}+{asked2}"),
    ]  # fmt: skip


HALF = 4  # kinds in one formula are what a person reads
COUNTED = row_table(
    NAME,
    "Is every small part that the lines ask for on a row above, and on one only?",
    shown=[
        named("kind", "Asked for", '=IF({asked}>0,{word},"")'),
        check(WHAT, CHECK_WIDTH),
        worked("wanted", WHICH, "Wanted", "", 14, '=IF({ready},{asked},"")', TENTHS),
        worked("onrows", WHICH, "On rows above", "", 8, '=IF({ready},SUMIFS(PartCovers,PartKinds,{kind},PartCovers,">0"),"")', TENTHS),
        worked("unit", WHICH, "Unit", "", 7, f'=IF({{ready}},IF(OR({{kind}}="{SLEEVE}",{{kind}}="{WRAP}"),"m","piece"),"")'),
        others(DO, 17.6),
        *not_ordered(),
    ],
    helpers=_asked(),
    reasons=[
        reason("r_sizes", "Sizes not known", f'=IF(AND({{ready}},{{onrows}}<{{asked}}-0.001,{{kind}}<>"{WASHERS}",{{kind}}<>"{RINGS}",'
               'COUNT(RouteOutsides)<RoutesNamed),"Not checked: no Outside on Hoses for "&(RoutesNamed-COUNT(RouteOutsides))&" of the routes","")'),
        reason("r_less", "Less", '=IF({ready},IF({onrows}<{asked}-0.001,"Not checked: "&ROUND({asked}-{onrows},2)&" of "&ROUND({asked},2)&" on no row above",""),"")'),
        reason("r_more", "More", '=IF({ready},IF({onrows}>{asked}+0.001,"Change: "&ROUND({onrows},2)&" on rows above, "&ROUND({asked},2)&" wanted: counted twice",""),"")'),
    ],
    required=(),
    unique=False,
    frozen=2,
    marker="wanted",
    marker_words="",
)  # fmt: skip
