r"""Friction of air on turning discs and cylinders: moment and skin friction coefficients.

All of a disc is referred to :math:`M = \frac{C_m}{2}\rho\omega^2 r^5`; a free disc counts both
sides, an enclosed one a single side, as the sources do. Where a source gives several regimes, the
coefficient is continuous: the largest of them, or the laminar core inside a turbulent ring.
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, Numeric
from core.physics.input_ranges import require_not_negative, require_positive

# Both sides of a free disc. 1.2319 pi = 2 pi |G'(0)| of the exact laminar solution.
FREE_DISC_LAMINAR = 3.8700
FREE_DISC_TURBULENT = 0.146
FREE_DISC_TURBULENT_FROM = 2.4e5  # middle of the range below
FREE_DISC_TRANSITION = (1.8e5, 3.0e5)

ENCLOSED_DISC_REYNOLDS = (1e3, 1e7)
ENCLOSED_DISC_CLEARANCE = (0.0127, 0.217)


def disc_reynolds(speed: Numeric, radius: Numeric, kinematic_viscosity: Numeric) -> Numeric:
    r"""Return the Reynolds number of a turning disc or of the rim of a cylinder.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    radius : float or ndarray, shape that broadcasts
        Outer radius. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    reynolds : float or ndarray, broadcast shape
        :math:`|\omega| r^2/\nu`. [-]

    Raises
    ------
    InputRangeError
        If radius or viscosity is not positive.

    References
    ----------
    .. [1] T. von Karman, Ueber laminare und turbulente Reibung, Z. angew. Math. Mech. 1 (1921)
       (definition, from memory).

    Examples
    --------
    >>> round(float(disc_reynolds(-1000.0, 0.03, 1.8e-5)))  # 1000 * 9e-4 / 1.8e-5
    50000
    """
    require_positive("radius", radius, "m")
    require_positive("kinematic viscosity", kinematic_viscosity, "m2/s")
    reynolds: Numeric = np.abs(speed) * np.square(radius) / kinematic_viscosity
    return reynolds


def free_disc_moment_coefficient(reynolds: Numeric) -> Numeric:
    r"""Return the moment coefficient of a free turning disc, both sides together.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        :math:`\omega r^2/\nu` at the outer radius. [-]

    Returns
    -------
    coefficient : float or ndarray, same shape
        :math:`C_m` of :math:`M = \frac{C_m}{2}\rho\omega^2 r^5`. [-]

    Raises
    ------
    InputRangeError
        If the Reynolds number is not positive.

    Notes
    -----
    Laminar :math:`3.87/\sqrt{Re}`, exact. Above :math:`Re_c = 2.4\cdot10^5` the disc is laminar out to
    the radius where the local Reynolds number is :math:`Re_c`, and turbulent outside it,

    .. math:: C_m = 0.146 Re^{-0.2} - (Re_c/Re)^{5/2}(0.146 Re_c^{-0.2} - 3.87 Re_c^{-0.5}),

    continuous in value, with a kink at :math:`Re_c`. The transition of a real disc lies between
    :math:`1.8\cdot10^5` and :math:`3\cdot10^5` (`free_disc_in_transition`).

    References
    ----------
    .. [1] T. von Karman, Z. angew. Math. Mech. 1 (1921); laminar solution as re-solved in the tests,
       turbulent law from memory. The split at a radius is our own.

    Examples
    --------
    >>> round(float(free_disc_moment_coefficient(40000.0)), 5)  # 3.87 / 200
    0.01935
    """
    require_positive("Reynolds number of the disc", reynolds, "")
    laminar = FREE_DISC_LAMINAR / np.sqrt(reynolds)
    edge = FREE_DISC_TURBULENT_FROM
    step = FREE_DISC_TURBULENT * edge**-0.2 - FREE_DISC_LAMINAR * edge**-0.5
    core = np.minimum(1.0, edge / reynolds) ** 2.5
    turbulent = FREE_DISC_TURBULENT * np.power(reynolds, -0.2) - core * step
    coefficient: Numeric = np.where(np.less(reynolds, edge), laminar, turbulent)
    return coefficient


def free_disc_in_transition(speed: Numeric, radius: Numeric, kinematic_viscosity: Numeric) -> BoolArray:
    """Return at which speeds a free disc is neither surely laminar nor surely turbulent at its rim.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning. [rad/s]
    radius : float or ndarray, shape that broadcasts
        Outer radius. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    unsure : ndarray of bool, broadcast shape
        True within `FREE_DISC_TRANSITION`. [-]

    References
    ----------
    .. [1] E. C. Cobb, O. A. Saunders, Heat transfer from a rotating disk, Proc. R. Soc. A 236 (1956):
       transition at 1.8e5 to 3e5 (from memory).

    Examples
    --------
    >>> bool(free_disc_in_transition(1000.0, 0.06, 1.8e-5))  # Re = 200000
    True
    """
    low, high = FREE_DISC_TRANSITION
    reynolds = np.asarray(disc_reynolds(speed, radius, kinematic_viscosity))
    return (reynolds > low) & (reynolds < high)


def enclosed_disc_moment_coefficient(reynolds: Numeric, clearance_ratio: Numeric) -> Numeric:
    r"""Return the moment coefficient of one side of a disc that turns close to a wall.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        :math:`\omega r^2/\nu` at the outer radius. [-]
    clearance_ratio : float or ndarray, shape that broadcasts
        Axial clearance over outer radius, G. [-]

    Returns
    -------
    coefficient : float or ndarray, broadcast shape
        :math:`C_m` of :math:`M = \frac{C_m}{2}\rho\omega^2 r^5`, one side. [-]

    Raises
    ------
    InputRangeError
        If the Reynolds number or the clearance is not positive.

    Notes
    -----
    The largest of four regimes, which makes it continuous: layers merged,
    :math:`\pi/(G Re)` (laminar, exact) and :math:`0.040 G^{-1/6}Re^{-1/4}`; layers apart,
    :math:`1.85 G^{0.1}Re^{-0.5}` and :math:`0.0510 G^{0.1}Re^{-0.2}`.
    Measured for Re and G within `ENCLOSED_DISC_REYNOLDS` and `ENCLOSED_DISC_CLEARANCE`; the merged
    laminar regime holds for any smaller ones.

    References
    ----------
    .. [1] J. W. Daily, R. E. Nece, Chamber dimension effects on induced flow and frictional resistance
       of enclosed rotating disks, J. Basic Eng. 82 (1960). Abstract read; laminar constants read in a
       public laboratory script, turbulent ones from memory.

    Examples
    --------
    >>> round(float(enclosed_disc_moment_coefficient(10000.0, 0.02)), 5)  # pi / 200
    0.01571
    """
    require_positive("Reynolds number of the disc", reynolds, "")
    require_positive("clearance over radius of the disc", clearance_ratio, "")
    G, Re = np.asarray(clearance_ratio, float), np.asarray(reynolds, float)
    merged = np.maximum(np.pi / (G * Re), 0.040 * G ** (-1.0 / 6.0) * Re**-0.25)
    apart = G**0.1 * np.maximum(1.85 * Re**-0.5, 0.0510 * Re**-0.2)
    coefficient: Numeric = np.maximum(merged, apart)
    return coefficient


def enclosed_disc_outside_range(
    speed: Numeric, radius: Numeric, clearance: Numeric, kinematic_viscosity: Numeric
) -> BoolArray:
    """Return at which speeds the enclosed disc is outside what was measured.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning. [rad/s]
    radius : float or ndarray, shape that broadcasts
        Outer radius. [m]
    clearance : float or ndarray, shape that broadcasts
        Axial clearance to the wall. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    outside : ndarray of bool, broadcast shape
        True outside; never below the Reynolds range, where the merged laminar regime is exact and a
        face takes next to nothing. [-]

    References
    ----------
    .. [1] J. W. Daily, R. E. Nece, J. Basic Eng. 82 (1960), abstract (read): ranges of the tests.

    Examples
    --------
    >>> bool(enclosed_disc_outside_range(1000.0, 0.03, 0.0015, 1.8e-5))  # Re 50000, G 0.05
    False
    >>> bool(enclosed_disc_outside_range(1000.0, 0.03, 0.0100, 1.8e-5))  # G 0.33
    True
    """
    low, high = ENCLOSED_DISC_CLEARANCE
    ratio = np.divide(clearance, radius)
    reynolds = np.asarray(disc_reynolds(speed, radius, kinematic_viscosity))
    fast = reynolds > ENCLOSED_DISC_REYNOLDS[1]
    strange = (reynolds > ENCLOSED_DISC_REYNOLDS[0]) & ((ratio < low) | (ratio > high))
    return fast | strange


def cylinder_skin_friction(reynolds: Numeric) -> Numeric:
    r"""Return the skin friction coefficient of a free turning cylinder.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        :math:`\omega r^2/\nu`, with the radius. [-]

    Returns
    -------
    coefficient : float or ndarray, same shape
        :math:`c_f`, wall shear over :math:`\frac12\rho(\omega r)^2`. [-]

    Raises
    ------
    InputRangeError
        If the Reynolds number is not positive.

    Notes
    -----
    The larger of the laminar :math:`4/Re` (exact for a long cylinder) and the turbulent law

    .. math:: 1/\sqrt{c_f} = -0.6 + 4.07\log_{10}(Re\sqrt{c_f}).

    They cross near Re 90, so the joint is continuous. With :math:`x = 1/\sqrt{c_f}` the law is concave in x
    and Newton's steps rise to its root from x = 1; below Re 10 the laminar part always governs.

    References
    ----------
    .. [1] T. Theodorsen, A. Regier, Experiments on drag of revolving disks, cylinders, and streamline
       rods at high speeds, NACA report 793 (1944). Abstract read, formula from memory.

    Examples
    --------
    >>> round(float(cylinder_skin_friction(20.0)), 3)  # 4 / 20
    0.2
    """
    require_positive("Reynolds number of the cylinder", reynolds, "")
    right = -0.6 + 4.07 * np.log10(np.maximum(reynolds, 10.0))
    slope = 4.07 / np.log(10.0)
    x = np.ones_like(right)
    for _ in range(8):  # quadratic: 1e-12 after six steps up to Re 1e9
        x = x - (x + slope * np.log(x) - right) / (1.0 + slope / x)
    coefficient: Numeric = np.maximum(4.0 / np.asarray(reynolds, float), x**-2.0)
    return coefficient


def disc_face_power(
    speed: Numeric, radius: Numeric, moment_coefficient: Numeric, density: Numeric
) -> Numeric:
    r"""Return the power that a moment coefficient of a disc stands for.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    radius : float or ndarray, shape that broadcasts
        Outer radius. [m]
    moment_coefficient : float or ndarray, shape that broadcasts
        :math:`C_m` of the sides that count. [-]
    density : float or ndarray, shape that broadcasts
        Density of the air. [kg/m3]

    Returns
    -------
    power : float or ndarray, broadcast shape
        :math:`\frac{C_m}{2}\rho|\omega|^3 r^5`. [W]

    Raises
    ------
    InputRangeError
        If density or coefficient is negative.

    References
    ----------
    .. [1] Definition of the moment coefficient.

    Examples
    --------
    >>> round(float(disc_face_power(1000.0, 0.1, 0.02, 1.2)), 6)  # 0.01 * 1.2 * 1e9 * 1e-5
    120.0
    """
    require_not_negative("moment coefficient", moment_coefficient, "")
    require_not_negative("density of the air", density, "kg/m3")
    power: Numeric = 0.5 * moment_coefficient * density * np.abs(speed) ** 3 * np.power(radius, 5.0)
    return power
