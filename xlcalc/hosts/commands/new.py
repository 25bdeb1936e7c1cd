"""`xlcalc new`: an empty workbook with its values."""

from pathlib import Path

from xlcalc.hosts.output import Outcome, Progress, command
from xlcalc.workbook.building.job import Job
from xlcalc.workbook.calculation.recalc import compute
from xlcalc.workbook.file.atomic import kept_free, write_whole
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.template import content


def new(path: Path, rows: int) -> Outcome:
    """Write the empty workbook with room for so many lines. Raises FileError where the file is there already."""
    free = kept_free(path, force=False, instead="Give another name.")
    with Progress() as tell:
        tell("building")
        package = Package.from_bytes(content(Job(), rows), path.name)
        made = package.edited(compute(package, progress=tell).edits)
        write_whole(path, made, before_replace=free)
    do = f"fill in Start and Lines in a spreadsheet, save it, and run: {command('recalc', path)}"
    return Outcome([f"{path} is ready, with room for {rows} lines."], {"file": str(path.resolve()), "rows": rows}, do)
