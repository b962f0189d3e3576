"""Natural convection and radiation of surfaces at rest, against another program and textbook forms.

Each row states its source and how far it was seen. What another program computes by the same law is met to
1e-6, second sources within the spread stated for them.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.air import SEA_LEVEL_PRESSURE
from core.physics.natural_convection import (
    CYLINDER_RANGE,
    FACE_DOWN_RANGE,
    FACE_UP_RANGE,
    cylinder_nusselt,
    face_down_coefficient,
    face_down_nusselt,
    face_up_coefficient,
    face_up_nusselt,
    horizontal_cylinder_coefficient,
    out_of_range,
    rayleigh_number,
    vertical_plate_coefficient,
    vertical_plate_nusselt,
)
from core.physics.radiation import facing_emissivity, radiation_coefficient

Coefficient = Callable[[float, float | FloatArray, float | FloatArray, float], FloatArray]
COEFFICIENTS: list[Coefficient] = [
    horizontal_cylinder_coefficient,
    vertical_plate_coefficient,
    face_up_coefficient,
    face_down_coefficient,
]
each_coefficient = pytest.mark.parametrize("coefficient", COEFFICIENTS)


@pytest.mark.parametrize(
    ("prandtl", "grashof", "nusselt"), [(0.69, 2.63e9, 139.13494), (0.7, 9e5, 12.754689)]
)
def test_horizontal_cylinder(prandtl: float, grashof: float, nusselt: float) -> None:
    """Rows nat-hcyl-3e+09, nat-hcyl-9e+05. Source: ht 1.2.0, Nu_horizontal_cylinder_Churchill_Chu."""
    assert cylinder_nusselt(prandtl * grashof, prandtl) == pytest.approx(nusselt, rel=1e-6)


@pytest.mark.parametrize(
    ("prandtl", "grashof", "nusselt"), [(0.69, 2.63e9, 147.16185), (0.7, 1e5, 8.4417875)]
)
def test_vertical_plate(prandtl: float, grashof: float, nusselt: float) -> None:
    """Rows nat-vplate-3e+09, nat-vplate-1e+05. Source: ht 1.2.0, Nu_vertical_plate_Churchill."""
    assert vertical_plate_nusselt(prandtl * grashof, prandtl) == pytest.approx(nusselt, rel=1e-6)


def test_horizontal_plate() -> None:
    """Rows nat-hplate-up, nat-hplate-down. Source: ht 1.2.0, Nu_horizontal_plate_McAdams, on A/P."""
    assert face_up_nusselt(0.7 * 1e6) == pytest.approx(15.619541, rel=1e-6)
    assert face_down_nusselt(0.7 * 1e6) == pytest.approx(7.8097705, rel=1e-6)


def test_horizontal_plate_has_no_step() -> None:
    """McAdams (memory): 0.54 Ra^(1/4) below, 0.15 Ra^(1/3) above; equal at Ra = (0.54/0.15)^12 = 4.7384e6."""
    below, above = np.array([1e5, 4.7e6]), np.array([4.8e6, 1e7, 1e9])
    assert face_up_nusselt(below) == pytest.approx(0.54 * below**0.25, rel=1e-12)
    assert face_up_nusselt(above) == pytest.approx(0.15 * above ** (1 / 3), rel=1e-12)


def test_horizontal_cylinder_by_a_second_source() -> None:
    """Row nat-hcyl-morgan. Source: ht 1.2.0, Nu_horizontal_cylinder_Morgan; 10 % is the authors' spread."""
    assert cylinder_nusselt(0.7 * 9e5, 0.7) == pytest.approx(13.523104, rel=0.1)


def test_full_form_beside_second_sources() -> None:
    """The spread the docstrings state, at the sizes of motors.

    Sources: Churchill and Chu's forms for laminar flow, 0.68 + 0.670 Ra^(1/4)/[1 + (0.492/Pr)^(9/16)]^(4/9)
    and 0.36 + 0.518 Ra^(1/4)/[1 + (0.559/Pr)^(9/16)]^(4/9); Morgan 1975, 0.48 Ra^(1/4) (all from memory).
    """
    ra, pr = np.logspace(4.001, 6.0, 100), 0.7
    fourth_root = ra**0.25
    laminar_cylinder = 0.36 + 0.518 * fourth_root / (1.0 + (0.559 / pr) ** (9 / 16)) ** (4 / 9)
    ours = cylinder_nusselt(ra, pr)
    assert np.all((laminar_cylinder > 0.87 * ours) & (laminar_cylinder < 0.98 * ours))
    assert np.all((0.48 * fourth_root > 1.04 * ours) & (0.48 * fourth_root < 1.11 * ours))
    ra = np.logspace(3.0, math.log10(3e6), 100)
    laminar_plate = 0.68 + 0.670 * ra**0.25 / (1.0 + (0.492 / pr) ** (9 / 16)) ** (4 / 9)
    ours = vertical_plate_nusselt(ra, pr)
    assert np.all((laminar_plate > 0.99 * ours) & (laminar_plate < 1.075 * ours))


