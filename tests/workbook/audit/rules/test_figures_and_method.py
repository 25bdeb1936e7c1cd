"""Faults of data and method: one cell of a small job is changed, one rule must say so and the others be silent."""

from collections.abc import Mapping
from typing import NamedTuple

import pytest

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.cited import known_tables
from xlcalc.workbook.audit.evidence.peers import other_unit, without_each
from xlcalc.workbook.audit.finding import Finding, Weight
from xlcalc.workbook.audit.rules import RULES
from xlcalc.workbook.audit.rules.figures import cited_figures, sources_gone
from xlcalc.workbook.audit.rules.lookups import double_rows
from xlcalc.workbook.audit.rules.picked import not_in_list
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import column_letters, corners

from ..beside import anew, as_before
from ..planted import Change, changed, clean_job, job, replaced
from ..sheets import book, listed, part_of, places

HELD_HERE = {"figures", "picked", "lookups", "gallons", "outliers", "method", "swallowed", "belongs"}


class Typed(NamedTuple):
    """A cell, and what is put into its XML."""

    cell: bytes
    rest: bytes
    value: Value


def findings(package: Package, typed: dict[Place, Value]) -> dict[str, list[Finding]]:
    """What the rules find, by rule. Values of formulas are those of the unchanged job."""
    book = as_before(package, typed)
    named: dict[str, list[Finding]] = {}
    for rule in RULES:
        if rule.__module__.rpartition(".")[2] in HELD_HERE:
            for each in rule(book):
                named.setdefault(each.rule, []).append(each)
    return named


def text(cell: bytes, new: bytes) -> Typed:
    return Typed(cell, b't="inlineStr"><is><t>%s</t></is></c>' % new, new.decode())


def number(cell: bytes, new: bytes) -> Typed:
    return Typed(cell, b't="n"><v>%s</v></c>' % new, float(new))


def cleared(cell: bytes) -> Typed:
    return Typed(cell, b"/>", None)


def with_change(sheet: str, *changes: Typed) -> dict[str, list[Finding]]:
    package, typed = job(), {}
    for each in changes:
        pattern = rb'(<c r="%s"(?: s="\d+")?)[^>]*?(?:/>|>.*?</c>)' % each.cell
        package = changed(package, part_of(job(), sheet), replaced(pattern, rb"\1 " + each.rest))
        top, left, _, _ = corners(each.cell.decode())
        typed[sheet, top, left] = each.value
    return findings(package, typed)


def with_formula(change: Change) -> dict[str, list[Finding]]:
    return findings(changed(job(), part_of(job(), "Lines"), change), {})


def test_the_job_as_it_is_made_is_silent():
    assert findings(job(), {}) == {}


@pytest.mark.parametrize(
    ("sheet", "change", "rule", "cell", "says"),
    [
        ("Fluids", number(b"G8", b"754"), "figure-changed", (8, 7), "745"),
        ("Fluids", cleared(b"AA13"), "source-removed", (13, 27), "from memory"),
        ("Fluids", text(b"AA13", b"DOE-T2, Table 2"), "source-moved", (13, 27), "from memory"),
        ("Hoses", number(b"J9", b"26084.271"), "figure-changed", (9, 10), "20684.3"),
        ("Lines", text(b"I8", b"power steering mineral "), "not-in-list", (8, 9), "perhaps 'power steering mineral'"),
        ("Lines", text(b"G9", b"sucktion"), "not-in-list", (9, 7), "perhaps 'suction'"),
        ("Lines", text(b"J9", b"2.11 imp gpm"), "other-gallons", (9, 10), "imperial"),
        ("Lines", number(b"N23", b"5000"), "other-unit", (23, 14), "fit in mm"),
        ("Lines", number(b"L12", b"203"), "other-unit", (12, 12), "fit in °F"),
        ("Lines", number(b"K11", b"97000"), "close-to-limit", (11, 11), "100000"),
        ("Lines", number(b"K11", b"110000"), "outside-limits", (11, 11), "0 to 100000"),
        ("Start", number(b"C42", b"0.3"), "other-unit", (42, 3), "fit in shares of 1"),
        ("Start", number(b"C98", b"0.3"), "other-unit", (98, 3), "fit in shares of 1"),
        ("Lines", text(b"B9", b"OK"), "check-typed", (9, 2), "'OK'"),
        ("Lines", text(b"I15", b"coolant 50/50"), "wrong-fluid", (15, 9), "petrol RVP 10"),
        ("Lines", text(b"I24", b"engine oil SAE 30"), "wrong-fluid", (24, 9), "coolant"),
    ],
)
def test_a_fault_is_found(sheet: str, change: Typed, rule: str, cell: tuple[int, int], says: str):
    got = with_change(sheet, change)
    assert rule in got, got
    (each,) = [one for one in got[rule] if one.cells[0] == (sheet, *cell)]
    assert says in f"{each.there} {each.expected} {each.why}", each
    assert set(got) <= {rule, "other-unit"}, f"nothing else is wrong, but there is {got}"


