"""Formulas as patterns that fill down: two cells have the same pattern where filling one down gives the other.

A pattern is read once and then only compared as text, since a column of ten thousand rows holds one or two.
"""

import re
from collections import defaultdict
from collections.abc import Container, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from xlcalc.workbook.file import cells
from xlcalc.workbook.file.cell_index import LOST
from xlcalc.workbook.file.package import Package, Sheet
from xlcalc.workbook.file.values import plain_text, xml_text
from xlcalc.workbook.formulas import CORNER, Token, column_number, moved, plain_name, tokens, unquoted

ARRAY = re.compile(rb"""\st=["']array["']""")
DIGITS = "0123456789"
HERE = "\0"  # stands for the row of a cell in a formula, which holds no such sign
LOOK = "§"  # stands for a reference in the shape of a formula
MOST_TRIED = 4  # patterns of a column that are tried as text before a formula is read anew


class Corner(NamedTuple):
    """A corner of a reference, `$A7`: its two signs, column and row; the row is a distance where it has no sign.

    A whole column has no row and a whole row no column: None.
    """

    fixed_column: str
    column: int | None
    fixed_row: str
    row: int | None


class Target(NamedTuple):
    """A reference of a formula: the sheet as written, empty for its own, and one corner or two."""

    sheet: str
    corners: tuple[Corner, ...]


@dataclass(frozen=True, eq=False)
class Pattern:
    """What a formula is, apart from the row and column it stands in.

    `key` is the same for two cells that say the same of their surroundings, `R[0]C[-2]*2`, with names upper
    case and our functions under their plain names. `shape` is the key with `§` for each of `targets`, what is looked
    at, and `text` the same as the file spells it. `pieces` spell it for a cell of `column`: texts, and distances of
    rows. `ours` are those of our functions that it calls.
    """

    key: str
    shape: str
    text: str
    targets: tuple[Target, ...]
    column: int
    pieces: tuple[str | int, ...]
    ours: frozenset[str] = frozenset()
    array: bool = False

    @cached_property
    def _form(self) -> tuple[str, list[int]]:
        """The text with `HERE` for the row itself, and `%d` for each row at a distance where there is one."""
        distances = [piece for piece in self.pieces if isinstance(piece, int) and piece]
        words = (HERE if piece == 0 else "%d" if isinstance(piece, int) else piece.replace("%", "%%")
                 for piece in self.pieces)  # fmt: skip
        text = "".join(words)
        return text if distances else text.replace("%%", "%"), distances

    def at(self, row: int) -> str:
        """The formula that this pattern gives in a row of its column, without `=`."""
        form, distances = self._form
        if distances:
            form = form % tuple([row + distance for distance in distances])
        return form.replace(HERE, str(row))

    @cached_property
    def written(self) -> list[bytes]:
        """As the XML has it, in the pieces between the numbers of its row; none where it looks at other rows."""
        form, distances = self._form
        return [] if distances or self.array else [xml_text(piece) for piece in form.split(HERE)]


class Shared:
    """A formula that a spreadsheet wrote once for many cells: its pattern in every column that it runs through."""

    def __init__(self, first: Pattern, row: int) -> None:
        self._first, self._row = first, row
        self._by_column = {first.column: first}

    def in_column(self, column: int, ours: Container[str], others: Container[str]) -> Pattern:
        """The pattern spelled for a column."""
        if column not in self._by_column:
            text = moved(self._first.at(self._row), 0, column - self._first.column)
            self._by_column[column] = read(text, self._row, column, ours, others, array=self._first.array)
        return self._by_column[column]


def formulas(
    package: Package,
    sheet: Sheet,
    ours: Container[str],
    others: Container[str] = (),
    known_source: cells.SheetCells | None = None,
) -> dict[tuple[int, int], Pattern]:
    """Row and column of every formula cell of a sheet in the order of the file, with its pattern.

    A shared formula has the pattern of its first cell.

    `ours` holds the names of our functions, `others` the links of the book that lead to other files, `known_source`
    the cells of the sheet where they were found before. Raises FileRefused where the sheet's XML cannot be read.
    """
    xml = package.read(sheet.part)
    source = cells.formula_cells(xml, f"{package.path.name}, sheet {sheet.name}", known_source)
    if source is None:
        return {}
    known: dict[int, list[Pattern]] = defaultdict(list)
    above: dict[int, Pattern] = {}  # the one before in its column: most cells are known by its bytes
    shared: dict[int, Shared] = {}  # by the index of their first cell
    places = cells.places(source)
    found: dict[tuple[int, int], Pattern] = {}
    for (attributes, raw, first), (row, column) in zip(source.cells.shared(), places, strict=True):
        if raw and not attributes and column in above and (b"%d" % row).join(above[column].written) == raw:
            found[row, column] = above[column]
            continue
        if first is not None and first != LOST:
            of = shared.get(first) or shared.setdefault(first, Shared(found[places[first]], places[first][0]))
            found[row, column] = of.in_column(column, ours, others)
            continue
        text = plain_text(raw).removeprefix("=")
        array = bool(attributes) and ARRAY.search(attributes) is not None
        pattern = _remembered(text, row, known[column], array)
        if pattern is None:
            pattern = read(text, row, column, ours, others, array=array)
            known[column].insert(0, pattern)
        found[row, column] = above[column] = pattern
    return found


