"""A workbook of a job that is worked out once, and then typed over again and again as a person does it."""

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from types import ModuleType
from typing import NamedTuple, Protocol

from xlcalc.core.errors import CalcError
from xlcalc.core.tables import raw_rows
from xlcalc.workbook.building.blocks import Placed, placed
from xlcalc.workbook.building.job import Cells, Job
from xlcalc.workbook.building.rows import BAND_ROW, GUARD_ROW, RowSheet
from xlcalc.workbook.calculation.engine import Engine
from xlcalc.workbook.calculation.exchange import Unspeakable
from xlcalc.workbook.calculation.prepare import prepare
from xlcalc.workbook.calculation.recalc import worksheet_functions
from xlcalc.workbook.calculation.settle import settle
from xlcalc.workbook.calculation.written import Written
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import column_letters, corners
from xlcalc.workbook.landmarks import OWN
from xlcalc.workbook.sheets import fluids, hoses, lines, prices, quote, testing
from xlcalc.workbook.sheets.contents import TABLE_SHEETS
from xlcalc.workbook.template import content

Place = tuple[str, int, int]


class Shows(Protocol):
    """A book whose cells can be read."""

    def value_at(self, sheet: str, ref: str) -> Value:
        """What a cell shows."""


class Frozen(NamedTuple):
    """The cells of a book as they were."""

    cells: Mapping[Place, Value]

    def value_at(self, sheet: str, ref: str) -> Value:
        """What a cell showed."""
        row, column, _, _ = corners(ref)
        return self.cells.get((sheet, row, column))


