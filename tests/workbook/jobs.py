"""Jobs for workbook tests: the demo with a row typed over, worked out."""

from collections.abc import Mapping
from dataclasses import replace

from xlcalc.workbook.job import Job
from xlcalc.workbook.package import Package
from xlcalc.workbook.recalc import Report, compute
from xlcalc.workbook.template import content


def computed(job: Job, rows: int = 24) -> Report:
    """The workbook of a job, worked out."""
    return compute(Package.from_bytes(content(job, rows), "job.xlsx"))


def with_rows(job: Job, table: str, name: str, cells: Mapping[str, object]) -> Job:
    """The job with cells of the row of a table typed over, found by its first cell."""
    rows = [
        {**row, **cells} if next(iter(row.values())) == name else dict(row) for row in job.tables[table]
    ]
    assert any(next(iter(row.values())) == name for row in job.tables[table])
    return replace(job, tables={**job.tables, table: rows})
