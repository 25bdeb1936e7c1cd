"""The columns of Lines: what is declared hangs together."""

from xlcalc.workbook.sheets.lines import SHEET
from xlcalc.workbook.sheets.lines_reasons import LIST, WORDS


def test_every_reason_is_among_the_joined_ones() -> None:
    joined = "".join(column.spec for column in WORDS if column.key.startswith("all"))
    assert [reason.key for reason in LIST if joined.count(f'"; "&{{{reason.key}}}') != 1] == []


def test_keys_and_headers_are_there_once() -> None:
    keys = [column.key for column in SHEET.columns]
    assert len(keys) == len(set(keys))
    shown = [column.head for column in SHEET.columns if not column.folded]
    assert len(shown) == len(set(shown))


def test_every_worked_out_cell_waits_until_its_row_is_ready() -> None:
    gates = ("{ready}", "{liquid}", "{limited}", "{marginmin}", "{smallest}", "{first}", "{otherwords}")
    late = [
        column.key
        for column in SHEET.columns
        if column.kind == "worked" and not any(gate in column.spec for gate in gates)
    ]
    assert late == []
