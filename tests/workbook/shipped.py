"""The workbooks as they are shipped: nothing is built or worked out anew for a test that only reads.

tests/test_generated.py holds that they are what is built today: after a change of a sheet run
`python -m xlcalc.hosts.handbook` first.
"""

from functools import cache, cached_property
from pathlib import Path

import openpyxl

from xlcalc.workbook.demo import FILE_NAME
from xlcalc.workbook.file import cells
from xlcalc.workbook.file.cell_xml import DIGITS, LETTERS
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value

BOOKS = Path(__file__).parents[2] / "workbooks"
DEMO, EMPTY = FILE_NAME, "template.xlsx"


class Shipped:
    """A shipped workbook."""

    def __init__(self, name: str) -> None:
        self.path = BOOKS / name
        self.values: dict[str, dict[str, Value]] = {}
        for sheet in self._package.worksheets():
            found = cells.formula_cells(self._package.read(sheet.part), sheet.name)
            self.values[sheet.name] = {
                f"{cell[LETTERS].decode()}{int(cell[DIGITS])}": cells.cached(cell, ())
                for cell in (found.cells if found else ())
            }

    def value_at(self, sheet: str, ref: str) -> Value:
        """The value that a formula cell holds; None for any other cell."""
        return self.values[sheet].get(ref)

    def named(self, name: str) -> Value:
        """The value of a named formula cell."""
        sheet, _, cell = self._names[name].partition("!")
        return self.value_at(sheet, cell.replace("$", ""))

    @cached_property
    def _package(self) -> Package:
        return Package.open(self.path)

    @cached_property
    def _names(self) -> dict[str, str]:
        return {each.name: each.text for each in self._package.defined_names()}


@cache
def shipped(name: str) -> Shipped:
    """A shipped workbook by its name, read once."""
    return Shipped(name)


@cache
def loaded(name: str) -> openpyxl.Workbook:
    """A shipped workbook as a library sees it, read once: nobody changes it."""
    return openpyxl.load_workbook(BOOKS / name)
