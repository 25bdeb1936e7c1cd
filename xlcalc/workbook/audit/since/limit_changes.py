"""Limits of Start that changed since an older copy of a book: the default, the shop's own figure or its date."""

from collections.abc import Iterator
from typing import NamedTuple

from xlcalc.workbook.audit.evidence.limits_used import LimitUsed
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.copies.compare import difference

DEFAULT, OWN_FIGURE, DATED = "default", "the shop's own figure", "the date beside it"


class LimitChange(NamedTuple):
    """A limit of which the default, the shop's own figure or its date, as `which` says, is another one now."""

    place: Place
    words: str
    which: str
    was: str
    now: str


def limit_changes(old: dict[str, LimitUsed], new: dict[str, LimitUsed]) -> Iterator[LimitChange]:
    """What differs of the limits that both books have."""
    for before, limit in ((old[name], limit) for name, limit in new.items() if name in old):
        default = difference("", "", before.default, limit.default)
        own = difference("", "", before.own, limit.own)
        dated = difference("", "", before.dated, limit.dated)
        if default:
            said = before.said(default.old), limit.said(default.new)
            yield LimitChange(limit.default_place, limit.words, DEFAULT, *said)
        if own:
            yield LimitChange(limit.own_place, limit.words, OWN_FIGURE, before.said(own.old), limit.said(own.new))
        elif dated:  # a date by itself: of a figure that changed it is a matter of course
            yield LimitChange(limit.dated_place, limit.words, DATED, dated.old.text, dated.new.text)
