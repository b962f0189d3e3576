r"""What carries a motor as a fin: plates as annular fins, brackets as straight ones, joints in series."""

from __future__ import annotations

from math import pi, sqrt
from typing import Final, Literal

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.bessel import scaled_bessel
from core.physics.input_ranges import require_not_negative, require_one_of, require_positive

CONDUCTIVITY: Final = {
    "aluminium": 160.0,
    "steel": 45.0,
    "stainless steel": 15.0,
    "glass-fibre laminate": 0.3,
    "plastic": 0.25,
}
"""Usual thermal conductivities of what motors are mounted to, from memory. [W/(m K)]"""
JOINT_RESISTANCE: Final = {"bare, screwed": 2e-4, "with thermal paste": 3e-5, "painted or gasketed": 1e-3}
"""Usual resistances of a joint times its area, common practice, no source. [K m2/W]"""


def annular_fin_conductance(
    conductivity: float, thickness: float, inner_radius: float, outer_radius: float, coefficient: Numeric
) -> FloatArray:
    r"""Return the conductance from the root of an annular fin to the air, its rim insulated.

    Parameters
    ----------
    conductivity, thickness : float
        Of the plate. [W/(m K), m]
    inner_radius, outer_radius : float
        Of the root and of the rim. [m]
    coefficient : float or ndarray
        Sum of the coefficients of both faces. [W/(m2 K)]

    Returns
    -------
    conductance : ndarray, shape of the coefficient
        [W/K]

    Raises
    ------
    InputRangeError
        If a dimension is not positive, the rim not outside the root or a coefficient negative.

    Notes
    -----
    With :math:`m^2 = h/(k t)`,
    :math:`G = 2\pi r_0 k t m \frac{K_1(m r_0) I_1(m r_1) - I_1(m r_0) K_1(m r_1)}
    {K_0(m r_0) I_1(m r_1) + I_0(m r_0) K_1(m r_1)}`; scaled functions keep large arguments finite.

    References
    ----------
    Annular fin of constant thickness: F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass
    Transfer, extended surfaces (from memory); agrees with a numerical solution.

    Examples
    --------
    >>> round(float(annular_fin_conductance(160.0, 0.005, 0.020625, 0.0825, 14.0)), 6)
    0.268773
    """
    require_positive("conductivity of the plate", conductivity, "W/(m K)")
    require_positive("thickness of the plate", thickness, "m")
    require_positive("radius of the fin's root", inner_radius, "m")
    require_not_negative("coefficient of the fin", coefficient, "W/(m2 K)")
    if not outer_radius > inner_radius:
        raise InputRangeError("radius of the fin's rim", outer_radius, "m", f"> {inner_radius:g} m")
    h = np.asarray(coefficient, dtype=float)
    m = np.sqrt(h / (conductivity * thickness))
    a, b = np.where(m > 0.0, m * inner_radius, 1.0), np.where(m > 0.0, m * outer_radius, 2.0)
    # all four products share e^(b - a) but for the second of each pair, which is smaller by its square
    fade = np.exp(-2.0 * (b - a))
    (i0_a, _), (i1_a, i1_b), (k0_a, _), (k1_a, k1_b) = scaled_bessel(np.array((a, b)))
    above = k1_a * i1_b - i1_a * k1_b * fade
    below = k0_a * i1_b + i0_a * k1_b * fade
    conductance: FloatArray = np.where(
        m > 0.0, 2.0 * pi * inner_radius * conductivity * thickness * m * above / below, 0.0
    )
    return conductance


def equal_area_radius(side: float) -> float:
    r"""Return the radius of the disc that has the area of a square plate.

    Parameters
    ----------
    side : float
        Side of the square. [m]

    Returns
    -------
    radius : float
        :math:`s/\sqrt\pi`. [m]

    Raises
    ------
    InputRangeError
        If the side is not positive.

    Notes
    -----
    As a fin around a round root of diameter d the disc conducts more than the square, never less: by at
    most 0.5 % for sides of 4 d, 1.2 % for 2 d, 2.5 % for 1.5 d, but 7 % for 1.2 d and 22 % for 1.05 d, where
    the middle of each side comes close to the root. That is at an efficiency of the fin of 0.5 to 0.65; a
    plate that conducts well errs far less.

    References
    ----------
    Equal area, common practice, no source; compared with the square plate solved in two dimensions by
    finite elements.

    Examples
    --------
    >>> round(equal_area_radius(0.1), 5)
    0.05642
    """
    require_positive("side of the plate", side, "m")
    return side / sqrt(pi)


