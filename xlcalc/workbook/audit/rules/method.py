"""Functions used for what they are not for, and inputs close to the end of what may be typed."""

import re
from collections.abc import Iterator
from functools import lru_cache

from xlcalc.core.errors import CalcError
from xlcalc.functions.fluid import Fluid
from xlcalc.functions.fluid_words import FluidKind, fluid_of
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.allowed import Span, spans, typed_in
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.audit.reading.sections import Column
from xlcalc.workbook.audit.rules.outliers import other_units, unusual_job
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import Call, calls

STRAIGHT = {"HOSE_SLACK", "HOSE_FINISHED_LENGTH"}
BENT, STRAIGHT_ONLY = "bent", "the method is for a straight run"
LITERAL = re.compile(r'"(?:[^"]|"")*"')
# The figures below are the choice of this audit by common practice (P): they give a note and no verdict.
NEAR = 0.95  # of a span or of a limit
FEW = 1000.0  # a number without a unit counts something: to the last of few, and hardly of so many
FIXED_ROW = re.compile(r"\$[0-9]")
TURNS = {"°", "deg", "date"}  # what goes round
SHARE, WHOLE = "%", 100.0  # a share may well be whole


def outside_its_method(book: Book) -> Iterator[Finding]:
    """Calls of our functions with a fluid or a route that their method does not hold for."""
    for pattern, places in book.every_pattern():
        if any(book.ours[name].not_with or name in STRAIGHT for name in pattern.ours):
            for call in calls(pattern.at(places[0][1]), book.other_files):
                if call.name in book.ours and book.ours[call.name].not_with:
                    yield from wrong_fluid_for(book, pattern, places, call)
                elif call.name in STRAIGHT:
                    for place in places:
                        if runs_bent(book, place) and counts(book, pattern, place, call.name):
                            yield not_for(place, call, "works out a run that is bent", STRAIGHT_ONLY)


def wrong_fluid_for(book: Book, pattern: Pattern, places: list[Place], call: Call) -> Iterator[Finding]:
    """The cells of a pattern in which a function is given a fluid that it is not for."""
    declared = book.ours[call.name]
    for arg, given in zip(declared.args, call.arguments, strict=False):
        if isinstance(arg.reader, FluidKind):
            for place, words in handed_over(book, places, given.text):
                fluid = fluid_called(words) if isinstance(words, str) and words else None
                why = declared.not_with.get(fluid.kind, "") if fluid else ""
                if fluid and why and counts(book, pattern, place, call.name):
                    yield not_for(place, call, f"is given {fluid.name}", why)


def counts(book: Book, pattern: Pattern, place: Place, name: str) -> bool:
    """True where a cell holds a number, and the call of a function in it is in no branch that is not taken."""
    if not isinstance(book.value(place), float):
        return False
    made = [each for each in calls(pattern.at(place[1]), book.other_files) if each.name == name]
    return any(not book.workings.unused(each, place) for each in made)


def handed_over(book: Book, places: list[Place], text: str) -> Iterator[tuple[Place, Value]]:
    """What an argument of a pattern is in each of its cells, where it is a text in quotes or one cell.

    `text` is how the first of the cells writes it. It is read once: a row that goes along with the cell does so
    in all of them.
    """
    row = places[0][1]
    if LITERAL.fullmatch(text):
        yield from ((place, text[1:-1].replace('""', '"')) for place in places)
    elif (look := book.written.alone(text, places[0])) is not None and look.single:
        meant = book.written.meaning(text, places[0][0])
        along = not FIXED_ROW.search(meant) and ("[" not in meant or look.top == row)
        rows = (look.top + (place[1] - row if along else 0) for place in places)
        yield from ((place, book.value((look.sheet, at, look.left))) for place, at in zip(places, rows, strict=True))


@lru_cache(500)
def fluid_called(words: str) -> Fluid | None:
    """The fluid of the table, or that the words say; None where there is none."""
    try:
        return fluid_of(words)
    except CalcError:
        return None


def runs_bent(book: Book, place: Place) -> bool:
    """True where the row of a cell says that its run is bent."""
    sheet, row, _ = place
    table = next((each for each in book.tables(sheet) if row in each.rows), None)
    return table is not None and any(book.typed(sheet).get((row, column)) == BENT for column in table.columns.values())


