"""What a workbook says of its cells: headers, labels, Checks, and how a cell got its value."""
