"""Load motion: time, position and speed of one cycle, linear in speed between knots."""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, IntArray, read_only
from core.physics.input_ranges import require_finite
from core.records import dataclass

SMALLEST_SHARE = 1e-9  # of a piece: shorter parts are rounding errors


@dataclass(frozen=True, slots=True)
class LoadMotion:
    r"""One cycle of a payload, or of the input axis of its mechanism.

    Linear payloads count metres, rotary ones radians; at an input axis all is in radians.

    Attributes
    ----------
    time : ndarray, shape (k + 1,)
        Knots, rising from 0. [s]
    position : ndarray, shape (k + 1,)
        Position at the knots. [rad or m]
    speed : ndarray, shape (k + 1,)
        Speed at the knots, linear between them. [rad/s or m/s]
    acceleration : ndarray, shape (k,)
        Acceleration in each piece. [rad/s2 or m/s2]
    move : ndarray of int, shape (k,)
        Move to which each piece belongs, from 0. [-]
    held : ndarray of bool, shape (k,)
        Whether the drive holds the load in this piece at rest; False while it moves, and where it
        rests on a brake or a lock. [-]
    """

    time: FloatArray
    position: FloatArray
    speed: FloatArray
    acceleration: FloatArray
    move: IntArray
    held: BoolArray

    @property
    def duration(self) -> FloatArray:
        """Duration of each piece, shape (k,). [s]"""
        return np.diff(self.time)

    @property
    def cycle_time(self) -> float:
        """Duration of the cycle. [s]"""
        return float(self.time[-1] - self.time[0])

    @property
    def position_drift(self) -> float:
        """Position gained from the start of the cycle to its end. [rad or m]"""
        return float(self.position[-1] - self.position[0])

    @property
    def speed_ends(self) -> FloatArray:
        """Speed at both ends of each piece, shape (k, 2). [rad/s or m/s]"""
        return np.column_stack((self.speed[:-1], self.speed[1:]))

    @property
    def direction(self) -> FloatArray:
        """Sign of the speed in each piece, 0 at rest, shape (k,). [-]"""
        return np.sign(self.speed[:-1] + self.speed[1:])

    @property
    def moving(self) -> BoolArray:
        """Whether a piece has speed at either end, shape (k,)."""
        moving: BoolArray = (self.speed[:-1] != 0.0) | (self.speed[1:] != 0.0)
        return moving


def motion_of_speeds(
    time: FloatArray,
    speed: FloatArray,
    move: IntArray | None = None,
    held: BoolArray | None = None,
    start_position: float = 0.0,
) -> LoadMotion:
    r"""Return the motion whose speed runs linearly between given knots.

    Parameters
    ----------
    time : ndarray, shape (k + 1,)
        Knots, rising. [s]
    speed : ndarray, shape (k + 1,)
        Speed at the knots. [rad/s or m/s]
    move : ndarray of int or None, shape (k,)
        Move of each piece; all of move 0 when None. [-]
    held : ndarray of bool or None, shape (k,)
        Whether the drive holds at rest; all rests are held when None. [-]
    start_position : float, default 0
        Position at the first knot. [rad or m]

    Returns
    -------
    motion : LoadMotion
        With position and acceleration integrated and differentiated exactly. [SI]

    Raises
    ------
    InputRangeError
        If there are fewer than two knots or the time does not rise.

    References
    ----------
    Kinematics, first principles.

    Examples
    --------
    >>> motion = motion_of_speeds(np.array([0.0, 1.0, 3.0]), np.array([0.0, 2.0, 2.0]))
    >>> motion.position.tolist(), motion.acceleration.tolist()
    ([0.0, 1.0, 5.0], [2.0, 0.0])
    """
    if time.size < 2 or speed.size != time.size:
        raise InputRangeError(
            "number of knots of a motion", float(speed.size), "", "two or more, as many as times"
        )
    require_finite("speed", speed, "")
    width = np.diff(time)
    if not (width > 0.0).all():
        first = int(np.argmin(width > 0.0))
        raise InputRangeError(f"time between knots {first} and {first + 1}", float(width[first]), "s", "> 0")
    position = start_position + np.concatenate(([0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1]) * width)))
    moving = (speed[:-1] != 0.0) | (speed[1:] != 0.0)
    held = ~moving if held is None else held & ~moving
    move = np.zeros(width.size, dtype=np.int64) if move is None else move
    motion = LoadMotion(time, position, speed, np.diff(speed) / width, move, held)
    read_only(motion.time, motion.position, motion.speed, motion.acceleration)
    return motion


