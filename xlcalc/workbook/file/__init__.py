"""Workbook files: the container, its parts and the XML of sheets, read and written whole."""
