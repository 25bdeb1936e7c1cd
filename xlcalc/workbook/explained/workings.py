"""A book that is worked out, asked about one cell: what it is called, what its calls are handed, why it is an error."""

from collections.abc import Iterator, Sequence
from functools import cached_property

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CalcError, FileError, UpstreamError
from xlcalc.core.evaluate import evaluate, read
from xlcalc.core.registry import functions
from xlcalc.core.words import digits
from xlcalc.workbook.calculation.engine import has_function
from xlcalc.workbook.calculation.facts import Reader
from xlcalc.workbook.calculation.links import other_files
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.calculation.structured import Tables
from xlcalc.workbook.calculation.written import Look, Place, Written
from xlcalc.workbook.explained.headers import WIDEST, Headers
from xlcalc.workbook.explained.labels import Labels
from xlcalc.workbook.explained.place import named_cell
from xlcalc.workbook.file.dates import Dates
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import Argument, Call, address, calls, spliced

MOST_CELLS = 100_000  # of an area that is handed over whole
MOST_EXPRESSION_CELLS = 400  # each is a calculation of its own
BRANCHES = ("IF", "IFERROR", "IFNA")
FOR_ANOTHER = ("ANSWER_LOW", "ANSWER_HIGH")  # answer in the unit of the function that they are about
MEANS = {
    "#DIV/0!": "it divides by zero or by an empty cell",
    "#NAME?": "it holds a name or a function that is not known here",
    "#REF!": "it looks at a cell that is gone",
    "#N/A": "what it looks for is not there",
    "#VALUE!": "it works with a text where a number must stand",
    "#NUM!": "a number in it is too large, too small or has no answer",
    "#NULL!": "two areas in it have no cell in common",
}


class CannotTell(Exception):
    """An argument that only the spreadsheet can work out; the text says why."""


