"""Labels that say a figure beside a formula that works with another: `Bore at 3 m/s` beside BORE_FOR_FLOW(B3, 30)."""

import math
import re
from collections.abc import Iterator

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CalcError
from xlcalc.core.quantities import Quantity
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.naming import beside_label
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.formulas import Call, calls
from xlcalc.workbook.written import Place

SAID = re.compile(r"(?<![\w.,-])(-?[0-9]+(?:\.[0-9]+)?) ?((?:US |imp )?[^\W\d_][\w/²³]*|°[CF])(?![\w/])")
LITERAL = re.compile(r'(-?[0-9]+(?:\.[0-9]+)?)|"([^"]+)"')
HAIR = 0.005  # share by which a label may round


def labels_apart(book: Book) -> Iterator[Finding]:
    """Formulas of a shop's own whose label says a quantity that no figure written into their calls is."""
    for sheet in book.sheets:
        for place, label in labelled(book, sheet):
            for call in calls(book.formula(place), book.other_files) if not book.known(place) else ():
                if call.name in book.ours and (wrong := contradicted(label, book.ours[call.name], call)):
                    said, there = wrong
                    yield Finding(
                        "label-apart", (place,),
                        f"={book.formula(place)} beside the label {label}: {there} in {call.name}",
                        f"{said}, as the label says",
                        "who reads the label takes the answer for another case than the one that was worked out",
                        f"put {said} into the formula, or say in the label what it works with; best is a cell for it",
                        Sure.POSSIBLE, Weight.WRONG,
                    )  # fmt: skip


def labelled(book: Book, sheet: str) -> Iterator[tuple[Place, str]]:
    """The formulas that call our functions on the right of a text with a quantity in it, up to the next text."""
    typed, formulas = book.typed(sheet), book.formulas(sheet)
    for (row, column), text in typed.items() if formulas else ():
        if isinstance(text, str) and SAID.search(text):
            for right in beside_label(column):
                if isinstance(typed.get((row, right)), str):
                    break
                pattern = formulas.get((row, right))
                if pattern is not None and pattern.ours:
                    yield (sheet, row, right), text


def contradicted(label: str, declaration: Declaration, call: Call) -> tuple[str, str] | None:
    """A quantity of a label that a call could take and does not, and what is written into the call instead."""
    for found in SAID.finditer(label):
        said = f"{found[1]} {found[2]}"
        written = list(written_like(said, declaration, call))
        if written and not any(same for _, same in written):
            return said, " and ".join(text for text, _ in written)
    return None


def written_like(said: str, declaration: Declaration, call: Call) -> Iterator[tuple[str, bool]]:
    """The figures written into a call for arguments that could take a quantity, and whether each is that quantity."""
    for arg, given in zip(declaration.args, call.arguments, strict=False):
        literal = LITERAL.fullmatch(given.text.strip())
        if literal is None or not isinstance(arg.reader, Quantity):
            continue
        try:
            wanted = arg.reader.read(said)
            there = arg.reader.read(float(literal[1]) if literal[1] else literal[2])
        except CalcError:
            continue  # a quantity of another kind, or none
        unit = f" {arg.unit}" if literal[1] else ""
        yield f"{literal[1] or literal[2]}{unit}", math.isclose(wanted, there, rel_tol=HAIR)
