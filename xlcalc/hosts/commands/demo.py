"""`xlcalc demo`: an invented job, worked out, in words."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from xlcalc.core.errors import FileError
from xlcalc.hosts.commands.checks import Checked, checked_rows
from xlcalc.hosts.output import Outcome, Progress, ask, typed
from xlcalc.workbook.atomic import write_whole
from xlcalc.workbook.demo import FILE_NAME, demo_job
from xlcalc.workbook.package import Package
from xlcalc.workbook.recalc import compute
from xlcalc.workbook.sheets.lines import NAME
from xlcalc.workbook.template import DEMO_ROWS, content

GROUPS = (
    ("To be changed, or not worked out yet:", ("Change", "Cannot", "Not checked")),
    ("Near a limit:", ("Near",)),
    ("Within limits:", ("Within",)),
)


def demo(to: Path | None, *, force: bool) -> Outcome:
    """Build the demo workbook, work it out, say which lines pass and which do not.

    Raises FileError where a file of that name stands there already and `force` is not given.
    """
    path = to or Path(FILE_NAME)
    if path.exists() and not force:
        raise FileError(f"{path} is there already and stays as it is. Give another name with --to, or --force.")
    with Progress() as tell:
        tell("building")
        package = Package.from_bytes(content(demo_job(), DEMO_ROWS), path.name)
        report = compute(package, progress=tell)
        write_whole(path, package.edited(report.edits))
    rows = checked_rows(report, NAME)
    lines = [f"An invented job, worked out: {report.computed} cells in {path.resolve()}", *told(rows)]
    changes = [row.cell for row in rows if row.check.startswith("Change")]
    if changes:
        lines += ["", f"Why one of them must change: {ask(path, changes[0])}"]
    do = f"open {path} in a spreadsheet, change a cell of Lines, save it, and run: {typed('xlcalc', 'recalc', path)}"
    data = {"file": str(path.resolve()), "computed": report.computed, "lines": [row._asdict() for row in rows]}
    return Outcome(lines, data, do)


def told(rows: Iterable[Checked]) -> Iterator[str]:
    """The rows in words, those to be changed first."""
    for title, wanted in GROUPS:
        found = [row for row in rows if row.check.startswith(wanted)]
        if found:
            yield from ("", title)
        for row in found:
            yield f"  {row.name:<6} {row.check}"
            if row.others:
                yield f"         also: {row.others}"
