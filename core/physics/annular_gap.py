r"""Air in the gap between two coaxial cylinders as long as it flows in layers: heat across it and drag.

The magnetic gap of an outer-rotor motor has its OUTER cylinder turning: stable at any speed of
interest, so it conducts and shears like a solid layer. Where the INNER cylinder turns, see
`turning_cup_gap`. Coefficients are per area of the inner cylinder.
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, Numeric
from core.physics.input_ranges import require_positive

# Assumed, cautious: plane Couette flow stays laminar up to about 1300 of speed difference times width
# over viscosity (from memory), and lacks the stabilising curvature.
MAGNETIC_GAP_REYNOLDS = 1300.0


def gap_conduction(inner_radius: float, gap: float, conductivity: Numeric) -> Numeric:
    r"""Return the conductance of the still air in a cylindrical gap per inner area.

    This is all of it, at any speed, where the outer cylinder turns and the inner one rests; radiation
    comes beside it.

    Parameters
    ----------
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    conductivity : float or ndarray, any shape
        Thermal conductivity of the air. [W/(m K)]

    Returns
    -------
    coefficient : float or ndarray, same shape
        :math:`k/(r\ln(1+g/r))`, close to k/g in a thin gap. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If a dimension or the conductivity is not positive.

    References
    ----------
    .. [1] Exact for coaxial cylinders. Outer cylinder turning is stable by Rayleigh's criterion, angular
       momentum growing outwards: A. Esser, S. Grossmann, Analytic expression for Taylor-Couette
       stability boundary, Phys. Fluids 8 (1996) (criterion read).

    Examples
    --------
    >>> round(float(gap_conduction(1.0, 1e-3, 0.03)), 2)  # 30 (1 + g/2r)
    30.01
    """
    require_positive("inner radius of the gap", inner_radius, "m")
    require_positive("gap", gap, "m")
    require_positive("thermal conductivity of the air", conductivity, "W/(m K)")
    coefficient: Numeric = conductivity / (inner_radius * np.log1p(gap / inner_radius))
    return coefficient


def gap_reynolds(speed: Numeric, inner_radius: float, gap: float, kinematic_viscosity: Numeric) -> Numeric:
    r"""Return the Couette-Reynolds number of a gap, on the speed of the inner surface and the width.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    reynolds : float or ndarray, broadcast shape
        :math:`|\omega| r g/\nu`. [-]

    Raises
    ------
    InputRangeError
        If a dimension or the viscosity is not positive.

    References
    ----------
    .. [1] E. Bilgen, R. Boulos, J. Fluids Eng. 95 (1973) (definition, abstract read).

    Examples
    --------
    >>> round(float(gap_reynolds(1000.0, 0.03, 0.0006, 1.8e-5)))  # 30 * 0.0006 / 1.8e-5
    1000
    """
    require_positive("inner radius of the gap", inner_radius, "m")
    require_positive("gap", gap, "m")
    require_positive("kinematic viscosity", kinematic_viscosity, "m2/s")
    reynolds: Numeric = np.abs(speed) * (inner_radius * gap) / kinematic_viscosity
    return reynolds


def magnetic_gap_outside_range(
    speed: Numeric, inner_radius: float, gap: float, kinematic_viscosity: Numeric
) -> BoolArray:
    """Return at which speeds a gap with the outer cylinder turning may no longer be laminar.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of the outer cylinder. [rad/s]
    inner_radius : float
        Radius of the inner cylinder, at rest. [m]
    gap : float
        Radial width. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    outside : ndarray of bool, broadcast shape
        True above `MAGNETIC_GAP_REYNOLDS`, a cautious limit. [-]

    References
    ----------
    .. [1] Limit from memory, see the constant.

    Examples
    --------
    >>> bool(magnetic_gap_outside_range(1000.0, 0.03, 0.0006, 1.8e-5))  # Re 1000
    False
    """
    reynolds = np.asarray(gap_reynolds(speed, inner_radius, gap, kinematic_viscosity))
    return reynolds * (1.0 + gap / inner_radius) > MAGNETIC_GAP_REYNOLDS


def couette_power(
    speed: Numeric, inner_radius: float, gap: float, length: float, dynamic_viscosity: Numeric
) -> Numeric:
    r"""Return the drag power of laminar air between two cylinders, whichever of them turns.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of one cylinder against the other. [rad/s]
    inner_radius : float
        Radius of the inner cylinder. [m]
    gap : float
        Radial width. [m]
    length : float
        Axial length. [m]
    dynamic_viscosity : float or ndarray, shape that broadcasts
        Dynamic viscosity of the air. [Pa s]

    Returns
    -------
    power : float or ndarray, broadcast shape
        :math:`4\pi\mu\omega^2 L\,r_1^2 r_2^2/(r_2^2-r_1^2)`, in a thin gap :math:`\mu v^2 A/g`. [W]

    Raises
    ------
    InputRangeError
        If a dimension or the viscosity is not positive.

    Notes
    -----
    No flow with the same walls takes less, so it is also the floor of any measured law.

    References
    ----------
    .. [1] M. Couette; exact, H. Schlichting, Boundary-Layer Theory, flow between concentric rotating
       cylinders (from memory).

    Examples
    --------
    >>> round(float(couette_power(1000.0, 0.03, 0.0005, 0.01, 2e-5)), 4)  # 0.0679 thin, times 1 + 1.5 g/r
    0.0696
    """
    require_positive("inner radius of the gap", inner_radius, "m")
    require_positive("gap", gap, "m")
    require_positive("length of the gap", length, "m")
    require_positive("dynamic viscosity", dynamic_viscosity, "Pa s")
    inner, outer = inner_radius**2, (inner_radius + gap) ** 2
    shape = 4.0 * np.pi * length * inner * outer / (gap * (2.0 * inner_radius + gap))
    power: Numeric = shape * dynamic_viscosity * np.square(speed)
    return power
