"""Options: up to three hoses for a line, side by side. Which passes, what does it cost, and is the pick on Lines?

A limit of a line holds for its options too: their limits and reasons are those of Lines, worked out with the option's
own hose and ends. A pick changes no line: where Lines has another hose, the Check of the pick says so.
"""

from collections.abc import Mapping
from dataclasses import replace

from openpyxl import Workbook
from openpyxl.worksheet.pagebreak import Break

from xlcalc.workbook.building.blocks import PASSED_OVER, Table, add_tables, below_tables
from xlcalc.workbook.building.checks import (
    CANNOT,
    at_least,
    fails,
    fetched,
    folded,
    limit_words,
    number,
    reason,
    row_table,
    told_apart,
    worst,
)
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.building.style import QUIET, WIDE, Painter, page
from xlcalc.workbook.sheets.columns import check, counted, others, picked, picked_line, price_of, words, worked
from xlcalc.workbook.sheets.lines import DROP
from xlcalc.workbook.sheets.lines import SHEET as LINES
from xlcalc.workbook.sheets.options_chart import LAST, chart
from xlcalc.workbook.sheets.parts_columns import CURRENCY

NAME = "Options"
WHICH, MADE, COSTS, OUT, BEARS, WHY, MONEY, DO = (
    "Which", "What it is made of", "What it costs", "What comes out", "What it bears", "Why, and how sure", "Price", "What to do"
)  # fmt: skip
NOTES = (
    "A pick changes no line: put its hose and ends into Lines. Prices stand before margin and tax.",
    "Passes cold, alone: the whole pressure for this line. In its circuit: shared with the other lines, each with its own pick.",
)
MONEY_SPAN, DIGITS = (0.0, 1e9), "0.00;-0.00;0.00"
_LINES = {column.key: column for column in LINES.columns}


def _same(*keys: str) -> list[Column]:
    """Folded columns of Lines as they stand there: one rule for a line and for its options."""
    return [replace(_LINES[key], kind="folded", band="Helpers") for key in keys]


def _same_reasons(*keys: str) -> list[Column]:
    return [_LINES[key] for key in keys]


def _shown(key: str, width: float, band: str = OUT) -> Column:
    """A worked-out column of Lines, shown here."""
    return replace(_LINES[key], band=band, width=width)


