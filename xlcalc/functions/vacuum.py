"""Vacuum for a brake servo: what a reservoir holds, how fast it comes back, how two feeds share."""

from dataclasses import replace
from math import floor, inf, log, pi

from xlcalc.core.declare import Answer, Arg, example, worksheet_function
from xlcalc.core.errors import NoAnswer
from xlcalc.core.quantities import Count
from xlcalc.core.solve import root
from xlcalc.core.steps import listening, step
from xlcalc.core.words import digits
from xlcalc.functions.air import SEA_LEVEL_PRESSURE
from xlcalc.functions.air_line import FREE_AIR, AirLine, FreeAir, air_line
from xlcalc.functions.arguments import ALTITUDE, BORE, FITTINGS, FLOW, LENGTH, VOLUME
from xlcalc.functions.fittings import NO_FITTINGS, Fittings
from xlcalc.functions.friction import DARCY, FRICTION, Friction, bore_that_loses
from xlcalc.functions.wording import air_pressure, refuse_swapped, refuse_too_deep, said, told_apart

DEEPEST = 106.3  # kPa, a little over the air pressure at the lowest altitude that is allowed, -400 m
SERVO_CAUTION = (
    "Brakes without vacuum need many times the pedal force: prove it on the car by counting full stops with the "
    "engine off. Hydraulic brake lines are out of scope; licensed practice decides."
)
LEAST_CAUTION = (
    "The least vacuum of 27.1 kPa and the 70 % kept after one stroke are truck rules for vacuum brakes: an "
    "engineering default here."
)
TEE_CAUTION = "Two plenums joined without a non-return valve in each leg disturb each other: fit both valves."
MOST_STOPS = 1000
A_HAIR = 1e-9  # a sum of whole strokes that misses a whole number by rounding only still counts as whole


def _vacuum(label: str, words: str = "") -> Arg:
    return Arg(label, "kPa vac", 0, DEEPEST, "USSA76", help=words)


AIR_FLOW = replace(FLOW, label="Flow of air", help="free air, at 20 °C")
START = _vacuum("Start vacuum", "below the atmosphere")
LEAST = _vacuum("Least vacuum", "below the atmosphere, what must be left")
STOPS = Arg("Stops", Count(0, MOST_STOPS), help="full strokes of the pedal without the engine")
STROKE = Arg("Stroke volume", "L", 0, 50, help="swept by the diaphragms, SERVO_STROKE_VOLUME")
SERVO = Arg("Servo volume", "L", 0, 100, help="of the servo's vacuum side at rest")
RESERVOIR = Arg("Reservoir volume", "L", 0, 200, help="behind the non-return valve")


def _refuse_free_legs(length_1: float, fittings_1: Fittings, length_2: float, fittings_2: Fittings) -> None:
    """Raise NoAnswer where neither leg loses anything."""
    if not (length_1 or length_2 or fittings_1.loss(1.0, 0.01) or fittings_2.loss(1.0, 0.01)):
        raise NoAnswer("neither leg has a length or fittings, so nothing says how they share: give the lengths")


def _tell_leg(line: AirLine, leg: str, flow: float, bore: float, length: float, fittings: Fittings) -> None:
    line.refuse_faster_than_sound(flow, bore)
    drop = line.drop(flow, bore, length, fittings)
    if listening():
        step(f"Leg {leg}: {said(flow, 'L/min')}, loss {said(drop, 'kPa')}")
    line.tell(flow, bore, drop)


def _lost_by_a_stroke(stroke_volume: float, servo_volume: float, reservoir_volume: float, altitude: float) -> float:
    """Vacuum in Pa that one full stroke takes from servo and reservoir. Raises NoAnswer without any volume."""
    volume = servo_volume + reservoir_volume
    if volume == 0.0:
        raise NoAnswer("servo and reservoir are both 0 L: give at least the servo's own volume")
    lost = air_pressure(altitude) * stroke_volume / volume
    if listening():
        step(f"Servo and reservoir hold {said(volume, 'L')}; each full stroke takes {said(lost, 'kPa')}")
        if stroke_volume > servo_volume:
            step("The stroke sweeps more than the servo is said to hold: check both volumes")
    return lost


