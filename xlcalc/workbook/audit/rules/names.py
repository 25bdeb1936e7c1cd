"""Defined names that no longer stand for what they are called after."""

from collections import Counter
from collections.abc import Iterator

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.naming import BOTH, CELL, Named, named
from xlcalc.workbook.formulas import column_letters

FEWEST = 3  # names over one table that say how many rows it has


def moved_names(book: Book) -> Iterator[Finding]:
    """Names of this program's books that stand for another column or cell than the one they are called after."""
    known = {row["name"]: row for row in raw_rows("audit/known_names")}
    now = named(book)
    heads = set(every_head(book, {each.sheet for each in now.values()}))
    for name, each in now.items():
        if (row := known.get(name)) is None or (each.kind, each.head) == (row["kind"], row["head"]):
            continue
        if all((each.sheet, head) in heads for head in row["head"].split(BOTH)):
            there = f"it stands for {each.text}: {each.head or 'a cell without a label'}"
            yield finding(name, each, there, f"{row['head']}, after which it is called")


def uneven_names(book: Book) -> Iterator[Finding]:
    """Names over columns of one table that do not cover the same rows as the others, and names of what is gone."""
    for gone in book.package.defined_names():
        if "#REF!" in gone.text and not gone.hidden:
            there, expected = f"it stands for {gone.text}", "cells that are there"
            yield finding(gone.name, Named("", "", gone.sheet or "", 0, 0, 0, 0, gone.text), there, expected)
    tables: dict[tuple[str, int], dict[str, Named]] = {}
    for name, each in named(book).items():
        if each.kind != CELL and each.left == each.right:
            top = book.headers(each.sheet).above(each.top)
            tables.setdefault((each.sheet, top), {})[name] = each
    for group in tables.values():
        spans = Counter((each.top, each.bottom) for each in group.values())
        (top, bottom), most = spans.most_common(1)[0]
        if most < FEWEST or most <= len(group) / 2:
            continue
        for name, each in group.items():
            alone = (each.top, each.bottom) != (top, bottom) and spans[each.top, each.bottom] == 1
            if alone and each.top <= bottom and top <= each.bottom:
                letters = column_letters(each.left)
                expected = f"{letters}{top}:{letters}{bottom}, the rows of its table"
                yield finding(name, each, f"it stands for {each.text}", expected)


def every_head(book: Book, sheets: set[str]) -> Iterator[tuple[str, str]]:
    """All texts of the sheets that may be headers or labels."""
    for sheet in sheets & set(book.sheets):
        yield from ((sheet, value.strip()) for value in book.typed(sheet).values() if isinstance(value, str))


def finding(name: str, each: Named, there: str, expected: str) -> Finding:
    """A finding about a name."""
    cells = ((each.sheet, each.top, each.left),) if each.top else ()
    return Finding(
        "name-moved", cells, f"name {name}: {there}", expected,
        "every formula that uses the name takes the wrong cells",
        f"put {name} back under Formulas > Name Manager",
        Sure.LIKELY if each.top else Sure.CERTAIN, Weight.WRONG, f"the name {name}",
    )  # fmt: skip
