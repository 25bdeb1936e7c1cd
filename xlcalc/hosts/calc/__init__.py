"""The LibreOffice Calc door."""
