"""What the Checks of a sheet say, found by the words in its header row and not by column letters."""

from collections.abc import Iterable
from typing import NamedTuple

from xlcalc.workbook.formulas import address
from xlcalc.workbook.headers import WIDEST, Headers
from xlcalc.workbook.recalc import Report
from xlcalc.workbook.sheets.start import VERDICTS

CHECK, OTHERS = "check", "other reasons"


class Checked(NamedTuple):
    """A row that has a Check: its cell, the name of the row, the verdict and the other reasons."""

    cell: str
    name: str
    check: str
    others: str


def checked_rows(report: Report, sheet: str) -> list[Checked]:
    """The rows of a sheet that have a Check; none where no header says Check."""
    heads = Headers(report, sheet)
    columns = {heads.head(heads.row + 1, column).casefold(): column for column in range(1, WIDEST)}
    check, others = columns.get(CHECK), columns.get(OTHERS)
    if check is None:
        return []
    found = []
    for row in sorted({row for name, row, column in report.formulas() if name == sheet and column == check}):
        said = report.value(sheet, row, check)
        if isinstance(said, str) and said:
            name, more = report.value(sheet, row, 1), report.value(sheet, row, others) if others else ""
            found.append(Checked(address(sheet, row, check), str(name or ""), said, str(more or "")))
    return found


def counts(rows: Iterable[Checked]) -> dict[str, int]:
    """How many rows say each word of a Check."""
    said = [row.check for row in rows]
    return {word: sum(check.startswith(word) for check in said) for word in VERDICTS}