def joint_conductance(area: float, joint_resistance: float) -> float:
    """Return the conductance of a joint between two faces.

    Parameters
    ----------
    area : float
        Of the joint. [m2]
    joint_resistance : float
        Its resistance times its area; 0 is a perfect joint. [K m2/W]

    Returns
    -------
    conductance : float
        Infinite for a perfect joint. [W/K]

    Raises
    ------
    InputRangeError
        If the area is not positive or the resistance negative.

    References
    ----------
    Definition.

    Examples
    --------
    >>> joint_conductance(0.001, 2e-4)
    5.0
    """
    require_positive("area of the joint", area, "m2")
    require_not_negative("resistance of the joint", joint_resistance, "K m2/W")
    return area / joint_resistance if joint_resistance > 0.0 else float("inf")


def spreading_resistance(conductivity: float, radius: float) -> float:
    r"""Return the resistance from a disc of one temperature into a half space.

    Parameters
    ----------
    conductivity : float
        Of the body. [W/(m K)]
    radius : float
        Of the disc. [m]

    Returns
    -------
    resistance : float
        :math:`1/(4 k a)`, exact. [K/W]

    Raises
    ------
    InputRangeError
        If an argument is not positive.

    References
    ----------
    H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids (from memory).

    Examples
    --------
    >>> spreading_resistance(160.0, 0.02)
    0.078125
    """
    require_positive("conductivity", conductivity, "W/(m K)")
    require_positive("radius of the contact", radius, "m")
    return 1.0 / (4.0 * conductivity * radius)


def bracket_conductance(
    conductivity: float,
    section: float,
    perimeter: float,
    length: float,
    coefficient: Numeric,
    end: Literal["insulated", "at ambient"] = "at ambient",
) -> FloatArray:
    r"""Return the conductance from the root of a straight bracket to the ambient.

    Parameters
    ----------
    conductivity, section, perimeter, length : float
        Of the bracket. [W/(m K), m2, m, m]
    coefficient : float or ndarray
        Of its surface. [W/(m2 K)]
    end : {"insulated", "at ambient"}
        What its far end meets: nothing, or a large body at ambient temperature. [-]

    Returns
    -------
    conductance : ndarray, shape of the coefficient
        :math:`k A m \tanh m L` or :math:`k A m/\tanh m L`, :math:`m^2 = h P/(k A)`. [W/K]

    Raises
    ------
    InputRangeError
        If a dimension is not positive or a coefficient negative.
    UnitError
        If there is no such end.

    References
    ----------
    Straight fin: F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, extended
    surfaces (from memory).

    Examples
    --------
    Without air it is a bar, k A / L:

    >>> round(float(bracket_conductance(160.0, 1e-4, 0.05, 0.1, 0.0)), 9)
    0.16
    """
    for name, value, unit in (
        ("conductivity of the bracket", conductivity, "W/(m K)"),
        ("section of the bracket", section, "m2"),
        ("perimeter of the bracket", perimeter, "m"),
        ("length of the bracket", length, "m"),
    ):
        require_positive(name, value, unit)
    require_not_negative("coefficient of the bracket", coefficient, "W/(m2 K)")
    require_one_of("end of the bracket", end, ("insulated", "at ambient"))
    m = np.sqrt(np.asarray(coefficient, dtype=float) * perimeter / (conductivity * section))
    bar = conductivity * section
    steep = np.tanh(m * length)
    if end == "insulated":
        return np.asarray(bar * m * steep)
    conductance: FloatArray = np.where(m > 0.0, bar * m / np.where(m > 0.0, steep, 1.0), bar / length)
    return conductance


def in_series(first: Numeric, second: Numeric) -> FloatArray:
    """Return the conductance of two conductances in series; one may be infinite.

    Parameters
    ----------
    first, second : float or ndarray
        [W/K]

    Returns
    -------
    conductance : ndarray, broadcast shape
        0 where one of them is. [W/K]

    Raises
    ------
    InputRangeError
        If one is negative.

    References
    ----------
    Textbook form (from memory).

    Examples
    --------
    >>> float(in_series(1.0, 1.0)), float(in_series(2.0, np.inf)), float(in_series(0.0, 5.0))
    (0.5, 2.0, 0.0)
    """
    require_not_negative("conductance in series", first, "W/K")
    require_not_negative("conductance in series", second, "W/K")
    with np.errstate(divide="ignore"):
        resistance = 1.0 / np.asarray(first, dtype=float) + 1.0 / np.asarray(second, dtype=float)
    conductance: FloatArray = np.asarray(1.0 / resistance)
    return conductance
