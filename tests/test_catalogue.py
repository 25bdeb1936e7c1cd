"""The catalogue as agreed: names, argument names in their order, which may be left out and what then holds, units.

Written down here by hand, so that no change of a declaration passes unseen: workbooks in use rest on it.
"""

import pytest

from xlcalc import call, functions
from xlcalc.core.declaration import Declaration
from xlcalc.functions.fluid_words import KINDS, FluidKind

CATALOGUE = """
flow
BORE_FOR_FLOW(flow, velocity) -> mm
BORE_FOR_DROP(flow, length, fluid, temperature, allowed_drop, [fittings 0], [rise 0]) -> mm
FLOW_FOR_DROP(bore, length, fluid, temperature, allowed_drop, [fittings 0], [rise 0]) -> L/min
LINE_VELOCITY(flow, bore) -> m/s
LINE_REYNOLDS(flow, bore, fluid, temperature) -> number
LINE_PRESSURE_DROP(flow, bore, length, fluid, temperature, [fittings 0], [rise 0], [surface smooth]) -> kPa
LINE_COLD_LIMIT(flow, bore, length, fluid, allowed_drop, [fittings 0], [rise 0]) -> degC
LINE_VOLUME(bore, length) -> L
COIL_PRESSURE_DROP(flow, bore, length, fluid, temperature, coil_diameter) -> kPa
SUCTION_MARGIN(flow, bore, length, fluid, temperature, [fittings 0], [rise 0], [altitude 0], [tank_pressure 0]) -> kPa
FUEL_FLOW_FOR_POWER(power, consumption, fluid, [allowance 25]) -> L/min
QUANTITY_IN(quantity, unit) -> number

properties
FLUID_VISCOSITY(fluid, temperature) -> mm2/s
FLUID_DENSITY(fluid, temperature) -> kg/m3
FLUID_EXPANSION_VOLUME(volume, fluid, from_temperature, to_temperature) -> L
FLUID_VAPOUR_PRESSURE(fluid, temperature) -> kPa abs
FLUID_KNOWN_DOWN_TO(fluid) -> degC
AIR_PRESSURE_AT(altitude) -> kPa abs

hoses
HOSE_BORE(hose) -> mm
HOSE_OUTSIDE(hose) -> mm
HOSE_BEND_RADIUS(hose) -> mm
HOSE_PRESSURE_LIMIT(hose, temperature, [ends crimped]) -> kPa
HOSE_FLUID_MATCH(hose, fluid) -> words
HOSE_CHECK(hose, pressure, fluid, hottest, coldest, use, [ends crimped]) -> words
HOSE_SIZE_FOR_BORE(family, smallest_bore, [families], [sizes], [bores]) -> words
HOSE_CUT_LENGTH(finished_length, cut_off_a, cut_off_b) -> mm
HOSE_ROLLS_TO_BUY(lengths, roll_length, [loss_per_cut 3]) -> number
HOSE_CUT_FROM_ROLL(lengths, roll_length, position, [loss_per_cut 3]) -> number

routing
HOSE_SLACK(centres, finished_length) -> %
HOSE_FINISHED_LENGTH(centres, [slack 6], [travel 0]) -> mm
BEND_LENGTH(radius, angle) -> mm
CLIP_COUNT(run_length, [line_kind hose], [size]) -> number
CLIP_SPACING_LIMIT(line_kind, [size]) -> mm
CLEARANCE_CHECK(clearance, [shield none], [bare_limit 100], [shielded_limit 50]) -> words
WRAP_LENGTH(run_length, outside_diameter, pitch) -> m
PANEL_HOLE(outside_diameter, grommet_wall, [end_across_corners 0]) -> mm
NUT_TORQUE(size, metal, [bound low]) -> N m

breathers
FILL_LIMIT(tank_volume, fluid, fill_temperature, hottest_temperature) -> L
TANK_FOR_EXPANSION(system_volume, fluid, fill_temperature, hottest_temperature, [spare 30]) -> L
AIR_DRAWN_IN(air_volume, liquid_volume, fluid, hot_temperature, cold_temperature) -> mL
BREATHER_PRESSURE(flow, bore, length, [fittings 0], [altitude 0]) -> kPa
BREATHER_BORE(flow, length, allowed_pressure, [fittings 0], [altitude 0]) -> mm
BLOWBY_FLOW(displacement, speed, [share 1], [boost 0]) -> L/min
CATCH_TANK_VOLUME(carry_over, hours, [spare 50], [least 2]) -> L
DRAIN_HEIGHT(case_pressure, fluid, temperature) -> mm
DRAIN_TIME(volume, height, bore, length, fluid, temperature) -> s
FILTER_AREA(flow, face_velocity) -> cm2
BLOCKED_VENT_PRESSURE(air_volume, liquid_volume, fluid, fill_temperature, hottest_temperature) -> kPa

vacuum
VACUUM_TEE_BALANCE(flow, bore_1, length_1, bore_2, length_2, [fittings_1 0], [fittings_2 0]) -> %
VACUUM_LEG_BORE(flow, bore_1, length_1, length_2) -> mm
VACUUM_AFTER_STOPS(start_vacuum, stops, stroke_volume, servo_volume, reservoir_volume, [altitude 0]) -> kPa vac
STOPS_AVAILABLE(start_vacuum, least_vacuum, stroke_volume, servo_volume, reservoir_volume, [altitude 0]) -> number
RESERVOIR_FOR_STOPS(start_vacuum, least_vacuum, stops, stroke_volume, servo_volume, [altitude 0]) -> L
VACUUM_AT_ALTITUDE(vacuum, measured_altitude, used_altitude) -> kPa vac
VACUUM_RECOVERY_TIME(start_vacuum, wanted_vacuum, source_vacuum, volume, flow, [altitude 0]) -> s
VACUUM_LEAK(vacuum_lost, volume, hold_time, [altitude 0]) -> mL/min
SERVO_STROKE_VOLUME(diameter, stroke, [diaphragms 1]) -> L

cooling
HEAT_CARRIED(flow, fluid, hot_temperature, cold_temperature) -> kW
FLOW_FOR_HEAT(heat, fluid, hot_temperature, cold_temperature) -> L/min
PUMP_HEAT(flow, pressure) -> kW
FLUID_WARM_TIME(heat, volume, fluid, start_temperature, limit_temperature) -> s
COOLER_HEAT_PER_DEGREE(heat, temperature_difference, [altitude 0]) -> kW/K
COOLER_OIL_IN(heat, air_temperature, heat_per_degree) -> degC
COOLER_OIL_OUT(flow, fluid, oil_in, air_temperature, heat_per_degree) -> degC
COOLER_AIR_FLOW(heat, air_temperature, air_temperature_rise, [altitude 0]) -> m3/h
COOLER_EFFECTIVENESS(transfer_units, capacity_ratio, [arrangement cross both unmixed]) -> number
CABLE_VOLTAGE_DROP(current, one_way_length, area, [temperature 60]) -> V
GEARBOX_OIL_LIFE(temperature) -> km

testing
PROOF_PRESSURE(working_pressure, line_kind) -> kPa
BURST_RATIO(working_pressure, burst_pressure) -> number
HOLD_PRESSURE_AT(pressure, start_temperature, later_temperature, [altitude 0]) -> kPa
GAS_ENERGY(pressure, volume) -> J
PRICE_FROM_MARGIN(cost, margin) -> number

about
ANSWER_WHY(name) -> words
ANSWER_STEPS(name) -> words
ANSWER_LOW(name) -> number
ANSWER_HIGH(name) -> number
XLCALC_STATUS() -> words
"""
AGREED = {
    line.partition("(")[0]: (family, line)
    for family, *lines in (block.splitlines() for block in CATALOGUE.strip().split("\n\n"))
    for line in lines
}


