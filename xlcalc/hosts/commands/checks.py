"""What the Checks of a sheet say: those of its tables, and those that stand beside a label."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.calculation.recalc import Report
from xlcalc.workbook.explained.headers import Headers
from xlcalc.workbook.explained.listing import NAME_COLUMN, Listing, listings, single_checks
from xlcalc.workbook.formulas import address

OTHERS, ENDS = "other reasons", ("from", "to")


class Checked(NamedTuple):
    """A Check: its cell, the name of its row, between what that runs, the verdict and the other reasons."""

    cell: str
    name: str
    between: str
    check: str
    others: str


def checked_rows(report: Report, sheet: str) -> list[Checked]:
    """The Checks of a sheet: those that stand beside a label, as on Quote, then the rows of all its tables."""
    heads = Headers(report, sheet)
    tables = listings(report, sheet, heads)
    found = [beside_label(report, sheet, *place) for place in single_checks(report, sheet, heads, tables)]
    return found + [row for table in tables for row in of_table(report, table)]


def beside_label(report: Report, sheet: str, row: int, column: int) -> Checked:
    """A Check that stands beside a label."""
    label, said = (str(report.value(sheet, row, place)) for place in (NAME_COLUMN, column))
    return Checked(address(sheet, row, column), label, "", said, "")


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