@worksheet_function(
    "VACUUM_TEE_BALANCE",
    args={"flow": AIR_FLOW, "bore_1": replace(BORE, label="Bore of leg 1"),
          "length_1": replace(LENGTH, label="Length of leg 1"), "bore_2": replace(BORE, label="Bore of leg 2"),
          "length_2": replace(LENGTH, label="Length of leg 2"),
          "fittings_1": replace(FITTINGS, label="Fittings of leg 1"),
          "fittings_2": replace(FITTINGS, label="Fittings of leg 2")},
    answer=Answer("Leg 1 carries", "%"),
    sources=(*DARCY, "IDEALGAS"),
    example=example(60, 7.9, 0.45, 7.9, 0.9, shows="60"),
    cautions=(TEE_CAUTION, SERVO_CAUTION),
)  # fmt: skip
def vacuum_tee_balance(
    flow: float,
    bore_1: float,
    length_1: float,
    bore_2: float,
    length_2: float,
    fittings_1: Fittings,
    fittings_2: Fittings,
    *,
    free_air: FreeAir = FREE_AIR,
    friction: Friction = FRICTION,
) -> float:
    """Share of a flow of air that the first of two legs carries between two equal plenums and a tee.

    Method: equal loss in both legs, Darcy-Weisbach for free air at 20 degC and 101.325 kPa, smooth wall.
    No answer: #NUM! without flow, without length and fittings in both legs, or faster than sound.
    Not for: plenums at different pressures, pulses, or legs whose loss is large against the air pressure.
    """
    if flow == 0.0:
        raise NoAnswer("with a flow of 0 there is nothing to share: give the flow that the servo draws")
    _refuse_free_legs(length_1, fittings_1, length_2, fittings_2)
    line = air_line(SEA_LEVEL_PRESSURE, free_air, friction)

    def more_in_leg_1(share: float) -> float:
        first = line.drop(flow * share, bore_1, length_1, fittings_1)
        return first - line.drop(flow * (1.0 - share), bore_2, length_2, fittings_2)

    share = root(more_in_leg_1, 0.0, 1.0, "no share gives both legs the same loss: check bores and lengths")
    _tell_leg(line, "1", flow * share, bore_1, length_1, fittings_1)
    _tell_leg(line, "2", flow * (1.0 - share), bore_2, length_2, fittings_2)
    return share


@worksheet_function(
    "VACUUM_LEG_BORE",
    args={"flow": AIR_FLOW, "bore_1": replace(BORE, label="Bore of leg 1"),
          "length_1": replace(LENGTH, label="Length of leg 1"), "length_2": replace(LENGTH, label="Length of leg 2")},
    answer=Answer("Bore of leg 2 for equal shares", "mm"),
    sources=(*DARCY, "IDEALGAS"),
    example=example(60, 7.9, 0.45, 0.9, shows="9.2"),
    cautions=(TEE_CAUTION, SERVO_CAUTION),
)  # fmt: skip
def vacuum_leg_bore(
    flow: float,
    bore_1: float,
    length_1: float,
    length_2: float,
    *,
    free_air: FreeAir = FREE_AIR,
    friction: Friction = FRICTION,
) -> float:
    """Bore that gives the second leg of a tee the same share of the flow as the first.

    Method: half the flow in each leg, equal loss, solved for the second bore; free air at 20 degC, 101.325 kPa.
    No answer: #NUM! without flow, with one leg of 0 m, faster than sound, or where no bore up to 10 m balances them.
    Not for: legs with fittings: check the pair with VACUUM_TEE_BALANCE.
    """
    if length_1 == length_2:
        return float(bore_1)
    if flow == 0.0:
        raise NoAnswer("with a flow of 0 there is nothing to share: give the flow that the servo draws")
    if length_1 == 0.0 or length_2 == 0.0:
        raise NoAnswer("a leg of 0 m loses nothing, so no bore can balance it: give its real length")
    line = air_line(SEA_LEVEL_PRESSURE, free_air, friction)
    line.refuse_faster_than_sound(flow / 2.0, bore_1)
    wanted = line.drop(flow / 2.0, bore_1, length_1, NO_FITTINGS)
    if listening():
        step(f"Leg 1 loses {said(wanted, 'kPa')} at half the flow")

    bore = bore_that_loses(lambda bore: line.drop(flow / 2.0, bore, length_2, NO_FITTINGS), wanted)
    line.refuse_faster_than_sound(flow / 2.0, bore)
    line.tell(flow / 2.0, bore, wanted)
    return bore


