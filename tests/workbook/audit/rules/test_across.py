"""Figures of two places that go together only in another unit: by line, circuit, servo and fluid."""

import pytest

from xlcalc.core.datafiles import raw_rows
from xlcalc.workbook.audit.rules import across
from xlcalc.workbook.audit.rules.across import figures_apart

from ..sheets import Cells, book, places


def table(units: dict[str, str], *rows: tuple[object, ...]) -> dict[str, object]:
    """A table with a Check: headers and units, and rows under them; None leaves a cell blank."""
    letters = list("ACDEFGHIJ")[: len(units)]
    cells: dict[str, object] = {"B1": "Check"}
    for letter, (head, unit) in zip(letters, units.items(), strict=True):
        cells |= {f"{letter}1": head} | ({f"{letter}2": unit} if unit else {})
    for at, held in enumerate(rows, start=4):
        cells[f"B{at}"] = f'=IF(A{at}="","","Within limits")'
        cells |= {f"{letter}{at}": value for letter, value in zip(letters, held, strict=True) if value is not None}
    return cells


def found(sheets: dict[str, Cells]) -> list[str]:
    return places(figures_apart(book(sheets)))


LINES = {"Line": "", "Circuit": "", "Use": "", "Pushed by": "", "Fluid": "", "Flow": "L/min", "Highest pressure": "kPa",
         "Length": "m", "Rise": "m"}  # fmt: skip


def lines(fluid: str, flows: tuple[object, object], pressures: tuple[float, float] = (350.0, 250.0)) -> Cells:
    rows = ((f"X-{at}", "X", "return", "pump limited pressure", fluid, flow, pressure, 2.6, 0.2)
            for at, (flow, pressure) in enumerate(zip(flows, pressures, strict=True), start=1))  # fmt: skip
    return table(LINES, *rows)


def test_the_headers_asked_for_are_those_of_a_new_workbook() -> None:
    units = {(each["table"], each["head"]): each["unit"] for each in raw_rows("audit/known_units")}
    asked = {**{("Line", head): unit for head, unit in (*across.COVERS, across.LENGTH)},
             **{("Line", head): "kPa" for head in ("Highest pressure", "Weakest part allows")},
             **dict.fromkeys(across.HOLDS.items(), "L"),
             **{("Servo", head): "L" for head in (across.VOLUME, across.RESERVOIR)},
             ("Line", "Flow"): "L/min", ("Line", "Volume under test"): "L", ("Servo", across.MEASURED): "m",
             ("Servo", "Diameter"): "mm", ("Servo", "Full stroke"): "mm",
             ("Item", across.HOTTEST): "°C"}  # fmt: skip
    assert {each: units.get(each) for each in asked} == asked


@pytest.mark.parametrize(
    ("fluid", "flows", "cells"),
    [
        ("ATF generic", (7.0, 7.0), []),
        ("ATF generic", (7.0, 3.2), []),  # a branch
        ("ATF generic", (7.0, 1.85), ["G5", "G4"]),  # 7 L/min = 1.85 US gpm
        ("ATF generic", (0.117, 7.0), ["G4", "G5"]),  # 7 L/min = 0.117 L/s
        ("ATF generic", ("7 L/min", 1.85), ["G5", "G4"]),
        ("ATF generic", ("1.85 US gpm", 7.0), []),
        ("coolant 50/50", (60.0, 15.0), []),  # radiator and heater branch
        ("petrol", (3.0, 0.8), []),  # what returns is what the engine does not take
    ],
)
def test_oil_that_one_pump_pushes_flows_alike_in_its_circuit(
    fluid: str, flows: tuple[object, object], cells: list[str]
) -> None:
    assert found({"Lines": lines(fluid, flows)}) == cells


@pytest.mark.parametrize(
    ("fluid", "pressures", "cells"),
    [
        ("coolant 50/50", (110.0, 90.0), []),
        ("coolant 50/50", (110.0, 1.1), ["H5", "H4"]),  # bar
        ("coolant 50/50", (16.0, 110.0), ["H4", "H5"]),  # psi
        ("coolant 50/50", (110.0, 211.3), ["H5", "H4"]),  # 110 kPa over the air, counted from nothing
        ("coolant 50/50", (110.0, 300.0), []),
        ("ATF generic", (16.0, 110.0), []),  # before and behind a cooler
    ],
)
def test_all_lines_of_a_circuit_of_coolant_stand_under_one_cap(
    fluid: str, pressures: tuple[float, float], cells: list[str]
) -> None:
    assert found({"Lines": lines(fluid, (7.0, 7.0), pressures)}) == cells


