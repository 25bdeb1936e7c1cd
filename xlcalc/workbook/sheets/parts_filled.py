"""The tables of Parts that fill themselves: hoses and ends from Routes, fluids from Lines and the systems they fill."""

from xlcalc.workbook.building.checks import CANNOT, folded, number, reason, row_table
from xlcalc.workbook.sheets.columns import check, others, picked, span, text, typed, worked
from xlcalc.workbook.sheets.parts_columns import (
    CHECK_WIDTH,
    DO,
    HUNDREDTHS,
    NAME,
    NAME_WIDTH,
    WHAT,
    WHICH,
    bought,
    bought_table,
    filled,
    named,
    not_ordered,
)

GRID = "INDEX(RouteGrid,0,{k})"  # the cut lengths of this row's hose

HOSES = bought_table(
    "Hoses: which pieces come out of how many rolls?",
    [
        named("hose", "Hose", filled("HoseNames", "HoseSlots")),
        worked("pieces", WHICH, "Pieces", "", 14, '=IF({ready},INDEX(HoseUses,{slot}),"")', "0"),
        worked("longest", WHICH, "Longest", "m", 8, f'=IF({{ready}},MAX({GRID})/1000,"")'),
        worked("roll", WHICH, "Roll", "m", 7,
               '=IF({priced},IF(INDEX(PriceRolls,{place})<>"",INDEX(PriceRolls,{place}),IF({step}="",RollLength,"")),"")', "0.0;-0.0;0"),
        worked("rolls", WHICH, "Rolls to buy", "", 7.4, f'=IF(AND({{priced}},{{roll}}<>""),HOSE_ROLLS_TO_BUY({GRID},{{roll}}),"")', "0"),
        worked("waste", WHICH, "Waste", "%", 6.5, '=IF({priced},({whole}-{need})/{whole}*100,"")'),
    ],
    bought('=IF({ready},SUMIFS(RouteCuts,RouteHoses,{hose},RouteCuts,">0")/1000,"")', '"m"', HUNDREDTHS),
    [
        folded("reel", "Off the reel, without loss", "m", '=IF(AND({priced},{roll}=""),ROUNDUP(ROUND({need}/{step},6),0)*{step},"")'),
        folded("reels", "Reels of that length", "", f'=IF(AND({{priced}},{{roll}}=""),HOSE_ROLLS_TO_BUY({GRID},{{reel}}),"")'),
        folded("cuts", "Pieces with a cut length", "", '=IF({ready},COUNTIFS(RouteHoses,{hose},RouteCuts,">0"),"")'),
        folded("outside", "Outside", "mm", '=IF({ready},IFERROR(INDEX(RouteOutsides,MATCH({hose},RouteHoses,0)),""),"")'),
        folded("whyleft", "More left over than used", "", '=IFERROR(IF({whole}-{need}>{need},"; "&FIXED({whole}-{need},1,TRUE)&'
               '" m left: sold by the metre?",""),"")'),
        folded("clamped", "Lines of it with clamps", "", '=IF({ready},COUNTIFS(LineHoses,{hose},LineEnds,"clamps"),"")'),
    ],
    [
        reason("r_cuts", "Cut lengths", '=IF({ready},IF({cuts}<{pieces},"Not checked: "&({pieces}-{cuts})&" of "&{pieces}&'
               '" pieces without a cut length on Routes",""),"")'),
        reason("r_grid", "Column of the grid", '=IF({ready},IF(COUNT(INDEX(RouteGrid,0,{k}))={cuts},"",'
               '"Cannot be worked out: see the cut lengths in the fold of Routes"),"")'),
        reason("r_roll", "Longest piece", '=IF(AND({priced},ISNUMBER({roll})),IF({longest}<={roll},"","Change: longest piece "&'
               'FIXED({longest},2,TRUE)&" m, roll at most "&{roll}&": longer roll or split the line"),"")'),
        reason("r_rolls", "Rolls", f'=IF(ISERROR({{rolls}}),IF({{r_roll}}="",{CANNOT}<rolls>,""),IF(ISERROR({{reels}}),{CANNOT}<buy>,""))'),
    ],
    filled_by="HoseSlots",
    answers=("rolls", "reels"),
    whys=("whyleft",),
    pack='IF({roll}<>"",{roll},{step})',
    whole='IF({roll}<>"",{rolls}*{roll},{reel}+{step}*({reels}-1))',
)  # fmt: skip

