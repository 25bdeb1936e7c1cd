"""Quantities typed with a unit of another kind than the one under their header: no formula can read them."""

from collections.abc import Iterator, Mapping
from math import inf

from xlcalc.core.errors import CalcError, WrongKind
from xlcalc.core.quantities import Difference, Quantity, Temperature, Vacuum
from xlcalc.core.units import Unit, quantity
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import in_table, unit_in
from xlcalc.workbook.audit.finding import Finding, Sure, Weight

READERS: Mapping[str, type[Quantity]] = {
    "": Quantity, "gauge": Quantity, "vacuum": Vacuum, "temperature": Temperature, "kelvin": Difference,
    "difference": Difference,
}  # fmt: skip
FIRST_LETTERS = frozenset("-.0123456789")  # of a quantity
EITHER = {"", "vacuum"}  # a plain pressure may be meant below the atmosphere


def other_kinds(book: Book) -> Iterator[Finding]:
    """Typed cells of a table whose own unit is of another kind than the header's."""
    for sheet in book.sheets:
        heads = book.headers(sheet)
        for (row, column), value in book.texts(sheet).items():
            place = sheet, row, column
            if value[:1] not in FIRST_LETTERS:
                continue
            header = unit_in(heads.unit(row, column))
            if header is not None and in_table(book, place) and (why := refused(header, value)):
                yield Finding(
                    "unit-of-other-kind", (place,),
                    f"{value} here{book.title(place)}", f"a number in {header.printed}, or with a unit of that kind",
                    f"{why}; what asks for the cell has no answer",
                    f"type what is meant in {header.printed}", Sure.CERTAIN, Weight.WRONG,
                )  # fmt: skip


def refused(header: Unit, text: str) -> str:
    """Why a quantity is not one of the kind of a header's unit; empty where it is, and where it is no quantity."""
    try:
        _, said = quantity(text)
    except CalcError:
        return ""
    reader = READERS.get(header.flavour)
    if reader is None or said is None:
        return ""
    if said.dimension == header.dimension and {header.flavour, said.flavour} == EITHER:
        return ""
    try:
        reader(header.text, -inf, inf).check_unit(said, text)
    except WrongKind as fault:
        return str(fault)
    return ""
