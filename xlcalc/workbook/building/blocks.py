"""A sheet with one or several tables under each other: the same columns folded, counts on top, one set of names."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import VERDICTS, short
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import BAND_ROW, Column, RowSheet, quoted
from xlcalc.workbook.building.rows_on_sheet import LOW, titled, write
from xlcalc.workbook.building.style import QUIET, WIDE, Look, Painter, page

FIRST_TOP = 6  # band row of the first table: title, job and counts stand above, then its own title
CHARACTERS_OF_A_PAGE = 144  # width of a landscape Letter page, the narrower of the two
LARGEST_SCALE = 85  # per cent, of a row on one sheet of paper
REPEATED = 2  # columns that a table on two sheets of paper repeats: name and Check
BETWEEN = 4  # rows from the last data row of a table to the title of the next
SPACER, FREE_ROW = 6, 15  # points: a row between tables, and one without a height of its own
PAGE_HEIGHT = 595 - 83  # points between the margins of a landscape A4 page, the lower of the two


@dataclass(frozen=True)
class Table:
    """A table of a sheet: its declaration, where its rows stand in the job, and how many rows there are at least.

    A table without a place in the job fills itself.
    """

    made: RowSheet
    rows: str
    least: int = 8
    spare: int = 3

    def count(self, job: Job) -> int:
        """Rows of the table for a job."""
        return max(self.least, len(job.tables.get(self.rows, ())) + self.spare)


def aligned(*tables: Table) -> tuple[Table, ...]:
    """The tables with their shown columns first, the last of them in one line down the sheet, then the folded ones."""
    widest = max(sum(not column.folded for column in table.made.columns) for table in tables)
    made = (replace(table.made, columns=_aligned(table.made.columns, widest)) for table in tables)
    return tuple(replace(table, made=each) for table, each in zip(tables, made, strict=True))


def _aligned(columns: Sequence[Column], widest: int) -> list[Column]:
    shown = [column for column in columns if not column.folded]
    gaps = [Column(f"gap{place}", shown[-2].band, "", "", "gap", 8) for place in range(widest - len(shown))]
    return [*shown[:-1], *gaps, shown[-1], *(column for column in columns if column.folded)]


@dataclass(frozen=True)
class Placed:
    """A table where it stands in a sheet."""

    made: RowSheet
    count: int

    def area(self, key: str) -> str:
        """A column from guard to guard, with the sheet's name."""
        return self.made.area(key, self.count)

    @property
    def last_row(self) -> int:
        """The row of the marker below the data."""
        return self.made.first_row + self.count


def placed(tables: Sequence[Table], job: Job) -> list[Placed]:
    """Tables one below the other."""
    top, found = FIRST_TOP, []
    for table in tables:
        found.append(Placed(replace(table.made, top=top), table.count(job)))
        top = found[-1].last_row + BETWEEN
    return found


def add_tables(
    book: Workbook, painter: Painter, job: Job, says: str, tables: Sequence[Table], *, hint: str, split: str = ""
) -> tuple[Worksheet, list[Placed], dict[str, str]]:
    """Write a sheet of tables.

    `says`: what the sheet decides. `hint`: what to type first, shown while the sheet is empty. `split`: the column of
    the first table that ends the first of two sheets of paper a row; without it a row stands on one. Returns the sheet,
    the tables where they stand, and what Start says of the sheet: word -> formula.
    """
    found = placed(tables, job)
    for table, where in zip(tables, found, strict=True):
        write(book, painter, where.made, list(job.tables.get(table.rows, ())), where.count)
    made = found[0].made
    sheet = book[made.name]
    for where in found[:-1]:
        for row in range(where.last_row + 1, where.last_row + BETWEEN - 1):
            sheet.row_dimensions[row].height = SPACER
    _widths(sheet, [where.made for where in found])
    titled(sheet, painter, says, job, heading_counts(made.name, hint))
    painter.put(sheet, 3, 1, None, QUIET._replace(wrap=True, up="top"))
    sheet.merge_cells("A3:B3")  # both are repeated on every sheet of paper, what ran over them would be cut
    sheet.row_dimensions[3].height = 22
    sheet.freeze_panes = sheet.cell(BAND_ROW, made.frozen + 1)
    shown = sum(not column.folded for column in made.columns)
    half = made.places[split] if split else 0
    wide = sum(sheet.column_dimensions[get_column_letter(place)].width for place in range(1, shown + 1))
    scale = WIDE if split else min(LARGEST_SCALE, int(100 * CHARACTERS_OF_A_PAGE / wide))
    page(sheet, landscape=True, titles="1:3", columns="A:B" if split else "", scale=scale)
    if split:
        sheet.col_breaks.append(Break(id=half))
    sheet.print_area = f"A1:{get_column_letter(shown)}{found[-1].last_row + 1}"
    return sheet, found, said_of(found)