@worksheet_function(
    "VACUUM_AFTER_STOPS",
    args={"start_vacuum": START, "stops": STOPS, "stroke_volume": STROKE, "servo_volume": SERVO,
          "reservoir_volume": RESERVOIR, "altitude": ALTITUDE},
    answer=Answer("Vacuum left", "kPa vac"),
    sources=("MOLEBALANCE", "USSA76"),
    example=example(41.4, 2, 1.4, 3.2, 6, 2100, shows="17.5"),
    cautions=(SERVO_CAUTION, LEAST_CAUTION),
)  # fmt: skip
def vacuum_after_stops(
    start_vacuum: float,
    stops: int,
    stroke_volume: float,
    servo_volume: float,
    reservoir_volume: float,
    altitude: float,
) -> float:
    """Vacuum that is left after a number of full brake strokes without the engine.

    Method: each stroke lets in its swept volume of outside air, which joins servo and reservoir on release:
    start - stops x air pressure x stroke / (servo + reservoir), never below 0; closed, isothermal.
    No answer: #NUM! for a vacuum deeper than the air pressure, or where servo and reservoir are both 0.
    Not for: part strokes, which take less, a leak, or dead volume behind the diaphragm, which takes more.
    """
    refuse_too_deep("start vacuum", start_vacuum, altitude)
    lost = _lost_by_a_stroke(stroke_volume, servo_volume, reservoir_volume, altitude)
    left = start_vacuum - stops * lost
    if left < 0.0:
        step("The vacuum is used up before the last of these stops")
    return max(left, 0.0)


@worksheet_function(
    "STOPS_AVAILABLE",
    args={"start_vacuum": START, "least_vacuum": LEAST, "stroke_volume": STROKE, "servo_volume": SERVO,
          "reservoir_volume": RESERVOIR, "altitude": ALTITUDE},
    answer=Answer("Full stops available"),
    sources=("MOLEBALANCE", "USSA76"),
    example=example(41.4, 27.1, 1.4, 3.2, 6, 2100, shows="1"),
    cautions=(SERVO_CAUTION, LEAST_CAUTION),
)  # fmt: skip
def stops_available(
    start_vacuum: float,
    least_vacuum: float,
    stroke_volume: float,
    servo_volume: float,
    reservoir_volume: float,
    altitude: float,
) -> int:
    """Whole full brake strokes without the engine before the vacuum falls below a least.

    Method: (start - least) over what one stroke takes, as in VACUUM_AFTER_STOPS, rounded down.
    No answer: #NUM! for a vacuum deeper than the air pressure or start below least, no volume, or strokes too small.
    Not for: part strokes, which take less, a leak, or dead volume behind the diaphragm, which takes more.
    """
    refuse_too_deep("start vacuum", start_vacuum, altitude)
    refuse_swapped("start vacuum", start_vacuum, "least vacuum", least_vacuum, "kPa")
    lost = _lost_by_a_stroke(stroke_volume, servo_volume, reservoir_volume, altitude)
    stops = (start_vacuum - least_vacuum) / lost if lost else inf
    if stops > MOST_STOPS:
        raise NoAnswer(f"more than {MOST_STOPS} stops: a stroke of {said(stroke_volume, 'L')} is too small to count")
    return floor(stops * (1.0 + A_HAIR) + A_HAIR)


