r"""The brake: which torque holds the load, how far it falls before that, what a stop puts into the lining.

Everything is at the motor shaft. Positive is the direction in which the load pulls, so a load that is
being lowered has a positive speed and one that is being lifted a negative one. Friction is nowhere
counted in the brake's favour.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.records import dataclass

HOLDING_FACTOR = 2.0
"""Common practice, no source: 1.5 to 2.0 between the brake's least torque and the load; for brakes that
hold people or suspended loads the standard of the machine decides."""


def holding_brake_torque(load_torque: Numeric, ratio: float = 1.0, factor: float = HOLDING_FACTOR) -> Numeric:
    r"""Return the static torque that a brake on the motor shaft must have to hold a load.

    Parameters
    ----------
    load_torque : float or ndarray, any shape
        Torque with which the load pulls at its own axis; the sign does not matter. [N m]
    ratio : float, default 1.0
        Motor speed over load speed; its sign does not matter. [-]
    factor : float, default 2.0
        Least brake torque over load torque. [-]

    Returns
    -------
    torque : float or ndarray, shape of `load_torque`
        Required torque, to be met by the brake's least torque: worn, hot, at the low end of its
        tolerance. [N m]

    Raises
    ------
    InputRangeError
        If the ratio is zero or the factor below 1.

    Notes
    -----
    :math:`T_B = s\,|T_L| / |i|`. The efficiency of a gear running backwards would lower it; that is
    friction, which may be gone when it is needed, and is left out.

    References
    ----------
    .. [1] Balance of torque, first principles; the factor is common practice, no source.

    Examples
    --------
    >>> float(holding_brake_torque(10.0, ratio=20.0, factor=2.0))
    1.0
    """
    require_positive("amount of the ratio", abs(ratio), "")
    if not factor >= 1.0:
        raise InputRangeError("factor of the holding brake", factor, "", ">= 1")
    torque: Numeric = factor / abs(ratio) * np.abs(load_torque)
    return torque


@dataclass(frozen=True, slots=True)
class BrakeStop:
    """A stop by the brake alone: first the engage delay without any torque but the load's, then the brake.

    Angles are those of the motor shaft, positive the way the load pulls; times the travel per radian
    of the motor they are the height that the load falls.

    Attributes
    ----------
    delay_angle : ndarray, broadcast shape of the inputs
        Angle during the delay. [rad]
    engaged_speed : ndarray, same shape
        Speed when the brake begins to act. [rad/s]
    brake_angle : ndarray, same shape
        Angle from there to standstill; infinite where the brake never stops the load. [rad]
    brake_time : ndarray, same shape
        Time from there to standstill; infinite likewise. [s]
    brake_energy : ndarray, same shape
        Heat in the lining; infinite likewise. [J]
    """

    delay_angle: FloatArray
    engaged_speed: FloatArray
    brake_angle: FloatArray
    brake_time: FloatArray
    brake_energy: FloatArray

    @property
    def angle(self) -> FloatArray:
        """Whole angle from the loss of power to standstill. [rad]"""
        return self.delay_angle + self.brake_angle


def brake_stop(
    brake_torque: Numeric,
    load_torque: Numeric,
    inertia: Numeric,
    speed: Numeric,
    engage_delay: Numeric = 0.0,
) -> BrakeStop:
    r"""Return how far a load still moves after power is lost, and the energy that its brake takes.

    Parameters
    ----------
    brake_torque : float or ndarray, any shape
        Torque of the brake while it slips. [N m]
    load_torque : float or ndarray, shape that broadcasts
        Torque with which gravity pulls at the motor shaft, not negative; zero for a level axis. [N m]
    inertia : float or ndarray, shape that broadcasts
        Rotor, brake, gear and reflected load together. [kg m^2]
    speed : float or ndarray, shape that broadcasts
        Speed when power is lost; negative while the load is being lifted. [rad/s]
    engage_delay : float or ndarray, shape that broadcasts, default 0
        Time from the loss of power until the brake acts. [s]

    Returns
    -------
    stop : BrakeStop
        Angles, speed, time and energy. [SI]

    Raises
    ------
    InputRangeError
        If torque or delay is negative, the inertia not positive, or the speed not finite.

    Notes
    -----
    Exact for constant torque. Delay: :math:`\omega_1 = \omega_0 + (T_L/J)\,t`,
    :math:`\varphi = \omega_0 t + (T_L/J)\,t^2/2`. Then, with :math:`s = \mathrm{sgn}\,\omega_1`,

    .. math:: \varphi_B = \frac{J \omega_1^2}{2\,(T_B - s\,T_L)}\,s, \qquad
              W = T_B |\varphi_B| = \tfrac12 J \omega_1^2 + T_L \varphi_B

    The lining takes the kinetic energy and, while the load sinks, gravity's work as well. Friction
    would take a share of it and is left out. The torque of a real brake builds up after its delay
    over a time of its own: count that time into the delay.

    References
    ----------
    .. [1] First principles (constant acceleration, energy balance).

    Examples
    --------
    0.1 N m on 1e-3 kg m^2 falls for 50 ms from rest: 5 rad/s; 0.3 N m then stops it on 0.0625 rad.

    >>> stop = brake_stop(0.3, 0.1, 1e-3, 0.0, engage_delay=0.05)
    >>> [round(float(x), 6) for x in (stop.delay_angle, stop.engaged_speed, stop.brake_angle)]
    [0.125, 5.0, 0.0625]
    >>> round(float(stop.brake_energy), 6)  # 0.0125 J kinetic and 0.00625 J of gravity
    0.01875
    """
    require_not_negative("brake torque", brake_torque, "N m")
    require_not_negative("load torque", load_torque, "N m")
    require_positive("inertia", inertia, "kg m^2")
    require_not_negative("engage delay", engage_delay, "s")
    require_finite("speed", speed, "rad/s")
    t_b, t_l, j, w0, t = np.broadcast_arrays(
        *(np.asarray(x, dtype=float) for x in (brake_torque, load_torque, inertia, speed, engage_delay))
    )
    acceleration = t_l / j
    w1 = w0 + acceleration * t
    net = t_b - np.sign(w1) * t_l
    # a load on its way up stops in any case, but a weak brake then lets it come down again
    stops = (t_b >= t_l) & ((net > 0.0) | (w1 == 0.0))
    slowing = np.where(stops & (w1 != 0.0), net, 1.0)
    angle = np.where(stops, j * w1 * np.abs(w1) / (2.0 * slowing), np.inf)
    time = np.where(stops, j * np.abs(w1) / slowing, np.inf)
    energy = np.where(stops, t_b * np.abs(np.where(stops, angle, 0.0)), np.inf)
    return BrakeStop(np.asarray(w0 * t + 0.5 * acceleration * t * t), np.asarray(w1), angle, time, energy)


def stops_per_hour(brake_energy: Numeric, heat_power: float) -> FloatArray:
    """Return how many stops an hour a brake stands for its heat.

    Parameters
    ----------
    brake_energy : float or ndarray, any shape
        Heat of one stop. [J]
    heat_power : float
        Mean power that the brake may turn into heat: its energy per hour over 3600 s. [W]

    Returns
    -------
    stops : ndarray, shape of `brake_energy`
        Stops per hour, infinite where a stop costs nothing, zero where it never ends. What a single
        stop may cost is a limit of its own, and a brake meant for holding wears out far sooner. [1/h]

    Raises
    ------
    InputRangeError
        If the energy is negative or the power not positive.

    References
    ----------
    .. [1] Energy balance, first principles.

    Examples
    --------
    >>> float(stops_per_hour(60.0, 2.0))
    120.0
    """
    require_not_negative("energy of a stop", brake_energy, "J")
    require_positive("heat power of the brake", heat_power, "W")
    energy = np.asarray(brake_energy, dtype=float)
    unlimited = np.full(energy.shape, np.inf)
    return np.asarray(np.divide(3600.0 * heat_power, energy, out=unlimited, where=energy > 0.0))


def coil_heat(
    pull_in_power: float,
    released_time: Numeric,
    *,
    pull_in_time: float = 0.0,
    hold_voltage_share: float = 1.0,
) -> FloatArray:
    r"""Return the heat of the coil that keeps a power-off brake open, per release.

    Parameters
    ----------
    pull_in_power : float
        Power of the coil at its full voltage, at the coil temperature to be judged; a cold coil takes
        most. [W]
    released_time : float or ndarray, any shape
        How long the brake is kept open, pull-in included. [s]
    pull_in_time : float, default 0.0
        How long the full voltage lasts. [s]
    hold_voltage_share : float, default 1.0
        Voltage afterwards over full voltage. [-]

    Returns
    -------
    energy : ndarray, shape of `released_time`
        Heat; over the cycle time it is the mean power into the node that carries the brake. [J]

    Raises
    ------
    InputRangeError
        If a power or time is negative or the share not in 0 to 1.

    Notes
    -----
    :math:`W = P\,t_p + u^2 P\,(t - t_p)`; a release shorter than the pull-in has full power throughout.

    References
    ----------
    .. [1] First principles (Ohm's law at constant coil resistance).

    Examples
    --------
    >>> float(coil_heat(8.0, 10.0, pull_in_time=0.5, hold_voltage_share=0.5))  # 4 J + 2 W * 9.5 s
    23.0
    """
    require_not_negative("coil power", pull_in_power, "W")
    require_not_negative("released time", released_time, "s")
    require_not_negative("pull-in time", pull_in_time, "s")
    if not 0.0 <= hold_voltage_share <= 1.0:
        raise InputRangeError("hold voltage share", hold_voltage_share, "", "in 0 to 1")
    released = np.asarray(released_time, dtype=float)
    full = np.minimum(released, pull_in_time)
    return np.asarray(pull_in_power * (full + hold_voltage_share**2 * (released - full)))
