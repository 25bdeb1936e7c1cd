"""Findings about cells that lost their formula: a value was typed over it, or it was deleted."""

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import shortened
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.same_values import print_alike
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.values import Value


def typed_over(book: Book, place: Place, formula: str, source: str) -> Finding:
    """A value in a cell whose formula is known; `source` says from where, such as `the cells above and below have`."""
    value = book.typed(place[0])[place[1:]]
    would = worked_out(book, place, formula)
    equal = print_alike(value, would)
    return Finding(
        "typed-over",
        (place,),
        f"{shown(value)}{book.title(place)}, typed",
        f"{shortened(formula, 0, len(formula))}, which {source}{'' if equal else f' and which gives {shown(would)}'}",
        "it is right today and stays so when its inputs change" if equal else "it does not follow its inputs",
        f"type {shortened(formula, 0, len(formula))} again, or copy the formula from a cell of the same column",
        Sure.CERTAIN if isinstance(value, float) else Sure.LIKELY,
        Weight.WEAK if equal else Weight.WRONG,
        fault=f"typed over, {'equal' if equal else 'other'}",
    )


def missing(book: Book, place: Place, formula: str, source: str) -> Finding:
    """An empty cell whose formula is known."""
    return Finding(
        "formula-missing",
        (place,),
        f"nothing{book.title(place)}",
        f"{shortened(formula, 0, len(formula))}, which {source}",
        "what rests on this cell takes it for blank or for 0",
        "fill the formula down from the row above",
        Sure.LIKELY,
        Weight.WRONG,
    )


def worked_out(book: Book, place: Place, formula: str) -> Value:
    """What a formula would give in the book."""
    return book.report.worked_out(place[0], formula)
