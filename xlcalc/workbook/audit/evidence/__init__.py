"""What a book says of its figures: names, units, lists, limits, sources, and others of their like."""