def test_hot_pipe() -> None:
    """Row nat-pipe-textbook. Source: heat-transfer textbook example (memory): Ra 5.07e6, Nu 23.3, h 7.29.

    Horizontal pipe of 0.1 m at 165 degC in air of 23 degC, emissivity 0.85: 325 W/m by convection and
    441 W/m by radiation, together 766 W/m (763.4 with the printed properties).
    """
    pipe, air, per_metre = 165.0, 23.0, math.pi * 0.1 * (165.0 - 23.0)
    assert rayleigh_number(0.1, pipe, air, SEA_LEVEL_PRESSURE) == pytest.approx(5.07e6, rel=0.04)
    convected = horizontal_cylinder_coefficient(0.1, pipe, air, SEA_LEVEL_PRESSURE)
    radiated = radiation_coefficient(0.85, pipe, air)
    assert convected == pytest.approx(7.29, rel=0.015)
    assert radiated * per_metre == pytest.approx(441.0, rel=0.002)
    assert (convected + radiated) * per_metre == pytest.approx(766.0, rel=0.015)


def test_radiation() -> None:
    """Rows rad-90-25, rad-h-90-25. Source: ht 1.2.0, q_rad."""
    coefficient = radiation_coefficient(0.85, 90.0, 25.0)
    assert coefficient == pytest.approx(7.036737, rel=1e-5)
    assert coefficient * 65.0 == pytest.approx(457.38791, rel=1e-5)


def test_surfaces_that_see_only_each_other() -> None:
    """Row rad-parallel. Source: 1/(1/e1 + 1/e2 - 1) (memory); cylinders by the network of resistances."""
    assert facing_emissivity(0.8, 0.6) == pytest.approx(0.52173913, rel=1e-7)
    # Resistances of surface, space and surface, times sigma and the inner area: 0.25 + 1 + 0.5 (1/0.6 - 1)
    assert facing_emissivity(0.8, 0.6, 0.5) == pytest.approx(1.0 / (0.25 + 1.0 + 1.0 / 3.0), rel=1e-12)
    assert facing_emissivity(0.8, 0.6, 1e-9) == pytest.approx(0.8, rel=1e-8)  # large surroundings


@each_coefficient
def test_no_convection_in_vacuum(coefficient: Coefficient) -> None:
    assert np.all(coefficient(0.05, np.array([25.0, 90.0]), 25.0, 0.0) == 0.0)


@pytest.mark.parametrize(
    ("coefficient", "still"),
    [
        (horizontal_cylinder_coefficient, 0.60**2),
        (vertical_plate_coefficient, 0.825**2),
        (face_up_coefficient, 0.0),
        (face_down_coefficient, 0.0),
    ],
)
def test_without_a_difference_the_law_keeps_its_conduction(coefficient: Coefficient, still: float) -> None:
    """Limit of the published form at Ra 0; conductivity of air at 25 degC by CoolProp 8.0.0."""
    found = coefficient(0.05, np.array([25.0, 25.0]), 25.0, SEA_LEVEL_PRESSURE)
    assert found == pytest.approx([still * 0.026246931 / 0.05] * 2, rel=0.015)


@each_coefficient
def test_a_cold_surface_convects_as_a_warm_one(coefficient: Coefficient) -> None:
    """The laws know the size of the difference only; the film temperature is the same here."""
    warm = coefficient(0.05, 60.0, 20.0, SEA_LEVEL_PRESSURE)
    assert warm == coefficient(0.05, 20.0, 60.0, SEA_LEVEL_PRESSURE)


@each_coefficient
def test_many_temperatures_at_once(coefficient: Coefficient) -> None:
    surface, air = np.array([[40.0], [90.0]]), np.array([-10.0, 20.0, 35.0])
    together = coefficient(0.06, surface, air, 9e4)
    assert together.shape == (2, 3)
    for row, column in np.ndindex(2, 3):
        alone = float(coefficient(0.06, float(surface[row, 0]), float(air[column]), 9e4))
        assert together[row, column] == pytest.approx(alone, rel=1e-13)


def test_rayleigh_number_goes_with_pressure_squared_and_length_cubed() -> None:
    """Its definition: density enters squared through the kinematic viscosity."""
    whole = rayleigh_number(0.1, 80.0, 20.0, SEA_LEVEL_PRESSURE)
    assert rayleigh_number(0.05, 80.0, 20.0, 0.5 * SEA_LEVEL_PRESSURE) == pytest.approx(whole / 32, rel=1e-12)


def test_what_is_outside() -> None:
    assert not out_of_range(CYLINDER_RANGE[0], CYLINDER_RANGE)
    assert out_of_range(np.array([9e3, 1.1e4, 1.1e11]), FACE_UP_RANGE).tolist() == [True, False, True]
    assert out_of_range(np.array([9e4, 1e5, 1.1e10]), FACE_DOWN_RANGE).tolist() == [True, False, True]
    with pytest.raises(InputRangeError, match="length of the surface"):
        rayleigh_number(0.0, 80.0, 20.0, SEA_LEVEL_PRESSURE)
    for emissivity in (-0.1, 1.1, math.nan):
        with pytest.raises(InputRangeError, match="emissivity"):
            radiation_coefficient(np.array([0.5, emissivity]), 80.0, 20.0)
    with pytest.raises(InputRangeError, match="emissivity must be > 0"):
        facing_emissivity(0.5, 0.0)
    with pytest.raises(InputRangeError, match="inner over the outer"):
        facing_emissivity(0.5, 0.5, 1.1)
