"""What the Checks of a sheet say, found by the words in its header row and not by column letters."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.formulas import address
from xlcalc.workbook.listing import NAME_COLUMN, Listing, listings
from xlcalc.workbook.recalc import Report

OTHERS, ENDS = "other reasons", ("from", "to")


class Checked(NamedTuple):
    """A row that has a Check: its cell, its name, between what it runs, the verdict and the other reasons."""

    cell: str
    name: str
    between: str
    check: str
    others: str


def checked_rows(report: Report, sheet: str) -> list[Checked]:
    """The rows of a sheet that have a Check, of all its tables; none where no header says Check."""
    return [row for table in listings(report, sheet) for row in of_table(report, table)]


def of_table(report: Report, table: Listing) -> Iterator[Checked]:
    """The rows of one table that have a Check."""
    columns = {head.casefold(): column for head, column in table.columns.items()}

    def words(row: int, header: str) -> str:
        value = report.value(table.sheet, row, columns[header]) if header in columns else ""
        return str(value or "")

    for row in table.rows:
        said = report.value(table.sheet, row, table.check)
        if isinstance(said, str) and said:
            between = " to ".join(end for header in ENDS if (end := words(row, header)))
            name = str(report.value(table.sheet, row, NAME_COLUMN) or "")
            yield Checked(address(table.sheet, row, table.check), name, between, said, words(row, OTHERS))


def checked_sheets(report: Report, sheets: Iterable[str]) -> dict[str, list[Checked]]:
    """The rows that have a Check, of each sheet that has any."""
    return {sheet: rows for sheet in sheets if (rows := checked_rows(report, sheet))}


def in_words(checked: Mapping[str, Sequence[Checked]]) -> Iterator[str]:
    """One line a sheet: its words of a Check with their counts, those that no row says left out."""
    for sheet, rows in checked.items():
        yield f"{sheet}: " + ", ".join(f"{word} {number}" for word, number in counts(rows).items() if number)


def counts(rows: Iterable[Checked]) -> dict[str, int]:
    """How many rows say each word of a Check."""
    said = [row.check for row in rows]
    return {word: sum(check.startswith(word) for check in said) for word in VERDICTS}
