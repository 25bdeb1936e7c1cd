"""How one cell of a workbook was worked out, in words."""

import difflib
import re
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CalcError, FileError, UpstreamError
from xlcalc.core.evaluate import answer_of, call, read
from xlcalc.core.kinds import digits
from xlcalc.core.registry import functions
from xlcalc.workbook.formulas import (
    Argument,
    Call,
    Reference,
    address,
    calls,
    corners,
    references,
    unquoted,
)
from xlcalc.workbook.headers import Headers
from xlcalc.workbook.package import MAIN, Package
from xlcalc.workbook.recalc import Report, compute
from xlcalc.workbook.values import Value

REASONS = "Reasons"  # the band of folded columns that hold the reasons of a Check
WARNINGS = ("The answer rests on memory", "That viscosity is an estimate", "The thickest its grade allows")
MOST_USERS = 8
MOST_CELLS = 10_000


def explain(path: str | Path, where: str) -> list[str]:
    """Lines that say how a cell such as `Lines!Z7` got its value.

    Raises FileError for a file, sheet or cell that is not there.
    """
    package = Package.open(path)
    sheet, row, column = place_of(package, where)
    return Explanation(package, compute(package), sheet).lines(row, column)


def place_of(package: Package, where: str) -> tuple[str, int, int]:
    """Sheet, row and column of `Lines!Z7`, `'My sheet'!b2` or, in a book of one sheet, `B2`."""
    before, _, ref = where.strip().rpartition("!")
    names = [sheet.name for sheet in package.worksheets()]
    wanted = unquoted(before) if before else names[0]
    sheet = next((name for name in names if name.casefold() == wanted.casefold()), None)
    if sheet is None:
        near = difflib.get_close_matches(wanted, names, n=1, cutoff=0.5)
        hint = f": did you mean {near[0]}?" if near else f". Its sheets are {', '.join(names)}."
        raise FileError(f"{package.path.name} has no sheet {wanted!r}{hint}")
    try:
        top, left, bottom, right = corners(ref)
    except ValueError:
        raise FileError(f"{ref!r} is not a cell: write it like {address(sheet, 8, 2)}") from None
    if (top, left) != (bottom, right):
        raise FileError(f"{ref} is an area: name one cell, e.g. {address(sheet, top, left)}")
    return sheet, top, left


