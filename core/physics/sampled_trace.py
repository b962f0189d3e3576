r"""A measured trace of torque and speed, and its rotor torque from sample to sample.

Between two samples torque and speed run in straight lines; intervals in which the speed passes zero are
cut there, because drag turns round.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray, read_only
from core.physics.input_ranges import require_finite, require_not_negative
from core.physics.transmission import ShaftTimeline, Transmission, shaft_timeline
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class Trace:
    """Samples of torque and speed at the motor shaft, straight lines between; arrays are read-only.

    Parameters
    ----------
    time : ndarray, shape (n,)
        Rising times of the samples. [s]
    torque : ndarray, shape (n,)
        Torque at the coupling, without what the rotor itself takes. [N m]
    speed : ndarray, shape (n,)
        Speed of the shaft. [rad/s]

    Raises
    ------
    InputRangeError
        If there are fewer than two samples, the arrays differ in length, a value is not finite or the
        time does not rise.

    References
    ----------
    Own formulation.
    """

    time: FloatArray
    torque: FloatArray
    speed: FloatArray

    def __post_init__(self) -> None:
        """Refuse what is no course of time."""
        if self.time.size < 2:
            raise InputRangeError("number of samples", self.time.size, "", ">= 2")
        for name, array, unit in (("time", self.time, "s"), ("torque", self.torque, "N m"),
                                  ("speed", self.speed, "rad/s")):  # fmt: skip
            if array.shape != self.time.shape:
                raise InputRangeError(f"number of samples of {name}", array.size, "", "that of time")
            require_finite(name, array, unit)
        step = float(np.diff(self.time).min())
        if not step > 0.0:
            raise InputRangeError("step of time", step, "s", "> 0")
        read_only(self.time, self.torque, self.speed)

    @property
    def duration(self) -> float:
        """Time from the first to the last sample. [s]"""
        return float(self.time[-1] - self.time[0])


@dataclass(frozen=True, slots=True)
class TraceIntervals:
    """Intervals between samples, each with one direction of speed.

    Parameters
    ----------
    start : ndarray, shape (m,)
        Times at which the intervals begin. [s]
    duration : ndarray, shape (m,)
        Durations. [s]
    torque_start, torque_end : ndarray, shape (m,)
        Torque that the rotor must be given, its inertia included. [N m]
    speed_start, speed_end : ndarray, shape (m,)
        Speeds at the ends. [rad/s]
    sample : ndarray of int, shape (m,)
        Sample at or before the start of each interval. [-]

    References
    ----------
    Own formulation.
    """

    start: FloatArray
    duration: FloatArray
    torque_start: FloatArray
    torque_end: FloatArray
    speed_start: FloatArray
    speed_end: FloatArray
    sample: IntArray


def trace_intervals(trace: Trace, rotor_inertia: float, smoothed_over: int = 1) -> TraceIntervals:
    r"""Return the intervals of a trace with the torque that the rotor must be given.

    Parameters
    ----------
    trace : Trace
        The trace. [SI]
    rotor_inertia : float
        Moment of inertia of the rotor; 0 where the measured torque contains it. [kg m2]
    smoothed_over : int, default 1
        Number of intervals over which the acceleration is averaged; 1 leaves it as measured. [-]

    Returns
    -------
    intervals : TraceIntervals
        One for each step of time, two where the speed passes zero. [SI]

    Raises
    ------
    InputRangeError
        If the inertia is negative or `smoothed_over` below 1.

    Notes
    -----
    The acceleration is constant in an interval, :math:`(\omega_{k+1}-\omega_k)/\Delta t`: noise of the
    speed is divided by the step of time, so that a finer sampled trace shows more accelerating torque
    that was never there. Averaging takes (change of speed)/(time) over a window centred on the interval.

    References
    ----------
    Newton's second law; central difference, textbook method (from memory).

    Examples
    --------
    >>> trace = Trace(np.array([0.0, 2.0]), np.array([0.5, 0.5]), np.array([-10.0, 30.0]))
    >>> part = trace_intervals(trace, 0.01)
    >>> part.duration.tolist(), part.torque_start.tolist(), part.speed_end.tolist()
    ([0.5, 1.5], [0.7, 0.7], [0.0, 30.0])
    """
    require_not_negative("rotor inertia", rotor_inertia, "kg m2")
    time, torque, speed = trace.time, trace.torque, trace.speed
    rotor = rotor_inertia * interval_acceleration(trace, smoothed_over) if rotor_inertia else 0.0
    start, duration = time[:-1], np.diff(time)
    first, last = torque[:-1] + rotor, torque[1:] + rotor
    w0, w1 = speed[:-1], speed[1:]
    sample = np.arange(duration.size)
    crossing = np.flatnonzero(w0 * w1 < 0.0)
    if not crossing.size:
        return TraceIntervals(start, duration, first, last, w0, w1, sample)
    share = w0[crossing] / (w0[crossing] - w1[crossing])
    after = crossing + 1  # where the second halves are put in
    at_zero = first[crossing] + (last - first)[crossing] * share
    before, rest = duration[crossing] * share, duration[crossing] * (1.0 - share)
    halves = {
        "start": (start, start[crossing] + before, None),
        "duration": (duration, rest, before),
        "torque_start": (first, at_zero, None),
        "torque_end": (last, last[crossing], at_zero),
        "speed_start": (w0, np.zeros(crossing.size), None),
        "speed_end": (w1, w1[crossing], 0.0),
    }
    parts: dict[str, FloatArray] = {}
    for name, (whole, second, ending) in halves.items():
        array = whole.copy()
        if ending is not None:
            array[crossing] = ending
        parts[name] = np.insert(array, after, second)
    return TraceIntervals(**parts, sample=np.insert(sample, after, crossing))


def timeline_intervals(
    timeline: ShaftTimeline, rotor_inertia: float, acceleration: FloatArray | None = None
) -> TraceIntervals:
    r"""Return the parts of a duty behind a transmission as intervals, with the torque of the rotor added.

    Parameters
    ----------
    timeline : ShaftTimeline
        Duty at the motor shaft, its torque linear in every part. [SI]
    rotor_inertia : float
        Moment of inertia of the rotor. [kg m2]
    acceleration : ndarray, shape (m,), optional
        That of the rotor in every part; by default the change of its speed over time. [rad/s2]

    Returns
    -------
    intervals : TraceIntervals
        One for each part. [SI]

    Raises
    ------
    InputRangeError
        If the inertia is negative.

    References
    ----------
    Newton's second law.

    Examples
    --------
    >>> line = shaft_timeline(np.array([0.0, 2.0]), np.array([0.0, 10.0]), np.full((1, 2), 0.5))
    >>> timeline_intervals(line, 0.01).torque_end.tolist()
    [0.55]
    """
    require_not_negative("rotor inertia", rotor_inertia, "kg m2")
    w0, w1 = timeline.speed.T
    alpha = (w1 - w0) / timeline.duration if acceleration is None else acceleration
    rotor = rotor_inertia * alpha
    start = np.concatenate(([0.0], np.cumsum(timeline.duration)[:-1]))
    first, last = timeline.torque.T
    return TraceIntervals(start, timeline.duration, first + rotor, last + rotor, w0, w1, timeline.piece)


def trace_through(trace: Trace, transmission: Transmission, smoothed_over: int = 1) -> ShaftTimeline:
    """Return a trace measured at the output of a transmission as duty at the motor shaft.

    Parameters
    ----------
    trace : Trace
        Torque and speed at the output. [SI]
    transmission : Transmission
        The transmission. [SI]
    smoothed_over : int, default 1
        Number of intervals over which the acceleration of its inertia is averaged. [-]

    Returns
    -------
    timeline : ShaftTimeline
        Parts with one direction of speed and power. [SI]

    Raises
    ------
    InputRangeError
        If `smoothed_over` is below 1.

    References
    ----------
    As `core.physics.transmission.shaft_timeline`.

    Examples
    --------
    >>> trace = Trace(np.array([0.0, 1.0]), np.array([8.0, 8.0]), np.array([2.0, 2.0]))
    >>> trace_through(trace, Transmission(ratio=10.0, efficiency=0.8)).torque.tolist()
    [[1.0, 1.0]]
    """
    torque = np.stack([trace.torque[:-1], trace.torque[1:]], axis=1)
    timeline = shaft_timeline(trace.time, trace.speed, torque, transmission)
    if smoothed_over == 1 or transmission.input_inertia == 0.0:
        return timeline
    change = interval_acceleration(trace, smoothed_over) - interval_acceleration(trace)
    shift = transmission.input_inertia * transmission.ratio * change[timeline.piece]
    return replace(timeline, torque=timeline.torque + shift[:, None])


def cut_intervals(whole: TraceIntervals, count: IntArray) -> TraceIntervals:
    """Return the intervals cut into equal parts.

    Parameters
    ----------
    whole : TraceIntervals
        The intervals. [SI]
    count : ndarray of int, shape (m,)
        Into how many parts each is cut, at least 1. [-]

    Returns
    -------
    parts : TraceIntervals
        The parts, on the same straight lines. [SI]

    References
    ----------
    None: linear interpolation, textbook method (from memory).
    """
    source = np.repeat(np.arange(count.size), count)
    step = 1.0 / count[source]
    number = np.arange(source.size) - np.repeat(np.cumsum(count) - count, count)
    x, last = number * step, number + 1 == count[source]

    def ends(begin: FloatArray, end: FloatArray) -> tuple[FloatArray, FloatArray]:
        p, change = begin[source], (end - begin)[source]
        return p + change * x, np.where(last, end[source], p + change * ((number + 1) * step))

    t0, t1 = ends(whole.torque_start, whole.torque_end)
    w0, w1 = ends(whole.speed_start, whole.speed_end)
    duration = whole.duration[source]
    return TraceIntervals(
        whole.start[source] + duration * x, duration * step, t0, t1, w0, w1, whole.sample[source]
    )


def interval_acceleration(trace: Trace, smoothed_over: int = 1) -> FloatArray:
    """Return the acceleration in each interval between two samples.

    Parameters
    ----------
    trace : Trace
        The trace. [SI]
    smoothed_over : int, default 1
        Number of intervals averaged over, fewer at the ends. [-]

    Returns
    -------
    acceleration : ndarray, shape (n - 1,)
        Change of speed over time. [rad/s2]

    Raises
    ------
    InputRangeError
        If `smoothed_over` is below 1.

    References
    ----------
    Central difference, textbook method (from memory).

    Examples
    --------
    >>> trace = Trace(np.array([0.0, 1.0, 2.0]), np.zeros(3), np.array([0.0, 4.0, 6.0]))
    >>> interval_acceleration(trace).tolist(), interval_acceleration(trace, 3).tolist()
    ([4.0, 2.0], [3.0, 3.0])
    """
    if smoothed_over < 1:
        raise InputRangeError("number of intervals averaged over", smoothed_over, "", ">= 1")
    count = trace.time.size - 1
    if smoothed_over == 1:
        return np.diff(trace.speed) / np.diff(trace.time)
    low = np.maximum(np.arange(count) - (smoothed_over - 1) // 2, 0)
    high = np.minimum(np.arange(count) + smoothed_over // 2 + 1, count)
    slope: FloatArray = (trace.speed[high] - trace.speed[low]) / (trace.time[high] - trace.time[low])
    return slope
