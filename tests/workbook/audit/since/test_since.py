"""What changed in a book since an older copy: each kind of change by itself, and what a person moves is none."""

import re

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.facts import facts
from xlcalc.workbook.audit.since.formula_changes import CHANGED, GONE, GOT, LOST, NEW
from xlcalc.workbook.audit.since.since import Changes, changes
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import address
from xlcalc.workbook.stamp import DATA, PART, SEAL, VERSION, seal

from ...books import packed, parts
from ..sheets import Cells, book, rows, table

COUNT = 60
NAMES = (
    '<definedName name="Rate">Start!$B$1</definedName><definedName name="SuctionMargin">Start!$D$4</definedName>'
    '<definedName name="Lengths">Pieces!$B$2:$B$61</definedName>'
)
START: Cells = {
    "A1": "Rate", "B1": 2, "A2": "All", "B2": "=SUM(Pieces!D2:D61)", "A3": "Twice", "B3": "=B2*Rate",
    "A4": "Margin", "B4": 10, "D4": '=IF(C4="",B4,C4)', "E4": "kPa", "G4": "common practice (P): a note",
}  # fmt: skip


def pieces(count: int = COUNT) -> dict[str, object]:
    """A table with a second worked-out column that looks at another sheet."""
    return {**table(count), "E1": "Twice", **{f"E{row}": f"=D{row}*Start!$B$1" for row in range(2, 2 + count)}}


def made(start: Cells = START, held: Cells | None = None, names: str = NAMES, **others: Cells) -> Book:
    return book({"Start": start, "Pieces": held or pieces(), **others}, names=names)


OLD = made()


def since_old(new: Book) -> Changes:
    return changes(OLD, new)


def formulas(found: Changes) -> list[tuple[str, str, str]]:
    return [(each.change, each.place, each.words) for each in found.formulas]


def only(found: Changes, kind: str) -> None:
    """Nothing but one kind of change."""
    held = {"around": found.around, "formulas": found.formulas, "limits": found.limits, "cells": found.typed.cells,
            "put in": found.typed.put_in, "taken out": found.typed.taken_out}  # fmt: skip
    assert [name for name, each in held.items() if each] == [kind]


def moved(held: dict[str, object], line: dict[int, int]) -> dict[str, object]:
    """Cells with their rows, and what their formulas look at in the same row, at other rows."""

    def put(text: str, row: int) -> str:
        return re.sub(rf"(?<=[A-Z]){row}\b", str(line.get(row, row)), text)

    def moved_cell(ref: str, what: object) -> tuple[str, object]:
        row = int(ref.lstrip("ABCDEF"))
        return put(ref, row), put(what, row) if isinstance(what, str) and what.startswith("=") else what

    return dict(moved_cell(*each) for each in held.items())


def test_a_book_beside_itself_has_no_change():
    assert since_old(made()).nothing


@pytest.mark.parametrize("held", [
    {"A1": 3, "B1": "=A1*2"}, {"A1": 3, "D1": "=A1*2", "F1": 4}, {"C5": 1, "B2": "Rate", "A9": 2, "D9": "=C5"},
    {"A1": 1},
])  # fmt: skip
def test_numbers_before_the_first_words_and_formulas_stay_where_they_are(held: Cells):
    assert changes(book(held), book(held)).nothing
    typed = changes(book(held), book(held | {"A1": 7})).typed
    assert [address(*cell.place) for cell in typed.cells] + [row.where for row in typed.put_in] == ["S!A1"]


def test_a_formula_changed_down_a_column_is_one_line():
    held = pieces() | {f"D{row}": f"=B{row}*C{row}*1.1" for row in range(2, 62)}
    found = since_old(made(held=held))
    only(found, "formulas")
    assert formulas(found) == [(CHANGED, "Pieces!D2:D61", "was =B2*C2, is =B2*C2*1.1")]
    assert found.formulas[0].title == " (Money)"


def test_a_formula_changed_in_one_cell_is_told_by_itself():
    found = since_old(made(held=pieces() | {"D20": "=B20*C21"}))
    only(found, "formulas")
    assert formulas(found) == [(CHANGED, "Pieces!D20", "was =B20*C20, is =B20*C21")]


def test_of_a_long_formula_only_what_differs_is_said():
    long = "+".join(f"B{row}" for row in range(2, 40))
    old, new = (made(START | {"A6": "Long", "B6": f"=Pieces!{long}{end}"}) for end in ("*2", "*3"))
    (found,) = changes(old, new).formulas
    assert (found.was.endswith("*2"), found.now.endswith("*3")) == (True, True)
    assert re.fullmatch(r"was \.\.\..{30,50}B39\*2, is \.\.\..{30,50}B39\*3", found.words)


def test_a_new_column_and_one_that_is_gone():
    more = pieces() | {"F1": "Spare"} | {f"F{row}": f"=B{row}*0.1" for row in range(2, 62)}
    wide = made(held=more)
    assert formulas(since_old(wide)) == [(NEW, "Pieces!F2:F61", "new column, =B2*0.1")]
    assert formulas(changes(wide, OLD)) == [(GONE, "Pieces!F2:F61", "column gone, was =B2*0.1")]


