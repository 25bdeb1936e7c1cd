"""What several families say in the same words: a figure with its unit, a swapped pair, too deep a vacuum."""

from math import isclose

from xlcalc.core.errors import OutOfRange
from xlcalc.core.steps import listening, step
from xlcalc.core.units import unit
from xlcalc.core.words import digits, short
from xlcalc.functions.air import pressure_at


def said(value: float, unit_text: str) -> str:
    """An SI value as a message prints it: four significant digits in a workshop unit, e.g. `78.5 kPa`."""
    wanted = unit(unit_text)
    return f"{short(wanted.from_si(value))} {wanted.printed}".strip()


def told_apart(given: float, limit: float, unit_text: str) -> tuple[str, str]:
    """Two SI values in a workshop unit, to four significant digits or as many as show their difference."""
    wanted = unit(unit_text)
    ends = [wanted.from_si(value) for value in (given, limit)]
    for places in range(4, 15):
        first, second = (f"{float(f'{end:.{places}g}'):.9f}".rstrip("0").rstrip(".") for end in ends)
        if first != second:
            break
    return first, second


def refuse_swapped(upper: str, upper_value: float, lower: str, lower_value: float, unit_text: str) -> None:
    """Raise OutOfRange where what must be the higher is below the lower: `hot 60 °C is below cold 85 °C`."""
    if upper_value < lower_value:
        first, second = told_apart(upper_value, lower_value, unit_text)
        printed = unit(unit_text).printed
        raise OutOfRange(f"{upper} {first} {printed} is below {lower} {second} {printed}: swapped?")


def air_pressure(altitude: float) -> float:
    """Absolute air pressure in Pa at an altitude in m, told as a step."""
    pressure = pressure_at(altitude)
    if listening():
        step(f"Air pressure at {digits(altitude)} m: {said(pressure, 'kPa')} absolute")
    return pressure


def refuse_too_deep(what: str, vacuum: float, altitude: float) -> None:
    """Raise OutOfRange where a vacuum (Pa below atmosphere) is deeper than the air pressure allows.

    The whole air pressure said in another unit still counts as the whole.
    """
    pressure = pressure_at(altitude)
    if vacuum > pressure and not isclose(vacuum, pressure, rel_tol=1e-12):
        first, second = told_apart(vacuum, pressure, "kPa")
        raise OutOfRange(
            f"{what} {first} kPa below atmosphere is more than the air pressure itself, {second} kPa at "
            f"{digits(altitude)} m: check the gauge, the unit and the altitude"
        )
