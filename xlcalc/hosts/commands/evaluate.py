"""`xlcalc eval`: one formula, answered at once by the engine that also works out whole books."""

import io
from collections.abc import Iterator
from itertools import pairwise

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import call
from xlcalc.core.registry import find
from xlcalc.core.registry import functions as declared
from xlcalc.hosts.output import Outcome, Slip, command
from xlcalc.workbook.engine import has_function
from xlcalc.workbook.facts import NOT_NAMES
from xlcalc.workbook.file_limits import FORMULA_SIGNS
from xlcalc.workbook.formulas import Call, plain_name, spliced, tokens
from xlcalc.workbook.package import Package
from xlcalc.workbook.workings import CannotTell, Workings, shown
from xlcalc.workbook.written import Place

HERE: Place = ("Formula", 1, 1)
ERROR = 1
WARNINGS = ("The answer rests on memory", "That viscosity is an estimate", "The thickest its grade allows")
PAIRS = {"(": ")", "{": "}"}


def evaluate(formula: str) -> Outcome:
    """Answer one formula, with or without `=` in front. Raises Slip where there is none."""
    text = formula.strip().removeprefix("=").strip()
    if not text:
        raise Slip("""there is no formula: write one in quotes, e.g. 'LINE_VELOCITY("8 L/min", 7.9)'""")
    if slip := next(slips(text), None):
        return failed(text, *slip)
    book = Workings(Package.from_bytes(book_of(text), "formula"))
    if book.report.frozen:
        return failed(text, "#VALUE!", f"it cannot be worked out: {book.report.frozen[0].reason}")
    if book.report.kept:
        return failed(text, "#VALUE!", "this is not a formula")
    answer = book.value(HERE)
    if isinstance(answer, CalcError):
        names = [made.name for made in book.ours(HERE)]
        return failed(text, answer.code, book.why(HERE), names[0] if names else "")
    alone = next((made for made in book.ours(HERE) if (made.start, made.end) == (0, len(text))), None)
    if alone and without_inputs(book, alone):
        return blank(text, alone)
    unit, several = unit_and_rows(book, alone)
    lines = several or [f"{shown(answer)} {unit}".strip()]
    found = notes(book)
    data = {"formula": text, "answer": answer, "unit": unit, "lines": lines, "notes": found}
    do = after(alone, steps=not several) if alone else ""
    return Outcome([*lines, *(f"  {note}" for note in found)], data, do)


def without_inputs(book: Workings, alone: Call) -> bool:
    """True for a call of which every input is left out or blank; a unit is no input."""
    declaration = declared()[alone.name]
    if declaration.about or not declaration.workshop_args:
        return False
    try:
        cells = book.cells(alone, HERE)[: len(declaration.workshop_args)]
    except CannotTell:  # an input that spreads over cells is one
        return False
    return all(cell is None or cell == "" for cell in cells)


def blank(text: str, alone: Call) -> Outcome:
    """What a call without inputs wants; in a row of a sheet that is not filled in it is just blank."""
    declaration = declared()[alone.name]
    words = f"blank: no input is given. Write {declaration.example.formula(alone.name)}"
    signature = f"It takes {declaration.signature}; what stands in brackets may be left out"
    data = {"formula": text, "answer": "", "unit": "", "lines": [words], "notes": [signature]}
    return Outcome([words, f"  {signature}"], data, after(alone, steps=False))


def failed(text: str, code: str, why: str, name: str = "") -> Outcome:
    """An error value, and the sentence that says what to do."""
    do = f"see what it takes: {command('functions', name)}" if name else ""
    return Outcome([f"{code} {why}".strip()], {"formula": text, "code": code, "why": why}, do, ERROR)


def after(alone: Call, *, steps: bool) -> str:
    """What to ask next of a call that stands alone; `steps`: whether it has steps of its own."""
    if declared()[alone.name].about or not steps:
        return f"see what it takes: {command('functions', alone.name)}"
    arguments = ",".join(argument.text for argument in alone.arguments)
    ask = command("eval", f'ANSWER_STEPS("{alone.name}",{arguments})')
    return f"see how it was worked out: {ask}"


def slips(text: str) -> Iterator[tuple[str, str]]:
    """What is wrong with a formula before anybody works it out: a code and a sentence."""
    if len(text) > FORMULA_SIGNS:
        yield "#VALUE!", f"it is {len(text)} characters long: a cell holds at most {FORMULA_SIGNS}"
    if not text.isprintable():
        yield "#VALUE!", "it holds invisible characters or line breaks: type it anew"
    yield from separators(text)
    yield from brackets(text)
    for piece in tokens(text):
        if piece.kind == "call" and plain_name(piece.text) not in declared() and not has_function(
            piece.text.removesuffix("(").removeprefix("@").upper()
        ):  # fmt: skip
            yield "#NAME?", f"{find(plain_name(piece.text))}".replace(" of xlcalc", " of xlcalc or of the spreadsheet")
        elif piece.kind == "reference":
            yield "#REF!", f"there are no cells here: put a value in place of {piece.text}"
        elif piece.kind in ("name", "structured") and piece.text.upper() not in NOT_NAMES:
            words = f"{piece.text} is not known here: words and values with a unit stand in double quotes"
            yield "#NAME?", f"{words}, and the whole formula in quotes of the shell"


def separators(text: str) -> Iterator[tuple[str, str]]:
    """A semicolon between arguments, as some countries write; a comma inside a number goes with it."""
    pieces, deep, found = list(tokens(text)), 0, []
    for piece in pieces:
        deep += {"{": 1, "}": -1}.get(piece.text, 0)
        if piece.text == ";" and deep == 0:
            found.append((piece.start, piece.start + 1, ","))
    if found:
        for (before, comma), (_, after) in pairwise(pairwise(pieces)):
            if (before.kind, comma.kind, after.kind) == ("number", "comma", "number"):
                found.append((comma.start, comma.start + 1, "."))
        words = "between arguments stands a comma here, not a semicolon, and in a number a point"
        yield "#VALUE!", f"{words}: {spliced(text, sorted(found))}"


def brackets(text: str) -> Iterator[tuple[str, str]]:
    """A bracket or a quote without its partner."""
    waiting: list[str] = []
    for piece in tokens(text):
        if piece.kind in ("open", "call"):
            waiting.append(PAIRS[piece.text[-1]])
        elif piece.kind == "close" and (not waiting or waiting.pop() != piece.text):
            yield "#VALUE!", f"a bracket {piece.text} stands at character {piece.start + 1} that nothing opens"
            return
        elif piece.kind == "sign" and piece.text == '"':
            yield "#VALUE!", f"the text that begins at character {piece.start + 1} has no closing quote"
            return
    if waiting:
        yield "#VALUE!", f"a closing bracket {waiting[-1]} is missing at the end"


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


def book_of(formula: str) -> bytes:
    """A workbook with one formula in its first cell."""
    import openpyxl  # noqa: PLC0415  (writes a book of our own)

    book = openpyxl.Workbook()
    book.active.title = HERE[0]
    book.active["A1"] = f"={formula}"
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()
