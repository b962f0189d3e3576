r"""The way of heat through a wall: a film of air and radiation on either side, conduction between."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.air import air_at
from core.physics.radiation import radiation_coefficient

Film: TypeAlias = Callable[[FloatArray, FloatArray], FloatArray]
"""Coefficient of natural convection from the temperatures of a face and of its air. [W/(m2 K)]"""

_ROUNDS = 16  # a film coefficient goes with the fourth root of its difference: each gains half a digit


def through_wall(
    difference: FloatArray,
    ambient_temp: float,
    slab: float,
    emissivity: float,
    film: Film | None,
) -> FloatArray:
    r"""Return the conductance per area from the air inside to the ambient through a wall.

    Parameters
    ----------
    difference : ndarray, shape (d,)
        Temperature inside above the ambient. [K]
    ambient_temp : float
        Of the air and of all that the outside sees. [degC]
    slab : float
        Thickness over conductivity of the wall. [m2 K/W]
    emissivity : float
        Of both faces. [-]
    film : callable or None
        Natural convection of a face from the temperatures of face and air [degC], both shape (d,), as
        a coefficient [W/(m2 K)]; None is vacuum. [-]

    Returns
    -------
    conductance : ndarray, shape (d,)
        Heat per area and kelvin. [W/(m2 K)]

    Notes
    -----
    :math:`1/U = 1/h_i + s/k + 1/h_o` with :math:`h = h_c + \varepsilon h_r`, each at the temperatures of
    its own face, which are found by repeating. The film inside takes radiation as coming from the air,
    as tables of buildings do. In vacuum the heat inside is radiation that the wall is to absorb:
    :math:`1/h_i = (1-\varepsilon)/(\varepsilon h_r)`, so that with the emitting body the formula of
    grey bodies results.

    References
    ----------
    ISO 6946, combined surface coefficients of convection and radiation (from memory). Grey enclosure:
    A. F. Mills, Heat Transfer, network of surface and space resistances (from memory).

    Examples
    --------
    In vacuum, black, without a slab: 100 over 0 degC is sigma (373.15^4 - 273.15^4) / 100 K.

    >>> round(float(through_wall(np.array([100.0]), 0.0, 0.0, 1.0, None)[0]), 3)
    7.837
    """
    inside = ambient_temp + difference
    inner, outer = ambient_temp + 0.6 * difference, ambient_temp + 0.4 * difference
    ambient = np.full_like(inside, ambient_temp)
    for _ in range(_ROUNDS):
        black_in = radiation_coefficient(1.0, inside, inner)
        black_out = radiation_coefficient(1.0, outer, ambient)
        if film is None:
            r_in = (1.0 - emissivity) / (emissivity * black_in)
            r_out = 1.0 / (emissivity * black_out)
        else:
            r_in = 1.0 / (film(inside, inner) + emissivity * black_in)
            r_out = 1.0 / (film(outer, ambient) + emissivity * black_out)
        conductance: FloatArray = 1.0 / (r_in + slab + r_out)
        inner = inside - difference * conductance * r_in
        outer = ambient_temp + difference * conductance * r_out
    return conductance


def air_capacity(volume: float, temp: float, pressure: float) -> float:
    r"""Return the heat capacity of a volume of air.

    Parameters
    ----------
    volume : float
        [m3]
    temp, pressure : float
        [degC, Pa]

    Returns
    -------
    capacity : float
        At constant pressure; 0 in vacuum. [J/K]

    References
    ----------
    `air.air_at`.

    Examples
    --------
    A cubic metre at 20 degC, 1.204 kg at 1007 J/(kg K):

    >>> round(air_capacity(1.0, 20.0, 101325.0))
    1213
    """
    air = air_at(temp, pressure)
    return float(air.density * air.heat_capacity * volume)


def require_emissivity(whose: str, emissivity: float) -> None:
    """Refuse an emissivity that no wall has.

    Parameters
    ----------
    whose : str
        Wall as the message shall name it. [-]
    emissivity : float
        What was given. [-]

    Raises
    ------
    InputRangeError
        If it is not above 0 and at most 1.

    References
    ----------
    None: input check, no physics. Common practice, no source.
    """
    if not 0.0 < emissivity <= 1.0:
        raise InputRangeError(f"emissivity of the {whose}", emissivity, "", "> 0 and <= 1")
