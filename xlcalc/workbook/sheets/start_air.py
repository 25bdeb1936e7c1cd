"""The block of Start that says what air, cold and engine ask of the lines, and whether Lines gives it."""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from xlcalc.workbook.building.style import FOLDED, PLAIN, QUIET, VERDICT, Painter, verdict_rules
from xlcalc.workbook.landmarks import IN_WORDS, OWN, WORDS
from xlcalc.workbook.sheets.start_cells import BESIDE, band, define


def air_and_fuel(book: Workbook, sheet: Worksheet, painter: Painter, row: int, counts: Mapping[str, str]) -> int:
    """Write the block from a row down; `counts` is what Lines says. Answers the next free row."""
    band(sheet, painter, row, "Air, cold and fuel")
    place = (row + 4, IN_WORDS)  # of the line that brings most fuel, beside what the engine asks for
    painter.put(sheet, *place, "=IF(COUNT(LineFuelFed)=0,0,MATCH(MAX(LineFuelFed),LineFuelFed,0))", FOLDED)
    worked = (
        ("Air at the workshop", '=IF(WorkshopAltitude="","",AIR_PRESSURE_AT(WorkshopAltitude))', "kPa abs", "AirAtWorkshop", "0.0"),
        ("Air at the highest road", '=IF(RoadAltitude="","",AIR_PRESSURE_AT(RoadAltitude))', "kPa abs", "AirAtRoad", "0.0"),
        ("Coldest that every fluid in use is known", counts["known"], "°C", "FluidsKnownDownTo", "0"),
        ("Fuel that the engine asks for, at full power", _fuel_asked(f"$I${place[0]}"), "L/min", "FuelAsked", "0.00"),
    )
    for words, formula, unit, name, digits in worked:
        row += 1
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, OWN, formula, PLAIN._replace(format=digits, across="right"))
        painter.put(sheet, row, BESIDE, unit, QUIET._replace(indent=1, across="left"))
        define(book, name, OWN, row)
    cold = ('=IF(OR(FluidsKnownDownTo="",ColdestStart=""),"",IF(QUANTITY_IN(ColdestStart,"degC")<FluidsKnownDownTo,"Change: coldest start "&'
            'ColdestStart&" °C, a fluid in use is known down to "&FluidsKnownDownTo&" °C","Within limits"))')  # fmt: skip
    for step, said in enumerate(_fuel_words(f"$I${row + 2}"), start=1):
        painter.put(sheet, row + step, IN_WORDS, said, FOLDED)
    fuel = _fuel_check(f"$I${row + 1}", f"$I${row + 2}")
    for words, check in (("Cold against the fluids' figures", cold), ("Fuel of Lines against the engine", fuel)):
        row += 1
        painter.put(sheet, row, WORDS, words, PLAIN)
        painter.put(sheet, row, OWN, check, VERDICT._replace(wrap=False))
        verdict_rules(sheet, f"C{row}", f"$C{row}")
    return row + 1


def _fuel_asked(place: str) -> str:
    """What the engine burns at full power and a quarter more, of the fuel of the line that brings it most: `place`."""
    kind = f"INDEX(LineFluidKinds,{place})"
    burnt = f'IF({kind}="E85",FuelBurntE85,IF({kind}="diesel",FuelBurntDiesel,FuelBurntPetrol))'
    asked = f"FUEL_FLOW_FOR_POWER(EnginePower,{burnt},INDEX(LineFluidWords,{place}))"
    return f'=IF(OR(EnginePower="",{place}=0),"",{asked})'


def _fuel_words(at_least: str) -> tuple[str, str]:
    """What the check of the fuel says where all lines together bring enough, and how much is asked for in words.

    One line alone may bring too little where several run side by side. `at_least` is the cell of the second.
    """
    doubtful = f'"Near limit: one fuel line brings "&FIXED(MAX(LineFuelFed),2,TRUE)&{at_least}'
    asked = '" L/min, at least "&FIXED(FuelAsked,2,TRUE)'
    return (f'=IF({at_least}="","",IF(MAX(LineFuelFed)<FuelAsked,{doubtful},"Within limits"))',
            f'=IF(ISERROR(FuelAsked),"",IF(FuelAsked="","",{asked}))')  # fmt: skip


def _fuel_check(enough: str, at_least: str) -> str:
    """The fuel of the pressure lines together against what the engine asks for; two cells of words."""
    short = f'"Change: fuel lines bring "&FIXED(SUM(LineFuelFed),2,TRUE)&{at_least}&": larger pump"'
    said = f"IF(SUM(LineFuelFed)<FuelAsked,{short},{enough})"
    return f'=IF({at_least}="",IF(ISERROR(FuelAsked),"Cannot be worked out: see above",""),{said})'
