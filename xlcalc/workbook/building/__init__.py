"""The workbook that is generated: tables, looks, charts, and how it is put together."""
