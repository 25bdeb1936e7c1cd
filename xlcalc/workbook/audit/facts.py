"""What is worth knowing of a book and is no finding: limits of the shop's own, and what the audit could not follow."""

from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.limits_used import LimitUsed, limits_used
from xlcalc.workbook.audit.unfollowed import Unfollowed, unfollowed
from xlcalc.workbook.calculation.recalc import Stopped


class Facts(NamedTuple):
    """Limits that the shop changed, formulas whose units could not be followed, cells that could not be worked out."""

    limits: list[LimitUsed]
    unfollowed: list[Unfollowed]
    stopped: list[Stopped]


def facts(book: Book) -> Facts:
    """The facts of a book; the three are empty for a book without any."""
    limits = [limit for limit in limits_used(book).values() if limit.changed]
    return Facts(limits, unfollowed(book), [*book.report.frozen, *book.report.kept])
