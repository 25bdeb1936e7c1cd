"""The money of the quote: what it costs, what is paid, what was sent, and the first call."""

from typing import NamedTuple

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.style import DECIDES, FOLDED, HEAD, QUIET, Painter
from xlcalc.workbook.sheets.quote_cells import (
    DATE,
    DIFFERENCE,
    FOLD,
    HOW,
    LINE,
    MONEY,
    NAME,
    NOW,
    OWN,
    SENT,
    UNIT,
    WORDS,
    name_cell,
    put_band,
    put_field,
)  # fmt: skip
from xlcalc.workbook.sheets.start_cells import Field

FIGURE = LINE._replace(across="right", format=MONEY)


class MoneyRow(NamedTuple):
    """A line of the money block: words, how it comes, the cell to fill in, its unit, names of Sent and Now, formula."""

    words: str
    how: str = ""
    own: Field | None = None
    unit: str = ""
    sent: Field | None = None
    now: str = ""
    formula: str = ""
    format: str = MONEY
    bold: bool = False


def _sent(name: str, words: str, digits: str = MONEY) -> Field:
    span = None if digits in ("@", DATE) else (-1e10, 1e10)
    return Field(name, f"{words}, as sent", "", "As it was sent: it stays as it is.", span, digits)


SHARE, AMOUNT = (0, 1000), (0, 1e10)
OTHER = "Other costs"
ROWS = (
    MoneyRow("Revision", sent=_sent("SentRevision", "Revision", "@"), formula='=Revision&""', format="General"),
    MoneyRow("Date", sent=_sent("SentDate", "Date", DATE), formula='=IF(JobDate="","",JobDate)', format=DATE),
    MoneyRow("Parts", '=IF(PartsOwn="",IF(ISNUMBER(NowParts),"as the Parts sheet adds them up","from the Parts sheet, or typed here"),'
             '"the shop\'s own"&IF(ISNUMBER(PartsTotal),", Parts has "&FIXED(PartsTotal,2,TRUE),""))',
             Field("PartsOwn", "Parts, when not from the Parts sheet", "", "Goes over what the Parts sheet adds up.", AMOUNT, MONEY),
             "own figure", _sent("SentParts", "Parts"), "NowParts",
             '=IF(PartsOwn<>"",QUANTITY_IN(PartsOwn,"1"),IF(ISERROR(PartsTotal),PartsTotal,IF(ISNUMBER(PartsTotal),IF(PartsTotal>0,PartsTotal,""),"")))'),
    MoneyRow("Freight", "what the parts cost to come; 0 for none",
             Field("Freight", "Freight", "", "What the parts cost to come. Type 0 where there is none.", AMOUNT, MONEY), "money",
             now="QuoteFreight", formula='=IF(Freight="","",QUANTITY_IN(Freight,"1"))'),
    MoneyRow("Consumables", "share of the parts",
             Field("Consumables", "Consumables", "%", "Oil, cleaner, ties: a share of the parts. Type 3 for 3 %.", SHARE), "%",
             now="QuoteConsumables", formula='=IF(OR(NowParts="",Consumables=""),"",NowParts*QUANTITY_IN(Consumables,"%")/100)'),
    MoneyRow("Labour", '=IF(ISNUMBER(NowLabour),FIXED(SUM(LabourHours),1,TRUE)&" h worked at "&LabourRate&" an hour","hours of the table below")',
             sent=_sent("SentLabour", "Labour"), now="NowLabour",
             formula='=IF(OR(COUNTIF(LabourFilled,">0")=0,LabourRate=""),"",SUM(LabourMoney))'),
    MoneyRow("Contingency", "share of all of these, shown and not hidden",
             Field("Contingency", "Contingency", "%", "For what nobody sees before strip-down: a share of all lines above.", SHARE),
             "%", now="QuoteContingency",
             formula='=IF(OR(QuoteFreight="",QuoteConsumables="",NowLabour="",Contingency=""),"",'
             '(NowParts+QuoteFreight+QuoteConsumables+NowLabour)*QUANTITY_IN(Contingency,"%")/100)'),
    MoneyRow("Cost", "not rounded", sent=_sent("SentCost", "Cost"), now="NowCost", bold=True,
             formula='=IF(QuoteContingency="","",NowParts+QuoteFreight+QuoteConsumables+NowLabour+QuoteContingency)'),
    MoneyRow(OTHER, "freight, consumables, contingency together", now="QuoteOther",
             formula='=IF(NowCost="","",NowCost-NowParts-NowLabour)'),
    MoneyRow("Price from the cost", '=IF(ISNUMBER(PriceFromCost),IF(NowCost=0,"","margin "&TRIM(SUBSTITUTE(Margin,"%",""))&" % of the price: a mark-up of "'
             '&FIXED(100*(PriceFromCost/NowCost-1),1,TRUE)&" % of the cost"),"")',
             now="PriceFromCost", formula='=IF(OR(NowCost="",Margin=""),"",PRICE_FROM_MARGIN(NowCost,Margin))'),
    MoneyRow("Variations agreed", "on top of the price from the cost", now="QuoteAdded",
             formula='=IF(QuoteBegun=TRUE,VariationsAdded,"")'),
    MoneyRow("Price", "before tax", sent=_sent("SentPrice", "Price"), now="NowPrice", bold=True,
             formula='=IF(PriceFromCost="","",ROUND(PriceFromCost+QuoteAdded,2))'),
    MoneyRow("Tax", '=IF(TaxRate="","",IF(TaxName="","tax",TaxName)&" "&TRIM(SUBSTITUTE(TaxRate,"%",""))&" % of the price")',
             sent=_sent("SentTax", "Tax"), now="NowTax",
             formula='=IF(OR(NowPrice="",TaxRate=""),"",ROUND(NowPrice*QUANTITY_IN(TaxRate,"%")/100,2))'),
    MoneyRow("Total", '=IF(QuoteIncomplete=TRUE,"Incomplete","")', sent=_sent("SentTotal", "Total"), now="NowTotal", bold=True,
             formula='=IF(NowTax="","",ROUND(NowPrice+NowTax,2))'),
    MoneyRow("Deposit", "share of the total",
             Field("DepositShare", "Deposit", "%", "Share of the total that is paid before work starts.", (0, 100)), "%",
             _sent("SentDeposit", "Deposit"), "NowDeposit",
             '=IF(OR(NowTotal="",DepositShare=""),"",ROUND(NowTotal*QUANTITY_IN(DepositShare,"%")/100,2))'),
    MoneyRow("Working days", '=IF(ISNUMBER(PartsLead),"in the shop; parts take up to "&PartsLead&" days","in the shop")',
             Field("QuoteDays", "Working days", "", "Days in the shop without the variations.", (0, 1000)), "days",
             _sent("SentDays", "Working days", "0.0"), "NowDays",
             '=IF(QuoteDays="","",QUANTITY_IN(QuoteDays,"1")+VariationsAddedDays)', "0.0"),
)  # fmt: skip
FIRST_CALL = (
    (Field("FirstLikely", "First call, likely", "", "The price before tax as first said. Blank: the price now.", AMOUNT, MONEY), "before tax; blank: the price now"),
    (Field("RangeBelow", "Lower by", "%", "How much less it may become.", (0, 99)), "how much less it may become"),
    (Field("RangeAbove", "Higher by", "%", "How much more it may become.", (0, 1000)), "how much more it may become"),
)  # fmt: skip


