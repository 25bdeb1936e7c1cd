"""Rows that nobody sees, by hand or by a filter: SUBTOTAL and AGGREGATE leave them out, and the engine does not."""

import re
from bisect import bisect_left
from collections.abc import Sequence
from typing import NamedTuple

from xlcalc.workbook.calculation.written import Place, Written
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.formulas import calls

LEAVES_OUT = ("SUBTOTAL", "AGGREGATE")
ROW = re.compile(
    rb"""<row\b(?=[^<>]*?\s(?:hidden=["'](?:1|true)|ht=["']0+(?:\.0*)?)["'])[^<>]*?\sr=["']([0-9]{1,7})["']"""
)  # a row drawn to no height is as hidden as one
FILTER = b"<filterColumn"
EVERY_ROW = {"AGGREGATE": {"0", "2", "4", "6"}}  # options by which hidden rows count
SEEN_BUT_FILTERED = set(map(str, range(1, 12)))  # numbers of SUBTOTAL by which only a filter leaves rows out


def hidden_rows(xml: bytes) -> list[int]:
    """The rows of a sheet's XML that nobody sees, from top to bottom.

    A sheet may hide its rows by default (`zeroHeight`): that holds for rows which the file does not spell out, and so
    for none with anything in it. A row that is spelled out says by itself whether it is hidden.
    """
    return sorted(map(int, ROW.findall(xml)))


class Hidden(NamedTuple):
    """The hidden rows of a sheet in their order, and whether a filter is set there."""

    rows: Sequence[int]
    filtered: bool


class HiddenRows:
    """The hidden rows of a book. Raises FileRefused where a sheet's XML cannot be read."""

    def __init__(self, package: Package) -> None:
        self._package = package
        self._sheets = {sheet.name: sheet.part for sheet in package.worksheets()}
        self._hidden: dict[str, Hidden] = {}
        self._written: Written | None = None

    def left_out(self, formula: str, place: Place) -> str:
        """The call in a formula that leaves out hidden rows, in words; empty where none does."""
        for call in calls(formula):
            if call.name not in LEAVES_OUT or not call.arguments:
                continue
            said = call.arguments[min(1, len(call.arguments) - 1) if call.name == "AGGREGATE" else 0].text
            if said in EVERY_ROW.get(call.name, ()):
                continue
            by_filter = call.name == "SUBTOTAL" and said in SEEN_BUT_FILTERED
            if self._looks_at_hidden(formula[call.start : call.end], place, by_filter=by_filter):
                return f"{call.name} over hidden rows, which only a spreadsheet leaves out"
        return ""

    def _looks_at_hidden(self, text: str, place: Place, *, by_filter: bool) -> bool:
        if not any(self._of(sheet).rows for sheet in self._sheets):
            return False
        self._written = self._written or Written(self._package)
        for look in self._written.looks(text, place):
            rows, filtered = self._of(look.sheet)
            first = bisect_left(rows, look.top)
            if first < len(rows) and rows[first] <= look.bottom and (filtered or not by_filter):
                return True
        return False

    def _of(self, sheet: str) -> Hidden:
        if sheet not in self._hidden:
            self._hidden[sheet] = self._read(self._sheets[sheet]) if sheet in self._sheets else Hidden((), False)
        return self._hidden[sheet]

    def _read(self, part: str) -> Hidden:
        xml = self._package.read(part)
        tables = (table for kind, table in self._package.related(part).values() if kind == "table")
        return Hidden(hidden_rows(xml), FILTER in xml or any(FILTER in self._package.read(table) for table in tables))
