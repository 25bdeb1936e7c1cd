"""The sheets of the workbook in their order, and the tables of them that a job fills."""

from xlcalc.workbook.blocks import Table
from xlcalc.workbook.sheets import breathers, fittings, fluids, functions, hoses, lines, routes, selfcheck, sources

JOB_SHEETS = (lines, breathers, routes)  # after Start: what the job is checked and priced by, counted on Start
FIGURE_SHEETS = (fluids, hoses, fittings, functions, sources, selfcheck)
TABLES: tuple[Table, ...] = tuple(table for sheet in (breathers, routes, fittings) for table in sheet.TABLES)