def test_cells_that_lost_their_formula_or_got_one():
    typed = made(held=pieces() | {"D20": 7})
    lost = since_old(typed)
    only(lost, "formulas")
    assert formulas(lost) == [(LOST, "Pieces!D20", "7 is typed in place of the formula =B20*C20")]
    got = changes(typed, OLD)
    only(got, "formulas")
    assert formulas(got) == [(GOT, "Pieces!D20", "a formula in place of 7, which was typed: =B20*C20")]


def test_a_cell_that_was_emptied_lost_its_formula():
    held = {ref: what for ref, what in pieces().items() if ref != "D20"}
    assert formulas(since_old(made(held=held))) == [
        (LOST, "Pieces!D20", "nothing stands in place of the formula =B20*C20")
    ]


def test_sorted_rows_are_no_change():
    line = {row: 63 - row for row in range(2, 62)}
    assert since_old(made(held=moved(pieces(), line))).nothing


def test_a_formula_that_changed_is_found_in_a_sorted_table():
    line = {row: 63 - row for row in range(2, 62)}
    held = moved(pieces() | {"D20": "=B20*C20+1"}, line)
    found = since_old(made(held=held))
    only(found, "formulas")
    assert formulas(found) == [(CHANGED, "Pieces!D43", "was =B43*C43, is =B43*C43+1")]


def test_rows_put_in_and_taken_out_are_rows_and_no_formulas():
    held = moved(pieces(), {row: row + 1 for row in range(30, 62)})
    held |= {"A30": "a new piece", "B30": 1, "C30": 12, "D30": "=B30*C30", "E30": "=D30*Start!$B$1"}
    longer = made({**START, "B2": "=SUM(Pieces!D2:D62)"}, held, NAMES.replace("$61", "$62"))
    found = since_old(longer)
    only(found, "put in")
    assert [(each.where, each.cells) for each in found.typed.put_in] == [("Pieces, row 30 (a new piece)", 3)]
    back = changes(longer, OLD)
    only(back, "taken out")
    assert [each.name for each in back.typed.taken_out] == ["a new piece"]


def test_a_row_emptied_with_its_formulas_is_a_row_taken_out():
    held = {ref: what for ref, what in pieces().items() if not ref.endswith("30")}
    found = since_old(made(held=held))
    only(found, "taken out")
    only(changes(made(held=held), OLD), "put in")


def test_a_row_put_in_with_another_formula_says_so():
    held = pieces() | {"A62": "piece 62", "B62": 1, "C62": 2, "D62": "=B62+C62", "E62": "=D62*Start!$B$1"}
    found = since_old(made(held=held))
    assert formulas(found) == [(NEW, "Pieces!D62", "new, =B62+C62")]
    assert [each.name for each in found.typed.put_in] == ["piece 62"]


def test_a_column_put_in_moves_formulas_without_changing_them():
    letters = {"A": "A", "B": "C", "C": "D", "D": "E", "E": "F"}

    def put(text: str) -> str:
        return re.sub(r"(?<![A-Z$!])[A-E](?=[0-9])", lambda found: letters[found[0]], text)

    held = {put(ref): put(what) if isinstance(what, str) and what[0] == "=" else what for ref, what in pieces().items()}
    names = NAMES.replace("Pieces!$B$2:$B", "Pieces!$C$2:$C")
    found = since_old(made({**START, "B2": "=SUM(Pieces!E2:E61)"}, {**held, "B1": "Own"}, names))
    only(found, "cells")
    assert [(address(*each.place), each.was, each.now) for each in found.typed.cells] == [
        ("Pieces!B1", "blank", '"Own"')
    ]


def test_a_total_that_leaves_out_a_row_did_change():
    found = since_old(made({**START, "B2": "=SUM(Pieces!D2:D60)"}))
    only(found, "formulas")
    assert formulas(found) == [(CHANGED, "Start!B2", "was =SUM(Pieces!D2:D61), is =SUM(Pieces!D2:D60)")]


def test_sheets_that_were_renamed_added_and_removed():
    start = {**START, "B2": "=SUM(Cut!D2:D61)"}
    sheets = {"Start": start, "Cut": pieces(), "Sums": {"A1": 2, "A2": "=A1*2"}}
    found = changes(made(Notes={"A1": "remark"}), book(sheets, names=NAMES.replace("Pieces!", "Cut!")))
    only(found, "around")
    assert [each.words for each in found.around] == [
        "sheet Sums: new, 1 formula and 1 typed cell",
        "sheet Notes: gone, it had 0 formulas and 1 typed cell",
        "sheet Pieces: now called Cut",
    ]


@pytest.mark.parametrize(("names", "words"), [
    (NAMES.replace("$B$61", "$B$50"), "name Lengths: was Pieces!$B$2:$B$61, is Pieces!$B$2:$B$50"),
    (NAMES + '<definedName name="Own">Start!$B$2</definedName>', "name Own: was none, is Start!$B$2"),
])  # fmt: skip
def test_names_that_stand_for_something_else(names: str, words: str):
    found = since_old(made(names=names))
    only(found, "around")
    assert [each.words for each in found.around] == [words]


