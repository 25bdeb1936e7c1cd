"""Figures that come from a source: typed over, without their source, or in a row that was called otherwise."""

import re
from collections.abc import Iterator, Mapping, Sequence

from xlcalc.core.words import plural
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.cited import MARK, SOURCE, Found, Row, found_tables, is_source, known_tables, plain
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.sorting import UNDO
from xlcalc.workbook.audit.same_values import cited_alike
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import address

TITLE = "Title"
# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
FEWEST_MOVED = 4  # rows with the source of another: nobody writes down so many by hand
FEWEST_KEPT = 3  # figures of a row that say that it is the same one


def cited_figures(book: Book) -> Iterator[Finding]:
    """Cells of the tables of figures that no longer hold what stands in a new workbook.

    A row that the shop added is its own, and so is one that it gave another source.
    """
    for table, found in found_tables(book):
        if found.torn:
            yield torn_apart(book, found, known_tables()[table])
        for column, rows in found.turned.items():
            yield turned(book, found, column, rows)
        fewest = fewest_kept(book, found, known_tables()[table])
        for name, cells in known_tables()[table].items():
            for row in found.rows.get(name, ()):
                if row in found.torn:
                    continue
                if row in found.renamed:
                    yield from renamed(book, found, row, plain(name))
                sources = other_sources(book, found, row, cells)
                if moved := source_of_another(book, found, row, name, known_tables()[table], sources, fewest):
                    yield moved_source(book, found, row, plain(name), moved, cells)
                elif sources:
                    yield from without_mark(book, found, row, plain(name), cells)
                else:
                    yield from changed(book, found, row, plain(name), cells, older=book.other_version)


def sources_gone(book: Book) -> Iterator[Finding]:
    """Rows of the list of sources that were cleared or taken out while other sheets still name them."""
    for table, found in found_tables(book):
        before = 0
        for name, cells in known_tables()[table].items() if table.casefold() == SOURCE else ():
            rows = found.rows.get(name, [])
            if not rows and (cited := citing(book, found.sheet, name, str(cells.get(TITLE, "")))):
                yield source_gone(book, found, name, before + 1, cited)
            before = rows[-1] if rows else before + 1


def citing(book: Book, besides: str, name: str, title: str) -> list[Place]:
    """The cells of other sheets that say where a figure is from and name a source, by its name or its title."""
    words = re.compile(rf"(?<![\w-])(?:{'|'.join(re.escape(each) for each in (name, title) if each)})(?![\w-])")
    return sorted(
        (sheet, row, column)
        for sheet in book.sheets if sheet != besides
        for (row, column), text in book.texts(sheet).items()
        if words.search(text) and is_source(book.headers(sheet).head(row, column).strip())
    )  # fmt: skip


def source_gone(book: Book, found: Found, name: str, row: int, cited: list[Place]) -> Finding:
    """A finding about a source that is named and is not in the list, where it would stand in a row."""
    blank = row if row > 1 and row not in book.rows(found.sheet) else 0
    more = f" and {plural(len(cited) - 1, 'more cell')}" if len(cited) > 1 else ""
    there = f"row {blank} is empty" if blank else f"the list of {found.sheet} does not have it"
    return Finding(
        "source-gone", ((found.sheet, blank, found.names),) if blank else (cited[0],),
        f"{there}, and {address(*cited[0])}{more} rest on {name}",
        f"the row {name}, as in a new workbook",
        "nobody can look up where these figures are from",
        f"take the row {name} over from Sources of a new workbook (xlcalc new)",
        Sure.CERTAIN, Weight.WEAK, fault=name,
    )  # fmt: skip


def without_mark(book: Book, found: Found, row: int, name: str, cells: Row) -> Iterator[Finding]:
    """A finding where a row names a source of its own and its mark was cleared."""
    for head, column in found.columns.items():
        if head.casefold() == MARK and head in cells and book.value((found.sheet, row, column)) in (None, ""):
            place = found.sheet, row, column
            yield Finding(
                "source-removed", (place,),
                f"the row {name} has another source than in a new workbook, and no mark{book.title(place)}",
                "the mark that belongs to that source: V, C, S, M or P",
                "nobody can tell how far to trust the figures, and a Check that rests on memory does not say so",
                "type V where the figure was seen in print, C where it was computed from such, S for second-hand, "
                "M for memory, P for practice",
                Sure.CERTAIN, Weight.WEAK,
            )  # fmt: skip


def other_sources(book: Book, found: Found, row: int, cells: Row) -> dict[str, str]:
    """The sources that a row names and a new workbook does not, by header; marks, of one letter, are left out."""
    there = {head: book.value((found.sheet, row, found.columns[head])) for head, value in cells.items()
             if is_source(head) and head in found.columns and len(str(value)) > 1}  # fmt: skip
    return {head: text for head, text in there.items()
            if isinstance(text, str) and text.strip() and not cited_alike(text, cells[head])}  # fmt: skip


def fewest_kept(book: Book, found: Found, known: Mapping[str, Row]) -> int:
    """How many figures of its own a row must have kept that names the source of another: one where many rows do."""
    rows = ((name, row, other_sources(book, found, row, cells))
            for name, cells in known.items() for row in found.rows.get(name, ()))  # fmt: skip
    moved = [row for name, row, sources in rows if source_of_another(book, found, row, name, known, sources, 1)]
    return 1 if len(moved) >= FEWEST_MOVED else FEWEST_KEPT


