"""A function is found by its name, or the nearest name is told."""

from xlcalc.core import registry
from xlcalc.core.declaration import Declaration


def test_a_misspelt_function_name_gets_the_nearest() -> None:
    assert ": did you mean LINE_VELOCITY" in str(registry.find("LINE_VELOCTY"))
    found = registry.find(" line_velocity ")
    assert isinstance(found, Declaration)
    assert found.name == "LINE_VELOCITY"