SHOWN = [
    picked_line("line", WHICH, "Line", 10, "A line of the Lines sheet; the same line in up to three rows."),
    check(WHICH, 40.5),
    _shown("memory", 7, WHICH),
    picked("option", WHICH, "Option", 7, words("A", "B", "C"), "A, B or C: each letter once for a line."),
    picked("hose", MADE, "Hose", 14.6, "HoseList", "A hose of the Hoses sheet: family and size."),
    picked("ends", MADE, "Ends", 9.2, words("crimped", "clamps", "reusable"), "How the ends are held on the hose."),
    picked("bypass", MADE, "Cold bypass", 7, words("yes", "no"), "Does cold oil pass by the cooler with this option? Blank: as "
           "on Lines."),
    counted("metre", COSTS, "Hose price", "per m", 8, "Price of the hose per metre, in the currency of Start. Blank: as Prices has it.",
            MONEY_SPAN, DIGITS),
    picked("end", COSTS, "End or clamp", 12.5, "PriceList", "An item of Prices: its price counts where Ends price each is blank."),
    counted("each", COSTS, "Ends price each", "per piece", 8.5, "Price of one end; two are counted. Blank: of the item beside it.",
            MONEY_SPAN, DIGITS),
    counted("hours", COSTS, "Work", "h", 6, "Hours to make and fit it.", (0, 1000), "0.0"),
    counted("life", COSTS, "Life", "years", 6, "How long the shop lets it stay on. Blank: no price per year.", (0.1, 100)),
    counted("lead", COSTS, "Lead time", "days", 6.5, "Days until it is here.", (0, 1000), "0"),
    picked("pick", COSTS, "Pick", 6, words("yes"), "yes in one row of each line. A pick changes no line."),
    _shown("bore", 6.5),
    _shown("v", 7.5),
    _shown("drophot", 7),
    _shown("dropcold", 7),
    worked("coldflow", OUT, "Passes cold, alone", "L/min", 7.5,
           '=IF({liquid},IF({dropcold}<={allowed},{flown},FLOW_FOR_DROP({bore},{lengthn},{fw},{coldn},{allowed},{kloss},{risen})),"")'),
    worked("circuitflow", OUT, "In its circuit", "L/min", 7.5,
           '=IF({joined},IF({otherdrops}+{dropcold}<={allowed},{flown},{flown}*{allowed}/({otherdrops}+{dropcold})),"")'),
    _shown("downto", 8.2),
    _shown("limit", 7, BEARS),
    worked("burst", BEARS, "Burst over working", "", 8, '=IF({ready},IF(OR({burstn}="",{working}=0),"",BURST_RATIO({working},{burstn})),"")',
           "0.0"),
    _shown("liner", 7, BEARS),
    worked("viscosity", WHY, "Fluid, cold", "mm²/s", 7.5, '=IF({liquid},FLUID_VISCOSITY({fw},{coldn}),"")', "0"),
    worked("dropthin", WHY, "Drop cold, low", "kPa", 7.5,
           f'=IF({{liquid}},ANSWER_LOW("LINE_PRESSURE_DROP",{DROP},{{coldn}},{{kloss}},{{risen}}),"")'),
    replace(_shown("dropthick", 7.5, WHY), head="Drop cold, high", kind="worked"),
    worked("borefull", WHY, "Bore for all its flow cold", "mm", 9,
           '=IF({liquid},BORE_FOR_DROP({flown},{lengthn},{fw},{coldn},{allowed},{kloss},{risen}),"")'),
    worked("metreused", MONEY, "Hose, a metre", CURRENCY, 10, '=IF({ready},IF({metre}="",{hoselisted},{metren}),"")', DIGITS),
    worked("eachused", MONEY, "End, each", CURRENCY, 10.5, '=IF({ready},IF({each}="",{endlisted},{eachn}),"")', DIGITS),
    worked("price", MONEY, "Price before margin", CURRENCY, 12,
           '=IF({priced},{lengthn}*{metreused}+2*{eachused}+{hoursn}*QUANTITY_IN(LabourRate,"1"),"")', DIGITS),
    worked("peryear", MONEY, "Per year of life", CURRENCY, 11.5, '=IF(AND({priced},{life}<>""),{price}/{lifen},"")', DIGITS),
    worked("better", MONEY, "Cheaper than pick by", CURRENCY, 13,
           '=IF(AND({priced},{chosen}=1),SUMIFS([price],[line],{line},[pick],"yes")-{price},"")', DIGITS),
    others(DO, 30.5),
]  # fmt: skip
HELPERS = [
    *(
        fetched(key, head, unit, name)
        for key, head, unit, name in (
            ("use", "Use", "", "LineUses"), ("pushedw", "Pushed by", "", "LinePushed"), ("circuitw", "Circuit", "", "LineCircuits"),
            ("fluid", "Fluid", "", "LineFluids"), ("fw", "Fluid words", "", "LineFluidWords"), ("kind", "Fluid kind", "", "LineFluidKinds"),
            ("flown", "Flow", "L/min", "LineFlows"), ("highestn", "Highest", "kPa", "LineHighest"),
            ("hottestn", "Hottest", "°C", "LineHottest"), ("coldn", "Coldest", "°C", "LineColdest"),
            ("lengthn", "Length", "m", "LineLengths"), ("risen", "Rise", "m", "LineRises"), ("kloss", "Fittings", "K", "LineFittings"),
            ("hosethere", "Hose on Lines", "", "LineHoses"), ("endsthere", "Ends on Lines", "", "LineEnds"),
        )
    ),
    folded("key", "Line and option", "", '=IF({line}="","",{line}&" "&{option})'),
    *_same("known", "hw", "liquid", "fuel", "limited", "forced", "vmax", "boreflow", "marginmin", "remembered"),
    folded("lineallowed", "Drop at most, on Lines", "kPa", '=IF({liquid},INDEX(LineDropsAllowed,{place}),"")'),
    folded("allowed", "Drop at most", "kPa",
           '=IF({liquid},IF({limited},GearboxColdPressure,IF(AND({use}="return",{fuel}=FALSE),{limit},{lineallowed})),"")'),
    folded("bypassthere", "Bypass on Lines", "", '=IF({ready},IF(INDEX(LineBypasses,{place})="yes","yes","no"),"")'),
    folded("bypassed", "Cold bypass as used", "", '=IF({bypass}="",{bypassthere},{bypass})'),
    folded("flowmin", "Cold flow at least", "L/min", '=IF(AND({limited},{bypassed}<>"yes"),GearboxColdFlow,"")'),
    folded("burstn", "Burst", "kPa", '=IF({ready},INDEX(HoseBursts,MATCH({hose},HoseNames,0)),"")'),
    folded("burstmin", "Burst over working at least", "", '=IF(AND({ready},{burst}<>""),BurstHose,"")'),
    *_same("working", "ventbore", "boreforflow", "marginhot", "margincold", "margin", "marginthick", "downthick", "hosesaid", "hosefurther"),
    folded("thickflow", "Passes cold at the thickest", "L/min",
           '=IF({limited},IF({dropthick}<={allowed},{flown},'
           'ANSWER_LOW("FLOW_FOR_DROP",{bore},{lengthn},{fw},{coldn},{allowed},{kloss},{risen})),"")'),
    folded("share", "Its share of the drop", "kPa",
           '=IF({limited},IF({joined},{allowed}*{lengthn}/SUMIFS(LineLengths,LineCircuits,{circuitw},LinePushed,{pushedw}),{allowed}),"")'),
    folded("boreshare", "Bore for that share", "mm",
           '=IF({limited},BORE_FOR_DROP({boreflow},{lengthn},{fw},{coldn},{share},{kloss},{risen}),"")'),
    folded("smallest", "Smallest bore", "mm", '=IF({liquid},MAX({boreforflow},IF({limited},{boreshare},{borefull})),{ventbore})'),
    folded("joined", "Others in its circuit, all with a drop", "",
           '=IF(AND({limited},{circuitw}<>""),AND(COUNTIFS(LineCircuits,{circuitw},LinePushed,{pushedw})>1,COUNTIFS(LineCircuits,{circuitw},'
           'LinePushed,{pushedw})=COUNTIFS(LineCircuits,{circuitw},LinePushed,{pushedw},LineDropsCold,">-1E9")),FALSE)'),
    folded("more", "Drop over that on Lines", "kPa", '=IF({joined},{dropcold}-INDEX(LineDropsCold,{place}),"")'),
    folded("otherdrops", "Drops of the others, as picked", "kPa",
           '=IF({joined},SUMIFS(LineDropsCold,LineCircuits,{circuitw},LinePushed,{pushedw},LineNames,"<>"&{line})'
           '+SUMIFS([more],[circuitw],{circuitw},[pushedw],{pushedw},[pick],"yes",[line],"<>"&{line}),"")'),
    folded("circuitmin", "Circuit's cold flow at least", "L/min",
           '=IF(AND({joined},{flowmin}<>""),IF({coldflow}>={flowmin},{flowmin},""),"")'),
    number("metren", "Hose price number", "", "metre", "1"),
    number("eachn", "Ends price number", "", "each", "1"),
    number("hoursn", "Work number", "h", "hours", "h"),
    number("lifen", "Life number", "", "life", "1"),
    folded("differ", "Lines against this", "",
           '=IF({ready},IF({endsthere}={ends},{hosethere}&", picked "&{hose},{hosethere}&" ("&{endsthere}&"), picked "&{hose}&" ("&{ends}&")"),"")'),
    *price_of("hose", "hose", "m"),
    *price_of("end", "end", "piece"),
    folded("priced", "Priced", "", '=AND({ready},{metreused}<>"",{eachused}<>"",{hours}<>"",LabourRate<>"")'),
    folded("picks", "Picked of this line", "", '=IF({line}="",0,COUNTIFS([line],{line},[pick],"yes"))'),
    folded("chosen", "Picked and priced", "",
           '=IF({picks}=1,COUNTIFS([line],{line},[pick],"yes",[price],">-1E9"),0)'),
    *_same("advice", "cause", "marginat", "margintail", "bypassadvice", "ventmax", "returnmax", "coldw", "flowleast", "vsaid",
           "marginsaid", "coldsaid", "ventsaid", "returnsaid"),
    told_apart("burstsaid", "Burst in words", "burst", "{burstmin}"),
    told_apart("circuitsaid", "Circuit in words", "circuitflow", "{flowmin}"),
    folded("see", "What fails, unless its cause is named", "",
           '=IF(AND({r_connected}="",{r_there}="",{r_hosename}="",{r_hosebare}="",{r_narrow}=""),"Cannot be worked out: see","")'),
    folded("own", "Worst of the option itself", "", worst("{r_connected}:{r_rest}")),
    folded("itself", "The option itself, in words", "",
           '=IF({own}="","; this one is within limits",IF({own}="Near*","; this one is near a limit",""))'),
    *_same("whyhose", "whydrop", "whymargin", "asfar"),
]  # fmt: skip
OF_EACH = [  # what an option must pass by itself, picked or not
    reason("r_twice", "Letters",
           '=IF(OR({line}="",{option}=""),"",IF(COUNTIFS([line],{line},[option],{option})>1,"Change: two options "&{option}&'
           '" for "&{line},""))'),
    reason("r_there", "What Lines says of the line",
           '=IF({ready},IF(OR(ISERROR({fw}),ISERROR({vmax}),ISERROR({flown}+{highestn}+{hottestn}+{coldn}+{lengthn}+{risen})),'
           '"Cannot be worked out: mend line "&{line}&" on Lines first",""),"")'),
    *_same_reasons("r_hosename", "r_hosebare"),
    reason("r_letter", "Option",
           '=IF({ready},IF(OR({option}="A",{option}="B",{option}="C"),"",' + f'{CANNOT}<option>&", A, B or C"),"")'),
    reason("r_words", "Pick and bypass",
           f'=IF({{ready}},IF(OR({{pick}}="",{{pick}}="yes"),IF(OR({{bypass}}="",{{bypass}}="yes",{{bypass}}="no"),"",'
           f'{CANNOT}<bypass>&", yes or no"),{CANNOT}<pick>&", yes or blank"),"")'),
    *_same_reasons("r_narrow", "r_hose", "r_scope", "r_hosenear", "r_liner", "r_velocity", "r_margin", "r_thickmargin",
           "r_known", "r_coldflow", "r_thickflow", "r_thick", "r_downto", "r_downnear", "r_return", "r_vent"),
    reason("r_burst", "Burst",
           at_least("burst", "burstmin", f'"bursts at "&{{burstsaid}}&" times its pressure, at least "&{limit_words("burstmin")}',
                    lambda label: f'IF({{see}}="","",{{see}}&" "&{label})')),
    reason("r_rest", "Other answers",
           '=IF({see}="","",IF(ISERROR({drophot}),{see}&" "&<drophot>,IF(ISERROR({dropcold}),{see}&" "&<dropcold>,'
           'IF(ISERROR({borefull}),{see}&" "&<borefull>,IF(ISERROR({smallest}),{see}&" "&<smallest>,"")))))'),
]  # fmt: skip


