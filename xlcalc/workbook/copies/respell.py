"""Write the calls of our functions in a whole workbook anew: plain for everyone, or as an older Calc needs them.

Formula text is changed and nothing else: cells, defined names, conditional formats, lists, tables. The XML
round it, and how its signs are escaped, stays byte for byte.
"""

import re
from collections.abc import Container, Iterator, Mapping
from typing import NamedTuple

from xlcalc.core.errors import FileRefused
from xlcalc.core.registry import functions
from xlcalc.workbook.calculation.links import linked_files, other_files
from xlcalc.workbook.file.cell_xml import ATTRIBUTE
from xlcalc.workbook.file.cells import refused, spliced
from xlcalc.workbook.file.file_limits import FORMULA_SIGNS
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import plain_text
from xlcalc.workbook.formulas import ADDIN, respellings
from xlcalc.workbook.spelling import PREFIXES

NAMES_OF_THE_BOOK = "defined names"
ASIDE = rb"<!--.*?(?:-->|\Z)|<\?.*?(?:\?>|\Z)"  # one that never ends is read once, not once for every beginning
RAW = rb"<!\[CDATA\[.*?(?:\]\]>|\Z)"
KINDS = rb"(?:\w+:)?(?:f|formula[12]?|definedName|calculatedColumnFormula|totalsRowFormula)"
FORMULA = re.compile(
    rb"%s|%s|<(?P<kind>%s)(?P<attributes>(?>%s*))\s*>(?P<text>(?>(?:[^<]++|%s|%s)*))</(?P=kind)\s*>"
    % (ASIDE, RAW, KINDS, ATTRIBUTE, ASIDE, RAW),
    re.DOTALL,
)
PIECE = re.compile(rb"%s|<!\[CDATA\[(?P<raw>.*?)\]\]>|(?P<entity>&[#\w]+;)|(?P<plain>[^<&]+|.)" % ASIDE, re.DOTALL)
CALLED = re.compile(rb"(?<![A-Z0-9_])[A-Z][A-Z0-9_]*+(?=\s*\()")
NAME = re.compile(rb"""\sname\s*=\s*["']([^"']*)""")
CELL = re.compile(rb"""<(?:\w+:)?c\s[^<>]*?\br\s*=\s*["']([A-Z]{1,3}[0-9]{1,7})["']""")


class Respelling(NamedTuple):
    """The parts of a book that change, how many formulas changed by sheet, and whether it links to our add-in."""

    edits: dict[str, bytes]
    formulas: dict[str, int]
    linked: bool


class Way(NamedTuple):
    """How calls are to be written: the names that are ours, what stands before them, links to other files."""

    ours: Container[bytes]
    names: Container[str]
    prefix: str
    others: Mapping[str, str]


def respelling(package: Package, way: str) -> Respelling:
    """The parts of a book in which calls of our functions are spelled otherwise; `way` is a key of `PREFIXES`.

    Raises FileRefused for a part that cannot be edited, and where a formula would grow too long for a cell.
    """
    known = functions()
    wanted = Way({name.encode() for name in known}, known, PREFIXES[way], other_files(package))
    made = Respelling({}, {}, ADDIN in linked_files(package).values())
    for place, part in formula_parts(package):
        label = f"{package.path.name}, {place}"
        content = package.read(part)
        if content[:2] in {b"\xff\xfe", b"\xfe\xff"} or b"\0" in content[:4]:
            raise refused(label, "it is written in a rare encoding")
        if edits := list(respelled_part(content, wanted, label)):
            made.edits[part] = spliced(content, (edit for each in edits for edit in each))
            made.formulas[place] = made.formulas.get(place, 0) + len(edits)
    return made


def formula_parts(package: Package) -> Iterator[tuple[str, str]]:
    """The parts that hold formulas, each with the sheet that it belongs to."""
    yield NAMES_OF_THE_BOOK, package.workbook_part
    for sheet in package.worksheets():
        yield sheet.name, sheet.part
        tables = (part for kind, part in package.related(sheet.part).values() if kind == "table")
        yield from ((sheet.name, part) for part in tables if part in package)


def respelled_part(content: bytes, way: Way, label: str) -> Iterator[list[tuple[int, int, bytes]]]:
    """The changes of each formula of a part that changes. Raises FileRefused where one grows too long."""
    for found in FORMULA.finditer(content):
        raw = found["text"]
        if not raw or not may_call(raw, way.ours):
            continue
        text, starts, ends = signs(raw)
        if changes := respellings(text, way.names, way.prefix, way.others):
            length = len(text) + sum(len(new) - (end - start) for start, end, new in changes)
            if length > max(FORMULA_SIGNS, len(text)):
                where = place_in(content, found)
                raise FileRefused(
                    f"{label}, {where}: its formula would be {length:,} characters long with the longer names; a cell "
                    f"holds {FORMULA_SIGNS:,}. Split it over two cells and run the command again. Nothing was written."
                )
            begin = found.start("text")
            yield [
                (begin + starts[start], begin + ends[end - 1], new.encode() + markup(raw, starts, ends, start, end))
                for start, end, new in changes
            ]


def may_call(raw: bytes, ours: Container[bytes]) -> bool:
    """False where a formula surely calls none of ours; saves reading most formulas sign by sign."""
    return b"<" in raw or b"&#" in raw or any(name in ours for name in CALLED.findall(raw.upper()))


def signs(raw: bytes) -> tuple[str, list[int], list[int]]:
    """The text of a formula, and where in the XML each of its signs begins and ends."""
    text: list[str] = []
    starts: list[int] = []
    ends: list[int] = []
    for piece in PIECE.finditer(raw):
        if piece.lastgroup == "entity":
            text.append(plain_text(piece[0])[:1])
            starts.append(piece.start())
            ends.append(piece.end())
        elif piece.lastgroup:
            place = piece.start(piece.lastgroup)
            for sign in piece[piece.lastgroup].decode("utf-8", "surrogateescape"):
                text.append(sign)
                starts.append(place)
                place += 1 if sign.isascii() else len(sign.encode("utf-8", "surrogateescape"))
                ends.append(place)
    return "".join(text), starts, ends


def markup(raw: bytes, starts: list[int], ends: list[int], start: int, end: int) -> bytes:
    """What stands between the signs of a name and is none of it, such as the beginning of raw text."""
    return b"".join(raw[ends[place] : starts[place + 1]] for place in range(start, end - 1))


def place_in(content: bytes, found: re.Match[bytes]) -> str:
    """`B7` for a formula in a cell, else what it belongs to."""
    kind, name = found["kind"].rpartition(b":")[2], NAME.search(found["attributes"])
    if kind == b"f" and (cells := CELL.findall(content, 0, found.start())):
        return str(cells[-1].decode())
    if kind == b"definedName" and name:
        return f"the name {plain_text(name[1])}"
    return "a table column" if kind.endswith(b"Formula") else "a conditional format or list"
