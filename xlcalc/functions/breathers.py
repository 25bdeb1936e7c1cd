"""Breathers and tanks: room for what grows, air that goes in and out, catch tanks and their drains."""

from dataclasses import replace
from math import pi, sqrt

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import NoAnswer
from xlcalc.core.quantities import Percent
from xlcalc.core.solve import root
from xlcalc.core.steps import listening, step
from xlcalc.core.words import short
from xlcalc.functions.air import SEA_LEVEL_PRESSURE
from xlcalc.functions.air_line import FREE_AIR, FreeAir, air_line
from xlcalc.functions.arguments import (
    ALTITUDE,
    BORE,
    FITTINGS,
    FLOW,
    FLUID,
    LENGTH,
    NOT_GAS,
    TEMPERATURE,
    VELOCITY,
    VOLUME,
)
from xlcalc.functions.figures import Figure
from xlcalc.functions.fittings import Fittings
from xlcalc.functions.fluid import FUELS, WATERS, Fluid, celsius, tell, tell_no_growth
from xlcalc.functions.friction import DARCY, FRICTION, GRAVITY, Friction, bore_that_loses, pressure_drop
from xlcalc.functions.wording import air_pressure, refuse_swapped, said

FUEL_CAUTION = (
    "Fuel that spills or vents near heat, sparks or people can kill: lead the vent high, outside and away from both."
)
BREATHER_CAUTION = "A blocked or too narrow breather pushes oil past the seals: keep it clear of water, oil and ice."
PRACTICE_CAUTION = "Common practice, no source: what was measured on this engine goes first."
AIR_FLOW = replace(FLOW, label="Flow of air", help="free air at 20 °C and the pressure of the place")
FILL_TEMPERATURE = replace(TEMPERATURE, label="Fill temperature")
HOTTEST = replace(TEMPERATURE, label="Hottest temperature")
AIR_VOLUME = replace(VOLUME, label="Air volume", help="space above the liquid at the first temperature")
LIQUID_VOLUME = replace(VOLUME, label="Liquid volume", help="at the first temperature")


def _growth_ratio(fluid: Fluid, first: float, later: float) -> float:
    """Volume at a later temperature for each volume at the first one, told as a step."""
    ratio = fluid.density(first) / fluid.density(later)
    if listening():
        step(f"A litre of {fluid.name} at {celsius(first)} is {ratio:.5g} L at {celsius(later)}")
        tell_no_growth(fluid)
    return ratio


@worksheet_function(
    "FILL_LIMIT",
    args={"tank_volume": replace(VOLUME, label="Tank volume", help="brimful"), "fluid": FLUID,
          "fill_temperature": FILL_TEMPERATURE, "hottest_temperature": HOTTEST},
    answer=Answer("Fill at most", "L"),
    sources=("D1250", "CFR49-393-67"),
    example=example(40, "petrol", 5, 60, shows="37.33"),
    cautions=(FUEL_CAUTION,),
    not_with=NOT_GAS,
)  # fmt: skip
def fill_limit(
    tank_volume: float,
    fluid: Fluid,
    fill_temperature: float,
    hottest_temperature: float,
    *,
    full_share: Figure = Figure("fill-share", "limits"),  # noqa: B008  (frozen: names a row of a table)
) -> float:
    """Most liquid to fill into a tank so that it neither passes 95 % as filled nor the brim when hot.

    Method: the smaller of 0.95 x tank and tank x density when hot / density as filled.
    No answer: #NUM! where the two temperatures are swapped.
    Not for: a closed tank without a vent, or vapour space that a rule asks for on top.
    """
    refuse_swapped("hottest", hottest_temperature, "fill temperature", fill_temperature, "degC")
    share = 1.0 / _growth_ratio(fluid, fill_temperature, hottest_temperature)
    full_share.tell()
    if listening():
        governs = "95 % full as filled" if share >= full_share.value else "brimful when hot"
        step(f"Brimful when hot is {100.0 * share:.4g} % as filled; the limit is {governs}")
    return tank_volume * min(full_share.value, share)


