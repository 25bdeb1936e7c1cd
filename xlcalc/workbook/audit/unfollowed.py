"""Where the units of a book could not be followed into our functions, and why: no findings, but nobody looked there.

Only formulas of a person's own count: those of the template are held against the template.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import in_table, unit_of, unit_text
from xlcalc.workbook.audit.finding import places
from xlcalc.workbook.audit.rules.method import handed_over
from xlcalc.workbook.audit.rules.units import wants
from xlcalc.workbook.calculation.written import Look, Place
from xlcalc.workbook.formulas import calls, tokens

LOOKING = ("reference", "name", "structured")  # kinds of pieces of a formula that look at cells
MOST_LOOKED_AT = 1_000  # rows of an area in which a number is looked for


@dataclass(frozen=True)
class Unfollowed:
    """The cells of a column whose formula takes what the audit does not know the unit of; `why` in words."""

    cells: tuple[Place, ...]
    why: str

    @cached_property
    def place(self) -> str:
        """`Sums!D2:D9`."""
        return places(self.cells)


def unfollowed(book: Book) -> list[Unfollowed]:
    """The cells with formulas of a person's own that call our functions with a number of an unknown unit."""
    found = []
    for pattern, cells in book.every_pattern():
        if pattern.ours and not book.known(cells[0]):
            why = list(dict.fromkeys(reasons(book, pattern.at(cells[0][1]), cells)))
            if why:
                found.append(Unfollowed(tuple(cells), "; ".join(why)))
    return found


def reasons(book: Book, formula: str, cells: list[Place]) -> Iterator[str]:
    """Why arguments of a formula could not be followed."""
    place = cells[0]
    for call in calls(formula, book.other_files):
        declaration = book.ours.get(call.name)
        for _, label, text in wants(declaration, call) if declaration else ():
            look = book.written.alone(text, place)
            if look is None:
                if any(each.kind in LOOKING for each in tokens(text)):
                    yield f"{label} of {call.name} is worked out inside the formula"
            elif not in_table(book, place):
                yield "it stands below a table"
            elif unit_of(book, look) is None and holds_number(book, look, text, cells):
                yield f"{label} of {call.name} looks at {text}, {unknown(book, look)}"


def holds_number(book: Book, look: Look, text: str, cells: list[Place]) -> bool:
    """True where a plain number is handed over, whose unit only the sheet can say; a text brings its own."""
    if look.single:
        return any(isinstance(value, float) for _, value in handed_over(book, cells, text))
    rows = range(look.top, min(look.bottom, look.top + MOST_LOOKED_AT - 1) + 1)
    return any(isinstance(book.value((look.sheet, row, look.left)), float) for row in rows)


def unknown(book: Book, look: Look) -> str:
    """What the sheet says in place of a unit."""
    if look.sheet not in book.sheets:
        return "which is on no sheet of the book"
    at = look.sheet, look.top if look.single else look.top + 1, look.left
    if not in_table(book, at):
        return "which stands below a table"
    said = unit_text(book, at)
    return f"where {said!r} is no unit that is known here" if said else "which has no unit"
