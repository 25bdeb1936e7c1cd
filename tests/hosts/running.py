"""Run a command in this process, over small books: what the commands do with all sheets is tried in tests/workbook."""

from functools import lru_cache

import pytest

from xlcalc.hosts.cli import main
from xlcalc.hosts.output import Progress
from xlcalc.workbook import template
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.demo import demo_job
from xlcalc.workbook.file.package import Package


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    """Exit code, standard output and standard error of a command."""
    code = main(words)
    out = capsys.readouterr()
    return code, out.out, out.err


@lru_cache(4)
def _content(demo: bool, rows: int) -> bytes:
    return template.content(demo_job() if demo else Job(), rows, ["Breathers"] if demo else [])


def small_content(job: Job, rows: int) -> bytes:
    """A workbook without most of its sheets; that of the demo has one with several tables beside Lines."""
    return _content(job.invented, rows)


@lru_cache(1)
def _built() -> tuple[bytes, Report]:
    package = Package.from_bytes(small_content(demo_job(), template.DEMO_ROWS), "2601-B.xlsx")
    report = compute(package)
    return package.edited(report.edits), report


def built_once(_: Progress) -> tuple[bytes, Report]:
    """The small demo, worked out once a process."""
    return _built()
