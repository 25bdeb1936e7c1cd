"""A declared table written onto its sheet: headers, looks, cells, what may be typed, guard rows and folds."""

from collections.abc import Mapping, Sequence

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import BAND_ROW, ROW_OPEN, Column, RowSheet, prepared
from xlcalc.workbook.building.style import (
    BAND,
    DECIDES,
    FOLDED,
    HEAD,
    INPUT,
    PLAIN,
    QUIET,
    UNIT,
    VERDICT,
    Look,
    Painter,
    fifth_row_rule,
    input_rule,
    number_format,
    verdict_rules,
)

LOW = 13  # points of a row of one line


def write(
    book: Workbook, painter: Painter, made: RowSheet, rows: Sequence[Mapping[str, object]], count: int
) -> Worksheet:
    """Write a table with room for `count` rows, the first of them filled, on its sheet."""
    sheet = book[made.name] if made.name in book.sheetnames else book.create_sheet(made.name)
    if made.top > BAND_ROW:
        painter.put(sheet, made.top - 1, 1, made.title, DECIDES)
        sheet.row_dimensions[made.top - 1].height = LOW + 1
    looks = _looks(made.columns)
    _heads(sheet, painter, made, looks)
    for place, column in enumerate(made.columns, start=1):
        _column(sheet, painter, made, place, looks[place - 1], rows, count)
        if column.typed:
            _typed(sheet, made, place, count)
    _guards(sheet, painter, made, count)
    _fold(sheet, made)
    check, first, last = made.letter("check"), made.first_row, made.first_row + count - 1
    verdict_rules(sheet, f"{check}{first}:{check}{last}", f"${check}{first}")
    whole = f"A{first}:{get_column_letter(len(made.columns))}{last}"
    fifth_row_rule(sheet, whole, f"MOD(ROW()-ROW($A${made.guard_row}),5)=0")
    if made.top == BAND_ROW:
        sheet.freeze_panes = sheet.cell(first, made.frozen + 1)
    sheet.sheet_properties.outlinePr.summaryRight = False
    return sheet


def heading(
    sheet: Worksheet, painter: Painter, made: RowSheet, job: Job, counts: str, more: str = "", hint: str = ""
) -> None:
    """What the sheet decides, the job, and its counts; `counts` and `more` are pieces of formulas.

    A hint stands beside the counts, past the columns that every page repeats.
    """
    titled(sheet, painter, made.title, job, counts, more)
    if hint:
        painter.put(sheet, 3, made.frozen + 2, hint, QUIET)


def titled(sheet: Worksheet, painter: Painter, title: str, job: Job, counts: str, more: str = "") -> None:
    """The first three rows of every sheet of the job: what it decides, which job, how it stands."""
    painter.put(sheet, 1, 1, title, DECIDES)
    invented = '&"   (invented)"' if job.invented else ""
    job_words = 'IF(JobNumber="","Job number: fill it in on Start","Job "&JobNumber&"   revision "&Revision)'
    painter.put(sheet, 2, 1, f"={job_words}{more}{invented}", PLAIN)
    painter.put(sheet, 3, 1, f"={counts}", QUIET)
    sheet.row_dimensions[1].height, sheet.row_dimensions[2].height = LOW + 1, LOW


def _heads(sheet: Worksheet, painter: Painter, made: RowSheet, looks: Sequence[Look]) -> None:
    before = ""
    for place, (column, look) in enumerate(zip(made.columns, looks, strict=True), start=1):
        painter.put(sheet, made.top, place, column.band if column.band != before else None, BAND)
        for row, text, kind in ((made.head_row, column.head, HEAD), (made.unit_row, column.unit or None, UNIT)):
            painter.put(sheet, row, place, text, kind._replace(across=look.across, indent=look.indent))
        before = column.band
        sheet.column_dimensions[get_column_letter(place)].width = column.width
    sheet.row_dimensions[made.head_row].height = 37
    for row in (made.top, made.unit_row):
        sheet.row_dimensions[row].height = LOW


def _looks(columns: Sequence[Column]) -> list[Look]:
    """The look of each column; words that follow a number stand off from it."""
    found: list[Look] = []
    beside_number = False
    tall = any(column.wrap for column in columns)
    for column in columns:
        look = _look(column)
        if tall and column.typed and column.words and not column.shrink:
            look = look._replace(wrap=True)  # a figure typed with its unit takes a second line, its number is never cut
        if not column.folded:
            found.append(look._replace(indent=1) if beside_number and look.across == "left" else look)
            beside_number = look.across == "right"
        else:
            found.append(look)
    return found


