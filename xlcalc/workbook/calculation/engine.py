"""The engine that works formulas out without a spreadsheet. The only module that touches formualizer.

What is relied on is pinned in tests/workbook/test_engine_facts.py; a new version of the engine goes in only
when those tests pass.
"""

import functools
import io
import zipfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from xlcalc.core.errors import CalcError, FileError, FileRefused
from xlcalc.workbook.calculation.exchange import (
    COMPOUND,
    Unspeakable,
    error,
    first_nameless,
    fit,
    given,
    plain,
    received,
)
from xlcalc.workbook.calculation.legible import legible
from xlcalc.workbook.calculation.one_by_one import Grid, one_by_one
from xlcalc.workbook.calculation.one_value import EACH
from xlcalc.workbook.calculation.products import FUNCTIONS as PRODUCTS
from xlcalc.workbook.calculation.tolerant import FUNCTIONS as TOLERANT
from xlcalc.workbook.file.interrupt import Held, Interrupt
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import column_letters, quoted

if TYPE_CHECKING:
    import formualizer

Function = Callable[[Sequence[object]], object]
"""Takes the cells of a call; answers a number, a text, rows of these, or a CalcError. Never raises one."""

FIT = "_XLCALC_FIT"
"""Called in the engine only: gives an array answer the size that its formula has in the file."""

CALLS_BETWEEN_PROGRESS = 2_000
MOST_KINDS = 200
"""Kinds of calls that a bench keeps."""


