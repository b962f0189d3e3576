r"""What limits peak torque besides the drive: saturation of the iron and demagnetisation.

Saturation: up to the linear current the torque is :math:`k_t I`; above it the torque per ampere falls
along a hyperbola that starts with the same slope and has one free parameter, the bend q:

.. math:: T = k_t I_l \left(1 + \frac{x}{1 + q x}\right), \qquad x = \frac{I}{I_l} - 1

q = 0 is the linear machine, and no current makes more than :math:`k_t I_l (1 + 1/q)`.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class SaturationLaw:
    """How the torque per ampere falls.

    Attributes
    ----------
    linear_current : float
        Up to here torque is proportional to current; link ampere or peak phase ampere, as the
        torque constant. [A]
    bend : float
        Parameter q; zero leaves the machine linear. [-]
    """

    linear_current: float
    bend: float

    def __post_init__(self) -> None:
        """Refuse laws that would let the torque per ampere rise."""
        require_positive("linear current", self.linear_current, "A")
        require_finite("linear current", self.linear_current, "A")
        require_not_negative("bend of the saturation", self.bend, "")
        require_finite("bend of the saturation", self.bend, "")


def saturation_from_point(
    torque_constant: float, linear_current: float, current: float, torque: float
) -> SaturationLaw:
    r"""Return the saturation law that passes through a measured or stated point.

    Parameters
    ----------
    torque_constant : float
        Torque per ampere of the linear range, at the magnet temperature of the point. [N m/A]
    linear_current : float
        End of the linear range. [A]
    current : float
        Current of the point, above the linear current. [A]
    torque : float
        Electromagnetic torque of the point. [N m]

    Returns
    -------
    law : SaturationLaw
        The law. [A, -]

    Raises
    ------
    InputRangeError
        If the constants are not positive, the current is not above the linear one, or the torque is
        not above that of the linear current and at most that of the linear machine.

    Notes
    -----
    With :math:`y = T/(k_t I_l) - 1` the bend is :math:`q = 1/y - 1/x`.

    References
    ----------
    .. [1] Hyperbola of the kind that O. Froelich used for magnetisation curves (from memory); its use
       for the torque of a motor beyond a linear range is common practice, no source.

    Examples
    --------
    Twice the linear current makes 1.5 times the torque, three times would make 1 + 2/3:

    >>> law = saturation_from_point(0.1, 10.0, 20.0, 1.5)
    >>> law.bend, round(float(saturated_torque(law, 0.1, 30.0)), 6)
    (1.0, 1.666667)
    """
    require_positive("torque constant", torque_constant, "N m/A")
    require_positive("linear current", linear_current, "A")
    x = current / linear_current - 1.0
    require_positive("current of the point less the linear current", x * linear_current, "A")
    linear_torque = torque_constant * linear_current
    y = torque / linear_torque - 1.0
    if not 0.0 < y <= x * (1.0 + 1e-12):
        rule = f"above {linear_torque:g} N m and at most {torque_constant * current:g} N m"
        raise InputRangeError("torque of the saturation point", torque, "N m", rule)
    return SaturationLaw(linear_current, max(1.0 / y - 1.0 / x, 0.0))


def saturated_torque(law: SaturationLaw, torque_constant: Numeric, current: Numeric) -> FloatArray:
    """Return the electromagnetic torque of a current, with saturation.

    Parameters
    ----------
    law : SaturationLaw
        The law. [A, -]
    torque_constant : float or ndarray, any shape
        Torque per ampere of the linear range, at the magnet temperature. [N m/A]
    current : float or ndarray, shape that broadcasts
        Current with sign. [A]

    Returns
    -------
    torque : ndarray, broadcast shape
        Torque with the sign of the current. [N m]

    References
    ----------
    .. [1] As in `saturation_from_point`.

    Examples
    --------
    >>> float(saturated_torque(SaturationLaw(10.0, 1.0), 0.1, -20.0))
    -1.5
    """
    amount = np.abs(np.asarray(current, dtype=float)) / law.linear_current
    beyond = np.maximum(amount - 1.0, 0.0)
    effective = np.minimum(amount, 1.0) + beyond / (1.0 + law.bend * beyond)
    return np.asarray(torque_constant * law.linear_current * effective * np.sign(current))


def saturated_current(law: SaturationLaw, torque_constant: Numeric, em_torque: Numeric) -> FloatArray:
    """Return the current of an electromagnetic torque, with saturation.

    Parameters
    ----------
    law : SaturationLaw
        The law. [A, -]
    torque_constant : float or ndarray, any shape
        Torque per ampere of the linear range, at the magnet temperature. [N m/A]
    em_torque : float or ndarray, shape that broadcasts
        Torque with sign. [N m]

    Returns
    -------
    current : ndarray, broadcast shape
        Current with the sign of the torque, infinite where no current makes it. Exact inverse of
        `saturated_torque`; squared over that of the linear machine it is the factor on the copper
        loss. [A]

    References
    ----------
    .. [1] As in `saturation_from_point`.

    Examples
    --------
    >>> law = SaturationLaw(10.0, 1.0)
    >>> [round(float(saturated_current(law, 0.1, torque)), 9) for torque in (0.5, 1.5, 2.0)]
    [5.0, 20.0, inf]
    """
    amount = np.abs(np.asarray(em_torque, dtype=float)) / (torque_constant * law.linear_current)
    beyond = np.maximum(amount - 1.0, 0.0)
    slope = 1.0 - law.bend * beyond
    more = np.divide(beyond, slope, out=np.full(np.shape(beyond), np.inf), where=slope > 0.0)
    return np.asarray(law.linear_current * (np.minimum(amount, 1.0) + more) * np.sign(em_torque))


@dataclass(frozen=True, slots=True)
class DemagnetisationLimit:
    """Currents above which the magnets lose flux for good, at two magnet temperatures.

    Attributes
    ----------
    first_temp : float
        Magnet temperature. [degC]
    first_current : float
        Limit there, as peak phase or link current. [A]
    second_temp : float
        Another magnet temperature. [degC]
    second_current : float
        Limit there. [A]
    """

    first_temp: float
    first_current: float
    second_temp: float
    second_current: float

    def __post_init__(self) -> None:
        """Refuse points that give no line."""
        for name in ("first", "second"):
            require_finite(f"{name} magnet temperature", getattr(self, f"{name}_temp"), "degC")
            require_positive(f"{name} demagnetisation current", getattr(self, f"{name}_current"), "A")
        if self.first_temp == self.second_temp:
            raise InputRangeError(
                "second magnet temperature", self.second_temp, "degC", "another than the first"
            )


def demagnetisation_current(limit: DemagnetisationLimit, magnet_temp: Numeric) -> FloatArray:
    """Return the largest current that leaves the magnets whole at their temperature.

    Parameters
    ----------
    limit : DemagnetisationLimit
        Two points. [degC, A]
    magnet_temp : float or ndarray, any shape
        Magnet temperature. [degC]

    Returns
    -------
    current : ndarray, shape of `magnet_temp`
        Hard limit for every instant, transients included. [A]

    Notes
    -----
    Straight line through the points; beyond them it falls on but never rises above the higher of the
    two, and never below zero. Magnets of neodymium get weaker hot, those of ferrite cold.

    References
    ----------
    .. [1] Common practice, no source: the coercivity of rare-earth magnets falls nearly linearly with
       temperature.

    Examples
    --------
    >>> line = DemagnetisationLimit(20.0, 60.0, 120.0, 20.0)
    >>> demagnetisation_current(line, np.array([-20.0, 70.0, 120.0, 200.0])).tolist()
    [60.0, 40.0, 20.0, 0.0]
    """
    share = (np.asarray(magnet_temp, dtype=float) - limit.first_temp) / (limit.second_temp - limit.first_temp)
    line = limit.first_current + share * (limit.second_current - limit.first_current)
    return np.asarray(np.clip(line, 0.0, max(limit.first_current, limit.second_current)))
