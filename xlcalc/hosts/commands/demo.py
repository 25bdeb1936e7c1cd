"""`xlcalc demo`: an invented job, worked out, in words."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from xlcalc.core.errors import FileError
from xlcalc.core.verdicts import CANNOT, CHANGE, NEAR, NOT_CHECKED, WITHIN
from xlcalc.hosts.commands.checks import Checked, checked_rows, checked_sheets, counts, in_words
from xlcalc.hosts.output import Outcome, Progress, ask, command
from xlcalc.workbook.calculation.recalc import Report, compute
from xlcalc.workbook.demo import FILE_NAME, demo_job
from xlcalc.workbook.file.atomic import holds, there, write_whole
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.sheets.contents import TABLE_SHEETS
from xlcalc.workbook.sheets.lines import NAME
from xlcalc.workbook.template import DEMO_ROWS, content

GROUPS = (
    ("To be changed", (CHANGE,)),
    ("Not worked out or not checked yet", (CANNOT, NOT_CHECKED)),
    ("Near a limit", (NEAR,)),
    (WITHIN, (WITHIN,)),
)


def demo(to: Path | None, *, force: bool) -> Outcome:
    """Build the demo workbook, work it out, say which lines pass and which do not.

    Raises FileError where another file of that name stands there and `force` is not given.
    """
    path = to or Path(FILE_NAME)
    with Progress() as tell:
        made, report = built(tell)
        put(path, made, force=force)
    rows = checked_rows(report, NAME)
    lines = [f"An invented job, worked out: {report.computed} cells in {path.resolve()}", *told(rows)]
    changes = [row.cell for row in rows if row.check.startswith(CHANGE)]
    if changes:
        lines += ["", f"Why one of them must change: {ask(path, changes[0])}"]
    others = checked_sheets(report, (sheet.NAME for sheet in TABLE_SHEETS))
    if others:
        lines += ["", "The other sheets:", *(f"  {line}" for line in in_words(others))]
    do = f"open {path} in a spreadsheet, change a cell of Lines, save it, and run: {command('recalc', path)}"
    data = {
        "file": str(path.resolve()),
        "computed": report.computed,
        "lines": [row._asdict() for row in rows],
        "sheets": {sheet: counts(found) for sheet, found in others.items()},
    }
    return Outcome(lines, data, do)


def built(tell: Progress) -> tuple[bytes, Report]:
    """The demo workbook with its values, and what was found on the way."""
    tell("building")
    package = Package.from_bytes(content(demo_job(), DEMO_ROWS), FILE_NAME)
    report = compute(package, progress=tell)
    return package.edited(report.edits), report


def put(path: Path, made: bytes, *, force: bool) -> None:
    """Write the demo workbook, but over nothing else than itself unless `force` is given. Raises FileError."""
    if there(path) and not force:
        if holds(path, made):
            return
        raise FileError(
            f"{path} is there already and stays as it is: it is not the demo as it is built today. "
            "Give another name with --to, or replace it with --force."
        )
    write_whole(path, made)


def told(rows: Iterable[Checked]) -> Iterator[str]:
    """The rows in words, those to be changed first."""
    for title, wanted in GROUPS:
        found = [row for row in rows if row.check.startswith(wanted)]
        if found:
            yield from ("", f"{title}: {len(found)}")
        for row in found:
            passed = row.check == WITHIN
            yield f"  {row.name:<6} {row.between}{f': {row.others}' if passed and row.others else ''}"
            if not passed:
                yield f"         {row.check}"
                if row.others:
                    yield f"         also: {row.others}"
