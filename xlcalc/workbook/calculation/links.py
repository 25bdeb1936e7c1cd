"""Which file is meant by `[1]` in the formulas of a book: our add-in, which Excel puts before the names, or another."""

from urllib.parse import unquote

from xlcalc.workbook.file.package import LINK, MAIN, Package
from xlcalc.workbook.formulas import ADDIN, file_name

ANOTHER_PROGRAM = "another program"


def linked_files(package: Package) -> dict[str, str]:
    """The number of each link, as `[1]` has it, and the name of the file that it leads to, in small letters.

    A link of which the book does not say where it leads is left out: Calc 7.4 drops the parts of all links and
    keeps `[1]` in the formulas. Raises FileRefused where the part of a link is damaged.
    """
    return {number: name for number, target in targets(package).items() if (name := file_name(target))}


def other_files(package: Package) -> dict[str, str]:
    """Like `linked_files`, without the links to our add-in."""
    return {number: name for number, name in linked_files(package).items() if name != ADDIN}


def addin_targets(package: Package) -> dict[str, str]:
    """The number of each link to our add-in, and where it leads: a file name, or the path of a computer."""
    return {number: target for number, target in targets(package).items() if file_name(target) == ADDIN}


def targets(package: Package) -> dict[str, str]:
    """The number of each link that has a part, and where it leads; empty where it does not say."""
    parts = enumerate(package.linked_parts(), 1)
    return {str(number): target_of(package, part) for number, part in parts if part in package}


def target_of(package: Package, part: str) -> str:
    """Where the part of a link leads: by the id that its book names, as a newer Excel adds links to other spellings."""
    book = package.tree(part).find(f"{MAIN}externalBook")
    if book is None:
        return ANOTHER_PROGRAM
    return unquote(package.targets(part).get(book.get(f"{LINK}id", ""), ""))