class Explanation:
    """Explains cells of one sheet of a book that is worked out."""

    def __init__(self, package: Package, report: Report, sheet: str) -> None:
        self._package, self._report, self._sheet = package, report, sheet
        self._headers: dict[str, Headers] = {}
        self._names = {name.name.casefold(): name.text for name in package.defined_names()}

    def lines(self, row: int, column: int) -> list[str]:
        """The explanation of a cell."""
        value = self._report.value(self._sheet, row, column)
        formula = self._report.formula(self._sheet, row, column)
        found = [f"{address(self._sheet, row, column)}{self._title(self._sheet, row, column)}: {shown(value)}"]
        if not formula:
            return found + self._typed(row, column, value)
        found.append(f"Formula: ={formula}")
        found += self._kept(row, column)
        ours = [each for each in calls(formula) if each.name in functions()]
        for each in sorted(ours, key=lambda made: made.end):  # inner calls close first
            found += self._call(each)
        if not ours:
            found += self._sources(formula)
        if self._is_check(row, column):
            found += self._reasons(row)
        return found

    def _kept(self, row: int, column: int) -> list[str]:
        where = address(self._sheet, row, column)
        stopped = [each for each in [*self._report.frozen, *self._report.kept] if each.cell == where]
        return [f"It keeps the value it had: {each.reason}" for each in stopped]

    def _title(self, sheet: str, row: int, column: int) -> str:
        heads = self._heads(sheet)
        head, unit = heads.head(row, column), heads.unit(row, column)
        if not head:
            left = self._report.value(sheet, row, 1)
            return f" ({left})" if isinstance(left, str) and left and column > 1 else ""
        return f" ({head}{', ' + unit if unit else ''})"

    def _heads(self, sheet: str) -> Headers:
        if sheet not in self._headers:
            self._headers[sheet] = Headers(self._report, sheet)
        return self._headers[sheet]

    def _call(self, made: Call) -> list[str]:
        declaration = functions()[made.name]
        cells = [self._cell(argument) for argument in made.arguments]
        if declaration.about:
            return self._about(made, cells)
        found = [f"{made.name}: {declaration.summary}"]
        for arg, argument, cell in zip(declaration.args, made.arguments, cells, strict=False):
            found.append(f"  {arg.name} = {argument.text or 'left out'}{self._traced(argument)}: {shown(cell)}")
        found += [f"    {line}" for line in told(declaration, cells)]
        return found

    def why(self, made: Call) -> str:
        """Why a call has no answer, in one sentence; empty where it has one."""
        try:
            answer_of(functions()[made.name], [self._cell(argument) for argument in made.arguments])
        except CalcError as error:
            return str(error)
        return ""

    def notes(self, made: Call) -> list[str]:
        """What a person must know beside a bare answer: that it rests on memory, or is an estimate."""
        if functions()[made.name].about:
            return []
        steps = told(functions()[made.name], [self._cell(argument) for argument in made.arguments])
        return [step for step in steps if step.startswith(WARNINGS)]

    def unit(self, made: Call) -> str:
        """The unit in which a call answers; empty for words and plain numbers."""
        declaration = functions()[made.name]
        reading = None if declaration.about else read(declaration, [self._cell(each) for each in made.arguments])
        if reading is None or not declaration.answer.unit_text:
            return ""
        return (reading[1] or declaration.answer.unit).printed

    def _about(self, made: Call, cells: Sequence[object]) -> list[str]:
        try:
            answer = call(made.name, *cells)
        except CalcError as error:
            return [f"{made.name}: {error.code}, {error}"]
        rows = answer if isinstance(answer, list) else [[answer]]
        return [f"{made.name} about {cells[0] if cells else ''}:", *(f"    {shown(row[0])}" for row in rows)]

    def _cell(self, argument: Argument) -> object:
        """What an argument hands over: rows for an area, one cell for anything else."""
        if not argument.text:
            return None
        areas = references(self._meaning(argument.text))
        if len(areas) == 1 and areas[0].text == self._meaning(argument.text):
            area = areas[0]
            sheet = area.sheet or self._sheet
            if (area.top, area.left) == (area.bottom, area.right):
                return handed(self._report.value(sheet, area.top, area.left))
            height = min(area.bottom - area.top + 1, MOST_CELLS)
            return [
                [
                    handed(self._report.value(sheet, area.top + down, column))
                    for column in range(area.left, area.right + 1)
                ]
                for down in range(height)
            ]
        return handed(self._report.worked_out(self._sheet, argument.text))

    def _meaning(self, text: str) -> str:
        """A defined name as the cell or area that it stands for."""
        return self._names.get(text.casefold(), text)

    def _traced(self, argument: Argument) -> str:
        """Where an argument comes from, for a single cell: its address and header."""
        areas = references(self._meaning(argument.text))
        if len(areas) != 1 or areas[0].text != self._meaning(argument.text):
            return ""
        area = areas[0]
        sheet = area.sheet or self._sheet
        where = address(sheet, area.top, area.left)
        title = self._title(sheet, area.top, area.left)
        return f" [{where}{title}]" if argument.text != where or title else ""

    def _sources(self, formula: str) -> list[str]:
        """The cells that a plain formula looks at, and what a sum covers."""
        found = []
        for area in references(formula):
            sheet = area.sheet or self._sheet
            if (area.top, area.left) == (area.bottom, area.right):
                value = self._report.value(sheet, area.top, area.left)
                title = self._title(sheet, area.top, area.left)
                found.append(f"  {address(sheet, area.top, area.left)}{title}: {shown(value)}")
            else:
                found.append(
                    f"  {area.text}{self._title(sheet, area.top + 1, area.left)}: {self._covered(sheet, area)}"
                )
        for name in dict.fromkeys(re.findall(r"[A-Za-z][A-Za-z0-9]{3,}", formula)):
            meaning = self._names.get(name.casefold())
            if meaning and (areas := references(meaning)) and areas[0].top == areas[0].bottom:
                value = self._report.value(areas[0].sheet or self._sheet, areas[0].top, areas[0].left)
                found.append(f"  {name} [{meaning.replace('$', '')}]: {shown(value)}")
        return list(dict.fromkeys(found))

    def _covered(self, sheet: str, area: Reference) -> str:
        """How many numbers, texts and blanks an area holds."""
        top, bottom = area.top, min(area.bottom, area.top + MOST_CELLS)
        left, right = area.left, min(area.right, area.left + 200)
        values = [
            self._report.value(sheet, row, column)
            for row in range(top, bottom + 1)
            for column in range(left, right + 1)
        ]
        numbers = [value for value in values if isinstance(value, float)]
        texts = sum(1 for value in values if isinstance(value, str) and value)
        errors = sum(1 for value in values if isinstance(value, CalcError))
        parts = [
            f"{len(numbers)} numbers, together {digits(float(f'{sum(numbers):.6g}'))}" if numbers else "no numbers"
        ]
        parts += [f"{texts} texts, which no sum counts"] if texts else []
        parts += [f"{errors} errors"] if errors else []
        return ", ".join(parts)

    def _is_check(self, row: int, column: int) -> bool:
        return self._heads(self._sheet).head(row, column).casefold() == "check"

    def _reasons(self, row: int) -> list[str]:
        """Each reason of a row with its numbers."""
        heads = self._heads(self._sheet)
        found = []
        for column in range(1, 150):
            value = self._report.value(self._sheet, row, column)
            if heads.band(column) == REASONS and isinstance(value, str) and VERDICT.match(value):
                found.append(f"  {address(self._sheet, row, column)} ({heads.head(row, column)}): {value}")
        return ["Reasons:", *dict.fromkeys(found)] if found else ["No reason to change anything was found in this row."]

    def _typed(self, row: int, column: int, value: Value) -> list[str]:
        """What is known of a cell without formula: what it takes, and who looks at it."""
        found = ["The cell is empty." if value is None else "It was typed in, not worked out."]
        if message := self._message(row, column):
            found.append(f"What goes in: {message}")
        users = []
        for sheet, user_row, user_column in self._report.formulas():
            if sheet != self._sheet:
                continue
            text = self._report.formula(sheet, user_row, user_column) if user_row == row else ""
            if any(covers(area, row, column) for area in references(text) if area.sheet in (None, self._sheet)):
                users.append(f"{address(sheet, user_row, user_column)}{self._title(sheet, user_row, user_column)}")
        if users:
            more = f" and {len(users) - MOST_USERS} more" if len(users) > MOST_USERS else ""
            found.append(f"Cells of its row that look at it: {', '.join(users[:MOST_USERS])}{more}")
        return found

    def _message(self, row: int, column: int) -> str:
        """The message that a spreadsheet shows beside the cell."""
        part = next(sheet.part for sheet in self._package.worksheets() if sheet.name == self._sheet)
        root: ElementTree.Element = self._package.tree(part)
        for rule in root.iter(f"{MAIN}dataValidation"):
            for area in (rule.get("sqref") or "").split():
                top, left, bottom, right = corners(area)
                if top <= row <= bottom and left <= column <= right:
                    return rule.get("prompt") or rule.get("error") or ""
        return ""


VERDICT = re.compile(r"(Change|Cannot|Near limit|Not checked)")


def covers(area: Reference, row: int, column: int) -> bool:
    """True when a reference covers a cell."""
    return area.top <= row <= area.bottom and area.left <= column <= area.right


def told(declaration: Declaration, cells: Sequence[object]) -> list[str]:
    """ANSWER_STEPS, or ANSWER_WHY where there is no answer."""
    try:
        if answer_of(declaration, cells) == "":
            return ["every input is blank, so the answer is blank"]
        return [str(row[0]) for row in call("ANSWER_STEPS", declaration.name, *cells)]
    except CalcError as error:
        return [f"{error.code}: {error}" if str(error) else error.code]


def handed(value: Value) -> object:
    """A cell's value as a function takes it."""
    if isinstance(value, CalcError):
        return UpstreamError(str(value) or f"an input cell holds {value.code}: mend that cell first", value.code)
    return value


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
    if isinstance(value, float):
        return digits(float(f"{value:.8g}"))
    return str(value)
