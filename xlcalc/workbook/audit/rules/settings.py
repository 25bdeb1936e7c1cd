"""Settings of a book that make numbers stale, rounded or circular without a word, and what it takes from outside."""

import re
from collections.abc import Iterator, Mapping
from xml.etree.ElementTree import Element

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.package import MAIN
from xlcalc.workbook.formulas import tokens

YES = {"1", "true", "on"}
BOOK_LINK = re.compile(r"\[([^\[\]]+)\](?=[^\[\]]*!)")
LINKING = {"reference", "outside", "name", "call", "loose"}  # pieces of a formula that may name another file
MOST_LINKED = 500  # cells of one link that are named


def calculation(book: Book) -> Element | None:
    """The calculation settings of the book."""
    return book.package.tree(book.package.workbook_part).find(f"{MAIN}calcPr")


def of_the_book(rule: str, there: str, expected: str, why: str, mend: str, weight: Weight) -> Finding:
    """A finding about a setting of the whole book."""
    return Finding(rule, (), there, expected, why, mend, Sure.CERTAIN, weight, "the workbook")


def manual_calculation(book: Book) -> Iterator[Finding]:
    """The book is only calculated when somebody asks for it."""
    settings = calculation(book)
    if settings is not None and settings.get("calcMode", "auto") in {"manual", "autoNoTable"}:
        yield of_the_book(
            "manual-calculation",
            f"calculation is set to {settings.get('calcMode')}",
            "automatic calculation",
            "a number typed now changes nothing until somebody presses F9, and the sheet does not show that it is old",
            "set Formulas > Calculation Options to Automatic and save",
            Weight.WRONG if settings.get("calcMode") == "manual" else Weight.WEAK,
        )


def shown_precision(book: Book) -> Iterator[Finding]:
    """The book calculates with the rounded numbers that its cells show."""
    settings = calculation(book)
    if settings is not None and settings.get("fullPrecision", "1") not in YES:
        yield of_the_book(
            "precision-as-displayed",
            "the book calculates with the numbers as its cells show them",
            "calculation with all digits",
            "every cell rounds what the next one takes, and typed numbers have lost their further digits for good",
            "untick Set precision as displayed in the options, and type rounded inputs again",
            Weight.WRONG,
        )


def iteration(book: Book) -> Iterator[Finding]:
    """Circles of formulas are calculated round and round in place of being reported."""
    settings = calculation(book)
    if settings is not None and settings.get("iterate", "0") in YES:
        yield of_the_book(
            "iterative-calculation",
            f"iterative calculation is on, {settings.get('iterateCount', '100')} rounds",
            "off: no formula here needs it",
            "a formula that looks at itself by mistake gives a number in place of a warning",
            "untick Enable iterative calculation in the options and save",
            Weight.WEAK,
        )


def external_links(book: Book) -> Iterator[Finding]:
    """Cells and names that take their value from another workbook, and links that nothing uses."""
    cells: dict[str, list[Place]] = {}
    for pattern, places in book.every_pattern():
        if any(isinstance(piece, str) and "[" in piece for piece in pattern.pieces):
            for link in links_in(pattern.at(places[0][1]), book.other_files):
                cells.setdefault(link, []).extend(places)
    names = {name.name: links_in(name.text, book.other_files) for name in book.package.defined_names()}
    for link, places in cells.items():
        yield linked(link, tuple(places[:MOST_LINKED]), "")
    for name, found in names.items():
        for link in found:
            yield linked(link, (), f"the name {name}")
    used = {*cells, *(link for found in names.values() for link in found)}
    for file in sorted(set(book.other_files.values()) - used):
        yield of_the_book(
            "external-link",
            f"the book is linked to another file: {file}",
            "no link that nothing uses",
            "the spreadsheet asks about the link on opening, and may look for that file",
            "break the link under Data > Edit Links and save",
            Weight.NOTE,
        )


def linked(file: str, places: tuple[Place, ...], where: str) -> Finding:
    """A finding about cells or a name that look at another file."""
    return Finding(
        "external-link",
        places,
        f"it looks at another file: {file}",
        "a value of this workbook",
        "the value stays as it was when that file was last seen, and is not there for whoever gets this one",
        "bring the value into a cell of this workbook, with a note where it comes from",
        Sure.CERTAIN,
        Weight.WEAK,
        where,
    )


def links_in(formula: str, others: Mapping[str, str]) -> list[str]:
    """The other files that a formula looks at or calls, each once; `others` are the links of the book."""
    found = []
    for piece in tokens(formula):
        if piece.kind in LINKING and (match := BOOK_LINK.search(piece.text)):
            link = match[1]
            if not link.isdecimal():
                found.append(link)
            elif link in others:
                found.append(others[link])
    return list(dict.fromkeys(found))


def other_calendar(book: Book) -> Iterator[Finding]:
    """A workbook from the template whose days are counted from 1904: every date in it means another day."""
    if book.package.date1904 and book.canon.matches:
        yield of_the_book(
            "other-calendar",
            "days are counted from 1904",
            "days counted from 1900, as in a new workbook",
            "every date that was typed before, of the job, of prices, of tests, now shows four years and a day later",
            "set File > Options > Advanced > Use 1904 date system off, and look the dates through",
            Weight.WRONG,
        )


def hidden_sheets(book: Book) -> Iterator[Finding]:
    """Hidden sheets with typed values that count, where formulas of another sheet look at the sheet."""
    for name, sheet in book.sheets.items():
        if sheet.state == "visible":
            continue
        typed, looked_at = book.typed(name), book.looked_at(name)
        used = [cell for cell, value in typed.items() if isinstance(value, float) and looked_at.at(*cell)]
        if used and taken_elsewhere(book, name):
            row, column = min(used)
            how = "in the VBA editor" if sheet.state != "hidden" else "right click on a tab > Unhide"
            yield Finding(
                "hidden-inputs", ((name, row, column),),
                f"the sheet {name} is hidden and holds {len(used)} typed numbers that formulas look at",
                "inputs where whoever checks the job sees them",
                "a number that decides an answer cannot be seen, checked or changed",
                f"show the sheet ({how}), or move its inputs to a visible one",
                Sure.CERTAIN, Weight.WEAK,
            )  # fmt: skip


def taken_elsewhere(book: Book, sheet: str) -> bool:
    """True for a sheet that a formula of another one looks at: what only looks at itself decides nothing."""
    others = ((pattern, places[0]) for pattern, places in book.every_pattern() if places[0][0] != sheet)
    return any(look.sheet == sheet for pattern, at in others for look in book.written.looks(pattern.at(at[1]), at))
