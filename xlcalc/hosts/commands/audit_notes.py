"""What the audit says besides its findings: what changed in the book since an older copy, and facts worth knowing."""

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from xlcalc.core.words import plural
from xlcalc.hosts.commands.recalc import as_data
from xlcalc.workbook.audit.differences import brief
from xlcalc.workbook.audit.evidence.limits_used import LimitUsed
from xlcalc.workbook.audit.facts import Facts
from xlcalc.workbook.audit.since.since import Changes
from xlcalc.workbook.audit.since.typed_changes import TypedChanges
from xlcalc.workbook.formulas import address

MOST_CHANGES = 12  # lines of one kind of change on a terminal; the page and --json have all
MOST_TYPED = 6  # rows or cells
MOST_LIMITS, MOST_NAMED = 3, 2  # the facts together are eight lines at most
MORE = "--html PAGE.html or --json has them all"
FACTS = "No findings, but worth knowing:"


class Section(NamedTuple):
    """A head, the lines under it, and how many of them a terminal shows."""

    head: str
    lines: list[str]
    most: int

    def shown(self) -> Iterator[str]:
        """Head and lines for a terminal."""
        yield f"  {self.head}:"
        yield from (f"    {line}" for line in self.lines[: self.most])
        if len(self.lines) > self.most:
            yield f"    and {len(self.lines) - self.most} more: {MORE}"


def changed_in_book(changes: Changes) -> list[Section]:
    """What was changed in the book itself; nothing for what was not."""
    formulas = [f"{each.place}{titled(each.title)}: {each.words}" for each in changes.formulas]
    limits = [
        f"{address(*each.place)} ({each.words}): {each.which} was {each.was}, is {each.now}" for each in changes.limits
    ]
    found = [
        Section("Sheets, names, settings, stamp", [each.words for each in changes.around], MOST_CHANGES),
        Section("Formulas", formulas, MOST_CHANGES),
        Section("Limits", limits, MOST_CHANGES),
        Section(rows_count(changes.typed), list(row_lines(changes.typed)), MOST_TYPED),
        Section(f"Typed: {plural(len(changes.typed.cells), 'cell')} changed", cell_lines(changes.typed), MOST_TYPED),
    ]
    return [section for section in found if section.lines]


def rows_count(typed: TypedChanges) -> str:
    """`Rows: 2 put in, 1 taken out`."""
    counts = (len(typed.put_in), "put in"), (len(typed.taken_out), "taken out")
    return "Rows: " + ", ".join(f"{number} {what}" for number, what in counts if number)


def row_lines(typed: TypedChanges) -> Iterator[str]:
    """The rows one by one."""
    for rows, what in ((typed.put_in, "put in"), (typed.taken_out, "taken out")):
        yield from (f"{row.where}: {what}, {plural(row.cells, 'typed cell')}" for row in rows)


def cell_lines(typed: TypedChanges) -> list[str]:
    """The typed cells one by one."""
    return [
        f"{address(*cell.place)}{titled(cell.title)}: was {brief(cell.was)}, is {brief(cell.now)}"
        for cell in typed.cells
    ]


def titled(title: str) -> str:
    """A title of a cell; of a sentence that stands beside it only its two ends."""
    return brief(title)


def changes_data(changes: Changes) -> dict[str, Any]:
    """What was changed in the book, for a program."""
    return {
        "book": [each._asdict() for each in changes.around],
        "formulas": [
            {**each._asdict(), "where": each.place, "title": bare(each.title), "cells": addresses(each.cells)}
            for each in changes.formulas
        ],
        "limits": [{**each._asdict(), "place": address(*each.place)} for each in changes.limits],
        "typed": {
            "cells": [
                {"cell": address(*each.place), "title": bare(each.title), "was": each.was, "now": each.now}
                for each in changes.typed.cells
            ],
            "rows_put_in": [row_data(row.place, row.name, row.cells) for row in changes.typed.put_in],
            "rows_taken_out": [row_data(row.place, row.name, row.cells) for row in changes.typed.taken_out],
        },
    }


