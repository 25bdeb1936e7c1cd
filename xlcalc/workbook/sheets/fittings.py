"""Fittings: every end of a hose and what it takes of its length. Cited rows first, then room for the shop's own."""

from collections.abc import Mapping

from openpyxl import Workbook

from xlcalc.core.tables import raw_rows
from xlcalc.workbook.building.blocks import Table
from xlcalc.workbook.building.checks import CANNOT, folded, number, reason, row_table
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW, RowSheet, name_areas, name_list
from xlcalc.workbook.building.rows_on_sheet import heading, write
from xlcalc.workbook.building.style import WIDE, Painter, page
from xlcalc.workbook.sheets.columns import (
    check,
    counted,
    memory,
    of_its_list,
    others,
    picked,
    price_of,
    span,
    text,
    typed,
    words,
    worked,
)
from xlcalc.workbook.sheets.printed import lines_of

NAME, SPARE = "Fittings", 10
WHICH, KIND, SIZES, FROM, OUT, DO = (
    "Which end", "What kind", "How large", "Where from", "What comes out", "What to do"
)  # fmt: skip
FLARE = "flare 37 degree"
SEATS = (FLARE, "O-ring face", "O-ring boss", "banjo", "bead for clamp", "pipe thread", "other")
GENDERS, HELD, METALS = ("male", "female", "none"), ("crimped", "clamps", "reusable"), ("steel", "aluminium", "mixed")
CLAMPED = "hose pushed on a pipe or barb, held by a clamp"
CITED = {
    CLAMPED: "clamped on pipe or barb",
    "reusable hose end, 37 degree swivel, rubber wire braid hose": "reusable 37 degree {} wire braid rubber",
    "reusable hose end, 37 degree swivel, light rubber hose": "reusable 37 degree {} light rubber",
    "reusable hose end, 37 degree swivel, PTFE hose": "reusable 37 degree {} PTFE",
    "tube nut 37 degree, short": "tube nut 37 degree {}",
}  # part of the table of ends -> its name here
LARGEST = 16  # dash size; larger ends are rare on a vehicle and would make the list of ends long
REFERS = "cited: "


_TABLE = row_table(
    NAME,
    "What is each end, and what does it take of the hose?",
    shown=[
        text("part", WHICH, "Part", 23, "A name of your own. Routes and Prices find the end by it. Each name once.", wrap=True),
        check(WHICH, 26),
        memory(WHICH, ("part", '{mark}="M"'), width=6.6),
        text("size", KIND, "Size", 5.6, "As the supplier calls it, e.g. -6 or 9.5."),
        picked("seat", KIND, "Seat", 13.4, words(*SEATS), "What seals. Never two kinds on each other: 37 degree does not seal on 45."),
        picked("gender", KIND, "Gender", 7.2, words(*GENDERS), "Of the thread; banjo and bead: none."),
        typed("angle", KIND, "Angle", "°", 5.8, "Of the end's own bend: 0, 45, 90. Blank: straight.", (0, 180), "0"),
        picked("held", KIND, "Held by", 9.2, words(*HELD), "How it is held on the hose. Clamps: on a bead or barb of the vehicle."),
        picked("metal", KIND, "Metal", 9, words(*METALS), "Of nut and port, for the torque. Mixed takes the lower figures."),
        typed("cutoff", SIZES, "Cut-off", "mm", 6.8, "What the end adds to the hose: seat to end of hose, on the centre line.",
              span("HOSE_CUT_LENGTH", "cut_off_a"), "0.0"),
        typed("bore", SIZES, "Own bore", "mm", 6, "Narrowest inside diameter of the end.", (0.1, 150), "0.0"),
        counted("loss", SIZES, "Loss", "K", 5.4, "K of the end, for Fittings on Lines.", (0, 1000)),
        typed("across", SIZES, "Across corners", "mm", 7.4, "Its widest place: hexagon or crimped shell. A hole must pass it.",
              span("PANEL_HOLE", "end_across_corners"), "0.0"),
        text("source", FROM, "Source", 28.6, "Where the figures come from.", wrap=True),
        picked("mark", FROM, "Mark", 5.6, words("V", "C", "S", "M", "P"),
               "V seen in print, C computed, S second-hand, M from memory, P common practice."),
        worked("low", OUT, "Torque at least", "N m", 7, '=IF({turns},NUT_TORQUE({size},{metal},"low"),"")'),
        worked("high", OUT, "Torque at most", "N m", 7, '=IF({turns},NUT_TORQUE({size},{metal},"high"),"")'),
        worked("uses", OUT, "Used", "pieces", 6, '=IF({ready},COUNTIF(RouteEndsA,{part})+COUNTIF(RouteEndsB,{part}),"")', "0;-0;"),
        worked("price", OUT, "Price", "each", 7, '=IF({ready},{endlisted},"")', "0.00;-0.00;0.00"),
        others(DO, 13),
    ],
    helpers=[
        folded("turns", "Has a torque in the table", "", f'=AND({{ready}},{{seat}}="{FLARE}",{{metal}}<>"")'),
        number("anglen", "Angle number", "deg", "angle", "deg", "0"),
        number("cutoffn", "Cut-off number", "mm", "cutoff", "mm"),
        number("boren", "Bore number", "mm", "bore", "mm"),
        number("acrossn", "Across corners number", "mm", "across", "mm"),
        *price_of("end", "part", "piece"),
        folded("slot", "Its place, where used", "",
               '=IF({ready},IF({uses}>0,IF(MATCH({part},[part],0)=ROW()-ROW(<part>)-1,ROW()-ROW(<part>)-1,""),""),"")'),
    ],
    reasons=[
        of_its_list("seat", "Seat", *SEATS),
        of_its_list("gender", "Gender", *GENDERS),
        of_its_list("held", "Held by", *HELD),
        of_its_list("metal", "Metal", *METALS),
        reason("r_torque", "Torque", f'=IF(ISERROR({{low}}),IF(ERROR.TYPE({{low}})=7,"Not checked: no torque known for size "&{{size}}&'
               f'": ask the maker",{CANNOT}<low>),"")'),
        reason("r_metals", "Metal of a nut in use", f'=IF({{ready}},IF(AND({{seat}}="{FLARE}",{{metal}}="",{{uses}}>0),'
               '"Not checked: fill in "&<metal>,""),"")'),
    ],
    required=("size", "seat"),
    answers=("low",),
)  # fmt: skip
SHEET = RowSheet(
    NAME, _TABLE.title, _TABLE.columns, "source", 3, cited=f'LEFT({{source}},{len(REFERS)})="{REFERS}"'
)
TABLES = (Table(SHEET, "fittings"),)
NAMED = (
    ("FittingNames", "part"), ("FittingChecks", "check"), ("FittingMemory", "memory"), ("FittingSizes", "size"),
    ("FittingSeats", "seat"), ("FittingGenders", "gender"), ("FittingAngles", "anglen"), ("FittingHeld", "held"),
    ("FittingMetals", "metal"), ("FittingCutOffs", "cutoffn"), ("FittingAcross", "acrossn"), ("FittingUses", "uses"),
    ("FittingSlots", "slot"),
)  # fmt: skip  # columns that other sheets look an end up in, by its name


