"""A book held in the engine, worked out, that is asked what a change of some cells would make of all others."""

from collections.abc import Collection, Iterator, Mapping

from xlcalc.workbook.engine import Engine, has_function
from xlcalc.workbook.exchange import Unspeakable
from xlcalc.workbook.facts import Reader
from xlcalc.workbook.package import Package
from xlcalc.workbook.prepare import Plan, prepare
from xlcalc.workbook.recalc import compute, worksheet_functions
from xlcalc.workbook.settle import settle
from xlcalc.workbook.values import Value, same
from xlcalc.workbook.written import Place

Changed = Mapping[Place, "str | Given"]


class Given(tuple[Value]):
    """A value that is typed, apart from a formula, which is a plain text."""

    def __new__(cls, value: Value) -> "Given":
        return super().__new__(cls, (value,))


class Worked:
    """A clean book in the engine."""

    def __init__(self, data: bytes) -> None:
        package = Package.from_bytes(data, "worked.xlsx")
        ours = worksheet_functions()
        self._plan: Plan = prepare(package, ours)
        called = {spelling: function for name, function in ours.items() for spelling in (name, f"[1]!{name}")}
        self._engine = Engine(self._plan.book(), called, date1904=package.date1904)
        self._plan.parts.clear()
        self._engine.evaluate()
        settle(self._engine, self._plan, package.shared_strings)
        self._names, self._tables = package.defined_names(), [table.name for table in package.tables()]
        self._ours = ours
        self._undo: dict[Place, tuple[str, Value | Unspeakable]] = {}
        self._known: dict[Place, tuple[str, Value | Unspeakable]] = {}
        self.answers = dict(self._all())

    def after(self, changed: Changed) -> dict[Place, Value]:
        """The formula cells that show something else once these cells of the clean book are changed, and what."""
        for place, (formula, value) in self._undo.items():
            if formula:
                self._engine.set_formula(*place, formula)
            else:
                self._engine.set_value(*place, None if isinstance(value, Unspeakable) else value)
        self._undo = {place: self._clean(place) for place in changed}
        for place, new in changed.items():
            if isinstance(new, Given):
                self._engine.set_value(*place, new[0])
            else:
                facts = Reader(place[0], self._ours, has_function, self._names, self._tables).facts(new)
                self._engine.set_formula(*place, facts.for_engine(new))
        self._engine.evaluate()
        typed = {place for place, new in changed.items() if isinstance(new, Given)}
        return {
            place: value
            for place, value in self._all(set(changed) - typed)
            if place not in typed and not same(self.answers.get(place), value)
        }

    def _clean(self, place: Place) -> tuple[str, Value | Unspeakable]:
        """Formula and value of a cell as the engine has them in the clean book."""
        if place not in self._known:
            self._known[place] = self._engine.formula(*place), self._engine.value(*place)
        return self._known[place]

    def _all(self, further: Collection[Place] = ()) -> Iterator[tuple[Place, Value]]:
        answer = self._engine.value
        for sheet in self._plan.sheets:
            name = sheet.sheet.name
            for row, column in sheet.places:
                value = answer(name, row, column)
                yield (name, row, column), "" if value is None or isinstance(value, Unspeakable) else value
        for place in further:
            value = answer(*place)
            yield place, "" if value is None or isinstance(value, Unspeakable) else value


def worked_out(data: bytes) -> bytes:
    """The book with every cached value as its formulas give it."""
    package = Package.from_bytes(data, "book.xlsx")
    return package.edited(compute(package).edits)
