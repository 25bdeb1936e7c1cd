"""Which cells show a date: their number is one of a calendar, by the number format of the cell."""

import re
from datetime import date, datetime, timedelta

from xlcalc.workbook.file.cell_xml import REF
from xlcalc.workbook.file.package import MAIN, Package
from xlcalc.workbook.file.values import Value
from xlcalc.workbook.formulas import column_number

FIRST_1900, FIRST_1904 = datetime(1899, 12, 30), datetime(1904, 1, 1)
NO_LEAP_DAY = 60  # the 29 February 1900 that spreadsheets count and that never was; days before it are one later
LAST = 2_958_465  # 31 December 9999
NUMBERS = 14, 15, 16, 17, 22, *range(27, 32), 36, *range(50, 59)  # of the formats that every file knows
BUILT_IN = frozenset(map(str, NUMBERS))
NOT_LETTERS = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')
STYLED = re.compile(rb"<c(?=[^<>]*?" + REF + rb")[^<>]*?\ss=[\"']([0-9]{1,9})[\"']")


class Dates:
    """The cells of a book that show a date."""

    def __init__(self, package: Package) -> None:
        self._package = package
        self._parts = {sheet.name: sheet.part for sheet in package.worksheets()}
        self._styles: set[int] | None = None
        self._places: dict[str, set[tuple[int, int]]] = {}

    def shown(self, place: tuple[str, int, int], value: Value) -> str:
        """The value of a cell as a date, such as `2 Mar 2026`; empty where the cell shows none."""
        if not isinstance(value, float) or isinstance(value, bool):
            return ""
        sheet, row, column = place
        if (row, column) not in self._on(sheet):
            return ""
        day = day_of(value, date1904=self._package.date1904)
        return f"{day.day} {day:%b %Y}" if day else ""

    def _on(self, sheet: str) -> set[tuple[int, int]]:
        if sheet not in self._places:
            styles = self._date_styles()
            found = STYLED.findall(self._package.read(self._parts[sheet])) if styles and sheet in self._parts else []
            self._places[sheet] = {
                (int(row), column_number(letters.decode())) for letters, row, style in found if int(style) in styles
            }
        return self._places[sheet]

    def _date_styles(self) -> set[int]:
        """The numbers of the cell styles whose format is a date."""
        if self._styles is None:
            self._styles = set()
            if (root := self._package.styles()) is not None:
                own = {each.get("numFmtId"): each.get("formatCode", "") for each in root.iter(f"{MAIN}numFmt")}
                formats = root.find(f"{MAIN}cellXfs")
                for place, each in enumerate(formats if formats is not None else ()):
                    number = each.get("numFmtId", "0")
                    if is_date(own[number]) if number in own else number in BUILT_IN:
                        self._styles.add(place)
        return self._styles


def is_date(code: str) -> bool:
    """True for a number format with a day or a year in it."""
    first = NOT_LETTERS.sub("", code).partition(";")[0].lower()
    return first != "general" and ("d" in first or "y" in first)


def day_of(serial: float, *, date1904: bool) -> date | None:
    """The day that a number stands for; None where it stands for none."""
    if not 1 <= serial <= LAST:
        return None
    if date1904:
        return (FIRST_1904 + timedelta(days=int(serial))).date() if serial <= LAST - 1462 else None
    return (FIRST_1900 + timedelta(days=int(serial) + (serial < NO_LEAP_DAY))).date()


def serial_of(day: date, *, date1904: bool) -> float:
    """The number that stands for a day of our time."""
    return float((day - (FIRST_1904 if date1904 else FIRST_1900).date()).days)
