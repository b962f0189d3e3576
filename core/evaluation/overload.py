"""How long, and how much at rest, the electronics carry more current than they can for ever."""

from __future__ import annotations

import numpy as np

from core.evaluation.operating_points import OperatingPoints
from core.numeric import BoolArray, FloatArray
from core.physics.shaft_duty import ShaftDuty
from core.records import dataclass

SHORT_OVERLOAD = 1.0  # [s] what electronics carry above their continuous current, common practice, no source


@dataclass(frozen=True, slots=True)
class Run:
    """The longest run above a current: its time [s], infinite where it never ends, and where it begins."""

    time: float
    segment: int
    instant: float


@dataclass(frozen=True, slots=True)
class RestingCurrent:
    """The largest current of a rest that lasts, and where. [A, s]"""

    current: float
    segment: int
    instant: float


def longest_overload(duty: ShaftDuty, points: OperatingPoints, limit: float) -> Run:
    """Return the longest run above a current, the cycle closed on itself.

    Between the ends of a part the current counts as linear, which is too long rather than too short where
    it changes its sign.
    """
    start, end = points.current[::2], points.current[1::2]
    low, high = np.minimum(start, end), np.maximum(start, end)
    crosses = (low < limit) & (high > limit)
    share = np.where(crosses, (high - limit) / np.where(crosses, high - low, 1.0), high > limit)
    above = share * duty.duration
    # each part in two pieces: the run lies at the end with more current
    pieces = np.column_stack((np.where(start >= end, above, 0.0), np.where(start >= end, 0.0, above))).ravel()
    whole = np.repeat(share == 1.0, 2)
    return _longest(pieces, whole, np.repeat(duty.duration, 2), points)


def _longest(pieces: FloatArray, whole: BoolArray, duration: FloatArray, points: OperatingPoints) -> Run:
    """Return the longest sum of neighbouring pieces between which the current does not fall below."""
    if not pieces.any():
        return Run(0.0, 0, 0.0)
    if whole.all():
        return Run(float("inf"), int(points.segment[0]), 0.0)
    # a piece of no time breaks a run, unless it belongs to a part that is above as a whole
    breaks = np.flatnonzero((pieces == 0.0) & ~whole)
    shift = int(breaks[0])
    turned = np.roll(pieces, -shift)  # begins with a break, so that no run wraps round
    first = np.flatnonzero(np.roll((pieces == 0.0) & ~whole, -shift))
    sums = np.add.reduceat(turned, first)
    best = int(sums.argmax())
    begin = (int(first[best]) + 1 + shift) % pieces.size
    late = duration[begin] - pieces[begin] if begin % 2 else 0.0
    start = float(points.instant[begin - begin % 2]) + float(late)
    return Run(float(sums[best]), int(points.segment[begin]), start)


def lasting_rest(duty: ShaftDuty) -> BoolArray:
    """Return which parts belong to a rest that lasts, be it over the end of the cycle, shape (parts,)."""
    resting: BoolArray = duty.direction == 0.0
    if not resting.any():
        return resting
    run = np.cumsum(np.diff(resting, prepend=resting[:1]))
    if resting[0] and resting[-1]:
        run[run == run[-1]] = run[0]  # one rest over the end of the cycle
    lasting: BoolArray = resting & (np.bincount(run, duty.duration)[run] > SHORT_OVERLOAD)
    return lasting


def resting_current(duty: ShaftDuty, points: OperatingPoints) -> RestingCurrent | None:
    """Return the largest current of rests that last; None without any."""
    lasting = lasting_rest(duty)
    if not lasting.any():
        return None
    largest = np.where(lasting, np.maximum(points.current[::2], points.current[1::2]), -1.0)
    part = int(largest.argmax())
    return RestingCurrent(
        float(largest[part]), int(points.segment[2 * part]), float(points.instant[2 * part])
    )
