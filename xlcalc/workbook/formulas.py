"""The one reader of formulas.

It sees a worksheet function under every spelling that a spreadsheet writes (`NAME(`, `name (`, `[1]!NAME(`,
`'C:\\x\\xlcalc.xlam'!NAME(`, `_xll.NAME(`, `_xlfn.NAME(`, `_xludf.NAME(`, `XLCALC.NAME(`, each with `@` in
front or not), never inside a text or a quoted sheet name, and never takes a function of another add-in for
ours. A formula is text without its leading `=`, as it stands in the file; a leading `=` does no harm. Places
are counted in characters from its start.
"""

import functools
import itertools
import re
from collections.abc import Container, Iterable, Iterator
from typing import NamedTuple

QUOTED = r"'(?>(?:[^']|'')+)'"
BOOK = r"\[[^\[\]]+\]"
SHEET = rf"(?:{QUOTED}|(?:{BOOK})?[\w.]+(?::[\w.]+)?|{BOOK})!"
NAME = r"[^\W\d][\w.\\?]*|\\[\w.\\?]*"
CELL = r"\$?[A-Za-z]{1,3}\$?[0-9]{1,7}"
AREA = rf"{CELL}(?::{CELL})?|\$?[A-Za-z]{{1,3}}:\$?[A-Za-z]{{1,3}}|\$?[0-9]{{1,7}}:\$?[0-9]{{1,7}}"
TOKEN = re.compile(
    rf"""
      (?P<text>"(?:[^"]|"")*")
    | (?P<call>@?(?:{SHEET})?(?:{NAME})\()
    | (?P<reference>(?:{SHEET})?(?:(?:{AREA})(?![\w.(!\[])|\#REF!))
    | (?P<outside>{BOOK}(?=[\w.:]*!))
    | (?P<structured>(?:(?:{SHEET})?(?:{NAME}))?\[(?:[^\[\]']|'.|\[(?:[^\[\]']|'.)*\])*\])
    | (?P<spaced>(?:@\s*)?(?:{SHEET})?(?:{NAME})\s+\()
    | (?P<name>(?:{SHEET})?(?:{NAME}))
    | (?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[Ee][+-]?[0-9]+)?)
    | (?P<error>\#[A-Za-z/0]+[!?]?)
    | (?P<open>[({{]) | (?P<close>[)}}]) | (?P<comma>,) | (?P<space>\s+)
    | (?P<loose>'(?>(?:[^']|'')*)'?) | (?P<sign>.)
    """,
    re.VERBOSE | re.DOTALL,
)
DIGITS = bytes.maketrans(b"123456789", b"000000000")
PREFIX = re.compile(r"(?:_xlfn\.|_xlws\.|_xludf\.|_xll\.|xlcalc\.)+", re.IGNORECASE)
ADDIN = "xlcalc.xlam"
"""The file name of our add-in, in any case; a spreadsheet may put it before the names of our functions."""

LINK_NUMBER = re.compile(r"\[([0-9]+)\]")
THIS_BOOK = "0"  # `[0]!NAME(` is a macro of the book itself
CORNER = re.compile(r"(\$?)([A-Za-z]{1,3})?(\$?)([0-9]{1,7})?")
ONE_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})")
SPLIT_AREA = re.compile(r"\$?([A-Z]{1,3})?\$?([0-9]{1,7})?(?::\$?([A-Z]{1,3})?\$?([0-9]{1,7})?)?")
LAST_ROW, LAST_COLUMN = 1_048_576, 16_384


class Token(NamedTuple):
    """A piece of a formula. `kind` is the name of its group in `TOKEN`; a spaced call is a call."""

    kind: str
    text: str
    start: int


class Argument(NamedTuple):
    """An argument as written, without the spaces round it; empty text where it is left out."""

    text: str
    start: int
    end: int


class Call(NamedTuple):
    """A call of a function. `name` is as `plain_name` has it, `written` is how the file spells it.

    `formula[start:end]` is the whole call from its name to its closing bracket.
    """

    name: str
    written: str
    start: int
    end: int
    arguments: tuple[Argument, ...]


