"""The cell that a person means: `Lines!Z7`, `'My sheet'!b2`, `Lines.Z7`, or the name of a cell."""

import re

from xlcalc.core.words import nearest
from xlcalc.workbook.calculation.written import Place, Written
from xlcalc.workbook.formulas import LAST_COLUMN, LAST_ROW, address, column_letters, corners, unquoted

SPACED = re.compile(r"(.*?)\s+(\$?[A-Za-z]{1,3}\$?[0-9]{1,7})")
SWAPPED = re.compile(r"([0-9]{1,7})([A-Za-z]{1,3})")


class NoSuchPlace(LookupError):
    """A sheet or cell that the book does not have; the text says what may be meant."""


def place_of(written: Written, where: str) -> Place:
    """The cell that is meant. Raises NoSuchPlace."""
    if not written.sheets:
        raise NoSuchPlace(f"{written.book} has no sheet with cells")
    text = where.strip()
    if len(text) > 1 and text[0] == text[-1] == "'":  # quotes that the shell of another system takes off
        text = text[1:-1].strip()
    before, mark, ref = text.rpartition("!")
    if not mark:
        before, mark, ref = text.rpartition(".")
    if mark:
        return _on(written, _sheet(written, unquoted(before.removeprefix("$"))), ref)
    if spaced := SPACED.fullmatch(text):
        raise NoSuchPlace(f"{text!r} is not a cell: between sheet and cell stands a !: {spaced[1]}!{spaced[2].upper()}")
    if named := _named(written, text, written.sheets[0]):
        return named
    if len(written.sheets) > 1 and re.fullmatch(r"\$?[A-Za-z]{1,3}\$?[0-9]{1,7}", text):
        choice = " or ".join(f"{sheet}!{text.upper()}" for sheet in written.sheets[:3])
        raise NoSuchPlace(f"{written.book} has several sheets. Say which one: {choice}.")
    return _on(written, written.sheets[0], text)


def named_cell(written: Written, name: str) -> Place | None:
    """The one cell that a name of the book stands for; None where there is no such name or it stands for more."""
    return _named(written, name, written.sheets[0]) if written.sheets else None


def _sheet(written: Written, wanted: str) -> str:
    found = next((name for name in written.sheets if name.casefold() == wanted.casefold()), None)
    if found is None:
        hint = nearest(wanted, written.sheets) or f". Its sheets are {', '.join(written.sheets)}."
        raise NoSuchPlace(f"{written.book} has no sheet {wanted!r}{hint}")
    return found


def _named(written: Written, name: str, sheet: str) -> Place | None:
    """The cell that a defined name stands for."""
    looks = written.looks(name, (sheet, 1, 1)) if written.meaning(name, sheet) != name else []
    return (looks[0].sheet, looks[0].top, looks[0].left) if len(looks) == 1 and looks[0].single else None


def _on(written: Written, sheet: str, ref: str) -> Place:
    """A cell of a sheet."""
    try:
        top, left, bottom, right = corners(ref)
    except ValueError:
        if named := _named(written, ref, sheet):
            return named
        looks = written.looks(ref, (sheet, 1, 1))
        if looks and (written.meaning(ref, sheet) != ref or written.alone(ref, (sheet, 1, 1))):
            raise NoSuchPlace(f"{ref} stands for more than one cell of {looks[0].sheet}: name one cell") from None
        if any(ref.casefold() == name.casefold() for name in written.sheets):
            raise NoSuchPlace(f"{ref} is a sheet: name one cell of it, e.g. {address(ref, 8, 2)}") from None
        swapped = SWAPPED.fullmatch(ref)
        meant = f": did you mean {sheet}!{swapped[2].upper()}{swapped[1]}?" if swapped else nearest(ref, written.names)
        raise NoSuchPlace(f"{ref!r} is not a cell{meant or f': write it like {address(sheet, 8, 2)}'}") from None
    if not (top >= 1 and bottom <= LAST_ROW and right <= LAST_COLUMN):
        last = f"{column_letters(LAST_COLUMN)}{LAST_ROW}"
        raise NoSuchPlace(f"{ref.upper()} is not a cell: a sheet runs from A1 to {last}")
    if (top, left) != (bottom, right):
        raise NoSuchPlace(f"{ref} is an area: name one cell, e.g. {address(sheet, top, left)}")
    return sheet, top, left
