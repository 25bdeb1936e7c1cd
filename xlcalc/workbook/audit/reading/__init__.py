"""What stands in a book: its formulas as patterns, its typed cells, its rows, its tables, its totals."""
