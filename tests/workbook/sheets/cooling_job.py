"""A second calculation of the Cooling sheet in plain Python, jobs for it, and what its columns say.

The second calculation takes no function of the package: oil by the printed figures of its row of Fluids and the volume
correction of lubricating oil, air by the standard atmosphere.
"""

from collections.abc import Mapping, Sequence
from math import exp

from xlcalc.workbook.building.blocks import placed
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.cooling import TABLES

from .retyped import Shows

CIRCUITS, FANS, ELECTRICS, COOLERS = range(4)
Rows = Sequence[Mapping[str, object]]
GEARBOX = {"kind": "gearbox", "fluid": "ATF generic", "flow": 7, "heat": 4.6, "cat": 8.5, "diff": 55, "air": 45,
           "rise": 15}  # fmt: skip
STEERING = {"kind": "steering", "fluid": "power steering mineral", "flow": 8, "relief": 9000, "volume": 1.2, "hot": 80}
FAN = {"sender": "return", "target": 90, "on": 85, "off": 75}
WIRED = {"watt": 120, "volt": 12, "length": 4, "area": 2.5, "fuse": 15}


# --- the second calculation -------------------------------------------------------------------------------------------
def density(at_15: float, celsius: float) -> float:
    """kg/m3 of a lubricating oil: exp(-a dt (1 + 0.8 a dt)), a = 0.6278 / density at 15 degC (D1250, metric)."""
    warmer = 0.6278 / at_15 * (celsius - 15)
    return at_15 * exp(-warmer * (1 + 0.8 * warmer))


def carried(litres: float, at_15: float, mean: float) -> float:
    """kW/K of a flow of oil with 2.0 kJ/(kg K)."""
    return density(at_15, mean) * litres / 60000 * 2.0


def air_pressure(metres: float) -> float:
    return 101.325 * (1 - 2.25577e-5 * metres) ** 5.25588


def rated(heat: float, kelvin: float, metres: float) -> float:
    """kW/K of a catalogue figure in the thinner air of the standard atmosphere."""
    return float(heat / kelvin * (1 - 2.25577e-5 * metres) ** 4.25588)


def air_of_a_degree(celsius: float, metres: float) -> float:
    """kJ/(m3 K) of dry air with 1.006 kJ/(kg K)."""
    return air_pressure(metres) / (0.287055 * (celsius + 273.15)) * 1.006


def behind(oil_in: float, air: float, per: float, litres: float = 7, at_15: float = 865) -> float:
    """Oil behind a cooler, by taking the mean over and over until it stands."""
    oil_out = oil_in
    for _ in range(9):
        oil_out = oil_in - per * (oil_in - air) / carried(litres, at_15, (oil_in + oil_out) / 2)
    return oil_out


PER = rated(8.5, 55, 2100)



# --- the workbook -----------------------------------------------------------------------------------------------------
def job(circuits: Rows, fans: Rows = (), electrics: Rows = (), coolers: Rows = (), **start: object) -> Job:
    base = demo_job()
    lines = [{**line, "flow": "9 gpm"} if line["line"] == "CO-2" else line for line in base.lines]
    tables = {"circuits": circuits, "fans": fans, "electrics": electrics, "coolers": coolers}
    return Job({**base.start, **start}, lines, base.fluids, base.hoses, tables={**base.tables, **tables})


def said(report: Shows, what: Job, table: int, key: str = "check") -> dict[str, object]:
    """Name of a row -> what a column says."""
    where = placed(TABLES, what)[table]
    letter, found = where.made.letter(key), {}
    for row in range(where.made.first_row, where.last_row):
        name = report.value_at("Cooling", f"A{row}")
        if name:
            found[str(name)] = report.value_at("Cooling", f"{letter}{row}")
    return found
