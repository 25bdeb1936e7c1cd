"""How one cell of a workbook got its value, in lines that say what each of them is."""

import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import answer_of, call
from xlcalc.core.registry import functions
from xlcalc.core.verdicts import NOT_CHECKED, URGENT
from xlcalc.core.words import plural
from xlcalc.workbook.calculation.recalc import Progress, compute
from xlcalc.workbook.calculation.written import Look, Place, Written
from xlcalc.workbook.explained.headers import CHECK, WIDEST
from xlcalc.workbook.explained.inputs import input_lines
from xlcalc.workbook.explained.place import place_of
from xlcalc.workbook.explained.remark import Remark
from xlcalc.workbook.explained.workings import CannotTell, Workings, about, shown
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import Call, address, column_letters, references

REASONS = "Reasons"  # the band of the columns behind a verdict
VERDICT = re.compile("|".join(URGENT))
LITERAL = re.compile(r'"(?:[^"]|"")*"|[-+]?[0-9.]+(?:[Ee][+-]?[0-9]+)?%?')
MOST_SOURCES = 12


class Explained(NamedTuple):
    """A cell such as `Lines!Z7`, its lines, and the cell worth asking about next; empty where there is none."""

    cell: str
    lines: list[Remark]
    next_cell: str


def explain(path: str | Path, where: str, progress: Progress | None = None) -> Explained:
    """How a cell got its value; `where` is written like `Lines!Z7` or is the name of a cell.

    Raises FileError for the file and NoSuchPlace for the cell, that one before the book is worked out.
    """
    package = Package.open(path)
    place = place_of(Written(package), where)
    return explained(Workings(package, compute(package, progress=progress)), place)


def explained(book: Workings, place: Place) -> Explained:
    """The lines about a cell of a book that is worked out already."""
    lines = list(explanation(book, place))
    return Explained(address(*place), lines, next_cell(book, place, lines))


def explanation(book: Workings, place: Place) -> Iterator[Remark]:
    """The lines about a cell."""
    name, formula = book.written.name_of(place), book.written.formula(place)
    named = f", named {name}" if name else ""
    yield Remark("cell", f"{book.described(place)}{named}: {book.said(place)}", 0, place)
    if not formula:
        yield from input_lines(book, place)
        return
    yield Remark("formula", f"Formula: ={formula}")
    stopped = [each for each in [*book.report.frozen, *book.report.kept] if each.place == place]
    yield from (Remark("kept", f"It keeps the value it had: {each.reason}") for each in stopped)
    yield from calls_and_sources(book, formula, place)
    if is_check(book, place):
        yield from reason_lines(book, place)


def calls_and_sources(book: Workings, formula: str, place: Place) -> Iterator[Remark]:
    """Each call of ours that counts; where none does, the cells that the formula looks at."""
    counting: dict[str, Call] = {}
    idle: dict[str, tuple[Call, str]] = {}
    for made in book.ours(place):
        text = formula[made.start : made.end]
        if why := book.unused(made, place):
            idle.setdefault(text, (made, why))
        else:
            counting.setdefault(text, made)
    for made in counting.values():
        yield from call_lines(book, made, place)
    for text, (made, why) in idle.items():
        if text not in counting:
            yield Remark("unused", f"{made.name} does not count here: {why}")
            formula = formula.replace(text, '""')
    if not counting:
        yield from source_lines(book, formula, place, 1)
        if isinstance(book.value(place), CalcError) and (why := book.why(place)):
            yield Remark("why", f"{shown(book.value(place))}: {why}")


def call_lines(book: Workings, made: Call, place: Place) -> Iterator[Remark]:
    """One call of ours: each argument traced to its cell, then how it was worked out."""
    declaration = functions()[made.name]
    yield Remark("call", f"{made.name}: {declaration.summary}")
    try:
        cells = book.cells(made, place)
    except CannotTell as reason:
        yield Remark("kept", f"not worked out again here: {reason}", 1)
        return
    target = about(declaration, cells)
    shift = 1 if target else 0
    arguments = (target or declaration).args
    for arg, argument, cell in zip(arguments, made.arguments[shift:], cells[shift:], strict=False):
        yield from argument_lines(book, arg.name, argument.text, cell, place)
    if declaration.about and not target:
        yield from told(declaration, cells, alone=True)
    else:
        yield from told(target or declaration, cells[shift:])


def argument_lines(book: Workings, name: str, text: str, cell: object, place: Place) -> Iterator[Remark]:
    """An argument: its cell with header, unit and value, or the cells that it is worked out from."""
    look = book.written.alone(text, place)
    where = (look.sheet, look.top, look.left) if look and look.single else None
    if not text:
        yield Remark("argument", f"{name} is left out", 1)
    elif LITERAL.fullmatch(text):
        yield Remark("argument", f"{name} = {text}, typed into the formula", 1)
    else:
        yield Remark("argument", f"{name} = {text}{book.traced(text, place)}: {shown(cell)}", 1, where)
    if look is None and not book.ours_in(text):  # an inner call has lines of its own
        yield from source_lines(book, text, place, 2)


