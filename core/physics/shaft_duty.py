r"""The duty at the motor shaft: what the rotor must be given in each part of the cycle.

The tool adds the inertia of the rotor; a part in which the speed changes sign is split where it
passes through zero, because drag turns round there and braking becomes driving.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class ShaftDuty:
    r"""Parts of the cycle in each of which torque and speed are linear and the speed keeps its sign.

    Parameters
    ----------
    duration : ndarray, shape (m,)
        Durations. [s]
    torque_start, torque_end : ndarray, shape (m,)
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
    torque_start: FloatArray
    torque_end: FloatArray
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

    def blocks(self, largest: int) -> Iterator[ShaftDuty]:
        """Yield the parts in blocks of at most so many, so that a long trace need not be held many times."""
        if self.duration.size <= largest:
            yield self
            return
        for begin in range(0, self.duration.size, largest):
            part = slice(begin, begin + largest)
            yield ShaftDuty(*(getattr(self, field.name)[part] for field in fields(self)))

    @property
    def is_steady(self) -> bool:
        """Whether torque and speed are the same throughout the cycle."""
        torques = np.concatenate((self.torque_start, self.torque_end))
        speeds = np.concatenate((self.speed_start, self.speed_end))
        return bool((torques == torques[0]).all() and (speeds == speeds[0]).all())


def shaft_duty(
    duration: FloatArray,
    shaft_torque: FloatArray,
    speed_start: FloatArray,
    speed_end: FloatArray,
    rotor_inertia: float,
    segment: IntArray | None = None,
) -> ShaftDuty:
    r"""Return the duty that the rotor sees, split where the speed passes through zero.

    Parameters
    ----------
    duration : ndarray, shape (parts,)
        Durations, each positive. [s]
    shaft_torque : ndarray, shape (parts,) or (parts, 2)
        Torque at the coupling: constant in each part, or at both its ends. [N m]
    speed_start, speed_end : ndarray, shape (parts,)
        Speeds between which each part runs linearly. [rad/s]
    rotor_inertia : float
        Moment of inertia of the rotor. [kg m2]
    segment : ndarray of int, shape (parts,), optional
        Segment to which each part belongs, not falling; by default each is its own. [-]

    Returns
    -------
    duty : ShaftDuty
        At most twice as many parts. [-]

    Raises
    ------
    InputRangeError
        If a duration is not positive or the inertia is negative.

    Notes
    -----
    .. math:: T = T_\mathrm{shaft} + J\,\frac{\omega_2 - \omega_1}{t}

    A jump of speed between two parts would need infinite torque; it is not in here and must be
    reported by the caller.

    References
    ----------
    G. K. Dubey, Fundamentals of Electrical Drives, Ex. 4.2, p. 52, uses the same accelerating term
    [as re-worked in a public textbook-companion notebook; the printed page was not seen].

    Examples
    --------
    >>> duty = shaft_duty(np.array([2.0]), np.array([0.5]), np.array([-10.0]), np.array([30.0]), 0.01)
    >>> duty.duration.tolist(), duty.torque_end.tolist(), duty.speed_end.tolist()
    ([0.5, 1.5], [0.7, 0.7], [0.0, 30.0])
    """
    if not (duration > 0.0).all():
        raise InputRangeError("duration", float(duration.min()), "s", "> 0")
    if not rotor_inertia >= 0.0:
        raise InputRangeError("rotor inertia", rotor_inertia, "kg m2", ">= 0")
    own = np.arange(duration.size) if segment is None else segment
    ends = np.broadcast_to(np.atleast_2d(shaft_torque.T).T, (duration.size, 2))
    torque = ends + (rotor_inertia * (speed_end - speed_start) / duration)[:, None]
    start = np.concatenate(([0.0], np.cumsum(duration)[:-1]))
    whole = ShaftDuty(duration, torque[:, 0], torque[:, 1], speed_start, speed_end, own, start)
    crosses = speed_start * speed_end < 0.0
    return _split(whole, crosses) if crosses.any() else whole


def _split(duty: ShaftDuty, crosses: np.ndarray) -> ShaftDuty:
    """Return the duty with the marked parts cut where their speed passes through zero."""
    source = np.repeat(np.arange(crosses.size), 1 + crosses)  # a crossing part appears twice
    second = np.concatenate(([False], source[1:] == source[:-1]))
    first = np.concatenate((source[1:] == source[:-1], [False]))
    change = np.where(crosses, duty.speed_start - duty.speed_end, 1.0)
    share = np.where(crosses, duty.speed_start / change, 0.0)[source]
    at_zero = duty.torque_start[source] + share * (duty.torque_end - duty.torque_start)[source]
    length = duty.duration[source]
    return ShaftDuty(
        np.where(first, share * length, np.where(second, (1.0 - share) * length, length)),
        np.where(second, at_zero, duty.torque_start[source]),
        np.where(first, at_zero, duty.torque_end[source]),
        np.where(second, 0.0, duty.speed_start[source]),
        np.where(first, 0.0, duty.speed_end[source]),
        duty.segment[source],
        duty.start[source] + np.where(second, share * length, 0.0),
    )
