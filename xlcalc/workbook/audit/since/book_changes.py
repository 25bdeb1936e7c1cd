"""What changed around the cells of a book since an older copy: its sheets, names, settings of calculation, stamp."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from xlcalc.core.words import plural
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.audit.evidence.naming import PRINTING
from xlcalc.workbook.audit.reading.patterns import read
from xlcalc.workbook.audit.rules.settings import YES, calculation
from xlcalc.workbook.audit.since.pairing import Pairing
from xlcalc.workbook.audit.since.same_formula import SameFormula
from xlcalc.workbook.stamp import stamp_of

SHEET, NAME, SETTING, STAMP = "sheet", "name", "setting", "stamp"
MODES = {"auto": "automatic", "autoNoTable": "automatic except for data tables"}
NONE = "none"


class BookChange(NamedTuple):
    """One change: `subject` is `sheet`, `name`, `setting` or `stamp`, `about` which of them, then what it was and is.

    `words` say it in a line.
    """

    subject: str
    about: str
    was: str
    now: str
    words: str


def put(subject: str, about: str, was: str, now: str) -> BookChange:
    """A change that is said in the same words for all subjects."""
    return BookChange(subject, about, was, now, f"{about}: was {was}, is {now}")


def book_changes(pairing: Pairing) -> list[BookChange]:
    """All of them: sheets first, then names, settings and stamp."""
    return [*sheet_changes(pairing), *name_changes(pairing), *setting_changes(pairing.old, pairing.new)]


def sheet_changes(pairing: Pairing) -> Iterator[BookChange]:
    """Sheets that were added, removed, renamed, hidden or shown."""
    for name in pairing.added:
        yield BookChange(SHEET, name, "", name, f"sheet {name}: new, {content(pairing.new, name)}")
    for name in pairing.removed:
        yield BookChange(SHEET, name, name, "", f"sheet {name}: gone, it had {content(pairing.old, name)}")
    for pair in pairing.sheets:
        if pair.old != pair.new:
            yield BookChange(SHEET, pair.new, pair.old, pair.new, f"sheet {pair.old}: now called {pair.new}")
        states = [state(book, name) for book, name in ((pairing.old, pair.old), (pairing.new, pair.new))]
        if states[0] != states[1]:
            yield put(SHEET, f"sheet {pair.new}", *states)


def content(book: Book, sheet: str) -> str:
    """`12 formulas and 40 typed cells`."""
    return f"{plural(len(book.formulas(sheet)), 'formula')} and {plural(len(book.typed(sheet)), 'typed cell')}"


def state(book: Book, sheet: str) -> str:
    """Whether a sheet is to be seen."""
    return "visible" if book.sheets[sheet].state == "visible" else "hidden"


def name_changes(pairing: Pairing) -> Iterator[BookChange]:
    """Names that were added or removed, or stand for something else; cells that only moved are the same."""
    same = SameFormula(pairing)
    titles = {pair.old: pair.new for pair in pairing.sheets}
    old = {(titles.get(sheet, sheet), name.casefold()): (name, text) for sheet, name, text in names(pairing.old)}
    new = {(sheet, name.casefold()): (name, text) for sheet, name, text in names(pairing.new)}
    for key in dict.fromkeys([*new, *old]):
        was, now = (each.get(key, ("", ""))[1] for each in (old, new))
        if was != now and not (was and now and same.same_name(read(was, 1, 1), read(now, 1, 1))):
            about = f"name {(new.get(key) or old[key])[0]}{f' of {key[0]}' if key[0] else ''}"
            yield put(NAME, about, was or NONE, now or NONE)


def names(book: Book) -> Iterator[tuple[str, str, str]]:
    """The sheet of each name, empty for a name of the whole book, the name and what it stands for."""
    for each in book.package.defined_names():
        if not each.hidden and not each.name.startswith(PRINTING):
            yield each.sheet or "", each.name, each.text


def setting_changes(old: Book, new: Book) -> Iterator[BookChange]:
    """Settings of calculation, the day from which dates count, and the stamp."""
    was, now = settings(old), settings(new)
    for about, value in now.items():
        if was[about] != value:
            yield put(SETTING, about, was[about], value)
    stamps = stamp(old), stamp(new)
    if stamps[0] != stamps[1]:
        yield put(STAMP, "stamp", *stamps)


def settings(book: Book) -> Mapping[str, str]:
    """The settings that a person sees in a spreadsheet, in words."""
    held = calculation(book)
    known: Mapping[str, str] = held.attrib if held is not None else {}
    mode = known.get("calcMode", "auto")  # here and below: what holds by ECMA-376, 18.2.2, where a file says nothing
    rounds, change = known.get("iterateCount", "100"), known.get("iterateDelta", "0.001")
    repeated = f"on, {rounds} rounds, down to a change of {change}"
    return {
        "calculation": MODES.get(mode, mode),
        "precision as displayed": "off" if known.get("fullPrecision", "1") in YES else "on",
        "iterative calculation": repeated if known.get("iterate", "0") in YES else "off",
        "dates count from": "1904" if book.package.date1904 else "1900",
    }


def stamp(book: Book) -> str:
    """Version and data of the stamp, and whether it was edited."""
    found = stamp_of(book.package)
    if found is None:
        return NONE
    return f"version {found.version}, data {found.data}{'' if found.whole else ', edited by hand'}"