def typed_into(package: Package, sheet: str, changes: Mapping[str, str]) -> Book:
    """The book worked out anew, with texts typed into cells of a sheet."""

    def change(xml: bytes) -> bytes:
        for cell, new in changes.items():
            pattern = rb'(<c r="%s"(?: s="[0-9]+")?)[^>]*?(?:/>|>.*?</c>)' % cell.encode()
            xml = replaced(pattern, rb'\1 t="inlineStr"><is><t>%s</t></is></c>' % new.encode())(xml)
        return xml

    made = changed(package, part_of(package, sheet), change)
    return anew(made)


def test_sizes_sorted_away_from_their_figures_are_one_fault():
    """The names of rows are made of what was sorted, so that the figures stand under the names of other rows."""
    sizes = dict(zip(range(8, 14), ("-10", "-8", "-6", "-5", "-4", "-3"), strict=True))
    changes = {f"E{row}": size for row, size in sizes.items()}
    made = typed_into(job(), "Hoses", changes | {f"F{row}": f"wire braid rubber {size}" for row, size in sizes.items()})
    (each,) = cited_figures(made)
    assert (each.rule, set(each.cells)) == ("sorted-in-part", {("Hoses", row, at) for row in sizes for at in (5, 6)})
    assert each.there == "wire braid rubber -10 beside the figures of wire braid rubber -3, and so on in 6 rows"
    assert list(not_in_list(made)) == []


def test_sources_sorted_away_from_their_figures_are_found_where_rows_have_few():
    """What is left of a row of one figure says little; several of them say that a column was sorted."""
    clean = clean_job()
    (names,) = (table for table in clean.tables("Hoses") if "Source" in table.columns)
    column = names.columns["Source"]
    held = {row: text for (row, at), text in clean.texts("Hoses").items() if at == column and row in names.rows}
    turned = dict(zip(held, reversed(held.values()), strict=True))
    moved = {f"{column_letters(column)}{row}": text for row, text in turned.items() if text != held[row]}
    found = [each for each in cited_figures(typed_into(job(), "Hoses", moved)) if each.rule == "source-moved"]
    assert len(found) >= len(moved) / 2
    assert {cell for each in found for cell in each.cells} <= {("Hoses", row, column) for row in held}


def test_a_circuit_of_two_lines_with_two_kinds_of_fluid_is_found():
    (each,) = with_change("Lines", text(b"I11", b"coolant 50/50"))["wrong-fluid"]
    assert each.cells == (("Lines", 11, 9), ("Lines", 12, 9))


def test_a_row_that_was_called_otherwise_is_known_by_its_figures():
    got = with_change("Fluids", text(b"A19", b"engine oil 10W40"))
    assert [each.cells for each in got["row-renamed"]] == [(("Fluids", 19, 1),)]
    assert "engine oil 10W-40" in got["row-renamed"][0].expected


