"""Formulas that contradict themselves, on any sheet: seen in one formula, and silent for what people write."""

import pytest

from xlcalc.workbook.audit.rules.idle import open_guards, twice_in_a_sum

from ..sheets import book, places

CELLS: dict[str, object] = {"A1": 4.0, "B1": 5.0, "C1": 6.0, "A2": "=A1*2", "B2": "=A1+B1"}


@pytest.mark.parametrize(
    ("formula", "said"),
    [
        ("=A2+B2+B2", "B2 counts twice"),
        ("=B1-$B$1", "B1 is added and taken off again"),
        ("=A1+B1-A1", "A1 is added and taken off again"),
        ("=A1+B1", ""),
        ("=A1-B1-B1", ""),  # a hose without its two ends
        ("=A1+B1+B1", ""),
        ("=B2+B2", ""),  # both sides
        ("=A1*A1", ""),  # a square
        ("=A1*B1+A1*C1", ""),
        ("=A1+A1*0.19", ""),  # with its tax
        ("=A1/(A1+B1)", ""),
        ("=IF(A1+A1>9,1,2)", ""),
        ('=A1&"-"&A1', ""),
    ],
)
def test_a_subtotal_stands_once_in_a_sum(formula: str, said: str) -> None:
    found = list(twice_in_a_sum(book(CELLS | {"D1": formula})))
    assert [each.why.partition(":")[0] for each in found] == ([said] if said else [])


@pytest.mark.parametrize(
    ("formula", "found"),
    [
        ("=IF(B1=0,0,A1/B1)", []),
        ('=IF(B1=0,"",A1/B1)', []),
        ("=IF(B1=0,1,A1/B1)", []),
        ("=IF(B1<>0,A1/B1,0)", []),
        ("=IF(B1>0,A1/B1,0)", []),
        ("=IF(B1<10,A1/B1,A1/10)", []),
        ("=IF(B1=1,A1,A1/B1)", []),
        ("=IF(B1=1,0,A1/B12)", []),  # another cell
        ("=IF(B1=1,0,A1/B1)", ["D1"]),
        ("=IF(B1=0,2,A1/B1)", ["D1"]),
        ("=IF(B1<>0,0,A1/B1)", ["D1"]),
        ("=IF(B1>0,0,A1/B1)", ["D1"]),
        ("=IF(B1=0,A1/B1,0)", ["D1"]),
        ("=IF(B1<0,A1/B1,0)", ["D1"]),
        ("=IF(COUNTA(A1:C1)=1,0,B1/COUNTA(A1:C1))", ["D1"]),
    ],
)
def test_a_question_about_a_divisor_guards_it(formula: str, found: list[str]) -> None:
    assert places(open_guards(book(CELLS | {"D1": formula}))) == found


@pytest.mark.parametrize(("label", "found"), [("Share", ["F1"]), ("Hours in all", [])])
def test_a_share_is_divided_by_what_was_asked_for(label: str, found: list[str]) -> None:
    assert places(open_guards(book(CELLS | {"E1": label, "F1": "=IF(B1=0,0,A1*B1)"}))) == found
