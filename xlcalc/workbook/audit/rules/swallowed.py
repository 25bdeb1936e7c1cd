"""Errors that do not show: swallowed by a formula, typed over in a column of Checks, or shown by one cell alone."""

import re
from collections import Counter
from collections.abc import Iterator

from xlcalc.core.errors import CalcError
from xlcalc.core.verdicts import CANNOT, NOT_CHECKED, short
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern, read
from xlcalc.workbook.audit.reading.sections import Column
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.listing import Listing
from xlcalc.workbook.explained.workings import CannotTell, shown
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import Call, calls

CATCHES = ("IFERROR", "IFNA")
ASKS = ("ISERROR", "ISERR", "ISNA")
PLAIN = re.compile(r'-?[0-9.]+%?|"(?:[^"]|"")*"|TRUE|FALSE|', re.IGNORECASE)
SAYS_SO = (short(CANNOT), NOT_CHECKED)
QUICK = ("IFERROR(", "IFNA(", "ISERROR(", "ISERR(", "ISNA(")


def swallowed_errors(book: Book) -> Iterator[Finding]:
    """Cells that put a plain value in the place of an error, where the column or a new book does not."""
    yield from swallowed_alone(book)
    for table in book.every_table():
        rows = set(table.rows)
        for column in book.columns(table.sheet):
            guarded = any(word in pattern.key for pattern in set(column.patterns) for word in QUICK)
            if column.top == table.head_row and not column.after and guarded:
                for key, places in column.groups().items():
                    pattern = column.patterns[places[0]]
                    if any(word in key for word in QUICK):
                        cells = [(table.sheet, column.rows[place], column.column) for place in places]
                        yield from swallows(book, column, pattern, [cell for cell in cells if cell[1] in rows])


def swallowed_alone(book: Book) -> Iterator[Finding]:
    """Cells outside of all tables, on a shop's own sheet, whose formula is a guarded call of ours."""
    for pattern, places in book.every_pattern():
        sheet = places[0][0]
        if pattern.ours and any(word in pattern.key for word in QUICK) and not book.tables(sheet):
            cells = [place for place in places if not book.known(place)]
            alone = Column(sheet, pattern.column, 0, False, [row for _, row, _ in cells], [pattern] * len(cells))
            yield from swallows(book, alone, pattern, cells)


def swallows(book: Book, column: Column, pattern: Pattern, cells: list[Place]) -> Iterator[Finding]:
    """A finding where a pattern hides the error of a call of ours, or of what the rest of its column says."""
    if not cells:
        return
    formula = pattern.at(cells[0][1])
    for call in calls(formula, book.other_files):
        if (caught := inside(call)) is None:
            continue
        inner, instead = caught
        ours = [each for each in calls(inner, book.other_files) if each.name in book.ours]
        bare = any((each.start, each.end) == (0, len(inner)) for each in ours)
        whole = bare and (call.start, call.end) == (0, len(formula))
        like = read(inner, cells[0][1], column.column, book.ours, book.other_files).key
        others = like != pattern.key and any(each.key == like for each in column.patterns)
        if others or (whole and not any(book.ours[each.name].about for each in ours)):
            yield hidden(book, cells, inner, instead, ours)
            return


def inside(call: Call) -> tuple[str, str] | None:
    """What a call guards against an error, and the plain value it puts in its place; None where it does neither."""
    texts = [each.text.strip() for each in call.arguments]
    if call.name in CATCHES and len(texts) == 2:
        return (texts[0], texts[1]) if PLAIN.fullmatch(texts[1]) else None
    if call.name == "IF" and len(texts) == 3:
        for asked in calls(texts[0]):
            if asked.name in ASKS and (asked.start, asked.end) == (0, len(texts[0])) and asked.arguments:
                same = asked.arguments[0].text.strip() == texts[2]
                return (texts[2], texts[1]) if same and PLAIN.fullmatch(texts[1]) else None
    return None


