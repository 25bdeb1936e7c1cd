"""Units followed from headers into the arguments of our functions, out of their answers, and through plain sums."""

import re
from collections.abc import Iterator

from xlcalc.core.declaration import Declaration
from xlcalc.core.errors import CalcError
from xlcalc.core.quantities import Quantity
from xlcalc.core.units import Unit, unit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import alike, in_table, unit_in, unit_of, unit_text
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.formulas import Call, calls, tokens

READS_IN_A_UNIT = "QUANTITY_IN"  # a bare number is already in the unit that it is asked for
WRAPPERS = {"IF": (1, 2), "IFERROR": (0, 1), "ROUND": (0, 0), "ROUNDUP": (0, 0), "ROUNDDOWN": (0, 0), "MAX": (0, 9)}
ADDED = re.compile(r"[§\w][+\-<>=][§A-Z_]")  # two references, or names, with such a sign between them
SUMS = {"+", "-", "<", ">", "="}
BINDS = {"*", "/", "^"}
PLAIN = {"", "1"}  # numbers without a unit
PROBES = {"ISNUMBER", "ISERROR", "ISTEXT", "ISERR", "COUNT"}  # ask whether a sum can be worked out, not what it is


def units_into_arguments(book: Book) -> Iterator[Finding]:
    """Cells whose header says another unit than the argument takes that they are handed to."""
    for pattern, places in book.every_pattern():
        if not pattern.ours or not in_table(book, places[0]):
            continue
        for call in calls(pattern.at(places[0][1]), book.other_files):
            declaration = book.ours.get(call.name)
            for wanted, label, text in wants(declaration, call) if declaration else ():
                look = book.written.alone(text, places[0])
                given = unit_of(book, look) if look else None
                if look is not None and given is not None and not alike(given, wanted):
                    at = look.sheet, look.top if look.single else look.top + 1, look.left
                    yield Finding(
                        "unit-of-argument", tuple(places),
                        f"{text}{book.title(at)} goes into {label} of {call.name}",
                        f"a column in {wanted.printed}: a number without a unit is taken as {wanted.printed}",
                        differs(given, wanted),
                        "put the unit of the header right, or write the numbers with their unit",
                        Sure.LIKELY, Weight.WRONG,
                    )  # fmt: skip


def wants(declaration: Declaration, call: Call) -> Iterator[tuple[Unit, str, str]]:
    """The unit that each quantity of a call is taken in, the argument's label, and what is handed over."""
    if call.name == READS_IN_A_UNIT:
        asked = literal_unit(call.arguments[1].text) if len(call.arguments) > 1 else None
        if asked and asked.text not in PLAIN:
            yield asked, "the quantity", call.arguments[0].text
        return
    for arg, given in zip(declaration.args, call.arguments, strict=False):
        if isinstance(arg.reader, Quantity) and arg.unit not in PLAIN and given.text:
            yield unit(arg.unit), arg.label.lower(), given.text


def literal_unit(text: str) -> Unit | None:
    """The unit that a text in quotes names."""
    return unit_in(text[1:-1]) if len(text) > 2 and text[0] == text[-1] == '"' else None


def differs(given: Unit, wanted: Unit) -> str:
    """Why two units do not go together."""
    if given.dimension != wanted.dimension:
        return f"{given.printed} and {wanted.printed} are not the same kind of quantity: a wrong column, it seems"
    if given.flavour != wanted.flavour:
        said, meant = given.flavour or "plain", wanted.flavour or "plain"
        return f"one is {said}, the other {meant}: the answer is out by the difference"
    factor = given.factor / wanted.factor
    return f"a number in {given.printed} taken as {wanted.printed} is out by a factor of {factor:.4g}"


def units_of_answers(book: Book) -> Iterator[Finding]:
    """Cells that hold the answer of a function in another unit than their header says."""
    for pattern, places in book.every_pattern():
        if not pattern.ours or not in_table(book, places[0]):
            continue
        given, stated = answered(book, pattern.at(places[0][1])), unit_in(unit_text(book, places[0]))
        if given and stated and given.text not in PLAIN and not alike(given, stated):
            yield Finding(
                "unit-of-answer", tuple(places),
                f"the header says {stated.printed}", f"{given.printed}, in which the formula answers",
                differs(given, stated),
                "put the unit of the header right, or ask the function for that unit in its last argument",
                Sure.LIKELY, Weight.WRONG,
            )  # fmt: skip