def add(book: Workbook, painter: Painter, job: Job) -> None:
    """Write the sheet and its names: the job's own ends first, so that they stand first in the list of ends."""
    rows = [*(dict(row) for row in job.tables.get("fittings", ())), *cited_rows()]
    count = len(rows) + SPARE
    sheet = write(book, painter, SHEET, rows, count)
    for offset in range(count):
        sheet.row_dimensions[FIRST_ROW + offset].height = _height(rows[offset] if offset < len(rows) else {})
    name_areas(book, SHEET, NAMED, count)
    name_list(book, SHEET, "FittingList", "part", count)
    said = SHEET.area("check", count, sheet=False)
    counts = '&"   '.join(f'{word} "&COUNTIF({said},"{word}*")' for word in ("Change", "Cannot be worked out", "Not checked"))
    hint = "Cut-offs of other makers differ by some millimetres: measure yours. Torques: lubricated threads, the part maker's figure first."
    heading(sheet, painter, SHEET, job, f'"{counts}', hint=hint)
    page(sheet, landscape=True, titles="1:6", scale=WIDE)
    sheet.print_area = f"A1:{SHEET.letter('others')}{FIRST_ROW + count}"


def _height(row: Mapping[str, object]) -> float:
    """Points: a cited row whose name and source take one line each is low, as its Check is; any other holds two."""
    wide = {column.key: column.width for column in SHEET.columns}
    cited = str(row.get("source", "")).startswith(REFERS)
    return 14 if cited and all(lines_of(row[key], wide[key] - 1) == 1 for key in ("part", "source")) else 24


def cited_rows() -> list[dict[str, object]]:
    """Ends of the table of ends as the sheet holds them, ends of a hose first."""
    rows = list(raw_rows("ends"))
    return [
        _cited(row)
        for part in CITED
        for row in rows
        if row["part"] == part and (part == CLAMPED or -int(row["size"]) <= LARGEST)
    ]


def _cited(row: Mapping[str, str]) -> dict[str, object]:
    standard, place = row["standard"].partition(" (")[0], row["place"].partition(";")[0]  # of the straight end
    found = "; ".join(dict.fromkeys(filter(None, (standard, row["source"]))))
    cells: dict[str, object] = {
        "part": CITED[row["part"]].format(row["size"]), "size": row["size"], "seat": FLARE, "gender": "female",
        "source": f"{REFERS}{found}, {place}", "mark": row["mark"],
    }  # fmt: skip
    if row["part"] == CLAMPED:
        cells |= {"seat": "bead for clamp", "gender": "none", "held": "clamps"}
    elif row["part"].startswith("reusable"):
        cells["held"] = "reusable"
    else:
        cells["mark"] = "C"  # its corners are worked out from the printed flats
    for key, column in (("cutoff", "cutoff_straight [mm]"), ("across", "hex_corners [mm]")):
        if row[column]:
            cells[key] = float(row[column])
    return cells
