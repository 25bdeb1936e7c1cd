"""Free air through a line: what breathers and vacuum legs share. The density of free air holds along the line."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import Self

from xlcalc.core.errors import NoAnswer
from xlcalc.core.steps import listening, step
from xlcalc.core.words import digits, short
from xlcalc.functions import air
from xlcalc.functions.fittings import Fittings
from xlcalc.functions.friction import Friction, pressure_drop
from xlcalc.functions.wording import said

AIR_TEMPERATURE = "temperature of the free air"
AIR_TEMPERATURE_DOUBT = 20.0  # K, common practice: air in a workshop or under a bonnet is 0 to 40 degC
HEAT_RATIO = 1.4  # of air, for the speed of sound; textbook figure, US Standard Atmosphere 1976
THINS_FROM = 0.1  # share of the air pressure above which air thins noticeably along a line; common practice


@dataclass(frozen=True, slots=True)
class FreeAir:
    """Free air at 20 degC (`temperature` in K): the assumption behind every flow of air that is given in L/min."""

    temperature: float = air.FREE_AIR_TEMPERATURE

    @property
    def doubts(self) -> Sequence[str]:
        """The temperature that is assumed."""
        return (AIR_TEMPERATURE,)

    def lean(self, doubt: str, side: int) -> Self:
        """Warmer (+1) or colder (-1) air."""
        warmer = side * AIR_TEMPERATURE_DOUBT if doubt == AIR_TEMPERATURE else 0.0
        return replace(self, temperature=self.temperature + warmer)


FREE_AIR = FreeAir()


@dataclass(frozen=True, slots=True)
class AirLine:
    """Air at rest outside a line: absolute pressure in Pa, density in kg/m3, kinematic viscosity in m2/s, the speed of
    sound in m/s, friction rule.

    >>> line = air_line(air.SEA_LEVEL_PRESSURE, FREE_AIR, Friction())
    >>> round(line.density, 3), round(line.sound), round(line.drop(1e-3, 0.0159, 1.2, Fittings()))
    (1.204, 343, 42)
    """

    pressure: float
    density: float
    viscosity: float
    sound: float
    friction: Friction

    def drop(self, flow: float, bore: float, length: float, fittings: Fittings) -> float:
        """Loss in Pa for a flow of free air in m3/s through a bore and length in m, smooth wall."""
        return pressure_drop(flow, bore, length, self.density, self.viscosity, fittings, friction=self.friction)

    def narrowest(self, flow: float) -> float:
        """Bore in m in which the flow would be as fast as sound."""
        return sqrt(4.0 * flow / (pi * self.sound))

    def refuse_faster_than_sound(self, flow: float, bore: float) -> None:
        """Raise NoAnswer where a flow (m3/s) cannot pass a bore (m) at all."""
        if flow and bore <= self.narrowest(flow):
            velocity = 4.0 * flow / (pi * bore * bore)
            raise NoAnswer(
                f"{said(flow, 'L/min')} through {said(bore, 'mm')} would be {digits(round(velocity))} m/s, faster than "
                f"sound ({digits(round(self.sound))} m/s): a bore well over {said(self.narrowest(flow), 'mm')} "
                "is needed"
            )

    def refuse_more_than_air(self, drop: float) -> None:
        """Raise NoAnswer where the loss (Pa) is more than the air pressure itself."""
        if drop > self.pressure:
            raise NoAnswer(
                f"the line would need {said(drop, 'kPa')}, more than the air pressure of {said(self.pressure, 'kPa')}: "
                "no breather works so, take a larger bore"
            )

    def tell(self, flow: float, bore: float, drop: float) -> None:
        """Say how the air flows (ANSWER_STEPS): flow in m3/s, bore in m, loss in Pa."""
        if listening() and flow:
            velocity = 4.0 * flow / (pi * bore * bore)
            step(f"Air velocity {velocity:.4g} m/s, Reynolds number {short(velocity * bore / self.viscosity)}")
            if drop > THINS_FROM * self.pressure:
                share = 100.0 * drop / self.pressure
                step(f"The loss is {share:.0f} % of the air pressure: air thins along the line, so this is an estimate")


def air_line(pressure: float, free_air: FreeAir, friction: Friction) -> AirLine:
    """Free air at an absolute pressure in Pa. Sources: ideal gas, US Standard Atmosphere 1976."""
    temperature = free_air.temperature
    density = air.density(temperature, pressure)
    if listening():
        step(f"Free air at {said(temperature, 'degC')}, {said(pressure, 'kPa')} absolute: {density:.4g} kg/m³")
    return AirLine(
        pressure,
        density,
        air.dynamic_viscosity(temperature) / density,
        sqrt(HEAT_RATIO * air.GAS_CONSTANT * temperature),
        friction,
    )
