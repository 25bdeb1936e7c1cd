"""The book of the demo job that the tests of Lines and Fluids type into, and what its lines say."""

from collections.abc import Mapping
from functools import lru_cache

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.building.rows import FIRST_ROW
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.sheets.lines import SHEET

from .retyped import Retyped, Shows

MOST = 64  # lines in any book here


def said(report: Shows, key: str = "check") -> dict[str, object]:
    """Line name -> what a column says."""
    found = {}
    for row in range(FIRST_ROW, FIRST_ROW + MOST):
        name, value = report.value_at("Lines", f"A{row}"), report.value_at("Lines", f"{SHEET.letter(key)}{row}")
        if name and value is not None:  # nothing stands there below the rows
            found[str(name)] = value
    return found


@lru_cache(1)
def book() -> Retyped:
    """The book of the demo job, into which most tests type."""
    return Retyped(demo_job(), rows=18)


def retyped(job: Job) -> Retyped:
    """The book with another job in it. What a test wants of one job it reads before it types the next."""
    return book().of(job)


def changed(line: str, cells: Mapping[str, object]) -> Job:
    """The demo job with cells of one line typed over."""
    job = demo_job()
    rows: list[Mapping[str, object]] = [{**row, **cells} if row["line"] == line else row for row in job.lines]
    return Job(job.start, rows, job.fluids, job.hoses)