def answered(book: Book, formula: str, deep: int = 8) -> Unit | None:
    """The unit in which a formula answers that is a call of ours, perhaps in branches of IF, IFERROR or ROUND.

    None where the branches answer in different units, or one of them cannot be followed.
    """
    text = formula.strip()
    whole = next((each for each in calls(text, book.other_files) if (each.start, each.end) == (0, len(text))), None)
    if whole is None or not deep:
        return None
    if whole.name in book.ours:
        return unit_answered(book.ours[whole.name], whole)
    first, last = WRAPPERS.get(whole.name, (1, 0))
    branches = [each.text for each in whole.arguments[first : last + 1] if calls(each.text, book.other_files)]
    found = [answered(book, each, deep - 1) for each in branches]
    known = [each for each in found if each is not None]
    same = len(known) == len(found) and all(alike(known[0], each) for each in known)
    return known[0] if known and same else None


def unit_answered(declaration: Declaration, call: Call) -> Unit | None:
    """The unit of a call's answer: the one asked for, or the workshop unit."""
    if call.name == READS_IN_A_UNIT:
        return literal_unit(call.arguments[1].text) if len(call.arguments) > 1 else None
    if not declaration.answer.unit_text or declaration.about:
        return None
    asked = call.arguments[len(declaration.args) - 1].text if len(call.arguments) == len(declaration.args) else ""
    if declaration.has_unit and asked:
        return literal_unit(asked)
    try:
        return declaration.answer.unit
    except CalcError:
        return None


def units_in_sums(book: Book) -> Iterator[Finding]:
    """Sums, differences and comparisons of two cells whose headers say different units."""
    for pattern, places in book.every_pattern():
        if not ADDED.search(pattern.shape) or not in_table(book, places[0]):
            continue
        for left, sign, right in pairs(pattern.at(places[0][1])):
            yield from unlike(book, left, sign, right, places)


def unlike(book: Book, left: str, sign: str, right: str, places: list[Place]) -> Iterator[Finding]:
    """A finding where two cells that are added or compared are in different units."""
    looks = [book.written.alone(text, places[0]) for text in (left, right)]
    found = [unit_of(book, look) if look and look.single else None for look in looks]
    one, other = found
    if one is not None and other is not None and not alike(one, other) and not a_step(one, sign, other):
        yield Finding(
            "units-mixed", tuple(places),
            f"{left} in {one.printed} and {right} in {other.printed} are added or compared",
            "two cells in the same unit", differs(one, other),
            "bring both to one unit with QUANTITY_IN, or mend the header that is wrong",
            Sure.LIKELY, Weight.WRONG,
        )  # fmt: skip


def a_step(one: Unit, sign: str, other: Unit) -> bool:
    """True for a temperature and a difference that is added to it or taken off."""
    return sign in "+-" and one.flavour == "temperature" and other.text in ("K", "delta_degC", "delta_degF")


def pairs(formula: str) -> Iterator[tuple[str, str, str]]:
    """Two references with a plus, a minus or a comparison between them, and nothing that binds closer beside them.

    Sums that only probe whether every cell is a number are left out.
    """
    if not any(sign in formula for sign in SUMS):
        return
    pieces = [each for each in tokens(formula) if each.kind != "space"]
    probed = [(call.start, call.end) for call in calls(formula) if call.name in PROBES]
    for place in range(len(pieces) - 2):
        left, sign, right = pieces[place : place + 3]
        if any(start < sign.start < end for start, end in probed):
            continue
        before = pieces[place - 1].text if place else ""
        after = pieces[place + 3].text if place + 3 < len(pieces) else ""
        plain = left.kind in ("reference", "name") and right.kind in ("reference", "name")
        if plain and sign.text in SUMS and before not in BINDS and after not in BINDS:
            yield left.text, sign.text, right.text
