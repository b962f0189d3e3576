r"""Which gear ratio: the window that speed and torque leave, the ratio of least loss, and a scan between.

The torque at the rotor is :math:`i J_M \alpha + T_L/(i\eta)` with the load's own inertia in :math:`T_L`:
a small ratio leaves too much of the load's torque, a large one asks the rotor to turn too fast and to
accelerate itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from core.errors import InputRangeError
from core.findings import Finding
from core.numeric import BoolArray, FloatArray, Numeric
from core.physics.input_ranges import require_finite, require_not_negative, require_positive
from core.physics.transmission import DIRECT, Transmission
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class RatioWindow:
    """The ratios at which motor and transmission can do every instant of the load's duty.

    Parameters
    ----------
    lowest : float
        Least ratio at which the torque suffices. [-]
    highest : float
        Largest ratio allowed by anything. [-]
    highest_by_motor_speed, highest_by_gear_speed, highest_by_inertia : float
        Largest ratio by the motor's speed, by the input speed of the transmission, and by the torque
        that the rotor needs for itself; infinite where they do not bind. [-]

    References
    ----------
    Own formulation.
    """

    lowest: float
    highest: float
    highest_by_motor_speed: float
    highest_by_gear_speed: float
    highest_by_inertia: float

    @property
    def is_open(self) -> bool:
        """Whether any ratio is in the window."""
        return self.lowest <= self.highest

    def contains(self, ratio: float) -> bool:
        """Tell whether a ratio of either sign is in the window."""
        return self.lowest <= abs(ratio) <= self.highest


def ratio_window(
    load_torque: FloatArray,
    load_speed: FloatArray,
    load_acceleration: FloatArray,
    motor_torque: float,
    motor_speed: float,
    rotor_inertia: float,
    transmission: Transmission = DIRECT,
) -> RatioWindow:
    r"""Return the ratios at which no instant asks for more torque or speed than there is.

    Parameters
    ----------
    load_torque, load_speed, load_acceleration : ndarray, shape (n,)
        Instants of the load's duty; the torque includes its inertia. [N m, rad/s, rad/s2]
    motor_torque : float
        Torque that the motor may use: the peak for the window of the moment, the continuous torque
        with the instants of a lasting duty. [N m]
    motor_speed : float
        Largest speed of the motor at that torque. [rad/s]
    rotor_inertia : float
        Moment of inertia of the rotor. [kg m2]
    transmission : Transmission
        Efficiencies, drag, inertia and speed limit; its ratio does not count. [SI]

    Returns
    -------
    window : RatioWindow
        Ratios without sign; closed where `lowest` is above `highest`. [-]

    Raises
    ------
    InputRangeError
        If the motor's torque or speed is not positive.

    Notes
    -----
    With a = J |alpha|, c = |T| by the efficiency of its direction, s = +1 where torque and acceleration
    have one sign and -1 where they oppose each other, and U = motor torque less gear drag,
    :math:`|a i + s c/i| \le U` gives

    .. math:: \frac{2c}{U + \sqrt{U^2 - 4 s a c}} \le i \le \frac{U + \sqrt{U^2 - 4 s a c}}{2a}

    and no ratio at all where the root is imaginary.

    References
    ----------
    First principles; the simple limits n_M/n_L and T_L/(T_M eta): common practice, no source.

    Examples
    --------
    >>> w = ratio_window(np.array([9.0]), np.array([20.0]), np.array([0.0]), 1.0, 300.0, 1e-5,
    ...                  Transmission(efficiency=0.9))
    >>> round(w.lowest, 9), w.highest
    (10.0, 15.0)
    """
    require_positive("motor torque", motor_torque, "N m")
    require_positive("motor speed", motor_speed, "rad/s")
    require_not_negative("rotor inertia", rotor_inertia, "kg m2")
    usable = motor_torque - transmission.drag_torque
    driving = np.where(
        load_torque * load_speed < 0.0, transmission.back_efficiency, 1.0 / transmission.efficiency
    )
    # signed, as a transmission that locks itself turns the torque of the load round
    arriving = load_torque * np.where(load_speed == 0.0, 1.0, driving)
    c = np.abs(arriving)
    a = (rotor_inertia + transmission.input_inertia) * np.abs(load_acceleration)
    opposed = np.where(arriving * load_acceleration < 0.0, -1.0, 1.0)
    inner = usable**2 - 4.0 * opposed * a * c
    reach = usable + np.sqrt(np.maximum(inner, 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        low = np.where(c > 0.0, 2.0 * c / reach, 0.0)
        high = np.where(a > 0.0, reach / (2.0 * a), np.inf)
    impossible = (inner < 0.0) | (usable <= 0.0)
    lowest = float(np.where(impossible, np.inf, low).max(initial=0.0))
    by_inertia = float(np.where(impossible, 0.0, high).min(initial=np.inf))
    fastest = float(np.abs(load_speed).max(initial=0.0))
    limit = np.inf if transmission.largest_input_speed is None else transmission.largest_input_speed
    by_motor = motor_speed / fastest if fastest > 0.0 else np.inf
    by_gear = limit / fastest if fastest > 0.0 else np.inf
    return RatioWindow(lowest, min(by_motor, by_gear, by_inertia), by_motor, by_gear, by_inertia)


def loss_minimising_ratio(
    duration: FloatArray,
    load_torque: FloatArray,
    load_acceleration: FloatArray,
    rotor_inertia: float,
    efficiency: float = 1.0,
) -> float:
    r"""Return the ratio at which the copper loss over the cycle is least.

    Parameters
    ----------
    duration : ndarray, shape (k,)
        Durations of the pieces, rest included. [s]
    load_torque : ndarray, shape (k, 2)
        Torque at the load at both ends of each piece, :math:`J_L\alpha + T_L`. [N m]
    load_acceleration : ndarray, shape (k,)
        Acceleration of the load in each piece. [rad/s2]
    rotor_inertia : float
        Moment of inertia of rotor and transmission input. [kg m2]
    efficiency : float, default 1
        Efficiency, the same in both directions. [-]

    Returns
    -------
    ratio : float
        :math:`(D/A)^{1/4}/\sqrt{\eta J_M}`; infinite where nothing accelerates, as then every larger
        ratio is better until the speed ends it. [-]

    Raises
    ------
    InputRangeError
        If a duration or the inertia is not positive, or the efficiency not in (0, 1].

    Notes
    -----
    With :math:`A = \overline{\alpha^2}`, :math:`D = \overline{(J_L\alpha+T_L)^2}` the mean square torque is
    :math:`i^2 J_M^2 A + D/(i\eta)^2` plus a part without i. Drag of the motor, back-driving with another
    efficiency and speed-dependent cooling are left out: `ratio_candidates` scans those.

    References
    ----------
    First principles; for pure inertia R. S. Khurmi & J. K. Gupta, Theory of Machines, Ex. 3.14, p. 51
    [as re-worked in a public textbook-companion notebook; the printed page was not seen].

    Examples
    --------
    A load of 32 kg m2 and a rotor of 2 kg m2, speeding up and slowing down: sqrt(32/2).

    >>> a = np.array([1.0, -1.0])
    >>> loss_minimising_ratio(np.ones(2), 32.0 * np.stack([a, a], axis=1), a, 2.0)
    4.0
    """
    require_positive("duration of a piece of the motion", duration, "s")
    require_positive("rotor inertia", rotor_inertia, "kg m2")
    if not 0.0 < efficiency <= 1.0:
        raise InputRangeError("gear efficiency", efficiency, "", "> 0 and <= 1")
    first, last = load_torque[:, 0], load_torque[:, 1]
    squares = (first**2 + first * last + last**2) / 3.0
    a, d = float(duration @ load_acceleration**2), float(duration @ squares)
    if a == 0.0:
        return float("inf")
    return float((d / a) ** 0.25 / np.sqrt(efficiency * rotor_inertia))


def load_acceleration(
    ratio: Numeric,
    motor_torque: float,
    rotor_inertia: float,
    load_inertia: float,
    load_torque: float = 0.0,
    efficiency: float = 1.0,
) -> Numeric:
    r"""Return how fast a motor accelerates a load that it drives.

    Parameters
    ----------
    ratio : float or ndarray, any shape
        Gear ratio. [-]
    motor_torque : float
        Torque of the motor. [N m]
    rotor_inertia, load_inertia : float
        Moments of inertia at the motor and at the load. [kg m2]
    load_torque : float
        Torque that the load takes beside its inertia. [N m]
    efficiency : float
        Efficiency of the transmission. [-]

    Returns
    -------
    acceleration : float or ndarray, shape of `ratio`
        :math:`(\eta i T_M - T_L)/(J_L + \eta i^2 J_M)` at the load. [rad/s2]

    References
    ----------
    R. S. Khurmi & J. K. Gupta, Theory of Machines, Ex. 3.17, p. 55 [as re-worked in a public
    textbook-companion notebook; the printed page was not seen].

    Examples
    --------
    >>> load_acceleration(4.0, 100.0, 2.0, 32.0)
    6.25
    """
    require_not_negative("load inertia", load_inertia, "kg m2")
    require_positive("rotor inertia", rotor_inertia, "kg m2")
    pull = efficiency * ratio * motor_torque - load_torque
    acceleration: Numeric = pull / (load_inertia + efficiency * ratio**2 * rotor_inertia)
    return acceleration


@dataclass(frozen=True, slots=True)
class RatioScan:
    """Numbers over the ratio, for a chart.

    Parameters
    ----------
    ratio : ndarray, shape (n,)
        Ratios in rising order. [-]
    available : ndarray of bool, shape (n,)
        Whether the ratio can be had. [-]
    values : mapping of str to ndarray, each of shape (n,)
        What was evaluated; NaN where it could not be. [SI]

    References
    ----------
    Own formulation.
    """

    ratio: FloatArray
    available: BoolArray
    values: Mapping[str, FloatArray]


def ratio_candidates(
    evaluate_at: Callable[[float], Mapping[str, float]],
    lowest: float,
    highest: float,
    available: Sequence[float] = (),
    count: int = 41,
) -> RatioScan:
    """Return what an evaluation says at ratios in even steps of proportion and at the available ones.

    Parameters
    ----------
    evaluate_at : callable
        Takes a ratio, returns numbers by name; a number left out counts as not known. [-]
    lowest, highest : float
        Ends of the scan, both positive. [-]
    available : sequence of float
        Ratios that can be had; their sign is dropped, those outside the ends are scanned as well. [-]
    count : int, default 41
        Number of even steps, ends included. [-]

    Returns
    -------
    scan : RatioScan
        Arrays over the ratio. [SI]

    Raises
    ------
    InputRangeError
        If the ends are not positive and rising, or `count` is below 2.

    References
    ----------
    None: a scan, no physics. Common practice, no source.

    Examples
    --------
    >>> scan = ratio_candidates(lambda i: {"torque": 12.0 / i}, 1.0, 4.0, available=[3.0], count=3)
    >>> scan.ratio.tolist(), scan.values["torque"].tolist(), scan.available.tolist()
    ([1.0, 2.0, 3.0, 4.0], [12.0, 6.0, 4.0, 3.0], [False, False, True, False])
    """
    require_positive("lowest ratio", lowest, "")
    if not lowest < highest < np.inf:
        raise InputRangeError("highest ratio", highest, "", "above the lowest and finite")
    if count < 2:
        raise InputRangeError("number of ratios", count, "", ">= 2")
    to_have = np.unique(np.abs(np.asarray(available, dtype=np.float64)))
    require_finite("available ratio", to_have, "")
    require_positive("available ratio", to_have, "")
    ratios = np.unique(np.concatenate((np.geomspace(lowest, highest, count), to_have)))
    rows = [evaluate_at(float(ratio)) for ratio in ratios]
    names = dict.fromkeys(name for row in rows for name in row)
    values = {name: np.array([row.get(name, np.nan) for row in rows]) for name in names}
    return RatioScan(ratios, np.isin(ratios, to_have), values)


def ratio_findings(
    ratio: float, window: RatioWindow, peak_load_torque: float, stall_torque: float | None = None
) -> tuple[Finding, ...]:
    """Return what is wrong with a chosen ratio.

    Parameters
    ----------
    ratio : float
        The ratio, of either sign. [-]
    window : RatioWindow
        The window by the torque that the motor may use. [-]
    peak_load_torque : float
        Largest torque at the load. [N m]
    stall_torque : float, optional
        Torque of the locked motor at full voltage, as data sheets print it. [N m]

    Returns
    -------
    findings : tuple of Finding
        Codes `ratio_...`. [SI]

    Notes
    -----
    A ratio below the window that lies within 10 % of load torque over stall torque was most likely
    chosen by that quotient: the stall torque is computed from voltage and cold resistance and lasts for
    seconds at most.

    References
    ----------
    Common practice, no source.
    """
    size = abs(ratio)
    values = {"ratio": size, "lowest": window.lowest, "highest": window.highest}
    found: list[Finding] = []
    if not window.is_open:
        text = "No ratio serves: what the torque asks for is above what speed and rotor inertia allow."
        return (Finding("ratio_window_closed", "serious", text, values),)
    if size < window.lowest:
        text = f"At {size:.4g}:1 the torque does not suffice; it does from {window.lowest:.4g}:1 on."
        found.append(Finding("ratio_below_window", "serious", text, values))
        by_stall = abs(peak_load_torque) / stall_torque if stall_torque else 0.0
        if by_stall > 0.0 and abs(size / by_stall - 1.0) <= 0.1:
            text = (
                f"The ratio is load torque over stall torque ({by_stall:.4g}). A motor delivers its stall "
                "torque at rest and for seconds only: use the torque it may deliver at speed."
            )
            found.append(
                Finding("ratio_from_stall_torque", "warning", text, {**values, "by_stall": by_stall})
            )
    elif size > window.highest:
        found.append(_too_high(size, window, values))
    return tuple(found)


def _too_high(size: float, window: RatioWindow, values: dict[str, float]) -> Finding:
    causes = {
        "the speed of the motor": window.highest_by_motor_speed,
        "the input speed of the transmission": window.highest_by_gear_speed,
        "the torque that the rotor needs for itself": window.highest_by_inertia,
    }
    cause = min(causes, key=lambda name: causes[name])
    text = f"At {size:.4g}:1 {cause} is exceeded; the limit is {window.highest:.4g}:1."
    return Finding("ratio_above_window", "serious", text, values)
