"""The command line. Results go to standard output, talk to standard error; help loads nothing heavy."""

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from xlcalc.core.errors import FileError

DONE, ERROR_ANSWER, USAGE, FILE, FAULT, INTERRUPTED = 0, 1, 2, 3, 4, 130
EXAMPLES = """examples:
  xlcalc demo
  xlcalc eval 'BORE_FOR_FLOW("30 US gpm","20 ft/s","in")'"""


class Parser(argparse.ArgumentParser):
    """A parser that says what was meant when a command is misspelt."""

    def error(self, message: str) -> None:  # type: ignore[override]  # exits, as the base class does
        from xlcalc.core.words import nearest  # noqa: PLC0415  (only after a slip)

        commands = ("demo", "new", "recalc", "explain", "functions", "eval")
        wrong = next((word for word in sys.argv[1:] if not word.startswith("-") and word not in commands), "")
        hint = nearest(wrong, commands) if "invalid choice" in message else ""
        print(f"xlcalc: {message}{hint}\nxlcalc --help lists the commands.", file=sys.stderr)  # noqa: T201
        sys.exit(USAGE)


def parser() -> argparse.ArgumentParser:
    """What the command line takes."""
    top = Parser(prog="xlcalc", description="Fluid-line calculations for custom-vehicle workshops.", epilog=EXAMPLES,
                 formatter_class=argparse.RawDescriptionHelpFormatter)  # fmt: skip
    top.add_argument("--version", action="store_true", help="version and fingerprint of the data")
    top.add_argument("--debug", action="store_true", help="show where a fault of the program happened")
    commands = top.add_subparsers(dest="command", metavar="command")
    demo = commands.add_parser("demo", help="build the demo workbook here, work it out, say what it found")
    demo.add_argument("--to", help="file name; default: the job's number and revision")
    demo.add_argument("--force", action="store_true", help="replace a file of that name")
    new = commands.add_parser("new", help="an empty template")
    new.add_argument("file")
    new.add_argument("--rows", "--lines", type=int, default=60, help="room for so many lines; default 60")
    recalc = commands.add_parser("recalc", help="fill in the answers of a workbook")
    recalc.add_argument("file")
    recalc.add_argument("--to", help="write a copy and leave the workbook as it is")
    explain = commands.add_parser("explain", help="how one cell was worked out")
    explain.add_argument("file")
    explain.add_argument("cell", help="e.g. Lines!B8")
    functions = commands.add_parser("functions", help="list the worksheet functions, or explain one")
    functions.add_argument("name", nargs="?")
    evaluate = commands.add_parser("eval", help="answer one formula at once")
    evaluate.add_argument("formula")
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    given = parser().parse_args(arguments)
    try:
        return _run(given)
    except FileError as error:
        print(f"xlcalc: {error}", file=sys.stderr)  # noqa: T201
        return FILE
    except KeyboardInterrupt:
        print("xlcalc: interrupted; the file is as it was.", file=sys.stderr)  # noqa: T201
        return INTERRUPTED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE


def _run(given: argparse.Namespace) -> int:  # noqa: PLR0911 (one return a command)
    from xlcalc.hosts import commands  # noqa: PLC0415  (help must not load the functions)

    if given.version:
        return commands.version()
    match given.command:
        case "demo":
            return commands.demo(Path(given.to) if given.to else None, force=given.force)
        case "new":
            return commands.new(Path(given.file), given.rows)
        case "recalc":
            return commands.recalculate(Path(given.file), Path(given.to) if given.to else None)
        case "explain":
            return commands.explain(Path(given.file), given.cell)
        case "functions":
            return commands.functions(given.name)
        case "eval":
            return commands.evaluate(given.formula)
    parser().print_help()
    return DONE
