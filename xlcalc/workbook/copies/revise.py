"""Freeze the revision of a quote that was sent, and open the next: a copy of the workbook with both in it.

The named cells `Sent...` get what `Now...` says, Revision gets the next letter, the date is today's. Everything else
that was typed stays; what is worked out is worked out anew from these.
"""

import re
from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from xlcalc.core.errors import CalcError, FileRefused
from xlcalc.workbook.calculation.recalc import Progress, Report, compute
from xlcalc.workbook.calculation.written import Place, Written
from xlcalc.workbook.explained.place import named_cell
from xlcalc.workbook.explained.workings import shown
from xlcalc.workbook.file.dates import serial_of
from xlcalc.workbook.file.filling import with_typed_values
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value, same
from xlcalc.workbook.formulas import address, column_letters, column_number

DAYS = "Days"
AMOUNTS = ("Parts", "Labour", "Cost", "Price", "Tax", "Total", "Deposit", DAYS)  # money, and working days
SENT_BY = {"SentRevision": "Revision", "SentDate": "JobDate", **{f"Sent{each}": f"Now{each}" for each in AMOUNTS}}
"""Each cell of the revision that was sent, and the cell whose value it gets."""

LETTER = re.compile(r"[A-Z]{1,2}|[a-z]{1,2}")
MOST_NAMED = 3  # names that are missing; more are counted
INCOMPLETE = "Incomplete"


class Revised(NamedTuple):
    """The copy, what was frozen by the names of its cells, the next revision, and its date as the copy holds it."""

    content: bytes
    frozen: dict[str, Value]
    revision: str
    computed: int
    incomplete: bool
    stopped: int


def revised(package: Package, today: date, progress: Progress | None = None) -> Revised:
    """The workbook with its revision frozen and the next one opened.

    Raises FileRefused where a name is missing, a cell is not what it must be, or the file cannot be edited.
    """
    label = package.path.name
    written = Written(package)
    places = cells_of(written)
    report = compute(package, progress=progress)
    frozen = {sent: report.value(*places[now]) for sent, now in SENT_BY.items()}
    revision = next_letter(frozen["SentRevision"], label, places["Revision"])
    check_frozen(frozen, label, places)
    typed = {**frozen, "Revision": revision, "JobDate": serial_of(today, date1904=package.date1904)}
    content = package.edited(typed_parts(package, {places[name]: value for name, value in typed.items()}))
    copy = Package.from_bytes(content, package.path)
    after = compute(copy, progress=progress)
    for name, value in typed.items():
        if not same(after.value(*places[name]), value):
            raise FileRefused(f"{label} cannot be revised: {address(*places[name])} does not take a value.")
    return Revised(copy.edited(after.edits), frozen, revision, after.computed, says_incomplete(report, places),
                   len(after.frozen) + len(after.kept))  # fmt: skip


def cells_of(written: Written) -> dict[str, Place]:
    """The cells by their names. Raises FileRefused where one is missing or a formula stands where a value must go."""
    found = {name: named_cell(written, name) for name in (*SENT_BY, *SENT_BY.values())}
    if missing := [name for name, place in found.items() if place is None]:
        more = f" and {len(missing) - MOST_NAMED} more" if len(missing) > MOST_NAMED else ""
        raise FileRefused(
            f"{written.book} cannot be revised: it has no cell named {', '.join(missing[:MOST_NAMED])}{more}. "
            "Take a workbook with the sheet Quote: make one with xlcalc new and move the job into it."
        )
    places = {name: place for name, place in found.items() if place is not None}
    for name in (*SENT_BY, "Revision", "JobDate"):
        if written.formula(places[name]):
            raise FileRefused(
                f"{written.book} cannot be revised: a formula stands in {address(*places[name])} ({name}), "
                "where a value must go. Type the value over it and save."
            )
    return places


def check_frozen(frozen: Mapping[str, Value], label: str, places: Mapping[str, Place]) -> None:
    """Raise FileRefused where there is nothing to freeze."""
    for sent, now in SENT_BY.items():
        value, where = frozen[sent], address(*places[now])
        if now == "JobDate" and value in (None, ""):
            raise FileRefused(f"{label}: fill in the date of the revision that was sent first ({where}), and save.")
        if now.startswith("Now") and (isinstance(value, bool) or not isinstance(value, float)):
            said = value.code if isinstance(value, CalcError) else shown(value)
            raise FileRefused(
                f"{label} has no finished quote to freeze: {where} ({now}) is {said}. Finish the sheet "
                f"{places[now][0]} first, or ask why: xlcalc explain {label} {now}"
            )


def next_letter(value: Value, label: str, place: Place) -> str:
    """A -> B, Z -> AA. Raises FileRefused where the revision is no letter."""
    text = value.strip() if isinstance(value, str) else shown(value)
    where = address(*place)
    if value is None or not text:
        raise FileRefused(f"{label}: fill in Revision first ({where}): the letter of what was sent, e.g. A. Then save.")
    if not LETTER.fullmatch(text):
        raise FileRefused(
            f"{label}: Revision ({where}) is {text!r}, and no letter follows that. "
            "Type the letter of the revision that was sent, e.g. A, and save."
        )
    following = column_letters(column_number(text.upper()) + 1)  # letters run on as those of columns do
    return following if text.isupper() else following.lower()


def typed_parts(package: Package, values: Mapping[Place, Value]) -> dict[str, bytes]:
    """The sheets with values typed into their cells."""
    found = {}
    for sheet in package.worksheets():
        here = {(row, column): value for (name, row, column), value in values.items() if name == sheet.name}
        if here:
            label = f"{package.path.name}, sheet {sheet.name}"
            found[sheet.part] = with_typed_values(package.read(sheet.part), here, label)
    return found


def says_incomplete(report: Report, places: Mapping[str, Place]) -> bool:
    """True where the sheet of the quote says Incomplete beside a total."""
    sheet = places["NowTotal"][0]
    values = (report.value(sheet, *place) for place in report.places(sheet))
    return any(isinstance(value, str) and INCOMPLETE in value for value in values)
