"""The customer's page of the quote: what is included and what is not, price, tests, signatures; no cost, no hours."""

from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import PatternFill
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.functions.fluid import FUELS
from xlcalc.workbook.building.style import FOLDED, PLAIN, QUIET, TITLE, Look, Painter, page
from xlcalc.workbook.sheets.columns import next_filled
from xlcalc.workbook.sheets.quote_cells import (
    DATE,
    DIFFERENCE,
    FOLD,
    HOW,
    MONEY,
    NOW,
    OWN,
    PAGE_COLUMNS,
    SENT,
    WORDS,
    put_band,
)
from xlcalc.workbook.sheets.quote_words import TERMS, exclusion_names

LINES_SHOWN, VARIATIONS_SHOWN = 24, 3
ROW = 12.75  # points of a row of one line
DRAFT_TINT = "FBDCC8"
SMALL = Look(8, wrap=True, up="top")
STATE = (
    '=IF(AND(LinesNamed=0,QuoteBegun=FALSE),"",IF(OR(QuoteBegun=FALSE,QuoteIncomplete),"incomplete",IF(LEFT(QuoteCheck,6)="Change",'
    '"marked Change",IF(OR(LEFT(QuoteCheck,3)="Not",LEFT(QuoteCheck,3)="Can"),"not checked",""))))'
)
HEAD = (
    ("Job", '=IF(JobNumber="","",JobNumber&IF(Revision="","",", revision "&Revision)&IF(PreparedBy="","",", prepared by "&PreparedBy))'),
    ("Customer", '=Customer&""'),
    ("Vehicle", '=Vehicle&""'),
)  # fmt: skip
FACTS = (
    ("Date", '=IF(JobDate="","",JobDate)', DATE),
    ("Valid until", '=IF(ISERROR(ValidUntil),"see Start",ValidUntil)', DATE),
    ("Price list of", '=IF(PriceListDate="","",PriceListDate)', DATE),
    ("Tax number", '=TaxNumber&""', "General"),
    ("Working days", '=IF(ISNUMBER(NowDays),NowDays&IF(NowDays=1," day"," days")&IF(ISNUMBER(PartsLead),", parts up to "&PartsLead&" days",""),"")', "General"),
)  # fmt: skip
AMOUNTS = (
    ('=IF(Currency="","Price before tax","Price before tax, "&Currency)', "NowPrice", False),
    ('=IF(TaxName="","Tax",TaxName)&IF(TaxRate="",""," "&TRIM(SUBSTITUTE(TaxRate,"%",""))&" %")', "NowTax", False),
    ('="Total"&IF(QuoteIncomplete=TRUE,"   Incomplete","")', "NowTotal", True),
    ('="Deposit before work starts"&IF(DepositShare="",""," "&TRIM(SUBSTITUTE(DepositShare,"%",""))&" %")', "NowDeposit", False),
)
TESTS = (
    '"Hoses are proved with liquid at "&ROUND(ProofHose,3)&" times their working pressure, tubes at "&ROUND(ProofTube,3)&" times, held '
    'at least "&HoldLiquidLeast&" min, never above what the weakest part bears."',
    'IF(COUNTIF(LineUses,"vacuum")=0,"","Vacuum lines: from at least "&HoldVacuumStart&" kPa below the air around, at most "&HoldVacuumLoss&'
    '" kPa lost in "&HoldVacuumTime&" min.")',
    'IF(FuelLines=0,"","Fuel system: after the proof of its lines a leak test at "&ROUND(FuelAirTest,1)&" kPa, at low pressure only.")',
    'IF(COUNTIF(LineUses,"coolant")=0,"","Coolant lines: at the rating of the cap, never above it.")',
)  # fmt: skip
CAUTIONS = (
    "An extra is asked for, priced and agreed in writing before it is done. Prices hold until the date above.",
    "Steering, fuel and brake assistance can kill: the part makers' figures, local rules and licensed practice decide. "
    "Hydraulic brake lines are not part of this work.",
)
SIGNATURES = ("For the shop: name, date, signature", "For the customer: name, date, signature")


