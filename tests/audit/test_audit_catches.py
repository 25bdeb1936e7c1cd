"""The audit catches a seeded fault of every class that it is there for, and says nothing of the clean book.

One fault a class in the demo, several to a copy; `python -m tests.audit.measure` tells how it does on the whole.
"""


import pytest

from .measure import AUDITOR, Clean, auditor, batches, prepared, tried
from .plants import FAULTS

SEED, TOGETHER = 5, 40
HARD = {18, 23}  # the audit finds a share of these, as README says
OF_THE_BOOK = set(range(36, 46))  # tests/workbook/audit/rules/test_whole_book.py has them one by one
CAUGHT = [number for number in sorted(FAULTS) if number not in HARD | OF_THE_BOOK]


@pytest.fixture(scope="module")
def clean() -> Clean:
    return prepared("demo", auditor(AUDITOR))


def test_the_clean_book_is_quiet(clean: Clean) -> None:
    assert not clean.before, "the audit finds something in a book without faults"


@pytest.mark.parametrize("tasks", batches(CAUGHT, 1, SEED, TOGETHER), ids=str)
def test_planted_faults_are_found_and_nothing_else(clean: Clean, tasks: list[tuple[int, int]]) -> None:
    score = tried(clean, auditor(AUDITOR), tasks)
    assert not score.left, "no place was found to plant these"
    assert not score.missed, "planted and not found"
    assert not score.false, "found and not planted"
