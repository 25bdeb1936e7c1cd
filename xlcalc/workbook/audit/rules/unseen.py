"""What nobody sees in hidden columns, and in hidden rows outside of tables: numbers that count, Checks, answers."""

from collections import defaultdict
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.limits_used import limits_used
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.settings import YES
from xlcalc.workbook.audit.rules.table_rows import counted_out_of_sight, hidden_numbers
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import PASSED, is_verdict, single_checks
from xlcalc.workbook.file.package import MAIN
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import LAST_COLUMN, column_letters


def hidden_columns(book: Book) -> Iterator[Finding]:
    """Hidden columns with typed numbers that formulas look at; a fold shows by its + that there is something.

    A column is hidden for what the first of the tables under each other has in it: where those are words, it is left
    alone.
    """
    for sheet in book.sheets:
        columns = unseen_columns(book, sheet)
        found: dict[int, list[Place]] = defaultdict(list)
        for place in used_cells(book, sheet) if columns else ():
            if place[2] in columns and place[1] not in book.headers(sheet).rows:
                found[place[2]].append(place)
        for column, places in sorted(found.items()):
            first = book.section(places[0])
            numbers = [place for place in places if is_number(book, place)]
            if any(book.section(place) == first for place in numbers):
                letters, head = column_letters(column), book.title(numbers[0])
                yield unseen(numbers, f"column {letters}", head, f"select the columns beside {letters}, choose Unhide")


def hidden_input_rows(book: Book) -> Iterator[Finding]:
    """Hidden rows outside of tables and totals with typed numbers that formulas look at.

    The default of a limit is what a new workbook has too: it hides nothing.
    """
    rows = untold_rows(book)
    defaults = {each.default_place for each in limits_used(book).values()} if rows else set()
    for sheet, hidden in rows.items():
        found: dict[int, list[Place]] = defaultdict(list)
        for place in used_cells(book, sheet):
            if place[1] in hidden and place not in defaults and is_number(book, place):
                found[place[1]].append(place)
        for row, places in sorted(found.items()):
            yield unseen(places, f"row {row}", book.title(places[0]), f"select the rows around {row}, choose Unhide")


def hidden_answers(book: Book) -> Iterator[Finding]:
    """Rows hidden out of a block of answers whose first row is shown: the customer's page without its tax, say.

    Who does not need a block hides the whole of it.
    """
    for sheet, hidden in untold_rows(book).items():
        heads, folds = book.headers(sheet), unseen_columns(book, sheet, folds=True)
        for row in sorted(hidden):
            answers = [(sheet, row, column) for column in sorted(book.rows(sheet)[row].formulas) if column not in folds]
            shown = [place for place in answers if book.known(place) and is_number(book, place) and book.value(place)]
            if shown and heads.block(row) not in hidden:
                values = " and ".join(map(book.workings.said, shown))
                yield Finding(
                    "hidden-answer", tuple(shown),
                    f"row {row} is hidden, and {values} in it{book.title(shown[-1])}",
                    "all rows of the block, as in a new workbook",
                    "what is shown above and below does not tell the whole, and may not add up",
                    f"select the rows around {row}, choose Unhide",
                    Sure.POSSIBLE, Weight.WEAK,
                )  # fmt: skip


def untold_rows(book: Book) -> dict[str, set[int]]:
    """The hidden rows of each sheet that hold anything and that no table and no total takes in."""
    rows = {sheet: set(hidden_numbers(book, sheet)) & book.rows(sheet).keys() for sheet in book.sheets}
    told = {each.cells[0][:2] for each in counted_out_of_sight(book)} if any(rows.values()) else set()
    left = {sheet: {row for row in hidden if (sheet, row) not in told} for sheet, hidden in rows.items()}
    return {sheet: hidden for sheet, hidden in left.items() if hidden}


def hidden_checks(book: Book) -> Iterator[Finding]:
    """Hidden columns of Checks and hidden single Checks, where one of them asks for something."""
    for sheet in book.sheets:
        columns, rows = unseen_columns(book, sheet), set(hidden_numbers(book, sheet))
        if not (columns or rows):
            continue
        tables = book.tables(sheet)
        for table in tables:
            asking = [(sheet, row, table.check) for row in table.rows if asks(book.value((sheet, row, table.check)))]
            if asking and table.check in columns:
                yield unread(book, asking, f"column {column_letters(table.check)}")
        for row, column in single_checks(book.report, sheet, book.headers(sheet), tables):
            if (row in rows or column in columns) and asks(book.value((sheet, row, column))):
                what = f"row {row}" if row in rows else f"column {column_letters(column)}"
                yield unread(book, [(sheet, row, column)], what)


def asks(value: Value) -> bool:
    """True for a verdict that asks for something."""
    return isinstance(value, str) and is_verdict(value) and value != PASSED


def unread(book: Book, places: list[Place], what: str) -> Finding:
    """A finding about Checks that nobody sees."""
    return Finding(
        "hidden-check", tuple(places),
        f"{what} is hidden, and a Check in it says: {book.value(places[0])}",
        "Checks where whoever checks the job sees them",
        "what has to be changed is said where nobody reads it",
        f"select what stands beside {what} and choose Unhide",
        Sure.CERTAIN, Weight.WEAK,
    )  # fmt: skip


def unseen_columns(book: Book, sheet: str, *, folds: bool = False) -> set[int]:
    """The columns of a sheet that are hidden or drawn to no width, with or without those of a fold."""
    found: set[int] = set()
    for each in book.package.around_rows(book.sheets[sheet].part).iter(f"{MAIN}col"):
        gone = each.get("hidden", "0") in YES or each.get("width", "9").strip("0.") == ""
        first, last = each.get("min", ""), each.get("max", "")
        if gone and (folds or each.get("outlineLevel", "0") == "0") and first.isdecimal() and last.isdecimal():
            found.update(range(int(first), min(int(last), LAST_COLUMN) + 1))
    return found


def used_cells(book: Book, sheet: str) -> Iterator[Place]:
    """The typed cells of a sheet that formulas look at, from left to right in their rows."""
    looked_at = book.looked_at(sheet)
    yield from ((sheet, *cell) for cell in sorted(book.typed(sheet)) if looked_at.at(*cell))


def is_number(book: Book, place: Place) -> bool:
    """True for a cell that holds a number."""
    return isinstance(book.value(place), float)


def unseen(places: list[Place], what: str, head: str, mend: str) -> Finding:
    """A finding about a hidden column or row."""
    numbers = f"{len(places)} typed numbers that formulas look at" if len(places) > 1 else "a typed number that counts"
    return Finding(
        "hidden-inputs", tuple(places),
        f"{what} is hidden and holds {numbers}{head}",
        "inputs where whoever checks the job sees them",
        "a number that decides an answer cannot be seen, checked or changed",
        f"{mend}; a fold (Data > Group) shows that something is there",
        Sure.CERTAIN, Weight.WEAK,
    )  # fmt: skip
