"""A workbook with every function, in every argument every kind of cell, made from the declarations."""

import io
import math
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.formula import ArrayFormula

from xlcalc.core.declaration import Declaration
from xlcalc.core.registry import functions
from xlcalc.hosts.calc.answering import UNCLEAR, zero

OMITTED = object()
ERRORS = {"#N/A": "=NA()", "#DIV/0!": "=1/0", "#VALUE!": '="a"*1', "#NUM!": "=1E300*1E300"}
BAD = 4  # of the refused cells of a kind: all of them are tried without an office
HIGH = 3  # rows of an array formula
SHEET, LISTS, ARRAYS = "Cases", "Lists", "Arrays"


class Held(NamedTuple):
    """A cell that holds an error."""

    code: str


class Case(NamedTuple):
    """One call: `place` is the argument that is varied, `what` says how."""

    name: str
    cells: tuple[Any, ...]
    place: int
    what: str
    array: bool = False

    @property
    def cell(self) -> Any:
        """The cell that is varied."""
        return self.cells[self.place] if self.place < len(self.cells) else None


def cases() -> list[Case]:
    """Every case of every function."""
    return [case for made in functions().values() for case in _of(made)]


def _of(made: Declaration) -> Iterator[Case]:
    if made.about:
        yield from _about(made)
        return
    base = [_plain(made, place, cell) for place, cell in enumerate(made.example.cells)]
    base += [OMITTED] * (len(made.args) - len(base))
    yield Case(made.name, tuple(base), 0, "example")
    yield Case(made.name, (None,) * len(base), 0, "blank row")
    for place in range(len(base)):
        for what, cell in _varied(made, place):
            yield Case(made.name, (*base[:place], cell, *base[place + 1 :]), place, what)
        if not made.args[place].reader.takes_range:
            column = [[None if base[place] is OMITTED else base[place]], [made.args[place].reader.good()[0]], [None]]
            yield Case(made.name, (*base[:place], column, *base[place + 1 :]), place, "array", array=True)


def _plain(made: Declaration, place: int, cell: Any) -> Any:
    """A cell of the example, written so that every door reads it alike."""
    if cell == 0 and not made.args[place].required and zero(made, place) == UNCLEAR:
        return f"0 {made.args[place].unit}"
    return OMITTED if cell is None else cell


def _varied(made: Declaration, place: int) -> Iterator[tuple[str, Any]]:
    reader = made.args[place].reader
    yield from (("good", cell) for cell in reader.good() if holdable(cell))
    yield from (("bad", cell) for cell in [cell for cell, _ in reader.bad() if holdable(cell)][:BAD])
    yield "error", Held(list(ERRORS)[place % len(ERRORS)])
    yield from (("blank", None), ("omitted", OMITTED), ("zero", 0.0), ("true", True), ("text", "5"))
    if reader.takes_range:
        first = next(cell for cell in reader.good() if isinstance(cell, list))
        yield "error in list", [first[0], [Held("#N/A")]]
        yield "blank in list", [first[0], [None], first[0]]
        yield "single", first[0][0]
    else:
        yield from (("range of one", [[cell]]) for cell in (reader.good()[0], None))
        yield "range", [[reader.good()[0]], [None]]


def _about(made: Declaration) -> Iterator[Case]:
    base = made.example.cells
    if not base:
        yield Case(made.name, (), 0, "example")
        return
    yield Case(made.name, base, 0, "example")
    for cell in ("NO_SUCH", None, OMITTED, 5.0, "8 L/min", Held("#DIV/0!"), True, [[base[0]]], [["NO_SUCH"]]):
        yield Case(made.name, (cell, *base[1:]), 0, "name")
    yield Case(made.name, (base[0], None, None), 1, "blank row")
    for place in range(1, len(base)):
        for cell in (None, 0.0, "8 L/min", "5 kg", Held("#N/A"), -5.0, True, OMITTED, [[8.0]], [[None]]):
            what = {type(None): "blank", Held: "error", object: "omitted", bool: "true"}.get(type(cell), "good")
            yield Case(made.name, (*base[:place], cell, *base[place + 1 :]), place, what)
        column = [[base[place]], [None], [8.0]]
        yield Case(made.name, (*base[:place], column, *base[place + 1 :]), place, "array", array=True)


def holdable(cell: Any) -> bool:
    """Whether a cell of a workbook can hold it."""
    if isinstance(cell, list):
        return all(holdable(each) for row in cell for each in row)
    if isinstance(cell, str):
        return len(cell) < 1000 and cell.isprintable() and not cell.startswith("=")
    return cell is None or (isinstance(cell, int | float) and math.isfinite(cell) and abs(cell) < 1e300)


def workbook(listed: Sequence[Case], prefix: str) -> bytes:
    """The workbook: case number n stands in row n of the first sheet, or in the n-th block of the array sheet."""
    book = Workbook()
    sheet, lists, arrays = book.active, book.create_sheet(LISTS), book.create_sheet(ARRAYS)
    sheet.title = SHEET
    free = 1
    for number, case in enumerate(listed, start=1):
        target, row = (arrays, HIGH * number) if case.array else (sheet, number)
        words: list[str] = []
        for place, cell in enumerate(case.cells):
            letter = get_column_letter(place + 2)
            if cell is OMITTED:
                words.append("")
            elif isinstance(cell, list) and not case.array:
                words.append(f"{LISTS}!{_put(lists, free, 1, cell)}")
                free += len(cell)
            elif isinstance(cell, list):
                words.append(_put(target, row, place + 2, cell))
            else:
                _put(target, row, place + 2, [[cell]])
                words.append(f"{letter}{row}")
        while words and not words[-1]:
            words.pop()
        formula = f"={prefix}{case.name}({','.join(words)})"
        area = f"A{row}:A{row + HIGH - 1}"
        target[f"A{row}"] = ArrayFormula(area, formula) if case.array else formula
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def _put(sheet: Any, row: int, column: int, cells: Sequence[Sequence[Any]]) -> str:
    for down, line in enumerate(cells):
        for across, cell in enumerate(line):
            held = ERRORS[cell.code] if isinstance(cell, Held) else cell
            if held is not None:
                target = sheet.cell(row + down, column + across)
                target.value = held
                if isinstance(held, str) and not isinstance(cell, Held):
                    target.data_type = "s"
    last = f"{get_column_letter(column + len(cells[0]) - 1)}{row + len(cells) - 1}"
    return f"{get_column_letter(column)}{row}:{last}"
