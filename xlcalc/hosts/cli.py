"""The command line: reads the words, runs one command, gives the exit code. Help loads nothing heavy."""

import argparse
import os
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from xlcalc.core.errors import FileError

DONE, USAGE, FILE, FAULT, INTERRUPTED = 0, 2, 3, 4, 130
COMMANDS = ("demo", "new", "recalc", "explain", "functions", "eval")
OPTIONS = ("--help", "--version", "--json", "--debug", "--to", "--force", "--rows", "--lines")
EXAMPLES = """examples:
  xlcalc demo
  xlcalc eval 'BORE_FOR_FLOW("30 US gpm","20 ft/s","in")'

exit codes: 0 done, 1 eval answered an error, 2 usage, 3 a file is locked or refused, 4 a fault of xlcalc"""


class Parser(argparse.ArgumentParser):
    """A parser that says what was meant when a command or option is misspelt."""

    def error(self, message: str) -> NoReturn:
        from xlcalc.core.words import nearest  # noqa: PLC0415  (only after a slip)

        known = [*COMMANDS, *OPTIONS]
        slip = message.partition("'")[2].partition("'")[0] or message.rpartition(": ")[2]
        first = message.partition(" (choose")[0]
        print(f"xlcalc: {first}{nearest(slip, known)}\nxlcalc --help says what there is.", file=sys.stderr)  # noqa: T201
        sys.exit(USAGE)


def parser() -> Parser:
    """What the command line takes."""
    both = Parser(add_help=False)
    both.add_argument("--json", action="store_true", help="one JSON object instead of text")
    both.add_argument("--debug", action="store_true", help="show where a fault of xlcalc happened")
    top = Parser(prog="xlcalc", description="Fluid-line calculations for custom-vehicle workshops.", epilog=EXAMPLES,
                 parents=[both], formatter_class=argparse.RawDescriptionHelpFormatter)  # fmt: skip
    top.add_argument("--version", action="store_true", help="version, and fingerprint of the data")
    commands = top.add_subparsers(dest="command", metavar="command", parser_class=Parser)

    def add(name: str, words: str) -> argparse.ArgumentParser:
        return commands.add_parser(name, help=words, description=words, parents=[both])

    demo = add("demo", "build the demo workbook here, work it out, say what it found")
    demo.add_argument("--to", type=Path, help="file name; default: the job's number and revision")
    demo.add_argument("--force", action="store_true", help="replace a file of that name")
    new = add("new", "write an empty template")
    new.add_argument("file", type=Path)
    new.add_argument("--rows", "--lines", type=int, default=60, help="room for so many lines; default 60")
    recalc = add("recalc", "fill in the answers of a workbook; nothing else in it changes")
    recalc.add_argument("file", type=Path)
    recalc.add_argument("--to", type=Path, help="write a copy and leave the workbook as it is")
    explain = add("explain", "say how one cell was worked out")
    explain.add_argument("file", type=Path)
    explain.add_argument("cell", help="e.g. Lines!B8")
    functions = add("functions", "list the worksheet functions, or explain one")
    functions.add_argument("name", nargs="?")
    evaluate = add("eval", "answer one formula at once")
    evaluate.add_argument("formula", help="""e.g. 'LINE_VELOCITY("8 L/min", 7.9)'; a comma between arguments""")
    return top


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    given = parser().parse_args(arguments)
    try:
        return _run(given)
    except FileError as error:
        return _failed(given, str(error), FILE)
    except KeyboardInterrupt:
        return _failed(given, "interrupted; the file is as it was.", INTERRUPTED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # whoever read has gone: nothing more to say
        return DONE
    except Exception as fault:  # a fault of ours must not look like one of the person's
        if given.debug:
            traceback.print_exc()
        words = f"a fault of xlcalc itself ({type(fault).__name__}: {fault}). Your file is as it was."
        return _failed(given, f"{words} Please report it with what --debug prints.", FAULT)


def _failed(given: argparse.Namespace, words: str, code: int) -> int:
    from xlcalc.hosts.output import Outcome, show, tell  # noqa: PLC0415

    if given.json:
        return show(Outcome(data={"error": words}, code=code), given.command or "", as_json=True)
    tell(f"xlcalc: {words}")
    return code


def _run(given: argparse.Namespace) -> int:
    if not given.command and not given.version:
        parser().print_help()
        return DONE
    from xlcalc.hosts import commands  # noqa: PLC0415  (help must not load the functions)
    from xlcalc.hosts.output import Outcome, show  # noqa: PLC0415

    runs: dict[str | None, Callable[[], Outcome]] = {
        None: commands.version,
        "demo": lambda: commands.demo(given.to, force=given.force),
        "new": lambda: commands.new(given.file, given.rows),
        "recalc": lambda: commands.recalculate(given.file, given.to),
        "explain": lambda: commands.explain(given.file, given.cell),
        "functions": lambda: commands.functions(given.name),
        "eval": lambda: commands.evaluate(given.formula),
    }
    return show(runs[None if given.version else given.command](), given.command or "version", as_json=given.json)
