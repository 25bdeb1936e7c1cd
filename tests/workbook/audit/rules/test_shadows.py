"""Names that stand in the way of a function or of a name of the book."""

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.naming import named as each_named
from xlcalc.workbook.audit.finding import Weight
from xlcalc.workbook.audit.rules.shadows import called_like_functions, names_of_sheets

from ..sheets import book, table


def named(*names: str) -> Book:
    """A book of two sheets with names."""
    other = {"A1": "Rate", "B1": 1.5, "B2": "=Rate*2"}
    return book({"S": table() | {"F1": "Sum", "F2": "=Rate*D2"}, "T": other}, names="".join(names))


def name(called: str, text: str, sheet: str = "") -> str:
    return f'<definedName name="{called}"{sheet and f" localSheetId={chr(34)}{sheet}{chr(34)}"}>{text}</definedName>'


WHOLE = name("Rate", "T!$B$1")


@pytest.mark.parametrize(
    ("called", "found"),
    [("BORE_FOR_FLOW", True), ("bore_for_flow", True), ("_xlfn.BORE_FOR_FLOW", False), ("BoreForFlow", False)],
)
def test_a_name_that_is_called_like_a_function_is_found(called: str, found: bool):
    got = list(called_like_functions(named(name(called, "T!$B$1"))))
    assert [(each.where, each.weight) for each in got] == ([(f"the name {called}", Weight.WRONG)] if found else [])


@pytest.mark.parametrize(
    ("own", "weights"),
    [
        (name("Rate", "S!$C$2", "0"), [Weight.WRONG]),
        (name("rate", "1.7", "0"), [Weight.WRONG]),
        (name("Rate", "T!$B$1", "0"), []),  # it stands for the same
        (name("Rate", "'T'!$B$1:$B$1", "0"), []),
        (name("Other", "S!$C$2", "0"), []),
        (name("_xlnm.Print_Area", "S!$A$1:$D$9", "0"), []),
    ],
)
def test_a_name_of_a_sheet_that_stands_for_another_cell_than_that_of_the_book(own: str, weights: list[Weight]):
    print_area = name("_xlnm.Print_Area", "T!$A$1:$B$2")
    copied = own.replace("S!$C$2", "T!$B$2")
    got = list(names_of_sheets(named(WHOLE, print_area, copied)))
    assert [each.weight for each in got] == weights
    assert all("as everywhere else in the book" in each.expected for each in got)


def test_where_both_are_called_alike_the_audit_takes_the_name_of_the_book():
    own = name("Rate", "S!$C$2", "0")
    assert [each_named(named(*names))["Rate"].text for names in ((WHOLE, own), (own, WHOLE))] == ["T!$B$1"] * 2


def test_a_sheet_that_was_copied_has_names_of_its_own_for_its_own_cells():
    assert list(names_of_sheets(named(WHOLE, name("Rate", "S!$C$2", "0")))) == []


def test_a_name_of_a_sheet_that_nothing_uses_yet_is_a_note():
    spare = name("Spare", "T!$B$1"), name("Spare", "T!$B$2", "0")
    (found,) = names_of_sheets(named(WHOLE, *spare))
    assert found.weight is Weight.NOTE
    assert found.where == "the name Spare of the sheet S"
