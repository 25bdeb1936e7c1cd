"""What of a comparison the customer reads: all but what the job costs the shop, how it reckons, and where it buys."""

from collections.abc import Iterator

from xlcalc.workbook.copies.compare import CHANGED, Comparison, RowChange, TableChange

RECKONED = frozenset({
    "Margin", "LabourRate", "PartsOwn", "Freight", "Consumables", "Contingency",
    "FirstLikely", "RangeBelow", "RangeAbove",
})  # fmt: skip  # typed cells of Start and Quote that the price is made from
SHOPS_TABLES = (frozenset({"Price", "Supplier"}), frozenset({"Times", "Hours each"}))
"""Headers by which a table is known: what is bought and from whom, and the hours of the work."""

SHOPS_AMOUNTS = frozenset({"Parts", "Labour", "Cost"})  # of the quote: what the job costs the shop
SHOPS_COLUMNS = frozenset({"Hose price", "End or clamp", "Ends price each", "Work"})  # of Options, else for everyone


def without_costs(found: Comparison) -> Comparison:
    """The comparison as the customer reads it."""
    named = {sheet: [each for each in changes if each.name not in RECKONED] for sheet, changes in found.named.items()}
    tables = [table._replace(rows=list(rows(table))) for table in found.tables if not shops_own(table)]
    said = {sheet: changes for sheet, changes in named.items() if changes}
    money = [each for each in found.money if each.name not in SHOPS_AMOUNTS]
    return found._replace(named=said, tables=[table for table in tables if table.rows or table.nameless], money=money)


def shops_own(table: TableChange) -> bool:
    """True for a table that is no business of the customer."""
    return any(known <= table.heads for known in SHOPS_TABLES)


def rows(table: TableChange) -> Iterator[RowChange]:
    """The rows of a table without the shop's columns; one that changed in nothing else is left out."""
    for row in table.rows:
        kept = row._replace(cells=[cell for cell in row.cells if cell.words not in SHOPS_COLUMNS])
        if kept.cells or row.change != CHANGED or row.old_check != row.new_check:
            yield kept