ENDS = bought_table(
    "Ends: both ends of every route; a bead that a clamp holds is on the vehicle, unless Prices has it",
    [
        named("end", "End", filled("FittingNames", "FittingSlots")),
        worked("seat", WHICH, "Seat", "", 14, '=IF({ready},INDEX(FittingSeats,{slot})&"","")'),
        worked("size", WHICH, "Size", "", 8, '=IF({ready},INDEX(FittingSizes,{slot})&"","")'),
        worked("gender", WHICH, "Gender", "", 7, '=IF({ready},INDEX(FittingGenders,{slot})&"","")'),
        worked("angle", WHICH, "Angle", "°", 7, '=IF({ready},INDEX(FittingAngles,{slot}),"")', "0"),
        worked("count", WHICH, "Used", "pieces", 6.5, '=IF({ready},INDEX(FittingUses,{slot}),"")', "0"),
        worked("there", WHICH, "Not bought", "", 9, '=IF({ready},IF(AND({held}="clamps",{place}=0),"yes",""),"")'),
    ],
    bought('=IF({ready},IF({there}="yes",0,{count}),"")', '"piece"', "0"),
    [
        folded("held", "Held by", "", '=IF({ready},INDEX(FittingHeld,{slot})&"","")'),
        folded("washers", "Banjo washers", "", '=IF({ready},IF({seat}="banjo",2*{count},0),0)'),
        folded("rings", "O-rings", "", '=IF({ready},IF(LEFT({seat},6)="O-ring",{count},0),0)'),
    ],
    [],
    filled_by="FittingSlots",
)  # fmt: skip

SYSTEMS = row_table(
    NAME,
    "What is filled besides the lines: gearbox, cooler, rack, reservoir, radiator",
    shown=[
        text("system", WHAT, "System", NAME_WIDTH, "What is filled, e.g. gearbox and cooler. The hoses count by themselves. Each name once.", wrap=True),
        check(WHAT, CHECK_WIDTH),
        picked("fluid", WHICH, "Fluid", 14, "FluidList", "A fluid of the Fluids sheet."),
        typed("litres", WHICH, "Holds", "L", 8, "Litres that it takes, the hoses not counted.", span("LINE_VOLUME", "length")),
        others(DO, 17.6),
        *not_ordered(),
    ],
    helpers=[
        number("litresn", "Litres number", "L", "litres", "L"),
        folded("known", "Row of Fluids", "", "=IF({ready},IFERROR(MATCH({fluid},FluidNames,0),0),0)"),
    ],
    reasons=[
        reason("r_fluid", "Fluid in its table", f'=IF(AND({{ready}},{{known}}=0),{CANNOT}<fluid>&", not a row of Fluids","")'),
        reason("r_litres", "Litres", '=IF({ready},IF({litresn}<0,"Change: litres below 0",""),"")'),
    ],
    required=("fluid", "litres"),
    frozen=2,
)  # fmt: skip

FLUIDS = bought_table(
    "Fluids: what the lines and the systems hold, and what flushing and bleeding take",
    [
        named("fluid", "Fluid", filled("FluidNames", "FluidSlots")),
        worked("lines", WHICH, "In the lines", "L", 14, '=IF({ready},SUMIFS(LineVolumes,LineFluids,{fluid},LineVolumes,">0"),"")'),
        worked("systems", WHICH, "In systems", "L", 8, '=IF({ready},SUMIFS(SystemLitres,SystemFluids,{fluid},SystemLitres,">0"),"")'),
        worked("flush", WHICH, "Flush", "L", 7, '=IF({ready},({lines}+{systems})*FlushShare/100,"")'),
    ],
    bought('=IF({ready},{lines}+{systems}+{flush},"")', '"L"', HUNDREDTHS),
    [
        folded("liquid", "Liquid lines", "", '=IF({ready},COUNTIFS(LineFluids,{fluid},LineUses,"<>vent",LineUses,"<>vacuum"),"")'),
        folded("measured", "Liquid lines with a volume", "", '=IF({ready},COUNTIFS(LineFluids,{fluid},LineVolumes,">0"),"")'),
    ],
    [
        reason("r_lines", "Lines", '=IF({ready},IF({measured}<{liquid},"Not checked: "&({liquid}-{measured})&" of "&{liquid}&'
               '" lines with it without an answer on Lines",""),"")'),
    ],
    filled_by="FluidSlots",
)  # fmt: skip
