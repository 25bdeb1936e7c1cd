"""The part of the Calc add-in that the office's own Python runs."""
