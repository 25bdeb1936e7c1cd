"""`xlcalc revise`: freeze the revision that was sent, and open the next in a copy."""

from datetime import date
from pathlib import Path

from xlcalc.core.errors import FileError
from xlcalc.hosts.output import Outcome, Progress, command
from xlcalc.workbook.copies.revise import DAYS, Revised, revised
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.atomic import refuse_there, same_file, write_whole
from xlcalc.workbook.file.dates import day_of
from xlcalc.workbook.file.package import Package


def revise(path: Path, to: Path, today: date | None = None) -> Outcome:
    """Write the next revision of a workbook into a new file; the workbook itself stays as it is.

    Raises FileError and its kinds: where the copy is there already, a name is missing, or there is nothing to freeze.
    """

    def refuse_existing() -> None:
        if same_file(to, path):
            raise FileError(f"{to} is the workbook itself, which stays as it was sent. Give another name after --to.")
        refuse_there(to, "Give another name after --to.")

    refuse_existing()
    day = today or date.today()
    with Progress() as tell:
        tell("reading")
        package = Package.open(path)
        made = revised(package, day, tell)
        tell("writing")
        write_whole(to, made.content, mode_of=path, before_replace=refuse_existing)
    do = f"change {to} in a spreadsheet, save it, then see what changed with: {command('compare', path, to)}"
    return Outcome(told(path, to, made, day), as_data(path, to, made, day, date1904=package.date1904), do)


def told(path: Path, to: Path, made: Revised, day: date) -> list[str]:
    """What was frozen, what is open now, and what must be known of both."""
    sent, money = sent_letter(made), made.frozen["SentTotal"]
    total = f"{money:.2f}" if isinstance(money, float) else shown(money)
    days = shown(made.frozen[f"Sent{DAYS}"])
    lines = [
        f"Revision {sent} is frozen in {to} as it was sent: total {total}, working days {days}.",
        f"Revision {made.revision} is open there, dated {day.day} {day:%b %Y}; {made.computed} cells worked out.",
        f"{path} stays as it is.",
    ]
    if made.incomplete:
        lines.append(
            "Caution: the quote says Incomplete: a row is not checked or cannot be worked out, so the price that was "
            "frozen is not the whole one. Was it sent so? If not, delete the copy, finish the quote, run this again."
        )
    if made.stopped:
        lines.append(f"{made.stopped} of its cells keep the value they had: {command('recalc', to)} says which.")
    return lines


def sent_letter(made: Revised) -> str:
    """The revision that was sent."""
    return str(made.frozen["SentRevision"]).strip()


def as_data(path: Path, to: Path, made: Revised, day: date, *, date1904: bool) -> dict[str, object]:
    """The same for a program; the date of what was sent as a date, where it is one."""
    dated = made.frozen["SentDate"]
    sent_on = day_of(dated, date1904=date1904) if isinstance(dated, float) else None
    return {
        "file": str(to.resolve()), "from": str(path.resolve()), "sent": sent_letter(made), "revision": made.revision,
        "date": day.isoformat(), "frozen": {**made.frozen, "SentDate": sent_on.isoformat() if sent_on else dated},
        "incomplete": made.incomplete, "computed": made.computed, "kept": made.stopped,
    }  # fmt: skip
