r"""A few load points that stand for a trace in the speed-torque plane, and what is doubtful about a trace.

The points carry the extremes that a limit can meet: corners of the convex hull of all samples in each half
of the plane, and the samples of largest torque, speed and power. The rest show where the trace spends its
time.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from core.errors import InputRangeError
from core.findings import Finding
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.input_ranges import require_not_negative
from core.physics.sampled_trace import Trace, TraceIntervals, interval_acceleration, trace_intervals
from core.records import dataclass
from core.sentences import sentence
from core.units import Kind

MOST_POINTS: Final = 40
# Directions in which the furthest samples are looked for before the hull is formed.
_DIRECTIONS: Final = 64
# Ends that differ by more than this share of the range do not join to a repeating cycle.
_JOINT: Final = 0.05
# The accelerating torque counts as noise if averaging over so many intervals takes away half its square.
_AVERAGED: Final = 10


@dataclass(frozen=True, slots=True)
class TracePoints:
    """Load points that stand for a trace.

    Parameters
    ----------
    speed : ndarray, shape (p,)
        Magnitude of the speed. [rad/s]
    torque : ndarray, shape (p,)
        Torque in the direction of motion, negative when braking; at rest its magnitude. [N m]
    share : ndarray, shape (p,)
        Share of the time for which each point stands; 0 for extremes, which last a moment. [-]
    extreme : ndarray of bool, shape (p,)
        Whether the point is a sample at an extreme. [-]
    time : ndarray, shape (p,)
        Time of an extreme from the start of the trace; of the others the mean time. [s]

    References
    ----------
    Own formulation.
    """

    speed: FloatArray
    torque: FloatArray
    share: FloatArray
    extreme: BoolArray
    time: FloatArray


def reduced_load_points(trace: Trace, rotor_inertia: float = 0.0, count: int = MOST_POINTS) -> TracePoints:
    r"""Return at most `count` load points that carry the extremes of a trace and show its weight.

    Parameters
    ----------
    trace : Trace
        The trace. [SI]
    rotor_inertia : float
        Moment of inertia of the rotor; 0 where the torque shall be that of the coupling. [kg m2]
    count : int, default 40
        Largest number of points. [-]

    Returns
    -------
    points : TracePoints
        Extremes first, largest torque foremost, then the others by falling share. [SI]

    Raises
    ------
    InputRangeError
        If `count` is below 16 or the inertia is negative.

    Notes
    -----
    The hull is that of the furthest samples in 64 directions, 0.1 % inside a round one. If it has more
    corners than 0.6 of `count`, those that stand out least are left out, a few per cent inside a round
    one, but never those of largest torque, speed or power, driving or braking: these are exact. The
    other points are the means of the samples in the fields of the finest even grid with few enough
    fields in use; their shares of the time add up to 1.

    References
    ----------
    A. M. Andrew, Information Processing Letters 9 (1979) 216, for the hull (from memory).

    Examples
    --------
    >>> trace = Trace(np.arange(4.0), np.array([1.0, 1.0, -1.0, -1.0]), np.array([0.0, 9.0, 9.0, 0.0]))
    >>> points = reduced_load_points(trace)
    >>> bool(points.extreme.any()), round(float(points.share.sum()), 9)
    (True, 1.0)
    """
    return interval_load_points(trace_intervals(trace, rotor_inertia), count)


def interval_load_points(parts: TraceIntervals, count: int = MOST_POINTS) -> TracePoints:
    """Return load points for any duty with linear torque and speed, as `reduced_load_points` for a trace.

    Parameters
    ----------
    parts : TraceIntervals
        The duty in intervals with one direction of speed. [SI]
    count : int, default 40
        Largest number of points. [-]

    Returns
    -------
    points : TracePoints
        Extremes first, then the others by falling share. [SI]

    Raises
    ------
    InputRangeError
        If `count` is below 16.

    References
    ----------
    As `reduced_load_points`.
    """
    if count < 16:
        raise InputRangeError("number of load points", count, "", ">= 16")
    speed, torque, time = _in_the_plane(parts)
    corners = _extremes(speed, torque, count * 3 // 5)
    corners = corners[np.argsort(-np.abs(torque[corners]), kind="stable")]
    mean_speed, mean_torque, mean_time, share = _fields(parts, count - corners.size)
    none, some = np.zeros(corners.size), np.zeros(share.size, dtype=bool)
    return TracePoints(
        np.concatenate((speed[corners], mean_speed)),
        np.concatenate((torque[corners], mean_torque)),
        np.concatenate((none, share)),
        np.concatenate((np.ones(corners.size, dtype=bool), some)),
        np.concatenate((time[corners], mean_time)) - float(parts.start[0]),
    )


def _in_the_plane(parts: TraceIntervals) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Both ends of every interval: speed magnitude, torque in the direction of motion, time."""
    direction = np.sign(parts.speed_start + parts.speed_end)
    ends = [parts.torque_start, parts.torque_end]
    torque = np.concatenate([np.where(direction == 0.0, np.abs(t), direction * t) for t in ends])
    speed = np.abs(np.concatenate((parts.speed_start, parts.speed_end)))
    return speed, torque, np.concatenate((parts.start, parts.start + parts.duration))


