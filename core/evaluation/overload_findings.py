"""How long the electronics must carry more than their continuous current without a break."""

from __future__ import annotations

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.shaft_duty import ShaftDuty
from core.sentences import sentence
from core.units import Kind

SHORT_OVERLOAD = 1.0  # [s] what electronics carry above their continuous current, common practice, no source


def overload_findings(duty: ShaftDuty, points: OperatingPoints, motor: MotorModel) -> tuple[Finding, ...]:
    """Return a finding where an RMS current over the cycle would hide a long overload of the electronics."""
    limit = motor.drive.continuous_current
    if limit is None:
        return ()
    largest = np.maximum(points.current[::2], points.current[1::2])  # of each part, at one of its ends
    time = _longest(np.where(largest > limit, duty.duration, 0.0))
    if time <= SHORT_OVERLOAD:
        return ()
    current = float(largest.max())
    text = sentence(
        "The current is above the continuous {limit} of the electronics for up to {time} without a break, at "
        "most {current}. How long they carry that is not known here; the RMS value of the cycle does "
        "not show it.",
        limit=(limit, Kind.CURRENT),
        time=(time, Kind.TIME),
        current=(current, Kind.CURRENT),
    )
    numbers = {"overload_time_s": time, "largest_current_A": current, "continuous_current_A": limit}
    return (Finding("long_overload_of_electronics", "warning", text, numbers),)


def _longest(duration: FloatArray) -> float:
    """Return the longest sum of neighbouring durations without a zero between, the cycle closed on itself."""
    breaks = np.flatnonzero(duration == 0.0)
    if breaks.size == 0:
        return float(duration.sum())
    turned = np.roll(duration, -int(breaks[0]))  # begins with a break, so that no run wraps round
    return float(np.add.reduceat(turned, np.flatnonzero(turned == 0.0)).max())
