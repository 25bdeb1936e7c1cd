"""Air: the standard atmosphere, ideal gas and Sutherland's viscosity, as the US Standard Atmosphere 1976 has them."""

from functools import lru_cache

SEA_LEVEL_PRESSURE = 101325.0  # Pa, US Standard Atmosphere 1976
GAS_CONSTANT = 8314.32 / 28.9644  # J/(kg K), US Standard Atmosphere 1976, R* and the molar mass of air
FREE_AIR_TEMPERATURE = 293.15  # K: "free air" of a flow is at 20 degC, common practice
SUTHERLAND_BETA, SUTHERLAND_S = 1.458e-6, 110.4  # kg/(s m K^0.5) and K, US Standard Atmosphere 1976


@lru_cache(4096)
def pressure_at(altitude: float) -> float:
    """Absolute pressure in Pa at an altitude in m (geometric). Source: US Standard Atmosphere 1976.

    >>> round(pressure_at(2000.0))  # printed: 79501 Pa
    79501
    """
    from fluids.atmosphere import ATMOSPHERE_1976  # noqa: PLC0415  (60 ms: only when first needed)

    return float(ATMOSPHERE_1976(altitude).P)


@lru_cache(4096)
def standard_density(altitude: float) -> float:
    """Density in kg/m3 of the standard atmosphere at an altitude in m. Source: US Standard Atmosphere 1976.

    >>> round(standard_density(0.0), 4)
    1.225
    """
    from fluids.atmosphere import ATMOSPHERE_1976  # noqa: PLC0415

    return float(ATMOSPHERE_1976(altitude).rho)


def density(temperature: float, pressure: float = SEA_LEVEL_PRESSURE) -> float:
    """Density in kg/m3 of dry air at a temperature in K and an absolute pressure in Pa (ideal gas).

    >>> round(density(288.15), 4)
    1.225
    """
    return pressure / (GAS_CONSTANT * temperature)


def dynamic_viscosity(temperature: float) -> float:
    """Viscosity in Pa s at a temperature in K (Sutherland; US Standard Atmosphere 1976, equation 51).

    >>> round(dynamic_viscosity(288.15), 8)  # printed: 1.7894e-5
    1.789e-05
    """
    return float(SUTHERLAND_BETA * temperature**1.5 / (temperature + SUTHERLAND_S))


def kinematic_viscosity(temperature: float, pressure: float = SEA_LEVEL_PRESSURE) -> float:
    """Viscosity in m2/s at a temperature in K and an absolute pressure in Pa: the two relations above."""
    return dynamic_viscosity(temperature) / density(temperature, pressure)
