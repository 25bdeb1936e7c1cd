"""Sizes of units: the table holds what pint says, and pint answers for what the table does not hold."""

import subprocess
import sys

import pytest

from xlcalc.core.unit_sizes import PRODUCTS, by_pint, size
from xlcalc.core.units import unit


def test_a_product_that_the_table_does_not_hold_has_the_size_of_its_parts() -> None:
    assert "(pound)/(minute)" not in PRODUCTS
    assert size("(pound)/(minute)") == by_pint("(pound)/(minute)")
    assert size("(pound)/(minute)").factor == pytest.approx(0.45359237 / 60, rel=1e-15)


def test_each_usual_product_is_spelt_as_the_reader_of_units_spells_it() -> None:
    written = ("L/min", "m3/h", "US gal/s", "kg2/(m3 m3 K)", "kJ/(kg K)", "mPa s", "1/K", "ohm mm2/m", "lb/ft3")
    asked = f"import sys; from xlcalc.core.units import unit; [*map(unit, {written!r})]; print('pint' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "False"
    assert unit("lb/ft3").dimension == "[mass] / [length] ** 3"
