"""How sheets open and print: folds shut, Start in front, no row wider than Letter paper, every chart told in words."""

import re
import zipfile
from itertools import pairwise

import openpyxl
from openpyxl.utils import column_index_from_string, get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.blocks import whole_on_a_page
from xlcalc.workbook.sheets.printed import lines_of

from ..shipped import DEMO, loaded, shipped

LETTER = {"landscape": 11.0, "portrait": 8.5}  # inches
A4 = {"landscape": 11.69, "portrait": 8.27}
SMALLEST = 69  # per cent: 9 point type prints as 6.2; the Self-check is to stand on one sheet of paper
A4_LOW, HEAD_AND_FOOT = 8.27, 0.45 + 0.7  # inches: the short side, and what stands free above and below
MARGINS, DOTS, PIXELS_OF_CHARACTER = 0.5, 96, 7


def widths(sheet: Worksheet) -> dict[int, float]:
    """Width of every column as it opens; 0 where it is shut."""
    return {
        place: 0 if each.hidden else each.width
        for each in sheet.column_dimensions.values()
        for place in range(each.min, each.max + 1)
    }


def scaled() -> list[Worksheet]:
    """The sheets that print at a scale of their own."""
    return [sheet for sheet in loaded(DEMO) if sheet.page_setup.scale]


def test_no_row_is_wider_than_the_narrower_paper() -> None:
    assert len(scaled()) > 10
    for sheet in scaled():
        wide = widths(sheet)
        setup = sheet.page_setup
        room = (LETTER[setup.orientation] - MARGINS) * DOTS / PIXELS_OF_CHARACTER / setup.scale * 100
        repeated = sheet.print_title_cols
        again = column_index_from_string(repeated.split(":")[1].strip("$")) if repeated else 0
        area = sheet.print_area or f"A1:{get_column_letter(max(wide))}1"
        last = max(column_index_from_string(end) for end in re.findall(r":\$?([A-Z]+)", area))
        edges = [0, *(each.id for each in sheet.col_breaks.brk if each.id < last), last]
        for before, after in pairwise(edges):
            pieces = [*range(1, again + 1)] if before else []
            row = sum(wide.get(place, 9) for place in [*pieces, *range(before + 1, after + 1)])
            assert row <= room, f"{sheet.title}: columns {before + 1} to {after} are wider than the paper"


def test_no_sheet_prints_too_small_to_read() -> None:
    for sheet in loaded(DEMO):
        wide = sum(widths(sheet).values()) if not sheet.print_area else 0
        fitted = (A4[sheet.page_setup.orientation] - MARGINS) * DOTS / PIXELS_OF_CHARACTER / wide * 100 if wide else 100
        scale = sheet.page_setup.scale or fitted
        least = 61 if sheet.title == "Self-check" else SMALLEST
        assert scale >= least, f"{sheet.title} prints at {scale:.0f} per cent"


def test_what_is_folded_is_shut_to_the_last_column() -> None:
    folded = [sheet for sheet in loaded(DEMO) if any(each.hidden for each in sheet.column_dimensions.values())]
    assert len(folded) > 10
    for sheet in folded:
        wide = widths(sheet)
        first = max(each.min for each in sheet.column_dimensions.values() if each.hidden)
        shown = [place for place in range(first, sheet.max_column + 1) if wide.get(place) != 0]
        assert shown == [], f"{sheet.title}: these columns stand open past the fold"


def test_no_word_of_a_header_is_broken() -> None:
    for sheet in scaled():
        wide = widths(sheet)
        heads = [
            cell
            for row in sheet.iter_rows()
            for cell in row
            if isinstance(cell.value, str) and cell.alignment.wrap_text and cell.alignment.vertical == "bottom"
        ]
        room = {cell.coordinate: wide.get(cell.column, 9) - (cell.alignment.indent or 0) for cell in heads}
        open_ = [cell for cell in heads if wide.get(cell.column, 9)]
        words = [(cell.coordinate, word) for cell in open_ for word in cell.value.split(" ")]
        broken = [(at, word) for at, word in words if lines_of(word, room[at]) > 1]
        assert broken == [], f"{sheet.title}: words wider than their column"