@pytest.mark.parametrize(
    ("sheet", "changes"),
    [
        ("Start", [number(b"C80", b"40")]),  # a limit of the shop's own stands beside the default
        ("Fluids", [number(b"G8", b"751"), text(b"AA8", b"batch sheet 12 (invented)")]),  # figure and source of its own
        ("Fluids", [text(b"A25", b"own oil"), number(b"G25", b"860"), text(b"AA25", b"drum (invented)")]),
        ("Lines", [text(b"I8", b"865 kg/m3; 34 mm2/s @ 40 degC; 7.2 mm2/s @ 100 degC")]),  # a fluid in words
        ("Lines", [text(b"J9", b"2.11 US gpm")]),
        ("Lines", [text(b"A5", b"Hose line"), text(b"N5", b"Run")]),  # headers in the shop's own words
        ("Lines", [cleared(b"J9"), cleared(b"I10"), cleared(b"N12")]),  # rows begun and not finished
    ],
)
def test_what_a_shop_does_is_no_fault(sheet: str, changes: list[Typed]):
    assert with_change(sheet, *changes) == {}


@pytest.mark.parametrize(("words", "found"), [((b"D-17", b"D-18"), False), ((b"yes", b"perhaps"), True)])
def test_a_column_put_in_beside_one_with_a_list_has_words_of_its_own(words: tuple[bytes, bytes], found: bool):
    """Spreadsheets give a column that is put in the list of the column on its left."""
    lines = part_of(job(), "Lines")
    package = changed(job(), lines, replaced(rb'(<dataValidation sqref="U8:U27)', rb"\g<1> GZ8:GZ27"))
    for row, word in enumerate(words, start=8):
        cell = b'<c r="GZ%d" t="inlineStr"><is><t>%s</t></is></c></row>' % (row, word)
        package = changed(package, lines, replaced(rb'(<row r="%d".*?)</row>' % row, rb"\1" + cell))
    assert bool(list(not_in_list(anew(package)))) is found



@pytest.mark.parametrize(("mark", "found"), [(cleared(b"AB13"), True), (text(b"AB13", b"V"), False)])
def test_a_mark_that_was_cleared_beside_another_source_is_found(mark: Typed, found: bool):
    got = with_change("Fluids", number(b"G13", b"861"), text(b"AA13", b"data sheet 12 (invented)"), mark)
    assert [each.cells for each in got.get("source-removed", ())] == ([(("Fluids", 13, 28),)] if found else [])
    assert set(got) <= {"source-removed"}


def with_sources(left_out: tuple[str, ...], *, blank: bool, cited: str) -> list[Finding]:
    """What is found in a list of the known sources without some of them, beside a table that names one."""
    heads = {"A": "Source", "B": "Title", "C": "Edition", "D": "Kind", "E": "Read twice"}
    listed: dict[str, object] = {f"{letter}4": head for letter, head in heads.items()}
    row = 5
    for name, held in known_tables()["Source"].items():
        if name not in left_out:
            listed |= {f"{letter}{row}": held[head] for letter, head in heads.items() if head in held}
            listed[f"A{row}"] = name
        row += blank or name not in left_out
    figures = {"A1": "Fluid", "B1": "Density", "C1": "Source", "D1": "Mark", "A2": "own oil", "B2": 860.0, "C2": cited}
    return list(sources_gone(book({"Sources": listed, "S": figures | {"E2": "=B2*2"}})))


@pytest.mark.parametrize(("blank", "place"), [(True, "Sources!A7"), (False, "S!C2")])
def test_a_source_that_was_cleared_or_taken_out_while_a_figure_rests_on_it_is_found(blank: bool, place: str):
    (found,) = with_sources(("COLEBROOK",), blank=blank, cited="COLEBROOK, Table 2")
    assert (found.rule, found.place, found.weight) == ("source-gone", place, Weight.WEAK)
    assert "S!C2 rest" in found.there
    assert with_sources(("COLEBROOK", "CLAMOND"), blank=blank, cited="CLAMOND")[0].fault == "CLAMOND"