def not_for(place: Place, call: Call, does: str, why: str) -> Finding:
    """A finding about a function outside its method."""
    return Finding(
        "not-for-this", (place,),
        f"{call.name} {does}", "what the method of the function holds for", why,
        "take the fluid of the row, or another function: the sheet Functions says what each is not for",
        Sure.LIKELY, Weight.WRONG,
    )  # fmt: skip


def fluids_in_formulas(book: Book) -> Iterator[Finding]:
    """Calls with a fluid that is written into the formula, where the rest of the column takes that of the row."""
    for sheet in book.sheets:
        for column in book.columns(sheet):
            if len(set(column.patterns)) == 1 or not any(pattern.ours for pattern in set(column.patterns)):
                continue
            usual, *others = column.groups().values()
            for places in others:
                pattern = column.patterns[places[0]]
                if pattern.ours and len(places) < len(usual) and (call := with_literal(book, column, places[0])):
                    yield Finding(
                        "fluid-in-formula", tuple((sheet, column.rows[place], column.column) for place in places),
                        f"{call.name} is given a fluid that is written into the formula",
                        "the fluid of the row, as in the rest of the column",
                        "the answer stays that of this fluid whatever the row says",
                        "fill the formula of the column into this cell again",
                        Sure.LIKELY, Weight.WRONG,
                    )  # fmt: skip


def with_literal(book: Book, column: Column, place: int) -> Call | None:
    """A call of a formula with a fluid in quotes."""
    for call in calls(column.patterns[place].at(column.rows[place]), book.other_files):
        declared = book.ours[call.name].args if call.name in book.ours else ()
        for arg, given in zip(declared, call.arguments, strict=False):
            if isinstance(arg.reader, FluidKind) and LITERAL.fullmatch(given.text):
                return call
    return None


def close_to_the_end(book: Book) -> Iterator[Finding]:
    """Typed numbers in the last twentieth of what the cell lets through, and those that it would not let through.

    One that it would let through in another unit is named for that already.
    """
    refused: list[Finding] = []
    for sheet in book.sheets:
        for each in spans(book, sheet):
            edge = each.low + NEAR * (each.high - each.low)
            for (row, column), value in typed_in(book, sheet, each.areas):
                if not isinstance(value, float):
                    continue
                if not each.low <= value <= each.high:
                    refused.append(not_let_through(book, (sheet, row, column), each))
                elif edge < value < each.high:
                    unit = book.headers(sheet).unit(row, column)
                    counted = not unit and each.high < FEW
                    whole = counted or unit in TURNS or (unit, each.high) == (SHARE, WHOLE)
                    if not whole or not book.headers(sheet).head(row, column):
                        yield near_end(book, (sheet, row, column), value, each.high)
    others = (*other_units(book), *unusual_job(book)) if refused else ()
    named = {cell for each in others for cell in each.cells}
    yield from (each for each in refused if each.cells[0] not in named)


def not_let_through(book: Book, place: Place, allowed: Span) -> Finding:
    """A finding about a number that the check on what is typed would refuse: it was pasted."""
    return Finding(
        "outside-limits", (place,),
        f"{shown(book.value(place))} here{book.title(place)}",
        f"{shown(allowed.low)} to {shown(allowed.high)}, which is what the cell takes",
        "it was pasted past the check on what is typed: the functions do not hold there, and it is most likely a slip",
        "look whether the figure and its unit are right, and type it again",
        Sure.CERTAIN, Weight.WRONG,
    )  # fmt: skip


def near_end(book: Book, place: Place, value: float, high: float) -> Finding:
    """A finding about an input at the end of its span."""
    return Finding(
        "close-to-limit", (place,),
        f"{shown(value)} here{book.title(place)}",
        f"less than {NEAR:.0%} of {shown(high)}, the most that the cell takes",
        "the functions hold up to that figure: a little more has no answer, and so large a figure is often a slip",
        "look whether the figure and its unit are right",
        Sure.POSSIBLE, Weight.NOTE,
    )  # fmt: skip
