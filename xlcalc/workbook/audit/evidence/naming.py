"""What a defined name is called after: the header of its column, or the label beside its cell.

Unlike the words of `workbook/explained/labels` these go by typed texts alone, so that they are the same in a new
workbook and in a job whatever is worked out there: by them a name is known again when it was moved.
"""

from typing import NamedTuple

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.calculation.written import Look
from xlcalc.workbook.explained.headers import is_unit

CELL, COLUMN, AREA = "cell", "column", "area"
BOTH = " / "
FAR = 12  # columns to the left in which a label is looked for
BESIDE = 3  # columns to the right of a label in which its own figure stands
PRINTING = "_xlnm."  # how the names begin that a spreadsheet makes for itself


class Named(NamedTuple):
    """A name: what kind of area it stands for, the header or label of that, and where it is.

    `text` is what the book says it stands for. A cell in a row with a label and a column with a header has both in
    `head`.
    """

    kind: str
    head: str
    sheet: str
    top: int
    left: int
    bottom: int
    right: int
    text: str


def named(book: Book) -> dict[str, Named]:
    """The names of a book that stand for one area of one sheet, print settings left out.

    Where a name of one sheet is called like one of the book, that of the book counts.
    """
    found = {}
    for each in sorted(book.package.defined_names(), key=lambda each: each.sheet is None):
        looks = book.written.looks(each.text, (each.sheet or "", 1, 1)) if not each.name.startswith(PRINTING) else []
        if len(looks) == 1 and looks[0].sheet in book.sheets and looks[0].by == each.text:
            look = looks[0]
            kind = CELL if look.single else COLUMN if look.left == look.right else AREA
            head = (cell_head if kind == CELL else column_head)(book, look.sheet, look.top, look.left)
            head = head or own_word(book, each.name, look)
            found[each.name] = Named(kind, head, *look[:5], each.text)
    return found


def column_head(book: Book, sheet: str, row: int, column: int) -> str:
    """The header over an area that begins with the first row of data or with the row above it."""
    heads = book.headers(sheet)
    return heads.head(row + 1, column).strip() or label(book, sheet, row, column)


def cell_head(book: Book, sheet: str, row: int, column: int) -> str:
    """The label on the left of a cell, and the header above it where there is one."""
    heads = (label(book, sheet, row, column), book.headers(sheet).head(row, column).strip())
    return BOTH.join(dict.fromkeys(filter(None, heads)))


def own_word(book: Book, name: str, look: Look) -> str:
    """The name itself where it stands in words over its cell."""
    return name if look.single and book.typed(look.sheet).get((look.top - 1, look.left)) == name else ""


def label(book: Book, sheet: str, row: int, column: int) -> str:
    """The text on the left of a cell, units left out; the nearest one counts."""
    typed = book.typed(sheet)
    for near in range(column - 1, max(0, column - FAR), -1):
        value = typed.get((row, near))
        if isinstance(value, str) and not is_unit(value):
            return value.strip()
    return ""


def beside_label(column: int) -> range:
    """The columns right of a label in which the figure or formula may stand that it speaks of, the nearest first."""
    return range(column + 1, column + 1 + BESIDE)
