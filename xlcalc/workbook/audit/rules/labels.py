"""Labels that say a figure beside a formula that works with another: `Bore at 3 m/s` beside BORE_FOR_FLOW(B3, 30)."""

import math
import re
from collections.abc import Iterator

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CalcError
from xlcalc.core.quantities import Quantity
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import unit_in
from xlcalc.workbook.audit.evidence.naming import beside_label
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import LOOK
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import Call, calls

SAID = re.compile(r"(?<![\w.,-])(-?[0-9]+(?:\.[0-9]+)?) ?((?:US |imp )?[^\W\d_][\w/²³]*|°[CF])(?![\w/])")
LITERAL = re.compile(r'(-?[0-9]+(?:\.[0-9]+)?)|"([^"]+)"')
SHARE = re.compile(r"(?<![\w.,])([0-9]{1,2}(?:[.,][0-9]+)?) ?%")
TIMES = re.compile(rf"{LOOK}\*([0-9.]+)")
AGAIN = re.compile(r"(?:in |the same in )(\w+)", re.IGNORECASE)
HAIR = 0.005  # share by which a label may round, by common practice (P): it gives a finding and no verdict


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


def shares_apart(book: Book) -> Iterator[Finding]:
    """Formulas of a shop's own that take another share than the per cent of their label: `VAT 19 %` beside B9*0.91."""
    for sheet in book.sheets:
        typed, formulas = book.typed(sheet), book.formulas(sheet)
        for (row, column), text in book.texts(sheet).items() if formulas else ():
            said = [float(each.replace(",", ".")) for each in SHARE.findall(text)] if "%" in text else []
            for right in beside_label(column) if len(said) == 1 else ():
                if isinstance(typed.get((row, right)), str):
                    break
                place, pattern = (sheet, row, right), formulas.get((row, right))
                factor = TIMES.fullmatch(pattern.shape) if pattern is not None and not book.known(place) else None
                if factor and not stands_for(float(factor[1]), said[0]):
                    yield Finding(
                        "label-apart", (place,),
                        f"={book.formula(place)} beside the label {text}: {factor[1]}",
                        f"{said[0] / 100:g}, or {1 + said[0] / 100:g} with it, as the label says",
                        "who reads the label takes the answer for another share than the one that was worked out",
                        "put the share of the label into the formula, or mend the label; best is a cell for it",
                        Sure.POSSIBLE, Weight.WRONG,
                    )  # fmt: skip


def stands_for(factor: float, percent: float) -> bool:
    """True for a factor that takes a share, puts it on, takes it off, or is made of it in another way people write."""
    share = percent / 100
    meant = (share, 1 + share, 1 - share, 1 / (1 + share), 1 / max(1 - share, HAIR))
    return factor.is_integer() or any(math.isclose(factor, each, rel_tol=HAIR) for each in meant)


def said_again_apart(book: Book) -> Iterator[Finding]:
    """Calls that say the answer above again in another unit, as their label tells, and are handed something else."""
    for sheet in book.sheets:
        for (row, column), text in book.texts(sheet).items() if book.formulas(sheet) else ():
            place, above = (sheet, row, column + 1), (sheet, row - 1, column + 1)
            again = AGAIN.fullmatch(text)
            if again is None or not unit_in(again[1]):
                continue
            handed = [given(book, each) for each in (above, place)]
            if all(handed) and handed[0] != handed[1] and handed[0][0] == handed[1][0] and not book.known(place):
                yield Finding(
                    "label-apart", (place, above),
                    f"={book.formula(place)} beside the label {text}",
                    f"what ={book.formula(above)} above is handed, in the other unit",
                    "the label says the figure above again in another unit, and the formula works out another case",
                    "hand both formulas the same", Sure.POSSIBLE, Weight.WRONG,
                )  # fmt: skip


def given(book: Book, place: Place) -> list[str]:
    """The function of a formula that is one call of ours, and what it is handed but for units; empty for any other."""
    formula = book.formula(place)
    for call in calls(formula, book.other_files):
        if (call.start, call.end) == (0, len(formula)) and call.name in book.ours:
            handed = (each.text for each in call.arguments)
            return [call.name, *(text for text in handed if text[:1] != '"' or not unit_in(text[1:-1]))]
    return []


def labelled(book: Book, sheet: str) -> Iterator[tuple[Place, str]]:
    """The formulas that call our functions on the right of a text with a quantity in it, up to the next text."""
    typed, formulas = book.typed(sheet), book.formulas(sheet)
    for (row, column), text in book.texts(sheet).items() if formulas else ():
        if SAID.search(text):
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
