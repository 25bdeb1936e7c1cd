"""Settings of a book that make its numbers stale, rounded or circular without a word, and what it takes from outside."""

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.formulas import address, tokens
from xlcalc.workbook.package import MAIN
from xlcalc.workbook.written import Place

YES = {"1", "true", "on"}
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
    """Cells and names that take their value from another workbook."""
    cells: dict[str, list[Place]] = {}
    for sheet, formula in book.every_formula():
        if "[" not in formula.pattern.key and "|" not in formula.pattern.key:
            continue
        for link in links_in(formula.pattern.at(formula.row), book.addin_links):
            cells.setdefault(link, []).append((sheet, formula.row, formula.column))
    for link, places in cells.items():
        yield Finding(
            "external-link",
            tuple(places[:MOST_LINKED]),
            f"{address(*places[0])} looks at another file: {link}",
            "a value of this workbook",
            "the value stays as it was when the other file was last seen, and is not there for whoever gets this one",
            "bring the value into a cell of this workbook, with a note where it comes from",
            Sure.CERTAIN,
            Weight.WEAK,
        )
    for name in book.package.defined_names():
        for link in links_in(name.text, book.addin_links):
            yield Finding(
                "external-link", (), f"it stands for {name.text}", "cells of this workbook",
                "whatever uses the name takes its value from another file",
                "let the name stand for a cell of this workbook, or delete it",
                Sure.CERTAIN, Weight.WEAK, f"the name {name.name} ({link})",
            )  # fmt: skip
    if not cells:
        used = {link for name in book.package.defined_names() for link in links_in(name.text, book.addin_links)}
        for number, target in book.links.items():
            if number not in book.addin_links and f"[{number}]" not in used:
                yield of_the_book(
                    "external-link",
                    f"the book is linked to another file: {target}",
                    "no link that nothing uses",
                    "the spreadsheet asks about the link on opening, and may look for that file",
                    "break the link under Data > Edit Links and save",
                    Weight.NOTE,
                )


BOOK_LINK = re.compile(r"\[([^\[\]]+)\](?=[^\[\]]*!)")


def links_in(formula: str, addins: frozenset[int]) -> list[str]:
    """The links to other books in a formula, without those to our own add-in."""
    found = []
    for piece in tokens(formula):
        if piece.kind in {"reference", "outside", "name", "call", "loose"} and (link := BOOK_LINK.search(piece.text)):
            ours = link[1].isdecimal() and int(link[1]) in addins
            if not ours and not (piece.kind == "call" and "xlcalc" in link[1].casefold()):
                found.append(f"[{link[1]}]")
    return list(dict.fromkeys(found))


def hidden_sheets(book: Book) -> Iterator[Finding]:
    """Hidden sheets with typed values that formulas of other sheets look at."""
    for name, sheet in book.sheets.items():
        if sheet.state == "visible":
            continue
        typed = book.typed(name)
        used = [cell for cell, value in typed.items() if isinstance(value, float) and book.looked_at(name, cell)]
        if used:
            row, column = min(used)
            yield Finding(
                "hidden-inputs", ((name, row, column),),
                f"the sheet {name} is hidden and holds {len(used)} typed numbers that formulas look at",
                "inputs where whoever checks the job sees them",
                "a number that decides an answer cannot be seen, checked or changed",
                f"show the sheet (right click on a tab > Unhide{' in the VBA editor' if sheet.state != 'hidden' else ''})"
                ", or move its inputs to a visible one",
                Sure.CERTAIN, Weight.WEAK,
            )  # fmt: skip