def _extremes(speed: FloatArray, torque: FloatArray, most: int) -> IntArray:
    kept: list[int] = []
    halves = [half for half in map(np.flatnonzero, (torque >= 0.0, torque < 0.0)) if half.size]
    size = np.abs(torque)
    for half in halves:
        must = {int(half[np.argmax(value[half])]) for value in (size, speed, size * speed)}
        hull = _hull(speed, torque, half)
        kept += _most_prominent(speed, torque, hull, must, most // len(halves) - len(must - {*hull}))
        kept += must.difference(kept)
    return np.array(kept, dtype=np.int64)


def _hull(speed: FloatArray, torque: FloatArray, half: IntArray) -> list[int]:
    """Corners of the convex hull of one half, in order round it."""
    x = speed[half] / max(float(speed.max()), 1e-300)
    y = torque[half] / max(float(np.abs(torque).max()), 1e-300)
    angle = np.linspace(0.0, 2.0 * np.pi, _DIRECTIONS, endpoint=False)
    far = [half[np.argmax(x * np.cos(a) + y * np.sin(a))] for a in angle]
    order = sorted(set(map(int, far)), key=lambda k: (speed[k], torque[k]))

    def chain(points: list[int]) -> list[int]:
        path: list[int] = []
        for k in points:
            while len(path) > 1 and _area(speed, torque, path[-2], path[-1], k) <= 0.0:
                path.pop()
            path.append(k)
        return path

    lower, upper = chain(order), chain(order[::-1])
    return lower[:-1] + upper[:-1] if len(order) > 1 else order


def _area(x: FloatArray, y: FloatArray, a: int, b: int, c: int) -> float:
    return float((x[b] - x[a]) * (y[c] - y[a]) - (y[b] - y[a]) * (x[c] - x[a]))


def _most_prominent(
    speed: FloatArray, torque: FloatArray, hull: list[int], must: set[int], room: int
) -> list[int]:
    """Leave out the corners that stand out least, except those that must stay, until they fit."""
    left = list(hull)
    while len(left) > room:
        spans = zip(left[-1:] + left[:-1], left, left[1:] + left[:1], strict=True)
        areas = [np.inf if b in must else abs(_area(speed, torque, a, b, c)) for a, b, c in spans]
        del left[int(np.argmin(areas))]
    return left


def _fields(parts: TraceIntervals, room: int) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Means of the intervals in the fields of a grid over the plane: speed, torque, time, share."""
    middle = 0.5 * (parts.speed_start + parts.speed_end)
    torque = 0.5 * (parts.torque_start + parts.torque_end)
    torque = np.where(middle == 0.0, np.abs(torque), torque * np.sign(middle))
    speed = np.abs(middle)
    x = speed / max(float(speed.max()), 1e-300)
    low, high = min(float(torque.min()), 0.0), max(float(torque.max()), 0.0)
    y = (torque - low) / max(high - low, 1e-300)
    for size in range(12, 0, -1):
        field = np.minimum((x * size).astype(np.int64), size - 1) * size
        field += np.minimum((y * size).astype(np.int64), size - 1)
        weight = np.bincount(field, parts.duration)
        used = np.flatnonzero(weight)
        if used.size <= room:
            break
    used = used[np.argsort(-weight[used], kind="stable")]
    total = weight[used]
    time = parts.start + 0.5 * parts.duration
    means = [np.bincount(field, parts.duration * value)[used] / total for value in (speed, torque, time)]
    return means[0], means[1], means[2], total / float(parts.duration.sum())


def trace_findings(trace: Trace, rotor_inertia: float) -> tuple[Finding, ...]:
    """Return what is doubtful about a trace that shall stand for a cycle.

    Parameters
    ----------
    trace : Trace
        The trace. [SI]
    rotor_inertia : float
        Moment of inertia of the rotor. [kg m2]

    Returns
    -------
    findings : tuple of Finding
        `trace_noise_in_acceleration`, `trace_ends_differ`. [SI]

    Raises
    ------
    InputRangeError
        If the inertia is negative.

    References
    ----------
    Common practice, no source.
    """
    require_not_negative("rotor inertia", rotor_inertia, "kg m2")
    return (*_noise(trace, rotor_inertia), *_joint(trace))


def _noise(trace: Trace, rotor_inertia: float) -> list[Finding]:
    if trace.time.size <= _AVERAGED or rotor_inertia == 0.0:
        return []
    step = np.diff(trace.time)
    raw = rotor_inertia * interval_acceleration(trace)
    even = rotor_inertia * interval_acceleration(trace, _AVERAGED)
    mean = 0.5 * (trace.torque[:-1] + trace.torque[1:])
    raw_square, even_square, square = (float(step @ t**2) / trace.duration for t in (raw, even, mean + raw))
    if raw_square <= 2.0 * even_square or raw_square - even_square < 0.05 * square:
        return []
    share = (raw_square - even_square) / square
    text = sentence(
        "{share} of the mean square torque is accelerating torque that changes from sample to sample: most "
        "likely noise of the measured speed, multiplied by the rotor's inertia over a short step. "
        "Average the acceleration over several samples if the trace shows noise and not vibration.",
        share=(share, Kind.RATIO),
    )
    values = {"share_of_mean_square_torque": share, "averaged_intervals": float(_AVERAGED)}
    return [Finding("trace_noise_in_acceleration", "warning", text, values)]


def _joint(trace: Trace) -> list[Finding]:
    span = float(np.abs(trace.speed).max())
    gap = float(trace.speed[0] - trace.speed[-1])
    if abs(gap) <= _JOINT * span:
        return []
    text = sentence(
        "The trace ends at {end} and begins at {start}: repeated as a cycle the speed would jump there, and "
        "what that takes is not in the result.",
        end=(float(trace.speed[-1]), Kind.SPEED),
        start=(float(trace.speed[0]), Kind.SPEED),
    )
    return [Finding("trace_ends_differ", "warning", text, {"speed_jump_rad_s": gap})]
