"""`xlcalc eval`: one formula, answered at once by the engine that also works out whole books."""

import io

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import call
from xlcalc.core.registry import functions as declared
from xlcalc.hosts.commands.formula_slips import slips, with_points
from xlcalc.hosts.output import Outcome, Slip, command
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import CannotTell, Workings, about, shown
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import Call

HERE: Place = ("Formula", 1, 1)
ERROR = 1
COMMA = "Outside quotes a number takes a point, 7.9 and not 7,9: a comma parts the arguments"
WARNINGS = ("The answer rests on memory", "That viscosity is an estimate", "The thickest its grade allows")


def evaluate(formula: str) -> Outcome:
    """Answer one formula, with or without `=` in front. Raises Slip where there is none."""
    text = without_quotes(formula.strip()).removeprefix("=").strip()
    if not text:
        raise Slip("""there is no formula: write one in quotes, e.g. 'LINE_VELOCITY("8 L/min", 7.9)'""")
    if slip := next(slips(text), None):
        return failed(text, *slip)
    book = Workings(Package.from_bytes(book_of(text), "formula"))
    if book.report.frozen:
        return failed(text, "#VALUE!", f"it cannot be worked out: {book.report.frozen[0].reason}")
    if book.report.kept:
        return failed(text, "#VALUE!", "this is not a formula: write e.g. LINE_VELOCITY(8, 7.9)", decimal_comma(text))
    answer = book.value(HERE)
    alone = next((made for made in book.ours(HERE) if (made.start, made.end) == (0, len(text))), None)
    if isinstance(answer, CalcError) or answer == "":
        for made in book.ours(HERE):
            if (lacking := without_inputs(book, made)) and not book.unused(made, HERE):
                why = lacking if made == alone else f"{made.name}: {lacking}"
                return failed(text, "#VALUE!", why, *takes(made.name))
    if isinstance(answer, CalcError):
        names = [made.name for made in book.ours(HERE)]
        note = decimal_comma(text) if answer.code == "#VALUE!" else ""
        return failed(text, answer.code, book.why(HERE), note, names[0] if names else "")
    unit, several = unit_and_rows(book, alone)
    lines = several or [f"{shown(answer)} {unit}".strip()]
    found = notes(book)
    data = {"formula": text, "answer": answer, "unit": unit, "lines": lines, "notes": found}
    do = after(alone, steps=not several) if alone else ""
    return Outcome([*lines, *(f"  {note}" for note in found)], data, do)


def without_quotes(text: str) -> str:
    """The formula without the quotes that the shell of another system would have taken off."""
    return text[1:-1].strip() if len(text) > 1 and text[0] == text[-1] == "'" else text


def without_inputs(book: Workings, made: Call) -> str:
    """What is missing in a call of which every input is left out or blank; empty where one is given.

    In a row of a sheet that is not filled in such a call is blank; here somebody waits for an answer. A unit is no
    input.
    """
    declaration = declared()[made.name]
    try:
        cells = book.cells(made, HERE)
    except CannotTell:  # an input that spreads over cells is one
        return ""
    if declaration.about:
        target = about(declaration, cells)
        if target is None:
            return ""
        declaration, cells = target, cells[1:]
    inputs = declaration.workshop_args
    if not inputs or any(cell not in (None, "") for cell in cells[: len(inputs)]):
        return ""
    return next((arg for arg in inputs if arg.required), inputs[0]).lacking


def decimal_comma(text: str) -> str:
    """What to know where a comma was meant as a decimal sign: with a point in its place there is an answer."""
    tries = list(with_points(text))
    if not tries:
        return ""
    book = Workings(Package.from_bytes(book_of(*tries), "formula"))
    answers = (book.value((HERE[0], row, HERE[2])) for row in range(1, 1 + len(tries)))
    return COMMA if any(not isinstance(answer, CalcError) and answer not in (None, "") for answer in answers) else ""


def takes(name: str) -> tuple[str, str]:
    """What a call of a function must hold, and the function that says more."""
    declaration = declared()[name]
    example = f"Write e.g. {declaration.example.formula(name)}"
    optional = "; what stands in brackets may be left out" if "[" in declaration.signature else ""
    return (example if declaration.about else f"{example}: it takes {declaration.signature}{optional}"), name


def failed(text: str, code: str, why: str, note: str = "", name: str = "") -> Outcome:
    """An error value, the sentence that says what to do, and what else may help."""
    do = f"see what it takes: {command('functions', name)}" if name else ""
    data = {"formula": text, "code": code, "why": why, "notes": [note] if note else []}
    return Outcome([f"{code} {why}".strip(), *(f"  {each}" for each in data["notes"])], data, do, ERROR)


def after(alone: Call, *, steps: bool) -> str:
    """What to ask next of a call that stands alone; `steps`: whether it has steps of its own."""
    if declared()[alone.name].about or not steps:
        return f"see what it takes: {command('functions', alone.name)}"
    arguments = ",".join(argument.text for argument in alone.arguments)
    ask = command("eval", f'ANSWER_STEPS("{alone.name}",{arguments})')
    return f"see how it was worked out: {ask}"


def unit_and_rows(book: Workings, alone: Call | None) -> tuple[str, list[str]]:
    """The unit of a call that stands alone, and its lines where it answers several values, such as ANSWER_STEPS."""
    if alone is None:
        return "", []
    try:
        unit = book.unit(alone, HERE)
        answer = call(alone.name, *book.cells(alone, HERE))
    except CannotTell:  # its arguments spread over more values than are worth a line each
        return "", []
    if not isinstance(answer, list):
        return unit, []
    return unit, ["   ".join(f"{shown(each)} {unit}".strip() for each in row) for row in answer]


def notes(book: Workings) -> list[str]:
    """What a person must know beside a bare answer: that it rests on memory, or is an estimate."""
    found: list[str] = []
    for made in book.ours(HERE):
        if not declared()[made.name].about:
            try:
                steps = call("ANSWER_STEPS", made.name, *book.cells(made, HERE))
            except (CalcError, CannotTell):  # an argument that a spreadsheet spreads over cells has no steps
                continue
            found += [row[0] for row in steps or () if row[0].startswith(WARNINGS)]
    return list(dict.fromkeys(found))


def book_of(*formulas: str) -> bytes:
    """A workbook with formulas one below the other, the first in its first cell."""
    import openpyxl  # noqa: PLC0415  (writes a book of our own)

    book = openpyxl.Workbook()
    book.active.title = HERE[0]
    for row, formula in enumerate(formulas, start=1):
        book.active.cell(row, 1, f"={formula}")
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()
