"""A workbook worked out: its formulas made ready for the engine, which works them out without a spreadsheet."""
