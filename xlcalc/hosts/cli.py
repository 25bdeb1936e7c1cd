"""The command line: reads the words, runs one command, gives the exit code. Help loads nothing heavy."""

import argparse
import gc
import os
import re
import sys
import traceback
from collections.abc import Callable, Sequence
from contextlib import suppress

from xlcalc.core.errors import FileError
from xlcalc.hosts.arguments import parser
from xlcalc.hosts.output import NoOutput, Outcome, Slip, command, show, tell
from xlcalc.workbook.file.done import Done, listening

DONE, USAGE, FILE, FAULT, INTERRUPTED = 0, 2, 3, 4, 130
NAMES = ". A name with blanks in it goes into quotes, e.g. 'my job.xlsx'"
UNTOUCHED = "Your file is as it was"
LEFT_OVER = {
    "eval": ". Put the whole formula in quotes",
    "explain": ". Sheet and cell are one word, e.g. Lines.B8; a name with blanks in it goes into quotes: 'My sheet!B8'",
    **dict.fromkeys(("demo", "new", "recalc", "audit", "compare", "revise", "names"), NAMES),
}  # where blanks take a word apart that was meant as one
NEGATIVE = re.compile("-(?![hV]$)[^-]")  # an option of one letter, or of two dashes, is none
COLLECTIONS = 100_000, 20, 100  # objects made before rubbish is looked for: see `main`


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code.

    A book is made of hundreds of thousands of objects that all live until the command ends; to search them for circles
    of rubbish every seven hundred, as Python does by itself, takes a tenth of the time and finds next to nothing.
    """
    gc.set_threshold(*COLLECTIONS)
    sys.stdout, sys.stderr = (stream or open(os.devnull, "w") for stream in (sys.stdout, sys.stderr))  # noqa: PTH123, SIM115  (one that is closed is None)
    words = sys.argv[1:] if arguments is None else list(arguments)
    with listening() as done:
        return ended(words, done)


def ended(words: Sequence[str], done: Done) -> int:
    """How a command ends, whatever happens in it; `done` knows which files were written by then."""
    given = argparse.Namespace(command=None, json="--json" in words, debug="--debug" in words)
    try:
        given = parsed(words)
        return run(given, done)
    except (Slip, FileError) as error:
        return failed(given, str(error), USAGE if isinstance(error, Slip) else FILE)
    except KeyboardInterrupt as stop:
        return failed(given, f"interrupted; {str(stop) or done.words or 'the file is as it was'}.", INTERRUPTED)
    except BrokenPipeError:
        return DONE  # whoever read has gone: nothing more to say
    except MemoryError:
        do = "Close other programs, or split the workbook"
        return failed(given, f"the memory of this machine is used up. {do}. {done.words or UNTOUCHED}.", FILE)
    except Exception as fault:  # a fault of ours must not look like one of the person's
        if given.debug:
            traceback.print_exc()
        kind = f"a fault of xlcalc itself ({type(fault).__name__}: {fault}). {done.words or UNTOUCHED}."
        return failed(given, f"{kind} Please report it with what --debug prints.", FAULT)


def parsed(words: Sequence[str]) -> argparse.Namespace:
    """The words as settings. Raises Slip, with the options of the command that was meant."""
    if formula := begun_with_minus(words):
        raise Slip(f"a formula that begins with a minus takes = in front: {command('eval', f'={formula}')}")
    top, _ = parser()
    given, left_over = top.parse_known_args(words)
    if left_over:
        hint = "" if left_over[0].startswith("-") else LEFT_OVER.get(given.command, "")
        top.innermost(given).error(f"there is no place for '{left_over[0]}'{hint}")
    return given


def begun_with_minus(words: Sequence[str]) -> str:
    """The formula of `xlcalc eval -1+2`, which would be taken for an option; empty where there is none."""
    alone = "--" not in words and [word for word in words if not word.startswith("-")] == ["eval"]
    return next((word for word in words if alone and NEGATIVE.match(word)), "")


def failed(given: argparse.Namespace, words: str, code: int) -> int:
    """Say what went wrong; on request as JSON, where that finds room."""
    if given.json:
        with suppress(NoOutput, BrokenPipeError):
            return show(Outcome(data={"error": words}, code=code), given.command or "", as_json=True)
    first, *further = words.splitlines()
    tell(f"xlcalc: {first}")
    for line in further:
        tell(line)
    return code


def run(given: argparse.Namespace, done: Done) -> int:
    """Run the command that was asked for. Raises FileError and Slip."""
    if sys.flags.optimize > 1:
        raise Slip("Python leaves out the texts in which the functions say what they do: start it without -OO, and "
                   "without PYTHONOPTIMIZE=2")  # fmt: skip
    if not given.command and not given.version:
        parser()[0].print_help()
        return DONE
    outcome = COMMAND["version" if given.version else given.command](given)
    for remark in done.remarks:
        tell(remark)
    try:
        return show(outcome, given.command or "version", as_json=given.json)
    except NoOutput as fault:
        whole = done.words or (f"{outcome.data['file']} is as it was" if "file" in outcome.data else "")
        tell(f"xlcalc: {fault}{f' {whole}.' if whole else ''}")  # as JSON it would go where nothing more goes
        return FILE


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


def _audit(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.audit import audit_book  # noqa: PLC0415

    return audit_book(given.file, html=given.html, old=given.since, accept=given.accept, reason=given.reason,
                      by=given.by, force=given.force)  # fmt: skip


def _compare(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.compare import compare_books  # noqa: PLC0415

    return compare_books(given.old, given.new, given.to, costs=given.costs, force=given.force)


def _revise(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.revise import revise  # noqa: PLC0415

    return revise(given.file, given.to)


def _functions(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.functions import functions  # noqa: PLC0415

    return functions(given.name)


def _eval(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.evaluate import evaluate  # noqa: PLC0415

    return evaluate(given.formula)


def _names(given: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.names import names  # noqa: PLC0415

    return names(given.file, given.way, given.to, force=given.force)


def _setup(given: argparse.Namespace) -> Outcome:
    if given.remove and (given.to or getattr(given, "bas", None)):
        raise Slip("--remove takes the functions out and writes no file: leave the name of the file away.")
    if given.host == "calc":
        from xlcalc.hosts.commands.setup_calc import setup_calc  # noqa: PLC0415

        return setup_calc(given.to, remove=given.remove)
    from xlcalc.hosts.commands.setup_excel import setup_excel  # noqa: PLC0415

    return setup_excel(given.bas, given.to, remove=given.remove)


def _doctor(_: argparse.Namespace) -> Outcome:
    from xlcalc.hosts.commands.doctor import doctor  # noqa: PLC0415

    return doctor()


COMMAND: dict[str, Callable[[argparse.Namespace], Outcome]] = {
    "version": _version,
    "demo": _demo,
    "new": _new,
    "recalc": _recalc,
    "explain": _explain,
    "audit": _audit,
    "compare": _compare,
    "revise": _revise,
    "functions": _functions,
    "eval": _eval,
    "names": _names,
    "setup": _setup,
    "doctor": _doctor,
}