class Engine:
    """One workbook in the engine. Rows and columns count from 1.

    `functions` are those that the book calls, by their names in upper case. Raises FileRefused when the
    engine cannot read the book.
    """

    def __init__(
        self, book: bytes, functions: Mapping[str, Function], *, date1904: bool = False, label: str = ""
    ) -> None:
        import formualizer  # noqa: PLC0415 - 10 ms that only a recalculation pays

        self._failure: type[Exception] = formualizer.ExcelEvaluationError
        self._label = label or "The workbook"
        self._book = self._opened(book, date1904=date1904)
        self.spread: set[str] = set()
        """The names of the functions that answered more than one value."""
        self._stopped: BaseException | None = None
        self._halted = False
        self._calls = 0
        self._progress: Callable[[int], None] | None = None
        for name, function in functions.items():
            self._book.register_function(name, self._callback(name, function, counts=True))
        for name, function in {**TOLERANT, **PRODUCTS}.items():
            self._book.register_function(name, self._callback(name, function, counts=False))
        bench = Bench(date1904=date1904)
        self._book.register_function(
            EACH, self._callback(EACH, lambda cells: one_by_one(cells, bench.worked_out), counts=False)
        )
        self._book.register_function(FIT, fit)

    def _opened(self, book: bytes, *, date1904: bool) -> "formualizer.Workbook":
        """The book as the engine reads it, its dates as numbers and its clock that of this place."""
        import formualizer  # noqa: PLC0415

        try:
            opened = formualizer.Workbook.from_bytes(book, config=settings_of(date1904=date1904))
        except (OSError, ValueError, RuntimeError, self._failure) as fault:
            if "max_input_bytes" in str(fault):
                raise FileRefused(
                    f"{self._label} is larger than can be worked out at once. Delete rows and sheets that nobody uses, "
                    "or split it."
                ) from fault
            why = first_line(fault).rpartition("error: ")[2].rstrip(".")  # without the names of the engine's readers
            raise not_read(
                self._label, f"something in it is not written as a spreadsheet writes it ({why})"
            ) from fault
        opened.set_temporal_egress("serial")
        now = datetime.now().astimezone()
        offset = now.utcoffset()
        opened.set_deterministic_clock(now, int(offset.total_seconds()) if offset else 0)
        return opened

    def evaluate(self, progress: Callable[[int], None] | None = None) -> None:
        """Work out everything that is not worked out yet; `progress` hears the number of calls so far.

        Raises what stopped a function (also KeyboardInterrupt), and FileError when the engine gives up.
        """
        self._progress = progress
        with Interrupt(self._halt):
            try:
                self._book.evaluate_all()
            except self._failure as fault:
                if self._stopped is None:
                    raise FileError(f"{self._label} cannot be worked out ({first_line(fault)}).") from fault
            if self._stopped is not None:
                raise self._stopped

    def value(self, sheet: str, row: int, column: int) -> Value | Unspeakable:
        """What a cell holds after `evaluate`; None for a blank cell."""
        value = self._book.get_value(sheet, row, column)
        return value if type(value) is float and value - value == 0 else settled(value)

    def values(self, sheet: str, places: Iterable[tuple[int, int]]) -> list[Value | Unspeakable]:
        """What many cells hold after `evaluate`; each place is a row and a column."""
        read = self._book.get_value
        return [
            value if type(value := read(sheet, row, column)) is float and value - value == 0 else settled(value)
            for row, column in places
        ]

    def spills(self, sheet: str, row: int, column: int, *, hemmed_in: bool = False) -> bool:
        """True when the answer of a cell covers more than the cell, or would if there were room.

        `hemmed_in`: formulas stand below and to the right of it, so that there is no room for another value.
        """
        value = self._book.get_value(sheet, row, column)
        if isinstance(value, dict) and value.get("kind") == "Spill":
            return True
        if hemmed_in:
            return False
        return self._book.inspect_cell(engine_address(sheet, row, column), include_values=False).cell.spill is not None

    def formula(self, sheet: str, row: int, column: int) -> str:
        """The formula as the engine holds it, without `=`; needed for a cell that shares its formula."""
        return (self._book.get_formula(sheet, row, column) or "").removeprefix("=")

    def set_formula(self, sheet: str, row: int, column: int, formula: str) -> None:
        """Give a cell another formula; `evaluate` works out what follows from it.

        Raises FileError when the engine cannot read it.
        """
        try:
            self._book.set_formula(sheet, row, column, f"={formula}")
        except RuntimeError as fault:
            where = engine_address(sheet, row, column)
            raise FileError(f"The formula in {where} cannot be worked out ({first_line(fault)}).") from fault

    def set_value(self, sheet: str, row: int, column: int, value: Value) -> None:
        """Give a cell a fixed value in place of its formula."""
        held: Any = given(value) if isinstance(value, CalcError) else value
        self._book.set_value(sheet, row, column, held)

    def looks_at(self, sheet: str, row: int, column: int) -> list[str] | None:
        """The areas that a cell depends on, as `Sheet!A1` or `Sheet!A1:B9`; None when the engine cannot say."""
        report = self._book.precedents(engine_address(sheet, row, column)).to_dict()
        if report["truncation"]["incomplete"]:
            return None
        found = []
        for precedent in report["precedents"]:
            reference = precedent["reference"]["resolution"] or precedent["reference"]
            area = reference["address"] or reference["resolved"]
            if area:
                found.append(area)
        return found

    def _halt(self) -> None:
        """Stop soon: the engine looks up only now and then, the functions at once."""
        self._halted = True
        self._book.cancel()

    def _callback(self, name: str, function: Function, *, counts: bool) -> Callable[..., object]:
        stopped = given(error("#VALUE!"))

        def call(*given_cells: Any) -> object:
            if self._halted:
                return stopped
            try:
                cells: Sequence[object] = given_cells
                if not COMPOUND.isdisjoint(map(type, given_cells)):
                    if unspeakable := first_nameless(given_cells):
                        return unspeakable
                    cells = [received(cell) if type(cell) in COMPOUND else cell for cell in given_cells]
                answer = function(cells)
                if counts and self._progress is not None:
                    self._count()
                if type(answer) is float and answer - answer == 0:
                    return answer
                if isinstance(answer, list) and sum(map(len, answer)) > 1:
                    self.spread.add(name)
                return given(answer)
            except BaseException as stop:  # the engine would turn it into #VALUE! and go on
                self._stopped = self._stopped or stop
                self._halt()
                return stopped

        return call

    def _count(self) -> None:
        self._calls += 1
        if self._progress is not None and self._calls % CALLS_BETWEEN_PROGRESS == 0:
            self._progress(self._calls)


