"""Rating life of deep groove ball bearings: the L10 of ISO 281, which nine bearings of ten reach.

Other reliabilities, lubrication and contamination are left out.
"""

from __future__ import annotations

import math

import numpy as np

from core.numeric import BoolArray, FloatArray, Numeric
from core.physics.input_ranges import require_not_negative, require_positive
from core.records import dataclass

BALL_LIFE_EXPONENT = 3.0
RADIAL_FACTOR = 0.56
"""X of a deep groove ball bearing once the axial load counts; same source as `AXIAL_FACTORS`."""

RELATIVE_AXIAL_LOADS = np.array([0.172, 0.345, 0.689, 1.03, 1.38, 2.07, 3.45, 5.17, 6.89])
AXIAL_FACTORS = np.array([2.30, 1.99, 1.71, 1.55, 1.45, 1.31, 1.15, 1.04, 1.00])
"""Y over f0 Fa/C0 [MPa as Fa/(i Z Dw^2)], normal clearance. ISO 281 and ANSI/ABMA 9, as printed in psi in
J. E. Pope (ed.), Rules of Thumb for Mechanical Engineers, table 7a (public page read); in MPa from memory."""


@dataclass(frozen=True, slots=True)
class Bearing:
    """Ratings of one deep groove ball bearing.

    Attributes
    ----------
    dynamic_rating : float
        Basic dynamic load rating C. [N]
    static_rating : float
        Basic static load rating C0. [N]
    geometry_factor : float
        f0 of the bearing, 12 to 16; by default that of the textbook tables over Fa/C0, which for
        most bearings is on the safe side. [-]
    """

    dynamic_rating: float
    static_rating: float
    geometry_factor: float = 12.3

    def __post_init__(self) -> None:
        """Refuse ratings that no bearing has."""
        require_positive("dynamic_rating", self.dynamic_rating, "N")
        require_positive("static_rating", self.static_rating, "N")
        require_positive("geometry_factor", self.geometry_factor, "")


def axial_load_factor(bearing: Bearing, axial_force: Numeric) -> tuple[FloatArray, BoolArray]:
    """Return the factor Y on the axial force of a deep groove ball bearing.

    Parameters
    ----------
    bearing : Bearing
        The bearing. [N]
    axial_force : float or ndarray, any shape
        Axial force on it; the sign does not matter. [N]

    Returns
    -------
    factor : ndarray, shape of `axial_force`
        Y, interpolated over f0 Fa/C0, at the ends of the table held. [-]
    in_table : ndarray of bool, shape of `axial_force`
        Whether the force is within the table; above it (more than about half of C0) the bearing is
        not meant for it. [-]

    References
    ----------
    .. [1] ISO 281, "Rolling bearings - Dynamic load ratings and rating life", factors X and Y of
       radial ball bearings (source of the values at `AXIAL_FACTORS`).

    Examples
    --------
    >>> factor, inside = axial_load_factor(Bearing(2000.0, 1230.0), 103.0)  # 12.3 * 103/1230 = 1.03
    >>> round(float(factor), 9), bool(inside)
    (1.55, True)
    """
    share = bearing.geometry_factor * np.abs(np.asarray(axial_force, float)) / bearing.static_rating
    factor = np.interp(share, RELATIVE_AXIAL_LOADS, AXIAL_FACTORS)
    return np.asarray(factor), np.asarray(share <= RELATIVE_AXIAL_LOADS[-1])


def equivalent_load(bearing: Bearing, radial_force: Numeric, axial_force: Numeric) -> FloatArray:
    r"""Return the radial load that tires a deep groove ball bearing as radial and axial force together.

    Parameters
    ----------
    bearing : Bearing
        The bearing. [N]
    radial_force : float or ndarray, any shape
        Radial force; the sign does not matter. [N]
    axial_force : float or ndarray, shape that broadcasts
        Axial force; the sign does not matter. [N]

    Returns
    -------
    load : ndarray, broadcast shape
        Equivalent dynamic load P. [N]

    Notes
    -----
    .. math:: P = \max(F_r,\; X F_r + Y F_a)

    The standard switches between the two at F_a/F_r = e, where they differ by up to 0.6 %; the larger
    of the two has no step and is never below the standard's.

    References
    ----------
    .. [1] ISO 281, "Rolling bearings - Dynamic load ratings and rating life", dynamic equivalent
       radial load (from memory).

    Examples
    --------
    >>> round(float(equivalent_load(Bearing(2000.0, 1230.0), 100.0, 103.0)), 6)  # 56 + 1.55 * 103
    215.65
    """
    radial = np.abs(np.asarray(radial_force, dtype=float))
    axial = np.abs(np.asarray(axial_force, dtype=float))
    factor, _ = axial_load_factor(bearing, axial)
    return np.asarray(np.maximum(radial, RADIAL_FACTOR * radial + factor * axial))


