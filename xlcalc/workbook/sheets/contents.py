"""The sheets of the workbook in their order, and the tables of them that a job fills."""

from xlcalc.workbook.blocks import Table
from xlcalc.workbook.sheets import (
    breathers,
    fittings,
    fluids,
    functions,
    hoses,
    lines,
    parts,
    prices,
    routes,
    selfcheck,
    sources,
)

JOB_SHEETS = (lines, breathers, routes, parts)  # after Start: what the job is checked and priced by, counted on Start
FIGURE_SHEETS = (fluids, hoses, fittings, prices, functions, sources, selfcheck)
TABLES: tuple[Table, ...] = tuple(table for sheet in (breathers, routes, parts, fittings, prices) for table in sheet.TABLES)