def add_money(book: Workbook, sheet: Worksheet, painter: Painter, job: Job, row: int) -> int:
    """What was sent, what it comes to now, and the difference of each line."""
    heads = ("Money", "How it comes", "To fill in", "", "As sent", "Now", "Difference")
    for place, head in enumerate(heads, start=1):
        look = HEAD._replace(edge="under", across="right" if place in (OWN, SENT, NOW, DIFFERENCE) else "left")
        painter.put(sheet, row, place, head or None, look)
    currency = '="How it comes"&IF(Currency="","",", all in "&Currency)'
    painter.put(sheet, row, HOW, currency, HEAD._replace(edge="under", across="left"))
    area = f"{NAME}!${get_column_letter(OWN)}${row + 1}:${get_column_letter(OWN)}${row + len(ROWS)}"
    book.defined_names["QuoteInputs"] = DefinedName("QuoteInputs", attr_text=area)
    for line in ROWS:
        row += 1
        _money_row(book, sheet, painter, job, row, line)
    row += 1
    move = (
        'IF(AND(ISNUMBER(NowPrice),ISNUMBER(SentPrice)),IF(NowPrice=SentPrice,"The price is that of revision "&SentRevision,"The price is "&'
        'FIXED(ABS(NowPrice-SentPrice),2,TRUE)&IF(NowPrice<SentPrice," less"," more")&" than revision "&SentRevision),"")'
    )
    agreed = '"; agreed variations make "&FIXED(VariationsAdded+VariationsWithin,2,TRUE)&" of it"'
    painter.put(sheet, row, FOLD, f"={move}", FOLDED)
    moved = f"${get_column_letter(FOLD)}{row}"
    painter.put(sheet, row, WORDS, f'=IF({moved}="","",{moved}&IF(NowPrice=SentPrice,"",IFERROR({agreed},"")))', DECIDES)
    return row + 1


