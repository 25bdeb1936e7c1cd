"""Hidden columns and rows: typed numbers that count and Checks in them are said, what decides nothing is not."""

import re

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.rules.unseen import hidden_answers, hidden_checks, hidden_columns, hidden_input_rows
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

from ..beside import anew, as_before
from ..planted import clean_job, job
from ..sheets import book, edited, part_of, places, table

FREE = {"F1": "Factor", "F2": 1.19, "F3": "=B3*F2", "G1": "Note", "G2": 7.0}


def with_columns(package: Package, sheet: str, columns: str) -> Package:
    """A package whose sheet says of its columns what is given."""
    part = part_of(package, sheet)
    xml = re.sub(rb"<cols>.*?</cols>", b"", package.read(part))
    with_them = xml.replace(b"<sheetData>", f"<cols>{columns}</cols><sheetData>".encode())
    return Package.from_bytes(package.edited({part: with_them}), package.path)


def with_hidden_rows(package: Package, sheet: str, *rows: int) -> Package:
    """A package with rows hidden."""
    part, xml = part_of(package, sheet), package.read(part_of(package, sheet))
    for row in rows:
        xml = re.sub(rb'<row (?=r="%d")' % row, b'<row hidden="1" ', xml, count=1)
    return Package.from_bytes(package.edited({part: xml}), package.path)


@pytest.mark.parametrize(
    ("columns", "cells"),
    [
        ('<col min="6" max="6" hidden="1"/>', ["F2"]),
        ('<col min="6" max="6" width="0" customWidth="1"/>', ["F2"]),
        ('<col min="5" max="16384" hidden="true"/>', ["F2"]),
        ('<col min="6" max="6" hidden="1" outlineLevel="1"/>', []),  # a fold shows that something is there
        ('<col min="7" max="7" hidden="1"/>', []),  # nothing looks at the note
        ('<col min="4" max="4" hidden="1"/>', []),  # formulas only
        ('<col min="6" max="6" width="0.8"/>', []),
    ],
)
def test_a_hidden_column_of_numbers_that_count_is_found(columns: str, cells: list[str]):
    package = with_columns(book(table() | FREE).package, "S", columns)
    assert places(hidden_columns(Book(package, compute(package)))) == cells


def test_a_hidden_column_of_prices_names_its_cells_and_says_what_they_are():
    package = with_columns(book(table()).package, "S", '<col min="3" max="3" hidden="1"/>')
    (found,) = hidden_columns(Book(package, compute(package)))
    assert (found.rule, found.place) == ("hidden-inputs", "S!C2:C9")
    assert found.there == "column C is hidden and holds 8 typed numbers that formulas look at (Price)"


def test_the_folds_of_a_job_hide_no_input_and_a_column_of_flows_does():
    assert [*hidden_columns(clean_job()), *hidden_checks(clean_job())] == []
    flows = with_columns(job(), "Lines", '<col min="10" max="10" hidden="1"/>')
    (found,) = hidden_columns(as_before(flows))
    assert (found.cells[0], len(found.cells)) == (("Lines", 8, 10), 17)


def test_a_hidden_column_whose_first_table_holds_words_is_left_alone():
    lower = {"A12": "Van", "B12": "Hours", "C12": "Check", "A13": "van 1", "B13": 3.0, "C13": "=B13*2"}
    for kind, found in (("long", 0), (3.0, 1)):
        upper = {"A1": "Piece", "B1": "Kind", "C1": "Same", "A2": "hose", "B2": kind, "C2": "=B2"}
        package = with_columns(book({**upper, **lower}).package, "S", '<col min="2" max="2" hidden="1"/>')
        assert len(list(hidden_columns(Book(package, compute(package))))) == found


@pytest.mark.parametrize(
    ("row", "cells"),
    [
        (35, ["C35"]),  # the highest road
        (24, []),  # the job's number is a text
        (76, []),  # a limit that has its default
        (52, []),  # answers
    ],
)
def test_a_hidden_row_of_start_with_a_number_that_counts_is_found(row: int, cells: list[str]):
    assert places(hidden_input_rows(as_before(with_hidden_rows(job(), "Start", row)))) == cells


def test_a_hidden_limit_of_the_shops_own_is_found():
    own = edited(job(), "Start", "C76", 1.9)
    package = with_hidden_rows(own, "Start", 76)
    assert places(hidden_input_rows(anew(package))) == ["C76"]


@pytest.mark.parametrize(
    ("rows", "cells"),
    [
        ((49,), ["C49"]),  # the air at the highest road, below that at the workshop
        ((52,), []),  # a verdict that asks for nothing
        ((47, 48, 49, 50, 51, 52, 53), []),  # the whole block
        ((60,), []),  # a sentence
    ],
)
def test_a_row_hidden_out_of_a_block_of_answers_is_found(rows: tuple[int, ...], cells: list[str]):
    assert places(hidden_answers(as_before(with_hidden_rows(job(), "Start", *rows)))) == cells


def test_a_hidden_column_of_checks_that_ask_for_something_is_found():
    package = with_columns(job(), "Lines", '<col min="2" max="2" hidden="1"/>')
    (found,) = hidden_checks(as_before(package))
    assert {cell[2] for cell in found.cells} == {2}
    assert "Change: " in found.there


def test_a_row_that_a_total_or_a_table_tells_of_is_told_once():
    package = with_hidden_rows(job(), "Lines", 9)
    held = as_before(package)
    assert [*hidden_input_rows(held), *hidden_answers(held)] == []
