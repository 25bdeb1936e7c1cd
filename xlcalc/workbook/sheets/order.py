"""The order list of Parts: everything that is bought, supplier by supplier, by itself."""

from collections.abc import Sequence
from dataclasses import replace

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.blocks import Placed
from xlcalc.workbook.building.checks import folded
from xlcalc.workbook.building.rows import Column, RowSheet
from xlcalc.workbook.building.rows_on_sheet import write
from xlcalc.workbook.building.style import Painter
from xlcalc.workbook.sheets.columns import worked
from xlcalc.workbook.sheets.parts_columns import (
    AS_IT_IS,
    BUY,
    CHECK_WIDTH,
    CURRENCY,
    DO,
    MONEY,
    NAME,
    NAME_WIDTH,
    NO_SUPPLIER,
    ORDER,
    OWN_COLUMNS,
    SUPPLIER_STEP,
    WHAT,
    place_of,
)

ROW_HEIGHT = 11.7  # points: what the tables above may ask for stands on one sheet of paper

SPANNED = {
    "PartChecks": "check", "PartBuys": "buy", "PartUnits": "sold", "PartPacks": "packs", "PartEach": "each", "PartCosts": "cost",
    "PartNumbers": "number", "PartSuppliers": "supplier", "PartLeads": "lead", "PartKeys": "orderkey",
}  # fmt: skip  # columns through all tables of Parts, besides their names


def _of(name: str) -> str:
    return f'INDEX({name},{{at}})'


def _shown(name: str) -> str:
    return f'=IF({{key}}="","",{_of(name)})'


FILLERS = [Column(f"own{place}", WHAT, "", "", "gap", 7) for place in range(OWN_COLUMNS - 1)]
LIST = RowSheet(
    NAME,
    "Order list: what to buy from whom; nothing to type here",
    [
        worked("supplier", WHAT, "Supplier", "", NAME_WIDTH, f'=IF({{key}}="","",IF({{key}}>={NO_SUPPLIER * SUPPLIER_STEP},"no supplier yet",{_of("PartSuppliers")}))'),
        worked("what", WHAT, "Part", "", CHECK_WIDTH, _shown("PartItems")),
        worked("number", WHAT, "Part number", "", 14, _shown("PartNumbers")),
        *FILLERS,
        Column("gap1", BUY, "", "", "gap", 7.5),
        Column("gap2", BUY, "", "", "gap", 6),
        worked("buy", BUY, "To buy", "", 7.5, _shown("PartBuys"), AS_IT_IS),
        worked("sold", BUY, "By the", "", 9.5, _shown("PartUnits")),
        worked("each", BUY, "Price", CURRENCY, 9, _shown("PartEach"), MONEY),
        worked("cost", BUY, "Cost", CURRENCY, 9.5, _shown("PartCosts"), MONEY),
        worked("sum", ORDER, "Of this supplier", CURRENCY, 13, '=IF({key}="","",IF({begins},SUMIFS(PartCosts,PartKeys,">="&{low},PartKeys,"<"&{high},PartCosts,">0"),""))', MONEY),
        worked("packs", ORDER, "Comes as", "", 12, _shown("PartPacks")),
        worked("lead", ORDER, "Lead time", "days", 6.5, _shown("PartLeads"), "0"),
        Column("check", DO, "Check", "", "words", 18, f'=IF({{key}}="","",IFERROR(LEFT({_of("PartChecks")},SEARCH(":",{_of("PartChecks")})-1),{_of("PartChecks")}))'),
        folded("k", "Row", "", f'={place_of("supplier")}'),
        folded("key", "Key", "", '=IF({k}>COUNT(PartKeys),"",SMALL(PartKeys,{k}))'),
        folded("low", "First key of the supplier", "", f'=IF({{key}}="","",{{key}}-MOD({{key}},{SUPPLIER_STEP}))'),
        folded("high", "First key of the next", "", f'=IF({{key}}="","",{{low}}+{SUPPLIER_STEP})'),
        folded("at", "Place in Parts", "", '=IF({key}="","",MATCH({key},PartKeys,0))'),
        folded("begins", "Begins a supplier", "", '=IF({key}="",FALSE,COUNTIFS(PartKeys,">="&{low},PartKeys,"<"&{key})=0)'),
    ],
    "what",
    2,
    marker='=IF(COUNT(PartKeys)>COUNT([key]),COUNT(PartKeys)-COUNT([key])&" more to order: put rows in above this line, then fill the formulas down","")',
)  # fmt: skip


def add_order(book: Workbook, sheet: Worksheet, painter: Painter, tables: Sequence[Placed], top: int) -> Placed:
    """Write the list from a row down and give the names that it reads."""
    first, last = tables[0], tables[-1]
    letters = {"PartItems": "A"} | {name: first.made.letter(key) for name, key in SPANNED.items()}
    for name, letter in letters.items():
        area = f"{NAME}!${letter}${first.made.guard_row}:${letter}${last.last_row}"
        book.defined_names[name] = DefinedName(name, attr_text=area)
    count = sum(table.count for table in tables if any(column.key == "cost" for column in table.made.columns))
    made = replace(LIST, top=top)
    widths = {letter: column.width for letter, column in sheet.column_dimensions.items()}
    write(book, painter, made, [], count)
    for row in range(made.first_row, made.first_row + count):
        sheet.row_dimensions[row].height = ROW_HEIGHT
    sheet.row_dimensions[made.head_row].height = 26  # no head takes three lines: the list keeps to one sheet of paper
    for letter, width in widths.items():  # the list takes the columns as the tables above have them
        sheet.column_dimensions[letter].width = width
    return Placed(made, count)
