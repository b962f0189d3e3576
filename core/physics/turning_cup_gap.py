r"""Air in the gap between a turning cup and the housing around it: heat across it and drag.

The INNER cylinder turns, so that from a Taylor number of 41 on vortices carry heat and momentum.
Coefficients are per area of the cup.
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, Numeric
from core.physics.annular_gap import couette_power, gap_conduction, gap_reynolds
from core.physics.input_ranges import require_not_negative, require_positive

TAYLOR_LIMIT = 3162.0  # 1e7 in the square
# Branches of the friction of the gap: factor and exponent of the Couette-Reynolds number.
GAP_FRICTION = ((10.0, -1.0), (2.0, -0.6), (1.03, -0.5), (0.065, -0.2))
GAP_FRICTION_REYNOLDS = 1e6  # assumed end of the turbulent branch; the abstract names none


def taylor_number(speed: Numeric, inner_radius: float, gap: float, kinematic_viscosity: Numeric) -> Numeric:
    r"""Return the Taylor number of a gap whose inner cylinder turns.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of the inner cylinder; its sign does not matter. [rad/s]
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    taylor : float or ndarray, broadcast shape
        :math:`(|\omega| r g/\nu)\sqrt{g/r}`; other authors call its square so. [-]

    Raises
    ------
    InputRangeError
        If a dimension or the viscosity is not positive.

    References
    ----------
    .. [1] Gap correlation sheet after G. I. Taylor's cylinder tests (read): Ta = Re sqrt(l_g/R_r).

    Examples
    --------
    >>> round(float(taylor_number(1000.0, 0.04, 0.0016, 2e-5)), 1)  # Re 3200 times 0.2
    640.0
    """
    reynolds = gap_reynolds(speed, inner_radius, gap, kinematic_viscosity)
    return reynolds * float(np.sqrt(gap / inner_radius))


def taylor_nusselt(taylor: Numeric, prandtl: Numeric) -> Numeric:
    r"""Return the Nusselt number of a gap whose inner cylinder turns; 2 is plain conduction.

    Parameters
    ----------
    taylor : float or ndarray, any shape
        Taylor number, `taylor_number`. [-]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    nusselt : float or ndarray, broadcast shape
        Of either surface against the middle of the gap, so that the whole gap passes
        :math:`U = (Nu/2)\,k/g`. [-]

    Raises
    ------
    InputRangeError
        If the Taylor number is negative or the Prandtl number not positive.

    Notes
    -----
    2 below Ta 41 (the square, 1708, is the onset of vortices in a narrow gap),
    :math:`0.202 Ta^{0.63}Pr^{0.27}` to 100, :math:`0.386 Ta^{0.5}Pr^{0.27}` above. At
    41 and 100 the published branches jump by -4 % and +5 %; here they meet where they cross (near 44 and
    146), which is continuous, rising, and nowhere more than 5 % off them.

    References
    ----------
    .. [1] Gap correlation sheet after G. I. Taylor's cylinder tests (read).

    Examples
    --------
    >>> round(float(taylor_nusselt(900.0, 1.0)), 2)  # 0.386 * 30
    11.58
    """
    require_not_negative("Taylor number", taylor, "")
    require_positive("Prandtl number", prandtl, "")
    vortices = np.minimum(0.202 * np.power(taylor, 0.63), 0.386 * np.sqrt(taylor))
    nusselt: Numeric = np.maximum(2.0, vortices * np.power(prandtl, 0.27))
    return nusselt


def turning_inner_coefficient(
    speed: Numeric,
    inner_radius: float,
    gap: float,
    kinematic_viscosity: Numeric,
    conductivity: Numeric,
    prandtl: Numeric,
) -> Numeric:
    r"""Return the coefficient of the whole gap from the turning inner to the resting outer cylinder.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of the inner cylinder; its sign does not matter. [rad/s]
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]
    conductivity : float or ndarray, shape that broadcasts
        Thermal conductivity of the air. [W/(m K)]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    coefficient : float or ndarray, broadcast shape
        Surface to surface, per inner area. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If a dimension or property of the air is not positive.

    Notes
    -----
    :math:`(Nu/2)` times the conduction of the gap. Nu belongs to one film and there are two in a row:
    taking Nu k/g doubles the heat.

    References
    ----------
    .. [1] See `taylor_nusselt` and `gap_conduction`.

    Examples
    --------
    >>> still = gap_conduction(0.04, 0.0016, 0.03)
    >>> moved = turning_inner_coefficient(1000.0, 0.04, 0.0016, 2e-5, 0.03, 1.0)
    >>> round(float(moved / still), 2)  # 0.386 sqrt(640) / 2
    4.88
    """
    nusselt = taylor_nusselt(taylor_number(speed, inner_radius, gap, kinematic_viscosity), prandtl)
    return 0.5 * nusselt * gap_conduction(inner_radius, gap, conductivity)


def taylor_outside_range(
    speed: Numeric, inner_radius: float, gap: float, kinematic_viscosity: Numeric
) -> BoolArray:
    """Return at which speeds the heat through a gap with its inner cylinder turning is not backed.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of the inner cylinder. [rad/s]
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    outside : ndarray of bool, broadcast shape
        True above `TAYLOR_LIMIT`. [-]

    References
    ----------
    .. [1] K. M. Becker, J. Kaye, J. Heat Transfer 84 (1962): Ta^2 up to 1e7 (from memory).

    Examples
    --------
    >>> taylor_outside_range([100.0, 8000.0], 0.04, 0.0016, 2e-5).tolist()  # Ta 64, 5120
    [False, True]
    """
    return np.asarray(taylor_number(speed, inner_radius, gap, kinematic_viscosity)) > TAYLOR_LIMIT


def gap_moment_coefficient(reynolds: Numeric, gap_ratio: Numeric) -> Numeric:
    r"""Return the moment coefficient of a gap whose inner cylinder turns.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        Couette-Reynolds number, `gap_reynolds`. [-]
    gap_ratio : float or ndarray, shape that broadcasts
        Gap over inner radius. [-]

    Returns
    -------
    coefficient : float or ndarray, broadcast shape
        :math:`C_m` of :math:`M = C_m\,\frac{\pi}{2}\rho\omega^2 r^4 L`. [-]

    Raises
    ------
    InputRangeError
        If one of them is not positive.

    Notes
    -----
    :math:`(g/r)^{0.3}` times the largest of :math:`10/Re`, :math:`2 Re^{-0.6}`, :math:`1.03 Re^{-0.5}`
    and :math:`0.065 Re^{-0.2}`. The published limits 64, 500 and 1e4 leave jumps of up to 6 %; the
    largest is continuous and never more than 6 % off them. The laminar branch equals the
    exact 4/Re near g/r = 0.05 only, see `turning_inner_power`.

    References
    ----------
    .. [1] E. Bilgen, R. Boulos, Functional dependence of torque coefficient of coaxial cylinders on gap
       width and Reynolds numbers, J. Fluids Eng. 95 (1973) 122. Abstract read, constants from memory.

    Examples
    --------
    >>> round(float(gap_moment_coefficient(2500.0, 1.0)), 4)  # 1.03 / 50
    0.0206
    """
    require_positive("Reynolds number of the gap", reynolds, "")
    require_positive("gap over radius", gap_ratio, "")
    Re = np.asarray(reynolds, float)
    branches = [factor * Re**exponent for factor, exponent in GAP_FRICTION]
    largest = np.maximum(np.maximum(branches[0], branches[1]), np.maximum(branches[2], branches[3]))
    coefficient: Numeric = np.power(gap_ratio, 0.3) * largest
    return coefficient


def turning_inner_power(
    speed: Numeric,
    inner_radius: float,
    gap: float,
    length: float,
    density: Numeric,
    dynamic_viscosity: Numeric,
) -> Numeric:
    r"""Return the drag power of a gap whose inner cylinder turns.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of the inner cylinder; its sign does not matter. [rad/s]
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    length : float
        Axial length. [m]
    density : float or ndarray, shape that broadcasts
        Density of the air. [kg/m3]
    dynamic_viscosity : float or ndarray, shape that broadcasts
        Dynamic viscosity of the air. [Pa s]

    Returns
    -------
    power : float or ndarray, broadcast shape
        The larger of the measured law and the exact laminar flow. [W]

    Raises
    ------
    InputRangeError
        If a dimension or property of the air is not positive.

    References
    ----------
    .. [1] See `gap_moment_coefficient` and `couette_power`.

    Examples
    --------
    >>> slow = turning_inner_power(1.0, 0.03, 0.0005, 0.01, 1.2, 2e-5)  # laminar: nothing is added
    >>> slow == couette_power(1.0, 0.03, 0.0005, 0.01, 2e-5)
    np.True_
    """
    require_positive("density of the air", density, "kg/m3")
    floor = couette_power(speed, inner_radius, gap, length, dynamic_viscosity)
    reynolds = gap_reynolds(speed, inner_radius, gap, dynamic_viscosity / np.asarray(density, float))
    # at rest the coefficient has no value; the floor, zero, is then the larger one in any case
    coefficient = gap_moment_coefficient(np.maximum(reynolds, 1e-9), gap / inner_radius)
    moment_size = 0.5 * np.pi * length * inner_radius**4
    measured = coefficient * density * np.abs(speed) ** 3 * moment_size
    power: Numeric = np.maximum(measured, floor)
    return power


def gap_friction_outside_range(
    speed: Numeric, inner_radius: float, gap: float, kinematic_viscosity: Numeric
) -> BoolArray:
    """Return at which speeds the drag of a gap with its inner cylinder turning is not backed.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of the inner cylinder. [rad/s]
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    outside : ndarray of bool, broadcast shape
        True above `GAP_FRICTION_REYNOLDS`. [-]

    References
    ----------
    .. [1] Assumed, see the constant.

    Examples
    --------
    >>> bool(gap_friction_outside_range(1000.0, 0.03, 0.0006, 1.8e-5))
    False
    """
    return np.asarray(gap_reynolds(speed, inner_radius, gap, kinematic_viscosity)) > GAP_FRICTION_REYNOLDS
