"""Totals: what they leave out, count twice, pass over, or take from where nobody sees it."""

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.rules.pasted import nudge, nudged, pasted_values
from xlcalc.workbook.audit.rules.ranges import counted_twice, misplaced_areas, rows_left_out, text_numbers
from xlcalc.workbook.audit.rules.references import nothing_there
from xlcalc.workbook.audit.rules.table_rows import counted_out_of_sight
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

from ..sheets import book, part_of, places, table

TOTAL = {"A11": "Sum", "D11": "=SUM(D2:D9)"}


@pytest.mark.parametrize(("formula", "left_out"), [("=SUM(D3:D9)", "D2"), ("=SUM(D2:D8)", "D9"), ("=MAX(D2:D8)", "D9"),
                                                   ('=COUNTIF(A2:A8,"piece*")', "A9")])  # fmt: skip
def test_a_total_that_leaves_out_a_row_is_found(formula: str, left_out: str) -> None:
    (found,) = rows_left_out(book(table() | {"A11": "Sum", "D11": formula}))
    assert found.place == "S!D11"
    assert left_out in found.there


@pytest.mark.parametrize("cells", [TOTAL, {"A10": "Sum", "D10": "=SUM(D2:D9)"}, {"D11": "=SUM(D2:D10)"},
                                   {"D11": "=SUM(D2:D4)"}, {"E2": "=SUM(D$2:D2)", "E3": "=SUM(D$2:D3)"}])  # fmt: skip
def test_a_total_of_a_whole_table_or_of_a_part_on_purpose_is_none(cells: dict[str, object]) -> None:
    made = book(table() | cells)
    assert [*rows_left_out(made), *counted_twice(made), *misplaced_areas(made), *nudged(made)] == []


def test_a_heading_right_above_what_is_added_up_is_not_left_out() -> None:
    hours = {"A1": "Hours in the shop", "A2": "cutting", "B2": 3.0, "A3": "crimping", "B3": 2.5, "A4": "routing",
             "B4": 7.0, "A5": "all", "B5": "=SUM(B2:B4)"}  # fmt: skip
    assert list(rows_left_out(book(hours))) == []


def test_the_header_of_a_list_of_words_is_not_left_out_of_a_count() -> None:
    words = {"A1": "Line", "B1": "Verdict"} | {f"{c}{row}": f"{c} {row}" for c in "AB" for row in range(2, 9)}
    counts = {"D11": "=COUNTA(A2:A8)", "D12": '=COUNTIF(B2:B8,"B*")'}
    assert list(rows_left_out(book(words | counts))) == []
    assert places(rows_left_out(book(words | counts | {"D12": '=COUNTIF(B2:B7,"B*")'}))) == ["D12"]


def test_the_first_row_of_a_running_total_belongs_to_the_table() -> None:
    hours: dict[str, object] = {"A1": "Month", "B1": "Hours", "C1": "So far", "B9": "=SUM(B3:B7)"}
    for row in range(2, 8):
        hours |= {f"A{row}": f"month {row}", f"B{row}": 30.0 + row, f"C{row}": f"=C{row - 1}+B{row}"}
    (found,) = rows_left_out(book(hours | {"C2": "=B2"}))
    assert "without B2" in found.there
    named = {ref: held for ref, held in hours.items() if ref[0] != "B"} | {"C8": "=SUM(C2:C7)", "A8": "all"}
    assert list(rows_left_out(book(named | {"C2": 31.0, "D1": "=COUNTA(A2:A7)"}))) == []


def test_a_subtotal_inside_of_a_total_counts_twice() -> None:
    cells = table() | {"A6": "So far", "D6": "=SUM(D2:D5)", "D11": "=SUM(D2:D9)"}
    assert places(counted_twice(book(cells))) == ["D11"]


def test_a_cell_added_to_a_sum_that_has_it_counts_twice() -> None:
    (found,) = counted_twice(book(table() | {"D11": "=SUM(D2:D9)+D4"}))
    assert "in which D4 is a cell of the same area" in found.there


def test_a_subtotal_added_to_the_sum_of_its_own_cells_counts_twice() -> None:
    cells = {"A6": "So far", "D6": "=SUM(D2:D5)", "A10": "The rest", "D10": "=SUM(D7:D9)", "A11": "Sum"}
    found = list(counted_twice(book(table() | cells | {"D11": "=SUM(D2:D5)+D6+D10"})))
    assert places(found) == ["D11"]
    assert "in which D6 is a sum of cells of the same area" in found[0].there
    assert list(counted_twice(book(table() | cells | {"D11": "=SUM(D2:D5)+D10"}))) == []


def test_a_number_typed_as_text_among_numbers_is_found() -> None:
    (found,) = text_numbers(book(table() | {"B5": "2.5", "B11": "=SUM(B2:B9)"}))
    assert (found.place, found.why) == ("S!B5", "S!B11 (SUM) passes over it")
    days = {"E1": "Day", **{f"E{row}": 46_000.0 + row for row in range(2, 10)}, "E6": "16.02.2026"}
    (late,) = text_numbers(book(table() | days))
    assert (late.place, late.expected) == ("S!E6", "the date 16.02.2026, as in the other rows")
    sizes = {"E1": "Size", **{f"E{row}": f"{row}" for row in range(2, 10)}}
    assert list(text_numbers(book(table() | sizes))) == []


def test_a_hidden_row_that_a_total_takes_in_is_found() -> None:
    (found,) = counted_out_of_sight(book(table() | TOTAL, hidden=[4]))
    assert found.there == "row 4 (piece 4) is hidden, by hand or by a filter"
    assert list(counted_out_of_sight(book(table(), hidden=[4]))) == []


