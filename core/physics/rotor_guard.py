r"""A guard around an open rotor: what its wall and its openings let through to the ambient.

Through the openings go the air that the turning rotor drives and the draught of the warm air inside.
"""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.enclosing_walls import Film, air_capacity, require_emissivity, through_wall
from core.physics.input_ranges import require_positive
from core.physics.natural_convection import GRAVITY, vertical_plate_coefficient
from core.records import dataclass

SWIRL = 0.15
"""Share of the rim's speed whose dynamic pressure drives air through a guard. Assumed, no source. [-]"""

GUARD_CAPACITY = 3.0e3
"""Heat capacity of a guard per area of its wall: 1.5 mm of plastic. Assumed. [J/(m2 K)]"""

KELVIN = 273.15


@dataclass(frozen=True, slots=True)
class RotorGuard:
    """A round guard with openings over rim and face of an open rotor.

    Parameters
    ----------
    open_share : float
        Share of its surface that is open. [-]
    rotor_diameter, rotor_length : float
        Of what turns. [m]
    clearance : float
        From the rotor to the guard. [m]
    emissivity : float, default 0.85
        Of the guard, inside and outside. [-]

    References
    ----------
    Own formulation.
    """

    open_share: float
    rotor_diameter: float
    rotor_length: float
    clearance: float
    emissivity: float = 0.85

    def __post_init__(self) -> None:
        if not 0.0 <= self.open_share <= 1.0:
            raise InputRangeError("open share of the guard", self.open_share, "", "from 0 to 1")
        for name in ("rotor_diameter", "rotor_length", "clearance"):
            require_positive(f"{name.replace('_', ' ')} of the guard", getattr(self, name), "m")
        require_emissivity("guard", self.emissivity)

    @property
    def diameter(self) -> float:
        """Diameter of the guard. [m]"""
        return self.rotor_diameter + 2.0 * self.clearance

    @property
    def area(self) -> float:
        """Area of rim and face, openings included. [m2]"""
        rim = math.pi * self.diameter * (self.rotor_length + self.clearance)
        return rim + 0.25 * math.pi * self.diameter**2


def guard_wall_conductance(
    guard: RotorGuard, difference: FloatArray, ambient_temp: float, pressure: float
) -> FloatArray:
    r"""Return the conductance from the air behind a guard to the ambient through its closed part.

    Parameters
    ----------
    guard : RotorGuard
        The guard. [-]
    difference : ndarray, shape (d,)
        Air behind the guard above the ambient. [K]
    ambient_temp : float
        Of the air around. [degC]
    pressure : float
        Of the air; 0 is vacuum. [Pa]

    Returns
    -------
    conductance : ndarray, shape (d,)
        Of the closed share of rim and face. [W/K]

    Notes
    -----
    `through_wall` without a slab, natural convection of an upright plate as high as the guard. The
    film inside is taken as if the rotor stood, which is the safe side.

    References
    ----------
    Own formulation, no source.

    Examples
    --------
    Black and in vacuum, 100 over 0 degC: 7.837 W/(m2 K) times half of pi (0.1 * 0.05 + 0.05^2) m2.

    >>> half = RotorGuard(0.5, 0.08, 0.04, 0.01, emissivity=1.0)
    >>> round(float(guard_wall_conductance(half, np.array([100.0]), 0.0, 0.0)[0]), 4)
    0.0923
    """
    film: Film | None = None
    if pressure > 0.0:
        film = partial(vertical_plate_coefficient, guard.diameter, pressure=pressure)
    closed = (1.0 - guard.open_share) * guard.area
    conductance: FloatArray = closed * through_wall(difference, ambient_temp, 0.0, guard.emissivity, film)
    return conductance


