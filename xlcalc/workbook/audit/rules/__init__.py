"""The rules of the audit, in the order in which they are asked."""

from collections.abc import Callable, Iterable, Sequence

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding
from xlcalc.workbook.audit.rules.arithmetic import stale_values

Rule = Callable[[Book], Iterable[Finding]]
"""Looks at a book and gives what it found."""

RULES: Sequence[Rule] = (stale_values,)
