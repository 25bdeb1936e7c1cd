"""What may stand after `xlcalc`: the commands, and what each of them takes."""

import argparse
from collections.abc import Callable
from pathlib import Path

from xlcalc.hosts.doors import DOORS
from xlcalc.hosts.parser import Parser
from xlcalc.workbook.building.job import FEWEST_ROWS, MOST_ROWS, ROWS
from xlcalc.workbook.file.file_limits import ENDINGS
from xlcalc.workbook.spelling import EVERYONE, OLD_CALC, PREFIXES, first_plain

EXAMPLES = """examples:
  xlcalc demo
  xlcalc eval 'BORE_FOR_FLOW("30 US gpm","20 ft/s","in")'

exit codes: 0 done, 1 the audit found something or eval answered an error, 2 usage,
3 a file is locked or refused, 4 a fault of xlcalc, 130 interrupted"""
QUOTES = r"""Put the whole formula in quotes, so that the shell hands it over as it is:
  xlcalc eval 'LINE_VELOCITY("8 L/min", 7.9)'       most shells
  xlcalc eval "LINE_VELOCITY(\"8 L/min\", 7.9)"     Windows Command Prompt
One that begins with a minus takes = in front: '=-1+2'"""


Add = Callable[..., Parser]
"""Takes the name of a command, its words and what stands under its help."""


def parser() -> tuple[Parser, dict[str, Parser]]:
    """What the command line takes, and what each command takes."""
    top = Parser(prog="xlcalc", description="Fluid-line calculations for custom-vehicle workshops.", epilog=EXAMPLES)
    top.add_argument("-V", "--version", action="store_true", help="version, and fingerprint of the data")
    shared(top, False)
    made = top.add_subparsers(dest="command", metavar="command", title="commands", parser_class=Parser)
    commands: dict[str, Parser] = {}

    def add(name: str, words: str, epilog: str = "") -> Parser:
        commands[name] = made.add_parser(name, help=words, description=f"{words[0].upper()}{words[1:]}.", epilog=epilog)
        shared(commands[name], argparse.SUPPRESS)
        return commands[name]

    add_making(add)
    add_reading(add)
    add_further(add)
    return top, commands


def add_making(add: Add) -> None:
    """The commands that write a workbook."""
    demo = add("demo", "build the demo workbook here, work it out, say what it found")
    demo.add_argument("--to", type=workbook_name, metavar="FILE.xlsx", help="default: the job's number and revision")
    demo.add_argument("--force", action="store_true", help="replace a file of that name")
    new = add("new", "write an empty workbook")
    new.add_argument("file", type=workbook_name, metavar="FILE.xlsx")
    room = f"room for N lines; default {ROWS}, at most {MOST_ROWS}"
    new.add_argument("--rows", "--lines", type=row_count, default=ROWS, metavar="N", help=room)
    recalc = add("recalc", "fill in the answers of a workbook; nothing else in it changes")
    recalc.add_argument("file", type=file_name, metavar="FILE.xlsx")
    recalc.add_argument(
        "--to", type=workbook_name, metavar="COPY.xlsx", help="write a copy, leave the workbook as it is"
    )
    recalc.add_argument("--force", action="store_true", help="replace a copy of that name")


def add_reading(add: Add) -> None:
    """The commands that say something about workbooks, and the next revision."""
    explain = add("explain", "say how one cell was worked out", "e.g. xlcalc explain my.xlsx 'Lines!B8'")
    explain.add_argument("file", type=file_name, metavar="FILE.xlsx")
    explain.add_argument("cell", metavar="CELL", help="'Lines!B8' or Lines.B8, 'My sheet!B2', or the name of a cell")
    audit = add("audit", "find what is wrong, weak or worth knowing in a workbook")
    audit.add_argument("file", type=file_name, metavar="FILE.xlsx")
    audit.add_argument("--html", type=named(".html"), metavar="PAGE.html", help="write a page to print as well")
    audit.add_argument("--since", type=file_name, metavar="OLD.xlsx", help="what changed since an older copy")
    audit.add_argument("--accept", metavar="CODE", help="let a finding stand; it goes into a sheet of the workbook")
    audit.add_argument("--reason", default="", metavar="TEXT", help="why it may stand")
    audit.add_argument("--by", default="", metavar="NAME", help="who accepts it")
    audit.add_argument("--force", action="store_true", help="replace a page of that name")
    compare = add("compare", "say what changed between two revisions, as a page to sign")
    compare.add_argument("old", type=file_name, metavar="OLD.xlsx")
    compare.add_argument("new", type=file_name, metavar="NEW.xlsx")
    compare.add_argument("--to", type=named(".txt"), metavar="FILE.txt", help="write the page into a text file")
    compare.add_argument("--costs", action="store_true", help="with costs, margin and rates: not for the customer")
    compare.add_argument("--force", action="store_true", help="replace a file of that name")
    revise = add("revise", "freeze the revision that was sent, open the next in a copy")
    revise.add_argument("file", type=file_name, metavar="FILE.xlsx")
    revise.add_argument("--to", type=workbook_name, required=True, metavar="COPY.xlsx", help="the next revision")


