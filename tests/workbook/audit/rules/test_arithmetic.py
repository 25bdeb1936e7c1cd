"""Values in the file that are not what their formulas give, and circles."""

from tests.workbook.books import formula, number, packed, parts, row
from xlcalc.core.errors import CalcError
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.rules.arithmetic import circles, stale_values
from xlcalc.workbook.audit.same_values import worked_alike
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.package import Package

from ..sheets import book, places


def written(*rows: str) -> Book:
    package = Package.from_bytes(packed(parts({"S": "".join(rows)})), "book.xlsx")
    return Book(package, compute(package))


def test_of_values_that_rest_on_one_another_only_the_first_is_named() -> None:
    cells = [formula("B1", "A1*2", "5"), formula("C1", "B1+1", "6"), formula("D1", "A1", "2")]
    made = written(row(1, number("A1", 2), *cells))
    (found,) = stale_values(made)
    assert (found.place, found.there, found.expected) == ("S!B1", "the file shows 5", "its formula gives 4")


def test_a_file_that_was_never_worked_out_is_one_finding() -> None:
    (found,) = stale_values(written(*(row(each, formula(f"A{each}", f"{each}*2")) for each in range(1, 40))))
    assert (found.place, found.there) == ("the book", "no values: 39 formulas were never worked out")


def test_an_input_changed_without_recalculating_is_one_finding() -> None:
    cells = [formula(f"{letter}1", "$A1*2", "5") for letter in "BCDEFGHIJKL"]
    (found,) = stale_values(written(row(1, number("A1", 2), *cells)))
    assert len(found.cells) == 11
    assert found.there.startswith("11 cells show old values: S!B1 shows 5, gives 4")
    behind = [formula(f"{letter}2", f"{letter}1+1", "6") for letter in "BCD"]  # B1 to L1 and B2 to D2: 14
    (found,) = stale_values(written(row(1, number("A1", 2), *cells), row(2, *behind)))
    assert (found.place, len(found.cells)) == ("S!B1 and 10 more cells", 11)
    assert found.there.startswith("14 cells show old values, with 3 that follow from these: S!B1")


def test_two_programs_may_differ_in_the_last_digit_also_inside_of_words() -> None:
    assert worked_alike(0.1 + 0.2, 0.3)
    assert worked_alike("0.30000000000000004 m", "0.3 m")
    assert worked_alike(None, "")
    assert not worked_alike("0.31 m", "0.3 m")
    assert not worked_alike("Change: 2", "Near limit: 2")
    assert not worked_alike(1.0, "1")
    assert not worked_alike(CalcError("", "#N/A"), CalcError("", "#VALUE!"))


def test_each_circle_is_one_finding() -> None:
    made = book({"A1": "=A1+1", "C1": "=D1*2", "D1": "=E1", "E1": "=C1+1", "F1": "=E1", "G1": 2.0, "H1": "=G1*2"})
    assert sorted(places([each])[0] for each in circles(made)) == ["A1", "C1"]
    assert sorted(len(each.cells) for each in circles(made)) == [1, 3]
