"""Step 2: the duty at the motor shaft, whatever it comes from: segments, load and motion, or a trace."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.evaluation.duty import duty_at_shaft, duty_of, speed_jumps
from core.evaluation.heat_model import HeatModel, NoHeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.no_duty import NoDuty
from core.findings import Finding
from core.physics.gear_findings import GearDemand
from core.physics.settled_cycle import CutCycle
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Application
from core.project.transmission import Transmission
from core.records import dataclass
from core.results import DutyTrace, LoadPoints

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace


@dataclass(frozen=True, slots=True)
class ShaftSide:
    """The duty of one candidate. `binned` and `load_points` are there for a trace only, `gear` for one
    that was measured behind the transmission."""

    trace: DutyTrace | NoDuty
    duty: ShaftDuty | None
    findings: tuple[Finding, ...] = ()
    binned: CutCycle | None = None
    load_points: LoadPoints | None = None
    gear: GearDemand | None = None


def shaft_side(
    application: Application,
    transmission: Transmission | None,
    motor: MotorModel,
    heat: HeatModel | NoHeatModel,
    measured: ImportedTrace | None,
) -> ShaftSide:
    """Return the duty at the shaft of one candidate, or what it lacks."""
    if application.duty_from != "trace":
        trace = duty_of(application, transmission)
        return ShaftSide(trace, duty_at_shaft(trace, motor.inertia), speed_jumps(trace))
    source = application.trace
    if source is None:
        return ShaftSide(NoDuty("a trace file"), None)
    if measured is None:
        return ShaftSide(NoDuty(f"the trace file {source.file}"), None)
    # only where there is a trace: it costs start-up time
    from core.evaluation.trace_side import traced_cycle, traced_duty, traced_findings, traced_load_points

    traced = traced_duty(measured.trace, source, transmission, motor)
    return ShaftSide(
        traced.drawn,
        traced.duty,
        (*measured.findings, *traced_findings(traced, source, motor)),
        traced_cycle(traced, motor, heat) if isinstance(heat, HeatModel) else None,
        traced_load_points(traced, motor),
        traced.gear,
    )
