"""`xlcalc compare`: what changed between two revisions of a job, as a page to sign."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from textwrap import wrap
from typing import NamedTuple

from xlcalc.core.errors import CalcError
from xlcalc.core.words import plural
from xlcalc.hosts.output import Outcome, Progress, clean, command
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.copies.compare import (
    ADDED,
    CHANGED,
    NOTHING,
    REMOVED,
    Amount,
    Comparison,
    Difference,
    Held,
    RowChange,
    TableChange,
    compare,
    count,
    moved,
)
from xlcalc.workbook.copies.customer_reads import without_costs
from xlcalc.workbook.copies.revise import DAYS, says_incomplete
from xlcalc.workbook.explained.place import named_cell
from xlcalc.workbook.explained.workings import Workings, shown
from xlcalc.workbook.file.atomic import kept_free, same_file, write_whole
from xlcalc.workbook.file.package import Package

WIDE = 80  # characters of a line on the page
RULE = "-" * WIDE
SIGNED = ("Agreed by", "For the shop")
WORDS = {"Days": "Working days"}
TOTAL = "NowTotal"


class Book(NamedTuple):
    """One of the two workbooks: where it is, and what it holds."""

    path: Path
    workings: Workings

    def said(self, name: str) -> str:
        """What a named cell holds, in words; empty where it is blank or not there."""
        place = named_cell(self.workings.written, name)
        return self.workings.said(place) if place and self.workings.value(place) not in (None, "") else ""

    def number(self, name: str) -> float | None:
        """The number in a named cell."""
        place = named_cell(self.workings.written, name)
        value = self.workings.value(place) if place else None
        return value if isinstance(value, float) else None

    def incomplete(self) -> bool:
        """True where its quote says that the total is not the whole one."""
        place = named_cell(self.workings.written, TOTAL)
        return place is not None and says_incomplete(self.workings.report, {TOTAL: place})

    def words(self) -> str:
        """Its file, revision and date."""
        revision, day = self.said("Revision"), self.said("JobDate")
        return "   ".join(filter(None, [self.path.name, revision and f"revision {revision}", day]))

    def data(self) -> dict[str, object]:
        """The same for a program."""
        report = self.workings.report
        kept = len(report.frozen) + len(report.kept)
        about = {"file": str(self.path), "revision": self.said("Revision"), "date": self.said("JobDate")}
        return {**about, "stale": report.changed, "kept": kept, "incomplete": self.incomplete()}


def compare_books(old: Path, new: Path, to: Path | None, *, costs: bool, force: bool) -> Outcome:
    """Read two workbooks, work both out in memory, and say what changed. Neither file is changed.

    `costs` puts on the page, and into the data, what the job costs the shop and how it reckons, and on the page whether
    its quotes may go out: not for the customer.

    Raises FileError and its kinds; also where `to` is there already and `force` is not given.
    """
    free = kept_free(to, force=force)
    with Progress() as tell:
        tell("reading")
        packages = [Package.open(path) for path in (old, new)]
        books = [
            Book(path, Workings(package, compute(package, progress=tell)))
            for path, package in zip((old, new), packages, strict=True)
        ]
        tell("comparing")
        found = compare(books[0].workings, books[1].workings)
    read = found if costs else without_costs(found)  # the page and the data alike: either may reach the customer
    page = [clean(line) for line in [*head(*books), "", *body(read, *books, costs=costs), "", *signatures()]]
    data = {"old": books[0].data(), "new": books[1].data(), "same": read.nothing, "costs": costs, **as_data(read)}
    if to is None:
        keep = command("compare", old, new, *(["--costs"] if costs else []), "--to", "changes.txt")
        return Outcome(page, data, f"print this page and have it signed; it goes into a file with: {keep}")
    write_whole(to, "".join(f"{line}\n" for line in page).encode(), before_replace=free)
    return Outcome([in_short(read), f"The page to sign is in {to}."], {**data, "to": str(to)}, f"print {to}, sign it")


def head(old: Book, new: Book) -> Iterator[str]:
    """Which job, which files, and what must be known before the page is read."""
    yield "What changed between two revisions"
    number = new.said("JobNumber")
    yield from filled("   ".join(filter(None, [number and f"Job {number}", new.said("Vehicle")])), "", "")
    yield from filled(f"Old: {old.words()}", "", "     ")
    yield from filled(f"New: {new.words()}", "", "     ")
    for words in remarks(old, new):
        yield from filled(words, "", "  ")
    yield RULE


def remarks(old: Book, new: Book) -> Iterator[str]:
    """What may be wrong with the pair, and how the values came about."""
    if same_file(old.path, new.path):
        yield f"Caution: both are the same file, {new.path}: give the older revision first, then the newer."
    if old.said("JobNumber") != new.said("JobNumber"):
        numbers = (book.said("JobNumber") or "without a number" for book in (old, new))
        yield f"Caution: these are two jobs: {' and '.join(numbers)}."
    days = old.number("JobDate"), new.number("JobDate")
    if days[0] is not None and days[1] is not None and days[0] > days[1]:
        yield f"Caution: {old.path.name} has the later date: was it to stand second?"
    for book in (old, new):
        report = book.workings.report
        if report.changed:
            yield (
                f"{book.path.name} held {plural(report.changed, 'value')} that its cells do not give now. "
                "It is compared as worked out afresh; the file stays as it is."
            )
        if kept := len(report.frozen) + len(report.kept):
            yield f"{book.path.name}: {plural(kept, 'value')} could not be worked out here and stand as they were."


def body(found: Comparison, old: Book, new: Book, *, costs: bool) -> Iterator[str]:
    """The changes: money first, then the job and its limits, then every table."""
    yield from filled(in_short(found), "", "")
    yield ""
    yield from money(found, old, new, costs=costs)
    for sheet in dict.fromkeys([*found.named, *(table.sheet for table in found.tables)]):
        tables = [table for table in found.tables if table.sheet == sheet]
        rows = [row for table in tables for row in table.rows]
        yield ""
        yield f"{sheet}: {counted(rows)}" if rows else sheet
        for change in found.named.get(sheet, ()):
            yield from told(change, "  ")
        for table in tables:
            yield from table_lines(table)


def in_short(found: Comparison) -> str:
    """The whole page in a sentence."""
    if found.nothing:
        return "Nothing changed: neither money nor days, neither the job nor its limits, no row of any table."
    lines = [row for table in found.tables if table.sheet == "Lines" for row in table.rows]
    parts = [f"lines: {counted(lines)}" if lines else "no line changed"]
    for each in found.money:
        if each.name in ("Total", DAYS) and moved(each):
            parts.append(f"{name_of(each).lower()} {figure(each, each.old)} -> {figure(each, each.new)}")
    if found.money and not any(map(moved, found.money)):
        parts.append("money and days unchanged")
    return f"In short: {'; '.join(parts)}."


def counted(rows: Iterable[RowChange]) -> str:
    """`1 added, 2 changed`."""
    kept = list(rows)
    kinds = ((kind, count(kept, kind)) for kind in (ADDED, REMOVED, CHANGED))
    return ", ".join(f"{number} {kind}" for kind, number in kinds if number)


def money(found: Comparison, old: Book, new: Book, *, costs: bool) -> Iterator[str]:
    """The amounts side by side; with the costs, whether the quotes may go out. A book without a quote is named."""
    if not found.money:
        yield "No quote in either workbook: money and days are not compared."
        return
    for book, quoted in zip((old, new), found.quotes, strict=True):
        if not quoted:
            yield f"No quote in {book.path.name}."
    currency = new.said("Currency") or old.said("Currency")
    title = f"Money{f', in {currency}' if currency else ''}"
    yield f"{title:<32}{'old':>14}{'new':>14}{'change':>14}"
    for each in found.money:
        change = ""
        if each.old is not None and each.new is not None:
            change = figure(each, each.new - each.old, sign=True) if moved(each) else "same"
        yield f"  {name_of(each):<30}{figure(each, each.old):>14}{figure(each, each.new):>14}{change:>14}".rstrip()
    for book, when in ((old, "old"), (new, "new")):
        if book.incomplete():
            words = f"Incomplete: the {when} total lacks what is not checked or has no answer yet."
            yield from filled(words, "  ", "    ")
    for book, when in ((old, "old"), (new, "new")) if costs else ():
        if check := book.said("QuoteCheck"):
            yield from filled(f"May the {when} quote go out? {check}", "  ", "    ")


def name_of(each: Amount) -> str:
    """An amount in words."""
    return WORDS.get(each.name, each.name)


def figure(each: Amount, value: float | None, *, sign: bool = False) -> str:
    """Money to two digits, days as they are."""
    if value is None:
        return "none"
    plus = "+" if sign and value > 0 else ""
    return f"{plus}{shown(round(value, 6)) if each.name == DAYS else f'{value:.2f}'}"


def table_lines(table: TableChange) -> Iterator[str]:
    """The rows of a table that changed, each with what the table calls a row: `Line PS-1: changed`."""
    for row in table.rows:
        yield from filled(f"{table.head} {row.name}: {row.change}".lstrip(), "  ", "    ")
        if row.change == CHANGED:
            for change in row.cells:
                yield from told(change, "    ")
        elif row.cells:
            held = [(each, each.new if row.change == ADDED else each.old) for each in row.cells]
            words = "; ".join(f"{each.words} {with_unit(its, each.unit)}" for each, its in held)
            yield from filled(words, "    ", "    ")
        if row.old_check != row.new_check:
            for when, words in (("was", row.old_check), ("now", row.new_check)):
                if words:
                    yield from filled(f"Check {when}: {words}", "    ", "      ")
    if table.nameless:
        rows = "1 row without a name is" if table.nameless == 1 else f"{table.nameless} rows without a name are"
        yield f"  {rows} not compared: name them first."


def told(change: Difference, indent: str) -> Iterator[str]:
    """A cell that changed: `Length: 2.6 m -> 3.1 m`."""
    sides = with_unit(change.old, change.unit), with_unit(change.new, change.unit)
    yield from filled(f"{change.words}: {sides[0]} -> {sides[1]}", indent, f"{indent}  ")


def with_unit(held: Held, unit: str) -> str:
    """A number with the unit of its column; a text carries its own."""
    own = unit.partition(",")[0]  # `K, words`: a number is in K
    return f"{held.text} {own}" if own and isinstance(held.value, float) else held.text


def filled(text: str, first: str, further: str) -> list[str]:
    """A text in lines of the page."""
    return wrap(clean(text), WIDE, initial_indent=first, subsequent_indent=further, break_on_hyphens=False)


def signatures() -> Iterator[str]:
    """Where a pen goes."""
    yield RULE
    for who in SIGNED:
        yield ""
        yield f"{who:<14}{'_' * 36}   Date {'_' * 22}"


def as_data(found: Comparison) -> dict[str, object]:
    """All changes for a program."""
    return {
        "money": [{"name": each.name, "old": each.old, "new": each.new} for each in found.money],
        "quote": dict(zip(("old", "new"), found.quotes, strict=True)),
        "cells": {sheet: [cell(each) for each in changes] for sheet, changes in found.named.items()},
        "rows": [
            {"sheet": table.sheet, "table": table.head, "name": row.name, "change": row.change,
             "cells": [cell(each) for each in row.cells], "old_check": row.old_check, "new_check": row.new_check}
            for table in found.tables for row in table.rows
        ],
        "nameless": sum(table.nameless for table in found.tables),
    }  # fmt: skip


def cell(change: Difference) -> dict[str, object]:
    """A changed cell for a program: numbers as numbers, dates and errors as they are read."""
    return {"header": change.words, "unit": change.unit, "old": plain(change.old), "new": plain(change.new)}


def plain(held: Held) -> object:
    """A value that JSON can hold."""
    if held is NOTHING:
        return None
    as_it_is = isinstance(held.value, str | bool) or (isinstance(held.value, float) and held.text == shown(held.value))
    return held.value if as_it_is and not isinstance(held.value, CalcError) else held.text
