r"""Radiation between grey surfaces, as a coefficient of the temperature difference."""

from __future__ import annotations

from typing import Final

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric

STEFAN_BOLTZMANN: Final = 5.670374419e-8
"""[W/(m2 K4)]"""
_KELVIN: Final = 273.15


def radiation_coefficient(emissivity: Numeric, temp: Numeric, surrounding_temp: Numeric) -> FloatArray:
    r"""Return the coefficient of radiation of a grey surface that sees only large surroundings.

    Parameters
    ----------
    emissivity : float or ndarray
        Of the surface, or effective between two that face each other. [-]
    temp, surrounding_temp : float or ndarray
        [degC]

    Returns
    -------
    coefficient : ndarray, broadcast shape
        :math:`\varepsilon\sigma(T_1^2 + T_2^2)(T_1 + T_2)` with temperatures in kelvin: exact, since
        times the difference it is the difference of the fourth powers. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If an emissivity is not between 0 and 1.

    References
    ----------
    Stefan-Boltzmann law, textbook form (from memory); compared with the package `ht` 1.2.0.

    Examples
    --------
    >>> round(float(radiation_coefficient(0.85, 90.0, 25.0)), 3)
    7.037
    """
    _require_emissivity(emissivity)
    one, two = np.asarray(temp, dtype=float) + _KELVIN, np.asarray(surrounding_temp, dtype=float) + _KELVIN
    coefficient: FloatArray = emissivity * STEFAN_BOLTZMANN * (one**2 + two**2) * (one + two)
    return coefficient


def facing_emissivity(first: float, second: float, area_ratio: float = 1.0) -> float:
    r"""Return the effective emissivity between two surfaces that see only each other.

    Parameters
    ----------
    first, second : float
        Emissivities; the first surface is the inner or smaller one. [-]
    area_ratio : float, default 1
        Area of the first over that of the second: 1 for close parallel surfaces, the ratio of radii for
        cylinders within each other. [-]

    Returns
    -------
    emissivity : float
        :math:`1/(1/\varepsilon_1 + (A_1/A_2)(1/\varepsilon_2 - 1))`, on the first area. [-]

    Raises
    ------
    InputRangeError
        If an emissivity is not above 0 and at most 1, or the ratio not above 0 and at most 1.

    References
    ----------
    Exchange between two grey surfaces, textbook form (from memory).

    Examples
    --------
    >>> round(facing_emissivity(0.8, 0.6), 4)
    0.5217
    """
    for value in (first, second):
        _require_emissivity(value)
        if value == 0.0:
            raise InputRangeError("emissivity", value, "", "> 0 and <= 1")
    if not 0.0 < area_ratio <= 1.0:
        raise InputRangeError("area of the inner over the outer surface", area_ratio, "", "> 0 and <= 1")
    return 1.0 / (1.0 / first + area_ratio * (1.0 / second - 1.0))


def _require_emissivity(emissivity: Numeric) -> None:
    values = np.asarray(emissivity, dtype=float)
    if not ((values >= 0.0) & (values <= 1.0)).all():
        wrong = float(values[~((values >= 0.0) & (values <= 1.0))].flat[0])
        raise InputRangeError("emissivity", wrong, "", "from 0 to 1")
