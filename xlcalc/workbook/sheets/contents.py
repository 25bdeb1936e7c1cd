"""The sheets of the workbook in their order, and the tables of them that a job fills."""

from xlcalc.workbook.blocks import Table
from xlcalc.workbook.sheets import breathers, fluids, functions, hoses, lines, options, selfcheck, sources

JOB_SHEETS = (lines, options, breathers)  # after Start: what the job is checked and priced by, counted on Start
FIGURE_SHEETS = (fluids, hoses, functions, sources, selfcheck)
TABLES: tuple[Table, ...] = tuple(table for sheet in (options, breathers) for table in sheet.TABLES)