class Reference(NamedTuple):
    """An area that a formula looks at: rows and columns count from 1, both ends belong to it.

    `sheet` is None for the formula's own sheet.
    """

    sheet: str | None
    top: int
    left: int
    bottom: int
    right: int
    text: str
    start: int


def tokens(formula: str) -> Iterator[Token]:
    """All pieces of a formula, one after the other; joined they are the formula."""
    for match in TOKEN.finditer(formula):
        kind = match.lastgroup or ""
        yield Token("call" if kind == "spaced" else kind, match[0], match.start())


def pattern(formula: str) -> bytes:
    """The formula with every digit as `0`: those that are filled down a column have it in common."""
    return formula.encode("utf-8", "surrogatepass").translate(DIGITS)


def plain_name(written: str, others: Container[str] = ()) -> str:
    """`[1]!bore_for_flow` -> `BORE_FOR_FLOW`: without the path, the prefix, the sign and the bracket.

    `others` holds the numbers of the book's links that lead to another file than our add-in. What stands
    in another file or on a sheet keeps its place, so that it is none of our names: `PRICES.XLAM!F`.
    """
    place, _, name = written.removesuffix("(").rstrip().removeprefix("@").lstrip().rpartition("!")
    if place and not is_addin(place, others):
        return f"{place}!{name}".upper()
    return PREFIX.sub("", name, count=1).upper()


def is_addin(place: str, others: Container[str]) -> bool:
    """True when what stands before `!` is our add-in: its path, its name, or a link that leads to no other file."""
    if link := LINK_NUMBER.fullmatch(place):
        return link[1] != THIS_BOOK and link[1] not in others
    return file_name(unquoted(place)) == ADDIN


def file_name(path: str) -> str:
    """`C:\\x\\Prices.xlam` -> `prices.xlam`; brackets round the name do not count."""
    return path.replace("\\", "/").rpartition("/")[2].removeprefix("[").removesuffix("]").casefold()


def calls(formula: str, others: Container[str] = ()) -> tuple[Call, ...]:
    """All calls in a formula in the order of their names, nested ones too; `others` as for `plain_name`.

    A call whose bracket is never closed is left out.
    """
    found: list[Call] = []
    still_open: list[tuple[Token, list[int]]] = []  # a bracket, and where its commas stand
    for token in tokens(formula):
        if token.kind in {"call", "open"}:
            still_open.append((token, []))
        elif token.kind == "comma" and still_open:
            still_open[-1][1].append(token.start)
        elif token.kind == "close" and still_open:
            opened, commas = still_open.pop()
            if opened.kind == "call" and token.text == ")":
                found.append(closed(formula, opened, commas, token.start, others))
    return tuple(sorted(found, key=lambda call: call.start))


def closed(formula: str, opened: Token, commas: list[int], end: int, others: Container[str]) -> Call:
    """The call between its name and the bracket at `end`."""
    begin = opened.start + len(opened.text)
    edges = [begin - 1, *commas, end]
    arguments = []
    for left, right in itertools.pairwise(edges):
        text = formula[left + 1 : right]
        stripped = text.strip()
        start = left + 1 + (len(text) - len(text.lstrip()) if stripped else 0)
        arguments.append(Argument(stripped, start, start + len(stripped)))
    if len(arguments) == 1 and not arguments[0].text:
        arguments = []
    written = opened.text.removesuffix("(").rstrip()
    return Call(plain_name(written, others), written, opened.start, end + 1, tuple(arguments))


def references(formula: str) -> tuple[Reference, ...]:
    """The areas of this book that a formula names directly; defined names are not followed."""
    found = []
    for token in tokens(formula):
        if token.kind == "reference" and "#" not in token.text:
            before, _, area = token.text.rpartition("!")
            if "[" in before or ":" in before:
                continue  # another book, or the same cell on several sheets
            found.append(Reference(unquoted(before) or None, *corners(area), token.text, token.start))
    return tuple(found)


