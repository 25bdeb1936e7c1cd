"""Parts: everything to buy, worked out from Lines and Routes and priced from Prices; the order list by supplier."""

from collections.abc import Mapping, Sequence

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.blocks import BETWEEN, Placed, Table, add_tables, aligned
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import name_areas
from xlcalc.workbook.building.style import BAND, DECIDES, PLAIN, VERDICT, Painter, quiet_rule
from xlcalc.workbook.sheets.order import add_order
from xlcalc.workbook.sheets.parts_columns import MONEY, NAME
from xlcalc.workbook.sheets.parts_counted import COUNTED, KINDS_ASKED, SMALL
from xlcalc.workbook.sheets.parts_filled import ENDS, FLUIDS, HOSES, SYSTEMS

HOSE_TABLE, END_TABLE, SMALL_TABLE, COUNTED_TABLE, SYSTEM_TABLE, FLUID_TABLE = range(6)
TABLES = aligned(
    Table(HOSES, "", 16), Table(ENDS, "", 16), Table(SMALL, "smallparts", 12), Table(COUNTED, "", 7),
    Table(SYSTEMS, "systems", 6), Table(FLUIDS, "", 7),
)  # fmt: skip
NAMED = {
    HOSE_TABLE: (("PartOutsides", "outside"), ("PartClamped", "clamped")),
    END_TABLE: (("PartEndSizes", "size"), ("PartWashers", "washers"), ("PartRings", "rings")),
    SMALL_TABLE: (("PartKinds", "by"), ("PartCovers", "covers")),
    SYSTEM_TABLE: (("SystemFluids", "fluid"), ("SystemLitres", "litresn")),
}  # columns that the tables look each other up in
SLOTS = {HOSE_TABLE: "HoseSlots", END_TABLE: "FittingSlots", FLUID_TABLE: "FluidSlots"}
NEW_PAGES = (END_TABLE, SMALL_TABLE, COUNTED_TABLE, FLUID_TABLE)
ROWS_OF_SUMS = 8


def add(book: Workbook, painter: Painter, job: Job) -> Mapping[str, str]:
    """Write the sheet and its names; returns what Start says of it."""
    says = "What must be bought, from whom, and what does it cost?"
    hint = "Hoses, ends and fluids stand here by themselves once Routes and Lines are filled in; small parts are typed below."
    sheet, found, said = add_tables(book, painter, job, says, TABLES, hint=hint)
    for place, names in NAMED.items():
        name_areas(book, found[place].made, names, found[place].count)
    row = found[-1].last_row + 2
    _sums(book, sheet, painter, found, row)
    order = add_order(book, sheet, painter, found, row + ROWS_OF_SUMS + BETWEEN)
    for top in (*(found[place].made.top for place in NEW_PAGES), order.made.top):
        sheet.row_breaks.append(Break(id=top - 2))
    shown = sum(not column.folded for column in found[0].made.columns)
    sheet.print_area = f"A1:{get_column_letter(shown)}{order.last_row}"
    return said


def _sums(book: Workbook, sheet: Worksheet, painter: Painter, tables: Sequence[Placed], row: int) -> None:
    """What all parts cost, how long the slowest takes, and what is still open; the answer stands on top too."""
    slots = "+".join(f'MAX(0,COUNT({name})-COUNTIF({_first(tables[place])},"?*"))' for place, name in SLOTS.items())
    unsaid = "PartsNamed-SUM(PartsCounts)"
    sums = (
        ("PartsTotal", "Cost of all parts", '=IF(PartsNamed=0,"",SUMIFS(PartCosts,PartCosts,">0"))', MONEY),
        ("PartsLead", "Longest lead time, days", '=IF(COUNT(PartLeads)=0,"",MAX(PartLeads))', "0"),
        ("PartsUnlisted", "Hoses, ends and fluids that have no row", f"={slots}", "0"),
        ("PartsUncut", "Routes without a cut length", '=RoutesNamed-COUNTIF(RouteCuts,">0")', "0"),
        ("PartsUnrouted", "Lines without a route", '=COUNTIF(LineUnrouted,"no route")', "0"),
        ("PartsUncounted", "Kinds of small parts asked for that have no row", f'=MAX(0,{KINDS_ASKED}-COUNTIF({_first(tables[COUNTED_TABLE])},"?*"))', "0"),
        ("PartsOpen", "Rows not checked or not worked out, with those above",
         f"=PartsNotChecked+PartsCannotBeWorkedOut+{unsaid}+PartsUnlisted+PartsUncut+PartsUncounted", "0"),
    )  # fmt: skip
    for column in range(1, 1 + sum(not each.folded for each in tables[0].made.columns)):
        painter.put(sheet, row, column, "In all" if column == 1 else None, BAND)
    for place, (name, words, formula, shown) in enumerate(sums, start=row + 1):
        painter.put(sheet, place, 1, words, PLAIN)
        painter.put(sheet, place, 3, formula, PLAIN._replace(format=shown, across="right", bold=name == "PartsTotal"))
        book.defined_names[name] = DefinedName(name, attr_text=f"{NAME}!$C${place}")
    quiet_rule(sheet, f"C{row + 1}:C{row + len(sums)}", "PartsNamed=0")
    open_ = "PartsOpen+LinesPending+PartsUnrouted>0"
    painter.put(sheet, row + 1, 4, f'=IF(PartsNamed=0,"",IF({open_},"Incomplete",""))', VERDICT._replace(bold=True, wrap=False, across="left", indent=1))
    total = 'FIXED(PartsTotal,2,TRUE)&IF(Currency="",""," "&Currency)'
    complete = f'IF({open_},"   Incomplete","")'
    lead = 'IF(PartsLead="","","   longest lead time "&PartsLead&" days")'
    answer = f'=IF(PartsNamed=0,"","All parts "&{total}&{complete}&{lead})'
    painter.put(sheet, 4, 1, answer, DECIDES)


def _first(table: Placed) -> str:
    """The names of a table."""
    return table.area(table.made.columns[0].key)
