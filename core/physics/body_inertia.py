r"""Moments of inertia of simple bodies, each about a named axis, so that the wrong one is not taken.

A plate that turns about the normal through its middle has a twelfth of the squares of both sides, not
a half; a body away from the axis adds its mass times the square of the distance of its centre.
"""

from __future__ import annotations

import math

from core.errors import InputRangeError
from core.physics.input_ranges import require_not_negative, require_positive

GRAVITY = 9.81
"""Acceleration of fall as the trade rounds it, 0.03 % above the standard value. [m/s2]"""

STEEL_DENSITY = 7850.0
"""Density of steel, common practice, no source. [kg/m3]"""


def disc_inertia(mass: float, radius: float) -> float:
    r"""Return the inertia of a solid disc or cylinder about its own axis.

    Parameters
    ----------
    mass : float
        Mass. [kg]
    radius : float
        Outer radius. [m]

    Returns
    -------
    inertia : float
        :math:`m r^2 / 2`. [kg m2]

    References
    ----------
    First principles.

    Examples
    --------
    >>> disc_inertia(2.0, 0.1)
    0.010000000000000002
    """
    return ring_inertia(mass, 0.0, radius)


def ring_inertia(mass: float, inner_radius: float, outer_radius: float) -> float:
    r"""Return the inertia of a ring or hollow cylinder about its own axis.

    Parameters
    ----------
    mass : float
        Mass. [kg]
    inner_radius : float
        Inner radius. [m]
    outer_radius : float
        Outer radius. [m]

    Returns
    -------
    inertia : float
        :math:`m (r_i^2 + r_o^2) / 2`. [kg m2]

    Raises
    ------
    InputRangeError
        If the inner radius is not below the outer one.

    References
    ----------
    First principles.

    Examples
    --------
    >>> round(ring_inertia(2.0, 0.08, 0.1), 6)
    0.0164
    """
    require_not_negative("mass", mass, "kg")
    require_not_negative("inner radius", inner_radius, "m")
    require_positive("outer radius", outer_radius, "m")
    if not inner_radius < outer_radius:
        raise InputRangeError("inner radius", inner_radius, "m", f"< the outer radius {outer_radius:g}")
    return 0.5 * mass * (inner_radius**2 + outer_radius**2)


def rod_inertia(mass: float, length: float) -> float:
    r"""Return the inertia of a thin rod about the cross axis through its middle.

    Parameters
    ----------
    mass : float
        Mass. [kg]
    length : float
        Length. [m]

    Returns
    -------
    inertia : float
        :math:`m l^2 / 12`; about an end add `offset_inertia` with half the length. [kg m2]

    References
    ----------
    First principles.

    Examples
    --------
    >>> rod_inertia(1.2, 1.0), round(offset_inertia(rod_inertia(1.2, 1.0), 1.2, 0.5), 9)  # m l^2 / 3
    (0.09999999999999999, 0.4)
    """
    return block_inertia(mass, length, 0.0)


def block_inertia(mass: float, first_side: float, second_side: float) -> float:
    r"""Return the inertia of a block about the axis through its middle, normal to the two sides given.

    Parameters
    ----------
    mass : float
        Mass. [kg]
    first_side, second_side : float
        Sides across the axis. [m]

    Returns
    -------
    inertia : float
        :math:`m (a^2 + b^2) / 12`. [kg m2]

    References
    ----------
    First principles.

    Examples
    --------
    >>> round(block_inertia(25.0, 0.4, 0.5), 4)
    0.8542
    """
    for name, value, unit in (("mass", mass, "kg"), ("side", first_side, "m"), ("side", second_side, "m")):
        require_not_negative(name, value, unit)
    return mass / 12.0 * (first_side**2 + second_side**2)


def offset_inertia(inertia: float, mass: float, distance: float) -> float:
    r"""Return the inertia about an axis parallel to that through the centre of mass.

    Parameters
    ----------
    inertia : float
        Inertia about the parallel axis through the centre of mass. [kg m2]
    mass : float
        Mass. [kg]
    distance : float
        Distance of the axes. [m]

    Returns
    -------
    inertia : float
        :math:`J + m e^2`. [kg m2]

    References
    ----------
    Parallel-axis theorem, first principles.

    Examples
    --------
    >>> round(offset_inertia(0.8542, 25.0, 0.2), 4)
    1.8542
    """
    require_not_negative("inertia", inertia, "kg m2")
    require_not_negative("mass", mass, "kg")
    return inertia + mass * distance**2


def screw_inertia(diameter: float, length: float, density: float = STEEL_DENSITY) -> float:
    r"""Return the inertia of a round bar about its own axis, as of the shaft of a screw.

    Parameters
    ----------
    diameter : float
        Diameter; the nominal one of a screw is a little too much. [m]
    length : float
        Length. [m]
    density : float, default 7850
        Density; steel. [kg/m3]

    Returns
    -------
    inertia : float
        :math:`\pi \rho l d^4 / 32`. [kg m2]

    References
    ----------
    First principles; density of steel: common practice, no source.

    Examples
    --------
    >>> round(screw_inertia(0.016, 0.4) * 1e5, 2)
    2.02
    """
    for name, value, unit in (("diameter", diameter, "m"), ("length", length, "m")):
        require_positive(name, value, unit)
    require_positive("density", density, "kg/m3")
    return math.pi / 32.0 * density * length * diameter**4


def kinetic_energy(inertia: float, speed: float) -> float:
    r"""Return the energy that a turning body gives back when it is stopped.

    Parameters
    ----------
    inertia : float
        Inertia. [kg m2]
    speed : float
        Speed. [rad/s]

    Returns
    -------
    energy : float
        :math:`J \omega^2 / 2`. [J]

    References
    ----------
    First principles.

    Examples
    --------
    >>> kinetic_energy(0.02, 10.0)
    1.0
    """
    require_not_negative("inertia", inertia, "kg m2")
    return 0.5 * inertia * speed**2
