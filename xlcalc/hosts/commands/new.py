"""`xlcalc new`: an empty workbook with its values."""

from pathlib import Path

from xlcalc.hosts.output import Outcome, Progress, command
from xlcalc.workbook.atomic import refuse_there, write_whole
from xlcalc.workbook.job import Job
from xlcalc.workbook.package import Package
from xlcalc.workbook.recalc import compute
from xlcalc.workbook.template import content


def new(path: Path, rows: int) -> Outcome:
    """Write the empty workbook with room for so many lines. Raises FileError where the file is there already."""
    refuse_there(path, "Give another name.")
    with Progress() as tell:
        tell("building")
        package = Package.from_bytes(content(Job(), rows), path.name)
        write_whole(path, package.edited(compute(package, progress=tell).edits))
    do = f"fill in Start and Lines in a spreadsheet, save it, and run: {command('recalc', path)}"
    return Outcome([f"{path} is ready, with room for {rows} lines."], {"file": str(path.resolve()), "rows": rows}, do)
