"""Values that stand in a cell and cannot be read there: hidden by number format, by colours or by size of letters."""

from collections.abc import Iterator

from xlcalc.core.errors import CalcError
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.looks import areas_without_errors, hidden_cells, looks_that_hide
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.volatile import is_input
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown


def invisible_values(book: Book) -> Iterator[Finding]:
    """Cells that count, or that a new workbook shows, and that do not show what they hold."""
    looks = looks_that_hide(book.package)
    for name, sheet in book.sheets.items():
        for row, column, look in hidden_cells(book.package, sheet.part, looks):
            place = name, row, column
            if (how := look.hides(book.value(place))) and counts(book, place):
                yield invisible(book, place, how)


def scaled_values(book: Book) -> Iterator[Finding]:
    """Cells of a new workbook whose number format shows thousands under a header that says another unit."""
    looks = {number: look for number, look in looks_that_hide(book.package).items() if look.scaled}
    for name, sheet in book.sheets.items() if looks else ():
        for row, column, _ in hidden_cells(book.package, sheet.part, looks):
            place, value = (name, row, column), book.value((name, row, column))
            if isinstance(value, float) and value and (book.known(place) or is_input(book, place)):
                yield Finding(
                    "value-scaled", (place,),
                    f"it holds {shown(value)} and is shown in thousands{book.title(place)}, by its number format",
                    "the number in the unit of its header",
                    "who reads the sheet reads a thousandth of what is worked with",
                    "take the comma at the end of the number format away, or copy the format of a cell beside it",
                    Sure.CERTAIN, Weight.WEAK, fault="shown in thousands",
                )  # fmt: skip


def errors_out_of_sight(book: Book) -> Iterator[Finding]:
    """Errors that a conditional format takes out of sight as soon as there are any."""
    for sheet in dict.fromkeys(each.place[0] for each in book.report.errors):
        hiding = list(areas_without_errors(book.package, book.sheets[sheet].part)) if sheet in book.sheets else []
        for each in book.report.errors if hiding else ():
            name, row, column = each.place
            if name == sheet and any(t <= row <= b and left <= column <= right for t, left, b, right in hiding):
                yield invisible(book, each.place, "by a conditional format for errors")


def counts(book: Book, place: Place) -> bool:
    """True for a typed value that formulas look at, an answer that a new workbook shows, and every error.

    A formula of the shop's own may be out of sight on purpose: what it gives shows where it is taken.
    """
    sheet, row, column = place
    if (row, column) in book.formulas(sheet):
        return book.known(place) or isinstance(book.value(place), CalcError)
    return book.looked_at(sheet).at(row, column)


def invisible(book: Book, place: Place, how: str) -> Finding:
    """A finding about a cell that does not show its value."""
    value = book.value(place)
    wrong = isinstance(value, CalcError)
    text = value.code if isinstance(value, CalcError) else shown(value)
    return Finding(
        "value-invisible", (place,),
        f"it holds {text} and does not show it{book.title(place)}: hidden {how}",
        "a value that can be read, in the look of the cells around it",
        "an error is in the sheet that nobody sees" if wrong else
        "whoever checks the sheet reads nothing here or something else, and the value counts all the same",
        "copy the format of a cell beside it (Format Painter) onto this one",
        Sure.CERTAIN, Weight.WRONG if wrong else Weight.WEAK, fault=f"hidden {how}",
    )  # fmt: skip