def settled(
    calculation: str = "", states: dict[str, str] | None = None, further: dict[str, bytes] | None = None
) -> Book:
    """The old book with other settings, and further parts."""
    held = {"Start": rows(START), "Pieces": rows(pieces())}
    content = parts(held, names=NAMES, calculation=calculation, states=states)
    package = Package.from_bytes(packed(content | (further or {})), "book.xlsx")
    return Book(package, compute(package))


def stamped(version: str, check: str) -> Book:
    """The old book with a stamp."""
    said = {VERSION: version, DATA: "d", SEAL: check}
    properties = "".join(f'<property name="{name}"><t>{value}</t></property>' for name, value in said.items())
    return settled(further={PART: f"<Properties>{properties}</Properties>".encode()})


def test_stamps():
    found = changes(stamped("1.0", seal("1.0", "d")), stamped("1.1", seal("1.0", "d")))
    only(found, "around")
    assert [each.words for each in found.around] == [
        "stamp: was version 1.0, data d, is version 1.1, data d, edited by hand"
    ]
    (made_without,) = changes(OLD, stamped("1.0", seal("1.0", "d"))).around
    assert made_without.words == "stamp: was none, is version 1.0, data d"


def test_settings_of_calculation_and_hidden_sheets():
    found = since_old(settled('<calcPr calcMode="manual" fullPrecision="0" iterate="1"/>', {"Pieces": "hidden"}))
    only(found, "around")
    assert [each.words for each in found.around] == [
        "sheet Pieces: was visible, is hidden",
        "calculation: was automatic, is manual",
        "precision as displayed: was off, is on",
        "iterative calculation: was off, is on, 100 rounds, down to a change of 0.001",
    ]


def test_limits_by_their_default_and_the_shops_own_figure():
    found = since_old(made({**START, "B4": 12, "C4": 8, "H4": "May"}))
    only(found, "limits")
    assert [(address(*each.place), each.which, each.was, each.now) for each in found.limits] == [
        ("Start!B4", "default", "10 kPa", "12 kPa"),
        ("Start!C4", "the shop's own figure", "blank", "8 kPa"),
    ]


def test_typed_cells_by_their_row_wherever_it_stands():
    line = {row: 63 - row for row in range(2, 62)}
    found = since_old(made({**START, "B1": 3}, moved(pieces() | {"B20": 99}, line)))
    only(found, "cells")
    assert [(address(*each.place), each.title, each.was, each.now) for each in found.typed.cells] == [
        ("Start!B1", " (Rate)", "2", "3"),
        ("Pieces!B43", " (Length) of piece 20", "10", "99"),
    ]


def test_a_limit_of_the_shops_own_is_a_fact_until_it_is_the_default():
    assert facts(OLD).limits == []
    (limit,) = facts(made({**START, "C4": 8})).limits
    assert (limit.said(limit.own), limit.said(limit.default), limit.source) == (
        "8 kPa", "10 kPa", "common practice (P): a note"
    )  # fmt: skip
    assert facts(made({**START, "C4": 10})).limits == []


def test_units_that_could_not_be_followed_are_named_with_the_reason():
    cells = {"A1": "Name", "B1": "Flow", "C1": "Bore", "D1": "Speed", "B2": "L/min", "C2": "furlong per", "D2": "m/s"}
    for row in range(3, 7):
        cells |= {f"A{row}": f"line {row}", f"B{row}": 10, f"C{row}": 12,  # type: ignore[dict-item]
                  f"D{row}": f"=LINE_VELOCITY(B{row}*1.1,C{row})"}  # fmt: skip
    (found,) = facts(book(cells)).unfollowed
    assert found.place == "S!D3:D6"
    assert found.why == (
        "flow of LINE_VELOCITY is worked out inside the formula; "
        "bore of LINE_VELOCITY looks at C3, where 'furlong per' is no unit that is known here"
    )


def test_units_that_are_followed_or_stand_in_the_cell_are_no_fact():
    cells = {"A1": "Name", "B1": "Flow", "C1": "Bore", "D1": "Speed", "B2": "L/min", "C2": "", "D2": "m/s",
             "A3": "line", "B3": 10, "C3": "12 mm", "D3": "=LINE_VELOCITY(B3,C3)"}  # fmt: skip
    assert facts(book(cells)).unfollowed == []


def test_a_text_with_its_own_unit_that_all_rows_look_at_is_no_fact():
    cells = {"A1": "Name", "B1": "Flow", "C1": "Bore", "D1": "Speed", "B2": "L/min", "C2": "", "D2": "m/s",
             "C3": "12 mm", "C4": 7}  # fmt: skip
    for row in (3, 4):
        cells |= {f"A{row}": f"line {row}", f"B{row}": 10, f"D{row}": f"=LINE_VELOCITY(B{row},C$3)"}
    assert facts(book(cells)).unfollowed == []
