"""Regenerate what is generated: the function table of README.md and the workbooks as shipped.

Run in a checkout: `python -m xlcalc.hosts.handbook`.
"""

import sys
from itertools import groupby
from pathlib import Path

from xlcalc.core.registry import functions
from xlcalc.workbook.demo import FILE_NAME, demo_job
from xlcalc.workbook.job import Job
from xlcalc.workbook.package import Package
from xlcalc.workbook.recalc import compute
from xlcalc.workbook.sheets.functions import FAMILY_WORDS
from xlcalc.workbook.template import DEMO_ROWS, ROWS, content

START, END = "<!-- functions -->", "<!-- /functions -->"
WORKBOOKS = {"template.xlsx": (Job(), ROWS), FILE_NAME: (demo_job(), DEMO_ROWS)}


def function_table() -> str:
    """The functions as a Markdown table: call, what it answers, unit."""
    lines = ["| function | answers | in |", "|---|---|---|"]
    for family, declared in groupby(functions().values(), key=lambda made: made.family):
        lines.append(f"| **{FAMILY_WORDS[family]}** | | |")
        for made in declared:
            unit = made.answer.unit.printed if made.answer.unit_text else ""
            lines.append(f"| `{made.signature}` | {made.summary} | {unit} |")
    return "\n".join(lines)


def readme(text: str) -> str:
    """README.md with the function table of today. Raises ValueError where its markers are missing."""
    before, start, rest = text.partition(START)
    _, end, after = rest.partition(END)
    if not start or not end:
        raise ValueError(f"README.md does not hold {START} and {END}")
    return f"{before}{START}\n{function_table()}\n{END}{after}"


def workbook(name: str) -> bytes:
    """A workbook as shipped, worked out."""
    job, rows = WORKBOOKS[name]
    package = Package.from_bytes(content(job, rows), name)
    return package.edited(compute(package).edits)


def main(folder: Path) -> int:
    """Write the generated files into a checkout."""
    page = folder / "README.md"
    page.write_text(readme(page.read_text(encoding="utf-8")), encoding="utf-8")
    (folder / "workbooks").mkdir(exist_ok=True)
    for name in WORKBOOKS:
        (folder / "workbooks" / name).write_bytes(workbook(name))
    return 0


if __name__ == "__main__":
    sys.exit(main(Path.cwd()))
