"""The limits of a book's Start: the default and the shop's own figure of each, and which of them holds."""

from typing import NamedTuple

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.book import Book
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.copies.compare import Held, held
from xlcalc.workbook.explained.place import named_cell
from xlcalc.workbook.file.values import same
from xlcalc.workbook.landmarks import CHANGED, LIMIT_UNITS, SOURCE, USED, limit_name


class LimitUsed(NamedTuple):
    """A limit as a book has it: what it is in words, the unit of its default, its cells and what they hold.

    `source` is where the default is from, as the sheet says it, `dated` when the shop's own figure was put in, `used`
    the figure that holds.
    """

    words: str
    unit: str
    source: str
    own_place: Place
    default_place: Place
    dated_place: Place
    own: Held
    default: Held
    dated: Held
    used: Held

    @property
    def changed(self) -> bool:
        """True where the shop's own figure holds and is another than the default."""
        return self.own.value is not None and not same(self.used.value, self.default.value)

    def said(self, figure: Held) -> str:
        """A figure with its unit; text as it was typed."""
        return f"{figure.text} {self.unit}".strip() if isinstance(figure.value, float) else figure.text


def limits_used(book: Book) -> dict[str, LimitUsed]:
    """The limits that a book has, by their names; one whose formula was typed over has none of the two figures left."""
    found = {}
    for limit in raw_rows("limits"):
        name = limit_name(limit["id"])
        place = named_cell(book.written, name)
        looks = book.written.looks(book.written.formula(place), place) if place else []
        cells = list(dict.fromkeys((look.sheet, look.top, look.left) for look in looks if look.single))
        if place and len(cells) == 2:  # as the sheet has it: IF(own="",default, ...)
            sheet, row, column = place
            source, dated = ((sheet, row, column + each - USED) for each in (SOURCE, CHANGED))
            own, default = cells
            figures = [held(book.workings, each) for each in (own, default, dated, place)]
            unit, said = LIMIT_UNITS.get(limit["unit"], limit["unit"]), book.value(source)
            cited = said if isinstance(said, str) else ""
            found[name] = LimitUsed(limit["words"], unit, cited, own, default, dated, *figures)
    return found


def places_of(limits: dict[str, LimitUsed]) -> set[Place]:
    """The cells of all defaults, of the shop's own figures and of their dates."""
    return {place for limit in limits.values() for place in (limit.own_place, limit.default_place, limit.dated_place)}
