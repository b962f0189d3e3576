r"""Natural convection from surfaces in free air.

Properties are taken at the film temperature, the mean of surface and air. At no temperature difference the
formulas keep the small conduction limit of still air; in vacuum there is nothing.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from core.numeric import BoolArray, FloatArray, Numeric
from core.physics.air import Air, air_at
from core.physics.input_ranges import require_positive

GRAVITY: Final = 9.80665
"""[m/s2]"""
CYLINDER_RANGE: Final = (0.0, 1e12)
"""Rayleigh numbers of the horizontal cylinder. [-]"""
PLATE_RANGE: Final = (0.0, 1e12)
"""Rayleigh numbers of the vertical plate. [-]"""
FACE_UP_RANGE: Final = (1e4, 1e11)
"""Rayleigh numbers of the horizontal plate, hot face up; below 1e4 the laminar law goes on. [-]"""
FACE_DOWN_RANGE: Final = (1e5, 1e10)
"""Rayleigh numbers of the horizontal plate, hot face down; below 1e5 the law goes on. [-]"""
_KELVIN: Final = 273.15


def rayleigh_number(length: float, surface_temp: Numeric, air_temp: Numeric, pressure: float) -> FloatArray:
    r"""Return the Rayleigh number of a surface in air.

    Parameters
    ----------
    length : float
        Characteristic length. [m]
    surface_temp, air_temp : float or ndarray
        Temperatures, broadcast against each other. [degC]
    pressure : float
        [Pa]

    Returns
    -------
    rayleigh : ndarray, broadcast shape
        :math:`g \beta |\Delta T| L^3 Pr/\nu^2`, 0 in vacuum. [-]

    Raises
    ------
    InputRangeError
        If the length is not positive.

    References
    ----------
    F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, free convection (from memory).

    Examples
    --------
    Air at 55 degC: 9.807 / 328.15 * 60 * 0.05**3 * 0.7005 / 1.8372e-5**2

    >>> round(float(rayleigh_number(0.05, 85.0, 25.0, 101325.0)) / 1e5, 2)
    4.65
    """
    return _film(length, surface_temp, air_temp, pressure)[0]


def cylinder_nusselt(rayleigh: Numeric, prandtl: Numeric) -> FloatArray:
    r"""Return the mean Nusselt number of a horizontal cylinder, on its diameter.

    Parameters
    ----------
    rayleigh, prandtl : float or ndarray
        [-]

    Returns
    -------
    nusselt : ndarray, broadcast shape
        :math:`(0.60 + 0.387 Ra^{1/6}/[1 + (0.559/Pr)^{9/16}]^{8/27})^2`, Ra up to 1e12. [-]

    Notes
    -----
    The form for all flow. From Ra 1e4 to 1e6 their form for laminar flow gives 2 to 12 % less, Morgan's
    law 5 to 11 % more: the full form stands between them.

    References
    ----------
    S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049 (from memory); compared with
    the package `ht` 1.2.0.

    Examples
    --------
    >>> round(float(cylinder_nusselt(0.7 * 9e5, 0.7)), 2)
    12.75
    """
    blocked = (1.0 + (0.559 / np.asarray(prandtl)) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    nusselt: FloatArray = (0.60 + 0.387 * np.asarray(rayleigh) ** (1.0 / 6.0) / blocked) ** 2
    return nusselt


def vertical_plate_nusselt(rayleigh: Numeric, prandtl: Numeric) -> FloatArray:
    r"""Return the mean Nusselt number of a vertical plate, on its height.

    Parameters
    ----------
    rayleigh, prandtl : float or ndarray
        [-]

    Returns
    -------
    nusselt : ndarray, broadcast shape
        :math:`(0.825 + 0.387 Ra^{1/6}/[1 + (0.492/Pr)^{9/16}]^{8/27})^2`, Ra up to 1e12. [-]

    Notes
    -----
    The form for all flow. Their form for laminar flow, recommended below Ra 1e9, gives up to 7.5 % more from
    Ra 1e3 to 3e6: the full form errs to the hotter side at the size of a motor and its plate.

    References
    ----------
    S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323 (from memory); compared with
    the package `ht` 1.2.0.

    Examples
    --------
    >>> round(float(vertical_plate_nusselt(0.7 * 1e5, 0.7)), 2)
    8.44
    """
    blocked = (1.0 + (0.492 / np.asarray(prandtl)) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    nusselt: FloatArray = (0.825 + 0.387 * np.asarray(rayleigh) ** (1.0 / 6.0) / blocked) ** 2
    return nusselt


def face_up_nusselt(rayleigh: Numeric) -> FloatArray:
    r"""Return the mean Nusselt number of a horizontal plate with its hot face up, on area over perimeter.

    Parameters
    ----------
    rayleigh : float or ndarray
        [-]

    Returns
    -------
    nusselt : ndarray, broadcast shape
        The larger of :math:`0.54 Ra^{1/4}` and :math:`0.15 Ra^{1/3}`. [-]

    Notes
    -----
    The two meet at :math:`Ra = 3.6^{12}`, 4.74e6. The source changes from one to the other at 1e7, with a
    step of 6.4 %; here they change where they meet, so that the law has no step.

    References
    ----------
    W. H. McAdams, Heat Transmission (from memory); compared with the package `ht` 1.2.0.

    Examples
    --------
    >>> round(float(face_up_nusselt(0.7e6)), 2)
    15.62
    """
    ra = np.asarray(rayleigh, dtype=float)
    nusselt: FloatArray = np.maximum(0.54 * ra**0.25, 0.15 * np.cbrt(ra))
    return nusselt


def face_down_nusselt(rayleigh: Numeric) -> FloatArray:
    r"""Return the mean Nusselt number of a horizontal plate with its hot face down, on area over perimeter.

    Parameters
    ----------
    rayleigh : float or ndarray
        [-]

    Returns
    -------
    nusselt : ndarray, broadcast shape
        :math:`0.27 Ra^{1/4}`, half of what the upper face has. [-]

    References
    ----------
    W. H. McAdams, Heat Transmission (from memory); compared with the package `ht` 1.2.0.

    Examples
    --------
    >>> round(float(face_down_nusselt(0.7e6)), 2)
    7.81
    """
    nusselt: FloatArray = 0.27 * np.asarray(rayleigh, dtype=float) ** 0.25
    return nusselt


def horizontal_cylinder_coefficient(
    diameter: float, surface_temp: Numeric, air_temp: Numeric, pressure: float
) -> FloatArray:
    r"""Return the coefficient of natural convection of a horizontal cylinder.

    Parameters
    ----------
    diameter : float
        [m]
    surface_temp, air_temp : float or ndarray
        [degC]
    pressure : float
        [Pa]

    Returns
    -------
    coefficient : ndarray, broadcast shape
        Nu k/D at the film temperature. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If the diameter is not positive.

    References
    ----------
    As `cylinder_nusselt`.

    Examples
    --------
    Ra 4.651e5 gives Nu 11.73; times 0.02841 W/(m K) / 0.05 m

    >>> round(float(horizontal_cylinder_coefficient(0.05, 85.0, 25.0, 101325.0)), 2)
    6.67
    """
    rayleigh, air = _film(diameter, surface_temp, air_temp, pressure)
    coefficient: FloatArray = cylinder_nusselt(rayleigh, air.prandtl) * air.conductivity / diameter
    return coefficient


def vertical_plate_coefficient(
    height: float, surface_temp: Numeric, air_temp: Numeric, pressure: float
) -> FloatArray:
    r"""Return the coefficient of natural convection of a vertical plate.

    Parameters
    ----------
    height : float
        [m]
    surface_temp, air_temp : float or ndarray
        [degC]
    pressure : float
        [Pa]

    Returns
    -------
    coefficient : ndarray, broadcast shape
        Nu k/L at the film temperature. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If the height is not positive.

    References
    ----------
    As `vertical_plate_nusselt`.

    Examples
    --------
    Ra 2.598e6 gives Nu 21.40; times 0.02746 W/(m K) / 0.1 m

    >>> round(float(vertical_plate_coefficient(0.1, 60.0, 25.0, 101325.0)), 2)
    5.88
    """
    rayleigh, air = _film(height, surface_temp, air_temp, pressure)
    coefficient: FloatArray = vertical_plate_nusselt(rayleigh, air.prandtl) * air.conductivity / height
    return coefficient


def face_up_coefficient(
    area_over_perimeter: float, surface_temp: Numeric, air_temp: Numeric, pressure: float
) -> FloatArray:
    r"""Return the coefficient of natural convection of a horizontal plate, hot face up.

    Parameters
    ----------
    area_over_perimeter : float
        [m]
    surface_temp, air_temp : float or ndarray
        [degC]
    pressure : float
        [Pa]

    Returns
    -------
    coefficient : ndarray, broadcast shape
        [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If the length is not positive.

    References
    ----------
    As `face_up_nusselt`.

    Examples
    --------
    >>> float(face_up_coefficient(0.025, 25.0, 25.0, 101325.0))  # nothing rises where nothing is warmer
    0.0
    """
    rayleigh, air = _film(area_over_perimeter, surface_temp, air_temp, pressure)
    coefficient: FloatArray = face_up_nusselt(rayleigh) * air.conductivity / area_over_perimeter
    return coefficient


def face_down_coefficient(
    area_over_perimeter: float, surface_temp: Numeric, air_temp: Numeric, pressure: float
) -> FloatArray:
    r"""Return the coefficient of natural convection of a horizontal plate, hot face down.

    Parameters
    ----------
    area_over_perimeter : float
        [m]
    surface_temp, air_temp : float or ndarray
        [degC]
    pressure : float
        [Pa]

    Returns
    -------
    coefficient : ndarray, broadcast shape
        [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If the length is not positive.

    References
    ----------
    As `face_down_nusselt`.

    Examples
    --------
    >>> up = face_up_coefficient(0.025, 85.0, 25.0, 101325.0)
    >>> round(float(face_down_coefficient(0.025, 85.0, 25.0, 101325.0) / up), 9)
    0.5
    """
    rayleigh, air = _film(area_over_perimeter, surface_temp, air_temp, pressure)
    coefficient: FloatArray = face_down_nusselt(rayleigh) * air.conductivity / area_over_perimeter
    return coefficient


def out_of_range(rayleigh: Numeric, bounds: tuple[float, float]) -> BoolArray:
    """Return where a correlation is used outside its range of Rayleigh numbers.

    Parameters
    ----------
    rayleigh : float or ndarray
        [-]
    bounds : tuple of float
        One of the ranges of this module. [-]

    Returns
    -------
    outside : ndarray of bool, shape of the Rayleigh numbers
        [-]

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> out_of_range(np.array([1e3, 1e6]), FACE_UP_RANGE).tolist()
    [True, False]
    """
    ra = np.asarray(rayleigh, dtype=float)
    outside: BoolArray = (ra < bounds[0]) | (ra > bounds[1])
    return outside


def _film(length: float, surface_temp: Numeric, air_temp: Numeric, pressure: float) -> tuple[FloatArray, Air]:
    """Return the Rayleigh number of a surface and the air between its temperature and that of the air."""
    require_positive("length of the surface", length, "m")
    film = 0.5 * (np.asarray(surface_temp, dtype=float) + air_temp)
    air = air_at(film, pressure)
    difference = np.abs(np.asarray(surface_temp, dtype=float) - air_temp)
    expansion = 1.0 / (film + _KELVIN)
    rayleigh: FloatArray = np.asarray(
        GRAVITY * expansion * difference * length**3 * air.prandtl * (air.density / air.viscosity) ** 2
    )
    return rayleigh, air
