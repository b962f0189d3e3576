r"""How evenly a motor turns slowly, and what it takes to turn it without power.

Cogging is taken as one sine per period, :math:`T_c \sin n\theta` with n periods a turn. It changes the
speed the more the slower the rotor turns, because it then acts longer on the same inertia. All of it
is open loop: a control loop faster than the cogging frequency evens it out, at the price of current.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.commutation import commutation_torque_ripple
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.physics.machine_constants import Commutation, MachineConstants
from core.records import dataclass

# ln of lowest over highest speed: from a rotor that all but stops in each notch to one that does not notice
_LOG_RATIO_RANGE = (-690.0, 0.0)
_BISECTIONS = 64


@dataclass(frozen=True, slots=True)
class SpeedSwing:
    """Between which speeds cogging swings a rotor that runs freely.

    Attributes
    ----------
    lowest, highest : ndarray, shape of the mean speed
        Speeds on the crest and in the trough of a notch. [rad/s]
    ripple : ndarray, same shape
        Highest less lowest over the mean in time. [-]
    """

    lowest: FloatArray
    highest: FloatArray
    ripple: FloatArray


def cogging_speed_swing(
    cogging_torque: float, periods: int, total_inertia: float, mean_speed: Numeric
) -> SpeedSwing:
    r"""Return the exact swing of the speed that cogging causes without a control loop.

    Parameters
    ----------
    cogging_torque : float
        Amplitude of the cogging torque. [N m]
    periods : int
        Periods of the cogging torque per turn, as `cogging_periods` gives. [1/turn]
    total_inertia : float
        Inertia of rotor and everything rigid with it, at the motor. [kg m2]
    mean_speed : float or ndarray, any shape
        Mean speed in time; its sign does not matter. [rad/s]

    Returns
    -------
    swing : SpeedSwing
        Lowest and highest speed and their difference. [rad/s, -]

    Raises
    ------
    InputRangeError
        If a figure is out of range, a speed zero among them.

    Notes
    -----
    Energy: :math:`\tfrac12 J\omega^2 - (T_c/n)\cos n\theta` stays, so

    .. math:: \omega_{max}^2 - \omega_{min}^2 = \frac{4 T_c}{J n}, \qquad
              \bar\omega = \mathrm{AGM}(\omega_{max}, \omega_{min})

    The mean in time is the arithmetic-geometric mean because the time of a period is a complete
    elliptic integral. Solved for the ratio of the two speeds by bisection of its logarithm; a rotor
    that all but stops in each notch has a lowest speed of zero to any number of digits. The motor's
    mean torque is taken to equal friction and load at every instant. Shafts that twist are left out.

    References
    ----------
    .. [1] First principles. AGM and elliptic integral: M. Abramowitz, I. A. Stegun, Handbook of
       Mathematical Functions, 17.6 (from memory).

    Examples
    --------
    >>> swing = cogging_speed_swing(2e-3, 84, 1e-4, 50.0)  # 4*2e-3/(1e-4*84) = 0.952 = 2 * 50 * 0.00952
    >>> round(float(swing.highest - swing.lowest), 5), round(float(swing.ripple), 6)
    (0.00952, 0.00019)
    """
    square = _speed_square(cogging_torque, periods, total_inertia)
    w = np.abs(np.asarray(mean_speed, float))
    require_positive("mean_speed", w, "rad/s")
    wanted = square / (w * w)
    ratio = np.exp(_falling_root(wanted, lambda r, mean: (1.0 - r * r) / (mean * mean)))
    lowest = w * ratio / _mean_with_one(ratio)
    highest = np.sqrt(lowest * lowest + square)
    # the difference by its closed form: subtraction would lose the digits of a small swing
    return SpeedSwing(np.asarray(lowest), np.asarray(highest), np.asarray(square / (highest + lowest) / w))


def linear_speed_dip(
    cogging_torque: float, periods: int, total_inertia: float, mean_speed: Numeric
) -> Numeric:
    r"""Return by how much cogging lowers (and raises) the speed where the swing is small.

    Parameters
    ----------
    cogging_torque : float
        Amplitude of the cogging torque. [N m]
    periods : int
        Periods of the cogging torque per turn. [1/turn]
    total_inertia : float
        Inertia of rotor and everything rigid with it, at the motor. [kg m2]
    mean_speed : float or ndarray, any shape
        Mean speed in time; its sign does not matter. [rad/s]

    Returns
    -------
    dip : float or ndarray, shape of `mean_speed`
        Mean less lowest speed, half of the swing. [rad/s]

    Raises
    ------
    InputRangeError
        If a figure is out of range, a speed zero among them.

    Notes
    -----
    .. math:: \Delta\omega = \frac{T_c}{J\,\bar\omega\,n}

    Half of the swing to 0.1 % while it is below 6 % of the mean, to 1.4 % at 24 %; the dip alone is less
    than this by about 0.3 of its share of the mean.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(float(linear_speed_dip(2e-3, 84, 1e-4, 50.0)), 6)  # 2e-3/(1e-4*50*84)
    0.004762
    """
    require_positive("mean_speed", np.abs(mean_speed), "rad/s")
    dip: Numeric = 0.25 * _speed_square(cogging_torque, periods, total_inertia) / np.abs(mean_speed)
    return dip


def commutation_ripple_amplitude(constants: MachineConstants, commutation: Commutation) -> float:
    r"""Return the sixth harmonic of the torque of ideal commutation, which swings the speed.

    Parameters
    ----------
    constants : MachineConstants
        The machine; only the shape of its EMF counts. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]

    Returns
    -------
    amplitude : float
        Of the part with six periods per electrical turn, over the mean torque. [-]

    Raises
    ------
    UnitError
        If the commutation is not one of the two.

    Notes
    -----
    Six-step on a sinusoidal EMF: the torque is a string of cosine arcs of 60 degrees,

    .. math:: \frac{T}{\bar T} = 1 - 2\sum_k \frac{(-1)^k}{36 k^2 - 1}\cos 6 k \theta

    of which the first term is 2/35. Sinusoidal current on a trapezoidal EMF: the fifth and the seventh
    harmonic of the EMF give :math:`|E_7 - E_5|/E_1`. Matching shapes give none. The amplitude times the
    mean torque goes into `linear_speed_dip` with `6 p` periods; the next harmonic adds less than 3 %
    to the dip of six-step. `commutation_torque_ripple` has the whole ripple of the torque.

    References
    ----------
    .. [1] First principles (Fourier series).

    Examples
    --------
    >>> round(commutation_ripple_amplitude(MachineConstants(0.03, 0.8, 1e-3, 8), "six-step"), 5)  # 2/35
    0.05714
    """
    if commutation_torque_ripple(constants, commutation) == 0.0:
        return 0.0
    if commutation == "six-step":
        return 2.0 / 35.0
    delta = math.radians(180.0 - constants.flat_top_deg) / 2.0
    fifth, seventh = (math.sin(n * delta) / (n * n * math.sin(delta)) for n in (5, 7))
    return abs(seventh - fifth)


def lowest_smooth_speed(
    cogging_torque: float, periods: int, total_inertia: float, speed_ripple: float
) -> float:
    r"""Return the mean speed above which cogging swings the speed by no more than a share of it.

    Parameters
    ----------
    cogging_torque : float
        Amplitude of the cogging torque. [N m]
    periods : int
        Periods of the cogging torque per turn. [1/turn]
    total_inertia : float
        Inertia of rotor and everything rigid with it, at the motor. [kg m2]
    speed_ripple : float
        Highest less lowest speed over the mean, that may be. [-]

    Returns
    -------
    speed : float
        Lowest mean speed without a control loop; zero without cogging. [rad/s]

    Raises
    ------
    InputRangeError
        If a figure is out of range.

    Notes
    -----
    Exact inverse of `cogging_speed_swing`; for a small ripple s it is
    :math:`\sqrt{2 T_c/(J n s)}`.

    References
    ----------
    .. [1] As `cogging_speed_swing`.

    Examples
    --------
    >>> round(lowest_smooth_speed(2e-3, 84, 1e-4, 0.01), 3)  # sqrt(2*2e-3/(1e-4*84*0.01)) = 6.901
    6.901
    """
    require_positive("speed_ripple", speed_ripple, "")
    require_finite("speed_ripple", speed_ripple, "")
    square = _speed_square(cogging_torque, periods, total_inertia)
    ratio = np.exp(_falling_root(np.asarray(speed_ripple), lambda r, mean: (1.0 - r) / mean))
    return float(np.sqrt(square * _mean_with_one(ratio) / (speed_ripple * (1.0 + ratio))))


def cogging_frequency(periods: int, speed: Numeric) -> Numeric:
    """Return how often a second the cogging torque repeats; a faster loop can even it out.

    Parameters
    ----------
    periods : int
        Periods of the cogging torque per turn. [1/turn]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]

    Returns
    -------
    frequency : float or ndarray, shape of `speed`
        Periods per second. [Hz]

    Raises
    ------
    InputRangeError
        If the number of periods is not positive.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(float(cogging_frequency(84, 2.0 * math.pi)), 9)  # one turn a second
    84.0
    """
    require_positive("periods", periods, "1/turn")
    frequency: Numeric = periods * np.abs(speed) / (2.0 * math.pi)
    return frequency


@dataclass(frozen=True, slots=True)
class UnpoweredShaft:
    """What a shaft does when nothing drives it.

    Attributes
    ----------
    turning_torque : float
        Torque at the shaft that turns it over the steepest notch. [N m]
    snaps : bool
        Whether cogging overcomes the friction, so that the shaft jumps from notch to notch. [-]
    rest_positions : int
        Notches per turn in which it comes to rest; 0 where friction holds it anywhere. [1/turn]
    """

    turning_torque: float
    snaps: bool
    rest_positions: int


def unpowered_shaft(cogging_torque: float, friction_torque: float, periods: int) -> UnpoweredShaft:
    """Return the torque that turns a shaft without power, and whether it rests anywhere.

    Parameters
    ----------
    cogging_torque : float
        Amplitude of the cogging torque. [N m]
    friction_torque : float
        Friction to be overcome at moving off: bearings, hysteresis of the core and, where there are
        any, seals. [N m]
    periods : int
        Periods of the cogging torque per turn. [1/turn]

    Returns
    -------
    shaft : UnpoweredShaft
        Torque and resting places. [N m, -, 1/turn]

    Raises
    ------
    InputRangeError
        If a torque is negative or the number of periods not positive.

    Notes
    -----
    The sum of both at the motor shaft; `back_driving_torque` carries it through a transmission.
    Windings are open: shorted ones brake, in proportion to speed at low speed.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> shaft = unpowered_shaft(3e-3, 2e-3, 84)
    >>> round(shaft.turning_torque, 9), shaft.snaps, shaft.rest_positions
    (0.005, True, 84)
    """
    for name, value in (("cogging_torque", cogging_torque), ("friction_torque", friction_torque)):
        require_not_negative(name, value, "N m")
        require_finite(name, value, "N m")
    require_positive("periods", periods, "1/turn")
    snaps = cogging_torque > friction_torque
    return UnpoweredShaft(cogging_torque + friction_torque, snaps, periods if snaps else 0)


@dataclass(frozen=True, slots=True)
class StartTorque:
    """Torque of a current that follows the states of Hall sensors, over that of the best angle.

    Attributes
    ----------
    least : float
        At the edge of a state, where a load may have left the rotor. [-]
    mean : float
        Over a state. [-]
    ripple : float
        Peak-to-peak over mean. [-]
    """

    least: float
    mean: float
    ripple: float


def hall_start_torque(sensors: int = 3, edge_error: float = 0.0) -> StartTorque:
    r"""Return the torque of a current whose angle is only known to one state of the Hall sensors.

    Parameters
    ----------
    sensors : int, default 3
        Sensors, spread evenly over half an electrical turn. [-]
    edge_error : float, default 0
        By how much an edge may lie beside its place. [rad electrical]

    Returns
    -------
    start : StartTorque
        Least and mean torque and ripple. [-]

    Raises
    ------
    InputRangeError
        If there are fewer than two sensors or the error takes a quarter of an electrical turn.

    Notes
    -----
    Sinusoidal EMF, current at the middle of the state, true angle within :math:`\pm h` of it with
    :math:`h = \pi/(2m) + \epsilon`: torque between 1 and :math:`\cos h`, mean
    :math:`\sin h/h`. For three sensors 0.866, 0.955 and 14.0 %, as for six-step commutation: that is
    how a sinusoidal drive starts that has only Hall signals. Once it turns, the angle between the edges is
    interpolated. The error is counted on both sides of the state, the worst case.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> start = hall_start_torque()
    >>> round(start.least, 4), round(start.mean, 4), round(start.ripple, 4)
    (0.866, 0.9549, 0.1403)
    """
    if sensors < 2 or sensors != int(sensors):
        raise InputRangeError("sensors", sensors, "", "a whole number >= 2")
    require_not_negative("edge_error", edge_error, "rad")
    half = math.pi / (2.0 * sensors) + edge_error
    if not half < 0.5 * math.pi:
        raise InputRangeError("half a state with its edge error", half, "rad", "< pi/2")
    mean = math.sin(half) / half
    return StartTorque(math.cos(half), mean, (1.0 - math.cos(half)) / mean)


def _speed_square(cogging_torque: float, periods: int, total_inertia: float) -> float:
    """Return the difference of the squares of highest and lowest speed. [rad2/s2]"""
    require_not_negative("cogging_torque", cogging_torque, "N m")
    require_finite("cogging_torque", cogging_torque, "N m")
    require_positive("periods", periods, "1/turn")
    require_positive("total_inertia", total_inertia, "kg m2")
    return 4.0 * cogging_torque / (total_inertia * periods)


def _mean_with_one(ratio: FloatArray) -> FloatArray:
    """Return the arithmetic-geometric mean of 1 and numbers of (0, 1]."""
    a, b = np.ones_like(ratio), ratio
    # sixteen rounds: the smallest double takes ten to come near, four more to the last digit
    for _ in range(16):
        a, b = 0.5 * (a + b), np.sqrt(a * b)
    return np.asarray(a)


def _falling_root(wanted: FloatArray, measure: Callable[[FloatArray, FloatArray], FloatArray]) -> FloatArray:
    """Return ln r where a measure of r and AGM(1, r) that falls over (0, 1] takes the wanted values."""
    low = np.full(np.shape(wanted), _LOG_RATIO_RANGE[0])
    high = np.full(np.shape(wanted), _LOG_RATIO_RANGE[1])
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        ratio = np.exp(middle)
        above = measure(ratio, _mean_with_one(ratio)) > wanted
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return np.asarray(0.5 * (low + high))
