"""The command line: reads the words, runs one command, gives the exit code. Help loads nothing heavy."""

import argparse
import os
import re
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from xlcalc.core.errors import FileError
from xlcalc.hosts.output import Outcome, Slip, command, show, tell

DONE, USAGE, FILE, FAULT, INTERRUPTED = 0, 2, 3, 4, 130
COMMANDS = ("demo", "new", "recalc", "explain", "compare", "revise", "functions", "eval")
FEWEST_ROWS, MOST_ROWS = 1, 1_500  # a test holds that the template takes as many
ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm")
EXAMPLES = """examples:
  xlcalc demo
  xlcalc eval 'BORE_FOR_FLOW("30 US gpm","20 ft/s","in")'

exit codes: 0 done, 1 eval answered an error, 2 usage, 3 a file is locked or refused, 4 a fault of xlcalc,
130 interrupted"""
QUOTES = r"""Put the whole formula in quotes, so that the shell hands it over as it is:
  xlcalc eval 'LINE_VELOCITY("8 L/min", 7.9)'       most shells
  xlcalc eval "LINE_VELOCITY(\"8 L/min\", 7.9)"     Windows Command Prompt"""


class Parser(argparse.ArgumentParser):
    """A parser that says what was meant when a command or option is misspelt."""

    def __init__(self, **settings: object) -> None:
        super().__init__(allow_abbrev=False, formatter_class=argparse.RawDescriptionHelpFormatter, **settings)  # type: ignore[arg-type]

    def error(self, message: str) -> NoReturn:
        from xlcalc.core.words import nearest  # noqa: PLC0415  (only after a slip)

        slip = message.partition("'")[2].partition("'")[0] or message.rpartition(": ")[2]
        if "invalid choice" in message:
            words, known = f"there is no command {slip!r}", list(COMMANDS)
        else:
            words, known = re.sub(r"^argument [^ ]+: ", "", message), list(self._option_string_actions)
        meant = "" if slip in known else nearest(slip, known)
        raise Slip(f"{words}{meant}\n{command(*self.prog.split()[1:], '--help')} says what there is.")


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

    demo = add("demo", "build the demo workbook here, work it out, say what it found")
    demo.add_argument("--to", type=workbook_name, metavar="FILE.xlsx", help="default: the job's number and revision")
    demo.add_argument("--force", action="store_true", help="replace a file of that name")
    new = add("new", "write an empty workbook")
    new.add_argument("file", type=workbook_name, metavar="FILE.xlsx")
    room = f"room for N lines; default 60, at most {MOST_ROWS}"
    new.add_argument("--rows", "--lines", type=row_count, default=60, metavar="N", help=room)
    recalc = add("recalc", "fill in the answers of a workbook; nothing else in it changes")
    recalc.add_argument("file", type=Path, metavar="FILE.xlsx")
    recalc.add_argument(
        "--to", type=workbook_name, metavar="COPY.xlsx", help="write a copy, leave the workbook as it is"
    )
    recalc.add_argument("--force", action="store_true", help="replace a copy of that name")
    explain = add("explain", "say how one cell was worked out", "e.g. xlcalc explain my.xlsx 'Lines!B8'")
    explain.add_argument("file", type=Path, metavar="FILE.xlsx")
    explain.add_argument("cell", metavar="CELL", help="Lines!B8, 'My sheet'!B2, or the name of a cell")
    compare = add("compare", "say what changed between two revisions, as a page to sign")
    compare.add_argument("old", type=Path, metavar="OLD.xlsx")
    compare.add_argument("new", type=Path, metavar="NEW.xlsx")
    compare.add_argument("--to", type=text_name, metavar="FILE.txt", help="write the page into a text file")
    compare.add_argument("--force", action="store_true", help="replace a file of that name")
    revise = add("revise", "freeze the revision that was sent, open the next in a copy")
    revise.add_argument("file", type=Path, metavar="FILE.xlsx")
    revise.add_argument("--to", type=workbook_name, required=True, metavar="COPY.xlsx", help="the next revision")
    functions = add("functions", "list the worksheet functions, or explain one")
    functions.add_argument("name", nargs="?", metavar="NAME", help="of a function, e.g. LINE_VELOCITY")
    evaluate = add("eval", "answer one formula at once", QUOTES)
    evaluate.add_argument("formula", metavar="FORMULA")
    return top, commands


