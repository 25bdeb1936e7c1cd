"""The demo job: an invented coach with a line of every kind, some right, some to be changed."""

from datetime import date

from xlcalc.core.tables import raw_rows
from xlcalc.workbook.job import Job

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
    "TaxRate": 20,
    "Margin": 30,
    "LabourRate": 50,
    "PriceListDate": date(2026, 2, 16),
    "ValidDays": 30,
    "Customer": "a mountain tour operator (invented)",
}
FLUIDS = (
    {"fluid": "petrol RVP 10", "based": "petrol", "kind": "petrol", "rvp": 10, "source": "the shop's own (invented)"},
)
MEASURED = {"outside": 13, "source": "outside measured by the shop (invented)"}
HOSES = {("PTFE braid", "-6"): MEASURED, ("PTFE conductive", "-6"): MEASURED}
NUMBERS = ("flow", "highest", "hottest", "length", "rise", "fittings", "gap")


def demo_job() -> Job:
    """The demo job; every figure of it is invented."""
    lines = [{key: _cell(key, text) for key, text in row.items() if text} for row in raw_rows("demo_lines")]
    hoses = [{"family": family, "size": size, **own} for (family, size), own in HOSES.items()]
    return Job(START, lines, FLUIDS, hoses, invented=True)


def _cell(key: str, text: str) -> object:
    """Numbers as numbers, words as words."""
    try:
        return float(text) if key in NUMBERS else text
    except ValueError:
        return text