def row_data(place: tuple[str, int, int], name: str, cells: int) -> dict[str, Any]:
    """A row for a program."""
    return {"sheet": place[0], "row": place[1], "name": name, "cells": cells}


def bare(title: str) -> str:
    """A title without the space before it."""
    return title.strip()


def addresses(cells: Iterable[tuple[str, int, int]]) -> list[str]:
    """Cells as a person writes them."""
    return [address(*cell) for cell in cells]


def in_short(facts: Facts) -> list[str]:
    """The facts for a terminal, eight lines at most; nothing where there are none."""
    lines = []
    if facts.limits:
        lines.append(f"  The shop's own figure holds for {plural(len(facts.limits), 'limit')}:")
        lines += [f"    {limit_line(each)}" for each in facts.limits[:MOST_LIMITS]]
    if len(facts.limits) > MOST_LIMITS:
        lines.append(f"    and {len(facts.limits) - MOST_LIMITS} more: {MORE}")
    for head, whole in ((units_head(facts), units_lines(facts)), (stopped_head(facts), stopped_lines(facts))):
        if whole:
            left = len(whole) - MOST_NAMED
            more = f"; and {left} more: {MORE}" if left > 0 else ""
            lines.append(f"  {head}: {'; '.join(whole[:MOST_NAMED])}{more}")
    return [FACTS, *lines] if lines else []


def in_full(facts: Facts) -> list[Section]:
    """All facts, for a page."""
    limits = [limit_line(each) for each in facts.limits]
    found = [
        Section(f"The shop's own figure holds for {plural(len(limits), 'limit')}", limits, len(limits)),
        Section(units_head(facts), units_lines(facts), len(facts.unfollowed)),
        Section(stopped_head(facts), stopped_lines(facts), len(facts.stopped)),
    ]
    return [section for section in found if section.lines]


def limit_line(limit: LimitUsed) -> str:
    """`Start!C31 suction margin: 8 kPa in place of 10 kPa (common practice (P)), last changed: 2026-05-02`."""
    source = limit.source.partition(": ")[0]
    said = f"{limit.said(limit.own)} in place of {limit.said(limit.default)}{f' ({brief(source)})' if source else ''}"
    dated = f"last changed: {brief(limit.dated.text)}" if limit.dated.value is not None else "no date beside it"
    return f"{address(*limit.own_place)} {limit.words}: {said}, {dated}"


def units_head(facts: Facts) -> str:
    """How many cells the units could not be followed in."""
    cells = sum(len(each.cells) for each in facts.unfollowed)
    return f"Units could not be followed in {plural(cells, 'cell')} of your own formulas"


def units_lines(facts: Facts) -> list[str]:
    """The cells and why."""
    return [f"{each.place}, {each.why}" for each in facts.unfollowed]


def stopped_head(facts: Facts) -> str:
    """How many cells could not be worked out."""
    return f"{plural(len(facts.stopped), 'cell')} could not be worked out here and kept the value that the file has"


def stopped_lines(facts: Facts) -> list[str]:
    """The cells and why."""
    return [f"{each.cell}, {each.reason}" for each in facts.stopped]


def facts_data(facts: Facts) -> dict[str, Any]:
    """The facts for a program."""
    return {
        "own_limits": [
            {
                "cell": address(*each.own_place),
                "words": each.words,
                "own": each.said(each.own),
                "default": each.said(each.default),
                "source": each.source,
                "dated": "" if each.dated.value is None else each.dated.text,
            }
            for each in facts.limits
        ],
        "units_not_followed": [
            {"where": each.place, "cells": addresses(each.cells), "why": each.why} for each in facts.unfollowed
        ],
        "not_worked_out": as_data(facts.stopped),
    }