@pytest.mark.parametrize(
    ("number", "filtered", "found"),
    [("9", "", 1), ("1", "", 1), ("109", "", 0), ("9", "<filterColumn colId='0'/>", 0), ("9", None, 1),
     ("9", "<sortState ref='A2:D9'/>", 1)],
)
def test_a_subtotal_takes_what_was_hidden_by_hand_and_not_what_a_filter_hides(
    number: str, filtered: str | None, found: int
) -> None:
    """As the file format says of SUBTOTAL: 1 to 11 take rows that were hidden by hand, and none takes filtered ones."""
    package = book(table() | {"D10": f"=SUBTOTAL({number},D2:D9)"}, hidden=[4]).package
    part = part_of(package, "S")
    after = b"" if filtered is None else f"<autoFilter ref='A1:D9'>{filtered}</autoFilter>".encode()
    xml = package.read(part).replace(b"</sheetData>", b"</sheetData>" + after)
    filed = Package.from_bytes(package.edited({part: xml}), "book.xlsx") if after else package
    assert len(list(counted_out_of_sight(Book(filed, compute(filed))))) == found


@pytest.mark.parametrize(("filtered", "found"), [("<filterColumn colId='0'/>", 0), ("", 1)])
def test_a_subtotal_does_not_take_what_the_filter_of_a_table_hides(filtered: str, found: int) -> None:
    package = book(table() | {"D10": "=SUBTOTAL(9,D2:D9)"}, hidden=[4]).package
    folder, _, part = part_of(package, "S").rpartition("/")
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    link = f'<Relationship Id="t1" Type="{office}/table" Target="/xl/tables/table1.xml"/>'
    links = f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{link}</Relationships>'
    area = f'<autoFilter ref="A1:D9">{filtered}</autoFilter>'
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    made = f'<table xmlns="{main}" name="Pieces" displayName="Pieces" ref="A1:D9">{area}</table>'
    added = {f"{folder}/_rels/{part}.rels": links.encode(), "xl/tables/table1.xml": made.encode()}
    filed = Package.from_bytes(package.edited({}, added), "book.xlsx")
    assert len(list(counted_out_of_sight(Book(filed, compute(package))))) == found


@pytest.mark.parametrize(("drawn", "rows"), [(b'ht="0" customHeight="1"', 1), (b'ht="0.75" customHeight="1"', 0)])
def test_a_row_drawn_to_no_height_is_as_hidden(drawn: bytes, rows: int) -> None:
    package = book(table() | TOTAL).package
    part = part_of(package, "S")
    low = package.read(part).replace(b'<row r="4"', b'<row ' + drawn + b' r="4"')
    flat = Package.from_bytes(package.edited({part: low}), "book.xlsx")
    assert len(list(counted_out_of_sight(Book(flat, compute(flat))))) == rows


def test_an_area_over_another_table_or_over_words_only_is_found() -> None:
    other = {"A11": "Van", "B11": "Hours", "A12": "van 1", "B12": 3.0}
    conditions = {"B3": '=SUMIFS(S!B2:B9,S!A2:A9,"piece*")', "B4": '=SUMIF(S!A2:A9,"piece*",S!B2:B9)'}
    sheets = {"S": table(), "T": {"A1": "Sum", "B1": "=SUM(S!A2:A9)", "B2": "=SUM(S!B2:B9)", **conditions}}
    assert [*misplaced_areas(book(table() | other))] == []
    assert places(misplaced_areas(book(sheets))) == ["B1"]


def test_a_formula_that_looks_at_nothing_or_at_a_header_is_found() -> None:
    found = list(nothing_there(book(table() | {"F3": "=B3*K3", "G3": "=B3*C1", "H3": "=B3*C30"})))
    assert [(each.place, each.rule) for each in found] == [
        ("S!F3", "looks-at-blank"), ("S!G3", "looks-at-header"), ("S!H3", "looks-at-blank")
    ]  # fmt: skip


def test_figures_where_a_formula_belongs_are_found() -> None:
    cells = table() | {"A10": "Total", "B10": 22.0, "A12": "Share", "B12": 0.333333333333333, "B13": 3.14159}
    assert places(pasted_values(book(cells))) == ["B10", "B12"]


@pytest.mark.parametrize(
    ("shape", "end"),
    [("SUM(§)+0", "+0"), ("§*§*1", "*1"), ("SUM(§)+0.5", "+0.5"), ("(§)*1.05", "*1.05"), ("SUM(§)*1.05", ""),
     ("§+1", ""), ("COUNTA(§)-1", ""), ("§*10", ""), ("§*0.7", "")],
)  # fmt: skip
def test_what_was_put_behind_a_formula(shape: str, end: str) -> None:
    assert nudge(shape) == end


@pytest.mark.parametrize(
    ("last", "found"),
    [(162.5, ["B7"]), (162.6, []), ("=SUM(B2:B6)", []), (30.5, [])],
)
def test_a_list_that_ends_with_the_sum_of_itself_was_added_up_by_hand(last: object, found: list[str]) -> None:
    days = {f"A{row}": f"day {row}" for row in range(2, 8)} | {f"B{row}": 28.5 + row for row in range(2, 7)}
    assert places(pasted_values(book(days | {"B1": "Hours", "B7": last}))) == found
    one_more = {"A8": "day 8", "B8": 3.0}
    assert list(pasted_values(book(days | one_more | {"B1": "Hours", "B7": last}))) == []
