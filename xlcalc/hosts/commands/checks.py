"""What the Checks of a sheet say, found by the words in its header row and not by column letters."""

from collections.abc import Iterable
from typing import NamedTuple

from xlcalc.workbook.checks import VERDICTS
from xlcalc.workbook.formulas import address
from xlcalc.workbook.headers import WIDEST, Headers
from xlcalc.workbook.recalc import Report

CHECK, OTHERS, ENDS = "check", "other reasons", ("from", "to")


class Checked(NamedTuple):
    """A row that has a Check: its cell, its name, between what it runs, the verdict and the other reasons."""

    cell: str
    name: str
    between: str
    check: str
    others: str


def checked_rows(report: Report, sheet: str) -> list[Checked]:
    """The rows of a sheet that have a Check; none where no header says Check."""
    heads = Headers(report, sheet)
    columns = {heads.head(heads.row + 1, column).casefold(): column for column in range(1, WIDEST)}
    check = columns.get(CHECK)
    if check is None:
        return []

    def words(row: int, header: str) -> str:
        value = report.value(sheet, row, columns[header]) if header in columns else ""
        return str(value or "")

    found = []
    for row in sorted({row for name, row, column in report.formulas() if name == sheet and column == check}):
        said = report.value(sheet, row, check)
        if isinstance(said, str) and said:
            between = " to ".join(end for header in ENDS if (end := words(row, header)))
            name = str(report.value(sheet, row, 1) or "")
            found.append(Checked(address(sheet, row, check), name, between, said, words(row, OTHERS)))
    return found


def counts(rows: Iterable[Checked]) -> dict[str, int]:
    """How many rows say each word of a Check."""
    said = [row.check for row in rows]
    return {word: sum(check.startswith(word) for check in said) for word in VERDICTS}
