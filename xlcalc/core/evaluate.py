"""From cells to an answer: the only place where cells become SI and exceptions become cell errors."""

from collections.abc import Callable, Sequence
from typing import Any

from xlcalc.core.cells import any_given
from xlcalc.core.declaration import Arg, Declaration
from xlcalc.core.doubt import Span, span
from xlcalc.core.errors import CalcError, MissingInput, NoAnswer, UpstreamError, WrongKind
from xlcalc.core.kinds import REMEMBERED
from xlcalc.core.registry import find
from xlcalc.core.units import Unit

MOST_CELLS = 1_048_576
BLANK = ""

Reading = tuple[list[Any], "Unit | None"]


def call(name: str, *cells: object) -> Any:
    """Answer of a worksheet function for cells as a spreadsheet would hand them over.

    A cell is None or "" (blank), a number in the workshop unit, text, a list of rows for a range, or a
    CalcError for an error value. Returns a float in the workshop unit of the answer or in the unit asked for, an
    int or str, or a list of rows for ranges, in which a CalcError stands where a cell has no answer; a blank ("")
    where every input is blank.

    Raises CalcError with `.code` such as "#NUM!" and a sentence that says what to do.

    >>> round(call("LINE_VELOCITY", 8, "7.9 mm"), 2)  # 8 L/min, in m/s
    2.72
    >>> [[round(velocity, 2) for velocity in row] for row in call("LINE_VELOCITY", [[8], [16]], [[7.9, 9.5]])]
    [[2.72, 1.88], [5.44, 3.76]]
    >>> call("LINE_VELOCITY", 8, "7.9 gal")
    Traceback (most recent call last):
    xlcalc.core.errors.WrongKind: Bore: "gal" alone has two sizes: write US gal or imp gal
    """
    declaration = find(name) if isinstance(name, str) else f"{name!r} is not a function name"
    if isinstance(declaration, str):
        raise CalcError(declaration, "#NAME?")
    answer = evaluate(declaration, [rows_of(cell) if isinstance(cell, tuple) else cell for cell in cells])
    if isinstance(answer, CalcError):
        raise answer
    return answer


def rows_of(cell: Any) -> Any:
    """A range given as tuples of any depth, as lists of cells; a single cell as it is."""
    return [rows_of(each) for each in cell] if isinstance(cell, tuple) else cell


def evaluate(declaration: Declaration, cells: Sequence[Any]) -> Any:
    """Answer for one call: float, int, str, list of rows, or a CalcError, in the shapes and units of `call`.

    Never raises an error of ours.

    >>> evaluate(find("LINE_VELOCITY"), ["8 gpm", 7.9]).code
    '#VALUE!'
    """
    if declaration.about:
        return _guarded(_about, declaration, cells)
    for cell in cells:
        if type(cell) is list and _over_places(declaration, cells):
            return _guarded(_over_ranges, declaration, cells)
    try:
        return answer_of(declaration, cells)
    except CalcError as error:
        return error


def _guarded(work: Callable[..., Any], declaration: Declaration, cells: Sequence[Any]) -> Any:
    try:
        return work(declaration, cells)
    except CalcError as error:
        return error
    except (OverflowError, ZeroDivisionError):
        return _too_far()


def _too_far() -> NoAnswer:
    return NoAnswer("the numbers leave what can be worked out: check the size of each input")


def answer_of(declaration: Declaration, cells: Sequence[Any]) -> Any:
    """Answer for single cells, in the workshop unit or the one asked for; an all-blank call answers a blank.

    Raises CalcError where there is none: what `read` refuses, what the function refuses, NoAnswer for numbers that
    overflow.
    """
    try:
        reading = read(declaration, cells)
        if reading is None:
            return BLANK
        values, asked = reading
        return finish(declaration, declaration.function(*values), asked)
    except (OverflowError, ZeroDivisionError):
        raise _too_far() from None


def finish(declaration: Declaration, value: Any, asked: Unit | None) -> Any:
    """An answer in SI as the cell gets it, in the unit asked for or the workshop unit; words and counts as they are.

    Raises NoAnswer where a number is not finite.
    """
    if not isinstance(value, float):
        return value
    if value - value != 0:
        raise _too_far()
    if asked is not None:
        return asked.from_si(value)
    return (value - declaration.offset) / declaration.factor


def read(declaration: Declaration, cells: Sequence[Any]) -> Reading | None:
    """Values in SI and the unit asked for, from one cell for each argument; None where every input is blank.

    Raises CalcError: MissingInput for a required cell that is blank, WrongKind for too many cells, UpstreamError with
    the code of an error that stood in a cell, and what the kind of an argument raises, its label in front.
    """
    slots, count = declaration.slots, len(cells)
    if count > len(slots):
        raise WrongKind(f"{declaration.name} takes at most {len(slots)} arguments, {count} are given")
    values: list[Any] = []
    missing: Arg | None = None
    given = False
    for (arg, reader, default, remembered, counts), cell in zip(slots, cells, strict=False):
        kind = type(cell)
        if kind is str and cell in remembered:
            values.append(remembered[cell])
        elif kind is not float and not any_given(cell):
            values.append(default)
            if missing is None and arg.required:
                missing = arg
            continue
        else:
            try:
                value = reader(cell)
            except CalcError as error:
                raise _named(arg, cell, error) from None
            if kind is str:
                remember(remembered, cell, value)
            values.append(value)
        given = given or counts
    left_out, lacking = declaration.left_out[count]
    if not given and slots:
        return None
    if (missing := missing or lacking) is not None:
        raise MissingInput(missing.lacking)
    values += left_out
    return values, values.pop() if declaration.has_unit else None


