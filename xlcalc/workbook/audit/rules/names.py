"""Defined names that no longer stand for what they are called after."""

import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.naming import BOTH, CELL, COLUMN, Named, named
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.explained.headers import WIDEST
from xlcalc.workbook.formulas import column_letters

FEWEST = 3  # names over one table that say how many rows it has


def moved_names(book: Book) -> Iterator[Finding]:
    """Names of this program's books that stand for another column or cell than the one they are called after."""
    known = {row["name"]: row for row in raw_rows("audit/known_names")}
    now = named(book)
    texts = set(every_head(book, {each.sheet for each in now.values()}))
    for name, each in now.items():
        row = known.get(name)
        if row is None:
            continue
        if is_moved(book, each, row["kind"], row["head"].split(BOTH), texts) or stands_elsewhere(book, each, row):
            there = f"it stands for {each.text}: {each.head or 'a cell without a label'}"
            yield finding(name, each, there, f"{row['head']}, after which it is called")


def lost_names(book: Book) -> Iterator[Finding]:
    """Names of this program's books that stand for no cells any more, or that are gone although formulas use them."""
    known = {row["name"]: row for row in raw_rows("audit/known_names")}
    defined = {each.name.casefold(): each for each in book.package.defined_names()}
    sheets = {match.known.name for match in book.canon.matches.values()}
    for name in sorted(used_names(book, known.keys() - named(book).keys())):
        each, expected = defined.get(name.casefold()), f"{known[name]['head']}, after which it is called"
        if each is None and known[name]["sheet"] in sheets:
            yield finding(name, nowhere(""), "formulas use it, and it is not there", expected)
        elif each is not None and not any(sign in each.text for sign in "!#["):
            yield finding(name, nowhere(each.text), f"it stands for {each.text}", expected)


def nowhere(text: str) -> Named:
    """A name that stands for no cell."""
    return Named("", "", "", 0, 0, 0, 0, text)


def used_names(book: Book, wanted: Collection[str], sheets: Collection[str] | None = None) -> set[str]:
    """Those of some names that a formula of the book uses, or one of some of its sheets."""
    if not wanted:
        return set()
    words = re.compile(rf"(?<![\w.!])(?:{'|'.join(map(re.escape, wanted))})(?![\w.(])", re.IGNORECASE)
    spelled = {name.casefold(): name for name in wanted}
    chosen = book.sheets if sheets is None else sheets
    shapes = {pattern.shape for sheet in chosen for pattern in book.patterns(sheet)}
    return {spelled[found.casefold()] for shape in shapes for found in words.findall(shape)}


def shifted_names(book: Book) -> Iterator[Finding]:
    """Names over a whole table that do not begin under its header or do not end in the row that ends it."""
    below = {row["name"]: int(row["below"]) for row in raw_rows("audit/known_names") if row["below"]}
    for name, each in named(book).items():
        top, ends = book.headers(each.sheet).above(each.top), book.ends(each.sheet)
        if name not in below or each.kind != COLUMN or not top:
            continue
        end = next((row for row in ends if row >= each.top), None)
        first = top + below[name]
        if end is not None and (each.top, each.bottom) != (first, end):
            letters = column_letters(each.left)
            expected = f"{letters}{first}:{letters}{end}, the whole of its table"
            yield finding(name, each, f"it stands for {each.text}", expected)


def is_moved(book: Book, each: Named, kind: str, wanted: list[str], texts: set[tuple[str, str]]) -> bool:
    """True where what a name is called after stands somewhere else now; a reworded header or label is no move."""
    held = each.head.split(BOTH)
    if kind == CELL and each.kind == CELL and wanted[0] in labels(book, each):
        return len(wanted) == len(held) == 2 and wanted[1] != held[1] and wanted[1] in heads_beside(book, each)
    if kind == CELL:
        return (each.kind, held[0]) != (CELL, wanted[0]) and all((each.sheet, text) in texts for text in wanted)
    return wanted != held and wanted[0] != known_head(book, each) and wanted[0] in heads_beside(book, each)


def labels(book: Book, each: Named) -> set[str]:
    """The texts on the left of the cell of a name: what is typed between its label and it is no other label."""
    typed = book.typed(each.sheet)
    texts = (typed.get((each.top, column)) for column in range(1, each.left))
    return {text.strip() for text in texts if isinstance(text, str)}


def known_head(book: Book, each: Named) -> str:
    """The header that the column of a name has in a new workbook; empty where it is not one of those."""
    return book.known_heads(each.sheet, book.headers(each.sheet).above(each.top + 1)).get(each.left, "")


def stands_elsewhere(book: Book, each: Named, row: Mapping[str, str]) -> bool:
    """True for a name on another cell than in a new workbook, where the book has that cell too."""
    match = book.canon.match(each.sheet)
    if match is None or each.kind != CELL or row["sheet"] != match.known.name:
        return False
    here, there = (match.rows.get(each.top), match.columns.get(each.left)), (int(row["row"]), int(row["column"]))
    return None not in here and here != there and there[0] in match.rows.values() and there[1] in match.columns.values()


def heads_beside(book: Book, each: Named) -> set[str]:
    """The headers of the table that a name stands in."""
    heads = book.headers(each.sheet)
    return {heads.head(each.top + 1, column).strip() for column in range(1, WIDEST)}


def uneven_names(book: Book) -> Iterator[Finding]:
    """Names over columns of one table that do not cover the same rows as the others, and names of what is gone."""
    for gone in book.package.defined_names():
        if "#REF!" in gone.text and not gone.hidden:
            there, expected = f"it stands for {gone.text}", "cells that are there"
            yield finding(gone.name, nowhere(gone.text), there, expected)
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
