"""Whether the voltage that commutation takes matters in this cycle."""

from __future__ import annotations

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.findings import Finding
from core.physics.commutation_overlap import overlap_finding


def overlap_findings(points: OperatingPoints, motor: MotorModel) -> tuple[Finding, ...]:
    """Return a finding where six-step commutation takes so much voltage that the limit is an estimate."""
    if motor.commutation != "six-step":
        return ()
    finding = overlap_finding(motor.constants, np.abs(points.speed), motor.hot_winding_temp, motor.path)
    return () if finding is None else (finding,)
