"""The sheets of the workbook in their order, and the tables of them that a job fills."""

from xlcalc.workbook.building.blocks import Table
from xlcalc.workbook.sheets import (
    breathers,
    cooling,
    fittings,
    fluids,
    functions,
    handover,
    hoses,
    lines,
    options,
    parts,
    prices,
    quote,
    routes,
    selfcheck,
    sources,
    testing,
    vacuum,
)

TABLE_SHEETS = (options, breathers, vacuum, cooling, routes, parts, quote, testing)
JOB_SHEETS = (lines, *TABLE_SHEETS)  # after Start: what the job is checked and priced by, counted on Start
FIGURE_SHEETS = (handover, fluids, hoses, fittings, prices, functions, sources, selfcheck)
BASIC_SHEETS = tuple(sheet.NAME for sheet in (lines, fluids, hoses))  # every other sheet rests on them
TABLES: tuple[Table, ...] = tuple(
    table for sheet in (*TABLE_SHEETS, *FIGURE_SHEETS) for table in getattr(sheet, "TABLES", ())
)
