"""How the load moves: steps put together into a repeating cycle, in the payload's own coordinate.

The coordinate is an angle in rad or a distance in m, whichever the mechanism moves.
"""

from typing import Literal

import msgspec

from core.errors import InputRangeError
from core.project.saved import NotNegative, Positive, Saved, Share

ProfileName = Literal[
    "trapezoid",
    "triangle",
    "S-curve",
    "parabola",
    "cycloid",
    "modified sine",
    "modified trapezoid",
    "3-4-5 polynomial",
    "4-5-6-7 polynomial",
    "sinusoid",
]


class MoveStep(Saved, frozen=True, kw_only=True, tag_field="step", tag="move"):
    """A move from rest to rest.

    Parameters
    ----------
    distance : float
        Signed distance. [rad or m]
    duration : float
        Time. [s]
    profile : str
        Shape of the motion.
    acceleration_share, deceleration_share : float
        Shares of the time for a trapezoid; the first also for an S-curve.
    jerk_share : float
        Share of the acceleration time in which the acceleration changes, for an S-curve.
    """

    distance: float = msgspec.field(name="distance_rad_or_m")
    duration: Positive = msgspec.field(name="duration_s")
    profile: ProfileName = "trapezoid"
    acceleration_share: Share = 1.0 / 3.0
    deceleration_share: Share | None = None
    jerk_share: Share = 0.5


class RampStep(Saved, frozen=True, kw_only=True, tag_field="step", tag="ramp"):
    """A change of speed at constant acceleration; it starts at the speed at which the step before ends."""

    end_speed: float = msgspec.field(name="end_speed_rad_or_m_per_s")
    duration: Positive = msgspec.field(name="duration_s")


class RunStep(Saved, frozen=True, kw_only=True, tag_field="step", tag="run"):
    """Constant speed, the one at which the step before ends."""

    duration: Positive = msgspec.field(name="duration_s")


class DwellStep(Saved, frozen=True, kw_only=True, tag_field="step", tag="dwell"):
    """Rest; held by the motor, or released to a brake, a lock or friction."""

    duration: Positive = msgspec.field(name="duration_s")
    held: bool = True


MotionStep = MoveStep | RampStep | RunStep | DwellStep


class MotionLimits(Saved, frozen=True, kw_only=True):
    """What payload or mechanism bear, in the payload's coordinate; an absent limit is not checked."""

    speed: Positive | None = msgspec.field(name="speed_rad_or_m_per_s", default=None)
    acceleration: Positive | None = msgspec.field(name="acceleration_rad_or_m_per_s2", default=None)
    jerk: Positive | None = msgspec.field(name="jerk_rad_or_m_per_s3", default=None)


class FrictionRange(Saved, frozen=True, kw_only=True):
    """By which factors the friction may be lower and higher than entered; 1 and 1 where it is known."""

    low: NotNegative = 1.0
    high: NotNegative = 1.0

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.low > self.high:
            raise InputRangeError("low friction factor", self.low, "", f"at most the high one, {self.high:g}")
