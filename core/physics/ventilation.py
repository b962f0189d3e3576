r"""Air that a turning bell throws out through its openings, and the air that stirs at the end windings.

The least certain part of the heat: the flow coefficient of openings is assumed, and end-winding
coefficients of different authors spread by a factor 2.
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, Numeric
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.records import dataclass

# Assumed, no source: flow through an opening over the speed of its edge; 0.1 to 0.3 is common for
# simple radial wheels (common practice, no source).
ASSUMED_FLOW_COEFFICIENT = 0.2
END_WINDING_FACTOR = 15.5
END_WINDING_PER_SPEED = 0.29
END_WINDING_SPREAD = 2.0  # other authors lie between half and twice
END_WINDING_SPEED = 30.0  # assumed end of the straight line; none is known for the source


@dataclass(frozen=True, slots=True)
class BellOpenings:
    """Openings of a turning bell through which it throws air outwards.

    Attributes
    ----------
    area : float
        Open area of all openings on the side where the air leaves; 0 for a closed bell. [m2]
    radius : float
        Radius at which the air leaves. [m]
    flow_coefficient : float
        Mean velocity through the openings over their speed; assumed unless measured. [-]
    """

    area: float
    radius: float
    flow_coefficient: float = ASSUMED_FLOW_COEFFICIENT

    def __post_init__(self) -> None:
        """Refuse openings that cannot be."""
        require_not_negative("area of the openings", self.area, "m2")
        require_positive("radius of the openings", self.radius, "m")
        require_not_negative("flow coefficient of the openings", self.flow_coefficient, "")
        for name in ("area", "radius", "flow_coefficient"):
            require_finite(f"openings: {name}", getattr(self, name), "SI")


def end_winding_coefficient(surface_speed: Numeric) -> Numeric:
    r"""Return the heat transfer coefficient of end windings in a closed end space.

    Parameters
    ----------
    surface_speed : float or ndarray, any shape
        Speed of the turning surface beside the winding; its sign does not matter. [m/s]

    Returns
    -------
    coefficient : float or ndarray, same shape
        :math:`15.5\,(1 + 0.29\,v)`; half to twice of it is possible. [W/(m2 K)]

    Notes
    -----
    The value at rest already holds the natural convection of the end space: do not blend it in again.
    Whether radiation is in it, the form leaves open.

    References
    ----------
    .. [1] Literature of electrical machines, enclosed machines with end windings in still end space (from
       memory). Other authors spread by a factor 2, `END_WINDING_SPREAD`.

    Examples
    --------
    >>> round(float(end_winding_coefficient(10.0)), 2)  # 15.5 * 3.9
    60.45
    """
    coefficient: Numeric = END_WINDING_FACTOR * (1.0 + END_WINDING_PER_SPEED * np.abs(surface_speed))
    return coefficient


def end_winding_outside_range(surface_speed: Numeric) -> BoolArray:
    """Return at which surface speeds the straight line of the end windings is stretched too far.

    Parameters
    ----------
    surface_speed : float or ndarray, any shape
        Speed of the turning surface beside the winding. [m/s]

    Returns
    -------
    outside : ndarray of bool, same shape
        True above `END_WINDING_SPEED`. [-]

    References
    ----------
    .. [1] Assumed, no source.

    Examples
    --------
    >>> end_winding_outside_range([10.0, -40.0]).tolist()
    [False, True]
    """
    speed = np.asarray(surface_speed, float)
    return (speed > END_WINDING_SPEED) | (speed < -END_WINDING_SPEED)


def ventilation_flow(speed: Numeric, openings: BellOpenings, density: Numeric) -> Numeric:
    r"""Return the mass of air per time that a turning bell throws out.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    openings : BellOpenings
        Where the air leaves. [SI]
    density : float or ndarray, shape that broadcasts
        Density of the air. [kg/m3]

    Returns
    -------
    flow : float or ndarray, broadcast shape
        :math:`\dot m = \varphi\,\rho\,|\omega| r A`. [kg/s]

    Raises
    ------
    InputRangeError
        If the density is not positive.

    Notes
    -----
    Similarity: at fixed shape the flow is proportional to speed and size. The coefficient holds the whole
    resistance of the path and is assumed.

    References
    ----------
    .. [1] Similarity of fans; the coefficient is assumed, no source.

    Examples
    --------
    >>> round(float(ventilation_flow(1000.0, BellOpenings(1e-4, 0.02, 0.2), 1.2)), 6)  # 0.24 * 20 * 1e-4
    0.00048
    """
    require_positive("density of the air", density, "kg/m3")
    size = openings.flow_coefficient * openings.radius * openings.area
    flow: Numeric = size * density * np.abs(speed)
    return flow


def flow_limited_conductance(surface_conductance: Numeric, flow: Numeric, heat_capacity: float) -> Numeric:
    r"""Return the conductance from a surface to the air that enters, when the passing air warms up.

    Parameters
    ----------
    surface_conductance : float or ndarray, any shape
        Coefficient times area of the surface, hA. [W/K]
    flow : float or ndarray, shape that broadcasts
        Mass of air per time. [kg/s]
    heat_capacity : float
        Specific heat of the air at constant pressure. [J/(kg K)]

    Returns
    -------
    conductance : float or ndarray, broadcast shape
        :math:`\dot m c_p(1 - e^{-hA/(\dot m c_p)})`, zero without flow. [W/K]

    Raises
    ------
    InputRangeError
        If the heat capacity is not positive, or conductance or flow is negative.

    Notes
    -----
    Exact for a surface of one temperature. Never above hA, nor above what the air can carry.

    References
    ----------
    .. [1] Heat exchangers, number of transfer units, one side of constant temperature (from memory).

    Examples
    --------
    >>> round(float(flow_limited_conductance(1.0, 1e-3, 1000.0)), 4)  # 1 - 1/e
    0.6321
    """
    require_not_negative("surface conductance", surface_conductance, "W/K")
    require_not_negative("air flow", flow, "kg/s")
    require_positive("specific heat of the air", heat_capacity, "J/(kg K)")
    hA, carried = np.broadcast_arrays(
        np.asarray(surface_conductance, float), np.asarray(flow, float) * heat_capacity
    )
    # without flow the air takes up all it can: an endless number of units on nothing carried
    units = np.divide(hA, carried, out=np.full(hA.shape, np.inf), where=carried > 0.0)
    conductance: Numeric = -carried * np.expm1(-units)
    return conductance


def pumping_power(speed: Numeric, openings: BellOpenings, density: Numeric) -> Numeric:
    r"""Return the power that the bell spends on turning the air it throws out.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Speed of turning; its sign does not matter. [rad/s]
    openings : BellOpenings
        Where the air leaves. [SI]
    density : float or ndarray, shape that broadcasts
        Density of the air. [kg/m3]

    Returns
    -------
    power : float or ndarray, broadcast shape
        :math:`\dot m r^2\omega^2`. [W]

    Raises
    ------
    InputRangeError
        If the density is not positive.

    Notes
    -----
    The air enters without swirl and leaves with the speed of the opening.

    References
    ----------
    .. [1] Euler's equation of turbomachines: moment = flow times gain of r times tangential velocity.

    Examples
    --------
    >>> round(float(pumping_power(1000.0, BellOpenings(1e-4, 0.02, 0.2), 1.2)), 3)  # 4.8e-4 * 400
    0.192
    """
    flow = ventilation_flow(speed, openings, density)
    return flow * np.square(openings.radius * np.abs(speed))
