"""What the tests of Parts and Prices read in a book: rows of their tables by name, named cells, the order list."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from xlcalc.workbook.building.blocks import placed
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets import parts, prices
from xlcalc.workbook.sheets.order import LIST

from .retyped import Retyped, Shows

Rows = Mapping[str, Mapping[str, object]]
SHEETS = ("Routes", "Parts", "Fittings", "Prices")
HOSES, ENDS, SMALL, COUNTED, SYSTEMS, FLUIDS = range(6)


class Book:
    """A job worked out, as `shown`; `made` says where its tables and names are."""

    def __init__(self, made: Retyped, shown: Shows | None = None) -> None:
        self.made, self.report = made, shown or made
        self.tables = placed(parts.TABLES, made.job)
        self.prices = prices.TABLES[0].count(made.job)

    def named(self, name: str) -> object:
        return self.report.value_at(*self.made.address(name))

    def table(self, which: int) -> Rows:
        """Name -> key of a column -> value."""
        table = self.tables[which]
        keys = [column.key for column in table.made.columns]
        found = {}
        for row in range(table.made.first_row, table.last_row):
            cells = {key: self.report.value_at("Parts", f"{table.made.letter(key)}{row}") for key in keys}
            if cells[keys[0]]:
                found[str(cells[keys[0]])] = cells
        return found

    def priced(self) -> Mapping[str, object]:
        """Item -> Check of Prices."""
        check = prices.PRICES.letter("check")
        rows = range(FIRST_ROW, FIRST_ROW + self.prices)
        said = {
            self.report.value_at("Prices", f"A{row}"): self.report.value_at("Prices", f"{check}{row}") for row in rows
        }
        return {str(item): check for item, check in said.items() if item}

    def order(self) -> list[list[object]]:
        """The order list: supplier, part, part number, amount, by the, cost, sum, Check."""
        heads = [row for row in range(1, 300) if self.report.value_at("Parts", f"A{row}") == "Supplier"]
        top = heads[0] + LIST.first_row - LIST.head_row
        rows = [
            [self.report.value_at("Parts", f"{letter}{row}") for letter in "ABCLMOPS"] for row in range(top, top + 40)
        ]
        return [row for row in rows if row[0]]


def over(
    rows: Sequence[Mapping[str, object]], by: str, cells: Mapping[str, Mapping[str, object]]
) -> list[Mapping[str, object]]:
    """Rows with some cells typed over."""
    return [{**row, **cells.get(str(row[by]), {})} for row in rows]


def changed(**tables: Sequence[Mapping[str, object]]) -> Job:
    """The demo job with some of its tables replaced."""
    job = demo_job()
    return replace(job, tables={**job.tables, **tables})
