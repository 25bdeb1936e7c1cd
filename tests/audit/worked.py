"""A book held in the engine, worked out, that is asked what a change of some cells would make of all others."""

from collections.abc import Collection, Iterator, Mapping

from xlcalc.core.errors import FileError
from xlcalc.workbook.calculation.engine import Engine, has_function
from xlcalc.workbook.calculation.exchange import Unspeakable
from xlcalc.workbook.calculation.facts import Reader
from xlcalc.workbook.calculation.prepare import Plan, prepare
from xlcalc.workbook.calculation.recalc import compute, worksheet_functions
from xlcalc.workbook.calculation.settle import settle
from xlcalc.workbook.calculation.structured import Tables
from xlcalc.workbook.calculation.written import Place
from xlcalc.workbook.file.package import Package
from xlcalc.workbook.file.values import Value, same

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
        self._engine = Engine(self._plan.book(), ours, date1904=package.date1904)
        self._plan.parts.clear()
        self._engine.evaluate()
        settle(self._engine, self._plan, package.shared_strings)
        self._names, self._tables = package.defined_names(), Tables(package.tables())
        self._ours = ours
        self._one: set[Place] = set()
        self._several = [
            (sheet.sheet.name, *sheet.places[index])
            for sheet in self._plan.sheets
            for index, facts in enumerate(sheet.facts)
            if facts.several and index not in sheet.areas
        ]
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
        self._one.clear()
        formulas = {}
        for place, new in changed.items():
            if isinstance(new, Given):
                self._engine.set_value(*place, new[0])
            else:
                reader = Reader(place[0], self._ours, has_function, self._names, self._tables)
                facts = reader.facts(new, *place[1:], plain=True)
                formulas[place] = facts.for_engine(new, place[1])
                try:
                    self._engine.set_formula(*place, formulas[place])
                except FileError:  # it looks at itself: a spreadsheet shows 0 there
                    del formulas[place]
                    self._engine.set_value(*place, 0.0)
        self._engine.evaluate()
        while self._narrowed(formulas):
            self._engine.evaluate()
        typed = {place for place, new in changed.items() if isinstance(new, Given)}
        return {
            place: value
            for place, value in self._all(set(changed) - typed)
            if place not in typed and not same(self.answers.get(place), value)
        }

    def _narrowed(self, formulas: dict[Place, str]) -> bool:
        """Give one value to every formula that began to spread over its neighbours; False when none did."""
        moved = (place for place in self._several if self._answer(place) != self.answers[place])
        spread = [place for place in {*formulas, *moved} if place not in self._one and self._engine.spills(*place)]
        for place in spread:
            self._undo.setdefault(place, self._clean(place))
            formula = formulas.get(place) or self._engine.formula(*place)
            self._engine.set_formula(*place, f"@({formula})")
        self._one.update(spread)
        return bool(spread)

    def _answer(self, place: Place) -> Value:
        value = self._engine.value(*place)
        return "" if value is None or isinstance(value, Unspeakable) else value

    def _clean(self, place: Place) -> tuple[str, Value | Unspeakable]:
        """Formula and value of a cell as the engine has them in the clean book."""
        if place not in self._known:
            self._known[place] = self._engine.formula(*place), self._engine.value(*place)
        return self._known[place]

    def _all(self, further: Collection[Place] = ()) -> Iterator[tuple[Place, Value]]:
        answer = self._answer
        for sheet in self._plan.sheets:
            name = sheet.sheet.name
            for row, column in sheet.places:
                yield (name, row, column), answer((name, row, column))
        for place in further:
            yield place, answer(place)


def worked_out(data: bytes) -> bytes:
    """The book with every cached value as its formulas give it."""
    package = Package.from_bytes(data, "book.xlsx")
    return package.edited(compute(package).edits)
