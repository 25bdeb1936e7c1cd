"""Jobs for workbook tests: the demo with a row typed over, worked out."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path

from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.template import content


def computed(job: Job, rows: int = 24, only: Collection[str] = ()) -> Report:
    """The workbook of a job, worked out: Start, Lines, Fluids and Hoses, and the sheets that are named."""
    return compute(Package.from_bytes(content(job, rows, only), "job.xlsx"))


def with_rows(job: Job, table: str, name: str, cells: Mapping[str, object]) -> Job:
    """The job with cells of the row of a table typed over, found by its first cell."""
    rows = [
        {**row, **cells} if next(iter(row.values())) == name else dict(row) for row in job.tables[table]
    ]
    found = [next(iter(row.values())) for row in job.tables[table]]
    assert name in found, f"the table {table} of this job has no row {name}; it has {found}"
    return replace(job, tables={**job.tables, table: rows})


def small_demo(path: Path) -> Path:
    """The demo's Start, Lines, Fluids and Hoses as a file with its values."""
    package = Package.from_bytes(content(demo_job(), 20, ()), path.name)
    path.write_bytes(package.edited(compute(package).edits))
    return path
