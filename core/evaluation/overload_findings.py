"""How long the electronics must carry more than their continuous current without a break."""

from __future__ import annotations

from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.evaluation.overload import SHORT_OVERLOAD, longest_overload
from core.findings import Finding
from core.physics.shaft_duty import ShaftDuty
from core.sentences import sentence
from core.units import Kind


def overload_findings(duty: ShaftDuty, points: OperatingPoints, motor: MotorModel) -> tuple[Finding, ...]:
    """Return a finding where an RMS current over the cycle would hide a long overload of the electronics.

    Where the electronics state how long they carry their peak current that is a criterion instead.
    """
    limit = motor.drive.continuous_current
    if limit is None or motor.drive.peak_time is not None:
        return ()
    time = min(longest_overload(duty, points, limit).time, duty.cycle_time)
    if time <= SHORT_OVERLOAD:
        return ()
    current = float(points.current.max())
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
