"""Moves, and how they are put together into one cycle of a payload.

A move by a distance goes from rest to rest; a ramp changes the speed; a run keeps it; a dwell rests,
held by the drive or released. Where two moves join the speed must be the same: a jump would need
infinite torque.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import field

import numpy as np

from core.errors import InputRangeError
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.input_ranges import require_finite, require_positive
from core.physics.motion import LoadMotion, motion_of_speeds, split_at_reversals
from core.physics.motion_profiles import MotionProfile, profile_factors
from core.physics.motion_sampling import profile_knots
from core.physics.profile_shapes import s_curve_within_limits, trapezoid
from core.records import dataclass
from core.sentences import sentence
from core.units import Kind

_ROTARY_KINDS = (Kind.SPEED, Kind.ANGULAR_ACCELERATION, Kind.ANGULAR_JERK)
_LINEAR_KINDS = (Kind.LINEAR_SPEED, Kind.ACCELERATION, Kind.JERK)


@dataclass(frozen=True, slots=True)
class MoveBy:
    """A move from rest to rest.

    Attributes
    ----------
    distance : float
        Signed distance. [rad or m]
    duration : float
        Time. [s]
    profile : MotionProfile
        Shape; trapezoid of thirds by default. [-]
    """

    distance: float
    duration: float
    profile: MotionProfile = field(default_factory=trapezoid)

    def __post_init__(self) -> None:
        """Refuse a move without time or distance."""
        require_positive("duration of a move", self.duration, "s")
        require_finite("duration of a move", self.duration, "s")
        require_finite("distance of a move", self.distance, "")
        if self.distance == 0.0:
            raise InputRangeError("distance of a move", 0.0, "", "other than 0: use a dwell")


@dataclass(frozen=True, slots=True)
class Ramp:
    """A change of speed at constant acceleration, given by its time or by the acceleration.

    Attributes
    ----------
    start_speed, end_speed : float
        Speeds between which it runs. [rad/s or m/s]
    duration : float or None
        Time, if given. [s]
    acceleration : float or None
        Magnitude of the acceleration, if given instead. [rad/s2 or m/s2]
    """

    start_speed: float
    end_speed: float
    duration: float | None = None
    acceleration: float | None = None

    def __post_init__(self) -> None:
        """Refuse a ramp that is not fixed by exactly one of time and acceleration."""
        require_finite("start speed of a ramp", self.start_speed, "")
        require_finite("end speed of a ramp", self.end_speed, "")
        given = [value for value in (self.duration, self.acceleration) if value is not None]
        if len(given) != 1:
            raise InputRangeError("givens of a ramp (duration, acceleration)", len(given), "", "exactly one")
        require_positive(
            "duration of a ramp" if self.duration is not None else "acceleration of a ramp", given[0], ""
        )
        if self.start_speed == self.end_speed:
            raise InputRangeError("change of speed of a ramp", 0.0, "", "other than 0: use a run")

    @property
    def time(self) -> float:
        """Duration, given or derived. [s]"""
        if self.duration is not None:
            return self.duration
        assert self.acceleration is not None
        return abs(self.end_speed - self.start_speed) / self.acceleration


@dataclass(frozen=True, slots=True)
class Run:
    """Constant speed for a time or over a distance.

    Attributes
    ----------
    speed : float
        Speed, not 0. [rad/s or m/s]
    duration : float or None
        Time, if given. [s]
    distance : float or None
        Distance as a magnitude, if given instead. [rad or m]
    """

    speed: float
    duration: float | None = None
    distance: float | None = None

    def __post_init__(self) -> None:
        """Refuse a run that is not fixed by exactly one of time and distance."""
        require_finite("speed of a run", self.speed, "")
        given = [value for value in (self.duration, self.distance) if value is not None]
        if len(given) != 1:
            raise InputRangeError("givens of a run (duration, distance)", len(given), "", "exactly one")
        require_positive(
            "duration of a run" if self.duration is not None else "distance of a run", given[0], ""
        )
        if self.speed == 0.0:
            raise InputRangeError("speed of a run", 0.0, "", "other than 0: use a dwell")

    @property
    def time(self) -> float:
        """Duration, given or derived. [s]"""
        if self.duration is not None:
            return self.duration
        assert self.distance is not None
        return self.distance / abs(self.speed)


@dataclass(frozen=True, slots=True)
class Dwell:
    """Rest.

    Attributes
    ----------
    duration : float
        Time. [s]
    held : bool
        Whether the drive holds the load; otherwise a brake, a lock or friction must. [-]
    """

    duration: float
    held: bool = True

    def __post_init__(self) -> None:
        """Refuse a dwell without time."""
        require_positive("duration of a dwell", self.duration, "s")
        require_finite("duration of a dwell", self.duration, "s")


Move = MoveBy | Ramp | Run | Dwell


@dataclass(frozen=True, slots=True)
class MotionLimits:
    """What the payload or the mechanism bears; infinite where there is no limit.

    Attributes
    ----------
    speed : float
        Highest speed. [rad/s or m/s]
    acceleration : float
        Highest acceleration and deceleration. [rad/s2 or m/s2]
    jerk : float
        Highest jerk. [rad/s3 or m/s3]
    """

    speed: float = math.inf
    acceleration: float = math.inf
    jerk: float = math.inf

    def __post_init__(self) -> None:
        """Refuse limits that forbid all motion."""
        for name in ("speed", "acceleration", "jerk"):
            require_positive(f"limit of {name}", getattr(self, name), "")


def move_within_limits(distance: float, limits: MotionLimits) -> MoveBy:
    r"""Return the quickest move from rest to rest that keeps limits.

    Parameters
    ----------
    distance : float
        Signed distance. [rad or m]
    limits : MotionLimits
        Finite limits of speed and acceleration; the jerk may be free. [SI]

    Returns
    -------
    move : MoveBy
        S-curve, trapezoid or triangle. [SI]

    References
    ----------
    See `s_curve_within_limits`.

    Examples
    --------
    >>> round(move_within_limits(-1.0, MotionLimits(speed=2.0, acceleration=4.0)).duration, 9)
    1.0
    """
    require_finite("limit of speed", limits.speed, "")
    require_finite("limit of acceleration", limits.acceleration, "")
    duration, profile = s_curve_within_limits(distance, limits.speed, limits.acceleration, limits.jerk)
    return MoveBy(distance, duration, profile)


def load_motion(
    moves: Sequence[Move], start_position: float = 0.0, repeats: bool = True, tolerance: float = 1e-3
) -> LoadMotion:
    r"""Return one cycle of the payload, put together from moves.

    Parameters
    ----------
    moves : sequence of MoveBy, Ramp, Run or Dwell
        Moves in the order of time. [-]
    start_position : float, default 0
        Position at the start. [rad or m]
    repeats : bool, default True
        Whether the cycle follows itself, so that its last speed must be its first. [-]
    tolerance : float, default 0.001
        Largest relative error of peaks and RMS of smooth profiles. [-]

    Returns
    -------
    motion : LoadMotion
        Pieces without reversal inside. [SI]

    Raises
    ------
    InputRangeError
        If there is no move, or the speed jumps between two moves or over the end of the cycle; the
        moves are counted from 1.

    References
    ----------
    Kinematics, first principles.

    Examples
    --------
    >>> motion = load_motion([MoveBy(1.0, 3.0), Dwell(1.0), MoveBy(-1.0, 3.0)])
    >>> motion.cycle_time, round(float(motion.speed.max()), 9), motion.position[:5].round(9).tolist()
    (7.0, 0.5, [0.0, 0.25, 0.75, 1.0, 1.0])
    """
    if not moves:
        raise InputRangeError("number of moves in a cycle", 0, "", ">= 1")
    pieces = [_knots(move, tolerance) for move in moves]
    _refuse_jumps(pieces, repeats)
    counts = [time.size - 1 for time, _ in pieces]
    starts = np.concatenate(([0.0], np.cumsum([time[-1] for time, _ in pieces])))
    # each move brings its knots but the first, which is the last of the move before
    time = np.concatenate(
        ([0.0], *(start + time[1:] for start, (time, _) in zip(starts, pieces, strict=False)))
    )
    speed = np.concatenate((pieces[0][1][:1], *(speed[1:] for _, speed in pieces)))
    held = [isinstance(move, Dwell) and move.held for move in moves]
    motion = motion_of_speeds(
        time,
        speed,
        np.repeat(np.arange(len(moves)), counts),
        np.repeat(held, counts),
        start_position,
    )
    return split_at_reversals(motion)


def _knots(move: Move, tolerance: float) -> tuple[FloatArray, FloatArray]:
    """Return times from 0 and speeds of one move."""
    if isinstance(move, MoveBy):
        tau, speed = profile_knots(move.profile, tolerance)
        return tau * move.duration, speed * (move.distance / move.duration)
    if isinstance(move, Dwell):
        return np.array([0.0, move.duration]), np.zeros(2)
    ends = (move.speed, move.speed) if isinstance(move, Run) else (move.start_speed, move.end_speed)
    return np.array([0.0, move.time]), np.array(ends)


def _refuse_jumps(pieces: Sequence[tuple[FloatArray, FloatArray]], repeats: bool) -> None:
    """Raise where the speed of a move does not start as the move before it ends."""
    top = max(float(np.abs(speed).max()) for _, speed in pieces)
    for k in range(0 if repeats else 1, len(pieces)):
        start, end = float(pieces[k][1][0]), float(pieces[k - 1][1][-1])
        if abs(start - end) > 1e-9 * top:
            before = f"step {k}" if k else f"the last step ({len(pieces)}), which it follows"
            raise InputRangeError(
                f"start speed of step {k + 1} of the motion", start, "", f"the {end:g} at which {before} ends"
            )


def limit_findings(moves: Sequence[Move], limits: MotionLimits, linear: bool = False) -> list[Finding]:
    r"""Return what goes beyond the limits of speed, acceleration and jerk, move by move.

    Parameters
    ----------
    moves : sequence of MoveBy, Ramp, Run or Dwell
        Moves in the order of time. [-]
    limits : MotionLimits
        Limits of the payload's coordinate. [SI]
    linear : bool, default False
        Whether that coordinate is a length and not an angle, for the words. [-]

    Returns
    -------
    findings : list of Finding
        Each names the move (counted from 1), the value and the limit. [-]

    References
    ----------
    Own formulation, with the exact peaks of the profiles and not those of the sampled pieces.

    Examples
    --------
    >>> str(limit_findings([MoveBy(1.0, 1.0)], MotionLimits(speed=1.0))[0].text)
    'Step 1 of the motion reaches a speed of 14.3\xa0rpm, limit 9.55\xa0rpm.'
    """
    findings = []
    for k, move in enumerate(moves):
        for (name, value), limit, kind in zip(
            _peaks(move).items(),
            (limits.speed, limits.acceleration, limits.jerk),
            _LINEAR_KINDS if linear else _ROTARY_KINDS,
            strict=True,
        ):
            if value <= limit * (1.0 + 1e-9):
                continue
            reach = f"reaches a{'n' if name == 'acceleration' else ''} {name} of {{value}}"
            if math.isinf(value):
                reach = "starts or ends its acceleration with a jump: the jerk has no bound"
            words = f"Step {k + 1} of the motion {reach}, limit {{limit}}."
            text = sentence(words, value=(value, kind), limit=(limit, kind))
            values = {"value": value, "limit": limit, "move": float(k + 1)}
            findings.append(Finding(f"move_exceeds_{name}_limit", "serious", text, values, k))
    return findings


def _peaks(move: Move) -> dict[str, float]:
    """Return the peaks of speed, acceleration and jerk of one move, as magnitudes."""
    if isinstance(move, MoveBy):
        factors, d, t = profile_factors(move.profile), abs(move.distance), move.duration
        top = max(factors.peak_acceleration, factors.peak_deceleration)
        return {
            "speed": factors.peak_speed * d / t,
            "acceleration": top * d / t**2,
            "jerk": factors.peak_jerk * d / t**3,
        }
    if isinstance(move, Ramp):
        change = abs(move.end_speed - move.start_speed) / move.time
        peak = max(abs(move.start_speed), abs(move.end_speed))
        return {"speed": peak, "acceleration": change, "jerk": math.inf}
    return {"speed": abs(move.speed) if isinstance(move, Run) else 0.0, "acceleration": 0.0, "jerk": 0.0}