def _money_row(book: Workbook, sheet: Worksheet, painter: Painter, job: Job, row: int, line: MoneyRow) -> None:
    look = FIGURE._replace(format=line.format, bold=line.bold)
    for place in range(WORDS, DIFFERENCE + 1):
        painter.put(sheet, row, place, None, LINE)
    painter.put(sheet, row, WORDS, line.words, LINE._replace(bold=line.bold))
    painter.put(sheet, row, HOW, line.how or None, QUIET._replace(edge="line") if line.words != "Total" else LINE._replace(bold=True))
    if line.own:
        put_field(book, sheet, painter, row, OWN, line.own, job.start)
    painter.put(sheet, row, UNIT, line.unit or None, QUIET._replace(edge="line", indent=1, across="left"))
    painter.put(sheet, row, NOW, line.formula, look)
    if line.now:
        name_cell(book, line.now, NOW, row)
    if line.words == OTHER:
        painter.put(sheet, row, SENT, '=IF(COUNT(SentCost,SentParts,SentLabour)=3,SentCost-SentParts-SentLabour,"")', look)
    if line.sent:
        put_field(book, sheet, painter, row, SENT, line.sent, job.start)
    if line.now and (line.sent or line.words == OTHER):
        both = f"AND(ISNUMBER($E{row}),ISNUMBER($F{row}))"
        painter.put(sheet, row, DIFFERENCE, f'=IF({both},ROUND($F{row}-$E{row},2),"")', look)


def add_first_call(book: Workbook, sheet: Worksheet, painter: Painter, job: Job, row: int) -> int:
    """The range that is said on the telephone: low, likely, high, in words."""
    put_band(sheet, painter, row, "The first call: a range, never one number", DIFFERENCE)
    top = row + 1
    for field, how in FIRST_CALL:
        row += 1
        painter.put(sheet, row, WORDS, field.words, LINE)
        painter.put(sheet, row, HOW, how, QUIET._replace(edge="line"))
        put_field(book, sheet, painter, row, OWN, field, job.start)
        painter.put(sheet, row, UNIT, field.unit or "money", QUIET._replace(edge="line", indent=1, across="left"))
    likely = '=IF(FirstLikely="",IF(ISNUMBER(NowPrice),NowPrice,""),QUANTITY_IN(FirstLikely,"1"))'
    low = '=IF(OR(FirstMiddle="",RangeBelow=""),"",FirstMiddle*(1-QUANTITY_IN(RangeBelow,"%")/100))'
    high = '=IF(OR(FirstMiddle="",RangeAbove=""),"",FirstMiddle*(1+QUANTITY_IN(RangeAbove,"%")/100))'
    for place, (name, head, formula) in enumerate(
        (("FirstMiddle", "Likely", likely), ("FirstLow", "Low", low), ("FirstHigh", "High", high),
         ("FirstSaid", "Range in words", '=IFERROR(IF(OR(FirstLow="",FirstHigh=""),"",FIXED(FirstLow,0,TRUE)&" to "&FIXED(FirstHigh,0,TRUE)),"")'))
    ):
        painter.put(sheet, top, FOLD + place, head, FOLDED._replace(bold=True))
        painter.put(sheet, top + 1, FOLD + place, formula, FOLDED)
        name_cell(book, name, FOLD + place, top + 1)
    row += 1
    painter.put(
        sheet, row, WORDS,
        '=IF(FirstSaid="","",IFERROR(FirstSaid&" "&Currency&" before tax, likely "&FIXED(FirstMiddle,0,TRUE)&'
        'IF(ValidDays="","",", for "&ValidDays&" days"),""))',
        DECIDES,
    )  # fmt: skip
    return row + 1
