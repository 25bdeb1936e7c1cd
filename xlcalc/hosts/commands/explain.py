"""`xlcalc explain`: how one cell got its value."""

from pathlib import Path

from xlcalc.hosts.output import Outcome, Progress, Slip, ask, command
from xlcalc.workbook.explained import explain as explaining
from xlcalc.workbook.explained.place import NoSuchPlace
from xlcalc.workbook.formulas import address


def explain(path: Path, cell: str) -> Outcome:
    """The lines about a cell. Raises FileError for the file, Slip for a cell that it does not have."""
    try:
        with Progress() as tell:
            tell("reading")
            found = explaining.explain(path, cell, tell)
    except NoSuchPlace as missing:
        raise Slip(str(missing)) from missing
    lines = ["  " * line.depth + line.text for line in found.lines]
    parts = [
        {"part": line.part, "text": line.text, "depth": line.depth, "cell": address(*line.place) if line.place else ""}
        for line in found.lines
    ]
    if found.next_cell:
        do = f"ask about the cell behind it: {ask(path, found.next_cell)}"
    else:
        do = f"change what you typed in a spreadsheet, save it, and run: {command('recalc', path)}"
    return Outcome(lines, {"file": str(path), "cell": found.cell, "lines": parts, "next_cell": found.next_cell}, do)
