"""Pressures that come close to what their hose bears, while the Check still passes or only says Near."""

from collections.abc import Iterator

from xlcalc.core.errors import CalcError
from xlcalc.core.evaluate import call
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.method import NEAR
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import CannotTell, shown
from xlcalc.workbook.formulas import Call, calls

ASKED, LIMIT = "HOSE_CHECK", "HOSE_PRESSURE_LIMIT"
HOSE, PRESSURE, HOTTEST, ENDS = 0, 1, 3, 6  # arguments of HOSE_CHECK
DEEPEST = 4  # cells between an argument and what was typed


def close_to_the_hose(book: Book) -> Iterator[Finding]:
    """Typed pressures in the last twentieth of what the hose of their row bears when it is hottest."""
    seen: set[Place] = set()
    for pattern, places in book.every_pattern():
        if ASKED not in pattern.ours:
            continue
        for place in places:
            for made in calls(pattern.at(place[1]), book.other_files):
                if made.name == ASKED and len(made.arguments) > HOTTEST:
                    yield from near_limit(book, made, place, seen)


def near_limit(book: Book, made: Call, place: Place, seen: set[Place]) -> Iterator[Finding]:
    """A finding where the pressure of one call is close to its limit; each typed cell is named once."""
    cell = typed_behind(book, made.arguments[PRESSURE].text, place)
    if cell is None or cell in seen or book.written.alone(made.arguments[HOTTEST].text, place) is None:
        return
    try:
        given = [book.workings.cell(each.text, place) for each in made.arguments]
        ends = given[ENDS] if len(given) > ENDS else None
        limit, pressure = call(LIMIT, given[HOSE], given[HOTTEST], ends), given[PRESSURE]
    except (CalcError, CannotTell):
        return
    if isinstance(limit, float) and isinstance(pressure, float) and NEAR * limit < pressure <= limit:
        seen.add(cell)
        yield Finding(
            "close-to-limit", (cell,),
            f"{shown(book.value(cell))} here{book.title(cell)}: {pressure / limit:.0%} of what the hose bears hot",
            f"less than {NEAR:.0%} of {limit:.4g} kPa",
            "a gauge, a relief valve or a hotter day can be out by more than what is left",
            "take the next stronger hose, or make sure that the pressure is the highest that can come",
            Sure.CERTAIN, Weight.NOTE,
        )  # fmt: skip


def typed_behind(book: Book, text: str, place: Place) -> Place | None:
    """The typed cell that an argument comes from, through cells of its row.

    Of several that a formula looks at it is the one that holds the same value, else the only one that is typed.
    """
    look = book.written.alone(text, place)
    if look is None or not look.single or look.sheet not in book.sheets:
        return None
    at, wanted = (look.sheet, look.top, look.left), book.value((look.sheet, look.top, look.left))
    for _ in range(DEEPEST):
        formula = book.formula(at)
        if not formula:
            return at
        inputs = list(dict.fromkeys((each.sheet, each.top, each.left) for each in book.written.looks(formula, at)
                                    if each.single and (each.sheet, each.top) == at[:2]))  # fmt: skip
        same = [each for each in inputs if book.value(each) == wanted]
        typed = [each for each in inputs if not book.formula(each)]
        if len(same) != 1 and len(typed) != 1:
            return None
        at = same[0] if len(same) == 1 else typed[0]
    return None
