"""Continuous torque of one candidate over that of another, with its band, and the speeds where they cross.

What is not known of both motors alike (the same surface law, the same frame) changes both in the same way and
cancels as far as it does; what is not known of each alone does not. The band is the root of the sum of
squares of all these as a factor up and down: the guide to the expression of uncertainty in measurement
(JCGM 100, from memory).
"""

from __future__ import annotations

import itertools

import numpy as np

from core.evaluation.torque_course import TorqueCourse, common_gears, torque_course
from core.numeric import FloatArray, read_only
from core.records import dataclass
from core.results import Result

_EQUAL = 1e-9  # relative, far below what any law of heat tells


@dataclass(frozen=True, slots=True)
class Crossing:
    """A speed at which both have the same continuous torque. [rad/s]

    `rising` says that the first one leads above it. `from_speed` and `to_speed` enclose the speeds at which
    the band leaves open who leads, None where it stays open up to the end of the curves. Without a known
    uncertainty (`has_band` is False) both are None.
    """

    speed: float
    rising: bool
    has_band: bool
    from_speed: float | None
    to_speed: float | None


@dataclass(frozen=True, slots=True)
class TorqueRatio:
    """Ratio of the continuous torques first / second over the speed of the common axis.

    Arrays have shape (speeds,); NaN where one of them has none. `low` and `high` are None where the
    uncertainty of either candidate is not known. `at_load` says that the axis is that of the load.
    """

    speed: FloatArray
    ratio: FloatArray
    low: FloatArray | None
    high: FloatArray | None
    crossings: tuple[Crossing, ...]
    at_load: bool

    def at(self, speed: float) -> tuple[float, float | None, float | None] | None:
        """Return ratio, low and high at a speed; None beyond the speeds that both reach."""
        if not self.speed[0] <= speed <= self.speed[-1]:
            return None
        rows = (self.ratio, self.low, self.high)
        # rest stands for itself: the torque jumps as soon as the motor turns
        start = 1 if speed > 0.0 and self.speed[0] == 0.0 and len(self.speed) > 1 else 0
        ratio, low, high = (
            None if row is None else float(np.interp(speed, self.speed[start:], row[start:])) for row in rows
        )
        if ratio is None or not np.isfinite(ratio):
            return None
        return ratio, low, high

    def open_at(self, speed: float) -> bool:
        """Return whether the band includes 1 at a speed, so that who leads is not known."""
        found = self.at(speed)
        if found is None:
            return False
        ratio, low, high = found
        if low is None or high is None:
            return False
        return abs(ratio - 1.0) > _EQUAL and low <= 1.0 <= high

    @property
    def equal(self) -> bool:
        """Whether both have the same torque at every speed."""
        known = self.ratio[np.isfinite(self.ratio)]
        return bool(len(known)) and bool(np.all(np.abs(known - 1.0) <= _EQUAL))


def torque_ratio(result: Result, first: int, second: int) -> TorqueRatio | None:
    """Return the ratio of two candidates, None where one of them has no continuous torque."""
    gears = common_gears(result, (first, second))
    one = torque_course(result, first, gears[0] if gears else None)
    other = torque_course(result, second, gears[1] if gears else None)
    if one is None or other is None:
        return None
    return ratio_of(one, other, at_load=gears is not None)


def ratio_of(first: TorqueCourse, second: TorqueCourse, at_load: bool = False) -> TorqueRatio | None:
    """Return the ratio of two courses over the speeds that both have."""
    end = min(float(first.speed[-1]), float(second.speed[-1]))
    speed = np.unique(np.concatenate((first.speed, second.speed)))
    speed = speed[speed <= end]
    above, below = first.torques_at(speed), second.torques_at(speed)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where((above > 0.0) & (below > 0.0), above / below, np.nan)
    if not np.isfinite(ratio).any():
        return None
    spread = _spread(first, second, speed)
    low = high = None
    if spread is not None:
        # a factor both ways, so that the ratio of second to first has the inverse band
        low, high = ratio / (1.0 + spread), ratio * (1.0 + spread)
        read_only(low, high)
    read_only(speed, ratio)
    return TorqueRatio(speed, ratio, low, high, _crossings(speed, ratio, low, high), at_load)


