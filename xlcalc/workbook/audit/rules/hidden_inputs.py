"""Typed numbers that decide answers where nobody sees them: in hidden columns, and in hidden rows outside of tables."""

from collections import defaultdict
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.limits_used import limits_used
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.settings import YES
from xlcalc.workbook.audit.rules.table_rows import hidden_numbers, hidden_rows
from xlcalc.workbook.formulas import LAST_COLUMN, column_letters
from xlcalc.workbook.package import MAIN
from xlcalc.workbook.written import Place


def hidden_columns(book: Book) -> Iterator[Finding]:
    """Hidden columns with typed numbers that formulas look at; a fold shows by its + that there is something."""
    for sheet in book.sheets:
        found: dict[int, list[Place]] = defaultdict(list)
        for place in used_numbers(book, sheet) if (columns := unseen_columns(book, sheet)) else ():
            if place[2] in columns:
                found[place[2]].append(place)
        for column, places in sorted(found.items()):
            letters, head = column_letters(column), book.title(places[0])
            yield unseen(places, f"column {letters}", head, f"select the columns beside {letters} and choose Unhide")


def hidden_input_rows(book: Book) -> Iterator[Finding]:
    """Hidden rows outside of tables and totals with typed numbers that formulas look at.

    A limit of Start that has its default hides nothing that a new workbook does not have.
    """
    rows = {sheet: set(hidden_numbers(book, sheet)) for sheet in book.sheets}
    if not any(rows.values()):
        return
    told = {each.cells[0][:2] for each in hidden_rows(book)}
    defaults = {each.default_place for each in limits_used(book).values() if not each.changed}
    for sheet, hidden in rows.items():
        found: dict[int, list[Place]] = defaultdict(list)
        for place in used_numbers(book, sheet) if hidden else ():
            if place[1] in hidden and place[:2] not in told and place not in defaults:
                found[place[1]].append(place)
        for row, places in sorted(found.items()):
            mend = f"select the rows around {row} and choose Unhide"
            yield unseen(places, f"row {row}", book.title(places[0]), mend)


def unseen_columns(book: Book, sheet: str) -> set[int]:
    """The columns of a sheet that are hidden or drawn to no width, without those of a fold."""
    found: set[int] = set()
    for each in book.package.around_rows(book.sheets[sheet].part).iter(f"{MAIN}col"):
        gone = each.get("hidden", "0") in YES or each.get("width", "9").strip("0.") == ""
        first, last = each.get("min", ""), each.get("max", "")
        if gone and each.get("outlineLevel", "0") == "0" and first.isdecimal() and last.isdecimal():
            found.update(range(int(first), min(int(last), LAST_COLUMN) + 1))
    return found


def used_numbers(book: Book, sheet: str) -> Iterator[Place]:
    """The typed numbers of a sheet that formulas look at, from left to right in their rows."""
    looked_at = book.looked_at(sheet)
    for (row, column), value in sorted(book.typed(sheet).items()):
        if isinstance(value, float) and not isinstance(value, bool) and looked_at.at(row, column):
            yield sheet, row, column


def unseen(places: list[Place], what: str, head: str, mend: str) -> Finding:
    """A finding about a hidden column or row."""
    numbers = f"{len(places)} typed numbers that formulas look at" if len(places) > 1 else "a typed number that counts"
    return Finding(
        "hidden-inputs", tuple(places),
        f"{what} is hidden and holds {numbers}{head}",
        "inputs where whoever checks the job sees them",
        "a number that decides an answer cannot be seen, checked or changed",
        f"{mend}, or fold it with Data > Group, which shows that something is there",
        Sure.CERTAIN, Weight.WEAK,
    )  # fmt: skip
