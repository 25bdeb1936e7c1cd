"""The sheets of the workbook in their order, and the tables of them that a job fills."""

from xlcalc.workbook.blocks import Table
from xlcalc.workbook.sheets import breathers, fluids, functions, handover, hoses, lines, selfcheck, sources, testing

JOB_SHEETS = (lines, breathers, testing)  # after Start: what the job is checked and priced by, counted on Start
FIGURE_SHEETS = (handover, fluids, hoses, functions, sources, selfcheck)
TABLES: tuple[Table, ...] = tuple(table for sheet in (breathers, testing) for table in sheet.TABLES)
