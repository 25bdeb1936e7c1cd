"""Routes: how long each hose is, where it is held and what it passes through, and from which roll it is cut."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.pagebreak import Break

from xlcalc.functions.supports import LINE_KINDS
from xlcalc.workbook.building.blocks import Table, add_tables
from xlcalc.workbook.building.checks import fetched, folded, row_table
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import BAND_ROW, Column, name_areas, quoted
from xlcalc.workbook.building.style import QUIET, WIDE, Painter, page
from xlcalc.workbook.sheets.columns import check, memory, others, picked, picked_line, span, typed, words, worked
from xlcalc.workbook.sheets.routes_reasons import NUMBERS, REASONS, SAID

NAME = "Routes"
WHICH, RUNS, ENDS, HELD, PASSES, COVERED, OUT, DO = (
    "Which", "How it runs", "What is on its ends", "What holds it", "What it passes", "What covers it", "What comes out",
    "What to do",
)  # fmt: skip
HOSES_AT_MOST = 16  # of a job: each has a column of its own for the pieces that are cut from its rolls
CAUTION = (
    "Never cut to the centres: a hose shortens by up to 4 % under pressure. Turn no hose about its length when tightening. "
    "Drill only after the hole and what carries the panel are known."
)
END = (
    "A part of the Fittings sheet. A hose that a clamp holds on a pipe or barb: clamped on pipe or barb, with the centres "
    "measured to the ends of the hose."
)
ROW = "ROW()-ROW(<line>)-1"  # place of this row in its columns, counted from the guard row
INPUTS = [
    picked_line("line", WHICH, "Line", 10, "A line of the Lines sheet. Each line once."),
    check(WHICH, 36.5),
    memory(WHICH, ("hose", '{hosememory}="memory"'), ("ends", 'OR(INDEX(FittingMemory,{pa})="part",INDEX(FittingMemory,{pb})="part")')),
    picked("shape", RUNS, "Shape", 7.5, words("straight", "bent"), "Straight: from port to port with slack. Bent: straights and bends, added up."),
    typed("centres", RUNS, "Centres or straights", "mm", 8.6, "Straight: distance between the seats of the two ports. Bent: all straight pieces "
          "added up, from seat to seat.", span("HOSE_FINISHED_LENGTH", "centres"), "0"),
    typed("travel", RUNS, "Travel", "mm", 7, "How far one end moves away, e.g. on the engine. Blank: none.", span("HOSE_FINISHED_LENGTH", "travel"), "0"),
    typed("slack", RUNS, "Slack wanted", "%", 7.5, "Straight only. Blank: the middle of the limits on Start.", span("HOSE_FINISHED_LENGTH", "slack")),
    typed("radius", RUNS, "Bend radius", "mm", 7, "Bent only: on the inside of its tightest bend, as the hose's limit is given.", span("BEND_LENGTH", "radius"), "0"),
    typed("angle", RUNS, "Bend angle", "°", 6.5, "Bent only: of one bend. Different bends: the sum of their angles, and 1 bend.", (0, 720), "0"),
    typed("bends", RUNS, "Bends", "pieces", 6.8, "Bent only: how many bends of that angle.", (0, 100), "0"),
    picked("measured", RUNS, "Measured", 11, words("yes", "no"), "Were these lengths taken on the vehicle, with wire or string? No: Not checked."),
    picked("enda", ENDS, "End A", 18.5, "FittingList", END),
    picked("endb", ENDS, "End B", 18.5, "FittingList", END),
    typed("clock", ENDS, "Clock angle", "°", 6.5, "Where both ends are angled: end B against end A, seen along the hose from A.", (-360, 360), "0"),
    picked("kind", HELD, "Clips for", 8, words(*LINE_KINDS), "Decides how far apart the clips may be. Blank: hose."),
    picked("tube", HELD, "Tube size", 7, words("-3", "-4", "-5", "-6", "-8", "-10", "-12", "-16", "-20"), "Of a tube: dash size. A hose needs none."),
    typed("fitted", HELD, "Clips planned", "pieces", 7.8, "Blank: as many as the spacing asks for.", (0, 500), "0"),
    typed("panels", PASSES, "Panels", "pieces", 7.5, "How many panels it passes through, each with a grommet. Blank: none.", (0, 20), "0"),
    typed("grommet", PASSES, "Grommet wall", "mm", 9, "Thickness between hose and edge of the hole.", span("PANEL_HOLE", "grommet_wall")),
    typed("drilled", PASSES, "Hole drilled", "mm", 7.5, "Where there is a hole already: does it pass? Blank: not drilled yet.", span("PANEL_HOLE", "end_across_corners")),
    typed("wall", COVERED, "Sleeve wall", "mm", 8, "Thickness of a sleeve that goes through the panel too. Blank: none.", span("PANEL_HOLE", "grommet_wall")),
    typed("heated", COVERED, "Heated stretch", "mm", 8, "What a heat sleeve must cover. Blank: no sleeve.", (0, 100_000), "0"),
    typed("overlap", COVERED, "Sleeve overlap", "mm", 8, "Past each end of the heated stretch. Blank: the limit on Start.", (0, 2000), "0"),
    typed("wrap", COVERED, "Spiral wrap on", "m", 7, "Length of the run that gets spiral wrap. Blank: none.", (0, 100)),
]  # fmt: skip
RESULTS = [
    Column("hose", OUT, "Hose", "", "worked", 15, '=IF({ready},INDEX(LineHoses,{place}),"")', wrap=True),
    worked("finished", OUT, "Finished length", "mm", 8.5,
           '=IF({straight},HOSE_FINISHED_LENGTH({centresn},{slackn},{traveln}),IF({bent},{centresn}+{bendsn}*BEND_LENGTH({middle},{anglen})+{traveln},""))', "0"),
    worked("cut", OUT, "Cut length", "mm", 7, '=IF({cutready},HOSE_CUT_LENGTH({finished},{cuta},{cutb}),"")', "0"),
    worked("roll", OUT, "Cut from roll", "no.", 7, f'=IF({{rolled}},HOSE_CUT_FROM_ROLL(INDEX(RouteGrid,0,{{slot}}),{{rollm}},{ROW}),"")', "0"),
    worked("slackis", OUT, "Slack on Lines", "%", 7.5, '=IF({slackready},HOSE_SLACK({centresn},{hosemm}),"")'),
    worked("least", OUT, "Radius at least", "mm", 8, '=IF(AND({bent},ISNUMBER({leastread})),{leastread},"")', "0"),
    worked("clips", OUT, "Clips", "pieces", 6.8, '=IF({ready},IF({fittedn}="",{clipsfor},{fittedn}),"")', "0"),
    worked("pitch", OUT, "Clips apart", "mm", 7, '=IF({ready},{lengthn}*1000/({clips}+1),"")', "0"),
    worked("hole", OUT, "Hole in the panel", "mm", 8, '=IF({holeready},PANEL_HOLE({outside}+2*{walln},{grommetn},{across}),"")'),
    worked("sleeve", OUT, "Sleeve", "m", 7, '=IF({ready},IF({heatedn}>0,({heatedn}+2*{overlapn})/1000,""),"")'),
    others(DO, 40),
]  # fmt: skip


def _end(side: str) -> list[Column]:
    """What Fittings says of one end; an end that a clamp holds stays on the vehicle, so that only the hose passes a hole."""
    key, place, head = f"end{side}", f"{{p{side}}}", f"End {side.upper()}"

    def of(name: str) -> str:
        return f'=IF(AND({{ready}},{place}>0),INDEX({name},{place}),"")'

    return [
        folded(f"check{side}", f"{head}: its Check", "", of("FittingChecks")),
        folded(f"held{side}", f"{head}: held by", "", of("FittingHeld")),
        folded(f"cut{side}", f"{head}: cut-off", "mm", of("FittingCutOffs")),
        folded(f"across{side}", f"{head}: across corners", "mm",
               f'=IF(AND({{ready}},{place}>0),IF({{held{side}}}="clamps",0,INDEX(FittingAcross,{place})),"")'),
        folded(f"named{side}", f"{head} in words", "", f'=IF({{ready}},{{{key}}}&"","")'),
    ]  # fmt: skip


MISSING = [
    folded("pa", "Place of end A", "", '=IF({enda}="",0,IFERROR(MATCH({enda},FittingNames,0),0))'),
    folded("pb", "Place of end B", "", '=IF({endb}="",0,IFERROR(MATCH({endb},FittingNames,0),0))'),
    folded("angled", "Both ends angled", "",
           '=IFERROR(AND(INDEX(FittingAngles,{pa})*1>0,INDEX(FittingAngles,{pb})*1>0,{pa}>0,{pb}>0),FALSE)'),
    folded("forbend", "Missing, where it is bent", "",
           '=IF({shape}="bent",IF({radius}="",<radius>,IF({angle}="",<angle>,IF({bends}="",<bends>,""))),"")'),
    folded("forrest", "Missing, in some rows", "",
           '=IF(AND({kind}<>"",{kind}<>"hose",{tube}=""),<tube>,IF(AND({panels}<>"",{panels}<>0,{grommet}=""),<grommet>,'
           'IF(AND({angled},{clock}=""),<clock>,"")))'),
]  # fmt: skip
FETCHED = [
    fetched("hw", "Hose words", "", "LineHoseWords"),
    fetched("lengthn", "Length on Lines", "m", "LineLengths"),
    fetched("held", "Ends on Lines", "", "LineEnds"),
    folded("kindw", "Clips for, hose where blank", "", '=IF({ready},IF({kind}="","hose",{kind}),"")'),
    folded("straight", "Straight", "", '=AND({ready},{shape}="straight")'),
    folded("bent", "Bent", "", '=AND({ready},{shape}="bent")'),
    *_end("a"),
    *_end("b"),
]
WORKINGS = [
    folded("hosememory", "Sizes of the hose from memory", "",  # a liner from memory, in a row seen in print, decides no route
           '=IF({ready},IFERROR(IF(INDEX(HoseMarks,MATCH({hose},HoseNames,0))="V","",INDEX(HoseMemory,MATCH({hose},HoseNames,0))),""),"")'),
    folded("outsideread", "Outside, or why not known", "mm",
           '=IF({ready},IFERROR(HOSE_OUTSIDE({hw}),ANSWER_WHY("HOSE_OUTSIDE",{hw})),"")'),
    folded("outside", "Outside", "mm", '=IF(AND({ready},ISNUMBER({outsideread})),{outsideread},"")'),
    folded("leastread", "Radius at least, or why not known", "mm",
           '=IF({bent},IFERROR(HOSE_BEND_RADIUS({hw}),ANSWER_WHY("HOSE_BEND_RADIUS",{hw})),"")'),
    folded("middle", "Radius of its middle", "mm", '=IF({bent},{radiusn}+IF(ISNUMBER({outside}),{outside}/2,0),"")'),
    folded("hosemm", "Length on Lines less travel", "mm", '=IF({straight},{lengthn}*1000-{traveln},"")'),
    folded("slackready", "Longer than its centres", "", '=IFERROR(AND({straight},{hosemm}>={centresn}),FALSE)'),
    folded("slackleast", "Slack at least", "%", '=IF({slackready},SlackLeast,"")'),
    folded("slackmost", "Slack at most", "%", '=IF({slackready},SlackMost,"")'),
    folded("cutready", "Both cut-offs known", "", '=AND({ready},ISNUMBER({finished}),ISNUMBER({cuta}),ISNUMBER({cutb}))'),
    folded("clipsfor", "Clips that the spacing asks for", "",
           '=IF({ready},IF({kindw}="hose",CLIP_COUNT({lengthn}),CLIP_COUNT({lengthn},{kindw},{tube})),"")'),
    folded("pitchmost", "Clips at most apart", "mm",
           '=IF({ready},IF({kindw}="hose",CLIP_SPACING_LIMIT("hose"),CLIP_SPACING_LIMIT({kindw},{tube})),"")'),
    folded("holes", "Passes a panel", "", '=IFERROR(AND({ready},{panelsn}>0),FALSE)'),
    folded("wrapped", "Gets spiral wrap", "", '=IFERROR(AND({ready},{wrapn}>0),FALSE)'),
    folded("across", "Ends across corners", "mm",
           '=IF(AND({holes},ISNUMBER({acrossa}),ISNUMBER({acrossb})),MAX({acrossa},{acrossb}),"")'),
    folded("holeready", "Hole can be told", "", '=AND({holes},ISNUMBER({outside}),ISNUMBER({across}))'),
    folded("rollread", "Roll as Prices says", "m", '=IF({ready},IFERROR(INDEX(PriceRolls,MATCH({hose},PriceItems,0)),""),"")'),
    folded("rollm", "Roll", "m", '=IF({ready},IF(ISNUMBER({rollread}),IF({rollread}>0,{rollread},RollLength),RollLength),"")'),
    folded("slot", "Column of its hose", "", '=IF({ready},IFERROR(MATCH({hose},RouteGridHoses,0),0),0)'),
    folded("rolled", "Cut from a roll", "", '=AND({ready},{slot}>0,ISNUMBER({cut}))'),
]  # fmt: skip


def _grid() -> list[Column]:
    """A column for each hose of the job with its own cut lengths, under the hose's name, blank elsewhere."""
    return [
        Column(f"grid{place}", "Pieces by hose, mm", f'=IFERROR(INDEX(HoseNames,SMALL(HoseSlots,{place})),"")', "mm", "folded", 9,
               f'=IF({{ready}},IF({{hose}}=<grid{place}>,IF(ISNUMBER({{cut}}),{{cut}},""),""),"")')
        for place in range(1, HOSES_AT_MOST + 1)
    ]  # fmt: skip