def _asked_again(key: str, typed: str, head: str) -> Column:
    """What Prices says of a price that is taken from there, where it must not be taken."""
    said = f"INDEX(PriceChecks,{{{key}priceplace}})"
    return reason(f"r_{key}listed", head, f'=IF(AND({{{typed}}}="",{{{key}priceplace}}>0),IF({fails(said)},{said},""),"")')


OF_THE_CHOICE = [  # what is still to be priced, picked and put into Lines
    reason("r_price", "Price",
           f'=IF(ISERROR({{price}}),{CANNOT}<price>,IF(ISERROR({{peryear}}),{CANNOT}<peryear>,""))'),
    reason("r_unpriced", "What the price lacks",
           '=IF(AND({ready},{priced}=FALSE),"Not checked: fill in "&IF({metreused}="",<metre>,IF({eachused}="",<each>,'
           'IF({hours}="",<hours>,"Labour rate, on Start"))),"")'),
    _asked_again("hose", "metre", "Price of the hose"),
    _asked_again("end", "each", "Price of an end"),
    reason("r_pick", "Pick",
           '=IF({ready},IF({picks}=0,"Change: pick one for "&{line}&{itself},IF(AND({picks}>1,{pick}="yes"),'
           '"Change: pick one for "&{line}&", not "&{picks}&{itself},"")),"")'),
    reason("r_lines", "Against Lines",
           '=IF(AND({ready},{see}<>"",{pick}="yes",{picks}=1),IF({hosethere}&{endsthere}={hose}&{ends},IF({bypassed}={bypassthere},"",'
           '"Change: Lines has cold bypass "&{bypassthere}&", picked "&{bypassed}),"Change: Lines has "&{differ}),"")'),
    reason("r_waits", "Circuit without an answer",
           '=IF(AND({limited},{flowmin}<>"",{joined}=FALSE,{circuitw}<>""),IF(COUNTIFS(LineCircuits,{circuitw},LinePushed,{pushedw})>1,'
           '"Cannot be worked out: a line of circuit "&{circuitw}&" has no answer yet",""),"")'),
    reason("r_circuit", "Circuit with it",
           at_least("circuitflow", "circuitmin", '{circuitsaid}&" L/min in circuit "&{circuitw}&" at "&{coldw}&'
                    '", at least "&{flowleast}&": change another line too"', lambda _: '""')),
]  # fmt: skip
OPTIONS = row_table(
    NAME,
    "Up to three options a line, side by side",
    shown=SHOWN,
    helpers=HELPERS,
    reasons=[*OF_EACH, *OF_THE_CHOICE],
    required=("option", "hose", "ends"),
    answers=("bore", "v", "hosesaid"),
    unique=False,
    of_a_line=True,
    whys=("whyhose", "whydrop", "whymargin", "asfar"),
    marker="hose",
    frozen=4,
)
ROWS = 9  # as many as leave room for the chart on the same sheet of paper
TABLES = (Table(OPTIONS, "options", ROWS),)


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet; returns what Start says of it."""
    says = "Which hose for each line, and is it picked?"
    hint = "Pick a line below, a letter and a hose; a row an option."
    sheet, (placed,), said = add_tables(book, painter, job, says, TABLES, hint=hint)
    row = placed.last_row + 2
    for text in NOTES:
        painter.put(sheet, row, OPTIONS.frozen + 1, text, QUIET)  # past what both sheets of paper repeat
        row += 1
    last = chart(sheet, painter, placed, row + 1)
    page(sheet, landscape=True, titles="1:3", columns="A:D", scale=WIDE)
    below_tables(sheet, placed.last_row + 1, last)
    sheet.col_breaks.append(Break(id=OPTIONS.places[LAST]))
    checks, picks, pick = (placed.area(key) for key in ("check", "picks", "pick"))
    aside = f'COUNTIFS({checks},"Change*",{picks},">0")-COUNTIFS({checks},"Change*",{pick},"yes")'
    return {**said, PASSED_OVER: f"={aside}"}
