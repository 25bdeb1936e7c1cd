"""The sheets of the workbook in their order, and the tables of them that a job fills."""

from xlcalc.workbook.blocks import Table
from xlcalc.workbook.sheets import breathers, cooling, fluids, functions, hoses, lines, selfcheck, sources

JOB_SHEETS = (lines, breathers, cooling)  # after Start: what the job is checked and priced by, counted on Start
FIGURE_SHEETS = (fluids, hoses, functions, sources, selfcheck)
TABLES: tuple[Table, ...] = tuple(table for sheet in (breathers, cooling) for table in sheet.TABLES)