def test_no_name_of_a_line_is_broken_or_cut() -> None:
    """Ten letters, such as `cooler-out`, stand in each column at their full size; a longer name is set smaller."""
    found = 0
    for sheet in loaded(DEMO):
        rules = [rule for rule in sheet.data_validations.dataValidation if "LineList" in rule.formula1]
        cells = [sheet.cell(area.min_row, area.min_col) for rule in rules for area in rule.sqref.ranges]
        for cell in [*cells, *([sheet["A8"]] if sheet.title == "Lines" else [])]:
            look, where = cell.alignment, f"{sheet.title}!{cell.coordinate}"
            assert (look.shrink_to_fit, look.wrap_text) == (True, None), where
            assert lines_of("cooler-out", widths(sheet)[cell.column]) == 1, where
            found += 1
    assert found >= 13, "a column of lines is missing"


def test_prices_beside_each_other_have_headers_that_stand_apart() -> None:
    """A header that fills its column reads as one with the next: a character of room is left in each line."""
    sheet = loaded(DEMO)["Options"]
    heads = {cell.value: cell for row in sheet.iter_rows() for cell in row if isinstance(cell.value, str)}
    for words in ("Hose, a metre", "End, each", "Price before margin", "Per year of life", "Cheaper than pick by"):
        room = widths(sheet)[heads[words].column]
        assert lines_of(words, room - 1.5) == lines_of(words, room), words


def test_the_book_opens_on_start_and_each_sheet_at_a_cell_to_fill_in() -> None:
    book = loaded(DEMO)
    assert [sheet.title for sheet in book if sheet.sheet_view.tabSelected] == ["Start"]
    for sheet in book:
        chosen = {each.activeCell for each in sheet.sheet_view.selection}
        assert len(chosen) == 1, f"{sheet.title}: its panes open at different cells"
        (cell,) = chosen
        assert cell == "A1" or not sheet[cell].protection.locked, f"{sheet.title} opens at {cell}, which is locked"
    assert book["Lines"].sheet_view.selection[0].activeCell == "A8"


def test_no_chart_is_cut_by_the_end_of_a_sheet_of_paper() -> None:
    """Points of the rows above it and its own, against A4, the lower paper; rows without a height count 15."""
    found = 0
    for sheet in scaled():
        room = (A4_LOW - HEAD_AND_FOOT) * 72 / sheet.page_setup.scale * 100
        titles = int((sheet.print_title_rows or "0").split("$")[-1])
        for chart in sheet._charts:
            top = chart.anchor._from.row + 1
            starts = [int(each) for each in re.findall(r"\$(\d+):", sheet.print_area)]
            starts += [each.id + 1 for each in sheet.row_breaks.brk]
            start = max(each for each in starts if each <= top)
            rows = [*(range(1, titles + 1) if start > 1 else ()), *range(start, top)]
            above = sum(sheet.row_dimensions[row].height or 15 for row in rows)
            assert above + chart.anchor.ext.height / 12700 <= room, f"{sheet.title}: the chart at row {top} is cut"
            found += 1
    assert found >= 8


def test_a_chart_that_is_pushed_down_by_rows_starts_a_new_sheet_of_paper() -> None:
    sheet = openpyxl.Workbook().create_sheet()
    sheet.page_setup.scale = 70
    for row in range(1, 41):
        sheet.row_dimensions[row].height = 18
    whole_on_a_page(sheet, 31, 40)  # 720 of 731 points
    assert sheet.row_breaks.brk == []
    whole_on_a_page(sheet, 31, 41)
    assert [each.id for each in sheet.row_breaks.brk] == [30]
    whole_on_a_page(sheet, 60, 67)  # 54 of the titles, 180 and 405 below: 639
    assert len(sheet.row_breaks.brk) == 1


def test_every_chart_says_what_it_shows() -> None:
    with zipfile.ZipFile(shipped(DEMO).path) as book:
        drawings = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/drawings/drawing")]
    frames = [frame for drawing in drawings for frame in re.findall(r"<cNvPr [^>]*>", drawing)]
    assert len(frames) == sum(len(sheet._charts) for sheet in loaded(DEMO))
    assert [frame for frame in frames if not re.search(r'descr="Chart: \S.* against \S', frame)] == []