def _look(column: Column) -> Look:
    if column.folded:
        return FOLDED._replace(edge="line", across="left")
    size = 8 if column.small else 9
    if column.kind == "words":
        return VERDICT._replace(edge="line", across="left", size=size)
    if column.typed:
        picked = column.kind == "list" and not column.spec.startswith('"')  # a name, even one that looks like a number
        shown = "@" if column.text or picked else column.format or "General"
        across = "left" if column.low is None else "right"
        return INPUT._replace(format=shown, across=across, wrap=column.wrap, shrink=column.shrink)
    shown = column.format or number_format(column.unit)
    across = "left" if shown == "General" else "right"
    return PLAIN._replace(edge="line", format=shown, wrap=column.wrap, across=across, size=size)


def _column(
    sheet: Worksheet,
    painter: Painter,
    made: RowSheet,
    place: int,
    look: Look,
    rows: Sequence[Mapping[str, object]],
    count: int,
) -> None:
    column = made.columns[place - 1]
    pattern = prepared(column.spec, made, count) if not column.typed else ""
    for offset in range(count):
        row = made.first_row + offset
        if column.typed:
            value = rows[offset].get(column.key) if offset < len(rows) else None
        else:
            value = pattern.replace(ROW_OPEN, str(row)) or None
        painter.put(sheet, row, place, value, look)


def _typed(sheet: Worksheet, made: RowSheet, place: int, count: int) -> None:
    """What may be typed into a column; its cells are tinted in rows of one's own and in the next free row."""
    letter = get_column_letter(place)
    first = made.first_row
    area = f"{letter}{first}:{letter}{first + count - 1}"
    rule = validation(made.columns[place - 1], f"{letter}{first}")
    sheet.add_data_validation(rule)
    rule.add(area)
    name = made.letter(made.columns[0].key)
    above = f"${name}{first - 1}"
    cited = prepared(made.cited, made, count).replace(ROW_OPEN, str(first))
    used = f'OR(${name}{first}<>"",{above}<>"",ROW()=ROW(${name}${made.guard_row})+1)'
    input_rule(sheet, area, f"AND(NOT({cited}),{used})")


def validation(column: Column, cell: str) -> DataValidation:
    """What may be typed into a column, with a message before and a sentence after a wrong entry."""
    if column.kind == "list":
        words = column.spec if column.spec.startswith('"') else f"={column.spec}"
        rule = DataValidation(type="list", formula1=words, allow_blank=column.spec.startswith('"'))
        error = f"{column.head}: pick one of the list."
        if not column.spec.startswith('"'):
            error = f"{column.head}: not in its table. Add it there first."
    elif column.low is not None and column.high is not None:
        number = f"AND(ISNUMBER({cell}),{cell}>={column.low:g},{cell}<={column.high:g})"
        formula = f"OR(ISTEXT({cell}),{number})" if column.words else number
        rule = DataValidation(type="custom", formula1=formula, allow_blank=True)
        error = f"{column.head}: {column.low:g} to {column.high:g} {column.unit}".rstrip()
        error += ", or text with a unit." if column.words else "."
        if column.format.startswith("d "):
            error = f"{column.head}: a date."
    else:
        rule = DataValidation(type="custom", formula1=f"LEN({cell})<=400", allow_blank=True)
        error = f"{column.head}: at most 400 characters."
    rule.showErrorMessage = rule.showInputMessage = True
    rule.errorStyle = "stop"
    rule.promptTitle, rule.errorTitle = column.head[:32], column.head[:32]
    rule.prompt, rule.error = (column.help or column.head)[:255], error[:225]
    return rule


def _guards(sheet: Worksheet, painter: Painter, made: RowSheet, count: int) -> None:
    sheet.row_dimensions[made.guard_row].height = 4
    if {"filled", "otherwords"} <= made.places.keys():  # a table with a Check: how many rows ask for one
        name, filled = (made.area(key, count, sheet=False) for key in (made.columns[0].key, "filled"))
        formula = f'=COUNTIF({name},"?*")+COUNT({name})+COUNTIFS({name},"",{filled},">0")'
        painter.put(sheet, made.first_row + count, made.places["otherwords"], formula, FOLDED)
    words = prepared(made.marker, made, count) if made.marker.startswith("=") else made.marker
    painter.put(sheet, made.first_row + count, made.places[made.marker_key], words or None, QUIET)
    sheet.row_dimensions[made.first_row + count].height = LOW
    wraps = any(column.wrap for column in made.columns)
    for row in range(made.first_row, made.first_row + count):
        sheet.row_dimensions[row].height = 26 if wraps else 14


def _fold(sheet: Worksheet, made: RowSheet) -> None:
    """Group neighbouring folded columns and hide them."""
    start = None
    for place, column in enumerate([*made.columns, None], start=1):
        if column is not None and column.folded:
            start = start or place
        elif start is not None:
            sheet.column_dimensions.group(get_column_letter(start), get_column_letter(place - 1), hidden=True)
            start = None
