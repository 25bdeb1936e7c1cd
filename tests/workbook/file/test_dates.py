"""Which cells show a date, and which day a number stands for."""

from datetime import date

import pytest

from xlcalc.workbook.file.dates import Dates, day_of, is_date, serial_of
from xlcalc.workbook.file.package import Package

from ..books import HEAD, MAIN, number, packed, parts, row


@pytest.mark.parametrize(
    ("serial", "date1904", "day"),
    [  # as spreadsheets print them; 60 is the 29 February 1900 that never was
        (1, False, date(1900, 1, 1)),
        (59, False, date(1900, 2, 28)),
        (61, False, date(1900, 3, 1)),
        (46083, False, date(2026, 3, 2)),
        (46083.75, False, date(2026, 3, 2)),
        (44621, True, date(2026, 3, 2)),
        (2958465, False, date(9999, 12, 31)),
        (2958466, False, None),
        (0.5, False, None),
        (-1, False, None),
    ],
)
def test_a_number_stands_for_a_day(serial: float, date1904: bool, day: date | None) -> None:
    assert day_of(serial, date1904=date1904) == day
    if day and day.year > 1900 and serial == int(serial):
        assert serial_of(day, date1904=date1904) == serial


@pytest.mark.parametrize(
    ("code", "dated"),
    [("d mmm yyyy", True), ("[$-409]dd/mm/yy;@", True), ("yyyy", True), ("General", False), ("0.00", False),
     ("h:mm", False), ('0 "days"', False),
     ("[Red]0", False), ("0\\d", False), ('[>=10]0;"dry"', False), ("_d0", False), ("@", False)],
)  # fmt: skip
def test_a_number_format_shows_a_date_or_not(code: str, dated: bool) -> None:
    assert is_date(code) is dated


def test_a_cell_shows_a_date_by_its_style() -> None:
    formats = '<numFmts><numFmt numFmtId="170" formatCode="d mmm yyyy"/></numFmts><cellXfs><xf numFmtId="0"/>'
    formats += '<xf numFmtId="14"/><xf numFmtId="170"/><xf/><xf numFmtId="20"/></cellXfs>'
    cells = [f'<c s="{style}" r="{letter}1"><v>46083</v></c>' for style, letter in enumerate("ABCDE")]
    made = parts({"S": row(1, *cells, number("F1", 3))})
    made["xl/styles.xml"] = f'{HEAD}<styleSheet xmlns="{MAIN}">{formats}</styleSheet>'.encode()
    dates = Dates(Package.from_bytes(packed(made), "book.xlsx"))
    shown = [dates.shown(("S", 1, column), 46083.0) for column in range(1, 8)]
    assert shown == ["", "2 Mar 2026", "2 Mar 2026", "", "", "", ""]
    assert dates.shown(("S", 1, 2), "soon") == dates.shown(("S", 1, 2), True) == dates.shown(("T", 1, 2), 46083.0) == ""
