"""What formulas look at, asked cell by cell: the same as going through every area of every formula."""

from xlcalc.workbook.audit.reading.looked_at import LookedAt, Spans

from ..sheets import book

ROWS = range(1, 30)
COLUMNS = range(1, 9)
CELLS = {
    "C2": "=A2*B2", "C3": "=A3*B3", "C4": "=A4*B4", "C9": "=A9*B9",  # a pattern with a gap
    "D2": "=SUM(C$2:C2)", "D3": "=SUM(C$2:C3)", "D4": "=SUM(C$2:C4)",  # an area that grows
    "E8": "=SUM(E$9:E9)", "E10": "=SUM(E$9:E11)", "E11": "=SUM(E$9:E12)",  # and one that is turned round below
    "F2": "=SUM(G12:H14)+$A$20", "F3": "=SUM(G13:H15)+$A$20",
    "F6": "=INDEX(A1:A3,2)+A21:B21",
}  # fmt: skip


def test_the_same_as_going_through_every_area() -> None:
    read = book(CELLS)
    areas = [look[1:5] for place, formula in read.written.formulas() for look in read.written.looks(formula, place)]
    asked = read.looked_at("S")
    for row in ROWS:
        for column in COLUMNS:
            over = [(top, bottom) for top, left, bottom, right in areas if left <= column <= right]
            assert asked.at(row, column) == any(top <= row <= bottom for top, bottom in over)
            tall = any(top < bottom and top <= row + 2 and bottom >= row for top, bottom in over)
            assert asked.taken(column, row, row + 2) == tall


def test_a_sheet_at_which_nothing_looks() -> None:
    read = book({"One": {"A1": "=Two!B3"}, "Two": {"B3": 4.0}, "Three": {"B3": 5.0}})
    assert read.looked_at("Two").at(3, 2)
    assert not read.looked_at("Three").at(3, 2)


def test_spans_that_touch_or_overlap_are_one() -> None:
    spans = Spans([(8, 9), (1, 3), (2, 5), (6, 6), (12, 20), (13, 14)])
    assert [row for row in range(1, 25) if spans.meet(row, row)] == [1, 2, 3, 4, 5, 6, 8, 9, *range(12, 21)]
    assert spans.meet(10, 12)
    assert not spans.meet(10, 11)
    assert not LookedAt([]).at(1, 1)
