"""The demo job: an invented coach with a line of every kind, some right, some to be changed."""

from collections.abc import Sequence
from datetime import date

from xlcalc.core.tables import raw_rows
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import Column
from xlcalc.workbook.sheets.contents import TABLES
from xlcalc.workbook.sheets.lines import SHEET as LINES

FILE_NAME = "2601-B.xlsx"
START: dict[str, object] = {
    "JobNumber": "2601",
    "Revision": "B",
    "Vehicle": "16-seat mountain coach, 1960s body, petrol V6, automatic gearbox (invented)",
    "JobDate": date(2026, 3, 2),
    "PreparedBy": "the estimator (invented)",
    "FuelGrade": "petrol, Reid vapour pressure 10 psi",
    "EnginePower": 120,
    "Displacement": 3.0,
    "HighestSpeed": 4500,
    "WorkshopAltitude": 1450,
    "RoadAltitude": 2100,
    "ColdestStart": -22,
    "HottestAir": 32,
    "Currency": "money units",
    "TaxName": "tax",
    "TaxNumber": "000-000 (invented)",
    "TaxRate": 20,
    "Margin": 30,
    "LabourRate": 50,
    "PriceListDate": date(2026, 2, 16),
    "ValidDays": 30,
    "Customer": "a mountain tour operator (invented)",
    "Freight": 60,
    "Consumables": 3,
    "Contingency": 8,
    "DepositShare": 40,
    "QuoteDays": 6,
    "FirstLikely": 3500,
    "RangeBelow": 15,
    "RangeAbove": 25,
    "ShopName": "the workshop (invented)",
    "ShopAddress": "Anystreet 1, Anytown, telephone 000 000 (invented)",
    "Warranty": "24 months on hoses, ends and work (invented).",
    "PaymentTerms": "the deposit before work starts, the rest as the car goes (invented).",
    "SentRevision": "A",
    "SentDate": date(2026, 2, 18),
    "SentParts": 1240.00,
    "SentLabour": 1080.00,
    "SentCost": 2610.58,
    "SentPrice": 3729.39,
    "SentTax": 745.88,
    "SentTotal": 4475.27,
    "SentDeposit": 1790.11,
    "SentDays": 6,
    "HandoverSender": "60 to 85 °C in normal use",
    "ServiceInterval": "first look at 100 km, then with each oil change; filters of the breathers with it",
    "HandoverDoneBy": "the fitter (invented)",
    "HandoverCheckedBy": "the foreman (invented)",
}
FLUIDS = (
    {"fluid": "petrol RVP 10", "based": "petrol", "kind": "petrol", "rvp": 10, "source": "the shop's own (invented)"},
)
MEASURED = {"outside": 13, "source": "outside measured by the shop (invented)"}
HOSES = {("PTFE braid", "-6"): MEASURED, ("PTFE conductive", "-6"): MEASURED}


def demo_job() -> Job:
    """The demo job; every figure of it is invented."""
    lines = demo_rows("lines", LINES.columns)
    hoses = [{"family": family, "size": size, **own} for (family, size), own in HOSES.items()]
    tables = {table.rows: demo_rows(table.rows, table.made.columns) for table in TABLES if table.rows}
    return Job(START, lines, FLUIDS, hoses, invented=True, tables=tables)


def demo_rows(name: str, columns: Sequence[Column]) -> list[dict[str, object]]:
    """Rows of data/demo/`name`.csv as they are typed into a table; its headers are keys of the columns."""
    known = {column.key: column for column in columns}
    return [{key: cell(known[key], text) for key, text in row.items() if text} for row in raw_rows(f"demo/{name}")]


def cell(column: Column, text: str) -> object:
    """What stands in the cell: a date, a number, or words."""
    if column.format.startswith("d "):
        return date.fromisoformat(text)
    if column.text or column.kind == "list":
        return text
    try:
        return float(text)
    except ValueError:
        return text
