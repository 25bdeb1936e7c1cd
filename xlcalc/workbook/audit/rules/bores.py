"""Bores that no hose comes near, worked out beside the tables from a flow that would give one in another unit."""

from collections.abc import Iterator, Sequence
from math import sqrt

from xlcalc.core.units import unit
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.header_units import unit_text
from xlcalc.workbook.audit.evidence.peers import OTHERS, factors
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.rules.outliers import typed_numbers
from xlcalc.workbook.audit.rules.units import unit_answered
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.formulas import calls

BORE, FLOW = "BORE_FOR_FLOW", "L/min"
MILLIMETRES = "mm"
FAR = 2.0  # how many times beyond all hoses, by common practice (P): it gives a finding and no verdict


def bores_apart(book: Book) -> Iterator[Finding]:
    """Typed flows of a shop's own sums whose bore is far from that of any hose, and is not in another unit."""
    hoses = hose_bores(book)
    told: set[Place] = set()
    for pattern, (place, *_) in book.every_pattern() if hoses else ():
        if BORE in pattern.ours and not book.known(place) and not book.tables(place[0]):
            for flow, millimetres in bores(book, place):
                if flow not in told and (other := other_flow(millimetres, hoses)):
                    told.add(flow)
                    yield finding(book, flow, place, hoses, other)


def hose_bores(book: Book) -> list[float]:
    """The bores of the hoses of a book, from the narrowest."""
    tables = (table for table in book.every_table() if table.head() == "Hose" and "Bore" in table.columns)
    return sorted(bore for table in tables for bore in typed_numbers(book, table, table.columns["Bore"]).values())


def bores(book: Book, place: Place) -> Iterator[tuple[Place, float]]:
    """Where a formula is nothing but the bore for a typed flow in L/min: the cell of the flow, and the bore in mm."""
    formula, answer = book.formula(place), book.value(place)
    for call in calls(formula, book.other_files):
        if (call.name, call.start, call.end) == (BORE, 0, len(formula)) and isinstance(answer, float):
            look, said = book.written.alone(call.arguments[0].text, place), unit_answered(book.ours[BORE], call)
            flow = (look.sheet, look.top, look.left) if look and look.single else place
            typed = book.typed(flow[0]).get(flow[1:]) if flow[0] in book.sheets else None
            if said is not None and isinstance(typed, float) and unit_text(book, flow) == FLOW:
                yield flow, answer * said.factor / unit(MILLIMETRES).factor


def other_flow(bore: float, hoses: Sequence[float]) -> str:
    """The unit of the flow in which a bore would be that of a hose; empty where none helps, or none is needed."""
    if hoses[0] / FAR <= bore <= hoses[-1] * FAR:
        return ""
    return next((name for name in OTHERS[FLOW] if hoses[0] <= bore * sqrt(factors(FLOW)[name]) <= hoses[-1]), "")


def finding(book: Book, flow: Place, place: Place, hoses: Sequence[float], other: str) -> Finding:
    """A finding about a flow that gives a bore which no hose has."""
    return Finding(
        "other-unit", (flow, place),
        f"{shown(book.value(flow))} here{book.title(flow)}, for which the bore comes out as {shown(book.value(place))}",
        f"a flow for a bore of {shown(hoses[0])} to {shown(hoses[-1])} mm, as the hoses of the book have",
        f"it would fit in {other}: a number is taken in the unit beside it, whatever it was copied from",
        "look the flow up, and type it in the unit beside it, or with the unit that it is in",
        Sure.POSSIBLE, Weight.WRONG,
    )  # fmt: skip
