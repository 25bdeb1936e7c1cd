"""A cell that was typed in: what goes into it, and which cells look at it."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.explained.remark import Remark
from xlcalc.workbook.explained.workings import Workings, shown
from xlcalc.workbook.file.validations import validations
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import address, column_letters

MOST_USERS = 12  # columns; more are counted


def input_lines(book: Workings, place: Place) -> Iterator[Remark]:
    """The lines about a cell without formula."""
    yield Remark("typed", kind(book.value(place), dated=book.said(place) != shown(book.value(place))))
    if message := validation_message(book, place):
        yield Remark("help", f"What goes in: {message}")
    direct = users(book, {place})
    yield from listed(book, direct, "user", "Cells that look at it")
    if near := {user for user in direct if user[0] == place[0] and user[1] == place[1]}:
        further = [user for user in users(book, near) if user not in direct]
        yield from listed(book, further, "through", "Through these of its row")
    if not direct:
        yield Remark("user", "No cell looks at it.")


def kind(value: Value, *, dated: bool) -> str:
    """What was typed; `dated` where its number is shown as a date."""
    if value is None:
        return "The cell is empty."
    number = "a date" if dated else "a number"
    typed = "text" if isinstance(value, str) else "yes or no" if isinstance(value, bool) else number
    return f"It was typed in, not worked out: {typed}."


def validation_message(book: Workings, place: Place) -> str:
    """The message that a spreadsheet shows beside the cell."""
    sheet, row, column = place
    part = next(each.part for each in book.package.worksheets() if each.name == sheet)
    for rule, areas in validations(book.package, part):
        if any(top <= row <= bottom and left <= column <= right for top, left, bottom, right in areas):
            return rule.get("prompt") or rule.get("error") or ""
    return ""


def users(book: Workings, places: Iterable[Place]) -> list[Place]:
    """The formula cells that look at any of these cells, by themselves or through a defined name."""
    wanted = set(places)
    return [
        at
        for at, formula in book.written.formulas()
        if at not in wanted
        and any(look.covers(place) for look in book.written.looks(formula, at) for place in wanted)
    ]


def listed(book: Workings, found: Iterable[Place], part: str, head: str) -> Iterator[Remark]:
    """Cells by sheet and column, one line a column: `Lines!AG8 (Flow number, L/min)`."""
    columns = groupby(sorted(found, key=lambda at: (book.written.sheets.index(at[0]), at[2], at[1])),
                      key=lambda at: (at[0], at[2]))  # fmt: skip
    groups = [list(cells) for _, cells in columns]
    if groups:
        yield Remark(part, f"{head}:")
    for cells in groups[:MOST_USERS]:
        first, last = cells[0], cells[-1]
        down = f":{column_letters(last[2])}{last[1]}" if last != first else ""
        yield Remark(part, f"{address(*first)}{down}{book.title(first)}", 1, first)
    if len(groups) > MOST_USERS:
        yield Remark(part, f"and {len(groups) - MOST_USERS} more columns", 1)
