"""What the tables of Parts share: every row ends in what to buy, its price, its number and its supplier."""

from collections.abc import Sequence

from xlcalc.workbook.building.checks import CANNOT, folded, reason, row_table
from xlcalc.workbook.building.rows import GUARD_ROW, HEAD_ROW, Column, RowSheet
from xlcalc.workbook.landmarks import MARKER
from xlcalc.workbook.sheets.columns import check, others, worked

NAME = "Parts"
WHAT, WHICH, BUY, ORDER, DO = "What", "Which and how many", "What to buy", "What to order", "What to do"
CURRENCY = '=IF(Currency="","money",Currency&"")'  # stands in the unit row of a column of money
MONEY = "0.00;-0.00;0.00"
TENTHS, HUNDREDTHS, AS_IT_IS = "0.0;-0.0;0", "0.00;-0.00;0", "General;-General"
NAME_WIDTH, CHECK_WIDTH = 20, 30
OWN_COLUMNS = 7  # of each table, between its Check and what to buy
SUPPLIER_STEP = 1_000_000  # of the key that sorts the order list: supplier by supplier, then row by row
NO_SUPPLIER = 900_000


def own(columns: Sequence[Column]) -> list[Column]:
    """A table's own columns, filled up so that what to buy stands in one line down the sheet."""
    free = range(OWN_COLUMNS - len(columns))
    return [*columns, *(Column(f"own{place}", columns[-1].band, "", "", "gap", 5) for place in free)]


def place_of(key: str) -> str:
    """Number of a row in its table, counted from 1."""
    return f"ROW()-ROW(<{key}>)-{GUARD_ROW - HEAD_ROW}"


def named(key: str, head: str, spec: str, band: str = WHAT) -> Column:
    """A worked-out name."""
    return Column(key, band, head, "", "worked", NAME_WIDTH, spec, wrap=True)


def filled(names: str, slots: str) -> str:
    """A name that stands by itself: the k-th of those whose place is known in `slots`."""
    return f'=IF({{k}}>COUNT({slots}),"",INDEX({names},{{slot}}))'


def filling(key: str, slots: str) -> list[Column]:
    """Number of the row and place of its name in its own sheet."""
    return [
        folded("k", "Row", "", f"={place_of(key)}"),
        folded("slot", "Its place", "", f'=IF({{k}}>COUNT({slots}),"",SMALL({slots},{{k}}))'),
    ]


def more_rows(key: str, slots: str) -> str:
    """What stands below a table that fills itself: how many have no row, at its end or where a row has no formulas."""
    rows = f'COUNTIF([{key}],"?*")'
    return f'=IF(COUNT({slots})>{rows},COUNT({slots})-{rows}&" more: put rows in above this line, then fill the formulas down","")'


def bought(need: str, unit: str, needed: str = TENTHS) -> list[Column]:
    """What to buy of a row whose natural amount is `need`, and what it costs; `unit` is a piece of formula."""
    return [
        worked("need", BUY, "Needed", "", 8, need, needed),
        worked("unit", BUY, "Unit", "", 6.5, f'=IF({{ready}},{unit},"")'),
        worked("buy", BUY, "To buy", "", 6.5, '=IF({priced},IF({priceunit}="pack",{whole}/{pack},{whole}),"")', AS_IT_IS),
        worked("sold", BUY, "By the", "", 10.5, '=IF({priced},IF({priceunit}="pack","pack of "&{pack},{priceunit}),"")'),
        worked("each", BUY, "Price", CURRENCY, 9.8, '=IF({priced},INDEX(PriceEach,{place}),"")', MONEY),
        worked("cost", BUY, "Cost", CURRENCY, 9.8, '=IF({priced},IF({each}="","",{buy}*{each}),"")', MONEY),
        *ordered(),
    ]  # fmt: skip


def ordered() -> list[Column]:
    """What an order says: number, supplier, days."""
    return [
        Column("number", ORDER, "Part number", "", "worked", 11, '=IF({priced},INDEX(PriceNumbers,{place})&"","")', wrap=True),
        Column("supplier", ORDER, "Supplier", "", "worked", 12, '=IF({priced},INDEX(PriceSuppliers,{place})&"","")', wrap=True),
        worked("lead", ORDER, "Lead time", "days", 5.5, '=IF({priced},INDEX(PriceLeads,{place}),"")', "0"),
        others(DO, 17.6),
    ]


