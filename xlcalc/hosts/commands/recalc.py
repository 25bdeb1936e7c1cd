"""`xlcalc recalc`: fill in the answers of a workbook, and say what it holds now."""

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from xlcalc.core.errors import FileError
from xlcalc.core.verdicts import CANNOT, CHANGE, NOT_CHECKED, short
from xlcalc.hosts.commands.checks import Checked, checked_sheets, counts, in_words
from xlcalc.hosts.output import Outcome, Progress, ask
from xlcalc.workbook.calculation.recalc import Report, Stopped, compute
from xlcalc.workbook.explained.workings import Workings
from xlcalc.workbook.file.atomic import kept_free, refuse_locked, same_file, there
from xlcalc.workbook.file.package import Package

MOST_NAMED = 20  # cells of one kind; more are counted
SAME_NAMED = 3  # cells with the same reason; more are counted


def recalculate(path: Path, to: Path | None, *, force: bool = False) -> Outcome:
    """Work out a workbook and write the values into it, or into a copy.

    Raises FileError and its kinds, before any work where the file is open in a spreadsheet, or where the copy is there
    already and `force` is not given, or is the workbook itself.
    """
    if to is not None and same_file(to, path):
        raise FileError(
            f"{to} is the workbook itself. Leave --to away to write the answers into it, or give another name after it."
        )
    free = kept_free(to, force=force)
    if there(path):
        refuse_locked(to or path)
    with Progress() as tell:
        tell("reading")
        package = Package.open(path)
        report = compute(package, progress=tell)
        tell("writing")
        package.save(report.edits, to, free)
        return told(package, report, to or path)


def told(package: Package, report: Report, target: Path) -> Outcome:
    """What a workbook holds now, in words."""
    checked = checked_sheets(report, (sheet.name for sheet in package.worksheets()))
    errors = errors_with_reasons(package, report)
    lines = [f"{report.computed} cells worked out, {report.changed} of them changed in {target}", *in_words(checked)]
    lines += stopped_lines(report.frozen, "not worked out, it keeps the value it had")
    lines += stopped_lines(report.kept, "its answer fits in no cell, it keeps the value it had")
    lines += error_lines(errors)
    lines += more(len(report.errors), "cells with an error")
    data = {
        "file": str(target),
        "computed": report.computed,
        "changed": report.changed,
        "checks": {sheet: counts(rows) for sheet, rows in checked.items()},
        "frozen": as_data(report.frozen),
        "kept": as_data(report.kept),
        "errors": errors,
        "error_count": len(report.errors),
    }
    return Outcome(lines, data, after(target, checked, [each["cell"] for each in errors]))


def errors_with_reasons(package: Package, report: Report) -> list[dict[str, str]]:
    """The first cells with an error: where, which, and why in one sentence."""
    named = report.errors[:MOST_NAMED]
    book = Workings(package, report) if named else None
    return [
        {"cell": each.cell, "code": each.code, "why": book.why(each.place) if book else ""}
        for each in named
    ]


def error_lines(errors: Sequence[Mapping[str, str]]) -> Iterable[str]:
    """One line for each reason on a sheet, with the cells that have it: a fluid without figures fails in many cells."""
    cells: dict[tuple[str, str, str], list[str]] = {}
    for each in errors:
        sheet, _, ref = each["cell"].rpartition("!")
        cells.setdefault((sheet, each["code"], each["why"]), []).append(ref)
    for (sheet, code, why), refs in cells.items():
        named = ", ".join(refs[:SAME_NAMED]) + (f" and {len(refs) - SAME_NAMED} more" if len(refs) > SAME_NAMED else "")
        yield f"  {sheet}!{named} {'is' if len(refs) == 1 else 'are'} {code}{': ' if why else ''}{why}"


def stopped_lines(stopped: Sequence[Stopped], words: str) -> Iterable[str]:
    """The cells that keep their value, each with its reason."""
    yield from (f"  {each.cell}: {words}: {each.reason}" for each in stopped[:MOST_NAMED])
    yield from more(len(stopped), "cells that keep their value")


def as_data(stopped: Sequence[Stopped]) -> list[dict[str, str]]:
    """The same for a program."""
    return [{"cell": each.cell, "reason": each.reason} for each in stopped]


def more(number: int, words: str) -> list[str]:
    """How many are not named."""
    return [f"  and {number - MOST_NAMED} more {words}"] if number > MOST_NAMED else []


def after(target: Path, checked: dict[str, list[Checked]], errors: Sequence[str]) -> str:
    """What to do next."""
    for word, do in ((CHANGE, "mend"), (NOT_CHECKED, "fill in"), (short(CANNOT), "see")):
        rows = [(sheet, row) for sheet, found in checked.items() for row in found if row.check.startswith(word)]
        if rows:
            sheet, row = rows[0]
            mend = f"{do} the rows of {sheet} marked {word} in {target}, save it and run this again"
            return f"{mend}. Ask why with: {ask(target, row.cell)}"
    if errors:
        return f"ask where it comes from with: {ask(target, errors[0])}"
    return f"open {target} and read the Checks" if checked else f"open {target}: its values stand"