def guard_capacity(guard: RotorGuard, temp: float, pressure: float) -> float:
    r"""Return the heat capacity of the air behind a guard with half its wall.

    Parameters
    ----------
    guard : RotorGuard
        The guard. [-]
    temp, pressure : float
        Of the air. [degC, Pa]

    Returns
    -------
    capacity : float
        Heat capacity. [J/K]

    References
    ----------
    Own formulation; heat capacity of the wall assumed, no source.

    Examples
    --------
    Half of 3 kJ/(m2 K) on pi (0.1 * 0.05 + 0.05^2) m2 of a closed guard in vacuum:

    >>> round(guard_capacity(RotorGuard(0.0, 0.08, 0.04, 0.01), 20.0, 0.0), 3)
    35.343
    """
    whole = 0.25 * math.pi * guard.diameter**2 * (guard.rotor_length + guard.clearance)
    rotor = 0.25 * math.pi * guard.rotor_diameter**2 * guard.rotor_length
    wall = 0.5 * GUARD_CAPACITY * (1.0 - guard.open_share) * guard.area
    return wall + air_capacity(whole - rotor, temp, pressure)


def screen_openness(open_share: float) -> float:
    r"""Return the face velocity that a dynamic pressure of 1 drives through a screen, 1/sqrt(loss).

    Parameters
    ----------
    open_share : float
        Share of the screen that is open. [-]

    Returns
    -------
    openness : float
        Velocity before the screen over that of the dynamic pressure; endless without a screen. [-]

    Notes
    -----
    Loss of a sharp-edged perforated plate, referred to the velocity before it:
    :math:`\zeta = (0.707\sqrt{1-s} + 1 - s)^2/s^2`.

    References
    ----------
    I. E. Idelchik, Handbook of Hydraulic Resistance, perforated plates (from memory).

    Examples
    --------
    >>> round(screen_openness(0.5), 4)  # 0.707^2 is 0.5: 0.5 / (0.5 + 0.5)
    0.5
    """
    if open_share >= 1.0:
        return math.inf
    return open_share / (0.707 * math.sqrt(1.0 - open_share) + 1.0 - open_share)


def driven_conductance(guard: RotorGuard, speed: float, ambient_temp: float, pressure: float) -> float:
    r"""Return the conductance through the openings of a guard with the air that the rotor drives.

    Parameters
    ----------
    guard : RotorGuard
        Its open share is below 1. [-]
    speed : float
        Of the rotor. [rad/s]
    ambient_temp : float
        Of the air that enters. [degC]
    pressure : float
        Of the air. [Pa]

    Returns
    -------
    conductance : float
        Flow times heat capacity. [W/K]

    Notes
    -----
    :math:`G = \rho c_p \tfrac{A}{2} \tfrac{\kappa\,\omega r}{\sqrt 2}\,\phi(s)`: half of the area A of
    rim and face lets air in and half out, a dynamic pressure of the air behind the guard, which turns
    with the share :math:`\kappa` (`SWIRL`) of the rim's speed, drives it through both screens.
    :math:`\phi` is `screen_openness`. With :math:`\kappa` between 0.05 and 0.4 the flow is a third to
    three times this; the free air of a smooth disc alone would be less.

    References
    ----------
    Own formulation, no source for the swirl.
    """
    rim_speed = 0.5 * guard.rotor_diameter * abs(speed)
    face_velocity = SWIRL * rim_speed / math.sqrt(2.0) * screen_openness(guard.open_share)
    return air_capacity(0.5 * guard.area * face_velocity, ambient_temp, pressure)


def draught_conductance(
    guard: RotorGuard, difference: FloatArray, ambient_temp: float, pressure: float
) -> FloatArray:
    r"""Return the conductance through the openings of a guard with the draught of its warm air.

    Parameters
    ----------
    guard : RotorGuard
        Its open share is below 1. [-]
    difference : ndarray, shape (d,)
        Air behind the guard above the ambient. [K]
    ambient_temp : float
        Of the air that enters. [degC]
    pressure : float
        Of the air. [Pa]

    Returns
    -------
    conductance : ndarray, shape (d,)
        Flow times heat capacity. [W/K]

    Notes
    -----
    :math:`G = \rho c_p \tfrac{A}{2} \sqrt{g H \Delta T/T}\,\phi(s)`: air enters below and leaves above
    through two screens in series; H is half the diameter of the guard, T the ambient in kelvin.

    References
    ----------
    Stack effect through two openings in series, textbook method (from memory).
    """
    lift = GRAVITY * 0.5 * guard.diameter * np.abs(difference) / (ambient_temp + KELVIN)
    flow: FloatArray = 0.5 * guard.area * np.sqrt(lift) * screen_openness(guard.open_share)
    return air_capacity(1.0, ambient_temp, pressure) * flow
