"""The embedded spreadsheet engine: the only module that touches formualizer.

Every call runs on the calling thread: the engine's parallel mode is many times slower with Python functions
and calls them from several threads at once.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, NamedTuple

from xlcalc.core.errors import CalcError, FileRefused, UpstreamError
from xlcalc.workbook.formulas import address, plain_name, references
from xlcalc.workbook.values import Value

Function = Callable[[Sequence[object]], object]
"""A worksheet function: takes the cells as they stand, answers a value, rows, or a CalcError."""

SPELLED = {
    "Div": "#DIV/0!", "Na": "#N/A", "Name": "#NAME?", "Null": "#NULL!", "Num": "#NUM!", "Ref": "#REF!",
    "Value": "#VALUE!",
}  # fmt: skip
KINDS = {code: kind for kind, code in SPELLED.items()}


class Unspelled(NamedTuple):
    """An error of the engine that a file has no spelling for, e.g. `Circ` or `Spill`."""

    kind: str


class Engine:
    """One workbook in the engine. `functions` maps every spelling that the book uses to its function."""

    def __init__(self, data: bytes, functions: Mapping[str, Function], date1904: bool = False) -> None:
        import formualizer  # noqa: PLC0415  (loaded when a workbook is computed, not for help)

        settings = formualizer.EvaluationConfig()
        settings.enable_parallel = False
        settings.cycle_detection = "runtime"  # IF(TRUE,5,A2) in A2 needs no answer of its own
        settings.date_system = "1904" if date1904 else "1900"
        config = formualizer.WorkbookConfig(eval_config=settings)
        try:
            self._book = formualizer.Workbook.from_bytes(data, config=config)
        except Exception as fault:  # the engine has no error class of its own for a file it cannot read
            raise FileRefused(f"the workbook cannot be computed: {fault}") from fault
        self._area = formualizer.RangeAddress
        self._failed = formualizer.ExcelEvaluationError
        self._book.set_temporal_egress("serial")
        local = datetime.now().astimezone()
        self._book.set_deterministic_clock(local.replace(tzinfo=UTC))  # NOW() is the clock on the wall
        self._fault: BaseException | None = None
        self.several = False
        """True once one of our functions has answered more than one value."""
        for spelling, function in functions.items():
            self._book.register_function(spelling, self._callback(function))

    def _callback(self, function: Function) -> Callable[..., Any]:
        def answer(*cells: Any) -> Any:
            try:
                for cell in cells:
                    if type(cell) is dict or type(cell) is list:
                        cells = tuple(map(taken, cells))
                        break
                given = function(cells)
                return given if type(given) is float or type(given) is str else self._given(given)
            except BaseException as fault:
                self._fault = fault
                self._book.cancel()
                return {"type": "Error", "kind": "Value"}

        return answer

    def _given(self, answer: Any) -> Any:
        if isinstance(answer, list):
            self.several = True
        return handed(answer)

    def run(self) -> None:
        """Compute every cell. Raises what a function raised, KeyboardInterrupt included."""
        try:
            self._book.evaluate_all()
        except self._failed as fault:
            if self._fault is None:
                raise FileRefused(f"the workbook cannot be computed: {fault}") from fault
        if self._fault is not None:
            raise self._fault

    def value(self, sheet: str, row: int, column: int) -> Value | Unspelled:
        """The value of any cell; an empty cell is None."""
        return read(self._book.get_value(sheet, row, column))

    def values(self, sheet: str, places: Sequence[tuple[int, int]]) -> list[Value | Unspelled]:
        """The values of many cells of a sheet, by row and column."""
        top, bottom = min(places)[0], max(places)[0]
        columns = [column for _, column in places]
        left, right = min(columns), max(columns)
        if (bottom - top + 1) * (right - left + 1) > 8 * len(places) + 1000:
            return [self.value(sheet, row, column) for row, column in places]
        grid = self._book[sheet].get_values(self._area(sheet, top, left, bottom, right))
        return [read(grid[row - top][column - left]) for row, column in places]

    def size(self, sheet: str, row: int, column: int) -> tuple[int, int]:
        """Rows and columns of the answer that starts in a cell."""
        spill = self._book.inspect_cell(address(sheet, row, column), include_values=False).cell.spill
        if spill is None or spill.extent is None:
            return 1, 1
        area = references(str(spill.extent))[0]
        return area.bottom - area.top + 1, area.right - area.left + 1

    def formula(self, sheet: str, row: int, column: int) -> str:
        """A cell's formula without its `=`, as the engine understood it."""
        return str(self._book.get_formula(sheet, row, column) or "").removeprefix("=")

    def looks_at(self, sheet: str, row: int, column: int) -> list[tuple[str, int, int, int, int]]:
        """The areas that a cell's formula looks at, names followed: sheet, top, left, bottom, right."""
        found = []
        for each in self._book.precedents(address(sheet, row, column)).to_dict()["precedents"]:
            where = each["reference"]
            meant = where["resolution"] or {}
            text = where["address"] or where["resolved"] or meant.get("address") or meant.get("resolved")
            for area in references(text or ""):
                found.append((area.sheet or sheet, area.top, area.left, area.bottom, area.right))
        return found


def read(value: Any) -> Value | Unspelled:
    """A value of the engine as a cell holds it."""
    if isinstance(value, dict):
        code = SPELLED.get(value["kind"])
        return CalcError(code=code) if code else Unspelled(value["kind"])
    if type(value) is int:
        return float(value)
    return value  # type: ignore[no-any-return]  # float, str, bool or None


def taken(cell: Any) -> Any:
    """A cell as the engine hands it over, as our functions take it."""
    if type(cell) is dict:
        code = SPELLED.get(cell["kind"], "#VALUE!")
        return UpstreamError(cell.get("message") or f"an input cell holds {code}: mend that cell first", code)
    return [[taken(each) for each in row] for row in cell] if type(cell) is list else cell


def handed(answer: Any) -> Any:
    """An answer of our functions as the engine takes it."""
    if isinstance(answer, CalcError):
        return {"type": "Error", "kind": KINDS.get(answer.code, "Value"), "message": str(answer)}
    return [[handed(each) for each in row] for row in answer] if isinstance(answer, list) else answer


@lru_cache(4096)
def knows(name: str) -> bool:
    """True when the engine has a function of this spelling itself."""
    import formualizer  # noqa: PLC0415

    book = _probe()
    try:
        book.register_function(name, formualizer.Workbook, allow_override_builtin=False)
    except RuntimeError:
        return True
    book.unregister_function(name)
    return False


@lru_cache(1)
def _probe() -> Any:
    import formualizer  # noqa: PLC0415

    return formualizer.Workbook()


def spellings(written: Iterable[str], functions: Mapping[str, Function]) -> dict[str, Function]:
    """Spelling in the file -> function, for those that are ours."""
    return {each: functions[plain_name(each)] for each in written if plain_name(each) in functions}
