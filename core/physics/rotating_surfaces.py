r"""Heat transfer of surfaces that turn in free air: disc and cylinder, alone and with natural convection."""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, Numeric
from core.physics.air_friction import FREE_DISC_TURBULENT_FROM, disc_reynolds
from core.physics.input_ranges import require_not_negative, require_positive

# Nu/sqrt(Re) of the isothermal laminar disc over the Prandtl number: von Karman's flow with the energy
# equation theta'' = Pr H theta', solved to 1e-8. Between the points a straight line errs by 4e-4 at most.
DISC_PRANDTL = (0.60, 0.65, 0.70, 0.71, 0.72, 0.75, 0.80, 0.85, 0.90, 0.95, 1.00)
DISC_FACTOR = (
    *(0.29427906, 0.30905027, 0.32312333, 0.32586064, 0.32857340, 0.33656937),
    *(0.34944871, 0.36181369, 0.37370962, 0.38517601, 0.39624753),
)
DISC_TURBULENT = 0.0151  # of air
CYLINDER_REYNOLDS = (800.0, 1e5)


def laminar_disc_nusselt(reynolds: Numeric, prandtl: Numeric) -> Numeric:
    r"""Return the Nusselt number of a laminar, isothermal turning disc, local and mean alike.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        :math:`\omega r^2/\nu`. [-]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    nusselt : float or ndarray, broadcast shape
        :math:`h r/k`. [-]

    Raises
    ------
    InputRangeError
        If the Prandtl number is outside 0.6 to 1, so that it is not air; if Re is negative.

    Notes
    -----
    :math:`Nu = a(Pr)\sqrt{Re}`, a from the exact solution, 0.3259 at Pr 0.71. Measured discs give up
    to 10 % more (0.36), so the exact value is the safe one.

    References
    ----------
    .. [1] T. von Karman, Z. angew. Math. Mech. 1 (1921), similarity equations (read in a public worked
       solution); solved again with the energy equation in the tests.

    Examples
    --------
    >>> round(float(laminar_disc_nusselt(40000.0, 0.71)), 2)  # 0.32586 * 200
    65.17
    """
    require_not_negative("Reynolds number of the disc", reynolds, "")
    Pr = np.asarray(prandtl, float)
    good = (Pr >= DISC_PRANDTL[0]) & (Pr <= DISC_PRANDTL[-1])
    if not good.all():
        raise InputRangeError("Prandtl number", float(Pr[~good].flat[0]), "", "0.6 to 1")
    nusselt: Numeric = np.interp(Pr, DISC_PRANDTL, DISC_FACTOR) * np.sqrt(reynolds)
    return nusselt


def turbulent_disc_nusselt(reynolds: Numeric) -> Numeric:
    r"""Return the mean Nusselt number of a disc that is turbulent from its centre, in air.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        :math:`\omega r^2/\nu` at the outer radius. [-]

    Returns
    -------
    nusselt : float or ndarray, same shape
        :math:`0.0151 Re^{0.8}`. [-]

    Raises
    ------
    InputRangeError
        If the Reynolds number is negative.

    References
    ----------
    .. [1] E. C. Cobb, O. A. Saunders, Heat transfer from a rotating disk, Proc. R. Soc. A 236 (1956)
       (from memory).

    Examples
    --------
    >>> round(float(turbulent_disc_nusselt(1e5)))  # 0.0151 * 10000
    151
    """
    require_not_negative("Reynolds number of the disc", reynolds, "")
    nusselt: Numeric = DISC_TURBULENT * np.power(reynolds, 0.8)
    return nusselt