def _remembered(text: str, row: int, known: list[Pattern], array: bool) -> Pattern | None:
    for place, pattern in enumerate(known[:MOST_TRIED]):
        if pattern.array == array and pattern.at(row) == text:
            if place:
                known.insert(0, known.pop(place))
            return pattern
    return None


def read(
    formula: str, row: int, column: int, ours: Container[str] = (), others: Container[str] = (), *, array: bool = False
) -> Pattern:
    """The pattern of a formula that stands in a cell."""
    words: list[str] = ["{"] if array else []
    texts: list[str] = []
    targets: list[Target] = []
    pieces: list[str | int] = []
    called: set[str] = set()
    for token in tokens(formula):
        if token.kind == "reference" and "#" not in token.text and "[" not in token.text:
            before, sign, area = token.text.rpartition("!")
            corners = area.split(":")
            targets.append(Target(unquoted(before), tuple(read_corner(each, row) for each in corners)))
            words.append(LOOK)
            texts.append(LOOK)
            pieces.append(before + sign)
            for place, (text, corner) in enumerate(zip(corners, targets[-1].corners, strict=True)):
                pieces += [":"] if place else []
                pieces += [text] if corner.fixed_row or corner.row is None else [text.rstrip(DIGITS), corner.row]
        else:
            pieces.append(token.text)
            texts.append(token.text)
            words.append(spelled(token, ours, others))
            if token.kind == "call" and (name := plain_name(token.text, others)) in ours:
                called.add(name)
    shape = settled("".join(words))
    return Pattern(
        keyed(shape, targets, column), shape, "".join(texts), tuple(targets), column, tuple(pieces),
        frozenset(called), array,
    )  # fmt: skip


def keyed(shape: str, targets: Sequence[Target], column: int) -> str:
    """The key of a pattern of a column."""
    parts = shape.split(LOOK)
    if len(parts) != len(targets) + 1:  # a text of the formula holds the sign too
        return f"{shape} {targets} {column}"
    looks = (spelled_target(target, column) for target in targets)
    return parts[0] + "".join(f"{look}{part}" for look, part in zip(looks, parts[1:], strict=True))


def spelled_target(target: Target, column: int) -> str:
    """`LINES!C3R[0]`: a reference for a cell of a column, rows and columns without `$` by their distance."""
    sheet = f"{target.sheet.upper()}!" if target.sheet else ""
    return sheet + ":".join(_spelled_corner(corner, column) for corner in target.corners)


def _spelled_corner(corner: Corner, column: int) -> str:
    across = ""
    if corner.column is not None:
        across = f"C{corner.column}" if corner.fixed_column else f"C[{corner.column - column}]"
    down = "" if corner.row is None else f"R{corner.row}" if corner.fixed_row else f"R[{corner.row}]"
    return across + down


def read_corner(text: str, row: int) -> Corner:
    """A corner as a formula in a row writes it."""
    match = CORNER.fullmatch(text)
    fixed_column, letters, fixed_row, digits = match.groups() if match else ("", "", "", "")
    if digits and not letters:  # a whole row: its sign stands where that of a column would
        fixed_column, fixed_row = "", fixed_column or fixed_row
    down = None if not digits else int(digits) if fixed_row else int(digits) - row
    return Corner(fixed_column, column_number(letters.upper()) if letters else None, fixed_row, down)


def settled(key: str) -> str:
    """A key with the truth values that one program writes as calls."""
    return key.replace("TRUE()", "TRUE").replace("FALSE()", "FALSE") if "E()" in key else key


def spelled(token: Token, ours: Container[str], others: Container[str] = ()) -> str:
    """A piece of a formula in the one spelling that all programs' spellings are held against."""
    if token.kind == "space" or token.text == "@":
        return ""
    if token.kind == "call":
        name = plain_name(token.text, others)
        return f"{name}(" if name in ours or "!" not in token.text else token.text.upper()
    if token.kind == "number":
        return f"{float(token.text):.15g}"
    return token.text if token.kind == "text" else token.text.upper()
