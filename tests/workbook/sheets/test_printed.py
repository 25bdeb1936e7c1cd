"""The three sheets that are generated whole: what stands on them, and what the Self-check says of an installation."""

import io
from pathlib import Path

import openpyxl
import pytest

from xlcalc.core.errors import CalcError
from xlcalc.core.registry import FAMILIES, functions
from xlcalc.core.tables import MARKS, raw_rows, sources
from xlcalc.functions.fittings import fitting_words
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.recalc import recalc
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.sheets import selfcheck
from xlcalc.workbook.sheets.printed import HEAD_ROW, lines_of

from .retyped import Retyped

SHOWN = [check for check in raw_rows("published") if check["sheet"] == "yes"]
FIRST = HEAD_ROW + 1


@pytest.fixture(scope="module")
def checks() -> Retyped:
    """A book of the generated sheets, worked out; answers of the Self-check are typed over in it."""
    return Retyped(Job(), 1, ["Functions", "Sources", "Self-check"])


@pytest.fixture(scope="module")
def book(checks: Retyped) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(checks.data))


def rows(book: openpyxl.Workbook, name: str) -> dict[str, list[str]]:
    """First cell of each row -> the texts of the row."""
    found = ([str(cell or "") for cell in row] for row in book[name].iter_rows(min_row=FIRST, values_only=True))
    return {texts[0]: texts for texts in found if texts[0]}


def test_every_function_is_listed_with_what_a_person_needs(book: openpyxl.Workbook) -> None:
    listed = rows(book, "Functions")
    fluid = "a name of the fluids table, or words such as 865 kg/m3; 34 mm2/s @ 40 degC; 7.2 mm2/s @ 100 degC"
    assert book["Functions"]["A3"].value.startswith(f"A fluid is {fluid}. [unit]: ")
    known = [family.words for family in FAMILIES.values()]
    assert [word for word in listed if word in known] == known
    for name, made in functions().items():
        _, answers, arguments, example, how, warnings, cited = listed[name]
        for arg in made.args:
            said = f"{arg.name if arg.required else f'[{arg.name}]'}: {arg.label}"
            if arg.reader.allows() == fluid:
                said += ", see above"
            elif arg.name != "unit" or arg.required:
                said += f", {arg.reader.allows()}"
            assert said in arguments.split("\n") or f"{said}; left out: {arg.default}" in arguments.split("\n")
        assert made.answer.unit.printed in answers
        assert example.startswith(f"{made.example.formula(name)}\n")
        assert example.endswith(made.example.shows)
        assert how == made.relation
        for text in (made.not_for, *made.cautions):
            assert text in warnings
        assert cited.split("\n") == list(made.sources)


def test_a_function_about_an_answer_begins_as_the_list_says(book: openpyxl.Workbook, tmp_path: Path) -> None:
    about = [made for made in functions().values() if made.about]
    trial = openpyxl.Workbook()
    for row, made in enumerate(about, start=1):
        trial.active[f"A{row}"] = f"=INDEX({made.example.formula(made.name)},1,1)"
    trial.save(tmp_path / "about.xlsx")
    values = recalc(tmp_path / "about.xlsx").values["Sheet"]
    for row, made in enumerate(about, start=1):
        value = values[f"A{row}"]
        said = f"{value:.2f}" if isinstance(value, float) else str(value)
        assert said.startswith(made.example.shows)
        assert f"begins {made.example.shows}" in rows(book, "Functions")[made.name][3]


def test_every_word_for_a_fitting_says_which_row_it_stands_for(book: openpyxl.Workbook) -> None:
    listed = rows(book, "Functions")
    for word, loss in fitting_words().items():
        assert listed[word][1] == loss.text("fitting")
    assert listed["elbow 90"][2] == "K1 800, Ki 0.14, Kd 4"
    assert listed["entry"][2:5] == ["K 0.5", "2x entry", "the same at every flow and size"]
    assert listed["entry"][5] == "seen in a secondary copy only"
    assert listed["exit"][5] == "seen in a reproduction of the source"


def test_every_source_kind_and_mark_is_explained(book: openpyxl.Workbook) -> None:
    listed = rows(book, "Sources")
    for source in sources().values():
        assert listed[source.id][1:5] == [source.title, source.edition, source.kind, "yes" if source.reread else "no"]
        assert listed[source.kind][1]
    for mark, words in MARKS.items():
        assert listed[mark][1] == words


def test_the_self_check_shows_the_formula_that_it_works_out(book: openpyxl.Workbook) -> None:
    sheet = book["Self-check"]
    for row, check in enumerate(SHOWN, start=FIRST):
        assert sheet.cell(row, selfcheck.ANSWER).value == f"={sheet.cell(row, selfcheck.FORMULA).value}"
        assert sheet.cell(row, selfcheck.UNIT).value == (check["unit"] or None)
        assert sheet.cell(row, 1).value == check["id"]


def verdicts(checks: Retyped, at: int = 0, *answer: Value) -> tuple[object, list[object]]:
    """What the sheet says on top and beside each check, with another answer, if one is given, in place of one's own."""
    cell = f"D{FIRST + at}"
    before = checks.value_at("Self-check", cell)
    for value in answer:
        checks.type_over("Self-check", cell, value)
    checks.of(Job())
    beside = [checks.value_at("Self-check", f"H{FIRST + place}") for place in range(len(SHOWN))]
    found = checks.value_at("Self-check", "A3"), beside
    checks.type_over("Self-check", cell, before)
    return found


def test_the_self_check_agrees_here(checks: Retyped) -> None:
    assert verdicts(checks) == (f"All {len(SHOWN)} checks agree", ["agrees"] * len(SHOWN))


@pytest.mark.parametrize(
    "wrong", [20.46, 20.34, "20.4", "words", "", CalcError("", "#DIV/0!"), CalcError("", "#N/A")], ids=repr
)
def test_the_self_check_tells_an_answer_that_differs(checks: Retyped, wrong: Value) -> None:
    assert SHOWN[0]["expected"] == "20.4"
    top, beside = verdicts(checks, 0, wrong)
    assert beside == ["differs", *["agrees"] * (len(SHOWN) - 1)]
    assert top == f"1 of {len(SHOWN)} checks differ: do not trust this installation"


def test_the_self_check_tells_words_that_differ(checks: Retyped) -> None:
    at = next(place for place, check in enumerate(SHOWN) if check["id"] == "H6")
    assert verdicts(checks, at, "Within limits")[1][at] == "differs"


def test_the_self_check_tells_functions_that_are_not_connected(checks: Retyped) -> None:
    top, beside = verdicts(checks, 0, CalcError("", "#NAME?"))
    assert beside[0] == "not connected"
    assert top == "xlcalc is not connected here: nothing can be checked"


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [("", 10, 1), (None, 10, 1), ("short", 10, 1), ("a\nb\nc", 10, 3), ("Change: 800 kPa, clamps allow 690", 14, 3),
     ("W" * 40, 10, 8), ("iiiiiiiiiiiiiiiiii", 8, 1)],
)  # fmt: skip
def test_lines_of_a_wrapped_text(text: str | None, width: float, lines: int) -> None:
    assert lines_of(text, width) == lines
