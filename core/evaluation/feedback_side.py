"""All that the feedback brings into the evaluation of a candidate, in one value."""

from __future__ import annotations

from core.evaluation.criteria_feedback import feedback_margins
from core.evaluation.feedback_findings import feedback_findings, lost_feedback
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints
from core.evaluation.smooth_running import smooth_running
from core.evaluation.temperatures import CycleTemperatures
from core.findings import Caution, Finding
from core.project.application import Application
from core.project.candidate import Candidate
from core.records import dataclass
from core.results import Margin, PlaneCurves


@dataclass(frozen=True, slots=True)
class FeedbackSide:
    """Margins, findings and cautions of feedback and slow running."""

    margins: tuple[Margin, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]


def feedback_side(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    points: OperatingPoints | None,
    temps: CycleTemperatures | None,
    curves: PlaneCurves,
    top_speed: float,
) -> FeedbackSide:
    """Return what the feedback means for a motor in a cycle of a highest speed. [rad/s]"""
    requirements, supply = application.requirements, application.supply
    margins = feedback_margins(requirements, supply, candidate, motor, top_speed, temps)
    smooth = smooth_running(application, candidate.transmission, motor)
    found = feedback_findings(requirements, supply, candidate, motor, points, curves, margins, top_speed)
    return FeedbackSide(
        margins=(*margins, *(() if smooth.margin is None else (smooth.margin,))),
        findings=(*found, *smooth.findings),
        cautions=lost_feedback(supply, candidate, motor),
    )