def told(declaration: Declaration, cells: Sequence[object], *, alone: bool = False) -> Iterator[Remark]:
    """ANSWER_STEPS of a call, or ANSWER_WHY where it has no answer; `alone`: what the call itself answers."""
    try:
        if alone:
            yield Remark("step", shown(call(declaration.name, *cells)), 2)
        elif answer_of(declaration, cells) == "":
            yield Remark("step", "every input is blank, so the answer is blank", 2)
        else:
            for row in call("ANSWER_STEPS", declaration.name, *cells):
                yield Remark("step", str(row[0]), 2)
    except CalcError as error:
        yield Remark("why", f"{error.code}: {error}" if str(error) else error.code, 2)


def source_lines(book: Workings, formula: str, place: Place, depth: int) -> Iterator[Remark]:
    """The cells that a formula looks at, and what its areas cover."""
    looks = list(dict.fromkeys(book.written.looks(formula, place)))
    for look in looks[:MOST_SOURCES]:
        first = look.sheet, look.top, look.left
        if look.single:
            named = "" if references(look.by) else f"{look.by} = "
            yield Remark("source", f"{named}{book.described(first)}: {book.said(first)}", depth, first)
        else:
            title, wanted = book.title_of_area(look), book.value(place)
            behind = (each for each in book.held(look) if isinstance(book.value(each), CalcError) or
                      (isinstance(wanted, str) and wanted != "" and book.value(each) == wanted))  # fmt: skip
            cells = f"{address(*first)}:{column_letters(look.right)}{look.bottom}"
            by = look.by if references(look.by) else f"{look.by} = {cells}"
            yield Remark("covers", f"{by}{title}: {covered(book, look)}", depth, next(behind, None))
    if len(looks) > MOST_SOURCES:
        yield Remark("covers", f"and {len(looks) - MOST_SOURCES} more", depth)


def covered(book: Workings, look: Look) -> str:
    """How many numbers, texts, errors and blanks an area holds, and the sum of the numbers."""
    values = [book.value(place) for place in book.held(look)]
    numbers = [value for value in values if isinstance(value, float)]
    texts = sum(isinstance(value, str) and value != "" for value in values)
    errors = sum(isinstance(value, CalcError) for value in values)
    blank = sum(value is None or value == "" for value in values)
    parts = [f"{plural(len(numbers), 'number')}, together {shown(sum(numbers))}" if numbers else "no numbers"]
    parts += [f"{plural(texts, 'text')}, which no sum counts"] if texts else []
    parts += [plural(errors, "error")] if errors else []
    parts += [f"{blank} blank"] if blank else []
    return ", ".join(parts)


def is_check(book: Workings, place: Place) -> bool:
    """True for a verdict whose row has columns with reasons."""
    sheet, row, column = place
    heads = book.headers(sheet)
    return heads.head(row, column).casefold() == CHECK and any(reason_columns(book, sheet, row))


def reason_columns(book: Workings, sheet: str, row: int) -> Iterable[int]:
    """The columns under the band of reasons in the table that a row belongs to."""
    heads = book.headers(sheet)
    return (column for column in range(1, WIDEST) if heads.band(row, column) == REASONS)


def reason_lines(book: Workings, place: Place) -> Iterator[Remark]:
    """Each reason of a row, with the numbers that it rests on."""
    sheet, row, _ = place
    value, found = book.value(place), False
    for column in reason_columns(book, sheet, row):
        reason = sheet, row, column
        said = book.value(reason)
        if isinstance(said, str) and VERDICT.match(said):
            if not found:
                yield Remark("reasons", "Reasons:")
            found = True
            yield Remark("reason", f"{book.described(reason)}: {said}", 1, reason)
            for line in source_lines(book, book.written.formula(reason), reason, 2):
                if line.place and isinstance(book.value(line.place), float):
                    yield line
    if not found and value == "":
        yield Remark("reasons", "The row is not in use, so nothing is checked.")
    elif not found and isinstance(value, str) and not value.startswith(NOT_CHECKED):
        yield Remark("reasons", "None of the reason columns of this row finds anything to change.")


def next_cell(book: Workings, place: Place, lines: Sequence[Remark]) -> str:
    """The cell worth asking about next: where an error comes from, the first reason, the first cell worked out."""
    named = [(line.part, line.place) for line in lines if line.place not in (None, place)]
    ahead = [(part, each) for part, each in named if each is not None]
    value = book.value(place)
    if isinstance(value, CalcError):
        found = [each for _, each in ahead if isinstance(book.value(each), CalcError)]
    else:
        found = [each for part, each in ahead if part == "reason"]
        found += [each for part, each in ahead if part in ("source", "covers") and value and book.value(each) == value
                  and isinstance(value, str) and book.written.formula(each)]  # fmt: skip
        found += [each for part, each in ahead if part in ("argument", "source") and book.written.formula(each)]
    return address(*found[0]) if found else ""