def source_of_another(
    book: Book, found: Found, row: int, name: str, known: Mapping[str, Row], sources: Mapping[str, str], fewest: int
) -> str:
    """The header under which a row names the source of other rows, while most of its figures are still its own."""
    typed = book.typed(found.sheet)
    figures = [(typed.get((row, found.columns[each])), value) for each, value in known[name].items()
               if isinstance(value, float) and each in found.columns]  # fmt: skip
    kept = sum(cited_alike(held, value) for held, value in figures)
    if kept < fewest or 2 * kept < len(figures):
        return ""
    others = [cells for other, cells in known.items() if other != name]
    moved = (head for head, text in sources.items() if any(cited_alike(text, each.get(head)) for each in others))
    return next(moved, "")


def moved_source(book: Book, found: Found, row: int, name: str, head: str, cells: Row) -> Finding:
    """A finding about a source that stands beside the figures of another row."""
    place = found.sheet, row, found.columns[head]
    return Finding(
        "source-moved", (place,),
        f"the row {name} has the source of other rows here{book.title(place)}: {shown(book.value(place))}",
        f"{shown(cells[head])}, as in a new workbook",
        "its figures are still those of a new workbook, so it looks where a column was sorted or pasted by itself",
        "compare the columns beside it with the last good copy too, and put them back",
        Sure.LIKELY, Weight.WRONG, fault="source-moved",
    )  # fmt: skip


def changed(book: Book, found: Found, row: int, name: str, cells: Row, *, older: bool) -> Iterator[Finding]:
    """A finding for every cell of a row that was typed over or cleared."""
    typed, formulas = book.typed(found.sheet), book.formulas(found.sheet)
    for head, value in cells.items():
        column = found.columns.get(head)
        if column is None or (row, column) in formulas or column == found.names or row in found.turned.get(column, ()):
            continue
        there = typed.get((row, column))
        if not cited_alike(there, value):
            place = found.sheet, row, column
            if is_source(head) and there is None:
                yield without_source(book, place, name, value)
            else:
                yield typed_over(book, place, name, value, older=older)


def without_source(book: Book, place: Place, name: str, value: Value) -> Finding:
    """A finding about a source or mark that was cleared."""
    return Finding(
        "source-removed", (place,),
        f"the row {name} says nothing here{book.title(place)}",
        f"{shown(value)}, as in a new workbook",
        "nobody can tell any more where the figures of the row are from and how far to trust them",
        "type the source again, or the one of the figures that stand there now",
        Sure.CERTAIN, Weight.WEAK,
    )  # fmt: skip


def typed_over(book: Book, place: Place, name: str, value: Value, *, older: bool) -> Finding:
    """A finding about a figure that was typed over or cleared, its source left as it was."""
    there = shown(book.value(place))
    return Finding(
        "figure-changed", (place,),
        f"{name} has {there} here{book.title(place)}",
        f"{shown(value)}, as in a new workbook{' of the version installed here' if older else ''}",
        "the source beside it does not say this, and every line that takes the row is worked out with it",
        f"type {shown(value)} again; a figure of the shop's own goes into a row of its own, with its source",
        Sure.POSSIBLE if older else Sure.LIKELY, Weight.NOTE if older else Weight.WRONG,
    )  # fmt: skip


def torn_apart(book: Book, found: Found, known: Mapping[str, Row]) -> Finding:
    """A finding about a table of figures whose names stand beside the figures of other rows."""
    typed, formulas, cells = book.typed(found.sheet), book.formulas(found.sheet), list[Place]()
    names = {row: name for name, rows in found.rows.items() for row in rows if row in found.torn}
    for row in sorted(names):
        columns = ((found.columns.get(head), value) for head, value in known[names[row]].items())
        cells += ((found.sheet, row, column) for column, value in columns
                  if column and (row, column) not in formulas and not cited_alike(typed.get((row, column)), value))
    first = cells[0][1]
    return Finding(
        "sorted-in-part", tuple(cells),
        f"{shown(book.value((found.sheet, first, found.names)))} beside the figures of {plain(names[first])}, "
        f"and so on in {plural(len(names), 'row')}",
        "the figures of a row beside its own name, as in a new workbook",
        "whatever asks for a name finds the figures of another part, and some names are gone",
        UNDO, Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip


def turned(book: Book, found: Found, column: int, rows: Sequence[int]) -> Finding:
    """A finding about a column of a table of figures whose values stand in each other's rows."""
    first = found.sheet, min(rows), column
    return Finding(
        "sorted-in-part", tuple((found.sheet, row, column) for row in sorted(rows)),
        f"{shown(book.value(first))} here{book.title(first)}, and in {plural(len(rows), 'row')} "
        "what a new workbook has in another of them",
        "each figure in its own row, as in a new workbook",
        "whatever asks for a name finds what belongs to another, and some names may be gone",
        UNDO, Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip


def renamed(book: Book, found: Found, row: int, name: str) -> Iterator[Finding]:
    """A finding about a row that has the figures of a known one under another name."""
    place = found.sheet, row, found.names
    there = book.value(place)
    yield Finding(
        "row-renamed", (place,),
        f"{shown(there)} has the figures that a new workbook has under {name}",
        f"the name {name}",
        f"whatever asks for {name} does not find it here, and takes another figure or none",
        f"call the row {name} again, and put a row of the shop's own below the others",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip
