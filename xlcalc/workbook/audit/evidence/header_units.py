"""The unit that a cell is in by what its sheet says: the unit under its header, or the one beside its label.

`workbook/explained/labels` gives a unit to go with the words for a cell. This one is to be reckoned with: no unit
rather than that of another cell, and none of what stands below a table.
"""

from functools import lru_cache

from xlcalc.core.errors import CalcError
from xlcalc.core.units import Unit, unit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.calculation.written import Look, Place
from xlcalc.workbook.explained.listing import Listing

ROUNDING = 1e-9
BESIDE = 4  # columns to the right of a cell in which its unit may stand


@lru_cache(4096)
def unit_in(text: str) -> Unit | None:
    """The unit that a header names, also with a remark in brackets; None where it names none."""
    for part in (text, text.partition("(")[0]):
        if part.strip():
            try:
                return unit(part.strip())
            except CalcError:
                continue
    return None


def unit_text(book: Book, place: Place) -> str:
    """The unit of a cell as the sheet spells it; empty where it says none."""
    sheet, row, column = place
    heads = book.headers(sheet)
    if found := heads.unit(row, column):
        return found
    top = heads.above(row)
    if top and heads.head(row, column) and row > top + 1:
        return ""
    typed = book.typed(sheet)
    for near in range(column + 1, column + 1 + BESIDE):
        value = typed.get((row, near))
        if isinstance(value, str):
            return value if unit_in(value) else ""
    return ""


def column_unit(book: Book, table: Listing, column: int) -> str:
    """The unit of a column of a table as the sheet spells it; empty where it says none."""
    return book.headers(table.sheet).unit(table.head_row + 2, column)  # headers and units take a row each


def in_table(book: Book, place: Place) -> bool:
    """True for a cell of a table's rows, and not for one of what stands below the row that ends it."""
    return not book.section(place)[1]


def unit_of(book: Book, look: Look) -> Unit | None:
    """The unit of an area: that of its column, or that beside a single cell."""
    row = look.top if look.single else look.top + 1
    place = look.sheet, row, look.left
    return unit_in(unit_text(book, place)) if look.sheet in book.sheets and in_table(book, place) else None


def alike(one: Unit, other: Unit) -> bool:
    """True for two spellings of one unit; a plain pressure may be above or below the atmosphere, but not absolute."""
    if one.dimension != other.dimension or abs(one.factor / other.factor - 1) > ROUNDING:
        return False
    flavours = {one.flavour, other.flavour}
    return one.flavour == other.flavour or flavours in ({"", "gauge"}, {"", "vacuum"})
