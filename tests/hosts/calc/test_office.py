"""Real Calc: the add-in set up as a person would, one office for all books, values read as numbers over UNO.

With Calc before 25.2 the books are copies with prefixed names. Where no office is found the tests say so and skip;
CI always has one.
"""

import io
from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils.datetime import to_excel

import xlcalc
from xlcalc.core.errors import CalcError, FileBusy, UpstreamError
from xlcalc.core.registry import functions
from xlcalc.hosts.calc import install
from xlcalc.hosts.calc.diagnosis import causes
from xlcalc.hosts.calc.differences import DIFFERENCES
from xlcalc.hosts.calc.office import FOLDER, Office
from xlcalc.hosts.calc.signatures import OPTIONAL, help_text, parameters
from xlcalc.hosts.commands.setup_calc import setup_calc
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.copies.respell import respelling
from xlcalc.workbook.file.package import Package

from .agree import allowed, same
from .cases import ARRAYS, HIGH, SHEET, Case, cases, workbook
from .places import MISSING, Place, Running, real_office, tools

pytestmark = pytest.mark.skipif(not tools(), reason=MISSING)
DEMO = Path(__file__).parents[3] / "workbooks" / "2601-B.xlsx"


@pytest.fixture(scope="module")
def place() -> Iterator[Place]:
    """The add-in, set up by the real command in a place of its own."""
    real = real_office()
    assert real is not None
    with Place(real) as made, pytest.MonkeyPatch.context() as patch:
        patch.setenv(FOLDER, str(made.program))
        patch.setenv("XDG_CONFIG_HOME", str(made.shared))
        patch.setattr(install.os, "geteuid", lambda: 1000)  # the place borrows another user where root runs this
        done = setup_calc(None, remove=False)
        assert f"version {xlcalc.__version__}, is installed in LibreOffice" in done.lines[0]
        yield made


@pytest.fixture(scope="module")
def running(place: Place) -> Iterator[Running]:
    with place.started() as office:
        yield office


@pytest.fixture(scope="module")
def office(place: Place) -> Office:
    """What the package itself finds."""
    return Office(place.program.resolve())


def book_for(office: Office, data: bytes, folder: Path) -> Path:
    """A book as this version of Calc needs it."""
    file = folder / "book.xlsx"
    if not office.plain_names:
        package = Package.from_bytes(data, file)
        data = package.edited(respelling(package, "old-calc").edits)
    file.write_bytes(data)
    return file


def test_doctor_sees_what_was_set_up(place: Place, office: Office) -> None:
    found = {cause.subject: cause for cause in causes()}
    assert found["Calc add-in"].found == f"version {xlcalc.__version__}"
    assert found["Calc add-in"].do == ""
    assert found["Its Python"].do == ""
    assert found["Its Python"].found.endswith(f"with xlcalc {xlcalc.__version__}")
    assert (found["Function names"].do == "") is office.plain_names
    assert found["How it answers"].found.startswith("in ")


def test_the_wizard_shows_every_function(running: Running) -> None:
    shown = {name: (said, arguments) for name, said, arguments in running.ask("descriptions")}
    for name, made in functions().items():
        said, arguments = shown[name]
        assert said == help_text(made)
        assert arguments == [[each.name, each.help, each.way == OPTIONAL] for each in parameters(made)] or made.about
        assert [each[:2] for each in arguments] == [[each.name, each.help] for each in parameters(made)]


def test_every_function_agrees_in_every_argument(running: Running, office: Office, tmp_path: Path) -> None:
    listed = cases()
    expected = compute(Package.from_bytes(workbook(listed, ""), "cases")).values
    file = book_for(office, workbook(listed, ""), tmp_path)
    held = running.ask("book", path=str(file), hard=True, columns=1)["sheets"]
    wrong, shown = [], Counter[str]()
    for number, case in enumerate(listed, start=1):
        sheet, rows = (ARRAYS, range(HIGH * number, HIGH * number + HIGH)) if case.array else (SHEET, (number,))
        for row in rows:
            calc, engine = held[sheet][row - 1][0], expected[sheet][f"A{row}"]
            if not same(calc, engine):
                name = allowed(case, calc, engine)
                shown[name] += 1
                if not name:
                    wrong.append((case, calc, engine))
    assert not wrong, "\n".join(said(*each) for each in [(f"{len(wrong)} cells",), *wrong[:40]])
    assert set(shown) == {each.name for each in DIFFERENCES}


def said(case: Case | str, calc: Any = "", engine: Any = "") -> str:
    """A case with both answers, for a person."""
    answer = f"{engine.code} {engine}" if isinstance(engine, CalcError) else engine
    return case if isinstance(case, str) else f"{case.name} {case.what} {case.cells!r:.200}: {calc!r} | {answer!r}"