class Paper:
    """Writes the page row by row."""

    def __init__(self, sheet: Worksheet, painter: Painter, row: int) -> None:
        self.sheet, self._painter, self.first, self.row = sheet, painter, row, row

    def put(self, first: int, last: int, value: object, look: Look, shrink: bool = False) -> None:
        """A value across columns of the row, made smaller where it would not fit."""
        look = look._replace(shrink=shrink)
        for place in range(first, last + 1):
            self._painter.put(self.sheet, self.row, place, value if place == first else None, look)
        if last > first:
            self.sheet.merge_cells(start_row=self.row, start_column=first, end_row=self.row, end_column=last)

    def helper(self, place: int, formula: str) -> str:
        """A folded cell beside the page; answers its address."""
        self._painter.put(self.sheet, self.row, FOLD + place, formula, FOLDED)
        return f"${get_column_letter(FOLD + place)}${self.row}"

    def next(self, height: float = ROW) -> None:
        """On to the next row; the one that is left gets its height."""
        self.sheet.row_dimensions[self.row].height = height
        self.row += 1

    def band(self, words: str) -> None:
        """The title of a part of the page, in words or as a formula."""
        self.next(5)
        put_band(self.sheet, self._painter, self.row, words, PAGE_COLUMNS)
        self.next(15)


def add(sheet: Worksheet, painter: Painter, row: int) -> None:
    """Write the page from a row down and make it what the sheet prints."""
    paper = Paper(sheet, painter, row)
    _head(paper)
    _included(paper)
    _variations(paper)
    paper.band("Not included")
    for name in exclusion_names():
        paper.put(WORDS, DIFFERENCE, f'={name}&""', PLAIN, shrink=True)
        paper.next()
    _price(paper)
    paper.band("Tests whose results will be signed")
    fuels = paper.helper(0, "=" + "+".join(f'COUNTIF(LineFluidKinds,"{kind}")' for kind in FUELS))
    for words in TESTS:
        said = words.replace("FuelLines", fuels)
        paper.put(WORDS, DIFFERENCE, f'=IF(LinesNamed=0,"",IFERROR({said},"see the limits on Start"))', PLAIN, shrink=True)
        paper.next()
    paper.band("Cautions")
    for words in CAUTIONS:
        paper.put(WORDS, DIFFERENCE, words, SMALL)
        paper.next(22 if len(words) > 130 else ROW)
    paper.band(f'=IF({"&".join(name for name, *_ in TERMS)}="","","Terms")')
    for name, words, _ in TERMS:
        paper.put(WORDS, DIFFERENCE, f'=IF({name}="","","{words}: "&{name})', Look(9, wrap=True, up="top"))
        paper.next(2 * ROW)
    _lines(paper)
    paper.next(34)
    paper.put(WORDS, HOW, SIGNATURES[0], Look(8, edge="over"))
    paper.put(SENT - 1, DIFFERENCE, SIGNATURES[1], Look(8, edge="over"))
    paper.next()
    page(sheet, landscape=False, titles="")
    sheet.page_setup.fitToHeight = 1
    sheet.print_area = f"A{paper.first}:{get_column_letter(PAGE_COLUMNS)}{paper.row - 1}"


def _head(paper: Paper) -> None:
    draft = FormulaRule(formula=[f'$A${paper.row}<>""'])
    draft.dxf = DifferentialStyle(fill=PatternFill(bgColor=DRAFT_TINT))
    paper.sheet.conditional_formatting.add(f"A{paper.row}:G{paper.row}", draft)
    state = paper.helper(0, STATE)
    lines = f'"DRAFT: lines marked Change"&IF({state}="incomplete",", incomplete","")'
    words = f'=IF(LinesChange>0,{lines},IF({state}="","","DRAFT: "&{state}))'
    paper.put(WORDS, DIFFERENCE, words, Look(14, bold=True, across="center"))
    paper.next(20)
    paper.put(WORDS, DIFFERENCE, '=IF(ShopName="","Quote",ShopName&"   Quote")', TITLE, shrink=True)
    paper.next(22)
    paper.put(WORDS, DIFFERENCE, '=ShopAddress&""', QUIET, shrink=True)
    paper.next()
    for head, words in HEAD:
        paper.put(WORDS, WORDS, head, PLAIN)
        paper.put(HOW, DIFFERENCE, words, Look(9, bold=head == "Job"), shrink=True)
        paper.next()


