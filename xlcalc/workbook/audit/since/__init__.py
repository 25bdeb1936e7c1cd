"""What changed in a book since an older copy of it."""