@worksheet_function(
    "RESERVOIR_FOR_STOPS",
    args={"start_vacuum": START, "least_vacuum": LEAST, "stops": STOPS, "stroke_volume": STROKE,
          "servo_volume": SERVO, "altitude": ALTITUDE},
    answer=Answer("Reservoir wanted", "L"),
    sources=("MOLEBALANCE", "USSA76"),
    example=example(67.7, 47.39, 1, 4, 5, shows="14.96"),
    cautions=(SERVO_CAUTION, LEAST_CAUTION),
)  # fmt: skip
def reservoir_for_stops(
    start_vacuum: float,
    least_vacuum: float,
    stops: int,
    stroke_volume: float,
    servo_volume: float,
    altitude: float,
) -> float:
    """Reservoir that leaves a least vacuum after a number of full brake strokes without the engine.

    Method: stops x air pressure x stroke / (start - least) - servo, never below 0: the upper bound on need,
    part strokes take less. Sea level is the safe side.
    No answer: #NUM! for a vacuum deeper than the air pressure, or where start is not above least.
    Not for: a leak, or dead volume behind the diaphragm, which takes more.
    """
    refuse_too_deep("start vacuum", start_vacuum, altitude)
    refuse_swapped("start vacuum", start_vacuum, "least vacuum", least_vacuum, "kPa")
    taken = stops * air_pressure(altitude) * stroke_volume
    if taken == 0.0:
        return 0.0
    if start_vacuum == least_vacuum:
        raise NoAnswer(
            f"start and least vacuum are both {said(start_vacuum, 'kPa')}: no reservoir lets a stroke pass without loss"
        )
    volume = taken / (start_vacuum - least_vacuum)
    if listening():
        step(f"Servo and reservoir together {said(volume, 'L')}")
    return max(volume - servo_volume, 0.0)


@worksheet_function(
    "VACUUM_AT_ALTITUDE",
    args={"vacuum": _vacuum("Vacuum", "as measured, below the atmosphere"),
          "measured_altitude": replace(ALTITUDE, label="Altitude where measured", default=None),
          "used_altitude": replace(ALTITUDE, label="Altitude where used", default=None)},
    answer=Answer("Vacuum there", "kPa vac"),
    sources=("USSA76", "OD1001"),
    example=example(48, 1450, 2100, shows="41.4"),
    cautions=(SERVO_CAUTION,),
)  # fmt: skip
def vacuum_at_altitude(vacuum: float, measured_altitude: float, used_altitude: float) -> float:
    """Vacuum that an engine gives at another altitude than where it was measured.

    Method: the same absolute pressure in the manifold under the air pressure of the other place. A navy manual
    prints about 1 inHg less for each 1000 ft.
    No answer: #NUM! for a vacuum deeper than the air pressure, or where none is left at the other place.
    Not for: a vacuum pump, which keeps its ratio and not its absolute pressure.
    """
    refuse_too_deep("vacuum", vacuum, measured_altitude)
    manifold = air_pressure(measured_altitude) - vacuum
    outside = air_pressure(used_altitude)
    if listening():
        step(f"Pressure in the manifold {said(manifold, 'kPa')} absolute")
    if manifold > outside:
        first, second = told_apart(manifold, outside, "kPa")
        raise NoAnswer(
            f"no vacuum is left: the manifold keeps {first} kPa absolute, the air at {digits(used_altitude)} m has "
            f"{second} kPa: fit a vacuum pump"
        )
    return outside - manifold