def shared(made: Parser, default: bool | str) -> None:
    """The options that stand before or after the command."""
    made.add_argument("--json", action="store_true", default=default, help="one JSON object instead of text")
    made.add_argument("--debug", action="store_true", default=default, help="show where a fault of xlcalc happened")


def workbook_name(text: str) -> Path:
    """The name of a workbook to be written."""
    if not text.lower().endswith(ENDINGS):
        raise argparse.ArgumentTypeError(f"the name of a workbook ends in .xlsx, e.g. {Path(text).stem}.xlsx")
    return Path(text)


def text_name(text: str) -> Path:
    """The name of a text file to be written."""
    if not text.lower().endswith(".txt"):
        raise argparse.ArgumentTypeError(f"the name of a text file ends in .txt, e.g. {Path(text).stem}.txt")
    return Path(text)


def row_count(text: str) -> int:
    """How many rows a new workbook gets."""
    if not text.isdecimal() or not FEWEST_ROWS <= int(text) <= MOST_ROWS:
        raise argparse.ArgumentTypeError(f"{text} rows: a whole number from {FEWEST_ROWS} to {MOST_ROWS} is possible")
    return int(text)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    words = sys.argv[1:] if arguments is None else list(arguments)
    given = argparse.Namespace(command=None, json="--json" in words, debug="--debug" in words)
    try:
        given = parsed(words)
        return run(given)
    except Slip as slip:
        return failed(given, str(slip), USAGE)
    except FileError as error:
        return failed(given, str(error), FILE)
    except KeyboardInterrupt as stop:
        return failed(given, f"interrupted; {str(stop) or 'the file is as it was'}.", INTERRUPTED)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # whoever read has gone: nothing more to say
        return DONE
    except Exception as fault:  # a fault of ours must not look like one of the person's
        if given.debug:
            traceback.print_exc()
        kind = f"a fault of xlcalc itself ({type(fault).__name__}: {fault}). Your file is as it was."
        return failed(given, f"{kind} Please report it with what --debug prints.", FAULT)


def parsed(words: Sequence[str]) -> argparse.Namespace:
    """The words as settings. Raises Slip, with the options of the command that was meant."""
    top, commands = parser()
    given, left_over = top.parse_known_args(words)
    if left_over:
        where = commands.get(given.command, top)
        hint = "" if given.command != "eval" or left_over[0].startswith("--") else ". Put the whole formula in quotes"
        where.error(f"there is no place for '{left_over[0]}'{hint}")
    return given


def failed(given: argparse.Namespace, words: str, code: int) -> int:
    """Say what went wrong; on request as JSON."""
    if given.json:
        return show(Outcome(data={"error": words}, code=code), given.command or "", as_json=True)
    first, *further = words.splitlines()
    tell(f"xlcalc: {first}")
    for line in further:
        tell(line)
    return code


def run(given: argparse.Namespace) -> int:
    """Run the command that was asked for. Raises FileError and Slip."""
    if not given.command and not given.version:
        parser()[0].print_help()
        return DONE
    outcome = COMMAND["version" if given.version else given.command](given)
    return show(outcome, given.command or "version", as_json=given.json)


def _version(_: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.functions import version  # noqa: PLC0415  (each command loads what it needs)

    return version()


def _demo(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.demo import demo  # noqa: PLC0415

    return demo(given.to, force=given.force)


def _new(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.new import new  # noqa: PLC0415

    return new(given.file, given.rows)


def _recalc(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.recalc import recalculate  # noqa: PLC0415

    return recalculate(given.file, given.to, force=given.force)


def _explain(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.explain import explain  # noqa: PLC0415

    return explain(given.file, given.cell)


def _compare(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.compare import compare_books  # noqa: PLC0415

    return compare_books(given.old, given.new, given.to, force=given.force)


def _revise(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.revise import revise  # noqa: PLC0415

    return revise(given.file, given.to)


def _functions(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.functions import functions  # noqa: PLC0415

    return functions(given.name)


def _eval(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.evaluate import evaluate  # noqa: PLC0415

    return evaluate(given.formula)


COMMAND: dict[str, Callable[[argparse.Namespace], Outcome]] = {
    "version": _version,
    "demo": _demo,
    "new": _new,
    "recalc": _recalc,
    "explain": _explain,
    "compare": _compare,
    "revise": _revise,
    "functions": _functions,
    "eval": _eval,
}
