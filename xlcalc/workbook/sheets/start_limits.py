"""The limits block of Start: every limit that the checks use, once, with its source and the shop's own figure."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.tables import raw_rows, sources
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.style import BOXED, HEAD, PLAIN, QUIET, Look, Painter
from xlcalc.workbook.landmarks import CHANGED, DEFAULT, KIND, LIMIT_UNITS, OWN, SOURCE, UNIT, USED, WORDS, limit_name
from xlcalc.workbook.sheets.printed import lines_of
from xlcalc.workbook.sheets.start_cells import NAME, WIDTHS, Field, band, define, validate

USES = ("pressure", "suction", "return", "coolant", "vent", "vacuum")
NO_VELOCITY = ("vent", "vacuum")
KINDS = {"at most": "at most", "at least": "at least"}  # the others say it in their words
DAY = "d mmm yyyy"
GROUP = Look(9, bold=True)
NEXT_PAGE = "Cooling"  # the group that begins the next sheet of paper, Letter or A4


def limits_block(book: Workbook, sheet: Worksheet, painter: Painter, row: int, job: Job) -> None:
    """Write the block from a row down."""
    band(sheet, painter, row, "Limits of every check: the shop's own figure or a local rule goes over a default here")
    row += 1
    heads = ("Limit", "Default", "The shop's own", "Used", "Unit", "", "Source and mark", "Last changed")
    for place, head in enumerate(heads, start=1):
        look = HEAD._replace(edge="under", across="right" if place in (DEFAULT, OWN, USED) else "left")
        painter.put(sheet, row, place, head, look._replace(indent=1 if place == UNIT else 0))
    group = ""
    places: dict[str, int] = {}
    limits = list(raw_rows("limits"))
    order = list(dict.fromkeys(limit["applies"] for limit in limits))
    for limit in sorted(limits, key=lambda each: order.index(each["applies"])):
        if limit["applies"] != group:
            group = limit["applies"]
            row += 1
            if group == NEXT_PAGE:
                sheet.row_breaks.append(Break(id=row - 1))
            painter.put(sheet, row, WORDS, "Everywhere" if group == "all" else f"For {group}", GROUP)
        row += 1
        places[limit["id"]] = row
        _limit(book, sheet, painter, row, limit, job)
    remembered = {limit["id"]: places[limit["id"]] for limit in limits if limit["mark"] == "M"}
    row = _velocities(book, sheet, painter, row + 1, remembered)
    for name, words, formula in (("NearBelow", "Near an at-most limit: from this share of it", "=1-NearShare/100"),
                                 ("NearAbove", "Near an at-least limit: up to this multiple of it", "=1+NearShare/100")):  # fmt: skip
        row += 1
        painter.put(sheet, row, WORDS, words, PLAIN)
        sheet.row_dimensions[row].height = 12
        painter.put(sheet, row, USED, formula, PLAIN._replace(across="right"))
        define(book, name, USED, row)


def _limit(book: Workbook, sheet: Worksheet, painter: Painter, row: int, limit: Mapping[str, str], job: Job) -> None:
    number = Look(9, edge="line", across="right")
    name, unit = limit_name(limit["id"]), LIMIT_UNITS.get(limit["unit"], limit["unit"])
    painter.put(sheet, row, WORDS, limit["words"], Look(9, edge="line", wrap=True))
    painter.put(sheet, row, DEFAULT, float(limit["value"]), number._replace(indent=1))
    own = BOXED._replace(across="right")
    painter.put(sheet, row, OWN, job.start.get(name), own)
    painter.put(sheet, row, USED, _used(row, limit["unit"]), number._replace(bold=True))
    painter.put(sheet, row, UNIT, unit, QUIET._replace(edge="line", across="left", indent=1))
    painter.put(sheet, row, KIND, KINDS.get(limit["kind"]), QUIET._replace(edge="line"))
    painter.put(sheet, row, SOURCE, _cited(limit), QUIET._replace(edge="line", wrap=True))
    painter.put(sheet, row, CHANGED, None, BOXED._replace(format=DAY))
    tall = max(
        11 * lines_of(limit["words"], WIDTHS[0] * 1.06), 9.6 * lines_of(_cited(limit), WIDTHS[SOURCE - 1] * 1.12)
    )
    sheet.row_dimensions[row].height = 2 + tall
    define(book, name, USED, row)
    message = f"The shop's own figure or a local rule in {unit}; blank: the default holds."
    validate(sheet, f"C{row}", Field(name, limit["words"][:60], unit, message, (0, 1e6)))
    validate(sheet, f"H{row}", Field("", "Last changed", "", "When the shop's own figure was put in.", format=DAY))


def _used(row: int, unit: str) -> str:
    """The shop's own figure where there is one; text is read with its unit, and what is no figure is an error."""
    return f'=IF(C{row}="",B{row},IF(ISNUMBER(C{row}),C{row},QUANTITY_IN(C{row},"{unit}")))'


def _cited(limit: Mapping[str, str]) -> str:
    """Source, place and mark of a default in one line."""
    if limit["source"] == "PRACTICE":
        text = "common practice (P)"
    elif limit["source"] == "MEM":
        text = "from memory (M)"
    else:
        source = sources()[limit["source"]]
        again = "" if source.reread else ", not re-read"
        place = f", {limit['place']}" if limit["place"] else ""
        text = f"{source.title}{place} ({limit['mark']}{again})"
    note = limit["note"].replace("not re-read; ", "").replace("; not re-read", "").replace("not re-read", "")
    return f"{text}: {note}" if note else text


def _velocities(book: Workbook, sheet: Worksheet, painter: Painter, row: int, remembered: Mapping[str, int]) -> int:
    """The velocity limit of each use, for the lines to look up, and whether it rests on memory."""
    painter.put(sheet, row, WORDS, "Velocity at most, by use (fuel: the smaller of its own and the use's)", GROUP)
    for use in USES:
        row += 1
        painter.put(sheet, row, WORDS, use, PLAIN)
        sheet.row_dimensions[row].height = 12
        used = "none" if use in NO_VELOCITY else f"={limit_name(f'velocity-{use}')}"
        painter.put(sheet, row, USED, used, PLAIN._replace(across="right"))
        if default := remembered.get(f"velocity-{use}"):
            painter.put(sheet, row, UNIT, f'=IF($C${default}="","memory","")', QUIET._replace(across="left", indent=1))
    for name, column in (("UseNames", "A"), ("UseVelocity", "D"), ("UseMemory", "E")):
        area = f"{NAME}!${column}${row - len(USES) + 1}:${column}${row}"
        book.defined_names[name] = DefinedName(name, attr_text=area)
    return row
