"""The rules of the audit, in the order in which they are asked."""

from collections.abc import Callable, Iterable, Sequence

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules.arithmetic import stale_values
from xlcalc.workbook.audit.rules.columns import column_patterns
from xlcalc.workbook.audit.rules.known_formulas import known_formulas

Rule = Callable[[Book], Iterable[Finding]]
"""Looks at a book and gives what it found."""

RULES: Sequence[Rule] = (stale_values, known_formulas, column_patterns)