def _included(paper: Paper) -> None:
    """What the price holds, in the words of the shop, and how many lines."""
    paper.band("What is included")
    paper.put(WORDS, DIFFERENCE, '=IF(LinesNamed=0,"",Included&"")', PLAIN, shrink=True)
    paper.next()
    listed = 'LinesNamed&IF(LinesNamed=1," line, named"," lines, listed")&" at the foot of this page."'
    paper.put(WORDS, DIFFERENCE, f'=IF(LinesNamed=0,"",{listed})', PLAIN)
    paper.next()


def _lines(paper: Paper) -> None:
    """The filled lines in two columns, found one after the other by their Checks.

    They stand last, so that what few lines leave free is the end of the page and no hole in it.
    """
    paper.band('=IF(LinesNamed=0,"","Lines included")')
    top, half = paper.row, LINES_SHOWN // 2
    column = get_column_letter(FOLD), get_column_letter(FOLD + 1)
    for place in range(half):
        paper.row = top + place
        for side, (first, last) in enumerate(((WORDS, HOW), (OWN, DIFFERENCE))):
            above = f"${column[side]}${paper.row - 1}" if place else f"${column[0]}${top + half - 1}"
            at = paper.helper(side, next_filled("LineChecks", above if place or side else "1"))
            paper.put(first, last, _line(at), PLAIN, shrink=True)
        paper.next()
    shown = f'COUNTIF(${column[0]}${top}:${column[1]}${top + half - 1},">0")'
    more = f"LinesNamed-{shown}"
    paper.put(WORDS, DIFFERENCE, f'=IF({more}>0,"and "&({more})&IF({more}=1," more line"," more lines"),"")', PLAIN)
    paper.next()


def _line(at: str) -> str:
    """A line by its name, from where to where, and its hose."""

    def of(name: str, before: str) -> str:
        return f'&IF(INDEX({name},{at})="","","{before}"&INDEX({name},{at}))'

    return f'=IF({at}=0,"",INDEX(LineNames,{at}){of("LineFrom", ": ")}{of("LineTo", " to ")}{of("LineHoses", "; ")})'


def _variations(paper: Paper) -> None:
    """What was agreed after a revision was sent, and right below it what was asked and is not in the price."""
    paper.band("Variations included")
    asked = paper.helper(1, '=IF(COUNTIF(VariationChecks,"*not agreed*")=0,"","Not agreed and not included: "&VariationsOpenSaid)')
    places: list[str] = []
    for _ in range(VARIATIONS_SHOWN):
        before = places[-1] if places else "1"
        at = paper.helper(0, next_filled("VariationWords", before))
        after = asked if len(places) == 1 else f'IF({before}=0,"",{asked})'
        none = 'IF(OR(QuoteBegun,LinesNamed>0),"none","")'
        paper.put(WORDS, DIFFERENCE, f"=IF({at}=0,{after if places else none},INDEX(VariationWords,{at}))", PLAIN, shrink=True)
        places.append(at)
        paper.next()
    more = paper.helper(0, f'=COUNTIF(VariationWords,"?*")-COUNTIF({places[0]}:{places[-1]},">0")')
    rest = f'IF({more}>0,"and "&{more}&" more.   ","")&{asked}'
    paper.put(WORDS, DIFFERENCE, f'=IF({places[-1]}=0,"",{rest})', PLAIN)
    paper.next()


def _price(paper: Paper) -> None:
    """Dates and validity at the left, the amounts at the right."""
    paper.band("Price")
    for place, (head, formula, shown) in enumerate(FACTS):
        paper.put(WORDS, WORDS, head, PLAIN)
        paper.put(HOW, HOW, formula, PLAIN._replace(format=shown, across="left"), shrink=True)
        if place < len(AMOUNTS):
            words, name, bold = AMOUNTS[place]
            words = f'=IF(OR(QuoteBegun,LinesNamed>0),{words[1:]},"")'
            paper.put(OWN, SENT, words, Look(10 if bold else 9, bold=bold, edge="line"), shrink=True)
            amount = Look(10 if bold else 9, bold=bold, edge="line", across="right", format=MONEY)
            paper.put(NOW, DIFFERENCE, f'=IF(ISNUMBER({name}),{name},"")', amount, shrink=True)
        paper.next(14)