def corners(area: str) -> tuple[int, int, int, int]:
    """Top, left, bottom and right of `B2`, `$B$2:C9`, `B:C` or `2:9`.

    Raises ValueError when the text is none of these.
    """
    if one := ONE_CELL.fullmatch(area):
        row, column = int(one[2]), column_number(one[1].upper())
        return row, column, row, column
    match = SPLIT_AREA.fullmatch(area.upper())
    first, top, second, bottom = match.groups() if match else (None,) * 4
    alike = (first is None, top is None) == (second is None, bottom is None) if ":" in area else first and top
    if not alike or not (first or top):
        raise ValueError(f"{area!r} is not a cell or an area")
    columns = (column_number(first), column_number(second or first)) if first else (1, LAST_COLUMN)
    rows = (int(top), int(bottom or top)) if top else (1, LAST_ROW)
    return min(rows), min(columns), max(rows), max(columns)


@functools.lru_cache(20_000)
def column_number(letters: str) -> int:
    """`A` -> 1, `AA` -> 27."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def column_letters(number: int) -> str:
    """1 -> `A`, 27 -> `AA`."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def address(sheet: str, row: int, column: int) -> str:
    """`Lines!B2`, with quotes where the sheet's name needs them."""
    name = sheet if re.fullmatch(r"[^\W\d][\w.]*", sheet) else quoted(sheet)
    return f"{name}!{column_letters(column)}{row}"


def quoted(sheet: str) -> str:
    """A sheet's name in quotes, whether or not a formula needs them."""
    return "'{}'".format(sheet.replace("'", "''"))


def unquoted(sheet: str) -> str:
    """A sheet's name as the tab shows it."""
    return sheet[1:-1].replace("''", "'") if sheet.startswith("'") else sheet


def respellings(
    formula: str, ours: Container[str], prefix: str = "", others: Container[str] = ()
) -> list[tuple[int, int, str]]:
    """The changes that write every call of one of our functions as `prefix` and its plain name.

    Each is (start, end, new); a call that is written so already needs none. `ours` holds plain names,
    `others` is as for `plain_name`.
    """
    found = []
    for token in tokens(formula):
        if token.kind == "call" and (name := plain_name(token.text, others)) in ours:
            wanted = f"{prefix}{name}("
            if token.text != wanted:
                found.append((token.start, token.start + len(token.text), wanted))
    return found


def spliced(text: str, edits: Iterable[tuple[int, int, str]]) -> str:
    """The text with pieces replaced: (start, end, new) in rising order, none overlapping."""
    pieces: list[str] = []
    last = 0
    for start, end, new in edits:
        pieces += text[last:start], new
        last = end
    return "".join([*pieces, text[last:]])


def moved(formula: str, down: int, right: int) -> str:
    """A formula as it reads so many cells further down and to the right: what has no `$` moves along."""
    edits = []
    for piece in tokens(formula):
        if piece.kind == "reference" and "#" not in piece.text:
            start = piece.start + piece.text.rfind("!") + 1
            end = piece.start + len(piece.text)
            corners_moved = (moved_corner(corner, down, right) for corner in formula[start:end].split(":"))
            edits.append((start, end, ":".join(corners_moved)))
    return spliced(formula, edits)


def moved_corner(corner: str, down: int, right: int) -> str:
    """`A$1` moved; a spreadsheet lets a reference that leaves the sheet come in again on the other side."""
    match = CORNER.fullmatch(corner)
    if match is None:
        return corner
    fixed_column, letters, fixed_row, digits = match.groups()
    if letters and not fixed_column:
        letters = column_letters((column_number(letters.upper()) - 1 + right) % LAST_COLUMN + 1)
    if digits and not (fixed_row or (not letters and fixed_column)):
        digits = str((int(digits) - 1 + down) % LAST_ROW + 1)
    return f"{fixed_column}{letters or ''}{fixed_row}{digits or ''}"