class Workings:
    """A book with its values. Raises FileRefused where it cannot be read; `report` is made where none is given."""

    def __init__(self, package: Package, report: Report | None = None) -> None:
        self.package = package
        self.report = report or compute(package)
        self.written = Written(package, self.report.source)
        self._others = other_files(package)
        self._dates = Dates(package)
        self._headers: dict[str, Headers] = {}
        self._labels: dict[str, Labels] = {}
        self._readers: dict[str, Reader] = {}

    def value(self, place: Place) -> Value:
        """What a cell holds."""
        return self.report.value(*place)

    def said(self, place: Place) -> str:
        """What a cell holds, in a line of text; a date as a date."""
        value = self.value(place)
        return self._dates.shown(place, value) or shown(value)

    def headers(self, sheet: str) -> Headers:
        """The headers of a sheet."""
        if sheet not in self._headers:
            self._headers[sheet] = Headers(self.report, sheet)
        return self._headers[sheet]

    def title(self, place: Place) -> str:
        """` (Flow, L/min)`: what a cell is called and its unit; see `Labels.named`."""
        sheet, row, column = place
        return bracketed(*self._labels_of(sheet).named(row, column))

    def title_of_area(self, look: Look) -> str:
        """` (Flow, L/min)`: header and unit over an area, which in a table begins with the row above the data."""
        labels = self._labels_of(look.sheet)
        return bracketed(*(labels.over(look.top + 1, look.left)))

    def _labels_of(self, sheet: str) -> Labels:
        if sheet not in self._labels:
            fields = {(row, column) for there, row, column in self._fields if there == sheet}
            self._labels[sheet] = Labels(self.report, sheet, self.headers(sheet), fields)
        return self._labels[sheet]

    @cached_property
    def _fields(self) -> set[Place]:
        """The cells that a name of the book stands for."""
        names = (each.name for each in self.package.defined_names() if each.sheet is None)
        return {place for name in names if (place := named_cell(self.written, name))}

    def described(self, place: Place) -> str:
        """`Lines!J8 (Flow, L/min)`."""
        return f"{address(*place)}{self.title(place)}"

    def ours(self, place: Place) -> list[Call]:
        """The calls of our functions in a cell, inner ones first."""
        return sorted(self.ours_in(self.written.formula(place)), key=lambda each: each.end)

    def ours_in(self, formula: str) -> list[Call]:
        """The calls of our functions in a formula, in the order of their names."""
        return [each for each in calls(formula, self._others) if each.name in functions()]

    def cells(self, made: Call, place: Place) -> list[object]:
        """What a call is handed. Raises CannotTell."""
        return [self.cell(argument.text, place) for argument in made.arguments]

    def cell(self, text: str, place: Place) -> object:
        """What an argument hands over: rows for an area, one cell for anything else. Raises CannotTell."""
        if not text:
            return None
        look = self.written.alone(text, place)
        if look is None:
            return self._expression(text, place)
        if look.single:
            return self._passed((look.sheet, look.top, look.left))
        bottom = max(look.top, min(look.bottom, self.written.last_row(look.sheet)))
        if (bottom - look.top + 1) * (look.right - look.left + 1) > MOST_CELLS:
            raise CannotTell(f"{text} covers more than {MOST_CELLS} cells")
        columns = range(look.left, look.right + 1)
        return [[self._passed((look.sheet, row, column)) for column in columns] for row in range(look.top, bottom + 1)]

    def _passed(self, place: Place) -> object:
        value = self.value(place)
        if isinstance(value, CalcError):
            return UpstreamError(f"{address(*place)} holds {value.code}: mend that cell first", value.code)
        return value

    def _expression(self, text: str, place: Place) -> object:
        sheet, row, column = place
        here = {"ROW": row, "COLUMN": column}
        formula = spliced(text, [(each.start, each.end, str(here[each.name])) for each in calls(text)
                                 if each.name in here and not each.arguments])  # fmt: skip
        facts = self._reader(sheet).facts(formula, row, column)
        if facts.obstacle:
            raise CannotTell(facts.obstacle)
        ready = facts.for_engine(formula, row)
        try:
            if facts.several:
                height, width = (self.report.worked_out(sheet, f"{count}({ready})") for count in ("ROWS", "COLUMNS"))
                if isinstance(height, float) and isinstance(width, float) and height * width > 1:
                    return self._grid(sheet, ready, int(height), int(width))
            value = self.report.worked_out(sheet, ready)
        except FileError as fault:
            raise CannotTell(f"{text} cannot be read") from fault
        return UpstreamError("", value.code) if isinstance(value, CalcError) else value

    def _grid(self, sheet: str, formula: str, height: int, width: int) -> list[list[Value]]:
        if height * width > MOST_EXPRESSION_CELLS:
            raise CannotTell(f"{formula} gives {height} x {width} values")
        return [
            [self.report.worked_out(sheet, f"INDEX({formula},{down},{right})") for right in range(1, width + 1)]
            for down in range(1, height + 1)
        ]

    def _reader(self, sheet: str) -> Reader:
        if sheet not in self._readers:
            names, tables = self.package.defined_names(), Tables(self.package.tables())
            self._readers[sheet] = Reader(sheet, functions(), has_function, names, tables, self._others)
        return self._readers[sheet]

    def unused(self, made: Call, place: Place) -> str:
        """Why a call does not count in its cell, as the branch of an IF that is not taken; empty where it counts."""
        return self.not_reached(made.start, made.end, place)

    def not_reached(self, start: int, end: int, place: Place) -> str:
        """Why a piece of the formula of a cell does not count in it; empty where it counts."""
        for around in calls(self.written.formula(place)):
            if around.name in BRANCHES and around.start < start and end < around.end:
                part = sum(argument.end <= start for argument in around.arguments)
                first = around.arguments[0]
                if part and (words := self._not_taken(around.name, part, first, place)):
                    return words
        return ""

    def _not_taken(self, name: str, part: int, first: Argument, place: Place) -> str:
        try:
            value = self.cell(first.text, place)
        except CannotTell:
            return ""
        failed = isinstance(value, CalcError) and (name != "IFNA" or value.code == "#N/A")
        if name != "IF":
            return "" if failed else "the answer before it is no error"
        true = bool(value) if value is None or isinstance(value, float | bool) else None
        return "" if true is (part == 1) else f"{first.text}{self.traced(first.text, place)} is {shown(value)}"

    def traced(self, text: str, place: Place) -> str:
        """` [Lines!J8 (Flow, L/min)]` for an argument that is one cell; for an area, its first cell with a header."""
        look = self.written.alone(text, place)
        if look is None:
            return ""
        first = look.sheet, look.top, look.left
        if look.single:
            return f" [{self.described(first)}]"
        return f" [{look.sheet}{self.title_of_area(look)}]"

    def error(self, made: Call, place: Place) -> CalcError | None:
        """The error that a call answers. Raises CannotTell."""
        answer = evaluate(functions()[made.name], self.cells(made, place))
        return answer if isinstance(answer, CalcError) else None

    def why(self, place: Place) -> str:
        """Why a cell is an error, in one sentence: of our functions the innermost that failed by itself."""
        value = self.value(place)
        if not isinstance(value, CalcError):
            return ""
        passed_on = ""
        for made in self.ours(place):
            try:
                error = None if self.unused(made, place) else self.error(made, place)
            except CannotTell:
                continue
            if error is not None and error.code == value.code:
                if not isinstance(error, UpstreamError):
                    return str(error)
                passed_on = passed_on or str(error)
        astray = self.written.astray(self.written.formula(place), place, value.code)
        return passed_on or self._came_in(place, value.code) or astray or MEANS.get(value.code, "")

    def _came_in(self, place: Place, code: str) -> str:
        for look in self.written.looks(self.written.formula(place), place):
            for held in self.held(look):
                value = self.value(held)
                if held != place and isinstance(value, CalcError) and value.code == code:
                    return f"{self.described(held)} holds {code}: mend that cell first"
        return ""

    def held(self, look: Look) -> Iterator[Place]:
        """The cells of an area down to the last row in use; of a wide one the first columns."""
        bottom, right = min(look.bottom, self.written.last_row(look.sheet)), min(look.right, look.left + WIDEST)
        for row in range(look.top, max(look.top, bottom) + 1):
            yield from ((look.sheet, row, column) for column in range(look.left, right + 1))

    def unit(self, made: Call, place: Place) -> str:
        """The unit in which a call answers; empty for words and plain numbers. Raises CannotTell."""
        declaration, cells = functions()[made.name], self.cells(made, place)
        if made.name in FOR_ANOTHER:
            target = about(declaration, cells)
            declaration, cells = target or declaration, cells[1:]
        cells = [cell[0][0] if isinstance(cell, list) and not arg.reader.takes_range else cell
                 for arg, cell in zip(declaration.args, cells, strict=False)]  # fmt: skip
        reading = None if declaration.about else read(declaration, cells)
        if reading is None or not declaration.answer.unit_text:
            return ""
        return (reading[1] or declaration.answer.unit).printed


def about(declaration: Declaration, cells: Sequence[object]) -> Declaration | None:
    """The function that a call of a function such as ANSWER_LOW is about."""
    name = cells[0] if declaration.about and cells else None
    return functions().get(name.strip().upper()) if isinstance(name, str) else None


def bracketed(named: str, unit: str) -> str:
    """` (Flow, L/min)`; empty where a cell has no name."""
    return f" ({named}{', ' + unit if unit else ''})" if named else ""


def shown(value: object) -> str:
    """A value in a line of text."""
    if value is None or value == "":
        return "blank"
    if isinstance(value, CalcError):
        return value.code
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, list):
        return f"{len(value)} x {len(value[0])} cells"
    return digits(value) if isinstance(value, float) else str(value)