def as_declared(made: Declaration) -> tuple[str, str]:
    """Family of a declaration, and the declaration in the words of the catalogue."""
    args = [
        arg.name if arg.required else f"[{arg.name} {arg.default}]".replace(" ]", "]") for arg in made.workshop_args
    ]
    in_words = isinstance(call(made.name, *made.example.cells), str | list)
    answer = made.answer.unit_text or ("words" if in_words else "number")
    return made.family, f"{made.name}({', '.join(args)}) -> {answer}"


@pytest.mark.parametrize("name", AGREED)
def test_a_function_is_as_agreed(name: str) -> None:
    assert as_declared(functions()[name]) == AGREED[name]


def test_nothing_is_left_out_of_the_catalogue() -> None:
    assert list(functions()) == list(AGREED)


@pytest.mark.parametrize("name", AGREED)
def test_the_unit_of_the_answer_comes_last_and_only_with_a_quantity(name: str) -> None:
    made = functions()[name]
    assert made.has_unit is bool(made.answer.unit_text)
    if made.has_unit:
        assert (made.args[-1].name, made.args[-1].required) == ("unit", False)


def test_fluids_that_a_method_does_not_hold_for_are_kinds_of_fluid_and_can_be_given() -> None:
    for made in functions().values():
        assert set(made.not_with) <= set(KINDS), f"{made.name} names a kind of fluid that there is not"
        takes = any(isinstance(arg.reader, FluidKind) for arg in made.args)
        assert takes or not made.not_with, f"{made.name} takes no fluid, so none can be wrong for it"
