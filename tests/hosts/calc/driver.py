"""Drives a headless office over UNO, for tests. Run by a Python that has `uno`, not by the one under test.

    python driver.py SOFFICE PROFILE

Requests come as lines of JSON on standard input, answers go as lines of JSON to standard output. The office is a
child in the same process group: whoever starts this ends the group.
"""

import json
import os
import subprocess
import sys
import time
import uuid
from pathlib import Path

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException

PATIENCE = 40.0  # seconds for the office to start
FILTERS = {".xlsx": "Calc MS Excel 2007 XML", ".ods": "calc8"}


def settings(**values):
    return tuple(PropertyValue(name, 0, value, 0) for name, value in values.items())


class Office:
    """A running office; a class and no context generator, since UNO exceptions refuse to carry a traceback."""

    def __init__(self, soffice, profile):
        pipe = f"xlcalc{uuid.uuid4().hex}"
        self.process = subprocess.Popen(
            [soffice, "--headless", "--norestore", "--nologo", f"-env:UserInstallation={profile}",
             f"--accept=pipe,name={pipe};urp;"],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            env=dict(os.environ))  # fmt: skip  (without what importing `uno` has put beside it for another office)
        local = uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
        until = time.monotonic() + PATIENCE
        while True:
            try:
                self.context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except NoConnectException:
                if time.monotonic() > until:
                    raise SystemExit("the office did not start") from None
                time.sleep(0.05)
        self.desktop = self.create("com.sun.star.frame.Desktop")

    def create(self, service):
        return self.context.ServiceManager.createInstanceWithContext(service, self.context)

    def opened(self, url):
        document = self.desktop.loadComponentFromURL(url, "_blank", 0, settings(Hidden=True, ReadOnly=True))
        if document is None:
            raise ValueError(f"{url} did not open")
        return document

    def book(self, path, hard=False, to=None, columns=None):
        """Every used cell of a workbook, or of its first `columns`; worked out anew where `hard`, saved as `to`."""
        document = self.opened(Path(path).as_uri())
        try:
            began = time.monotonic()
            if hard:
                document.calculateAll()
            took = time.monotonic() - began
            if to:
                document.storeToURL(Path(to).as_uri(), settings(FilterName=FILTERS[Path(to).suffix]))
            return {"took": took, "sheets": {sheet.Name: used(sheet, columns) for sheet in document.Sheets}}
        finally:
            document.close(True)

    def tried(self, formulas, cells):
        """Values of formulas typed into an empty sheet, one below the other in column Z: pairs of formula and, for an
        array formula, the number of its rows (else 0)."""
        document = self.opened("private:factory/scalc")
        try:
            sheet = document.Sheets.getByIndex(0)
            for place, value in cells.items():
                cell = sheet.getCellRangeByName(place).getCellByPosition(0, 0)
                if isinstance(value, str) and value.startswith("="):
                    cell.Formula = value
                elif isinstance(value, str):
                    cell.String = value
                else:
                    cell.Value = value
            row = 0
            found = []
            for formula, height in formulas:
                area = sheet.getCellRangeByPosition(25, row, 25, row + max(height, 1) - 1)
                if height:
                    area.setArrayFormula(formula)
                else:
                    area.getCellByPosition(0, 0).Formula = formula
                values = grid(area)
                found.append([each for (each,) in values] if height else values[0][0])
                row += max(height, 1)
            return found
        finally:
            document.close(True)

    def timed(self, rows, first):
        """Seconds a cell for calls that are new, and for the same calls again: LINE_VELOCITY down a column."""
        document = self.opened("private:factory/scalc")
        try:
            sheet = document.Sheets.getByIndex(0)
            given = sheet.getCellRangeByPosition(0, 0, 0, rows - 1)
            asked = sheet.getCellRangeByPosition(1, 0, 1, rows - 1)
            asked.setFormulaArray(tuple((f"=LINE_VELOCITY(A{row};7.9)",) for row in range(1, rows + 1)))
            taken = []
            began = time.perf_counter()
            given.setDataArray(tuple((first + row / rows,) for row in range(rows)))
            asked.getDataArray()
            taken.append((time.perf_counter() - began) / rows)
            began = time.perf_counter()
            document.calculateAll()
            taken.append((time.perf_counter() - began) / rows)
            return taken
        finally:
            document.close(True)

    def descriptions(self):
        """What the function wizard knows of every function: name, description, category, arguments."""
        listed = self.create("com.sun.star.sheet.FunctionDescriptions")
        found = []
        for place in range(listed.Count):
            said = {each.Name: each.Value for each in listed.getByIndex(place)}
            arguments = [[each.Name, each.Description, bool(each.IsOptional)] for each in said.get("Arguments") or ()]
            found.append([said["Name"], said["Description"], arguments])
        return found


def used(sheet, columns):
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    end = cursor.RangeAddress
    return grid(sheet.getCellRangeByPosition(0, 0, columns - 1 if columns else end.EndColumn, end.EndRow))


def grid(area):
    """Values of an area: numbers, texts, and {"error": Calc's number}."""
    found = []
    for row, values in enumerate(area.getDataArray()):
        line = []
        for column, value in enumerate(values):
            line.append({"error": area.getCellByPosition(column, row).getError()} if value is None else value)
        found.append(line)
    return found


def main(soffice, profile):
    office = Office(soffice, profile)
    print(json.dumps("ready"), flush=True)
    for line in sys.stdin:
        name, given = json.loads(line)
        try:
            answer = {"answer": getattr(office, name)(**given)}
        except Exception as fault:
            answer = {"fault": f"{type(fault).__name__}: {fault}"}
        print(json.dumps(answer), flush=True)
    os._exit(0)


if __name__ == "__main__":
    main(*sys.argv[1:])
