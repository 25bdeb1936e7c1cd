"""What is wrong with a formula that was typed, found before anybody works it out."""

from collections.abc import Iterator
from itertools import combinations, pairwise

from xlcalc.core.registry import find
from xlcalc.core.registry import functions as declared
from xlcalc.workbook.calculation.engine import has_function
from xlcalc.workbook.calculation.facts import NOT_NAMES
from xlcalc.workbook.file.file_limits import FORMULA_SIGNS
from xlcalc.workbook.formulas import plain_name, spliced, tokens

PAIRS = {"(": ")", "{": "}"}
MOST_COMMAS = 6  # that are tried as decimal points, which makes at most 63 formulas
CURLED = "\u201c\u201d\u201e\u00ab\u00bb"


def slips(text: str) -> Iterator[tuple[str, str]]:
    """What is wrong with a formula before anybody works it out: a code and a sentence."""
    if len(text) > FORMULA_SIGNS:
        yield "#VALUE!", f"it is {len(text)} characters long: a cell holds at most {FORMULA_SIGNS}"
    if not text.isprintable():
        yield "#VALUE!", "it holds invisible characters or line breaks: type it anew"
    yield from quotes(text)
    yield from separators(text)
    yield from brackets(text)
    for piece in tokens(text):
        if piece.kind == "call" and plain_name(piece.text) not in declared() and not has_function(
            piece.text.removesuffix("(").removeprefix("@").upper()
        ):  # fmt: skip
            yield "#NAME?", f"{find(plain_name(piece.text))}".replace(" of xlcalc", " of xlcalc or of the spreadsheet")
        elif piece.kind == "reference":
            yield "#REF!", f"there are no cells here: put a value in place of {piece.text}"
        elif piece.kind == "name" and (known := declared().get(plain_name(piece.text))):
            example = known.example.formula(known.name).removeprefix("=")
            yield "#NAME?", f"{known.name} takes its arguments in brackets behind it, e.g. {example}"
        elif piece.kind in ("name", "structured") and piece.text.upper() not in NOT_NAMES:
            words = f"{piece.text} is not known here: words and values with a unit stand in double quotes"
            yield "#NAME?", f"{words}, and the whole formula in quotes of the shell"
    yield from neighbours(text)


def quotes(text: str) -> Iterator[tuple[str, str]]:
    """Text in other quotes than a formula takes: single ones, or those that a word processor makes."""
    found = [(each.start, each.start + len(each.text), f'"{each.text[1:-1]}"') for each in tokens(text)
             if each.kind == "loose" and '"' not in each.text]  # fmt: skip
    found += [(each.start, each.start + 1, '"') for each in tokens(text) if each.text in CURLED]
    if found:
        yield "#VALUE!", f"a text stands in straight double quotes: {spliced(text, sorted(found))}"


def neighbours(text: str) -> Iterator[tuple[str, str]]:
    """Two values with nothing between them."""
    for one, other in pairwise(each for each in tokens(text) if each.kind != "space"):
        if one.kind in ("number", "text", "close") and other.kind in ("number", "text", "call", "open"):
            second = other.text if other.kind in ("number", "text") else f"{other.text}..."
            yield "#VALUE!", f"between {one.text} and {second} stands no comma and no sign: write one of them there"


def with_points(text: str) -> Iterator[str]:
    """The formula with some of its commas as decimal points: those right between two whole numbers."""
    pieces = list(tokens(text))
    commas = [
        place
        for place, piece in enumerate(pieces[1:-1], start=1)
        if piece.kind == "comma" and all(pieces[near].text.isdecimal() for near in (place - 1, place + 1))
    ][:MOST_COMMAS]
    for count in range(1, 1 + len(commas)):
        for chosen in combinations(commas, count):
            if all(after - before > 2 for before, after in pairwise(chosen)):  # a number has one point at most
                starts = [pieces[place].start for place in chosen]
                yield spliced(text, [(start, start + 1, ".") for start in starts])


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
