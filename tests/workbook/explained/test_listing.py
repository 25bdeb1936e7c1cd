"""Several tables under each other on one sheet: their headers, units, bands and rows."""

from xlcalc.workbook.explained.headers import Headers
from xlcalc.workbook.explained.listing import listings
from xlcalc.workbook.landmarks import MARKER

from ..books import formula, number, row, text
from ..ours import worked


def table(top: int, heads: str, units: str, names: str, value: float = 1) -> str:
    """A table: bands, headers, units, then a row for each name with its Check in B and a number in C."""
    letters = "ABCDEFGH"
    rows = row(top, text(f"A{top}", f"Band {top}"))
    rows += row(top + 1, *(text(f"{letters[i]}{top + 1}", head) for i, head in enumerate(heads.split(","))))
    rows += row(top + 2, *(text(f"{letters[i]}{top + 2}", unit) for i, unit in enumerate(units.split(",")) if unit))
    for place, name in enumerate(names.split(","), start=top + 3):
        check = formula(f"B{place}", f'IF(C{place}>1,"Change: less","Within limits")') if name != "bare" else ""
        rows += row(place, text(f"A{place}", name) if name else "", check, number(f"C{place}", value))
    return rows


SHEET = (
    row(1, text("A1", "What the sheet decides"))
    + table(3, "Line,Check,Length,Note,Line", ",,m", "a,,b,bare")
    + row(10, text("C10", MARKER))
    + row(12, text("A12", "Not of the table"), formula("B12", '"Change: what"'))
    + row(20, text("A20", "Title of the second"), text("B20", "Check"))
    + table(21, "Tank,Check,Volume", ",,L", "bare,c,d", 2)
    + table(30, "Drain,check,Fall", ",,mm", "e")
    + row(40, text("A40", "A caution about Check"), formula("C40", "1+1"))
)


def test_every_table_of_a_sheet_is_found_with_its_rows() -> None:
    found = listings(report := worked(SHEET), "S")
    assert [(each.head(), each.head_row, each.check, each.rows) for each in found] == [
        ("Line", 4, 2, [6, 7, 8, 9]),  # the row between without a name, the named one below without its formulas
        ("Tank", 22, 2, [24, 25, 26]),
        ("Drain", 31, 2, [33]),
    ]
    assert found[0].columns == {"Line": 1, "Check": 2, "Length": 3, "Note": 4, "Line (2)": 5}
    assert listings(report, "absent") == []


def test_a_list_below_a_table_is_none_of_its_rows() -> None:
    """An order list that has names where the table above has its Check: no verdict, so none of the table."""
    parts = row(12, text("A12", "Supplier"), text("B12", "Part"))
    parts += row(13, formula("A13", '"Shop"'), formula("B13", '"textile -6"')) + row(14, formula("B14", '""'))
    found = listings(worked(row(1, text("A1", "Title")) + table(3, "Fluid,Check,Litres", ",,L", "a,b") + parts), "S")
    assert [(each.head(), each.rows) for each in found] == [("Fluid", [6, 7])]


def test_a_list_below_an_empty_table_is_none_of_its_rows_either() -> None:
    """Nothing is filled in, so no verdict says where the table ends; a row that lost all it had is within it."""
    empty = "".join(row(place, formula(f"B{place}", '""')) for place in (6, 7, 9))
    heads = row(4, text("A4", "Fluid"), text("B4", "Check"))
    below = row(12, text("A12", "Supplier"), text("B12", "Part")) + row(13, formula("A13", '""'), formula("B13", '""'))
    found = listings(worked(row(1, text("A1", "Title")) + heads + empty + below), "S")
    assert [(each.head(), each.rows) for each in found] == [("Fluid", [6, 7, 8, 9])]


def test_a_cell_has_the_header_and_unit_of_its_own_table() -> None:
    heads = Headers(worked(SHEET), "S")
    assert heads.rows == [4, 20, 22, 31]  # row 20 only looks like one: no Check stands below it
    assert [heads.head(row, 3) for row in (3, 4, 6, 24, 33)] == ["", "", "Length", "Volume", "Fall"]
    assert [heads.unit(row, 3) for row in (5, 6, 24, 33)] == ["", "m", "L", "mm"]
    assert [heads.band(row, 2) for row in (3, 6, 24, 33)] == ["", "Band 3", "Band 21", "Band 30"]


def test_a_sheet_without_a_check_has_no_table() -> None:
    assert listings(worked(row(1, text("A1", "Name"), text("B1", "Value")) + row(2, formula("B2", "1+1"))), "S") == []
    assert listings(worked(row(1, formula("B1", "1+1"))), "S") == []
