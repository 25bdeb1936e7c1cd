"""The audit of a workbook: what it reads, what it knows of a new workbook, what it asks, what changed since."""