class Bench:
    """A book of its own in which single calls of built-ins are worked out; made when it is needed."""

    def __init__(self, *, date1904: bool = False) -> None:
        self._date1904 = date1904
        self._book: formualizer.Workbook | None = None
        self._filled: dict[str, int] = {}  # formulas that stand on the sheet of a kind of call, in the order of sheets

    def worked_out(self, kind: str, rows: Grid, areas: Mapping[int, Grid], formulas: Sequence[str]) -> list[object]:
        """What formulas answer beside rows of values, as `workbook/calculation/one_by_one` asks for it."""
        if self._book is None or (len(self._filled) >= MOST_KINDS and kind not in self._filled):
            self._book, self._filled = probing_book(date1904=self._date1904), {}
            self._book.set_temporal_egress("serial")
        if kind not in self._filled:
            self._filled[kind] = 0
            self._book.add_sheet(f"{len(self._filled)}")
        sheet, filled = f"{[*self._filled].index(kind) + 1}", self._filled[kind]
        if rows[0]:
            self._book.set_values_batch(sheet, 1, 2, held(rows))
        for column, area in areas.items():
            self._book.set_values_batch(sheet, 1, column, held(area))
        if len(formulas) > filled:
            self._book.set_formulas_batch(sheet, filled + 1, 1, [[each] for each in formulas[filled:]])
            self._filled[kind] = len(formulas)
        self._book.evaluate_all()
        answers = (settled(self._book.get_value(sheet, row, 1)) for row in range(1, len(formulas) + 1))
        return [error("#VALUE!") if isinstance(each, Unspeakable) else each for each in answers]


def held(rows: Grid) -> list[list[object]]:
    """Cells as the engine takes them into a book."""
    return [[given(cell) if isinstance(cell, CalcError) else cell for cell in row] for row in rows]


def settled(value: Any) -> Value | Unspeakable:
    """A value of the engine as this program holds it; the engine lets numbers pass that no file can hold."""
    if type(value) is float:
        return value if value - value == 0 else error("#NUM!")
    return value if value is None or isinstance(value, bool) else plain(value)


@functools.cache
def has_function(spelling: str) -> bool:
    """True when the engine itself has a function of this name."""
    probe = book_of_questions()
    try:
        probe.register_function(spelling, lambda *_: "")
    except RuntimeError:
        return True
    except ValueError:
        return False
    probe.unregister_function(spelling)
    return False


@functools.cache
def converts(first: str, second: str) -> bool:
    """True when the engine's CONVERT knows two units and the way from one to the other."""
    probe = book_of_questions()
    sheet = probe.sheet_names[0]
    quoted_units = (each.replace('"', '""') for each in (first, second))
    probe.set_formula(sheet, 1, 1, '=CONVERT(1,"{}","{}")'.format(*quoted_units))
    return isinstance(probe.evaluate_cell(sheet, 1, 1), float)


@functools.cache
def book_of_questions() -> "formualizer.Workbook":
    """The book in which the engine is asked for its functions."""
    return probing_book()


def probing_book(*, date1904: bool = False) -> "formualizer.Workbook":
    """An empty book."""
    import formualizer  # noqa: PLC0415

    return formualizer.Workbook(config=settings_of(date1904=date1904))


def settings_of(*, date1904: bool) -> "formualizer.WorkbookConfig":
    """How the engine works a book out, with the day from which its dates count."""
    import formualizer  # noqa: PLC0415

    settings = formualizer.EvaluationConfig()
    settings.enable_parallel = False  # ten times faster with callbacks, and all on one thread
    settings.cycle_detection = "runtime"  # a branch that is not taken closes no circle
    settings.date_system = "1904" if date1904 else "1900"
    return formualizer.WorkbookConfig(eval_config=settings)


def stored(parts: Mapping[str, bytes]) -> bytes:
    """Parts as a container for the engine, not compressed: it is read once and thrown away."""
    out = io.BytesIO()
    with Held(), zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as container:  # torn apart it would look like a fault
        for name, content in legible(parts).items():
            container.writestr(zipfile.ZipInfo(name), content)  # without the clock, which may stand before 1980
    return out.getvalue()


def not_read(label: str, why: str) -> FileRefused:
    """The refusal of a book that the engine cannot read."""
    return FileRefused(f"{label} cannot be worked out: {why}. Open it in the spreadsheet, save it and try again.")


def engine_address(sheet: str, row: int, column: int) -> str:
    """A cell as the engine's own reports want it."""
    return f"{quoted(sheet)}!{column_letters(column)}{row}"


def first_line(fault: Exception) -> str:
    """The first line of a message, for a sentence."""
    return (str(fault).splitlines() or [type(fault).__name__])[0]
