r"""Dry air: pressure from altitude, and what convection needs at a temperature and pressure.

Pressure 0 is vacuum: no gas, so neither convection nor conduction through it.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, Numeric
from core.physics.input_ranges import require_not_negative, require_positive
from core.records import dataclass

SEA_LEVEL_PRESSURE: Final = 101325.0
"""[Pa]"""
GAS_CONSTANT: Final = 287.055
"""Of dry air. [J/(kg K)]"""
ALTITUDE_RANGE: Final = (-500.0, 11000.0)
"""Geopotential altitude within which the standard temperature falls evenly. [m]"""
TEMP_RANGE: Final = (-60.0, 350.0)
"""Temperatures for which the property formulas were compared with the reference equation. [degC]"""
HEAT_CAPACITY: Final = 1007.0
"""At constant pressure, 1005 to 1020 J/(kg K) between -20 and 150 degC. [J/(kg K)]"""
_KELVIN: Final = 273.15


@dataclass(frozen=True, slots=True)
class Air:
    """Properties of air; every field has the shape of the temperatures asked for.

    Parameters
    ----------
    density : float or ndarray
        [kg/m3]
    viscosity : float or ndarray
        Dynamic viscosity. [Pa s]
    conductivity : float or ndarray
        Thermal conductivity, 0 in vacuum. [W/(m K)]
    heat_capacity : float
        At constant pressure. [J/(kg K)]
    prandtl : float or ndarray
        Of the gas at any pressure. [-]

    References
    ----------
    As `air_at`.
    """

    density: Numeric
    viscosity: Numeric
    conductivity: Numeric
    heat_capacity: float
    prandtl: Numeric

    @property
    def kinematic_viscosity(self) -> Numeric:
        """Dynamic viscosity over density, infinite in vacuum. [m2/s]"""
        with np.errstate(divide="ignore"):
            return self.viscosity / np.asarray(self.density)


def pressure_at_altitude(altitude: float) -> float:
    r"""Return the pressure of the standard atmosphere.

    Parameters
    ----------
    altitude : float
        Geopotential altitude, -500 to 11000; at 4000 m it differs from the geometric one by 2.5 m. [m]

    Returns
    -------
    pressure : float
        [Pa]

    Raises
    ------
    InputRangeError
        Outside the range in which the standard temperature falls evenly.

    Notes
    -----
    :math:`p = p_0 (1 - 0.0065 H/288.15)^{5.2559}`, the exponent being :math:`g/(R L)`.

    References
    ----------
    ISO 2533, Standard atmosphere (from memory); compared with the package `fluids` 1.3.1.

    Examples
    --------
    >>> round(pressure_at_altitude(1000.0))
    89875
    """
    low, high = ALTITUDE_RANGE
    if not low <= altitude <= high:
        raise InputRangeError("altitude", altitude, "m", f"from {low:g} to {high:g} m")
    exponent = 9.80665 / (287.05287 * 0.0065)
    return float(SEA_LEVEL_PRESSURE * (1.0 - 0.0065 * altitude / 288.15) ** exponent)


def air_at(temp: Numeric, pressure: float = SEA_LEVEL_PRESSURE) -> Air:
    r"""Return the properties of dry air.

    Parameters
    ----------
    temp : float or ndarray
        Temperature. [degC]
    pressure : float, default sea level
        0 is vacuum. [Pa]

    Returns
    -------
    air : Air
        Density within 0.1 %, viscosity and heat capacity within 1.0 %, conductivity within 1.3 %, Prandtl
        number within 2.8 % of the reference equation between -20 and 150 degC; over all of `TEMP_RANGE`
        within 0.2, 2.1, 4.7, 2.0 and 7.9 %. Sea level to 11000 m. [SI]

    Raises
    ------
    InputRangeError
        If the temperature is not above absolute zero or the pressure is negative.

    Notes
    -----
    Ideal gas; :math:`\mu = 1.458\cdot10^{-6}\,T^{1.5}/(T + 110.4)`,
    :math:`k = 2.64638\cdot10^{-3}\,T^{1.5}/(T + 245.4\cdot10^{-12/T})`. Viscosity and conductivity of a
    gas do not depend on the pressure as long as it is dense; in vacuum the conductivity is zero.

    References
    ----------
    U.S. Standard Atmosphere, 1976, equations for viscosity and conductivity (from memory); compared with
    the reference equation of the package `CoolProp` 8.0.0.

    Examples
    --------
    >>> round(float(air_at(20.0).density), 3)  # 101325 / (287.055 * 293.15)
    1.204
    """
    require_not_negative("air pressure", pressure, "Pa")
    kelvin = np.asarray(temp, dtype=float) + _KELVIN
    require_positive("absolute temperature of the air", kelvin, "K")
    root = kelvin**1.5
    viscosity = 1.458e-6 * root / (kelvin + 110.4)
    dense = 2.64638e-3 * root / (kelvin + 245.4 * 10.0 ** (-12.0 / kelvin))
    return Air(
        density=pressure / (GAS_CONSTANT * kelvin),
        viscosity=viscosity,
        conductivity=dense if pressure > 0.0 else np.zeros_like(dense),
        heat_capacity=HEAT_CAPACITY,
        prandtl=viscosity * HEAT_CAPACITY / dense,
    )


def air_outside_range(temp: Numeric) -> BoolArray:
    """Return at which temperatures the properties of air were not compared with the reference equation.

    Parameters
    ----------
    temp : float or ndarray, any shape
        Temperature. [degC]

    Returns
    -------
    outside : ndarray of bool, same shape
        True outside `TEMP_RANGE`. [-]

    References
    ----------
    As `air_at`.

    Examples
    --------
    >>> air_outside_range(np.array([-80.0, 25.0, 400.0])).tolist()
    [True, False, True]
    """
    low, high = TEMP_RANGE
    values = np.asarray(temp, dtype=float)
    outside: BoolArray = (values < low) | (values > high)
    return outside