def scaled(motion: LoadMotion, factor: float) -> LoadMotion:
    r"""Return a motion with position, speed and acceleration multiplied: another coordinate.

    Parameters
    ----------
    motion : LoadMotion
        Motion of the payload. [SI]
    factor : float
        New coordinate per old one, as radians of a screw per metre of its nut. [rad/m or -]

    Returns
    -------
    motion : LoadMotion
        The same knots. [SI]

    References
    ----------
    Kinematics, first principles.

    Examples
    --------
    >>> nut = motion_of_speeds(np.array([0.0, 1.0]), np.array([0.01, 0.01]))
    >>> scaled(nut, 2.0 * np.pi / 0.005).speed.round(3).tolist()
    [12.566, 12.566]
    """
    if factor == 1.0:
        return motion
    return LoadMotion(
        motion.time,
        factor * motion.position,
        factor * motion.speed,
        factor * motion.acceleration,
        motion.move,
        motion.held,
    )


def split_at(motion: LoadMotion, share: FloatArray) -> LoadMotion:
    r"""Return a motion with one more knot in the pieces that ask for it.

    Parameters
    ----------
    motion : LoadMotion
        Motion. [SI]
    share : ndarray, shape (k,)
        Share of the duration of each piece at which it is cut; outside 0 to 1, or NaN: not cut. [-]

    Returns
    -------
    motion : LoadMotion
        The same movement; the very object if nothing is cut. [SI]

    References
    ----------
    Kinematics, first principles.

    Examples
    --------
    >>> run = motion_of_speeds(np.array([0.0, 4.0]), np.array([1.0, 1.0]))
    >>> split_at(run, np.array([0.25])).time.tolist()
    [0.0, 1.0, 4.0]
    """
    cut = (share > SMALLEST_SHARE) & (share < 1.0 - SMALLEST_SHARE)
    if not cut.any():
        return motion
    source = np.repeat(np.arange(share.size), 1 + cut)
    second = np.concatenate(([False], source[1:] == source[:-1]))
    return _cut(motion, source, np.where(second, share[source], 0.0))


def subdivided(motion: LoadMotion, counts: IntArray) -> LoadMotion:
    r"""Return a motion with each piece cut into equal times.

    Parameters
    ----------
    motion : LoadMotion
        Motion. [SI]
    counts : ndarray of int, shape (k,)
        Number of parts of each piece, at least 1. [-]

    Returns
    -------
    motion : LoadMotion
        The same movement; the very object if all counts are 1. [SI]

    References
    ----------
    Kinematics, first principles.

    Examples
    --------
    >>> run = motion_of_speeds(np.array([0.0, 4.0]), np.array([0.0, 4.0]))
    >>> subdivided(run, np.array([4])).position.tolist()
    [0.0, 0.5, 2.0, 4.5, 8.0]
    """
    total = int(counts.sum())
    if total == counts.size:
        return motion
    source = np.repeat(np.arange(counts.size), counts)
    within = np.arange(total) - np.repeat(np.cumsum(counts) - counts, counts)
    return _cut(motion, source, within / counts[source])


def split_at_reversals(motion: LoadMotion) -> LoadMotion:
    r"""Return a motion in which no piece changes the sign of its speed.

    Parameters
    ----------
    motion : LoadMotion
        Motion. [SI]

    Returns
    -------
    motion : LoadMotion
        The same movement; the very object if there is no reversal inside a piece. [SI]

    References
    ----------
    Kinematics, first principles: friction turns round where the speed does.

    Examples
    --------
    >>> turn = motion_of_speeds(np.array([0.0, 2.0]), np.array([-1.0, 1.0]))
    >>> split_at_reversals(turn).speed.tolist()
    [-1.0, 0.0, 1.0]
    """
    before, after = motion.speed[:-1], motion.speed[1:]
    crosses = before * after < 0.0
    if not crosses.any():
        return motion
    share = np.full(before.size, np.nan)
    share[crosses] = before[crosses] / (before[crosses] - after[crosses])
    inside = (share > SMALLEST_SHARE) & (share < 1.0 - SMALLEST_SHARE)
    # a reversal next to a knot is a rounding error there
    touching = np.flatnonzero(crosses & ~inside)
    speed = motion.speed.copy()
    speed[touching + (share[touching] > 0.5)] = 0.0
    parts = split_at(motion, share)
    # likewise at the new knots, or the next piece would have the wrong direction
    counts = np.concatenate(([0], np.cumsum(1 + inside)))
    turned = parts.speed.copy()
    turned[counts] = speed
    turned[counts[1:][inside] - 1] = 0.0
    return LoadMotion(parts.time, parts.position, turned, parts.acceleration, parts.move, parts.held)


def _cut(motion: LoadMotion, source: IntArray, share: FloatArray) -> LoadMotion:
    """Return the motion with pieces starting at `share` of the pieces `source`."""
    a, v, x = motion.acceleration[source], motion.speed[source], motion.position[source]
    passed = share * motion.duration[source]
    return LoadMotion(
        np.append(motion.time[source] + passed, motion.time[-1]),
        np.append(x + (v + 0.5 * a * passed) * passed, motion.position[-1]),
        np.append(v + a * passed, motion.speed[-1]),
        a,
        motion.move[source],
        motion.held[source],
    )