def remember(remembered: dict[Any, Any], text: str, value: Any) -> None:
    """Keep what a text was read as (in SI), so that it is parsed once."""
    if len(remembered) >= REMEMBERED:
        remembered.clear()
    remembered[text] = value


def _named(arg: Arg, cell: object, error: CalcError) -> CalcError:
    """The error with the argument's label in front; an error that stood in the cell keeps its code."""
    if isinstance(cell, CalcError):
        return UpstreamError(str(cell) or f"{arg.label} holds {cell.code}: mend that cell first", cell.code)
    return type(error)(f"{arg.label}: {error}", error.code)


def _over_places(declaration: Declaration, cells: Sequence[Any]) -> bool:
    """True where a range stands in an argument that takes one cell."""
    return any(type(cell) is list and not _takes_range(declaration, place) for place, cell in enumerate(cells))


def _takes_range(declaration: Declaration, place: int) -> bool:
    return place < len(declaration.args) and declaration.args[place].reader.takes_range


def _over_ranges(declaration: Declaration, cells: Sequence[Any]) -> list[list[Any]]:
    return over_ranges(cells, lambda one: _guarded(answer_of, declaration, one),
                       {place for place in range(len(cells)) if _takes_range(declaration, place)})  # fmt: skip


def over_ranges(cells: Sequence[Any], one: Callable[[Sequence[Any]], Any], whole: set[int]) -> list[list[Any]]:
    """Apply `one` cell by cell as a spreadsheet's own arithmetic would.

    A single cell goes with every place, a row with every row, a column with every column; where two ranges
    do not fit, the places beyond are #N/A. `whole` are the arguments that take their range as it is.
    `one` gets a list of single cells and answers a value or a CalcError; the result is a list of rows.

    Raises WrongKind for rows of unequal length, a range in a range, or more cells than a sheet has rows.

    >>> over_ranges([[[1], [2]], [[10, 20]]], sum, set())
    [[11, 21], [12, 22]]
    """
    grids = {place: _grid(cell) for place, cell in enumerate(cells) if place not in whole and isinstance(cell, list)}
    height = max(len(grid) for grid in grids.values())
    width = max(len(grid[0]) for grid in grids.values())
    if height * width > MOST_CELLS:
        raise WrongKind(f"a range of {height} rows and {width} columns is too large")
    rows = []
    for row in range(height):
        answers = []
        for column in range(width):
            picked = [_pick(grids[place], row, column) if place in grids else cell for place, cell in enumerate(cells)]
            outside = any(each is _OUTSIDE for each in picked)
            answers.append(CalcError("the ranges differ in size", "#N/A") if outside else one(picked))
        rows.append(answers)
    return rows


_OUTSIDE = object()


def _grid(cell: Sequence[Any]) -> list[list[Any]]:
    rows = [row if isinstance(row, list) else None for row in cell]
    if all(row is None for row in rows):
        rows = [list(cell)]
    grid = [row for row in rows if row]
    if len(grid) != len(rows) or not grid or len({len(row) for row in grid}) != 1:
        raise WrongKind("a range must be rows of equal length")
    if any(isinstance(each, list) for row in grid for each in row):
        raise WrongKind("a range cannot hold another range")
    return grid


def _pick(grid: list[list[Any]], row: int, column: int) -> Any:
    row = 0 if len(grid) == 1 else row
    if row >= len(grid):
        return _OUTSIDE
    column = 0 if len(grid[row]) == 1 else column
    return grid[row][column] if column < len(grid[row]) else _OUTSIDE


def _about(declaration: Declaration, cells: Sequence[Any]) -> Any:
    """A function about another function's answer: name first, then that function's cells as they stand."""
    if not declaration.args:
        return declaration.function()
    name = cells[0] if cells else None
    if isinstance(name, CalcError):
        raise UpstreamError(str(name) or f"the name holds {name.code}: mend that cell first", name.code)
    if not isinstance(name, str) or not name.strip():
        raise MissingInput("the first argument is the name of a function, in quotes")
    target = find(name)
    if isinstance(target, str):
        raise WrongKind(target)
    if target.about:
        raise WrongKind(f"{target.name} is not about a quantity: name a function that computes")
    given = list(cells[1:])
    whole = {place for place in range(len(given)) if _takes_range(target, place)}
    if any(isinstance(cell, list) and place not in whole for place, cell in enumerate(given)):
        return over_ranges(given, lambda one: _one_cell(declaration, target, one), whole)
    return declaration.function(target, given)


def _one_cell(declaration: Declaration, target: Declaration, cells: Sequence[Any]) -> Any:
    answer = _guarded(declaration.function, target, cells)
    if isinstance(answer, list):
        raise WrongKind(f"{declaration.name} fills a column for one call: give single cells, not a range")
    return answer


def span_of(declaration: Declaration, cells: Sequence[Any]) -> tuple[Span, Unit] | None:
    """Ends of the answer in SI, and the unit asked for, for single cells; None for an all-blank call.

    Raises CalcError where there is no answer, WrongKind where the answer is words.

    >>> ends, unit = span_of(find("LINE_PRESSURE_DROP"), [8, 7.9, 3, "ATF generic", 80])
    >>> unit.text, ends.low < ends.high, ends.decides
    ('kPa', True, 'viscosity of the fluid')
    """
    reading = read(declaration, cells)
    if reading is None:
        return None
    values, asked = reading
    answer = declaration.function(*values)
    if isinstance(answer, str):
        raise WrongKind(f"{declaration.name} answers words: they have no low and high")
    return span(declaration.function, values, declaration.method), asked or declaration.answer.unit
