"""Units under headers that are not those of a new workbook, where header and table still have their names."""

from collections.abc import Iterator
from typing import NamedTuple

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import alike, unit_in
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.explained.headers import WIDEST


class Heading(NamedTuple):
    """A header of a table with the unit under it: where the unit stands, and the header over the names of the rows."""

    table: str
    head: str
    unit: str
    row: int
    column: int


def headings(book: Book, sheet: str) -> Iterator[Heading]:
    """The headers of a sheet that have a typed unit under them, called as in a new workbook."""
    heads = book.headers(sheet)
    for top in heads.rows:
        row = top + 1
        known = book.known_heads(sheet, top)
        texts = {column: known.get(column, heads.head(row, column).strip()) for column in range(1, WIDEST)}
        table = next((text for text in texts.values() if text), "")
        for column, head in texts.items():
            unit = heads.unit(row + 1, column).strip()
            if head and unit and (row, column) not in book.formulas(sheet):
                yield Heading(table, head, unit, row, column)


def changed_units(book: Book) -> Iterator[Finding]:
    """Units under headers that say something else than in a new workbook."""
    known: dict[tuple[str, str], list[str]] = {}
    for row in raw_rows("audit/known_units"):
        known.setdefault((row["table"], row["head"]), []).append(row["unit"])
    for sheet in book.sheets:
        for each in headings(book, sheet):
            units = known.get((each.table, each.head), [])
            expected = " or ".join(units)
            if units and not any(unit == each.unit or spelled_alike(unit, each.unit) for unit in units):
                yield Finding(
                    "unit-of-header", ((sheet, each.row, each.column),),
                    f"the unit under {each.head} is {each.unit}", f"{expected}, as in a new workbook",
                    f"the numbers below are still taken as {expected}, whatever the header says",
                    f"put {expected} back; a number may carry a unit of its own in the cell",
                    Sure.LIKELY, Weight.WRONG,
                )  # fmt: skip


def changed_units_of_forms(book: Book) -> Iterator[Finding]:
    """Units beside the cells of a form, such as the job on Start, that say something else than in a new workbook."""
    for match in book.canon.matches.values():
        for known in match.known.rows:
            if known.repeated or len(known.texts) != len(("label", "unit")):
                continue
            (_, label), (at, expected) = sorted(known.texts.items())
            for row in match.rows_of.get(known.first, []):
                column = match.column_of.get(at, 0)
                there = book.rows(match.sheet)[row].texts if row in book.rows(match.sheet) else {}
                unit = there.get(column, "").strip()
                both = unit_in(expected) and unit_in(unit) and label in there.values()
                if both and not spelled_alike(expected, unit):
                    yield Finding(
                        "unit-of-header", ((match.sheet, row, column),),
                        f"the unit beside {label} is {unit}", f"{expected}, as in a new workbook",
                        f"the number beside it is still taken as {expected}",
                        f"put {expected} back; a number may carry a unit of its own in the cell",
                        Sure.LIKELY, Weight.WRONG,
                    )  # fmt: skip


def spelled_alike(one: str, other: str) -> bool:
    """True for two spellings of one unit."""
    units = unit_in(one), unit_in(other)
    return units[0] is not None and units[1] is not None and alike(units[0], units[1])
