"""A built-in of the engine worked out for one cell of its areas after the other, as spreadsheets do it in arrays.

The engine answers such a call for the first cell only, or with #VALUE!. In its copy of a book stands
`_XLCALC_EACH("ROUND",A1:A9,1)` (`one_value`), which comes here: every set of single values is put into a row of a
second book, with the built-in beside it, and worked out there.
"""

from collections.abc import Callable, Mapping, Sequence

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import over_ranges
from xlcalc.workbook.calculation.takes import SINGLES, TAKES
from xlcalc.workbook.formulas import column_letters

Row = Sequence[object]
Grid = Sequence[Row]
Bench = Callable[[str, Grid, Mapping[int, Grid], Sequence[str]], list[object]]
"""Works formulas out in a book of its own: takes a key for their kind, the rows of values from the second column on,
areas by the column in which they start, and the formulas for the first column; gives what they answer.
"""


def one_by_one(cells: Sequence[object], bench: Bench) -> object:
    """The answers of a built-in: its name comes first, then its arguments; rows where one of them is an area.

    An error value in a cell is what the built-in makes of it. Never raises an error of ours.
    """
    name, *arguments = cells
    takes = TAKES.get(str(name), SINGLES)
    whole = {place for place in takes.whole(len(arguments)) if isinstance(arguments[place], list)}
    sets: dict[tuple[tuple[type, object], ...], int] = {}

    def number(picked: Sequence[object]) -> object:
        key = tuple((type(cell), cell) for place, cell in enumerate(picked) if place not in whole)
        return sets.setdefault(key, len(sets))

    try:
        several = any(isinstance(each, list) for place, each in enumerate(arguments) if place not in whole)
        numbers = over_ranges(arguments, number, whole) if several else [[number(arguments)]]
    except CalcError as fault:
        return fault
    rows = [[cell for _, cell in key] for key in sets]
    areas = {place: area for place in sorted(whole) if isinstance(area := arguments[place], list)}
    answers = worked_out(str(name), len(arguments), rows, areas, bench)
    found = [[answers[each] if isinstance(each, int) else each for each in row] for row in numbers]
    return found if several else found[0][0]


def worked_out(
    name: str, count: int, rows: Sequence[Sequence[object]], areas: Mapping[int, Grid], bench: Bench
) -> list[object]:
    """What the built-in answers for each row of single values; `areas` by the place of the argument."""
    places: dict[int, str] = {}  # of the arguments that are areas
    column = 2 + count - len(areas)
    blocks: dict[int, Grid] = {}
    for place, area in areas.items():
        last = column_letters(column + len(area[0]) - 1)
        places[place] = f"${column_letters(column)}$1:${last}${len(area)}"
        blocks[column] = area
        column += len(area[0])
    singles = iter(range(2, count + 2))
    letters = [places.get(place) or column_letters(next(singles)) + "{}" for place in range(count)]
    formulas = [f"={name}({','.join(each.format(row) for each in letters)})" for row in range(1, len(rows) + 1)]
    return bench(f"{name}({','.join(letters)})", rows, blocks, formulas)
