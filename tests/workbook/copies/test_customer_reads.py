"""What a customer reads of a comparison: nothing that a shop reckons with, and nothing is forgotten."""

import pytest

from xlcalc.workbook.copies.compare import ADDED, CHANGED, Amount, Comparison, Difference, Held, RowChange, TableChange
from xlcalc.workbook.copies.customer_reads import (
    RECKONED,
    SHOPS_AMOUNTS,
    SHOPS_COLUMNS,
    SHOPS_TABLES,
    shops_own,
    without_costs,
)
from xlcalc.workbook.copies.revise import AMOUNTS, SENT_BY
from xlcalc.workbook.sheets.contents import TABLES

from ..shipped import EMPTY, loaded

OLD, NEW = Held(24.0, "24"), Held(29.0, "29")
READ = {  # typed cells of Quote that stand on the customer's page, or say what was sent
    "DepositShare", "QuoteDays", "ShopName", "ShopAddress", "Included", "Warranty", "PaymentTerms",
    *(f"Exclusion{place}" for place in range(1, 7)), *SENT_BY,
}  # fmt: skip


def cell(words: str, name: str = "") -> Difference:
    return Difference(words, "", OLD, NEW, name)


def table(sheet: str, heads: str, *rows: RowChange, nameless: int = 0) -> TableChange:
    return TableChange(sheet, heads.partition(",")[0], list(rows), nameless, frozenset(heads.split(",")[1:]))


def found(*tables: TableChange) -> Comparison:
    quote = [cell("Freight", "Freight"), cell("Deposit", "DepositShare")]
    named = {"Start": [cell("Margin", "Margin")], "Quote": quote}
    return Comparison(named, list(tables), [], (True, True))


def test_what_the_price_is_made_from_is_left_out() -> None:
    assert without_costs(found()).named == {"Quote": [cell("Deposit", "DepositShare")]}


def test_the_customer_reads_the_price_and_not_what_it_is_made_from() -> None:
    """A new amount of the quote belongs to one side or the other."""
    amounts = [Amount(name, 1.0, 2.0) for name in AMOUNTS]
    left = [each.name for each in without_costs(found()._replace(money=amounts)).money]
    assert left == ["Price", "Tax", "Total", "Deposit", "Days"]
    assert {*left} | SHOPS_AMOUNTS == {*AMOUNTS}


def test_tables_of_the_shop_are_left_out_and_others_lose_their_prices() -> None:
    price = RowChange("hose clamp", CHANGED, [cell("Price")], "Within limits", "Change: price is 42 days old")
    hours = RowChange("install", CHANGED, [cell("Hours each")], "", "")
    dear = RowChange("GB-2", CHANGED, [cell("Hose price")], "Within limits", "Within limits")
    picked = RowChange("GB-2", CHANGED, [cell("Hose price"), cell("Pick")], "", "")
    new = RowChange("PS-3", ADDED, [cell("Work")], "", "")
    line = table("Lines", "Line,Length,Hose", RowChange("PS-1", CHANGED, [cell("Length")], "", ""))
    read = without_costs(found(
        table("Prices", "Item,Part number,Unit,Price,Supplier", price),
        table("My prices", "Item,Supplier,Price", nameless=1),
        table("Quote", "Operation,Times,Hours each,Access", hours),
        table("Options", "Line,Hose price,Work,Pick", dear, picked, new),
        line,
    ))  # fmt: skip
    assert [(each.sheet, [row.cells for row in each.rows]) for each in read.tables] == [
        ("Options", [[cell("Pick")], []]), ("Lines", [[cell("Length")]]),
    ]  # fmt: skip
    assert read.tables[1] == line


@pytest.mark.parametrize("sheet", ["Start", "Quote"])
def test_every_cell_to_fill_in_is_read_by_the_customer_or_is_not(sheet: str) -> None:
    """A new cell of the Quote belongs to one side or the other; of Start all that the price is made from is known."""
    book = loaded(EMPTY)
    places = {name: each.attr_text.partition("!") for name, each in book.defined_names.items()}
    cells = {name: ref.replace("$", "") for name, (its, _, ref) in places.items() if its == sheet and ":" not in ref}
    typed = {name for name, ref in cells.items() if not book[sheet][ref].protection.locked}
    if sheet == "Quote":
        assert typed == READ | (typed & RECKONED)
    else:
        assert {name for name in typed if name in RECKONED} == {"Margin", "LabourRate"}


def test_the_headers_are_those_of_the_sheets() -> None:
    """Tables whose rows are typed by the shop alone, or fill themselves for its order: no other is taken for them."""
    heads = {
        (table.made.name, table.made.columns[0].head): frozenset(each.head for each in table.made.columns)
        for table in TABLES
    }
    own = {key for key, known in heads.items() if shops_own(TableChange(*key, [], 0, known))}
    assert own == {
        ("Prices", "Item"), ("Quote", "Operation"),
        *(("Parts", head) for head in ("Hose", "End", "Small part", "Fluid")),
    }  # fmt: skip
    assert heads["Options", "Line"] >= SHOPS_COLUMNS
    assert all(any(known <= each for each in heads.values()) for known in SHOPS_TABLES)
