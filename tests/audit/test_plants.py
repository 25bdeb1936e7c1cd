"""The planter itself: every class changes what it says and nothing else, and the book is as a spreadsheet saves it."""

from random import Random
from types import SimpleNamespace

import pytest

from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import address

from . import books, moves
from .draft import Draft
from .ground import Ground
from .measure import batches, judged
from .plants import FAULTS, Bench, Planted, Sown, sow

SEED = 3
ALONE = [number for number in FAULTS if FAULTS[number].alone]
STALE, NAME_MOVED = 1, 36
IN_CELLS = [number for number in sorted(FAULTS) if number not in ALONE and number != NAME_MOVED]


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(books.demo())


@pytest.fixture(scope="module")
def sown(bench: Bench) -> Sown:
    return sow(bench, [(number, SEED) for number in IN_CELLS])


def contents(data: bytes) -> dict[Place, object]:
    """What stands in every cell: a formula, or a typed value."""
    draft = Draft(data)
    return {
        (sheet, *place): cell.formula if cell.formula is not None else draft.look(sheet).value(*place)
        for sheet in draft.names
        for place, cell in draft.look(sheet).cells.items()
    }


def differing(old: dict[Place, object], new: dict[Place, object]) -> set[Place]:
    return {place for place in old.keys() | new.keys() if (old.get(place) or None) != (new.get(place) or None)}


def test_there_is_a_planter_for_every_class() -> None:
    assert sorted(FAULTS) == list(range(1, 46))


def test_every_fault_finds_a_place_and_the_file_is_whole(sown: Sown) -> None:
    assert not sown.left, "no place was found to plant these"
    package = Package.from_bytes(sown.data, "sown.xlsx")
    for part in package.names:
        if part.endswith((".xml", ".rels")):
            package.tree(part)


def test_what_a_fault_touches_is_all_that_differs(bench: Bench, sown: Sown) -> None:
    touched = {place for each in sown.planted for place in each.touched if each.number != STALE}
    typed_over = {place for each in sown.planted if each.number == STALE for place in each.touched}
    fresh = {sheet for sheet in Draft(sown.data).names if sheet not in bench.draft.names}
    found = {place for place in differing(contents(bench.data), contents(sown.data)) if place[0] not in fresh}
    assert found - typed_over <= touched
    same = {each.number for each in sown.planted if each.touched and not each.touched & found}
    assert not same - {STALE}


def test_only_what_is_planted_as_stale_is_stale(sown: Sown) -> None:
    report = compute(Package.from_bytes(sown.data, "sown.xlsx"))
    stale = {address(*place) for each in sown.planted if each.number == STALE for place in each.cells}
    changed = {change.cell for change in report.changes}
    assert changed == stale


def test_a_moved_name_is_moved_alone(bench: Bench) -> None:
    ground = Ground(bench, Random(SEED))
    planted = FAULTS[NAME_MOVED].plant(ground)
    assert planted is not None, "no name was found to move"
    assert ground.whole, "a move of a name is a fault of the whole book"
    (name,) = planted.wheres
    old, new = (Package.from_bytes(file, "x.xlsx").defined_names() for file in (bench.data, ground.draft.data()))
    assert [each.name for each, other in zip(old, new, strict=True) if each != other] == [name]


@pytest.mark.parametrize("number", ALONE)
def test_a_fault_of_the_whole_book_changes_no_cell(bench: Bench, number: int) -> None:
    data, planted, left = sow(bench, [(number, SEED)])
    assert not left, "no place was found to plant it"
    assert planted[0].wheres, "it does not say what it touched"
    old, new = (Package.from_bytes(file, "x.xlsx") for file in (bench.data, data))
    changed = {part for part in old.names if old.read(part) != new.read(part)}
    assert changed in ({"xl/workbook.xml"}, {"docProps/custom.xml"})


def test_the_same_seed_plants_the_same(bench: Bench) -> None:
    once, again = (sow(bench, [(12, 8), (40, 8), (44, 8)]) for _ in range(2))
    assert once == again


def test_a_person_may_reshape_a_book_and_every_value_stays() -> None:
    draft = Draft(books.demo())
    moves.shifted(draft, "Handover", moves.inserted(12, 2))
    moves.shifted(draft, "Lines", columns=moves.exchanged(4, 5))
    moves.shifted(draft, "Prices", moves.inserted(3))
    moves.renamed(draft, {"Routes": "Cutting list", "Hoses": "Hose"})
    moves.reordered(draft, [0, 2, 1, *range(3, len(draft.names))])
    for sheet in ("Lines", "Quote"):
        grid = draft.edit(sheet)
        moves.shared(grid, sorted({column for _, column in grid.cells}))
    report = compute(Package.from_bytes(draft.data(), "moved.xlsx"))
    assert report.computed > 20_000
    assert not list(report.changes), "these have other values in the reshaped book"
    assert not report.frozen, "these could not be worked out in the reshaped book"


def finding(*cells: Place, where: str = "") -> SimpleNamespace:
    return SimpleNamespace(rule="r", cells=cells, where=where, there="", expected="")


A, B, C = ("S", 1, 1), ("S", 2, 1), ("S", 3, 1)
FAULT = Planted(2, "", frozenset({A}), (), frozenset({A}))


@pytest.mark.parametrize(
    ("findings", "behind", "found", "hits", "consequences", "false"),
    [
        ([finding(A)], set(), 1, 1, 0, 0),
        ([finding(A, C)], set(), 1, 1, 0, 0),  # half of what it names
        ([finding(A, B, C)], set(), 0, 0, 0, 1),  # a finding that names a column for one cell in it
        ([finding(A, B, C)], {B}, 1, 1, 0, 0),
        ([finding(B)], {B}, 0, 0, 1, 0),
        ([finding(C)], {B}, 0, 0, 0, 1),
        ([finding(where="the workbook")], set(), 0, 0, 0, 1),
        ([], set(), 0, 0, 0, 0),
    ],
)
def test_findings_are_held_against_what_was_planted(
    findings: list[SimpleNamespace], behind: set[Place], found: int, hits: int, consequences: int, false: int
) -> None:
    score = judged(findings, [FAULT], [(2, 1)], behind)
    assert (len(score.found), score.hits) == (found, hits)
    assert (len(score.consequences), len(score.false)) == (consequences, false)
    assert len(score.missed) == 1 - found


def test_a_fault_of_the_book_is_found_by_words() -> None:
    fault = Planted(38, "", frozenset(), ("book",), frozenset())
    assert judged([finding(where="the workbook")], [fault], [(38, 1)], set()).hits == 1
    assert judged([finding(A)], [fault], [(38, 1)], set()).hits == 0


def test_tasks_stand_side_by_side_with_at_most_one_of_the_whole_book() -> None:
    made = batches(sorted(FAULTS), 3, 1, 8)
    every = sorted((number, 1 + turn) for number in FAULTS for turn in range(3))
    assert sorted(task for batch in made for task in batch) == every
    for batch in made:
        assert len(batch) <= 8
        assert sum(FAULTS[number].alone for number, _ in batch) <= 1
