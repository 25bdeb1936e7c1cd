"""Function names that carry the path of one computer, or a mark of another program."""

import re
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.formulas import calls
from xlcalc.workbook.written import Place

PATH = re.compile(r"[\\/:]|\.xlam|\.xla\b", re.IGNORECASE)


def addin_paths(book: Book) -> Iterator[Finding]:
    """Calls of our functions with the path of an add-in in front, as written in the cell or as stored with the link."""
    paths = {number: target for number, target in book.links.items() if number in book.addin_links and "/" in target}
    cells: dict[str, list[Place]] = {}
    for sheet, formula in book.every_formula():
        pattern = formula.pattern
        if not pattern.ours:
            continue
        for each in calls(pattern.at(formula.row)):
            before = each.written.rpartition("!")[0]
            number = before.strip("'@[]")
            path = paths.get(int(number)) if number.isdecimal() else before if PATH.search(before) else None
            if each.name in book.ours and path:
                cells.setdefault(path, []).append((sheet, formula.row, formula.column))
                break
    for path, places in cells.items():
        yield Finding(
            "add-in-path", tuple(places),
            f"the function is called through {path}",
            "the function's name alone",
            "on another computer that path leads nowhere: the cell turns into #NAME? or asks for the file",
            "run `xlcalc names` with --for everyone, which writes the plain names into a copy",
            Sure.CERTAIN, Weight.WEAK,
        )  # fmt: skip
