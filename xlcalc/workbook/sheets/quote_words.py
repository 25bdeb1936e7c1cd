"""Words of the shop on the customer's page: its name and address, what is included and what is not, its terms."""

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.style import BOXED, Look, Painter
from xlcalc.workbook.sheets.quote_cells import DIFFERENCE, HOW, WORDS, put_band, put_field
from xlcalc.workbook.sheets.start_cells import Field

INCLUDED = "Hoses with ends, clips and sleeves, fluids, fitting, filling, testing and the signed test sheet."
EXCLUSIONS = (
    "Brake hydraulics: no line that carries brake fluid.",
    "Bodywork, paint, trim and rust.",
    "Parts supplied by the customer carry no warranty.",
    "Cracked ports, worn threads and what else is found after strip-down are variations, agreed before they are done.",
    "Certification, inspection and approval for the road.",
    "",
)
TERMS = (("Warranty", "Warranty", "how long and on what"), ("PaymentTerms", "Payment", "when and how it is paid"))
"""What stands below the cautions of the page where it is filled in: name of the cell, the words before it, its help."""
FIELDS = (
    (Field("ShopName", "Name of the shop", "", "As it stands at the top of the customer's page."), ""),
    (Field("ShopAddress", "Address of the shop", "", "Street, town, telephone, mail: one line below the name. Blank: left out."), ""),
    (Field("Included", "Included, in words", "", "What the price holds besides the lines themselves."), INCLUDED),
    *(
        (Field(f"Exclusion{place}", f"Not included, {place}", "", "What the price does not hold. Blank: nothing."), words)
        for place, words in enumerate(EXCLUSIONS, start=1)
    ),
    *(
        (Field(name, f"{words}, in words", "", f"As the customer is to read it, {what}. Blank: left out."), "")
        for name, words, what in TERMS
    ),
)

def exclusion_names() -> list[str]:
    """Names of the cells that say what is not included."""
    return [field.name for field, _ in FIELDS if field.name.startswith("Exclusion")]


def add(book: Workbook, sheet: Worksheet, painter: Painter, job: Job, row: int) -> int:
    """Write the block from a row down; answers the next free row."""
    put_band(sheet, painter, row, "Words of the customer's page", DIFFERENCE)
    for field, default in FIELDS:
        row += 1
        painter.put(sheet, row, WORDS, field.words, Look(9, edge="line"))
        for place in range(HOW, DIFFERENCE + 1):
            painter.put(sheet, row, place, None, BOXED)
        put_field(book, sheet, painter, row, HOW, field, job.start, default or None)
        sheet.merge_cells(start_row=row, start_column=HOW, end_row=row, end_column=DIFFERENCE)
    return row + 1
