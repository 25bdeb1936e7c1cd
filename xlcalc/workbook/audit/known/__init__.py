"""What a new workbook says in every cell, and a book beside it, however that was sorted or extended."""