def rating_life(
    dynamic_rating: Numeric, load: Numeric, life_exponent: float = BALL_LIFE_EXPONENT
) -> FloatArray:
    r"""Return the revolutions that nine bearings of ten reach.

    Parameters
    ----------
    dynamic_rating : float or ndarray, any shape
        Basic dynamic load rating C. [N]
    load : float or ndarray, shape that broadcasts
        Equivalent load P, the mean of the cycle where it changes. [N]
    life_exponent : float, default 3.0
        3 for balls, 10/3 for rollers. [-]

    Returns
    -------
    revolutions : ndarray, broadcast shape
        L10; infinite without load. [revolutions]

    Raises
    ------
    InputRangeError
        If the rating or the exponent is not positive, or the load negative.

    Notes
    -----
    :math:`L_{10} = 10^6 (C/P)^3`. Good for P up to about C/2. A bearing that carries almost nothing
    skids: below about 0.01 C the figure says nothing.

    References
    ----------
    .. [1] ISO 281, "Rolling bearings - Dynamic load ratings and rating life", basic rating life (from
       memory; checked against published examples in the tests).

    Examples
    --------
    >>> float(rating_life(2000.0, 200.0))
    1000000000.0
    """
    require_positive("dynamic rating", dynamic_rating, "N")
    require_not_negative("equivalent load", load, "N")
    require_positive("life exponent", life_exponent, "")
    c, p = np.broadcast_arrays(np.asarray(dynamic_rating, float), np.asarray(load, float))
    ratio = np.divide(c, p, out=np.full(p.shape, np.inf), where=p > 0.0)
    return np.asarray(1e6 * ratio**life_exponent)


def required_rating(
    load: Numeric, revolutions: Numeric, life_exponent: float = BALL_LIFE_EXPONENT
) -> Numeric:
    r"""Return the basic dynamic rating that a load needs for a life.

    Parameters
    ----------
    load : float or ndarray, any shape
        Equivalent load P. [N]
    revolutions : float or ndarray, shape that broadcasts
        Wanted L10. [revolutions]
    life_exponent : float, default 3.0
        As in `rating_life`. [-]

    Returns
    -------
    dynamic_rating : float or ndarray, broadcast shape
        :math:`C = P (L_{10}/10^6)^{1/3}`. [N]

    Raises
    ------
    InputRangeError
        If the life or the exponent is not positive, or the load negative.

    References
    ----------
    .. [1] ISO 281, as in `rating_life`.

    Examples
    --------
    >>> round(required_rating(200.0, 1e9), 6)
    2000.0
    """
    require_not_negative("equivalent load", load, "N")
    require_positive("wanted life", revolutions, "revolutions")
    require_positive("life exponent", life_exponent, "")
    return load * (revolutions / 1e6) ** (1.0 / life_exponent)


def cubic_mean_load(
    loads: FloatArray, revolutions: FloatArray, life_exponent: float = BALL_LIFE_EXPONENT
) -> float:
    r"""Return the constant load that tires a bearing as the loads of a cycle do.

    Parameters
    ----------
    loads : ndarray, shape (m,)
        Equivalent load of every segment. [N]
    revolutions : ndarray, shape (m,)
        Turns of every segment, counted without sign, or anything in proportion: mean |speed| times
        duration. A segment at rest counts nothing. [revolutions]
    life_exponent : float, default 3.0
        As in `rating_life`. [-]

    Returns
    -------
    load : float
        Mean load. [N]

    Raises
    ------
    InputRangeError
        If a load or a number of turns is negative, or the shaft never turns.

    Notes
    -----
    :math:`P_m = (\sum n_i P_i^3 / \sum n_i)^{1/3}`. An oscillating motion of less than about one ball
    spacing is no rolling: there the life does not hold.

    References
    ----------
    .. [1] ISO 281, as in `rating_life`; linear damage rule (from memory).

    Examples
    --------
    >>> round(cubic_mean_load(np.array([100.0, 200.0]), np.array([7.0, 1.0])), 4)  # (15/8)^(1/3) * 100
    123.3106
    """
    require_not_negative("equivalent load", loads, "N")
    require_not_negative("turns of a segment", revolutions, "revolutions")
    total = float(np.sum(revolutions))
    require_positive("turns of the cycle", total, "revolutions")
    return float((np.dot(revolutions, loads**life_exponent) / total) ** (1.0 / life_exponent))


def life_in_hours(revolutions: Numeric, mean_speed: Numeric) -> Numeric:
    """Return how many hours a number of revolutions lasts.

    Parameters
    ----------
    revolutions : float or ndarray, any shape
        Life. [revolutions]
    mean_speed : float or ndarray, shape that broadcasts
        Time mean of the amount of the speed over the whole cycle, dwell included. [rad/s]

    Returns
    -------
    hours : float or ndarray, broadcast shape
        Life. [h]

    Raises
    ------
    InputRangeError
        If the mean speed is not positive.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(life_in_hours(3.6e6, 2.0 * math.pi), 6)  # one turn a second
    1000.0
    """
    require_positive("mean speed", mean_speed, "rad/s")
    return revolutions * (2.0 * math.pi / 3600.0) / mean_speed