def two_lines(sheet: Worksheet, painter: Painter, row: int, columns: tuple[int, int], words: str, look: Look) -> None:
    """Words on up to two lines from one column to another: none of them runs onto the next sheet of paper."""
    painter.put(sheet, row, columns[0], words, look._replace(wrap=True))
    sheet.merge_cells(start_row=row, start_column=columns[0], end_row=row, end_column=columns[1])
    sheet.row_dimensions[row].height = 5 + 2.2 * look.size


def below_tables(sheet: Worksheet, first: int, last: int) -> None:
    """Rows below the tables, such as those of a chart: low ones, that stand on one sheet of paper.

    To be called with the scale and the breaks of the rows above in place.
    """
    for row in range(first, last + 1):
        sheet.row_dimensions[row].height = _height(sheet, row) or LOW
    whole_on_a_page(sheet, first, last)


def whole_on_a_page(sheet: Worksheet, first: int, last: int, titles: int = 3) -> None:
    """Let rows start a sheet of paper where its end would cut them; `titles` is how many rows every page repeats."""
    start = max((each.id for each in sheet.row_breaks.brk), default=0)
    rows = [*(range(1, titles + 1) if start else ()), *range(start + 1, last + 1)]
    if sum(_height(sheet, row) or FREE_ROW for row in rows) > PAGE_HEIGHT * 100 / sheet.page_setup.scale:
        sheet.row_breaks.append(Break(id=first - 1))


def _height(sheet: Worksheet, row: int) -> float:
    """Points of a row that has a height; 0 for any other."""
    return (row in sheet.row_dimensions and sheet.row_dimensions[row].height) or 0.0


def title_notes(sheet: Worksheet, painter: Painter, notes: Sequence[str]) -> None:
    """Remarks in the rows that every sheet of paper repeats, past the columns that it repeats too."""
    for row, words in enumerate(notes, start=2):
        painter.put(sheet, row, REPEATED + 1, words, QUIET._replace(up="top") if row > 2 else QUIET)


def _widths(sheet: Worksheet, tables: Sequence[RowSheet]) -> None:
    """A column is as wide as the widest of its tables asks for."""
    shown = sum(not column.folded for column in tables[0].columns)
    for place, columns in enumerate(zip(*(table.columns[:shown] for table in tables), strict=True), start=1):
        sheet.column_dimensions[get_column_letter(place)].width = max(
            column.width for column in columns if column.kind != "gap"
        )


def prefix(name: str) -> str:
    """What the named counts of a sheet begin with."""
    return name.replace("-", "").replace(" ", "")


PASSED_OVER = "passed over"  # said of a sheet: how many of its rows marked Change need no mending


def count_name(sheet: str, word: str) -> str:
    """`LinesNotChecked`: the named cell of Start with a count of a sheet."""
    return prefix(sheet) + word.title().replace(" ", "")


def heading_counts(sheet: str, hint: str) -> str:
    """The counts of a sheet in words, as a piece of a formula; what to type first while it is empty."""
    return f'IF({count_name(sheet, "named")}=0,"{hint}",{count_name(sheet, "words")})'


def said_of(tables: Sequence[Placed]) -> dict[str, str]:
    """Formulas over the tables of a sheet: how many rows say each verdict, and how many rows there are."""
    said = {
        word: "=" + "+".join(f'COUNTIF({table.area("check")},"{short(word)}*")' for table in tables)
        for word in VERDICTS
    }
    said["named"] = "=" + "+".join(f"{quoted(table.made.name)}!{table.made.counted(table.count)}" for table in tables)
    return said


def note(sheet: Worksheet, painter: Painter, row: int, words: str) -> None:
    """A caution or a remark under a table."""
    painter.put(sheet, row, 1, words, QUIET)
