"""What goes together in the rows of a table: every row as typed agrees with itself, and says what it is of."""

import pytest

from xlcalc.workbook.audit.evidence.ties import TIES, Order, Tie
from xlcalc.workbook.formulas import column_letters

from ..sheets import book
from ..tied import CASES, Row, alone, job


def ties(case: str, rows: list[Row]) -> dict[str, Tie]:
    """What is tied in a table, by the letters of both columns; the last of several."""
    made = book(job(CASES[case].heads, rows))
    (table,) = made.tables("Here")
    found = (tie for every in TIES[table.head()] for tie in every(made, table))
    return {column_letters(tie.one) + column_letters(tie.other): tie for tie in found}


def apart(tie: Tie) -> list[int]:
    """The rows that do not agree with themselves."""
    return [row for row in tie.by_one if row in tie.by_other and not tie.by_one[row] & tie.by_other[row]]


@pytest.mark.parametrize("case", CASES)
def test_rows_as_typed_agree_and_those_with_one_column_sorted_do_not(case: str) -> None:
    rows, column = list(CASES[case].rows), CASES[case].column
    as_typed = ties(case, rows)
    assert as_typed
    assert not any(apart(tie) for tie in as_typed.values())
    assert any(apart(tie) for tie in ties(case, alone(rows, column)).values())


def test_a_nut_is_one_of_the_ends_of_its_line_and_a_line_between_clamps_takes_none() -> None:
    tie = ties("nuts of lines", list(CASES["nuts of lines"].rows))["AC"]
    clamps = frozenset({"clamps"})
    assert [tie.by_one[row] for row in range(2, 8)] == [clamps, {"-6"}, clamps, {"-8"}, clamps, {"-5"}]
    assert tie.elsewhere


def test_what_may_be_so_only_as_a_rule_says_so() -> None:
    assert ties("prices of ends", list(CASES["prices of ends"].rows))["DE"].asked is Order.OWN
    assert ties("sizes of small parts", list(CASES["sizes of small parts"].rows))["CD"].asked is Order.OWN
    assert ties("sizes of parts", list(CASES["sizes of parts"].rows))["AD"].asked is Order.NOTHING
