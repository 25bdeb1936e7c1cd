"""Whether the quote may go out: one subject a row, its reasons in the fold, and the counts and gaps behind them."""

from typing import NamedTuple

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.core.verdicts import WITHIN
from xlcalc.workbook.building.checks import CANNOT, UNCONNECTED, worst
from xlcalc.workbook.building.rows import BAND_ROW
from xlcalc.workbook.building.style import FOLDED, VERDICT, Painter, verdict_rules
from xlcalc.workbook.sheets.quote_cells import DIFFERENCE, FOLD, HOW, LINE, NAME, WORDS, name_cell, put_band

AHEAD_CHANGE, AHEAD_OPEN = "SUM(SheetsAheadChange)", "SUM(SheetsAheadOpen)"  # what Start counts of the sheets before Parts
NOUN = '{0}&IF({0}=1," {1}"," {1}s")'  # a count with its noun


def _n(count: str, noun: str) -> str:
    return NOUN.format(count, noun)


class Ready(NamedTuple):
    """What must hold before the quote goes out: its reasons in the order of their weight, and when it is asked at all."""

    words: str
    reasons: tuple[str, ...]
    asked: str = ""


HELPERS = (
    ("QuoteBegun", "Begun", '=COUNTA(QuoteInputs)+COUNTA(SentTotal,FirstLikely)+COUNTIF(LabourFilled,">0")+COUNTIF(VariationFilled,">0")>0'),
    ("LabourOpen", "Labour rows without an answer", '=COUNTIF(LabourChecks,"Not checked*")+COUNTIF(LabourChecks,"Cannot*")'),
    ("VariationsUnread", "Variations without an answer", '=COUNTIF(VariationChecks,"Not checked: fill*")+COUNTIF(VariationChecks,"Cannot*")'),
    ("PartsOpenNow", "Parts rows without an answer", '=IF(PartsOwn="",IF(ISNUMBER(PartsOpen),PartsOpen,0),0)'),
    ("PartsToMend", "Parts rows to change", '=IF(PartsOwn="",COUNTIF(PartChecks,"Change*"),0)'),
    ("RoutesMissing", "Lines without a route", '=IF(PartsOwn="",IF(ISNUMBER(PartsUnrouted),PartsUnrouted,0),0)'),
    ("QuoteLacksHere", "Missing here",
     '=IF(AND(ISERROR(NowParts)=FALSE,PartsOwn="",ISNUMBER(NowParts)=FALSE),"Parts",IF(Freight="","Freight",IF(Consumables="","Consumables",'
     'IF(COUNTIF(LabourFilled,">0")=0,"the hours of labour",IF(Contingency="","Contingency",IF(DepositShare="","Deposit",""))))))'),
    ("QuoteLacks", "Missing, here or on Start",
     '=IF(QuoteLacksHere<>"",QuoteLacksHere,IF(LabourRate="","Labour rate, on Start",IF(Margin="","Margin, on Start",'
     'IF(TaxRate="","Tax, on Start",""))))'),
    ("QuoteFails", "Not read or not worked out",
     '=IF(ISERROR(NowParts),"Parts",IF(ISERROR(QuoteFreight),"Freight",IF(ISERROR(QuoteConsumables),"Consumables",'
     'IF(ISERROR(NowLabour),"Labour",IF(ISERROR(NowCost),"Contingency",QuoteFailsLater)))))'),
    ("QuoteFailsLater", "Not read or not worked out, price",
     '=IF(ISERROR(PriceFromCost),"Margin, on Start",IF(ISERROR(NowPrice),"Variations",IF(ISERROR(NowTotal),"Tax, on Start",'
     'IF(ISERROR(NowDeposit),"Deposit",""))))'),
    ("ShareWrong", "Typed as a fraction",
     '=IF(COUNTIFS(TaxRate,">0",TaxRate,"<1")>0,"Tax, on Start",IF(COUNTIFS(DepositShare,">0",DepositShare,"<1")>0,"Deposit",""))'),
    ("ShareOdd", "Perhaps typed as a fraction",
     '=IF(COUNTIFS(Consumables,">0",Consumables,"<1")>0,"Consumables",IF(COUNTIFS(Contingency,">0",Contingency,"<1")>0,"Contingency",""))'),
    ("DatesLack", "Missing among the dates",
     '=IF(JobDate="","Date, on Start",IF(PriceListDate="","Price list date, on Start",IF(ValidDays="","Quote valid, on Start","")))'),
    ("PriceListAge", "Age of the price list, days", '=IF(DatesLack="",JobDate-PriceListDate,"")'),
    ("ValidUntil", "Valid until", '=IF(DatesLack="",JobDate+ValidDays,"")'),
    ("QuoteIncomplete", "Incomplete",
     '=IF(QuoteBegun=TRUE,OR(LinesPending+PartsOpenNow+RoutesMissing+LabourOpen+VariationsUnread>0,ISNUMBER(NowTotal)=FALSE,ISNUMBER(NowDeposit)=FALSE),FALSE)'),
)  # fmt: skip
AGED = 'price list is "&PriceListAge&" days old, at most "&PriceAge'
CHECKS = (
    Ready("Lines to change", (f'IF(LinesChange=0,"","Change: quote has "&{_n("LinesChange", "line")}&" marked Change")',)),
    Ready("Lines not checked", (
        f'IF(LinesCannotBeWorkedOut=0,"","Cannot be worked out: "&{_n("LinesCannotBeWorkedOut", "line")})',
        f'IF(LinesPending=0,"","Not checked: "&{_n("LinesPending", "line")}&" not checked")',
        'IF(LinesNamed=0,"Not checked: no line on Lines","")',
    )),
    Ready("Other sheets", (
        f'IF({AHEAD_CHANGE}=0,"","Change: "&{_n(AHEAD_CHANGE, "row")}&" of Options to Routes marked Change: see Start")',
        f'IF({AHEAD_OPEN}=0,"","Not checked: "&{_n(AHEAD_OPEN, "row")}&" of Options to Routes without an answer: see Start")',
    )),
    Ready("Figures", (
        f'IF(ISERROR(PriceFromCost),IF(ERROR.TYPE(PriceFromCost)=5,{UNCONNECTED},""),"")',
        'IF(ShareWrong="","","Change: "&ShareWrong&": less than 1 %, type 20 for 20 %")',
        f'IF(QuoteFails="","",{CANNOT}QuoteFails)',
        'IF(QuoteLacks="","","Not checked: fill in "&QuoteLacks)',
        f'IF(LabourOpen=0,"","Not checked: "&{_n("LabourOpen", "row")}&" of labour without an answer")',
        'IF(ShareOdd="","","Near limit: "&ShareOdd&": less than 1 %, type 5 for 5 %")',
    )),
    Ready("Parts", (
        f'IF(PartsToMend=0,"","Change: "&{_n("PartsToMend", "row")}&" of Parts marked Change")',
        f'IF(PartsOpenNow=0,"","Not checked: "&{_n("PartsOpenNow", "row")}&" of Parts without an answer")',
        f'IF(RoutesMissing=0,"","Not checked: "&{_n("RoutesMissing", "line")}&" without a route, so without its parts")',
    )),
    Ready("Variations", (
        'IF(COUNTIF(VariationChecks,"Change*")=0,"","Change: a variation is marked Change")',
        'IF(COUNTIF(VariationChecks,"Cannot*")=0,"","Cannot be worked out: see Variations")',
        'IF(VariationsUnread=0,"","Not checked: a variation is not filled in")',
    )),
    Ready("Price list", (
        'IF(DatesLack="","","Not checked: fill in "&DatesLack)',
        'IF(ISERROR(PriceListAge+ValidUntil),IF(DatesLack="","Cannot be worked out: see the dates on Start",""),"")',
        'IF(DatesLack="",IF(PriceListAge<0,"Change: price list is dated after the quote: see Start",""),"")',
        f'IF(DatesLack="",IF(PriceListAge>PriceAge,"Change: {AGED}&": ask again",""),"")',
        f'IF(DatesLack="",IF(PriceListAge>PriceAge*NearBelow,"Near limit: {AGED},""),"")',
    )),
    Ready("As sent", (
        'IF(ROUND(SentPrice+SentTax-SentTotal,2)=0,"","Change: revision "&SentRevision&" as sent does not add up")',
        'IF(AND(SentRevision<>"",SentRevision=Revision,NowTotal<>SentTotal),"Change: revision "&Revision&" was sent with another '
        'total: take the next letter","")',
        'IF(SentRevision="","Not checked: fill in the revision as sent","")',
    ), 'SentTotal<>""'),
    Ready("First call", (
        'IF(OR(FirstSaid="",AND(NowPrice>=FirstLow,NowPrice<=FirstHigh)),"","Change: price "&FIXED(NowPrice,0,TRUE)&'
        '", the first call said "&FirstSaid&": tell the customer")',
        'IF(FirstSaid="","Not checked: fill in Lower by and Higher by","")',
    ), 'FirstLikely<>"",ISNUMBER(NowPrice)'),
)  # fmt: skip
MOST_REASONS = max(len(each.reasons) for each in CHECKS)
HELP_COLUMN = FOLD + MOST_REASONS + 1
FIRST_CHECK = BAND_ROW + 2