@worksheet_function(
    "TANK_FOR_EXPANSION",
    args={"system_volume": replace(VOLUME, label="System volume", help="liquid as filled"), "fluid": FLUID,
          "fill_temperature": FILL_TEMPERATURE, "hottest_temperature": HOTTEST,
          "spare": Arg("Spare", "%", 0, 300, "PRACTICE", default=30, help="room on top of the growth")},
    answer=Answer("Expansion tank", "L"),
    sources=("D1250", "COOLPROP", "PRACTICE"),
    example=example(10, "coolant 50/50", 20, 100, 0, shows="0.49"),
    cautions=("Hot coolant under pressure flashes when the cap is opened: the cap's rating decides, not the tank.",),
    not_with=NOT_GAS,
)  # fmt: skip
def tank_for_expansion(
    system_volume: float, fluid: Fluid, fill_temperature: float, hottest_temperature: float, spare: float
) -> float:
    """Tank that takes what the liquid of a system grows, with spare room.

    Method: volume x (density as filled / density when hot - 1) x (1 + spare); 0 where it shrinks, as water to 4 degC.
    No answer: #NUM! where the two temperatures are swapped.
    Not for: boiling, or the air cushion and lowest level that a closed coolant tank needs as well.
    """
    refuse_swapped("hottest", hottest_temperature, "fill temperature", fill_temperature, "degC")
    growth = max(0.0, system_volume * (_growth_ratio(fluid, fill_temperature, hottest_temperature) - 1.0))
    if listening():
        step(f"Growth {said(growth, 'L')}, {100.0 * spare:.4g} % of it on top")
    return growth * (1.0 + spare)


@worksheet_function(
    "AIR_DRAWN_IN",
    args={"air_volume": AIR_VOLUME, "liquid_volume": LIQUID_VOLUME, "fluid": FLUID,
          "hot_temperature": replace(TEMPERATURE, label="Hot temperature"),
          "cold_temperature": replace(TEMPERATURE, label="Cold temperature", help="after the cooling")},
    answer=Answer("Air drawn in", "mL"),
    sources=("IDEALGAS", "D1250"),
    example=example(1.8, 2.2, "gear oil 75W-90", 95, 5, shows="584"),
    cautions=("A hot axle that meets water draws in this much of what stands at the end of its breather.",),
    not_with=dict.fromkeys(FUELS, "the vapour of a fuel condenses as well"),
)  # fmt: skip
def air_drawn_in(
    air_volume: float, liquid_volume: float, fluid: Fluid, hot_temperature: float, cold_temperature: float
) -> float:
    """Air, or water, that a housing draws in through its breather while it cools.

    Method: air volume x (1 - T cold / T hot), ideal gas at constant pressure, and the shrinking of the liquid;
    litres are litres when hot, the answer is at the cold temperature.
    No answer: #NUM! where the two temperatures are swapped.
    Not for: fuel, whose vapour condenses as well.
    """
    refuse_swapped("hot", hot_temperature, "cold", cold_temperature, "degC")
    of_air = air_volume * (1.0 - cold_temperature / hot_temperature)
    of_liquid = liquid_volume * (1.0 - _growth_ratio(fluid, hot_temperature, cold_temperature))
    if listening():
        step(f"The air shrinks by {said(of_air, 'mL')}, the liquid by {said(of_liquid, 'mL')}")
    return of_air + of_liquid


@worksheet_function(
    "BREATHER_PRESSURE",
    args={"flow": AIR_FLOW, "bore": BORE, "length": LENGTH, "fittings": FITTINGS, "altitude": ALTITUDE},
    answer=Answer("Pressure behind the breather", "kPa"),
    sources=(*DARCY, "USSA76", "IDEALGAS"),
    example=example(67.5, 15.9, 1.2, 0, 2100, shows="0.04"),
    cautions=(BREATHER_CAUTION, FUEL_CAUTION),
)
def breather_pressure(
    flow: float,
    bore: float,
    length: float,
    fittings: Fittings,
    altitude: float,
    *,
    free_air: FreeAir = FREE_AIR,
    friction: Friction = FRICTION,
) -> float:
    """Pressure that builds up in a case or tank while air leaves through its breather line.

    Method: Darcy-Weisbach for free air at 20 degC and the air pressure of the place, whose density holds along
    the line; smooth wall, K by three-K.
    No answer: #NUM! where the air would be faster than sound, or lose more than the air pressure.
    Not for: a filter or valve on the line, whose own loss comes on top, or liquid in a low loop.
    """
    line = air_line(air_pressure(altitude), free_air, friction)
    line.refuse_faster_than_sound(flow, bore)
    drop = line.drop(flow, bore, length, fittings)
    line.tell(flow, bore, drop)
    line.refuse_more_than_air(drop)
    return drop