def hidden(book: Book, cells: list[Place], inner: str, instead: str, ours: list[Call]) -> Finding:
    """A finding about a formula that hides errors; what it hides now is told."""
    now = next((why for cell in cells if (why := hides_now(book, cell, instead, ours))), "")
    return Finding(
        "error-swallowed", tuple(cells),
        f"an error is shown as {instead or 'nothing'}{f', and there is one now: {now}' if now else ''}",
        f"{inner} by itself, whose error shows and is said in words in the Check",
        "a value that cannot be worked out looks like one that was, and the row passes with it",
        "take the IFERROR, IFNA or IF(ISERROR()) around it away",
        Sure.CERTAIN if now else Sure.LIKELY, Weight.WRONG if now else Weight.WEAK,
    )  # fmt: skip


def hides_now(book: Book, cell: Place, instead: str, ours: list[Call]) -> str:
    """Why one of the calls fails now where the cell shows what stands in the place of an error; empty where none."""
    if shown(book.value(cell)) != (instead.strip('"') or "blank"):
        return ""
    for made in sorted(ours, key=lambda each: each.end):
        written = next((each for each in book.workings.ours(cell) if each.name == made.name), None)
        try:
            error = book.workings.error(written, cell) if written else None
        except CannotTell:
            continue
        if error is not None:
            return str(error) or error.code
    return ""


def typed_checks(book: Book) -> Iterator[Finding]:
    """Words or numbers typed into a column of Checks."""
    for table in book.every_table():
        typed = book.typed(table.sheet)
        worked = Counter(row for row, _ in book.formulas(table.sheet))
        fewest = max((worked[row] for row in table.rows), default=0) / 2
        rows = [row for row in table.rows if (row, table.check) in typed and worked[row] >= fewest]
        for cell in [(table.sheet, row, table.check) for row in rows] if len(rows) < len(table.rows) else ():
            yield Finding(
                "check-typed", (cell,),
                f"{shown(typed[cell[1:]])!r} was typed here{book.title(cell)}",
                "the formula of the column, which works the verdict out",
                "the verdict stays whatever is changed in the row, and no limit is looked at any more",
                "fill the formula of the column into this cell again",
                Sure.CERTAIN, Weight.WRONG,
            )  # fmt: skip


def lone_errors(book: Book) -> Iterator[Finding]:
    """Cells that show an error where no other filled cell of their column does, and whose row does not say so.

    An answer of our functions that is an error has its reason, which the Check of the row weighs.
    """
    errors = {each.place for each in book.report.errors}
    columns = {(sheet, column) for sheet, _, column in errors}
    for table in book.every_table() if errors else ():
        rows = set(table.rows)
        for column in book.columns(table.sheet):
            if (table.sheet, column.column) in columns and column.top == table.head_row and not column.after:
                places = [(table.sheet, row, column.column)
                          for row, pattern in zip(column.rows, column.patterns, strict=True)
                          if row in rows and not pattern.ours]  # fmt: skip
                yield from lone(book, table, places)


def lone(book: Book, table: Listing, places: list[Place]) -> Iterator[Finding]:
    """The errors of one column that are neither usual there nor handed on."""
    values = [book.value(place) for place in places]
    counts = Counter(kind_of(value) for value in values)
    if not 0 < counts["error"] <= max(1, counts["value"] // 10):
        return
    for place, value in zip(places, values, strict=True):
        if isinstance(value, CalcError) and not said(book, table, place[1]) and not handed_on(book, place):
            yield Finding(
                "error-value", (place,),
                f"{value.code}{': ' if (why := book.workings.why(place)) else ''}{why}",
                "a value, as in the other rows of the column",
                "whatever takes it is an error too, or leaves it out without a word",
                "mend what the cell looks at, or its formula",
                Sure.CERTAIN, Weight.WRONG,
            )  # fmt: skip


def kind_of(value: Value) -> str:
    """What a cell counts as: an error, a value, or nothing."""
    return "error" if isinstance(value, CalcError) else "" if value in (None, "") else "value"


def said(book: Book, table: Listing, row: int) -> bool:
    """True where the Check of a row says that something is missing or cannot be worked out."""
    check = book.value((table.sheet, row, table.check))
    return not isinstance(check, CalcError) and (not isinstance(check, str) or check.startswith(SAYS_SO) or not check)


def handed_on(book: Book, place: Place) -> bool:
    """True where a cell that the formula looks at is an error itself."""
    looks = book.written.looks(book.formula(place), place)
    held = (each for look in looks if look.sheet in book.sheets for each in book.workings.held(look))
    return any(isinstance(book.value(each), CalcError) for each in held if each != place)