def priced(name: str, pack: str, whole: str) -> list[Column]:
    """Folded: what Prices says of a name, and how much comes in whole packs."""
    return [
        folded("place", "Its row of Prices", "", f'=IF({{ready}},IFERROR(MATCH({{{name}}},PriceItems,0),0),0)'),
        folded("priced", "Has a price", "", "=AND({ready},{place}>0)"),
        folded("priceunit", "Unit of the price", "", '=IF({priced},INDEX(PriceUnits,{place})&"","")'),
        folded("step", "Pack size on Prices", "", '=IF({priced},INDEX(PricePacks,{place}),"")'),
        folded("pack", "Pack as used", "", f'=IF({{priced}},{pack},"")'),
        folded("whole", "In whole packs", "", f'=IF({{priced}},{whole},"")'),
        folded("pricesaid", "Check of the price", "", '=IF({priced},INDEX(PriceChecks,{place}),"")'),
    ]


def for_order() -> list[Column]:
    """Folded, in one line down the sheet: the key that sorts the order list (blank where nothing is bought), and packs."""
    by = f'IF({{supplier}}="",{NO_SUPPLIER},IFERROR(MATCH({{supplier}},PriceSuppliers,0),{NO_SUPPLIER}))'
    return [
        folded("orderkey", "Key of the order list", "", f'=IF({{ready}},IF(IFERROR({{need}}=0,FALSE),"",{by}*{SUPPLIER_STEP}+ROW()),"")'),
        folded("packs", "Packs in words", "", '=IF({priced},IF({pack}=1,"",ROUND({whole}/{pack},2)&" x "&{pack}&" "&{unit}),"")'),
    ]  # fmt: skip


def not_ordered() -> list[Column]:
    """The same columns in a table of which nothing is ordered."""
    return [folded("orderkey", "Key of the order list", "", '=""'), folded("packs", "Packs in words", "", '=""')]


def price_reasons() -> list[Column]:
    """Reasons of a row that is bought: no price, what Prices says of it, a price of another unit."""
    return [
        reason("r_priced", "Price", '=IF(AND({ready},{place}=0),IF({need}=0,"","Not checked: no price: put this name on Prices"),"")'),
        reason("r_price", "Check of the price", '=IF({priced},IF({pricesaid}="Within limits","",{pricesaid}),"")'),
        reason("r_unit", "Unit", '=IF(OR({priceunit}="",{priceunit}="pack",{priceunit}={unit}),"",'
               '"Change: priced by the "&{priceunit}&", counted by the "&{unit})'),
        reason("r_need", "Needed", f'=IF({{ready}},IF(ISNUMBER({{need}}),"",{CANNOT}<need>),"")'),
        reason("r_cost", "Cost", f'=IF(AND({{priced}},ISNUMBER({{each}}),ISNUMBER({{need}})),IF(ISNUMBER({{cost}}),"",{CANNOT}<cost>),"")'),
    ]  # fmt: skip


def bought_table(
    title: str,
    shown: Sequence[Column],
    tail: Sequence[Column],
    helpers: Sequence[Column],
    reasons: Sequence[Column],
    *,
    filled_by: str = "",
    required: Sequence[str] = (),
    answers: Sequence[str] = (),
    more_missing: str = '""',
    whys: Sequence[str] = (),
    pack: str = 'IF({step}="",1,{step})',
    whole: str = "ROUNDUP(ROUND({need}/{pack},6),0)*{pack}",
) -> RowSheet:
    """A table of things to buy: its name, Check, own columns, then what to buy.

    `whys` as of `row_table`. `filled_by`: the slots that it fills from. `pack`, `whole`: pieces of formula, what one
    pack holds and what whole packs hold in all.
    """
    first, *rest = shown
    start = filling(first.key, filled_by) if filled_by else []
    return row_table(
        NAME,
        title,
        shown=[first, check(WHAT, CHECK_WIDTH), *own(rest), *tail, *for_order(), *start],
        helpers=[*priced(first.key, pack, whole), *helpers],
        reasons=[*price_reasons()[:1], *reasons, *price_reasons()[1:]],
        required=required,
        answers=answers,
        more_missing=more_missing,
        whys=whys,
        frozen=2,
        marker=rest[0].key if filled_by else "",
        marker_words=more_rows(first.key, filled_by) if filled_by else MARKER,
    )