ROUTES = row_table(
    NAME,
    "Cut length, clips and holes of each",
    shown=[*INPUTS, *RESULTS],
    helpers=[*MISSING, *FETCHED, *NUMBERS, *WORKINGS, *SAID, *_grid()],
    reasons=REASONS,
    whys=("whyfinished",),
    required=("shape", "centres", "enda", "endb"),
    answers=("finished", "clipsfor", "outsideread", "roll"),
    of_a_line=True,
    more_missing='IF({forbend}<>"",{forbend},{forrest})',
)
TABLES = (Table(ROUTES, "routes"),)
NAMED = (
    ("RouteLines", "line"), ("RouteChecks", "check"), ("RouteHoses", "hose"), ("RouteCuts", "cut"),
    ("RouteFinished", "finished"), ("RouteEndsA", "enda"), ("RouteEndsB", "endb"), ("RouteClips", "clips"),
    ("RouteOutsides", "outside"), ("RoutePanels", "panelsn"), ("RouteHoles", "hole"), ("RouteSleeves", "sleeve"),
    ("RouteWraps", "wrapn"),
)  # fmt: skip  # columns that other sheets look a route up in, by its line
UNROUTED = (
    '=IF(COUNTIF(LineUnrouted,"no route")=0,"",COUNTIF(LineUnrouted,"no route")&" of the lines on Lines have no route yet, first "'
    '&INDEX(LineNames,MATCH("no route",LineUnrouted,0)))'
)


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet, with room for as many routes as lines, and its names; returns what Start says of it."""
    says = "Does each hose reach, bend, hold and pass?"
    hint = "Pick the first line below, e.g. PS-1, then fill its row to the right."
    tables: Sequence[Table] = [replace(table, least=job.room) for table in TABLES]
    sheet, (routes,), said = add_tables(book, painter, job, says, tables, hint=hint)
    made = routes.made
    name_areas(book, made, NAMED, routes.count)
    last = made.letter(f"grid{HOSES_AT_MOST}")
    top = f"{quoted(NAME)}!${made.letter('grid1')}$"
    for name, first_row, last_row in (("RouteGrid", made.guard_row, routes.last_row), ("RouteGridHoses", made.head_row, made.head_row)):
        book.defined_names[name] = DefinedName(name, attr_text=f"{top}{first_row}:${last}${last_row}")
    painter.put(sheet, BAND_ROW, 1, UNROUTED, QUIET)
    for key in ("shape", "wall"):  # on both sheets of paper
        painter.put(sheet, BAND_ROW - 1, made.places[key], CAUTION, QUIET)
    page(sheet, landscape=True, titles="1:8", columns="A:B", scale=WIDE)
    sheet.col_breaks.append(Break(id=made.places["drilled"]))
    shown = sum(not column.folded for column in made.columns)
    sheet.print_area = f"A1:{get_column_letter(shown)}{routes.last_row}"
    return said