def disc_nusselt(reynolds: Numeric, prandtl: Numeric) -> Numeric:
    r"""Return the mean Nusselt number of a free turning disc, laminar core and turbulent ring together.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        :math:`\omega r^2/\nu` at the outer radius. [-]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    nusselt : float or ndarray, broadcast shape
        :math:`h r/k` with the mean coefficient of the whole disc. [-]

    Raises
    ------
    InputRangeError
        If the Prandtl number is outside 0.6 to 1 or Re is negative.

    Notes
    -----
    Up to :math:`Re_c = 2.4\cdot10^5` laminar. Above, the disc is laminar out to the radius where the
    local Reynolds number is :math:`Re_c`; the means over both areas add up to

    .. math:: Nu = Nu_t(Re) - \sqrt{Re_c/Re}\,(Nu_t(Re_c) - Nu_l(Re_c)),

    continuous in value, with a kink at :math:`Re_c`. A real disc changes somewhere between
    :math:`1.8\cdot10^5` and :math:`3\cdot10^5` (`air_friction.free_disc_in_transition`).

    References
    ----------
    .. [1] See `laminar_disc_nusselt` and `turbulent_disc_nusselt`; the mean over core and ring is our own.

    Examples
    --------
    >>> round(float(disc_nusselt(40000.0, 0.71)), 2)
    65.17
    """
    edge = FREE_DISC_TURBULENT_FROM
    laminar = laminar_disc_nusselt(reynolds, prandtl)
    step = turbulent_disc_nusselt(edge) - laminar_disc_nusselt(edge, prandtl)
    core = np.sqrt(edge / np.maximum(reynolds, edge))
    turbulent = turbulent_disc_nusselt(reynolds) - core * step
    nusselt: Numeric = np.where(np.less(reynolds, edge), laminar, turbulent)
    return nusselt


def disc_coefficient(
    speed: Numeric, radius: float, kinematic_viscosity: Numeric, conductivity: Numeric, prandtl: Numeric
) -> Numeric:
    """Return the mean heat transfer coefficient of a disc that turns in free air.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    radius : float
        Outer radius. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]
    conductivity : float or ndarray, shape that broadcasts
        Thermal conductivity of the air. [W/(m K)]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    coefficient : float or ndarray, broadcast shape
        Mean over the disc; zero at rest. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If radius, viscosity or conductivity is not positive, or the Prandtl number not that of air.

    References
    ----------
    .. [1] See `disc_nusselt`.

    Examples
    --------
    >>> round(float(disc_coefficient(800.0, 0.03, 1.8e-5, 0.027, 0.71)), 1)  # Re 40000: 65.17 * 0.9
    58.7
    """
    require_positive("thermal conductivity of the air", conductivity, "W/(m K)")
    reynolds = disc_reynolds(speed, radius, kinematic_viscosity)
    return disc_nusselt(reynolds, prandtl) * conductivity / radius


def cylinder_reynolds(speed: Numeric, radius: float, kinematic_viscosity: Numeric) -> Numeric:
    r"""Return the Reynolds number of a turning cylinder on its diameter.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    radius : float
        Radius; half the diameter D. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    reynolds : float or ndarray, broadcast shape
        :math:`|\omega| D^2/(2\nu)`: rim speed times diameter. [-]

    Raises
    ------
    InputRangeError
        If radius or viscosity is not positive.

    References
    ----------
    .. [1] K. M. Becker, Int. J. Heat Mass Transfer 6 (1963) 1053 (definition, from memory).

    Examples
    --------
    >>> round(float(cylinder_reynolds(1000.0, 0.03, 1.8e-5)))  # 30 m/s * 0.06 m / 1.8e-5
    100000
    """
    return 2.0 * disc_reynolds(speed, radius, kinematic_viscosity)


def cylinder_nusselt(reynolds: Numeric, prandtl: Numeric) -> Numeric:
    r"""Return the mean Nusselt number of a horizontal cylinder turning in still air.

    Parameters
    ----------
    reynolds : float or ndarray, any shape
        :math:`\omega D^2/(2\nu)`. [-]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    nusselt : float or ndarray, broadcast shape
        :math:`h D/k = 0.133 Re^{2/3}Pr^{1/3}`. [-]

    Raises
    ------
    InputRangeError
        If the Reynolds number is negative or the Prandtl number not positive.

    Notes
    -----
    For Re 800 to 1e5 (`cylinder_outside_range`). Other authors lie 6 to 15 % lower. Below 800
    natural convection governs, so that the law only fades out in the blend.

    References
    ----------
    .. [1] K. M. Becker, Measurements of convective heat transfer from a horizontal cylinder rotating in a
       tank of water, Int. J. Heat Mass Transfer 6 (1963) 1053 (from memory).

    Examples
    --------
    >>> round(float(cylinder_nusselt(1000.0, 1.0)), 1)  # 0.133 * 100
    13.3
    """
    require_not_negative("Reynolds number of the cylinder", reynolds, "")
    require_positive("Prandtl number", prandtl, "")
    nusselt: Numeric = 0.133 * np.power(reynolds, 2.0 / 3.0) * np.cbrt(prandtl)
    return nusselt


