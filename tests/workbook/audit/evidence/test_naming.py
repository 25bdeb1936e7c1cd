"""What a name is called after, where neither a header nor a label stands beside its cell."""

import pytest

from xlcalc.workbook.audit.evidence.naming import named
from xlcalc.workbook.audit.rules.names import moved_names

from ..sheets import book

CELLS = {"A1": "Which lines are tested?", "D1": "TestsNotDone", "E1": "TestsToMend", "D2": "=2+1", "E2": "=1+1"}


@pytest.mark.parametrize(("stands", "moved"), [("D$2", False), ("D$1", True), ("E$2", True)])
def test_a_name_is_called_after_the_word_of_itself_over_its_cell(stands: str, moved: bool) -> None:
    made = book({"Testing": CELLS}, names=f'<definedName name="TestsNotDone">Testing!${stands}</definedName>')
    assert (named(made)["TestsNotDone"].head != "TestsNotDone") is moved
    expected = ["TestsNotDone, after which it is called"] if moved else []
    assert [each.expected for each in moved_names(made)] == expected
