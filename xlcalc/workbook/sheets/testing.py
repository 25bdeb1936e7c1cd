"""Testing: the limits before the test, what was read, what it proves; the road, and what is to be looked after."""

from collections.abc import Mapping
from dataclasses import replace

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.blocks import Placed, Table, add_tables, aligned, said_of, whole_on_a_page
from xlcalc.workbook.building.job import Cells, Job
from xlcalc.workbook.building.rows import name_areas
from xlcalc.workbook.building.style import FOLDED, PLAIN, QUIET, VERDICT, WIDE, Painter, page
from xlcalc.workbook.landmarks import SERVICE_ROWS
from xlcalc.workbook.sheets.testing_lines import NAME, TESTS
from xlcalc.workbook.sheets.testing_rows import READINGS, ROAD, ROAD_ROWS, SERVICE

CAUTIONS = (
    "Proof with liquid, shielded, hands away: a pinhole injects oil under the skin. Never compressed air for a proof: it goes off like a charge.",
    "Coolant only to the rating of its cap, steering never through the seals of its box. Local rules and the part maker's figures decide.",
)
LICENSED = "Fuel and brake assistance are signed by licensed practice."
SIGNED = "____________________________"
PREFILLED: Mapping[str, tuple[Cells, ...]] = {
    "road": tuple({"road": words} for words in ROAD_ROWS),
    "service": tuple({"item": words, "when": when, "again": again} for words, when, again in SERVICE_ROWS),
}
"""What every car has: these rows stand there before anybody types."""
TABLES = aligned(
    Table(TESTS, "tests", 8), Table(READINGS, "readings", 5, 2), Table(ROAD, "road", 9, 1), Table(SERVICE, "service", 10),
)  # fmt: skip


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet and its names; returns what Start says of it."""
    says = "Is every line tested, and does the car prove it?"
    hint = "Pick the first line below, fill its row: the limits stand there before the test."
    filled = replace(job, tables={**PREFILLED, **{rows: cells for rows, cells in job.tables.items() if cells}})
    sheet, found, said = add_tables(book, painter, filled, says, tables(job), hint=hint)
    tests, _, road, service = found
    for placed, names in (
        (tests, (("TestLines", "line"), ("TestWords", "said"), ("TestFluids", "fluid"), ("TestFilled", "fillednumber"))),
        (road, (("RoadItems", "road"), ("RoadSeen", "seen"), ("RoadNoted", "noted"))),
        (service, (("ServiceItems", "item"), ("ServiceMade", "made"), ("ServiceReplace", "replace"))),
    ):  # fmt: skip
        name_areas(book, placed.made, names, placed.count)
    _counts(book, sheet, painter, found)
    _print(sheet, painter, found)
    return {**said, "named": _named(found)}


def tables(job: Job) -> list[Table]:
    """The tables of a job: as many rows of tests as Lines has room for."""
    return [replace(TABLES[0], least=max(TABLES[0].least, job.room)), *TABLES[1:]]


def _named(found: list[Placed]) -> str:
    """Rows that count: those that stand in every workbook count once there is a line."""
    tests, readings, road, service = found
    return f'{said_of([tests, readings])["named"]}+IF(LinesNamed=0,0,{said_of([road, service])["named"][1:]})'


def _counts(book: Workbook, sheet: Worksheet, painter: Painter, found: list[Placed]) -> None:
    """What is still open, in folded cells of the heading, and the lines that no row tests."""
    tests, readings, road, service = found
    first = 1 + sum(not column.folded for column in tests.made.columns)
    check, seen = readings.area("check"), road.area("check")
    counts = (
        ("LinesWithoutTest", f"=MAX(0,LinesNamed-ROUND(SUM({tests.area('once')}),0))"),
        ("TestsNotDone", f'=COUNTIF({tests.area("said")},"not done")+LinesWithoutTest'),
        ("TestsToMend", f'=COUNTIF({tests.area("said")},"to mend")+COUNTIF({tests.area("said")},"fail")'),
        ("ReadingsOutside", f'=COUNTIF({check},"Change*")'),
        ("HosesTooOld", f'=COUNTIF({service.area("check")},"Change*")'),
        ("RoadOpen", f'=COUNTIF({seen},"?*")-COUNTIF({seen},"Within*")'),
    )
    for place, (name, formula) in enumerate(counts, start=first):
        painter.put(sheet, 1, place, name, FOLDED)
        painter.put(sheet, 2, place, formula, FOLDED)
        book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!${get_column_letter(place)}$2")
    untested = tests.area("untested")
    first_one = f'IFERROR(": first "&INDEX({untested},MATCH("?*",{untested},0)),"")'
    words = f'=IF(LinesWithoutTest=0,"","Lines without a row here: "&LinesWithoutTest&{first_one})'
    painter.put(sheet, 4, 1, words, VERDICT._replace(wrap=False, bold=True))


def _print(sheet: Worksheet, painter: Painter, found: list[Placed]) -> None:
    """Tests and readings on two sheets of paper a row: the limits, then what is read, with Line and Check on both.

    The road stands below the readings while there is room. The service needs one sheet; signatures stand where each ends.
    """
    tests, readings, road, service = found
    others, testat = (tests.made.places[key] for key in ("others", "testat"))
    halves = (1 + tests.made.frozen, 1 + testat)  # past the counts, which run over
    sheet.col_breaks.append(Break(id=testat - 1))
    sheet.row_breaks.append(Break(id=tests.last_row + 1))
    page(sheet, landscape=True, titles="1:4", columns="A:B", scale=WIDE)
    signed = f"Tested by {SIGNED}   Checked by {SIGNED}   Date {SIGNED}"
    ends = (tests.last_row + 1, service.last_row + 2)
    for column in halves:
        for row, words in enumerate(CAUTIONS, start=3):  # in the title rows: every page of paper bears them
            painter.put(sheet, row, column, words, QUIET)
        painter.put(sheet, ends[0], column, signed, PLAIN)
    painter.put(sheet, ends[1], 1, f"{signed}   {LICENSED}", PLAIN)
    for row in ends:
        sheet.row_dimensions[row].height = 26
    for table in (tests, road):
        for row in range(table.made.first_row, table.last_row):
            sheet.row_dimensions[row].height = 24  # twenty rows and the signatures on one sheet of paper
    for row in range(readings.made.first_row, readings.last_row):
        sheet.row_dimensions[row].height = 37  # the Check of a reading outside says what to look for: three lines
    whole_on_a_page(sheet, road.made.top - 1, road.last_row, titles=4)
    letters = [get_column_letter(place) for place in (others, testat - 1)]
    below = service.made.top - 1
    sheet.print_area = f"A1:{letters[0]}{road.last_row},A{below}:{letters[1]}{ends[1]}"