def cylinder_coefficient(
    speed: Numeric, radius: float, kinematic_viscosity: Numeric, conductivity: Numeric, prandtl: Numeric
) -> Numeric:
    """Return the mean heat transfer coefficient of a cylinder that turns in still air.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    radius : float
        Radius. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]
    conductivity : float or ndarray, shape that broadcasts
        Thermal conductivity of the air. [W/(m K)]
    prandtl : float or ndarray, shape that broadcasts
        Prandtl number of the air. [-]

    Returns
    -------
    coefficient : float or ndarray, broadcast shape
        Mean over the rim; zero at rest. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If radius, viscosity, conductivity or Prandtl number is not positive.

    References
    ----------
    .. [1] See `cylinder_nusselt`.

    Examples
    --------
    >>> round(float(cylinder_coefficient(10.0, 0.03, 1.8e-5, 0.03, 1.0)), 2)  # Re 1000: 13.3 * 0.5
    6.65
    """
    require_positive("thermal conductivity of the air", conductivity, "W/(m K)")
    reynolds = cylinder_reynolds(speed, radius, kinematic_viscosity)
    return cylinder_nusselt(reynolds, prandtl) * conductivity / (2.0 * radius)


def cylinder_outside_range(speed: Numeric, radius: float, kinematic_viscosity: Numeric) -> BoolArray:
    """Return at which speeds the law of the turning cylinder is not backed by measurements.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning. [rad/s]
    radius : float
        Radius. [m]
    kinematic_viscosity : float or ndarray, shape that broadcasts
        Kinematic viscosity of the air. [m2/s]

    Returns
    -------
    outside : ndarray of bool, broadcast shape
        True outside `CYLINDER_REYNOLDS`; rest counts as outside. [-]

    References
    ----------
    .. [1] See `cylinder_nusselt`.

    Examples
    --------
    >>> cylinder_outside_range([5.0, 500.0, 1500.0], 0.03, 1.8e-5).tolist()  # Re 500, 50000, 150000
    [True, False, True]
    """
    low, high = CYLINDER_REYNOLDS
    reynolds = np.asarray(cylinder_reynolds(speed, radius, kinematic_viscosity))
    return (reynolds < low) | (reynolds > high)


def blended(natural: Numeric, forced: Numeric) -> Numeric:
    r"""Return the coefficient of natural convection and turning together.

    Parameters
    ----------
    natural : float or ndarray, any shape
        Coefficient of natural convection. [W/(m2 K)]
    forced : float or ndarray, shape that broadcasts
        Coefficient due to turning. [W/(m2 K)]

    Returns
    -------
    coefficient : float or ndarray, broadcast shape
        :math:`(h_n^3 + h_f^3)^{1/3}`. [W/(m2 K)]

    Raises
    ------
    InputRangeError
        If one of them is negative.

    References
    ----------
    .. [1] S. W. Churchill, A comprehensive correlating equation for laminar, assisting, forced and free
       convection, AIChE J. 23 (1977): exponent 3 (from memory).

    Examples
    --------
    >>> round(float(blended(6.0, 8.0)), 3)  # 216 + 512 = 728
    8.996
    """
    require_not_negative("coefficient of natural convection", natural, "W/(m2 K)")
    require_not_negative("coefficient of turning", forced, "W/(m2 K)")
    coefficient: Numeric = np.cbrt(np.power(natural, 3.0) + np.power(forced, 3.0))
    return coefficient
