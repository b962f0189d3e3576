"""Dry air and the standard atmosphere against the reference equation and the tables of ISO 2533.

Properties come from other programs, named beside each table; the tolerance of a property is the one that
admits the simple forms of the 1976 standard atmosphere.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.errors import InputRangeError
from core.physics.air import SEA_LEVEL_PRESSURE, air_at, air_outside_range, pressure_at_altitude

# CoolProp 8.0.0, reference equation for air, at 101325 Pa: temperature [degC], density [kg/m3],
# viscosity [Pa s], conductivity [W/(m K)]
COOLPROP = [
    (-20.0, 1.3956451, 1.6201235e-05, 0.022811731),
    (25.0, 1.1843185, 1.8448082e-05, 0.026246931),
    (60.0, 1.0596267, 2.0099059e-05, 0.028804069),
    (150.0, 0.83399501, 2.4026904e-05, 0.0350007),
]

# ISO 2533 / ICAO: 101325 Pa, 288.15 K, 6.5 K/km (1013.25 hPa, 15 degC and 1.98 degC per 1000 ft read);
# fluids 1.3.1 at Z(H), ambiance agrees: geopotential altitude [m], pressure [Pa], density [kg/m3]
ISO_2533 = [
    (0.0, 101325.0, 1.2249992),
    (1000.0, 89874.571, 1.1116418),
    (2000.0, 79495.216, 1.0064896),
    (4000.0, 61640.235, 0.81912886),
]

# fluids 1.3.1, ATMOSPHERE_1976(Z), ambiance agrees to 1e-6: GEOMETRIC altitude [m], pressure [Pa]
GEOMETRIC = [
    (0.0, 101325.0),
    (1000.0, 89876.285),
    (2000.0, 79501.425),
    (3000.0, 70121.162),
    (4000.0, 61660.444),
]

EARTH_RADIUS = 6356766.0  # of the 1976 standard atmosphere, for the geopotential (from memory) [m]


@pytest.mark.parametrize(("temp", "density", "viscosity", "conductivity"), COOLPROP)
def test_air(temp: float, density: float, viscosity: float, conductivity: float) -> None:
    """Rows air-rho, air-mu, air-k. Source: CoolProp 8.0.0."""
    air = air_at(temp)
    assert air.density == pytest.approx(density, rel=0.002)
    assert air.viscosity == pytest.approx(viscosity, rel=0.012)
    assert air.conductivity == pytest.approx(conductivity, rel=0.015)
    assert air.kinematic_viscosity == pytest.approx(viscosity / density, rel=0.012)


def test_air_of_many_temperatures_is_that_of_each() -> None:
    temps = np.array([row[0] for row in COOLPROP])
    air = air_at(temps, 8e4)
    for i, temp in enumerate(temps):
        one = air_at(float(temp), 8e4)
        together = (air.density, air.viscosity, air.conductivity, air.prandtl, air.kinematic_viscosity)
        alone = (one.density, one.viscosity, one.conductivity, one.prandtl, one.kinematic_viscosity)
        assert [float(np.asarray(values)[i]) for values in together] == [float(value) for value in alone]


@pytest.mark.parametrize(("altitude", "pressure", "density"), ISO_2533)
def test_standard_atmosphere(altitude: float, pressure: float, density: float) -> None:
    """Rows isa-p, isa-rho. Source: ISO 2533, geopotential altitude; fluids 1.3.1."""
    assert pressure_at_altitude(altitude) == pytest.approx(pressure, rel=1e-5)
    standard_temp = 15.0 - 0.0065 * altitude
    assert air_at(standard_temp, pressure_at_altitude(altitude)).density == pytest.approx(density, rel=1e-5)


@pytest.mark.parametrize(("altitude", "pressure"), GEOMETRIC)
def test_geometric_altitude_is_another_scale(altitude: float, pressure: float) -> None:
    """Rows isa-p-geom. Source: fluids 1.3.1. Taken as geopotential it errs by at most 3.3e-4."""
    geopotential = EARTH_RADIUS * altitude / (EARTH_RADIUS + altitude)
    assert pressure_at_altitude(geopotential) == pytest.approx(pressure, rel=1e-5)
    assert pressure_at_altitude(altitude) == pytest.approx(pressure, rel=3.4e-4)


def test_air_at_a_site() -> None:
    """Row air-at-altitude. Source: ideal gas at the pressure of ISO 2533 (memory).

    The temperature is that of the user's ambient, 40 degC at 2000 m, not the standard one.
    """
    assert air_at(40.0, pressure_at_altitude(2000.0)).density == pytest.approx(0.88435494, rel=1e-5)


def test_thin_air_conducts_as_dense_air_and_vacuum_not_at_all() -> None:
    """Kinetic theory of gases: viscosity and conductivity are free of the pressure (from memory)."""
    dense, thin, nothing = air_at(25.0), air_at(25.0, 2e4), air_at(25.0, 0.0)
    assert thin.conductivity == dense.conductivity
    assert thin.viscosity == dense.viscosity
    assert thin.density == pytest.approx(float(dense.density) * 2e4 / SEA_LEVEL_PRESSURE, rel=1e-12)
    assert float(nothing.density) == float(nothing.conductivity) == 0.0
    assert math.isinf(float(nothing.kinematic_viscosity))
    assert np.all(np.asarray(air_at(np.array([0.0, 90.0]), 0.0).conductivity) == 0.0)


def test_what_is_outside() -> None:
    assert air_outside_range(np.array([-61.0, -60.0, 350.0, 351.0])).tolist() == [True, False, False, True]
    for altitude in (-501.0, 11001.0, math.nan):
        with pytest.raises(InputRangeError, match="altitude must be from -500 to 11000 m"):
            pressure_at_altitude(altitude)
    with pytest.raises(InputRangeError, match="air pressure"):
        air_at(20.0, -1.0)
    with pytest.raises(InputRangeError, match="absolute temperature of the air"):
        air_at(np.array([20.0, -300.0]))