@worksheet_function(
    "BREATHER_BORE",
    args={"flow": AIR_FLOW, "length": LENGTH,
          "allowed_pressure": Arg("Pressure allowed", "kPa", 0.001, 50, help="above the atmosphere, in the case"),
          "fittings": FITTINGS, "altitude": ALTITUDE},
    answer=Answer("Smallest inside diameter", "mm"),
    sources=(*DARCY, "USSA76", "IDEALGAS"),
    example=example(67.5, 1.2, 1, shows="8.5"),
    cautions=(BREATHER_CAUTION, FUEL_CAUTION),
)  # fmt: skip
def breather_bore(
    flow: float,
    length: float,
    allowed_pressure: float,
    fittings: Fittings,
    altitude: float,
    *,
    free_air: FreeAir = FREE_AIR,
    friction: Friction = FRICTION,
) -> float:
    """Smallest bore of a breather line that keeps the pressure in the case at or under a limit.

    Method: the relation of BREATHER_PRESSURE solved for the bore; 0 where nothing flows or nothing holds it back.
    No answer: #NUM! where no bore up to 10 m keeps the limit, or the air would be faster than sound.
    Not for: a line that dirt, oil or ice may narrow: go a size up.
    """
    line = air_line(air_pressure(altitude), free_air, friction)
    if flow == 0.0 or (length == 0.0 and fittings.loss(1.0, 0.01) == 0.0):
        return 0.0

    bore = bore_that_loses(lambda bore: line.drop(flow, bore, length, fittings), allowed_pressure)
    line.refuse_faster_than_sound(flow, bore)
    line.tell(flow, bore, allowed_pressure)
    return bore


@worksheet_function(
    "BLOWBY_FLOW",
    args={"displacement": Arg("Displacement", "L", 0, 50, help="of the whole engine"),
          "speed": Arg("Engine speed", "rev/min", 0, 20000, help="the highest"),
          "share": Arg("Share that blows by", Percent(0, 20, "PRACTICE", small=True), default=1),
          "boost": Arg("Boost", "kPa", 0, 500, default=0, help="above the atmosphere")},
    answer=Answer("Blow-by", "L/min"),
    sources=("PRACTICE",),
    example=example(3, 4500, shows="67.5"),
    cautions=(PRACTICE_CAUTION,),
)  # fmt: skip
def blowby_flow(displacement: float, speed: float, share: float, boost: float) -> float:
    """Gas that passes the pistons of a four-stroke engine into its crankcase.

    Method: share x displacement x speed / 2 x (1 + boost / 101.325 kPa).
    Not for: two-strokes, rotary engines or worn rings: measure those.
    """
    drawn = displacement * speed / 2.0 * (1.0 + boost / SEA_LEVEL_PRESSURE)
    if listening():
        step(f"The engine draws {said(drawn, 'L/min')}")
    return share * drawn


@worksheet_function(
    "CATCH_TANK_VOLUME",
    args={"carry_over": Arg("Oil carried over", "mL/h", 0, 10000),
          "hours": Arg("Hours between emptyings", "h", 0, 1000),
          "spare": Arg("Spare", "%", 0, 300, "PRACTICE", default=50, help="room on top"),
          "least": Arg("Least volume", "L", 0, 50, "PRACTICE", default=2, help="whatever the sum says")},
    answer=Answer("Catch tank", "L"),
    sources=("FIA-J", "PRACTICE"),
    example=example(400, 8, shows="4.8"),
    cautions=("The least of 2 L is a racing rule for engines up to 2 L, 3 L above: local rules decide.",),
)  # fmt: skip
def catch_tank_volume(carry_over: float, hours: float, spare: float, least: float) -> float:
    """Catch tank that holds what a breather carries over until it is emptied.

    Method: the larger of rate x hours x (1 + spare) and the least volume.
    Not for: a tank that drains back while driving, or oil thrown out in one surge.
    """
    caught = carry_over * hours
    if listening():
        step(f"Carried over {said(caught, 'mL')}, with spare {said(caught * (1.0 + spare), 'mL')}")
    return max(caught * (1.0 + spare), least)


@worksheet_function(
    "DRAIN_HEIGHT",
    args={"case_pressure": Arg("Case pressure", "kPa", 0, 100, help="above the atmosphere"), "fluid": FLUID,
          "temperature": TEMPERATURE},
    answer=Answer("Least height over the port", "mm"),
    sources=("HYDROSTATIC", "D1250"),
    example=example(1, "engine oil 10W-40", 100, shows="125"),
    not_with={"air": "air does not drain"},
)  # fmt: skip
def drain_height(case_pressure: float, fluid: Fluid, temperature: float) -> float:
    """Height of a catch tank over its return port at which the oil just drains against the case pressure.

    Method: case pressure / (density x 9.80665 m/s2).
    Not for: a drain that must also flow: add the height for that (DRAIN_TIME).
    """
    density = fluid.density(temperature)
    if listening():
        step(f"Density at {celsius(temperature)}: {density:.5g} kg/m³")
    return case_pressure / (density * GRAVITY)


