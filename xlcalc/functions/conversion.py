"""Any quantity as a plain number in a unit, for columns that are summed."""

from typing import Any

from xlcalc.core.cells import number
from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import WrongKind
from xlcalc.core.quantities import COLDEST_KELVIN, Quantity
from xlcalc.core.unit_names import AnyUnit
from xlcalc.core.units import Unit, quantity
from xlcalc.core.words import digits

_MIX = ({"", "gauge"}, {"temperature", "kelvin"}, {"kelvin", "difference"}, {"", "vacuum"})  # units that convert


class AnyQuantity(Quantity):
    """Number and unit of any quantity; without a unit it is already in the unit asked for."""

    def __init__(self) -> None:
        super().__init__("1", -1e15, 1e15)

    def read(self, cell: object) -> Any:
        if isinstance(cell, str):
            return quantity(cell)
        return number(cell), None

    def allows(self) -> str:
        return "a number, or text with a unit such as 6 US gpm"

    def show(self, value: Any) -> str:
        return f"{digits(value[0])} {value[1].printed if value[1] else ''}".strip()

    def span(self) -> None:
        return None

    def good(self) -> list[object]:
        return [6, "6", "6,5"]

    def bad(self) -> list[tuple[object, str]]:
        return [("6 US gpm extra", "#VALUE!"), ("abc", "#VALUE!"), (True, "#VALUE!"), ("6 gpm", "#VALUE!")]


@worksheet_function(
    "QUANTITY_IN",
    args={"quantity": Arg("Quantity", AnyQuantity()), "unit": Arg("Unit wanted", AnyUnit())},
    answer=Answer("Number in that unit"),
    sources=("CONVERSION",),
    example=example("3/8 in", "mm", shows="9.525"),
)
def quantity_in(quantity: tuple[float, Unit | None], unit: Unit) -> float:
    """A quantity as a plain number in a unit: a bare number is already in it.

    Method: number x size of the unit given / size of the unit wanted.
    No answer: #VALUE! where the unit given and the one wanted are not of one kind.
    Not for: turning gauge into absolute pressure, or a difference of temperatures into a temperature.
    """
    value, given = quantity
    if given is None:
        return value
    fits = given.dimension == unit.dimension and (
        given.flavour == unit.flavour or {given.flavour, unit.flavour} in _MIX
    )
    if not fits or (given.flavour == "kelvin" and unit.flavour == "temperature" and value < COLDEST_KELVIN):
        raise WrongKind(f"{digits(value)} {given.printed} cannot be said in {unit.printed or 'a bare number'}")
    return unit.from_si(given.to_si(value))