@pytest.mark.parametrize("cited", ["DARCY", "COLEBROOKS, Table 2", "our own sheet", "Colebrook"])
def test_a_source_that_nothing_rests_on_may_go(cited: str):
    assert with_sources(("COLEBROOK",), blank=True, cited=cited) == []


def test_two_rows_of_one_name_with_two_figures_are_found():
    same = [text(b"A25", b"Petrol "), text(b"D25", b"petrol"), number(b"G25", b"700")]
    got = with_change("Fluids", *same)["one-name-two-values"]
    assert {cell[1] for each in got for cell in each.cells} == {8, 25}
    assert "745 and 700" in got[0].there


@pytest.mark.parametrize(("letter", "found"), [("B", []), ("A", ["A3", "A2", "D3"])])
def test_a_line_has_a_row_for_each_letter_of_its_options(letter: str, found: list[str]):
    rows = [("GB-2", "A", 0.5, "from stock"), ("GB-2", letter, 0.9, None), ("CO-1", "A", 0.4, None)]
    made = book(listed(("Line", "Option", "Work", "Note"), rows))
    assert places(double_rows(made)) == found


def test_a_lookup_of_the_next_best_is_found():
    change = replaced(rb'(<c r="AE8"[^>]*><f>[^<]*MATCH\([^<]*?,)0\)', rb"\g<1>1)")
    (each,) = with_formula(change)["next-best"]
    assert each.cells == (("Lines", 8, 31),)
    assert "exact match" in each.expected


def swallowing(pattern: bytes) -> Change:
    """IFERROR put around the formula of AE9."""
    return replaced(rb'(<c r="AE9"[^>]*><f>)([^<]*)', pattern)


@pytest.mark.parametrize("around", [rb"\1IFERROR(\2,0)", rb'\1IF(ISERROR(\2),"ATF",\2)'])
def test_an_error_that_one_row_swallows_is_found(around: bytes):
    (each,) = with_formula(swallowing(around))["error-swallowed"]
    assert each.cells == (("Lines", 9, 31),)
    assert each.weight == Weight.WEAK, "nothing is hidden now"


def test_a_fluid_written_into_one_formula_of_a_column_is_found():
    change = replaced(rb'(<c r="BR9"[^>]*><f>)[^<]*', rb'\1FLUID_DENSITY("air",20)')
    assert [each.cells for each in with_formula(change)["fluid-in-formula"]] == [(("Lines", 9, 70),)]


def test_a_function_outside_its_method_is_found():
    change = replaced(rb'(<c r="BR9"[^>]*><f>)[^<]*', rb'\1BLOCKED_VENT_PRESSURE(3,2,"petrol",10,40)')
    (each,) = with_formula(change)["not-for-this"]
    assert each.cells == (("Lines", 9, 70),)
    assert "vapour" in each.why


def test_an_error_value_that_no_other_row_has_is_found():
    package = changed(job(), part_of(job(), "Lines"), replaced(rb'(<c r="CA9"[^>]*><f>)[^<]*', rb"\1 1/0"))
    book = anew(package)
    rule = next(each for each in RULES if each.__name__ == "lone_errors")
    assert ("Lines", 9, 79) in {cell for each in rule(book) for cell in each.cells}


def test_prices_in_cents_are_found_among_others_of_their_unit():
    assert cents([11.2, 14.8, 12.9, 1950.0]) == "cents"
    assert cents([11.2, 14.8, 12.9, 19.5]) == ""


def cents(prices: list[float]) -> str:
    return other_unit(prices[-1], without_each(prices, "Unit piece")[-1], "money")