@worksheet_function(
    "VACUUM_RECOVERY_TIME",
    args={"start_vacuum": START, "wanted_vacuum": _vacuum("Wanted vacuum", "below the atmosphere"),
          "source_vacuum": _vacuum("Source vacuum", "below the atmosphere, what the engine or pump gives"),
          "volume": replace(VOLUME, help="servo and reservoir"),
          "flow": replace(AIR_FLOW, help="free air that the line passes at the start difference"),
          "altitude": ALTITUDE},
    answer=Answer("Time to recover", "s"),
    sources=("PUMPDOWN", "USSA76"),
    example=example(0, 81.06, 101.325, "6 ft3", "4 cfm", 0, "min", shows="2.41", source="ESPOSITO"),
    cautions=(SERVO_CAUTION,),
)  # fmt: skip
def vacuum_recovery_time(
    start_vacuum: float,
    wanted_vacuum: float,
    source_vacuum: float,
    volume: float,
    flow: float,
    altitude: float,
) -> float:
    """Time in which the vacuum comes back after a stop with the engine running.

    Method: the line passes the flow at the start difference and in proportion to what remains:
    t = V (p0 - ps) / (p_air Q) ln((p0 - ps) / (pw - ps)), absolute pressures; 0 where nothing is wanted.
    No answer: #NUM! for a vacuum deeper than the air pressure, one not below the source's, or no flow.
    Not for: an engine whose vacuum changes meanwhile, or a source that limits the flow itself.
    """
    for what, vacuum in (("start vacuum", start_vacuum), ("wanted vacuum", wanted_vacuum), ("source", source_vacuum)):
        refuse_too_deep(what, vacuum, altitude)
    if wanted_vacuum >= source_vacuum:
        raise NoAnswer(
            f"wanted vacuum {said(wanted_vacuum, 'kPa')} is not below the source's {said(source_vacuum, 'kPa')}: it is "
            "never quite reached, want less"
        )
    if wanted_vacuum <= start_vacuum:
        step("The vacuum wanted is there from the start")
        return 0.0
    if flow == 0.0:
        raise NoAnswer("with a flow of 0 the vacuum never comes back: give the free air that the line passes")
    at_start, at_last = source_vacuum - start_vacuum, source_vacuum - wanted_vacuum
    pressure = air_pressure(altitude)
    if listening():
        step(f"The difference to the source falls from {said(at_start, 'kPa')} to {said(at_last, 'kPa')}")
    return volume * at_start / (pressure * flow) * log(at_start / at_last)


@worksheet_function(
    "VACUUM_LEAK",
    args={"vacuum_lost": _vacuum("Vacuum lost", "over the hold time"), "volume": replace(VOLUME, help="under vacuum"),
          "hold_time": Arg("Hold time", "min", 0.01, 100000), "altitude": ALTITUDE},
    answer=Answer("Leak of free air", "mL/min"),
    sources=("IDEALGAS", "USSA76"),
    example=example(3, 9.2, 5, 1450, shows="65"),
    cautions=(SERVO_CAUTION,),
)  # fmt: skip
def vacuum_leak(vacuum_lost: float, volume: float, hold_time: float, altitude: float) -> float:
    """Leak that a vacuum hold shows, as free air.

    Method: gas balance at constant temperature: volume x vacuum lost / (air pressure x time).
    No answer: #NUM! where more is lost than the air pressure.
    Not for: a hold during which the temperature changed: 1 K alone moves about 0.1 to 0.3 kPa.
    """
    refuse_too_deep("vacuum lost", vacuum_lost, altitude)
    return volume * vacuum_lost / (air_pressure(altitude) * hold_time)


@worksheet_function(
    "SERVO_STROKE_VOLUME",
    args={"diameter": Arg("Diaphragm diameter", "mm", 10, 600, help="effective"),
          "stroke": Arg("Stroke", "mm", 0, 200, help="full"),
          "diaphragms": Arg("Diaphragms", Count(1, 4), default=1, help="in one servo, 2 in a tandem")},
    answer=Answer("Stroke volume", "L"),
    sources=("GEOMETRY",),
    example=example(250, 28.5, shows="1.40"),
    cautions=(SERVO_CAUTION,),
)  # fmt: skip
def servo_stroke_volume(diameter: float, stroke: float, diaphragms: int) -> float:
    """Volume that the diaphragms of a servo sweep in one full stroke.

    Method: pi/4 x diameter^2 x stroke x diaphragms.
    Not for: the servo's whole volume, which is larger.
    """
    return pi / 4.0 * diameter * diameter * stroke * diaphragms
