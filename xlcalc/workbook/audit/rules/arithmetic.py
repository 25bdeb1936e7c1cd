"""Arithmetic that does not hold: values in the file that are not what their formulas give, and circles."""

from collections.abc import Collection, Hashable, Iterator, Mapping

from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.differences import LONGEST
from xlcalc.workbook.audit.finding import Finding, Sure, Weight
from xlcalc.workbook.audit.same_values import worked_alike
from xlcalc.workbook.calculation.recalc import Change
from xlcalc.workbook.calculation.settle import CIRCULAR, REASONS
from xlcalc.workbook.calculation.stuck import groups
from xlcalc.workbook.calculation.written import Look, Place
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.formulas import address

# The figures below are the choice of this audit by common practice (P): they give a finding and no verdict.
MOST_APART = 8  # columns; more are one fault of the whole book, such as an input that was changed without recalculating
MOST_NAMED = 3


def stale_values(book: Book) -> Iterator[Finding]:
    """Cells that show another value than their formula gives, without those that only follow from another such cell."""
    differ = [each for each in book.report.changes if not worked_alike(each.old, each.new)]
    if not differ:
        return
    if len(differ) >= book.report.computed / 2 and all(each.old is None for each in differ):
        yield never_worked_out(len(differ))
        return
    wrong = {each.place: each for each in differ}
    first = {place: each for place, each in wrong.items() if not follows(book, place, wrong)} or wrong
    if len({(sheet, column) for sheet, _, column in first}) > MOST_APART:
        yield left_behind(first, len(wrong))
        return
    for place, change in first.items():
        yield Finding(
            "stale-value",
            (place,),
            f"the file shows {shown(change.old)}{book.title(place)}",
            f"its formula gives {shown(change.new)}",
            "whoever reads the file without recalculating it reads a wrong value",
            "run `xlcalc recalc` on the workbook, or recalculate it in the spreadsheet and save it",
            Sure.CERTAIN,
            Weight.WRONG,
            fault="stale",
        )


def never_worked_out(count: int) -> Finding:
    """A file that a program wrote without working it out."""
    return Finding(
        "stale-value",
        (),
        f"no values: {count} formulas were never worked out",
        "every formula cell holds its value",
        "whoever reads the file without recalculating it reads nothing",
        "run `xlcalc recalc` on the workbook",
        Sure.CERTAIN,
        Weight.WEAK,
        where="the book",
    )


def left_behind(first: Mapping[Place, Change], count: int) -> Finding:
    """Cells all over a book that were not worked out after something was typed."""
    named = "; ".join(f"{address(*place)} shows {shown(each.old)}, gives {shown(each.new)}"
                      for place, each in list(first.items())[:MOST_NAMED])  # fmt: skip
    behind = f", with {count - len(first)} that follow from these" if count > len(first) else ""
    return Finding(
        "stale-value",
        tuple(first),
        f"{count} cells show old values{behind}: {named}",
        "every cell shows what its formula gives",
        "something was typed and the book was not recalculated: whoever reads it reads the values of before",
        "run `xlcalc recalc` on the workbook, or recalculate it in the spreadsheet and save it",
        Sure.CERTAIN,
        Weight.WRONG,
    )


def follows(book: Book, place: Place, wrong: Collection[Place]) -> bool:
    """True for a cell that looks at another one of these."""
    for look in book.written.looks(book.formula(place), place):
        if look.single:
            if (look.sheet, look.top, look.left) in wrong:
                return True
        elif any(each in wrong for each in cells_of(look, wrong)):
            return True
    return False


def cells_of(look: Look, among: Collection[Place]) -> Iterator[Place]:
    """The cells of an area, or those of a few that lie in it, whichever are fewer."""
    size = (look.bottom - look.top + 1) * (look.right - look.left + 1)
    if size > len(among):
        return (each for each in among if look.covers(each))
    return ((look.sheet, row, column) for row in range(look.top, look.bottom + 1)
            for column in range(look.left, look.right + 1))  # fmt: skip


def circles(book: Book) -> Iterator[Finding]:
    """Cells that look at themselves, each circle once."""
    stuck = [each.place for each in book.report.frozen if each.reason == REASONS[CIRCULAR]]
    inside = set(stuck)
    graph: dict[Hashable, list[Hashable]] = {
        place: [other for look in book.written.looks(book.formula(place), place) for other in cells_of(look, inside)
                if other in inside]
        for place in stuck
    }  # fmt: skip
    for group in groups(graph):
        members = tuple(sorted(place for place in stuck if place in set(group)))
        if len(members) > 1 or members[0] in graph[members[0]]:
            yield circle(book, members)


def circle(book: Book, members: tuple[Place, ...]) -> Finding:
    """A circle of cells."""
    others = ", ".join(address(*place) for place in members[1:5])
    return Finding(
        "circular",
        members,
        f"={book.formula(members[0])[:LONGEST]}, {f'in a circle with {others}' if others else 'which looks at itself'}",
        "no cell rests on its own answer",
        "a spreadsheet cannot work it out: it shows 0 or an old value, and so does all that rests on it",
        "break the circle: type the figure that is meant, or look at the cell before",
        Sure.CERTAIN,
        Weight.WRONG,
    )
