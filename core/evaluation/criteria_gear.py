"""The criteria of the transmission: output torque, lasting and for moments, and input speed."""

from __future__ import annotations

from dataclasses import replace

from core.evaluation.criterion import WHOLE_CYCLE, Criterion, Place, checked, not_checked
from core.evaluation.duty import DerivedDuty, derived_duty
from core.evaluation.no_duty import NoDuty
from core.physics.gear_findings import GearDemand, gear_demand
from core.project.application import Application
from core.project.transmission import Transmission
from core.results import Margin
from core.sentences import sentence
from core.units import Kind

_NO_DUTY = "the duty cycle is empty"


def gear_margins(
    application: Application, transmission: Transmission | None, traced: GearDemand | None = None
) -> list[Margin]:
    """Return the margins of a transmission against its limits; none for direct drive.

    `traced` is what a trace that was measured behind the transmission asks of it.
    """
    if transmission is None:
        return []
    targets = application.requirements.targets
    limits = (
        (Criterion("gear_peak_torque", "Peak torque of the transmission", Kind.LOAD_TORQUE, targets.peak),
         transmission.intermittent_torque),
        (Criterion("gear_torque", "Continuous torque of the transmission", Kind.LOAD_TORQUE, targets.peak),
         transmission.continuous_torque),
        (Criterion("gear_speed", "Input speed of the transmission", Kind.SPEED, targets.speed),
         transmission.largest_input_speed),
    )  # fmt: skip
    demand = _demand(application, transmission, traced)
    if isinstance(demand, str):
        entered = application.duty_from == "segments"
        return [not_checked(one, demand) for one, limit in limits if limit is not None or not entered]
    demands = (
        (demand.peak_torque, _in_segment(demand.peak_torque_piece)),
        (demand.mean_torque, WHOLE_CYCLE),
        (demand.peak_input_speed, _in_segment(demand.peak_speed_piece)),
    )
    return [
        not_checked(criterion, f"missing: limit of the transmission ({criterion.label.lower()})")
        if limit is None
        else _margin(criterion, value, limit, place)
        for (criterion, limit), (value, place) in zip(limits, demands, strict=True)
    ]


def _demand(
    application: Application, transmission: Transmission | None, traced: GearDemand | None
) -> GearDemand | str:
    """Return what is asked of a transmission, with segments as its pieces, or why it is not known."""
    if application.duty_from == "segments":
        return "the duty is entered at the motor shaft, so the torque at the load is not known"
    if application.duty_from == "load":
        derived = derived_duty(application.load, transmission)
        return _NO_DUTY if isinstance(derived, NoDuty) else _by_segment(derived)
    source = application.trace
    if source is not None and source.at == "motor shaft":
        return "the trace was measured at the motor shaft, so the torque at the load is not known"
    return "the trace is not there" if traced is None else traced


def _by_segment(derived: DerivedDuty) -> GearDemand:
    demand, phase = gear_demand(derived.timeline), derived.load.phase
    return replace(
        demand,
        peak_torque_piece=int(phase[demand.peak_torque_piece]),
        peak_speed_piece=int(phase[demand.peak_speed_piece]),
    )


def _in_segment(segment: int) -> Place:
    return Place(f"segment {segment + 1}", segment)


def _margin(criterion: Criterion, demand: float, limit: float, place: Place) -> Margin:
    kind = criterion.kind
    equation = sentence(
        "{demand} of {limit}: {used}",
        demand=(demand, kind),
        limit=(limit, kind),
        used=(demand / limit, Kind.RATIO),
    )
    return checked(criterion, demand, limit, place, equation)
