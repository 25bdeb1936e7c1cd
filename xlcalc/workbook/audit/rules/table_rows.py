"""Rows that a total takes though nobody sees them, or that stand where nothing takes them."""

from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.known.matching import Match
from xlcalc.workbook.audit.known.template import KnownRow
from xlcalc.workbook.audit.reading.areas import Total
from xlcalc.workbook.audit.reading.rows import SheetRow
from xlcalc.workbook.calculation.hidden_rows import SEEN_BUT_FILTERED, hidden_rows
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.package import MAIN
from xlcalc.workbook.file.validations import areas as areas_of
from xlcalc.workbook.formulas import address, calls

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
BELOW = 4  # rows below the end of a table in which a row is taken for one that was meant to be in it
FEWEST_CELLS = 3  # typed cells that make a row of a table


def counted_out_of_sight(book: Book) -> Iterator[Finding]:
    """Hidden rows with something in them that counts all the same."""
    for sheet, where in book.sheets.items():
        match, hidden_ones = book.canon.match(sheet), hidden_numbers(book, sheet)
        areas = [total for total in book.totals if total.look.sheet == sheet] if hidden_ones else []
        filtered = filtered_rows(book, where.part) if hidden_ones else set()
        for row in hidden_ones:
            held = book.rows(sheet).get(row)
            if held is None:
                continue
            if match and match.repeated(match.rows.get(row, 0)):
                if held.texts or held.numbers or book.value((sheet, row, min(held.filled))) not in (None, ""):
                    yield hidden(sheet, row, held, "the counts and totals of its table")
                continue
            over = next((total for total in areas if total.look.covers((sheet, row, total.look.left))
                         and book.value((sheet, row, total.look.left)) not in (None, "")
                         and takes_hidden(total, by_filter=row in filtered)), None)  # fmt: skip
            if over:
                yield hidden(sheet, row, held, f"{address(*over.place)} ({over.name} of {over.look.by})")


def hidden_numbers(book: Book, sheet: str) -> list[int]:
    """The rows of a sheet that nobody sees, from top to bottom."""
    return hidden_rows(book.package.read(book.sheets[sheet].part))


def filtered_rows(book: Book, part: str) -> set[int]:
    """The rows of a sheet that a filter with a condition may hide; SUBTOTAL leaves what a filter hides out."""
    found: set[int] = set()
    tables = (book.package.tree(table) for kind, table in book.package.related(part).values() if kind == "table")
    for each in (each for root in (book.package.around_rows(part), *tables) for each in root.iter(f"{MAIN}autoFilter")):
        asks = each.find(f"{MAIN}filterColumn") is not None  # one that only sorts hides nothing
        for top, _, bottom, _ in areas_of(each.get("ref") or "") if asks else ():
            found.update(range(top + 1, bottom + 1))
    return found


def takes_hidden(total: Total, *, by_filter: bool) -> bool:
    """True for a total that takes a hidden row in; a SUBTOTAL does with one hidden by hand, if its number says so."""
    if total.name != "SUBTOTAL" or by_filter:
        return total.name != "SUBTOTAL"
    made = next(each for each in calls(total.pattern.at(total.place[1])) if each.name == total.name)
    return made.arguments[0].text.strip() in SEEN_BUT_FILTERED


def hidden(sheet: str, row: int, held: SheetRow, total: str) -> Finding:
    """A hidden row that counts."""
    columns = sorted(held.filled)
    name = next((text for _, text in sorted(held.texts.items())), "")
    return Finding(
        "hidden-row",
        tuple((sheet, row, column) for column in columns),
        f"row {row}{f' ({name})' if name else ''} is hidden, by hand or by a filter",
        "a row that counts can be seen",
        f"{total} take it in, and whoever checks them on the sheet comes to another answer",
        f"show row {row} (clear the filter, or select the rows around it and choose Unhide), or take it out",
        Sure.CERTAIN,
        Weight.WEAK,
    )


def rows_outside(book: Book) -> Iterator[Finding]:
    """Rows typed below the line that ends a table, and rows in a table without its formulas."""
    for match in book.canon.matches.values():
        for known in match.known.rows:
            rows = match.rows_of.get(known.first, [])
            if known.repeated and rows:
                yield from below(book, match, known, rows)
                yield from without_formulas(book, match, known, rows)


def below(book: Book, match: Match, known: KnownRow, rows: list[int]) -> Iterator[Finding]:
    """The rows below the end of a table that look like rows of it."""
    ends = match.rows_of.get(known.last + 1, [])
    held = book.rows(match.sheet)
    leftmost = max((min(typed) for row in rows if (typed := {*held[row].texts, *held[row].numbers})), default=1)
    for row in range(ends[0] + 1, ends[0] + 1 + BELOW) if ends else ():
        each = held.get(row)
        if each is None or match.known.at(match.rows.get(row, 0)) is not None:
            continue
        alike = {pattern.key for pattern in each.formulas.values()} & {p.key for p in held[rows[-1]].formulas.values()}
        named = min(each.filled) <= leftmost and len(each.filled & set(match.columns)) > 1
        if len(alike) >= FEWEST_CELLS or named:
            yield outside(match.sheet, row, each, ends[0])


def typed_cells(row: SheetRow, match: Match, known: KnownRow) -> int:
    """How many cells of a row are filled in that a person fills in, in a table."""
    typed = {column for column, there in match.columns.items() if there not in known.formulas}
    return len(typed & {*row.texts, *row.numbers})


def outside(sheet: str, row: int, each: SheetRow, end: int) -> Finding:
    """A row below the end of its table."""
    return Finding(
        "row-outside",
        tuple((sheet, row, column) for column in sorted(each.filled)),
        f"row {row} stands below row {end}, which ends the table",
        "rows of the table stand above the line that ends it",
        "no count, total, list or other sheet takes it in",
        f"insert a row above row {end}, fill the formulas down, and move the typed cells there",
        Sure.LIKELY,
        Weight.WRONG,
    )


def without_formulas(book: Book, match: Match, known: KnownRow, rows: list[int]) -> Iterator[Finding]:
    """The rows among those of a table, and next to them, that are filled in and have none or few of its formulas."""
    held = book.rows(match.sheet)
    for row in range(rows[0] - 1, rows[-1] + 2):
        each = held.get(row)
        if each and typed_cells(each, match, known) >= FEWEST_CELLS and lacks(row, each, match, known):
            place: Place = (match.sheet, row, min(each.filled))
            has = f"only {len(each.formulas)} of its {len(known.formulas)}" if each.formulas else "no"
            yield Finding(
                "row-without-formulas",
                (place,),
                f"row {row} is filled in and has {has} formulas",
                "every row of the table has the formulas of the rows beside it",
                "nothing of this row is worked out or checked",
                "fill the formulas down from the row above",
                Sure.CERTAIN,
                Weight.WRONG,
            )


def lacks(row: int, each: SheetRow, match: Match, known: KnownRow) -> bool:
    """True for a row without a formula that is none of the template's, and for one of a table with less than half."""
    there = match.known.at(match.rows.get(row, 0))
    return not each.formulas if there is None else there is known and 2 * len(each.formulas) < len(known.formulas)
