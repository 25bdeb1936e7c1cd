"""What a cell is called on a form: the label of its row, the header of its block, the unit beside it."""

import pytest

from xlcalc.workbook.explained.explain import explained
from xlcalc.workbook.explained.headers import Headers
from xlcalc.workbook.explained.labels import Labels
from xlcalc.workbook.explained.listing import listings, single_checks
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.landmarks import MARKER

from ..books import book, formula, number, row, text
from ..ours import worked

FORM = (
    row(1, text("A1", "May it go out?"), formula("B1", "INDEX(B2:B4,1)"), text("R1", "Begun"), text("S1", "Rows open"))
    + row(2, text("A2", "Lines"), formula("B2", '"Change: 6 lines"'), formula("L2", '"Change: 6 lines"'),
          formula("R2", "1+1"))
    + row(3, text("A3", "Dates"), formula("B3", '"Within limits"'))
    + row(4, text("A4", "Parts"), text("B4", "typed by hand"), formula("C4", '"Within limits"'))
    + row(6, text("A6", "Money"), formula("B6", '"How, in"&amp;" coins"'), text("C6", "To fill in"),
          text("E6", "As sent"), text("F6", "Now"))
    + row(7, text("A7", "Revision"), text("E7", "A"), formula("F7", '"B"'))
    + row(8, text("A8", "Freight"), text("B8", "what it costs to come"), number("C8", 60), text("D8", "%"),
          number("E8", 55), formula("F8", "C8*1"))
    + row(9, formula("A9", '"The price is "&amp;F8'))
    + row(11, text("A11", "The first call"), text("B11", "a range"))
    + row(12, text("A12", "Lower by"), text("B12", "how much less"), number("C12", 15), text("D12", "%"))
    + row(13, text("A13", "Date"), number("B13", 46000), formula("C13", '"Total   Incomplete"'), formula("F13", "2*3"))
    + row(14, text("A14", "Cold"), formula("C14", '"Change: -40"'))
    + row(16, text("A16", "Operation"), text("B16", "Check"), text("C16", "Hours each"))
    + row(17, text("C17", "h"))
    + row(18, text("A18", "cut"), formula("B18", '"Within limits"'), number("C18", 2))
    + row(19, text("C19", MARKER))
    + row(20, text("L20", "Open"), text("M20", "Agreed"), text("N20", "On top"))
    + row(21, formula("L21", "1+2"))
)  # fmt: skip


@pytest.fixture(scope="module")
def labels() -> Labels:
    report = worked(FORM)
    return Labels(report, "S", Headers(report, "S"))


@pytest.mark.parametrize(
    ("cell", "named"),
    [
        ((2, 2), ("Lines", "")),  # and not what the title of the block repeats above it
        ((2, 12), ("Lines", "")),
        ((2, 18), ("Begun", "")),  # a block of its own beside the first: its rows have no label
        ((8, 3), ("Freight, To fill in", "%")),
        ((8, 6), ("Freight, Now", "")),  # not the remark, nor the revision that stands above it
        ((8, 5), ("Freight, As sent", "")),
        ((9, 1), ("Money", "")),
        ((12, 3), ("Lower by", "%")),  # not the remark between
        ((13, 2), ("Date", "")),
        ((13, 3), ("", "")),  # a label that is worked out
        ((13, 6), ("Total   Incomplete", "")),
        ((18, 3), ("Hours each", "h")),
        ((21, 12), ("Open", "")),  # below the table, so not under its headers
    ],
)
def test_a_cell_is_called_by_its_label_and_the_header_of_its_block(
    cell: tuple[int, int], named: tuple[str, str], labels: Labels
) -> None:
    assert labels.named(*cell) == named


LIST_AND_FORM = (
    row(1, text("A1", "Line"), text("B1", "Hose"), text("C1", "Made"))
    + row(2, text("A2", "PS-1"), text("B2", "wire braid rubber -6"), number("C2", 45931))
    + row(4, text("A4", "Signed"))
    + row(5, text("A5", "Work done by"), text("C5", "the fitter"), text("D5", "Signature"))
    + row(6, text("A6", "Odometer"), text("C6", "84200 km"), text("D6", "Signature"))
)  # fmt: skip


def test_a_cell_with_a_name_of_its_own_is_called_by_its_label_below_a_list_too() -> None:
    areas = {"DoneBy": "$C$5", "Odometer": "$C$6", "Dates": "$C$2:$C$3"}
    names = "".join(f'<definedName name="{name}">S!{area}</definedName>' for name, area in areas.items())
    asked = Workings(Package.from_bytes(book(LIST_AND_FORM, names=names), "form.xlsx"))
    said = [asked.described(("S", row_, 3)) for row_ in (2, 5, 6)]
    assert said == ["S!C2 (Made)", "S!C5 (Work done by)", "S!C6 (Odometer)"]


def test_a_check_is_followed_to_the_cell_that_says_the_same() -> None:
    asked = Workings(Package.from_bytes(book(FORM), "form.xlsx"))
    found = explained(asked, ("S", 1, 2))
    assert found.next_cell == "S!B2"
    assert [line.text for line in found.lines][-1] == "B2:B4: no numbers, 3 texts, which no sum counts"


def test_a_check_beside_a_label_counts_and_the_title_that_repeats_it_does_not() -> None:
    heads = Headers(report := worked(FORM), "S")
    assert list(single_checks(report, "S", heads, listings(report, "S", heads))) == [(2, 2), (3, 2), (14, 3)]
