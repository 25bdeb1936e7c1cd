"""Which cells of a sheet the formulas of a book look at, answered without going through all of them."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from xlcalc.workbook.audit.reading.patterns import Pattern
from xlcalc.workbook.calculation.written import Look, Place, Written


class Strip(NamedTuple):
    """Rows of some columns at which formulas look; `tall` where one of them looks at several of the rows at once."""

    left: int
    right: int
    first: int
    last: int
    tall: bool


class Spans:
    """Rows, as spans that neither touch nor overlap."""

    def __init__(self, spans: Iterable[tuple[int, int]]) -> None:
        self._firsts: list[int] = []
        self._lasts: list[int] = []
        for first, last in sorted(spans):
            if self._lasts and first <= self._lasts[-1] + 1:
                self._lasts[-1] = max(self._lasts[-1], last)
            else:
                self._firsts.append(first)
                self._lasts.append(last)

    def meet(self, first: int, last: int) -> bool:
        """True where any of the rows from first to last is among these."""
        at = bisect_right(self._firsts, last)
        return at > 0 and self._lasts[at - 1] >= first


class LookedAt:
    """What formulas look at on a sheet, by the first and last column of the areas."""

    def __init__(self, strips: Iterable[Strip]) -> None:
        rows: dict[tuple[int, int], set[tuple[int, int]]] = defaultdict(set)
        tall: dict[tuple[int, int], set[tuple[int, int]]] = defaultdict(set)
        for strip in strips:
            rows[strip.left, strip.right].add((strip.first, strip.last))
            if strip.tall:
                tall[strip.left, strip.right].add((strip.first, strip.last))
        self._any = {columns: Spans(spans) for columns, spans in rows.items()}
        self._tall = {columns: Spans(spans) for columns, spans in tall.items()}

    def at(self, row: int, column: int) -> bool:
        """True for a cell that any formula looks at."""
        return any(spans.meet(row, row) for (left, right), spans in self._any.items() if left <= column <= right)

    def taken(self, column: int, first: int, last: int) -> bool:
        """True where an area of several rows takes a column in any of the rows from first to last."""
        return any(spans.meet(first, last) for (left, right), spans in self._tall.items() if left <= column <= right)


NOTHING = LookedAt(())
"""Of a sheet at which no formula looks."""


def looked_at(patterns: Iterable[tuple[Pattern, Sequence[Place]]], written: Written) -> dict[str, LookedAt]:
    """What the formulas of a book look at, by sheet."""
    found: dict[str, set[Strip]] = defaultdict(set)
    for pattern, places in patterns:
        for sheet, strips in looked_down(pattern, places, written):
            found[sheet].update(strips)
    return {sheet: LookedAt(strips) for sheet, strips in found.items()}


def looked_down(pattern: Pattern, places: Sequence[Place], written: Written) -> Iterator[tuple[str, Iterator[Strip]]]:
    """What the cells of a pattern look at: a sheet, and the strips of it.

    An area stands still or goes down with the pattern, so the first and the last cell give those of all others.
    """
    first, last = places[0], places[-1]
    start, end = (written.looks(pattern.at(place[1]), place) for place in (first, last))
    steps = [goes_down(*pair, last[1] - first[1]) for pair in zip(start, end, strict=False)]
    if len(start) != len(end) or None in steps:
        for place in places:
            for look in written.looks(pattern.at(place[1]), place):
                yield look.sheet, iter([strip_of(look, (0, 0), 0, 0)])
        return
    spans = list(runs([row - first[1] for _, row, _ in places]))
    for look, step in zip(start, steps, strict=True):
        yield look.sheet, (strip_of(look, step or (0, 0), *span) for span in spans)


def goes_down(first: Look, last: Look, rows: int) -> tuple[int, int] | None:
    """Whether the top and the bottom of an area go down with the rows of its pattern, 1 or 0; None where unclear."""
    moves = last.top - first.top, last.bottom - first.bottom
    same = (first.sheet, first.left, first.right) == (last.sheet, last.left, last.right)
    return (int(moves[0] != 0), int(moves[1] != 0)) if same and all(each in (0, rows) for each in moves) else None


def runs(rows: Sequence[int]) -> Iterator[tuple[int, int]]:
    """The first and the last of rows that follow each other without a gap."""
    first = 0
    for place, row in enumerate(rows):
        if place + 1 == len(rows) or rows[place + 1] != row + 1:
            yield rows[first], row
            first = place + 1


def strip_of(look: Look, step: tuple[int, int], first: int, last: int) -> Strip:
    """What an area takes up where it stands for cells without a gap, which are so many rows below its own."""
    tops, bottoms = ([edge + row * moves for row in (first, last)]
                     for edge, moves in zip((look.top, look.bottom), step, strict=True))  # fmt: skip
    tall = any(top < bottom for top, bottom in zip(tops, bottoms, strict=True))
    return Strip(look.left, look.right, min(tops), max(bottoms), tall)