@worksheet_function(
    "DRAIN_TIME",
    args={"volume": VOLUME, "height": Arg("Height", "mm", 0, 10000, help="head that drives the flow"), "bore": BORE,
          "length": LENGTH, "fluid": FLUID, "temperature": TEMPERATURE},
    answer=Answer("Time to drain", "s"),
    sources=(*DARCY, "HYDROSTATIC"),
    example=example(4, 750, 5, 0, "750 kg/m3; 0.5 mm2/s", 20, shows="53.1", source="CENGEL"),
    not_with={"air": "air does not drain"},
)  # fmt: skip
def drain_time(
    volume: float,
    height: float,
    bore: float,
    length: float,
    fluid: Fluid,
    temperature: float,
    *,
    friction: Friction = FRICTION,
) -> float:
    """Time in which a volume drains through a line under a head that is held constant.

    Method: volume over the flow at which density x g x height = friction of the smooth line and one velocity
    head lost at the exit.
    No answer: #NUM! under a head of 0.
    Not for: a head that falls while it drains (a tank as deep as its height takes up to twice as long), case
    pressure against it, or a drain that gulps air.
    """
    if height == 0.0:
        raise NoAnswer("a head of 0 mm drives nothing: set the tank over its port")
    density, viscosity = fluid.density(temperature), fluid.viscosity(temperature)
    tell(fluid, temperature)
    head, exit_loss = density * GRAVITY * height, Fittings(ki=1.0, said="exit")
    frictionless = pi / 4.0 * bore * bore * sqrt(2.0 * GRAVITY * height)

    def over(flow: float) -> float:
        return pressure_drop(flow, bore, length, density, viscosity, exit_loss, 0.0, friction) - head

    flow = root(over, 0.0, frictionless * (1.0 + 1e-9), "nothing flows through this line: check bore and length")
    if listening():
        step(f"Flow {said(flow, 'L/min')}, Reynolds number {short(4.0 * flow / (pi * bore * viscosity))}")
    return volume / flow


@worksheet_function(
    "FILTER_AREA",
    args={"flow": AIR_FLOW, "face_velocity": replace(VELOCITY, label="Face velocity", help="through the open filter")},
    answer=Answer("Filter area", "cm2"),
    sources=("CONTINUITY",),
    example=example(67.5, 0.5, shows="22.5"),
    cautions=(BREATHER_CAUTION,),
)
def filter_area(flow: float, face_velocity: float) -> float:
    """Open area of a breather filter that keeps the air slow enough to drop its oil.

    Method: flow / face velocity.
    Not for: a filter soaked with oil or splashed: shield it and clean it at every oil change.
    """
    return flow / face_velocity


@worksheet_function(
    "BLOCKED_VENT_PRESSURE",
    args={"air_volume": AIR_VOLUME, "liquid_volume": LIQUID_VOLUME, "fluid": FLUID,
          "fill_temperature": FILL_TEMPERATURE, "hottest_temperature": HOTTEST},
    answer=Answer("Pressure if the vent blocks", "kPa"),
    sources=("IDEALGAS", "D1250"),
    example=example(1.8, 2.2, "gear oil 75W-90", 10, 95, shows="42"),
    cautions=("Far less than this opens seals and bulges tanks: the vent must not block.", FUEL_CAUTION),
    not_with=dict.fromkeys((*FUELS, *WATERS), "its vapour adds its own pressure: the answer is too low"),
)  # fmt: skip
def blocked_vent_pressure(
    air_volume: float, liquid_volume: float, fluid: Fluid, fill_temperature: float, hottest_temperature: float
) -> float:
    """Pressure that would build up in a closed housing while it warms: why the vent must not block.

    Method: ideal gas from 101.325 kPa, in the air volume less the growth of the liquid, walls rigid.
    No answer: #NUM! where the two temperatures are swapped, or the liquid grows by more than the air space.
    Not for: fuel or coolant, whose vapour adds its own pressure, so the answer is too low there.
    """
    refuse_swapped("hottest", hottest_temperature, "fill temperature", fill_temperature, "degC")
    growth = liquid_volume * (_growth_ratio(fluid, fill_temperature, hottest_temperature) - 1.0)
    if air_volume == liquid_volume == 0.0:
        raise NoAnswer("without air and liquid there is no pressure: give both volumes of the housing")
    if growth >= air_volume:
        raise NoAnswer(
            f"the liquid grows by {said(growth, 'L')}, the air space is {said(air_volume, 'L')}: nothing is left "
            "for the air and the housing would burst, leave more air space"
        )
    if listening():
        step(f"Air space {said(air_volume, 'L')}, growth of the liquid {said(growth, 'L')}")
    squeezed = hottest_temperature / fill_temperature * air_volume / (air_volume - growth)
    return SEA_LEVEL_PRESSURE * (squeezed - 1.0)