def checks_area(sheet: bool = True) -> str:
    """The cells that say whether the quote may go out."""
    span = f"$B${FIRST_CHECK}:$B${FIRST_CHECK + len(CHECKS) - 1}"
    return f"{NAME}!{span}" if sheet else span


def add(book: Workbook, sheet: Worksheet, painter: Painter, row: int) -> int:
    """Whether the quote may go out, one reason a row, and the helpers behind them in the fold."""
    put_band(sheet, painter, row, "May the quote go out?", DIFFERENCE)
    span = checks_area(sheet=False)
    first = f'=IF(QuoteBegun=TRUE,IF(QuoteWorst="","{WITHIN}",INDEX({span},MATCH(QuoteWorst,{span},0))),"")'
    painter.put(sheet, row, HOW, first, VERDICT._replace(bold=True, wrap=False, edge="band"))
    name_cell(book, "QuoteCheck", HOW, row)
    helpers = [*HELPERS, ("QuoteWorst", "Worst word", worst(span))]
    for place, (name, head, formula) in enumerate(helpers):
        painter.put(sheet, row, HELP_COLUMN + place, head, FOLDED._replace(bold=True))
        painter.put(sheet, row + 1, HELP_COLUMN + place, formula, FOLDED)
        name_cell(book, name, HELP_COLUMN + place, row + 1)
    for each in CHECKS:
        row += 1
        painter.put(sheet, row, WORDS, each.words, LINE)
        asked = f"AND(QuoteBegun,{each.asked})" if each.asked else "QuoteBegun=TRUE"
        verdict = f'"{WITHIN}"'
        for place, why in reversed(list(enumerate(each.reasons, start=FOLD))):
            failed = f'"Cannot be worked out: see {each.words}, in the fold"'
            painter.put(sheet, row, place, f'=IF({asked},IFERROR({why},{failed}),"")', FOLDED)
            cell = f"${get_column_letter(place)}{row}"
            verdict = f'IF({cell}="",{verdict},{cell})'
        for place in range(HOW, DIFFERENCE + 1):
            painter.put(sheet, row, place, f'=IF({asked},{verdict},"")' if place == HOW else None, LINE)
        sheet.merge_cells(start_row=row, start_column=HOW, end_row=row, end_column=DIFFERENCE)
    verdict_rules(sheet, f"B{FIRST_CHECK}:G{row}", f"$B{FIRST_CHECK}")
    return row + 1
