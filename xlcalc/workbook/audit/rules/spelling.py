"""Function names that carry the path of one computer, or a mark of another program."""

import re
from collections.abc import Iterator

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.links import addin_targets
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import calls

PATH = re.compile(r"[\\/:]")


def addin_paths(book: Book) -> Iterator[Finding]:
    """Calls of our functions with the path of an add-in in front, as written in the cell or as stored with the link."""
    paths = {number: path for number, path in addin_targets(book.package).items() if PATH.search(path)}
    cells: dict[str, list[Place]] = {}
    for pattern, places in book.every_pattern():
        for each in calls(pattern.at(places[0][1]), book.other_files) if pattern.ours else ():
            before = each.written.rpartition("!")[0].strip("'@")
            path = paths.get(before.strip("[]"), before if PATH.search(before) else "")
            if each.name in book.ours and path:
                cells.setdefault(path, []).extend(places)
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
