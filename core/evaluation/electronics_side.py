"""All that the electronics bring into the evaluation of a candidate, in one value."""

from __future__ import annotations

from core.evaluation.criteria_drive import drive_margins
from core.evaluation.criteria_electronics import electronics_margins
from core.evaluation.electronics_findings import electronics_findings
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import OperatingPoints, VoltageDemand
from core.evaluation.ripple_side import ripple_findings, ripple_margin, ripple_of
from core.evaluation.temperatures import CycleTemperatures
from core.evaluation.weakening import weakening_caution, weakening_findings
from core.findings import Caution, Finding
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Application
from core.records import dataclass
from core.results import Margin, PeakTemperature, PlaneCurves, SupplyDemand
from core.ripple_results import Ripple


@dataclass(frozen=True, slots=True)
class Cycle:
    """What the cycle made of a motor, as the steps before found it; None where something is missing."""

    duty: ShaftDuty | None
    points: OperatingPoints | None
    voltage: VoltageDemand | None
    temps: CycleTemperatures | None
    peaks: tuple[PeakTemperature, ...]
    power: SupplyDemand | None
    curves: PlaneCurves


@dataclass(frozen=True, slots=True)
class ElectronicsSide:
    """Margins, findings, cautions and the ripple of the current."""

    margins: tuple[Margin, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    ripple: Ripple | None


def electronics_side(application: Application, motor: MotorModel, cycle: Cycle) -> ElectronicsSide:
    """Return what the electronics mean for a motor in a cycle."""
    requirements, supply = application.requirements, application.supply
    duty, points, curves = cycle.duty, cycle.points, cycle.curves
    ripple = ripple_of(motor, requirements, duty, points, cycle.temps, curves)
    by_drive = tuple(drive_margins(requirements.targets, duty, points, cycle.voltage, motor))
    margins = (
        *by_drive,
        *electronics_margins(application, motor, duty, points, cycle.peaks),
        ripple_margin(motor, requirements, supply, ripple, curves),
    )
    findings = (
        *electronics_findings(supply, motor, points, cycle.power, by_drive),
        *ripple_findings(ripple),
        *weakening_findings(duty, motor),
    )
    warned = weakening_caution(duty, motor, supply)
    return ElectronicsSide(margins, findings, warned, ripple)
