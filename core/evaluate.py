"""Evaluate a project: the one place where the whole calculation is spelled out in order."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from core.deferred import Deferred
from core.evaluation.brake_coil import coil_power, with_coil
from core.evaluation.brake_findings import brake_findings
from core.evaluation.bus_state import BusState, bus_state
from core.evaluation.cautions import cautions
from core.evaluation.coupling import coupling_findings
from core.evaluation.criteria_brake import brake_margins
from core.evaluation.criteria_gear import gear_margins
from core.evaluation.criteria_heat import heat_margins
from core.evaluation.criteria_place import place_margins
from core.evaluation.criteria_shaft import shaft_load, shaft_margins
from core.evaluation.criteria_supply import supply_margins
from core.evaluation.criterion import governing, ordered
from core.evaluation.curves import drawn_speed, plane_curves
from core.evaluation.duty import duty_of, duty_trace, ghost_of, load_findings
from core.evaluation.electronics_side import Cycle, ElectronicsSide, electronics_side
from core.evaluation.feedback_side import FeedbackSide, feedback_side
from core.evaluation.feeding_findings import cable_findings, feeding_findings
from core.evaluation.fits import fit_findings, fit_margins
from core.evaluation.heat_geometry import calibration_result
from core.evaluation.heat_model import HeatModel, NoHeatModel, heat_model
from core.evaluation.held_load import HeldLoad, held_load
from core.evaluation.losses import mean_losses
from core.evaluation.motor_model import MotorModel, missing_parts, motor_of
from core.evaluation.no_duty import NoDuty
from core.evaluation.operating_points import (
    OperatingPoints,
    VoltageDemand,
    load_points,
    lowest_voltage,
    operating_points,
    voltage_demand,
)
from core.evaluation.overlap import overlap_findings
from core.evaluation.overload_findings import overload_findings
from core.evaluation.rms_point import rms_point
from core.evaluation.saturation_findings import saturation_findings
from core.evaluation.shaft_findings import shaft_findings
from core.evaluation.shaft_side import ShaftSide, shaft_side
from core.evaluation.supply_course import SupplyState, supply_state
from core.evaluation.supply_findings import supply_findings
from core.evaluation.temperatures import (
    CycleTemperatures,
    cycle_temperatures,
    heating_up_trace,
    peak_temperatures,
)
from core.evaluation.wires import lead_resistance
from core.fault_results import FaultTable
from core.feedback_results import FeedbackTable
from core.findings import Caution, Finding
from core.physics.shaft_duty import ShaftDuty
from core.physics.surface_contact import touch_threshold
from core.physics.temperatures import RunAway
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.project import Project
from core.records import dataclass
from core.results import (
    CandidateResult,
    DutyTrace,
    HeatBand,
    HeatCalibration,
    HeatFlows,
    LoadCourse,
    LoadPoints,
    Margin,
    PeakTemperature,
    PlaneCurves,
    Result,
)
from core.supply_results import SupplyDetail

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace
    from core.winding_results import WindingStudy


def evaluate(project: Project, measured: ImportedTrace | None = None) -> Result:
    """Return the result of a project. Pure: the same project gives the same result.

    `measured` is the trace to which the project refers (`core.trace_source.open_trace`).

    A motor that is too hot, too slow or ruled out is part of the result. What is missing is named in
    it. Raises `InputRangeError` only for values that no physical motor can have.
    """
    application = project.application
    candidates = tuple(
        evaluate_candidate(application, candidate, index, measured)
        for index, candidate in enumerate(project.candidates)
    )
    return result_of(project, candidates)


def result_of(project: Project, candidates: tuple[CandidateResult, ...]) -> Result:
    """Return the result of a project from those of its candidates, in their order."""
    application, chosen = project.application, project.chosen_candidate
    transmission = None if chosen is None else chosen.transmission
    number = None if chosen is None else project.candidates.index(chosen)
    duty = None if number is None else candidates[number].duty
    if duty is None:  # no motor yet: what was entered or derived is shown all the same
        plain = duty_of(application, transmission)
        duty = duty_trace(()) if isinstance(plain, NoDuty) else plain
    return Result(
        project=project,
        duty=duty,
        candidates=candidates,
        chosen=number,
        ghost=ghost_of(application, transmission),
        load=_load_course(application),
    )


def _load_course(application: Application) -> LoadCourse | None:
    if application.load is None:
        return None
    from core.evaluation.load_side import load_course  # only where there is a load

    return load_course(application.load)


def _ratio(application: Application, candidate: Candidate, motor: MotorModel) -> tuple[Finding, ...]:
    if candidate.transmission is None or application.duty_from != "load":
        return ()
    from core.evaluation.ratio import findings_on_ratio  # only where there is a load

    return findings_on_ratio(application, candidate.transmission, motor)


def evaluate_candidate(
    application: Application, candidate: Candidate, index: int, measured: ImportedTrace | None = None
) -> CandidateResult:
    """Return the result of one candidate: load, duty at the shaft, operating points, losses,
    temperatures, margins."""
    motor = motor_of(application, candidate)
    if motor is None:
        return _nothing_to_evaluate(candidate, index)
    flow = _flow(application, candidate, motor, measured)
    return _result(application, candidate, index, motor, flow)


@dataclass(frozen=True, slots=True)
class _Flow:
    """What the steps of one candidate hand to each other; None where something is missing."""

    heat: HeatModel | NoHeatModel
    side: ShaftSide
    duty: ShaftDuty | None
    points: OperatingPoints | None
    voltage: VoltageDemand | None
    temps: CycleTemperatures | None
    peaks: tuple[PeakTemperature, ...]
    fed: SupplyState | None
    bus: BusState | None
    held: HeldLoad | None
    coil_power: float


def _flow(
    application: Application, candidate: Candidate, motor: MotorModel, measured: ImportedTrace | None
) -> _Flow:
    """Return the steps in their order: duty at the shaft, operating points, losses, temperatures."""
    requirements = application.requirements
    heat = heat_model(application.site, motor)
    coil = coil_power(application, candidate)
    heat = with_coil(heat, coil, motor.variant.kind)
    side = shaft_side(application, candidate.transmission, motor, heat, measured)
    duty = side.duty
    points = None if duty is None else operating_points(duty, motor)
    voltage = None if points is None else voltage_demand(points, motor, application.supply)
    # losses and temperatures depend on each other: the copper loss is solved with the temperatures
    temps = None
    if duty is not None and isinstance(heat, HeatModel):
        temps = cycle_temperatures(duty, motor, heat, side.binned)
    reach = application.site.surroundings.reach_of_fingers
    touch = None if reach == "no" else touch_threshold(requirements.touch_contact)
    peaks = () if temps is None else peak_temperatures(temps, motor, touch, requirements.hot_spot_allowance)
    fed = None if duty is None else supply_state(duty, motor, temps, application.supply)
    bus = None if fed is None else bus_state(fed, application.supply, motor.drive)
    # without brake and load nothing but the table of faults asks what pulls
    pulls = candidate.brake is not None or application.duty_from == "load"
    held = held_load(application, candidate.transmission, duty) if pulls else None
    return _Flow(heat, side, duty, points, voltage, temps, peaks, fed, bus, held, coil)


def _result(
    application: Application, candidate: Candidate, index: int, motor: MotorModel, flow: _Flow
) -> CandidateResult:
    """Return margins, curves, findings and cautions from the steps of a candidate."""
    duty, points, temps = flow.duty, flow.points, flow.temps
    top = 0.0 if points is None else float(abs(points.speed).max())
    curves = plane_curves(application.supply, application.requirements, motor, flow.heat, top)
    electronics = _electronics(application, motor, flow, curves)
    sides = (electronics, feedback_side(application, candidate, motor, points, temps, curves, top))
    findings = _findings(application, candidate, motor, flow, sides)
    margins = _margins(application, candidate, motor, flow, sides)
    return CandidateResult(
        index=index,
        name=candidate.name,
        margins=margins,
        governing=governing(margins),
        findings=findings,
        cautions=_cautions(application, motor, flow, findings, sides),
        missing=_missing(application, flow.side.trace),
        constants=motor.canonical,
        duty=None if isinstance(flow.side.trace, NoDuty) else flow.side.trace,
        load_points=_drawn_points(motor, flow),
        rms=None if duty is None else rms_point(duty, motor, flow.heat),
        curves=curves,
        cycle=None if temps is None else temps.trace(),
        heating_up_later=None if temps is None else Deferred(partial(heating_up_trace, temps)),
        peaks=flow.peaks,
        losses=None if duty is None else mean_losses(duty, motor, temps),
        supply=None if flow.fed is None else flow.fed.demand,
        torque_reserve=None if temps is None else temps.reserve.factor,
        calibration=_calibration(flow.heat),
        band_later=_band(application, motor, flow, top),
        flows_later=_flows_later(flow, motor),
        supply_later=_supply_later(application, candidate, motor, flow),
        ripple=electronics.ripple,
        feedback_later=Deferred(partial(_feedback_table, application, candidate, motor, top, points, curves)),
        shaft_load=shaft_load(candidate.shaft_force, motor, flow.duty),
        faults_later=_faults_later(application, candidate, motor, flow),
        winding_later=_windings_later(application, candidate, motor, flow),
        coil_power=flow.coil_power,
        lead_resistance=lead_resistance(candidate),
    )


def _cautions(
    application: Application,
    motor: MotorModel,
    flow: _Flow,
    findings: tuple[Finding, ...],
    sides: tuple[ElectronicsSide, FeedbackSide],
) -> tuple[Caution, ...]:
    return (
        *cautions(application, motor, flow.points, flow.temps, flow.peaks, flow.bus, findings),
        *(caution for side in sides for caution in side.cautions),
    )


def _electronics(
    application: Application, motor: MotorModel, flow: _Flow, curves: PlaneCurves
) -> ElectronicsSide:
    power = None if flow.fed is None else flow.fed.demand
    cycle = Cycle(flow.duty, flow.points, flow.voltage, flow.temps, flow.peaks, power, curves)
    return electronics_side(application, motor, cycle)


def _margins(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    flow: _Flow,
    sides: tuple[ElectronicsSide, FeedbackSide],
) -> tuple[Margin, ...]:
    """Return all margins in the order in which they are shown."""
    return ordered(
        [
            *heat_margins(application, flow.heat, flow.temps, flow.peaks),
            *(margin for side in sides for margin in side.margins),
            *gear_margins(application, candidate.transmission, flow.side.gear),
            *brake_margins(application.requirements, candidate.brake, motor, flow.held, flow.temps),
            *shaft_margins(application.requirements.targets, candidate.shaft_force, motor, flow.duty),
            *place_margins(application, candidate, motor),
            *fit_margins(candidate),
            *supply_margins(application, motor, flow.fed, flow.bus),
        ]
    )


def _feedback_table(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    top: float,
    points: OperatingPoints | None,
    curves: PlaneCurves,
) -> FeedbackTable:
    from core.evaluation.feedback_choice import feedback_table  # only where it is looked at

    lasting = None if curves.continuous is None else float(curves.continuous[0])
    return feedback_table(application, candidate, motor, top, points, lasting)


def _drawn_points(motor: MotorModel, flow: _Flow) -> LoadPoints | None:
    if flow.side.load_points is not None or flow.duty is None or flow.points is None:
        return flow.side.load_points
    return load_points(flow.duty, flow.points, flow.voltage, motor.inertia)


def _windings_later(
    application: Application, candidate: Candidate, motor: MotorModel, flow: _Flow
) -> Deferred[WindingStudy | None] | None:
    """Return the study of all windings of the frame, which is not always looked at."""
    duty, points, fed = flow.duty, flow.points, flow.fed
    if duty is None or points is None or fed is None:
        return None

    def study() -> WindingStudy | None:
        from core.evaluation.winding_choice import winding_study  # only where it is looked at

        return winding_study(application, candidate, motor, duty, points, fed.demand)

    return Deferred(study)


def _flows_later(flow: _Flow, motor: MotorModel) -> Deferred[HeatFlows] | None:
    """Return the flows of heat, which cost too much for a drag; None where no cycle repeats."""
    if flow.temps is None or flow.duty is None or isinstance(flow.temps.state, RunAway):
        return None
    temps, duty = flow.temps, flow.duty

    def flows() -> HeatFlows:
        from core.evaluation.heat_flows import heat_flows  # only where it is looked at

        return heat_flows(temps, duty, motor)

    return Deferred(flows)


def _supply_later(
    application: Application, candidate: Candidate, motor: MotorModel, flow: _Flow
) -> Deferred[SupplyDetail] | None:
    if flow.duty is None or flow.points is None or flow.fed is None or flow.bus is None:
        return None
    parts = (flow.duty, flow.points, flow.temps, flow.fed, flow.bus)

    def detail() -> SupplyDetail:
        from core.evaluation.supply_detail import supply_detail  # only where it is looked at

        return supply_detail(application, candidate.transmission, motor, *parts)

    return Deferred(detail)


def _faults_later(
    application: Application, candidate: Candidate, motor: MotorModel, flow: _Flow
) -> Deferred[FaultTable | None] | None:
    duty = flow.duty
    if duty is None:
        return None

    def table() -> FaultTable | None:
        from core.evaluation.faults import FaultInput, faults_of  # only where it is looked at

        return faults_of(FaultInput(application, candidate, motor, flow.heat, flow.temps, duty, flow.bus))

    return Deferred(table)


def _calibration(heat: HeatModel | NoHeatModel) -> HeatCalibration | None:
    if isinstance(heat, NoHeatModel) or heat.geometry is None:
        return None
    return calibration_result(heat.geometry.calibration)


def _band(
    application: Application, motor: MotorModel, flow: _Flow, top: float
) -> Deferred[HeatBand | None] | None:
    heat, duty, binned = flow.heat, flow.duty, flow.side.binned
    if isinstance(heat, NoHeatModel):
        return None
    allowance = application.requirements.hot_spot_allowance
    highest = drawn_speed(application.supply, motor, top)

    def band() -> HeatBand | None:
        from core.evaluation.heat_band import heat_band  # only where it is looked at

        return heat_band(heat, motor, duty, allowance, highest, binned)

    return Deferred(band)


def _findings(
    application: Application,
    candidate: Candidate,
    motor: MotorModel,
    flow: _Flow,
    sides: tuple[ElectronicsSide, FeedbackSide],
) -> tuple[Finding, ...]:
    """Return all findings of a candidate: those of the cycle first, then those of its parts."""
    duty, points = flow.duty, flow.points
    return (
        *(() if duty is None or points is None else overload_findings(duty, points, motor)),
        *load_findings(application, candidate.transmission, motor.inertia, motor.drag.constant),
        *coupling_findings(application, candidate),
        *_ratio(application, candidate, motor),
        *(() if flow.temps is None else flow.temps.findings),
        *flow.side.findings,
        *(() if points is None else overlap_findings(points, motor)),
        *supply_findings(application.supply),
        *cable_findings(candidate.cable),
        *_feeding(application, candidate, motor, flow),
        *brake_findings(application, candidate, motor, duty, flow.held),
        *_shaft(candidate, motor, flow),
        *fit_findings(candidate),
        *saturation_findings(points, motor),
        *motor.findings,
        *flow.heat.findings,
        *(finding for side in sides for finding in side.findings),
    )


def _feeding(
    application: Application, candidate: Candidate, motor: MotorModel, flow: _Flow
) -> tuple[Finding, ...]:
    if flow.fed is None or flow.bus is None:
        return ()
    return feeding_findings(application, candidate.transmission, motor, flow.fed, flow.bus)


def _shaft(candidate: Candidate, motor: MotorModel, flow: _Flow) -> tuple[Finding, ...]:
    load = shaft_load(candidate.shaft_force, motor, flow.duty)
    largest = 0.0 if flow.points is None else float(abs(flow.points.delivered).max())
    return shaft_findings(candidate.shaft_force, load, motor, largest)


def _nothing_to_evaluate(candidate: Candidate, index: int) -> CandidateResult:
    return CandidateResult(
        index=index,
        name=candidate.name,
        margins=(),
        governing=None,
        findings=(),
        cautions=(),
        missing=missing_parts(candidate),
    )


def _missing(application: Application, trace: DutyTrace | NoDuty) -> tuple[str, ...]:
    """Return what the application lacks, in the words of the inputs."""
    lacks = (
        (isinstance(trace, NoDuty), trace.why if isinstance(trace, NoDuty) else ""),
        (application.site.ambient is None, "the ambient temperature"),
        (lowest_voltage(application.supply) is None, "the lowest supply voltage"),
    )
    return tuple(words for missing, words in lacks if missing)
