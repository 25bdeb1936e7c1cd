"""Which formula cells look at a cell, directly or by others: where a fault shows besides its own place."""

from collections import defaultdict
from collections.abc import Iterable

from xlcalc.workbook.package import Package
from xlcalc.workbook.written import Place, Written

Area = tuple[str, int, int, int, int]


class Followers:
    """The formulas of a clean book, turned round."""

    def __init__(self, data: bytes) -> None:
        written = Written(Package.from_bytes(data, "book.xlsx"))
        self._single: dict[Place, list[Place]] = defaultdict(list)
        areas: dict[Area, list[Place]] = defaultdict(list)
        for place, formula in written.formulas():
            for look in written.looks(formula, place):
                if look.single:
                    self._single[look.sheet, look.top, look.left].append(place)
                else:
                    areas[look[:5]].append(place)
        self._areas: dict[str, list[tuple[Area, list[Place]]]] = defaultdict(list)
        for area, places in areas.items():
            self._areas[area[0]].append((area, places))

    def of(self, cells: Iterable[Place]) -> set[Place]:
        """All cells that depend on these, without these."""
        start = set(cells)
        seen, waiting = set(start), list(start)
        closed: set[Area] = set()
        while waiting:
            place = waiting.pop()
            following = list(self._single.get(place, ()))
            for area, places in self._areas.get(place[0], ()):
                _, top, left, bottom, right = area
                if area not in closed and top <= place[1] <= bottom and left <= place[2] <= right:
                    closed.add(area)
                    following += places
            fresh = [each for each in following if each not in seen]
            seen.update(fresh)
            waiting += fresh
        return seen - start