def _spread(first: TorqueCourse, second: TorqueCourse, speed: FloatArray) -> FloatArray | None:
    """Return the relative half width of the ratio, None where one has no known uncertainty.

    Two choices of the same variant of a frame (another winding, another drive) have all causes in common.
    """
    ones, others = first.effects_at(speed), second.effects_at(speed)
    if ones is None or others is None:
        return None
    same_frame = first.frame == second.frame != ""
    same_variant = same_frame and first.variant == second.variant
    return joint_half_width(
        (first.sources, first.shared, ones), (second.sources, second.shared, others), same_frame, same_variant
    )


Doubts = tuple[tuple[str, ...], tuple[bool, ...], FloatArray]
"""Causes of doubt by name, which of them variants of a frame share, and the effect of each."""


def joint_half_width(first: Doubts, second: Doubts, same_frame: bool, same_variant: bool) -> FloatArray:
    """Return the half width of the difference of two doubtful values, as the root of the sum of squares.

    A cause that both have in common counts by the difference of its effects, any other for each.
    """
    square = np.zeros(first[2].shape[1:])
    left = dict(zip(second[0], zip(second[1], second[2], strict=True), strict=True))
    for source, shared, effect in zip(*first, strict=True):
        theirs = left.get(source)
        if theirs is not None and (same_variant or (same_frame and shared and theirs[0])):
            square += (effect - theirs[1]) ** 2
            del left[source]
        else:
            square += effect**2
    for _, effect in left.values():
        square += effect**2
    spread: FloatArray = np.sqrt(square)
    return spread


def _crossings(
    speed: FloatArray, ratio: FloatArray, low: FloatArray | None, high: FloatArray | None
) -> tuple[Crossing, ...]:
    """Return where the ratio passes 1, linear between the speeds; where it only touches 1 nothing crosses."""
    known = np.flatnonzero(np.isfinite(ratio) & (True if low is None else np.isfinite(low)))
    x, above = speed[known], ratio[known] - 1.0
    above[np.abs(above) <= _EQUAL] = 0.0
    told = np.flatnonzero(above)
    found = []
    for i, j in itertools.pairwise(told):
        if above[i] * above[j] > 0.0:
            continue
        # over a stretch of equal torque the crossing is its middle
        at = (
            0.5 * (x[i + 1] + x[j - 1])
            if j > i + 1
            else x[i] - above[i] * (x[j] - x[i]) / (above[j] - above[i])
        )
        begin = end = None
        if low is not None and high is not None:
            begin, end = _open_speeds(x, low[known], high[known], float(at))
        found.append(Crossing(float(at), bool(above[j] > 0.0), low is not None, begin, end))
    return tuple(found)


def _open_speeds(
    x: FloatArray, low: FloatArray, high: FloatArray, at: float
) -> tuple[float | None, float | None]:
    """Return the ends of the stretch around a crossing in which the band includes 1; None is open."""
    after = int(np.searchsorted(x, at))
    # both are zero or above where the band includes 1, as it does at the crossing
    rooms = [
        np.insert(room, after, max(float(np.interp(at, x, room)), 0.0)) for room in (1.0 - low, high - 1.0)
    ]
    x = np.insert(x, after, at)
    left = np.minimum(*rooms) < 0.0
    before, behind = np.flatnonzero(left[:after]), np.flatnonzero(left[after:])
    begin = _border(x, rooms, before[-1], before[-1] + 1) if len(before) else None
    end = _border(x, rooms, after + behind[0], after + behind[0] - 1) if len(behind) else None
    return begin, end


def _border(x: FloatArray, rooms: list[FloatArray], outside: int, inside: int) -> float:
    """Return where 1 leaves the band on the way from a speed within the stretch to the next one outside."""
    shares = [r[inside] / (r[inside] - r[outside]) for r in rooms if r[outside] < 0.0]
    return float(x[inside] + min(shares) * (x[outside] - x[inside]))
