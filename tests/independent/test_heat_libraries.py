"""Air, atmosphere, natural convection and radiation over ranges against the packages CoolProp, fluids, ht.

Checked with CoolProp 8.0.0, fluids 1.3.1 and ht 1.2.0 (all MIT licence). With -s each comparison prints its
largest deviation.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import pytest

from core.numeric import FloatArray
from core.physics.air import ALTITUDE_RANGE, TEMP_RANGE, air_at, pressure_at_altitude
from core.physics.natural_convection import (
    FACE_DOWN_RANGE,
    FACE_UP_RANGE,
    cylinder_nusselt,
    face_down_nusselt,
    face_up_nusselt,
    vertical_plate_nusselt,
)
from core.physics.radiation import radiation_coefficient

coolprop = pytest.importorskip("CoolProp.CoolProp", reason="needs the package CoolProp")
fluids = pytest.importorskip("fluids", reason="needs the package fluids")
ht = pytest.importorskip("ht", reason="needs the package ht")

PRANDTL = (0.68, 0.70, 0.72)
EARTH_RADIUS = 6356766.0  # of the 1976 standard atmosphere, for the geopotential (from memory) [m]
LAWS_MEET = (0.54 / 0.15) ** 12  # Rayleigh number at which 0.54 Ra^(1/4) = 0.15 Ra^(1/3)

Nusselt = Callable[[FloatArray, float], FloatArray]


def largest_deviation(what: str, ours: FloatArray, theirs: Iterable[float]) -> float:
    """Return the largest relative deviation, and print it."""
    found = float(np.max(np.abs(ours / np.fromiter(theirs, dtype=float).reshape(ours.shape) - 1.0)))
    print(f"{what}: {found:.2g}")
    return found


@pytest.mark.parametrize(
    ("temps", "bounds"),
    [
        # what the docstring of air_at states: density, viscosity, heat capacity, conductivity, Prandtl number
        ((-20.0, 150.0), (0.001, 0.0101, 0.0101, 0.013, 0.028)),
        (TEMP_RANGE, (0.002, 0.021, 0.047, 0.020, 0.079)),
    ],
)
@pytest.mark.parametrize("altitude", [0.0, 4000.0, 11000.0])
def test_air(temps: tuple[float, float], bounds: tuple[float, ...], altitude: float) -> None:
    pressure = pressure_at_altitude(altitude)
    temp = np.linspace(*temps, 86)
    air = air_at(temp, pressure)
    ours = {
        "D": air.density,
        "V": air.viscosity,
        "C": np.full_like(temp, air.heat_capacity),
        "L": air.conductivity,
        "PRANDTL": air.prandtl,
    }
    for (key, values), bound in zip(ours.items(), bounds, strict=True):
        theirs = (coolprop.PropsSI(key, "T", kelvin, "P", pressure, "Air") for kelvin in temp + 273.15)
        name = f"air, {key}, {temps[0]:g} to {temps[1]:g} degC, {altitude:g} m"
        assert largest_deviation(name, np.asarray(values), theirs) < bound


def test_atmosphere() -> None:
    """fluids takes the geometric altitude, ISO 2533 and we the geopotential one."""
    altitudes = np.linspace(*ALTITUDE_RANGE, 116)
    ours = np.array([pressure_at_altitude(float(altitude)) for altitude in altitudes])
    geometric = EARTH_RADIUS * altitudes / (EARTH_RADIUS - altitudes)
    theirs = (fluids.atmosphere.ATMOSPHERE_1976(float(z)).P for z in geometric)
    assert largest_deviation("pressure of the standard atmosphere", ours, theirs) < 2e-6


@pytest.mark.parametrize("prandtl", PRANDTL)
@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (cylinder_nusselt, "Nu_horizontal_cylinder_Churchill_Chu"),
        (vertical_plate_nusselt, "Nu_vertical_plate_Churchill"),
    ],
)
def test_natural_convection(ours: Nusselt, theirs: str, prandtl: float) -> None:
    other = getattr(ht.conv_free_immersed, theirs)
    rayleigh = np.logspace(-5.0, 12.0, 171)
    values = (other(prandtl, ra / prandtl) for ra in rayleigh)
    assert largest_deviation(f"{theirs}, Pr {prandtl}", ours(rayleigh, prandtl), values) < 1e-12


@pytest.mark.parametrize(
    ("ours", "bounds", "up"),
    [
        (face_up_nusselt, (FACE_UP_RANGE[0], LAWS_MEET), True),
        (face_up_nusselt, (1e7, FACE_UP_RANGE[1]), True),
        (face_down_nusselt, FACE_DOWN_RANGE, False),
    ],
)
def test_horizontal_plate(
    ours: Callable[[FloatArray], FloatArray], bounds: tuple[float, float], up: bool
) -> None:
    """But for Ra from LAWS_MEET, where our law changes, to 1e7, where that of ht does with a step."""
    rayleigh = np.geomspace(*bounds, 120)[1:-1]
    values = (horizontal_plate(ra, up) for ra in rayleigh)
    name = f"horizontal plate, hot face {'up' if up else 'down'}, Ra from {bounds[0]:g}"
    assert largest_deviation(name, ours(rayleigh), values) < 1e-12


def test_horizontal_plate_between_the_laws() -> None:
    rayleigh = np.geomspace(LAWS_MEET, 1e7, 50)
    values = [horizontal_plate(ra, True) for ra in rayleigh]
    assert largest_deviation("horizontal plate, Ra 4.7e6 to 1e7", face_up_nusselt(rayleigh), values) < 0.065


def horizontal_plate(rayleigh: float, up: bool) -> float:
    number: Any = ht.conv_free_immersed.Nu_horizontal_plate_McAdams(0.7, rayleigh / 0.7, buoyancy=up)
    return float(number)


@pytest.mark.parametrize("emissivity", [0.05, 0.85, 1.0])
def test_radiation(emissivity: float) -> None:
    surface, around = np.meshgrid(np.linspace(-40.0, 200.0, 49), np.linspace(-42.5, 97.5, 29))
    ours = radiation_coefficient(emissivity, surface, around) * (surface - around)
    pairs = zip(surface.ravel() + 273.15, around.ravel() + 273.15, strict=True)
    theirs = (ht.q_rad(emissivity, one, two) for one, two in pairs)
    assert largest_deviation(f"radiation, emissivity {emissivity}", ours, theirs) < 2e-6
