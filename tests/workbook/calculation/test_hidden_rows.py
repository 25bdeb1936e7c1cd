"""Which rows of a sheet nobody sees: hidden, drawn to no height, and what the default of a sheet has to do with it."""

import pytest

from xlcalc.workbook.calculation.hidden_rows import hidden_rows


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("", []),
        (' hidden="1"', [3]),
        (' hidden="true"', [3]),
        (' hidden="0"', []),
        (' ht="0" customHeight="1"', [3]),
        (' ht="0.75" customHeight="1"', []),
    ],
)
def test_a_row_says_by_itself_whether_it_is_hidden(said: str, found: list[int]) -> None:
    xml = f'<sheetData><row r="1"/><row{said} r="3"><c r="A3"><v>2</v></c></row></sheetData>'
    assert hidden_rows(xml.encode()) == found


def test_the_default_of_a_sheet_hides_only_rows_that_hold_nothing() -> None:
    """Calc 7.4 shows the rows 1 and 4 and no other; MS-XLS, 2.4.87: the default is for empty rows."""
    default = '<sheetFormatPr defaultRowHeight="15" zeroHeight="1"/>'
    rows = '<row r="1"><c r="A1"><v>1</v></c></row><row hidden="1" r="3"/><row r="4"><c r="A4"><v>4</v></c></row>'
    assert hidden_rows(f"{default}<sheetData>{rows}</sheetData>".encode()) == [3]
