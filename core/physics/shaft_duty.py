r"""The duty at the motor shaft: what the rotor must be given in each part of the cycle.

The tool adds the inertia of the rotor; a segment in which the speed changes sign is split where it
passes through zero, because drag turns round there and braking becomes driving.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray


@dataclass(frozen=True, slots=True)
class ShaftDuty:
    r"""Parts of the cycle in each of which the torque is constant and the speed keeps its sign.

    Parameters
    ----------
    duration : ndarray, shape (m,)
        Durations. [s]
    torque : ndarray, shape (m,)
        Torque that the motor must deliver beyond its own drag, :math:`T_\mathrm{shaft} + J\alpha`. [N m]
    speed_start, speed_end : ndarray, shape (m,)
        Speeds at the ends of each part, of one sign. [rad/s]
    segment : ndarray of int, shape (m,)
        Segment of the duty cycle to which each part belongs, from 0. [-]
    start : ndarray, shape (m,)
        Time in the cycle at which each part begins. [s]

    References
    ----------
    Own formulation of Newton's second law for the rotor.
    """

    duration: FloatArray
    torque: FloatArray
    speed_start: FloatArray
    speed_end: FloatArray
    segment: IntArray
    start: FloatArray

    @property
    def cycle_time(self) -> float:
        """Duration of the whole cycle. [s]"""
        return float(self.duration.sum())

    @property
    def direction(self) -> FloatArray:
        """Sign of the speed in each part, 0 at standstill, shape (m,). [-]"""
        return np.sign(self.speed_start + self.speed_end)


def shaft_duty(
    duration: FloatArray,
    shaft_torque: FloatArray,
    speed_start: FloatArray,
    speed_end: FloatArray,
    rotor_inertia: float,
) -> ShaftDuty:
    r"""Return the duty that the rotor sees, split where the speed passes through zero.

    Parameters
    ----------
    duration : ndarray, shape (segments,)
        Durations, each positive. [s]
    shaft_torque : ndarray, shape (segments,)
        Torque at the coupling. [N m]
    speed_start, speed_end : ndarray, shape (segments,)
        Speeds between which each segment runs linearly. [rad/s]
    rotor_inertia : float
        Moment of inertia of the rotor. [kg m2]

    Returns
    -------
    duty : ShaftDuty
        At most twice as many parts as segments. [-]

    Raises
    ------
    InputRangeError
        If a duration is not positive or the inertia is negative.

    Notes
    -----
    .. math:: T = T_\mathrm{shaft} + J\,\frac{\omega_2 - \omega_1}{t}

    A jump of speed between two segments would need infinite torque; it is not in here and must be
    reported by the caller.

    References
    ----------
    G. K. Dubey, Fundamentals of Electrical Drives, Ex. 4.2, p. 52, uses the same accelerating term
    [as re-worked in a public textbook-companion notebook; the printed page was not seen].

    Examples
    --------
    >>> duty = shaft_duty(np.array([2.0]), np.array([0.5]), np.array([-10.0]), np.array([30.0]), 0.01)
    >>> duty.duration.tolist(), duty.torque.tolist(), duty.speed_end.tolist()
    ([0.5, 1.5], [0.7, 0.7], [0.0, 30.0])
    """
    if not (duration > 0.0).all():
        raise InputRangeError("duration", float(duration.min()), "s", "> 0")
    if not rotor_inertia >= 0.0:
        raise InputRangeError("rotor inertia", rotor_inertia, "kg m2", ">= 0")
    torque = shaft_torque + rotor_inertia * (speed_end - speed_start) / duration
    crosses = speed_start * speed_end < 0.0
    start = np.concatenate(([0.0], np.cumsum(duration)[:-1]))
    segment = np.arange(duration.size)
    if not crosses.any():
        return ShaftDuty(duration, torque, speed_start, speed_end, segment, start)
    source = np.repeat(segment, 1 + crosses)  # a crossing segment appears twice
    second = np.concatenate(([False], source[1:] == source[:-1]))
    first = np.concatenate((source[1:] == source[:-1], [False]))
    with np.errstate(divide="ignore", invalid="ignore"):
        before = np.where(crosses, duration * speed_start / (speed_start - speed_end), 0.0)
    return ShaftDuty(
        np.where(first, before[source], np.where(second, (duration - before)[source], duration[source])),
        torque[source],
        np.where(second, 0.0, speed_start[source]),
        np.where(first, 0.0, speed_end[source]),
        source,
        start[source] + np.where(second, before[source], 0.0),
    )
