"""Which formula cells look at a cell, directly or by others: where a fault shows besides its own place."""

from collections import defaultdict
from collections.abc import Iterable

from xlcalc.workbook.calculation.written import Place, Written
from xlcalc.workbook.file.package import Package

Area = tuple[str, int, int, int, int]
WIDEST = 500  # columns; no book of the tests is wider


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
        self._areas: dict[tuple[str, int], list[tuple[Area, list[Place]]]] = defaultdict(list)  # by sheet and column
        for area, places in areas.items():
            for column in range(area[2], min(area[4], WIDEST) + 1):
                self._areas[area[0], column].append((area, places))

    def of(self, cells: Iterable[Place]) -> set[Place]:
        """All cells that depend on these, without these."""
        start = set(cells)
        seen, waiting = set(start), list(start)
        closed: set[Area] = set()
        open_areas: dict[tuple[str, int], list[tuple[Area, list[Place]]]] = {}
        while waiting:
            place = waiting.pop()
            following = list(self._single.get(place, ()))
            sheet, row, column = place
            assert column <= WIDEST, f"{place} is beyond the columns whose followers are known"
            if (sheet, column) not in open_areas:
                open_areas[sheet, column] = list(self._areas.get((sheet, column), ()))
            still = []
            for entry in open_areas[sheet, column]:
                area, places = entry
                if area in closed:
                    continue
                if area[1] <= row <= area[3]:
                    closed.add(area)
                    following += places
                else:
                    still.append(entry)
            open_areas[sheet, column] = still
            fresh = [each for each in following if each not in seen]
            seen.update(fresh)
            waiting += fresh
        return seen - start