@pytest.mark.parametrize(
    ("head", "unit", "value", "cells"),
    [
        ("Spiral wrap on", "m", 2.6, []),
        ("Spiral wrap on", "m", 4.0, []),  # the line became shorter, and nobody cut the wrap anew
        ("Spiral wrap on", "m", 8.53, ["C4", "I4"]),  # 2.6 m = 8.53 ft
        ("Heated stretch", "mm", 300.0, []),
        ("Weakest part allows", "kPa", 400.0, []),
        ("Weakest part allows", "kPa", 200.0, []),  # too weak, and no other unit
        ("Weakest part allows", "kPa", 145.0, ["C4", "H4"]),  # 1000 kPa = 145 psi
    ],
)
def test_a_figure_of_a_line_goes_with_its_length_or_pressure(
    head: str, unit: str, value: float, cells: list[str]
) -> None:
    beside = table({"Line": "", head: unit}, ("X-1", value))
    assert found({"Lines": lines("ATF generic", (7.0, 7.0)), "Routes": beside}) == cells


def test_a_line_rises_no_further_than_it_is_long() -> None:
    cells = dict(lines("ATF generic", (7.0, 7.0)))
    assert found({"Lines": cells | {"J4": -2.0}}) == []
    assert found({"Lines": cells | {"J4": -200.0}}) == ["J4", "I4"]  # mm


SERVO = {"Servo": "", "Diameter": "mm", "Full stroke": "mm", "Servo volume": "L", "Reservoir fitted": "L",
         "Measured at": "m", "Feed line": ""}  # fmt: skip


@pytest.mark.parametrize(
    ("volume", "reservoir", "under", "cells"),
    [
        (3.2, 6.0, 9.2, []),
        (3.2, 6.0, 9.4, []),  # with the hose to it
        (3.2, 4.0, 9.2, []),  # another reservoir since, and no other unit
        (0.845, 6.0, 9.2, ["E4", "D4"]),  # 250 mm by 28.5 mm sweep 1.4 L; 3.2 L = 0.845 US gal
        (3.2, 1.585, 9.2, ["F4", "C4"]),  # 6 L = 1.585 US gal
        (3.2, 6.0, 2.43, ["C4", "F4"]),
    ],
)
def test_a_servo_holds_what_it_sweeps_and_is_tested_with_its_reservoir(
    volume: float, reservoir: float, under: float, cells: list[str]
) -> None:
    servo = table(SERVO, ("servo", 250.0, 28.5, volume, reservoir, 300.0, "VA-3"))
    tested = table({"Line": "", "Volume under test": "L"}, ("VA-3", under))
    assert found({"Vacuum": servo, "Testing": tested}) == cells


@pytest.mark.parametrize(
    ("workshop", "measured", "cells"),
    [(1450.0, 1450.0, []), (1450.0, 310.0, []), (1450.0, 4760.0, ["G4", "B1"]), (4760.0, 1450.0, ["B1", "G4"])],
)
def test_an_altitude_that_is_the_other_one_in_feet(workshop: float, measured: float, cells: list[str]) -> None:
    servo = table(SERVO, ("servo", 250.0, 28.5, 3.2, 6.0, measured, "VA-3"))
    assert found({"Start": {"A1": "Workshop altitude", "B1": workshop, "C1": "m"}, "Vacuum": servo}) == cells


@pytest.mark.parametrize(("holds", "cells"), [(9.0, []), (11.0, []), (2.38, ["D4", "D4"])])  # 9 L = 2.38 US gal
def test_one_fluid_is_said_in_one_unit(holds: float, cells: list[str]) -> None:
    item = table({"Item": "", "Fluid": "", "Volume of fluid": "L"}, ("gearbox", "ATF generic", 9.0))
    system = table({"System": "", "Fluid": "", "Holds": "L"}, ("gearbox and cooler", "ATF generic", holds))
    assert found({"Breathers": item, "Parts": system}) == cells


@pytest.mark.parametrize(
    ("fluid", "hottest", "cells"),
    [("petrol", 60.0, []), ("petrol", 95.0, []), ("petrol", 113.0, ["D4", "C4"]), ("ATF generic", 113.0, [])],  # 45 °C
)
def test_no_tank_is_hotter_than_its_fluid_can_be(fluid: str, hottest: float, cells: list[str]) -> None:
    item = table({"Item": "", "Fluid": "", "Hottest": "°C"}, ("tank", fluid, hottest))
    assert found({"Breathers": item}) == cells
