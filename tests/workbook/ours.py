"""Functions for workbook tests, and a short way to work a book out with them."""

from collections.abc import Callable, Sequence

from xlcalc.core.errors import CalcError, NoAnswer
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value

from .books import book

Cells = Sequence[object]


def shown(cells: Cells) -> str:
    """What a function was given; errors by their code."""

    def one(cell: object) -> str:
        if isinstance(cell, list):
            return "[" + " ".join(one(item) for line in cell for item in line) + "]"
        return cell.code if isinstance(cell, CalcError) else repr(cell)

    return " ".join(map(one, cells))


def double(cells: Cells) -> object:
    (cell,) = cells
    return cell if isinstance(cell, CalcError) else float(cell) * 2  # type: ignore[arg-type]


def refuse(_: Cells) -> object:
    return NoAnswer("no solution: use a larger bore")


def column(_: Cells) -> object:
    return [[1.0], ["two"], [CalcError("", "#NUM!")]]


def line(_: Cells) -> object:
    return [[1.0, 2.0]]


OURS: dict[str, Callable[[Cells], object]] = {
    "SHOWN": shown,
    "DOUBLE": double,
    "REFUSE": refuse,
    "COLUMN_OF": column,
    "LINE_OF": line,
}


def worked(rows: str | dict[str, str], **options: str) -> Report:
    return compute(Package.from_bytes(book(rows, **options), "book.xlsx"), OURS)


def plain(value: Value) -> object:
    return value.code if isinstance(value, CalcError) else value


def values(report: Report, sheet: str = "S") -> dict[str, object]:
    return {ref: plain(value) for ref, value in report.values[sheet].items()}