def add_further(add: Add) -> None:
    """The functions, and the spreadsheet programs."""
    functions = add("functions", "list the worksheet functions, or explain one")
    functions.add_argument("name", nargs="?", metavar="NAME", help="LINE_VELOCITY; or a word: vacuum")
    evaluate = add("eval", "answer one formula at once", QUOTES)
    evaluate.add_argument("formula", metavar="FORMULA")
    names = add("names", "write a copy with the names of the functions as another spreadsheet reads them")
    names.add_argument("file", type=file_name, metavar="FILE.xlsx")
    ways = f"{OLD_CALC}: Calc older than {first_plain()}; {EVERYONE}: plain names, whatever a spreadsheet made of them"
    names.add_argument("--for", dest="way", required=True, choices=tuple(PREFIXES), help=ways)
    names.add_argument("--to", type=workbook_name, required=True, metavar="COPY.xlsx", help="the copy")
    names.add_argument("--force", action="store_true", help="replace a copy of that name")
    add_hosts(add("setup", "put the functions into a spreadsheet program, or take them out"))
    add("doctor", "say what stands in the way on this machine, and what to do about it")


def add_hosts(setup: Parser) -> None:
    """What `setup` takes for each spreadsheet program."""
    names = "|".join(door.name for door in DOORS)
    made = setup.add_subparsers(dest="host", metavar=names, required=True, parser_class=Parser)
    for door in DOORS:
        one = made.add_parser(door.name, help=door.program, description=f"Put the functions into {door.program}.")
        shared(one, argparse.SUPPRESS)
        to = "only write the add-in into a file"
        one.add_argument("--to", type=named(door.addin), metavar=f"FILE{door.addin}", help=to)
        if door.text:
            text = "write the text of the add-in into a file, to be taken in by hand"
            one.add_argument(f"--{door.text[1:]}", type=named(door.text), metavar=f"FILE{door.text}", help=text)
        one.add_argument("--remove", action="store_true", help="take the functions out again")


def shared(made: Parser, default: bool | str) -> None:
    """The options that stand before or after the command."""
    made.add_argument("--json", action="store_true", default=default, help="one JSON object instead of text")
    made.add_argument("--debug", action="store_true", default=default, help="show where a fault of xlcalc happened")


def file_name(text: str) -> Path:
    """The name of a file that is there."""
    if not Path(text).name:
        raise argparse.ArgumentTypeError(f"{text!r} names no file: give one, e.g. job.xlsx")
    return Path(text)


def workbook_name(text: str) -> Path:
    """The name of a workbook to be written."""
    return _ending(text, ENDINGS, "a workbook")


def named(ending: str) -> Callable[[str], Path]:
    """The name of a file with this ending that is to be written."""

    def name(text: str) -> Path:
        return _ending(text, (ending,), "the file")

    return name


def _ending(text: str, endings: tuple[str, ...], what: str) -> Path:
    path = Path(text)
    if path.suffix.lower() not in endings:
        stem = path.stem if path.stem.strip(".") else "job"
        stem = "job" if stem.lower() in endings else stem
        raise argparse.ArgumentTypeError(f"the name of {what} ends in {endings[0]}, e.g. {stem}{endings[0]}")
    return path


def row_count(text: str) -> int:
    """How many rows a new workbook gets."""
    if not text.isdecimal() or not FEWEST_ROWS <= int(text) <= MOST_ROWS:
        raise argparse.ArgumentTypeError(f"{text} rows: a whole number from {FEWEST_ROWS} to {MOST_ROWS} is possible")
    return int(text)
