"""Prices: what each hose, end, small part and fluid costs, who sells it, and how old the price is."""

from openpyxl import Workbook

from xlcalc.core.verdicts import VERDICTS
from xlcalc.workbook.building.blocks import Table, note
from xlcalc.workbook.building.checks import CANNOT, folded, reason, row_table
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW, Column, name_areas, name_list
from xlcalc.workbook.building.rows_on_sheet import heading, write
from xlcalc.workbook.building.style import Painter, page
from xlcalc.workbook.sheets.columns import check, counted, others, picked, span, text, typed, words, worked

NAME = "Prices"
WHAT, COSTS, WHO, OUT, DO = "What", "What it costs", "Who sells it", "How old", "What to do"
UNITS = ("m", "piece", "L", "pack")
HINT = "Type the first item below, as Hoses, Fittings or Fluids name it, then fill its row to the right."
REMARK = (
    "A price is for one of its unit; of a pack, for the whole pack. Hose is bought in whole rolls, or off a reel where "
    "Roll is blank and Pack size filled in. An old price is Change only where Parts needs the item."
)


def _read(key: str, head: str, unit: str, source: str, asked: str) -> Column:
    """A typed cell as a plain number; it holds in a half-filled row too, so that a price without a part number counts."""
    return folded(key, head, unit, f'=IF(OR({{item}}="",{{{source}}}=""),"",QUANTITY_IN({{{source}}},"{asked}"))', reads=(source, asked))


PRICES = row_table(
    NAME,
    "What does each part cost, and is the price still new?",
    shown=[
        text("item", WHAT, "Item", 24, "As Hoses, Fittings or Fluids name it, or a small part. Each name once.", wrap=True),
        check(WHAT),
        text("number", WHAT, "Part number", 14, "The supplier's number: what is ordered.", wrap=True),
        picked("unit", COSTS, "Unit", 7, words(*UNITS), "What the price is for. Hose: m, or pack for a whole roll. Ends: piece. Fluid: L."),
        typed("price", COSTS, "Price", "each", 9, "Without tax. Of a pack: of the whole pack.", (0, 1e7), "0.00"),
        typed("pack", COSTS, "Pack size", "L, m, pieces", 10.5, "What one pack holds; only whole packs are bought. Blank: 1. Hose off a reel: 1, for whole metres.", (0.001, 1e5)),
        text("currency", COSTS, "Currency", 10.5, "Blank: the currency on Start."),
        text("supplier", WHO, "Supplier", 14, "Who sells it. The order list of Parts goes by this name.", wrap=True),
        counted("date", WHO, "Date", "of the price", 11, "Day of the price, e.g. 16 Feb 2026.", (36526, 73050), "d mmm yyyy"),
        typed("roll", WHO, "Roll", "m", 7, "Of a hose: length of a roll. Blank: off a reel in steps of Pack size; without that, the roll length on Start.", span("HOSE_ROLLS_TO_BUY", "roll_length")),
        typed("lead", WHO, "Lead time", "days", 7, "Days until it is here. Blank: from stock.", (0, 1000)),
        worked("age", OUT, "Age", "days", 6.5, '=IF({ready},ROUND(JobDate-{date},0),"")', "0;-0;0"),
        worked("used", OUT, "Needed", "", 9.5, '=IF({ready},IF(COUNTIF(PartItems,{item})>0,"yes","no"),"")'),
        others(DO, 20),
    ],
    helpers=[
        _read("pricen", "Price number", "", "price", "1"),
        _read("packn", "Pack number", "", "pack", "1"),
        _read("rolln", "Roll number", "m", "roll", "m"),
        _read("leadn", "Lead number", "days", "lead", "1"),
        folded("rollused", "Roll as used", "m", '=IF({item}="","",IF({rolln}<>"",{rolln},IF({unit}="pack",{packn},"")))'),
        folded("one", "Price of one m, piece or L", "",
               '=IF(OR({item}="",{pricen}=""),"",IF({unit}<>"pack",{pricen},IF({rollused}="","",{pricen}/{rollused})))'),
    ],
    reasons=[
        reason("r_date", "Date", f'=IF({{ready}},IF(AND(ISNUMBER({{date}}),ISNUMBER(JobDate)),"",{CANNOT}<date>&", not a date"),"")'),
        reason("r_unit", "Unit", f'=IF({{ready}},IF(OR({{unit}}="m",{{unit}}="piece",{{unit}}="L",{{unit}}="pack"),"",{CANNOT}<unit>&", not a word of its list"),"")'),
        reason("r_price", "Price", '=IF({ready},IF({pricen}<0,"Change: price below 0",IF(AND({packn}<>"",{packn}<=0),"Change: pack size 0",IF(AND({rolln}<>"",{rolln}<=0),"Change: roll 0 m",""))),"")'),
        reason("r_currency", "Currency", '=IF({ready},IF(OR({currency}="",TRIM({currency})=TRIM(Currency)),"",'
               '"Change: price in "&{currency}&", job in "&Currency&": ask in "&Currency),"")'),
        reason("r_future", "Date to come", '=IF(ISERROR({age}),"",IF({ready},IF({age}<0,"Change: price dated "&(0-{age})&" days after the Date on Start",""),""))'),
        reason("r_age", "Age", '=IFERROR(IF({ready},IF({age}<=PriceAge*NearBelow,"",IF({age}<=PriceAge,"Near limit: ",IF({used}="yes","Change: ","Near limit: "))'
               '&"price is "&{age}&" days old, at most "&PriceAge&IF({used}="yes",": ask again",", not needed here")),""),"")'),
    ],
    required=("number", "unit", "price", "supplier", "date"),
    more_missing='IF(AND({unit}="pack",{pack}="",{roll}=""),<pack>,IF(JobDate="","Date, on Start",""))',
    frozen=2,
)  # fmt: skip
TABLES = (Table(PRICES, "prices", 40, 10),)
NAMED = (
    ("PriceItems", "item"), ("PriceChecks", "check"), ("PriceEach", "pricen"), ("PriceUnits", "unit"),
    ("PricePacks", "packn"), ("PriceNumbers", "number"), ("PriceDates", "date"), ("PriceRolls", "rollused"),
    ("PriceSuppliers", "supplier"), ("PriceLeads", "leadn"), ("PriceOfOne", "one"),
)  # fmt: skip  # columns that other sheets look an item up in, by its name


def add(book: Workbook, painter: Painter, job: Job) -> None:
    """Write the sheet and its names. Parts says what Prices says of an item that it needs, so Start counts it there."""
    (table,) = TABLES
    count = table.count(job)
    sheet = write(book, painter, PRICES, list(job.tables.get(table.rows, ())), count)
    name_areas(book, PRICES, NAMED, count)
    name_list(book, PRICES, "PriceList", "item", count)
    items, said = PRICES.area("item", count), PRICES.area("check", count, sheet=False)
    tally = '&"   '.join(f'{word} "&COUNTIF({said},"{word}*")' for word in VERDICTS)
    heading(sheet, painter, PRICES, job, f'IF(COUNTIF({items},"?*")+COUNT({items})=0,"{HINT}","{tally})')
    last = FIRST_ROW + count
    note(sheet, painter, last + 2, REMARK)
    page(sheet, landscape=True, titles="1:6", scale=74)
    sheet.print_area = f"A1:{PRICES.letter('others')}{last + 2}"
