"""The suction side and the fuel of an engine, by hand."""

import pytest

from tests.refused import refused
from xlcalc import call


def test_suction_margin_is_a_balance() -> None:
    cells = (3, 9.5, 0.9, "petrol; RVP 10 psi", 34, 2, 0.25)
    air, vapour = call("AIR_PRESSURE_AT", 2100), call("FLUID_VAPOUR_PRESSURE", "petrol; RVP 10 psi", 34)
    drop = call("LINE_PRESSURE_DROP", *cells)
    assert call("SUCTION_MARGIN", *cells, 2100, 20) == pytest.approx(air + 20 - drop - vapour, rel=1e-9)


def test_a_fluid_without_vapour_pressure_is_not_guessed() -> None:
    assert refused("SUCTION_MARGIN", 3, 9.5, 0.9, "petrol", 20)[0] == "#N/A"
    assert "RVP 10 psi" in refused("SUCTION_MARGIN", 3, 9.5, 0.9, "petrol", 20)[1]
    assert refused("SUCTION_MARGIN", 3, 9.5, 0.9, "900 kg/m3; 30 mm2/s", 20)[0] == "#N/A"
    with_kind = call("SUCTION_MARGIN", 3, 9.5, 0.9, "900 kg/m3; 30 mm2/s; kind engine oil", 20)
    assert with_kind == call("SUCTION_MARGIN", 3, 9.5, 0.9, "900 kg/m3; 30 mm2/s; vapour 0 kPa", 20)


def test_fuel_flow_by_hand() -> None:
    # 120 kW x 320 g/kWh = 38.4 kg/h; / 745 kg/m3 / 60 = 0.8591 L/min; x 1.25 = 1.0738
    assert call("FUEL_FLOW_FOR_POWER", 120, 320, "petrol") == pytest.approx(1.0738, abs=5e-5)
    assert call("FUEL_FLOW_FOR_POWER", 120, 320, "petrol", 0) == pytest.approx(0.8591, abs=5e-5)
    assert call("FUEL_FLOW_FOR_POWER", 0, 320, "petrol") == 0
    # a sheet that says the density at 15 and the viscosity at 40 degC: 100 x 250 / 840 / 60 x 1.25
    assert call("FUEL_FLOW_FOR_POWER", 100, 250, "840 kg/m3; 4 mm2/s @ 40 degC; kind diesel") == pytest.approx(
        0.62004, abs=5e-6
    )