@pytest.fixture(scope="module")
def shipped() -> dict[str, dict[str, Any]]:
    """The demo as the engine worked it out: sheet to cell to value, of the cells that are not blank."""
    book = load_workbook(DEMO, data_only=True)
    return {
        sheet.title: {
            cell.coordinate: engine_value(cell) for row in sheet.iter_rows() for cell in row if cell.value is not None
        }
        for sheet in book
    }


def engine_value(cell: Any) -> Any:
    """What a cell of a file holds, as the engine has it."""
    if cell.data_type == "e":
        return UpstreamError(code=cell.value)
    if isinstance(cell.value, datetime):
        return to_excel(cell.value)
    return float(cell.value) if isinstance(cell.value, int | float) else cell.value


def differing(held: dict[str, list[list[Any]]], shipped: dict[str, dict[str, Any]]) -> list[str]:
    """The cells of the demo that Calc holds otherwise."""
    return [
        f"{sheet}!{cell}: {calc!r} | {engine!r}"
        for sheet, values in shipped.items()
        for cell, engine in values.items()
        if not same(calc := at(held[sheet], cell), engine)
    ]


def test_the_demo_agrees(
    running: Running, office: Office, shipped: dict[str, dict[str, Any]], tmp_path: Path
) -> None:
    held = running.ask("book", path=str(book_for(office, DEMO.read_bytes(), tmp_path)), hard=True)["sheets"]
    wrong = differing(held, shipped)
    assert not wrong, "\n".join([f"{len(wrong)} cells", *wrong[:40]])
    verdict = at(held["Self-check"], "A3")
    assert verdict.startswith("All ")
    assert verdict.endswith(" checks agree")


def test_names_come_back_as_they_went(running: Running, office: Office, tmp_path: Path) -> None:
    book = Workbook()
    formulas = ["LINE_VELOCITY(B1,7.9)", 'IF(BORE_FOR_FLOW(B1,3,"mm")>1,ANSWER_WHY("LINE_VELOCITY",B1,7.9),"")']
    for row, formula in enumerate(formulas, start=1):
        book.active[f"A{row}"] = f"={formula}"
    book.active["B1"] = 8
    made, back = io.BytesIO(), tmp_path / "back.xlsx"
    book.save(made)
    held = running.ask("book", path=str(book_for(office, made.getvalue(), tmp_path)), to=str(back))["sheets"]
    assert held["Sheet"][1][0] == "There is an answer: 2.72 m/s"
    prefix = "" if office.plain_names else "XLCALC."
    saved = [str(cell.value) for (cell,) in load_workbook(back).active["A1:A2"]]
    assert [text.replace(prefix, "") for text in saved] == [f"={formula}" for formula in formulas]
    assert [text for text in saved if prefix not in text] == [], f"saved without {prefix}"


def test_without_the_add_in_a_book_shows_what_it_holds(shipped: dict[str, dict[str, Any]]) -> None:
    real = real_office()
    assert real is not None
    with Place(real) as bare, bare.started() as running:
        assert differing(running.ask("book", path=str(DEMO))["sheets"], shipped) == []


def test_speed(running: Running, benchmark: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """Printed under --benchmark-enable: new calls in the office itself, and the same again from what is remembered."""
    taken = [running.ask("timed", rows=1000, first=float(first)) for first in (1, 3)]
    if not benchmark.disabled:
        new, again = (round(1e6 * each) for each in taken[-1])
        with capsys.disabled():
            print(f"\na cell in the office itself: {new} microseconds, {again} for one that is remembered")  # noqa: T201
    benchmark.pedantic(running.ask, args=("timed",), kwargs={"rows": 1000, "first": 5.0}, rounds=1)
    assert min(each for pair in taken for each in pair) > 0


@pytest.mark.last
def test_taken_out_again(place: Place, office: Office, running: Running) -> None:
    assert office.installed() is not None
    with pytest.raises(FileBusy, match="LibreOffice is open"):
        setup_calc(None, remove=True)
    running.end()
    (office.profile.parent / ".lock").unlink()  # an office that is killed leaves it behind
    assert setup_calc(None, remove=True).lines == [f"The add-in for Calc is taken out of {office.said}."]
    assert office.installed() is None
    assert setup_calc(None, remove=True).lines == ["There is no add-in for Calc to take out."]
    assert [cause.found for cause in causes() if cause.subject == "Calc add-in"] == ["not installed for this user"]


def at(rows: list[list[Any]], cell: str) -> Any:
    """The value of a cell such as B7 in rows that begin at A1; a cell beyond them is blank."""
    letters = cell.rstrip("0123456789")
    row, column = int(cell[len(letters) :]) - 1, 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    return rows[row][column - 1] if row < len(rows) and column <= len(rows[row]) else ""
