"""Regenerate what is generated: the tables of README.md and DEVELOPERS.md, the workbooks, what the audit knows.

Run in a checkout: `python -m xlcalc.hosts.handbook`.
"""

import ast
import sys
from functools import cache
from itertools import groupby
from pathlib import Path

from xlcalc.core.datafiles import as_written
from xlcalc.core.registry import FAMILIES, functions
from xlcalc.core.unit_sizes import TABLE as UNIT_SIZES
from xlcalc.core.unit_sizes import table_rows as unit_size_rows
from xlcalc.hosts.calc import differences
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.known import template as known
from xlcalc.workbook.audit.newbook import known_cells, known_checks, known_names, known_units, known_values
from xlcalc.workbook.building.job import ROWS, Job
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.demo import FILE_NAME, demo_job
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.template import DEMO_ROWS, content

LAYERS = {
    "core": "no engineering, no spreadsheet",
    "functions": "the trade, in SI",
    "workbook": "files and sheets",
    "hosts": "thin: what a person types, what is generated",
}
KNOWN = {
    "known_names": known_names,
    "known_checks": known_checks,
    "known_cells": known_cells,
    "known_units": known_units,
    "known_values": known_values,
}
TEMPLATE = "template.xlsx"
WORKBOOKS = {TEMPLATE: (Job(), ROWS), FILE_NAME: (demo_job(), DEMO_ROWS)}


def function_table() -> str:
    """The functions as a Markdown table: call, what it answers, unit."""
    lines = ["| function | answers | in |", "|---|---|---|"]
    for family, declared in groupby(functions().values(), key=lambda made: made.family):
        lines.append(f"| **{FAMILIES[family].words}** | | |")
        for made in declared:
            unit = made.answer.unit.printed if made.answer.unit_text else ""
            lines.append(f"| `{made.signature}` | {made.summary} | {unit} |")
    return "\n".join(lines)


def module_map(package: Path) -> str:
    """The modules as a Markdown table, layer by layer: name, and the first line that stands in it."""
    lines = ["| module | what it is for |", "|---|---|"]
    for layer, words in LAYERS.items():
        lines.append(f"| **{layer}** | {words} |")
        for file in sorted((package / layer).rglob("[!_]*.py")):
            name = file.relative_to(package).with_suffix("").as_posix()
            told = ast.get_docstring(ast.parse(file.read_text(encoding="utf-8"))) or ""
            lines.append(f"| `{name}` | {told.partition(chr(10))[0]} |")
    return "\n".join(lines)


PAGES = {
    "README.md": {"functions": function_table, "differences": differences.table},
    "DEVELOPERS.md": {"map": lambda: module_map(Path(__file__).parents[1])},
}


def page(name: str, text: str) -> str:
    """A page with its tables of today. Raises ValueError where the markers of a table are missing."""
    for marker, made in PAGES[name].items():
        start, end = f"<!-- {marker} -->", f"<!-- /{marker} -->"
        before, found, rest = text.partition(start)
        _, closed, after = rest.partition(end)
        if not found or not closed:
            raise ValueError(f"{name} does not hold {start} and {end}")
        text = f"{before}{start}\n{made()}\n{end}{after}"
    return text


def unit_sizes() -> str:
    """The sizes of the units as a data file, from pint."""
    return as_written(unit_size_rows())


@cache
def worked_out(name: str) -> tuple[Package, Report]:
    """A workbook to ship, and what was worked out of it."""
    job, rows = WORKBOOKS[name]
    package = Package.from_bytes(content(job, rows), name)
    return package, compute(package)


def workbook(name: str) -> bytes:
    """A workbook as shipped: its cells hold their values."""
    package, report = worked_out(name)
    return package.edited(report.edits)


@cache
def new_book() -> Book:
    """The empty workbook as the audit sees it."""
    return Book(*worked_out(TEMPLATE), new=True)


def known_rows(name: str) -> str:
    """What an audit knows of a new workbook, as a data file."""
    return as_written(KNOWN[name](new_book()))


def main(folder: Path) -> int:
    """Write the generated files into a checkout."""
    (folder / "xlcalc" / "data" / f"{UNIT_SIZES}.csv").write_text(unit_sizes(), encoding="utf-8")
    for name in PAGES:
        file = folder / name
        file.write_text(page(name, file.read_text(encoding="utf-8")), encoding="utf-8")
    for name in KNOWN:
        (folder / "xlcalc" / "data" / "audit" / f"{name}.csv").write_text(known_rows(name), encoding="utf-8")
    (folder / "workbooks").mkdir(exist_ok=True)
    for name in WORKBOOKS:
        (folder / "workbooks" / name).write_bytes(workbook(name))
    what_the_audit_knows = known.contents(Package.open(folder / "workbooks" / TEMPLATE))
    (folder / "xlcalc" / "data" / known.PLACE).write_bytes(what_the_audit_knows)
    return 0


if __name__ == "__main__":
    sys.exit(main(Path.cwd()))
