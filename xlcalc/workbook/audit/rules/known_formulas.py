"""Formulas of a workbook made from the template that do not say what the template says, and cells that lost theirs."""

from collections import Counter
from collections.abc import Iterator

from xlcalc.core.words import plural
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import difference
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.known.matching import Match
from xlcalc.workbook.audit.known.template import KnownRow
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.reading.rows import SheetRow
from xlcalc.workbook.audit.rules.replaced import missing, typed_over
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import column_letters

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST_OF_A_COLUMN = 3  # rows that all differ in the same way: the column was made another one


def known_formulas(book: Book) -> Iterator[Finding]:
    """Cells of the template's sheets that say something else than they do in the template."""
    for match in book.canon.matches.values():
        otherwise = book.other_layout(match.sheet)
        if otherwise:
            yield laid_out_otherwise(match, len(otherwise))
        for known in match.known.rows:
            held = book.rows(match.sheet)
            rows = [row for row in match.rows_of.get(known.first, []) if row in held]  # an emptied row was taken out
            for column_known, wanted in known.formulas.items():
                column = match.column_of.get(column_known)
                if rows and column and (known.first, column_known) not in otherwise:
                    yield from of_column(book, match, known, rows, column, wanted)


def laid_out_otherwise(match: Match, count: int) -> Finding:
    """A sheet of a book of another version that has so much otherwise that no person changed it."""
    return Finding(
        "other-layout", (),
        f"{plural(count, 'formula')} (of its tables, whole columns) are missing or not those of a new workbook",
        "a sheet as in a new workbook of the version installed here",
        "so it looks where another version made the book: these formulas were not compared, the others were",
        "audit it with the version that made it, or copy what is typed into a new workbook (xlcalc new)",
        Sure.LIKELY, Weight.NOTE, f"the sheet {match.sheet}",
    )  # fmt: skip


def of_column(
    book: Book, match: Match, known: KnownRow, rows: list[int], column: int, wanted: Pattern
) -> Iterator[Finding]:
    """The cells of one column of a table, or one cell, beside the formula that the template has there."""
    held = book.rows(match.sheet)
    same: dict[int, bool] = {}
    other = Counter[str]()
    wrong: list[tuple[int, Pattern]] = []
    for row in rows:
        pattern = held[row].formulas.get(column)
        if pattern is None:
            yield from without_formula(book, match, known, held[row], (match.sheet, row, column), wanted)
            continue
        if id(pattern) not in same or not known.repeated:
            same[id(pattern)] = book.canon.same(pattern, match, row, known, wanted)
        if not same[id(pattern)]:
            other[pattern.key] += 1
            wrong.append((row, pattern))
    for row, pattern in wrong:
        whole = other[pattern.key] == len(rows) >= FEWEST_OF_A_COLUMN
        yield other_formula(book, match, known, (match.sheet, row, column), pattern, wanted, whole=whole)


def without_formula(
    book: Book, match: Match, known: KnownRow, row: SheetRow, place: Place, wanted: Pattern
) -> Iterator[Finding]:
    """A cell of the template that lost its formula, typed over or emptied."""
    _, number, column = place
    expected = book.canon.expected(wanted, match, known, number) or wanted.at(known.first)
    if column in row.texts or column in row.numbers:
        yield typed_over(book, place, expected, "the template has")
    elif 2 * len(row.formulas) >= len(known.formulas):
        yield missing(book, place, expected, "the template has")


def other_formula(
    book: Book, match: Match, known: KnownRow, place: Place, pattern: Pattern, wanted: Pattern, *, whole: bool
) -> Finding:
    """A cell with another formula than in the template; a book of another version may have it by right."""
    row = place[1]
    unsure, of_version = whole or book.other_version, " of the version installed here" if book.other_version else ""
    expected = book.canon.expected(wanted, match, known, row)
    apart = difference(pattern.at(row), expected or wanted.at(known.first))
    where = "" if expected else f" in {column_letters(wanted.column)}{known.first}"
    mend = "type the expected formula" + (", or copy it from a cell of the same column" if known.repeated else "")
    return Finding(
        "other-formula",
        (place,),
        f"{apart.there_formula}{book.title(place)}",
        f"{apart.expected_formula}, as the template{of_version} has it{where}",
        f"the whole column has another formula than the template: {apart.words}" if whole else apart.words,
        "if the change is meant, say so in a note beside it; else put the expected formula back" if whole else mend,
        Sure.POSSIBLE if unsure else Sure.LIKELY,
        Weight.NOTE if unsure else Weight.WRONG,
        fault=f"{pattern.key} for {wanted.key}",
    )
