"""What in a book the engine stumbled over, looked for once it has refused the book: the cell, in words."""

import re
from collections.abc import Iterator

from xlcalc.workbook.file.cells import ADDRESS
from xlcalc.workbook.file.package import Package, Sheet
from xlcalc.workbook.file.values import INDEX, number, plain_text, type_of

CELL = re.compile(
    rb"<c(?=[\s/>])([^<>]*+)>(?>(?:\s*+<f(?=[\s/>])[^<>]*+(?:(?<=/)>|>[^<]*+</f>))?)"
    rb"(?>(?:\s*+<v(?>(?:\s[^<>]*+)?)>([^<]*+)</v>)?)"
)
SAID_ADDRESS = re.compile(rb"""\sr=["']([^"'<>]*+)""")
TYPES = frozenset((b"b", b"d", b"e", b"inlineStr", b"n", b"s", b"str"))
ERROR = re.compile(rb"#[A-Z0-9_/]+[!?]?|Err:[0-9]{3}")
MOST_SHOWN = 40  # letters of what is quoted


def stumble(package: Package) -> str:
    """What is odd in a book, as the middle of a sentence; empty where nothing is found."""
    for sheet in package.worksheets():
        if odd := next(odd_cells(package, sheet), ""):
            return f"on the sheet {shown(sheet.name)}, {odd}"
    return ""


def odd_cells(package: Package, sheet: Sheet) -> Iterator[str]:
    """What is odd in the cells of a sheet, one after the other."""
    for cell in CELL.finditer(package.read(sheet.part)):
        said = SAID_ADDRESS.search(cell[1])
        if said and not ADDRESS.match(b"<c" + cell[1]):
            yield f"a cell says that it is called {quoted(said[1])}"
        kind, where = type_of(cell[1]), f"the cell {said[1].decode()}" if said else "a cell without an address"
        if kind not in TYPES:
            yield f"{where} says that it holds a value of the kind {quoted(kind)}, which there is not"
        if cell[2] is None:
            continue
        if kind == b"n" and number(cell[2]) is None:
            yield f"{where} is to hold a number and holds {quoted(cell[2])}"
        if kind == b"e" and not ERROR.fullmatch(cell[2]):
            yield f"{where} is to hold an error value and holds {quoted(cell[2])}"
        if kind == b"s" and INDEX.fullmatch(cell[2]) and int(cell[2]) >= len(package.shared_strings()):
            yield f"{where} shows the shared text number {int(cell[2])}, and there are {len(package.shared_strings())}"


def quoted(raw: bytes) -> str:
    """What stands in the file, for a sentence."""
    return f"'{shown(plain_text(raw))}'"


def shown(text: str) -> str:
    """A text, cut where it is long."""
    return text if len(text) <= MOST_SHOWN else f"{text[:MOST_SHOWN]}..."