class Retyped:
    """The book of a first job. `of` types another job over it: only the cells that differ, so it takes a third of the
    time that the book of the other job takes. What was read before is then gone: read it first.
    """

    def __init__(self, job: Job, rows: int = 20, only: Collection[str] = ()) -> None:
        self.job = replace(job, room=max(rows, len(job.lines) + 3))
        self.data = content(job, rows, only)
        self.package = package = Package.from_bytes(self.data, "job.xlsx")
        self.names = {each.name: each.text for each in package.defined_names()}
        self._tables = {
            sheet.NAME: self._placed(sheet) for sheet in (*TABLE_SHEETS, prices) if sheet.NAME in only
        }
        functions = worksheet_functions()
        plan = prepare(package, functions)
        self._engine = Engine(plan.book(), {name: functions[name] for name in plan.called})
        self._engine.evaluate()
        assert settle(self._engine, plan, package.shared_strings)[0] == {}, "a generated cell could not be worked out"
        self._typed = dict(self._cells(self.job))
        self._stale = False

    def type_over(self, sheet: str, ref: str, value: Value) -> None:
        """Put a value into any cell, in place of a formula too, until another one is put there."""
        row, column, _, _ = corners(ref)
        self._type((sheet, row, column), value)

    def of(self, job: Job) -> "Retyped":
        """The book with the cells of another job in it. It may have fewer rows than the first, never more."""
        wanted = dict(self._cells(job))
        for place in self._typed.keys() | wanted.keys():
            new, old = wanted.get(place), self._typed.get(place)
            if (type(new), new) != (type(old), old):
                self._type(place, new)
        self._typed = wanted
        if self._stale:
            self._engine.evaluate()
            self._stale = False
        return self

    def frozen(self) -> "Frozen":
        """What the book shows now, for tests that read it while others type."""
        found: dict[Place, Value] = {}
        for sheet in self.package.sheets():
            area = re.search(rb'<dimension ref="([^"]+)"', self.package.read(sheet.part))
            assert area, f"{sheet.name} does not say how large it is"
            top, left, bottom, right = corners(area[1].decode())
            for row in range(top, bottom + 1):
                for column in range(left, right + 1):
                    if (value := self._shown(sheet.name, row, column)) is not None:
                        found[sheet.name, row, column] = value
        return Frozen(found)

    def value_at(self, sheet: str, ref: str) -> Value:
        """What a cell shows."""
        row, column, _, _ = corners(ref)
        return self._shown(sheet, row, column)

    def _shown(self, sheet: str, row: int, column: int) -> Value:
        value = self._engine.value(sheet, row, column)
        return None if isinstance(value, Unspeakable) else value

    def formulas(self, sheet: str) -> dict[str, str]:
        """The formulas of a sheet by their cells."""
        return {
            f"{column_letters(column)}{row}": text
            for (name, row, column), text in Written(self.package).formulas()
            if name == sheet
        }

    def named(self, name: str) -> Value:
        """What a named cell shows."""
        return self.value_at(*self.address(name))

    def where(self, sheet: str, table: str) -> Placed:
        """Where a table of a sheet stands, found by its name in a job."""
        return self._tables[sheet][table]

    def address(self, name: str) -> tuple[str, str]:
        """Sheet and cell of a name."""
        sheet, _, cell = self.names[name].partition("!")
        return sheet.strip("'"), cell.replace("$", "")

    def _type(self, place: Place, value: object) -> None:
        if isinstance(value, date):
            value = (value - date(1899, 12, 30)).days
        if isinstance(value, int):
            value = float(value)
        assert not str(value).startswith("="), f"{place}: {value!r} needs a book of its own"
        assert value is None or isinstance(value, float | str | CalcError), f"{place}: nobody types {value!r}"
        self._engine.set_value(*place, value)
        self._stale = True

    def _cells(self, job: Job) -> Iterator[tuple[Place, object]]:
        """The cells that a person types: where, and what."""
        for name, value in job.start.items():
            if name in self.names:
                sheet, cell = self.address(name)
                row, column, _, _ = corners(cell)
                yield (sheet, row, OWN if sheet == "Start" else column), value  # a limit's name is that of the one used
        yield from _rows(lines.SHEET, job.lines, self.job.room)
        yield from _rows(fluids.SHEET, job.fluids, fluids.SPARE, len(list(raw_rows("fluids"))))
        yield from _rows(hoses.SHEET, self._own_hoses(job), hoses.SPARE, len(list(raw_rows("hoses"))))
        for tables in self._tables.values():
            for name, where in tables.items():
                yield from _rows(where.made, job.tables.get(name, ()), where.count)

    def _placed(self, sheet: ModuleType) -> dict[str, Placed]:
        """The tables of a sheet that a job fills, where they stand."""
        job, tables = self.job, sheet.TABLES
        if sheet is prices:
            return {"prices": Placed(prices.PRICES, tables[0].count(job))}
        if sheet is quote:  # other blocks stand over its tables
            tops = [corners(self.names[f"{name}Filled"].partition("!")[2])[0] for name in ("Labour", "Variation")]
            return {
                table.rows: Placed(replace(table.made, top=top - GUARD_ROW + BAND_ROW), table.count(job))
                for table, top in zip(tables, tops, strict=True)
            }
        if sheet is testing:
            tables = testing.tables(job)
        return {table.rows: where for table, where in zip(tables, placed(tables, job), strict=True) if table.rows}

    def _own_hoses(self, job: Job) -> list[Cells]:
        """The hoses that are rows of their own. What stands in cited rows stays as the first job has it."""
        cited = {(row["family"], row["size"]) for row in raw_rows("hoses")}
        into, first = (
            [row for row in each.hoses if (row["family"], row["size"]) in cited] for each in (job, self.job)
        )
        assert into == first, "cells of a cited hose are typed over: that needs a book of its own"
        return [row for row in job.hoses if row not in into]


def _rows(made: RowSheet, rows: Sequence[Cells], room: int, before: int = 0) -> Iterator[tuple[Place, object]]:
    assert len(rows) <= room, f"{made.name} has room for {room} rows, not {len(rows)}: give the first job more"
    for offset, row in enumerate(rows):
        for key, value in row.items():
            column = corners(f"{made.letter(key)}1")[1]
            yield (made.name, made.first_row + before + offset, column), value
